//! A table of the records as it was used: the rows that were neither set aside nor later than the as-of date.

use std::collections::HashSet;
use std::sync::Arc;

use arrow::array::ArrayRef;
use arrow::datatypes::{Field, Schema as ArrowSchema};
use arrow::record_batch::{RecordBatch, RecordBatchOptions};

use crate::records::Fleet;
use crate::records::cells::{Cells, NO_DAY, NO_SMALL, NONE_STATED};
use crate::records::schema::{Column, Kind, Schema, Table};
use crate::results::ResultsError;
use crate::results::answers::AnswerError;
use crate::results::batches::arrays;
use crate::trade::calendar::Day;

/// The name of a column in a question: a length is in inches, whatever the file holds.
pub fn column_name(column: &Column) -> String {
    match column.kind {
        Kind::Length => format!("{}_in", column.name),
        _ => column.name.to_string(),
    }
}

/// Rows of a table that were used, ascending.
fn used_rows(fleet: &Fleet<'_>, table: Table) -> Vec<u32> {
    let Some(loaded) = fleet.loaded.table(table) else {
        return Vec::new();
    };
    let mut unused: HashSet<u32> = loaded.broken().iter().map(|broken| broken.row).collect();
    unused.extend(fleet.ledger.set_aside.iter().filter(|row| row.table == table).map(|row| row.row));
    let days = loaded.schema.own_date.and_then(|name| loaded.days(name));
    let as_of = fleet.as_of.number();
    let is_later = |row: u32| days.is_some_and(|days| days[row as usize] > as_of);
    (0..loaded.rows as u32).filter(|row| !unused.contains(row) && !is_later(*row)).collect()
}

/// The wanted columns of a table of the records; a column that the file does not have is empty.
///
/// # Errors
/// [`ResultsError`] when the columns do not fit together, which is an error of this program.
pub fn table(
    fleet: &Fleet<'_>,
    schema: &'static Schema,
    wanted: impl Fn(&str) -> bool,
) -> Result<RecordBatch, AnswerError> {
    let rows = used_rows(fleet, schema.table);
    let loaded = fleet.loaded.table(schema.table);
    let mut fields = Vec::new();
    let mut columns = Vec::new();
    for column in schema.columns {
        let name = column_name(column);
        if wanted(&name) {
            let cells = loaded.and_then(|loaded| loaded.cells(column.name));
            let values = values(column, cells, &rows);
            fields.push(Field::new(name, values.data_type().clone(), true));
            columns.push(values);
        }
    }
    let count = RecordBatchOptions::new().with_row_count(Some(rows.len()));
    RecordBatch::try_new_with_options(Arc::new(ArrowSchema::new(fields)), columns, &count)
        .map_err(|_| ResultsError::NoTable { name: schema.name.to_string() }.into())
}

fn values(column: &Column, cells: Option<&Cells>, rows: &[u32]) -> ArrayRef {
    let at = |row: &u32| *row as usize;
    match (cells, column.kind) {
        (Some(Cells::Text { codes, words }), _) => {
            arrays::texts(rows.iter().map(|row| Some(words.get(codes[at(row)])).filter(|text| !text.is_empty())))
        }
        (Some(Cells::Choices(choices)), Kind::Word(list)) => {
            arrays::texts(rows.iter().map(|row| list.get(usize::from(choices[at(row)])).copied()))
        }
        (Some(Cells::Days(days)), _) => {
            arrays::days(rows.iter().map(|row| Some(days[at(row)]).filter(|&day| day != NO_DAY).map(Day::from_number)))
        }
        (Some(Cells::Numbers(numbers)), _) => {
            let stated = |value: &f64| !value.is_nan() && *value != NONE_STATED;
            arrays::maybe_numbers(rows.iter().map(|row| Some(numbers[at(row)]).filter(stated)))
        }
        (Some(Cells::Small(small)), _) => arrays::integers(
            rows.iter().map(|row| Some(small[at(row)]).filter(|&value| value != NO_SMALL).map(i32::from)),
        ),
        (_, Kind::Text | Kind::Word(_)) => arrays::texts(rows.iter().map(|_| None::<&str>)),
        (_, Kind::Date) => arrays::days(rows.iter().map(|_| None)),
        (_, Kind::Small) => arrays::integers(rows.iter().map(|_| None)),
        (_, Kind::Number | Kind::NumberOrNone | Kind::Length) => arrays::maybe_numbers(rows.iter().map(|_| None)),
    }
}
