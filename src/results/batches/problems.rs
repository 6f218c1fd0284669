//! `set_aside` and `cautions`.

use arrow::array::ArrayRef;
use arrow::record_batch::RecordBatch;

use super::arrays;
use crate::records::Fleet;
use crate::records::problem::Problem;
use crate::records::schema::Table;
use crate::results::{ResultsError, batch};
use crate::tables::{Place, TableError};

/// Why the problems could not be listed.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ProblemsError {
    /// A file could not be read again for its rows as written.
    #[error(transparent)]
    Table(#[from] TableError),
    /// The columns do not fit the list.
    #[error(transparent)]
    Results(#[from] ResultsError),
}

/// Rows of `set_aside`, each with the row as it is written in its file.
///
/// # Errors
/// [`ProblemsError::Table`] when a file has gone since it was read.
pub fn set_aside(fleet: &Fleet<'_>) -> Result<RecordBatch, ProblemsError> {
    let rows = &fleet.ledger.set_aside;
    let mut written: Vec<String> = Vec::with_capacity(rows.len());
    // The list is ordered by table and row, as the files are read again.
    for of_table in rows.chunk_by(|a, b| a.table == b.table) {
        if let Some(table) = fleet.loaded.table(of_table[0].table) {
            let numbers: Vec<u32> = of_table.iter().map(|r| r.row).collect();
            written.extend(table.as_written(&numbers)?);
        }
    }
    let problems: Vec<Problem<'_>> = rows.iter().map(|row| Problem::of_row(fleet, row)).collect();
    let mut columns = in_columns(rows.iter().map(|r| r.table), &problems);
    columns.push(("row_as_written", arrays::texts(written.iter().map(Some))));
    Ok(batch("set_aside", columns)?)
}

/// The columns that both tables begin with.
fn in_columns(tables: impl Iterator<Item = Table>, problems: &[Problem<'_>]) -> Vec<(&'static str, ArrayRef)> {
    let line = |place: &Place| i32::try_from(place.line).ok().filter(|&line| line > 0);
    let places = || problems.iter().map(|p| p.place.as_ref());
    vec![
        ("table", arrays::texts(tables.map(|t| Some(t.name())))),
        ("file", arrays::texts(places().map(|p| p.map(Place::file_and_cell)))),
        ("line", arrays::integers(places().map(|p| p.and_then(line)))),
        ("column", arrays::texts(problems.iter().map(|p| filled(p.column)))),
        ("value", arrays::texts(problems.iter().map(|p| filled(p.value)))),
        ("rule", arrays::texts(problems.iter().map(|p| Some(&p.rule)))),
        ("remedy", arrays::texts(problems.iter().map(|p| Some(&p.remedy)))),
    ]
}

fn filled(text: &str) -> Option<&str> {
    Some(text).filter(|t| !t.is_empty())
}

/// Rows of `cautions`.
///
/// # Errors
/// [`ResultsError`] when the columns do not fit the list, which is an error of this program.
pub fn cautions(fleet: &Fleet<'_>) -> Result<RecordBatch, ResultsError> {
    let rows = &fleet.ledger.cautions;
    let problems: Vec<Problem<'_>> = rows.iter().map(|caution| Problem::of_caution(fleet, caution)).collect();
    let mut columns = in_columns(rows.iter().map(|c| c.table), &problems);
    columns.extend([
        ("propeller", arrays::texts(rows.iter().map(|c| c.propeller.map(|p| fleet.propellers.serial(p))))),
        ("visit", arrays::days(rows.iter().map(|c| c.visit))),
        ("count", arrays::integers(rows.iter().map(|c| i32::try_from(c.count).ok()))),
    ]);
    batch("cautions", columns)
}
