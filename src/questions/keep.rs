//! Which rows of a result table a condition keeps.

use arrow::array::BooleanArray;
use polars::prelude::{Column, DataFrame};

use super::ask::{Slice, Tables, result};
use super::catalog::is_column;
use super::sql::Question;
use super::{QuestionError, frame};
use crate::results::answers::Answers;
use crate::results::table;

/// A column beside the table's own, with the number of each row.
const ROW: &str = "row number";

/// The rows that a condition keeps, slice by slice.
#[derive(Debug, Clone)]
pub struct Kept {
    /// One value a row of each slice.
    pub slices: Vec<BooleanArray>,
    /// Rows of which the condition says neither yes nor no, because a column is not known. They are not kept.
    pub not_known: usize,
}

/// The rows of a result table, handed out by `slice`, that a condition keeps; it may ask other tables: `propeller IN (SELECT ...)`.
///
/// # Errors
/// [`QuestionError`].
pub fn keep(answers: &Answers<'_, '_>, name: &str, slice: &Slice<'_>, condition: &str) -> Result<Kept, QuestionError> {
    let (condition, mut question) = Question::condition(condition, &is_column)?;
    let in_question = question.tables.clone();
    question.tables.retain(|table| table != name);
    let spec = table(name);
    let wanted = |column: &str| question.wants(column);
    let lengths: Vec<usize> =
        (0..answers.slices(name)).map(|at| Ok(slice(at)?.num_rows())).collect::<Result<_, QuestionError>>()?;
    let rows: usize = lengths.iter().sum();
    let mut frame = result(answers, name, slice, &wanted)?;
    let numbers = Column::new(ROW.into(), (0..rows as u64).map(|row| row as i64).collect::<Vec<i64>>());
    frame = match frame.width() {
        0 => DataFrame::new(rows, vec![numbers]).map_err(|e| super::ask::engine(&e))?,
        _ => {
            frame.with_column(numbers).map_err(|e| super::ask::engine(&e))?;
            frame
        }
    };
    let tables = Tables::of(answers, &question)?.beside(spec);
    tables.add(name, frame);
    question.tables = in_question;
    let kept = tables.run(&question, &format!("SELECT \"{ROW}\" FROM {name} WHERE ({condition})"))?;
    let not_known = tables.run(&question, &format!("SELECT \"{ROW}\" FROM {name} WHERE ({condition}) IS NULL"));
    let mut keep = vec![false; rows];
    let batch = frame::to_batch(&kept, name)?;
    for row in batch.column_by_name(ROW).into_iter().flat_map(frame::whole_numbers) {
        if let Some(place) = usize::try_from(row).ok().and_then(|row| keep.get_mut(row)) {
            *place = true;
        }
    }
    let mut from = 0;
    let slices = lengths.iter().map(|&rows| {
        let slice = BooleanArray::from(keep[from..from + rows].to_vec());
        from += rows;
        slice
    });
    let slices = slices.collect();
    Ok(Kept { slices, not_known: not_known.map_or(0, |rows| rows.height()) })
}
