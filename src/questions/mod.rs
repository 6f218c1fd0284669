//! Questions to the fleet as a whole: result tables and records tables in, tables out.
//!
//! Rows are judged without a data-frame engine; what is asked across them is grouped and joined with one (polars). A table
//! crosses to it column by column, copied, and only when a question names it.
//!
//! | file | question |
//! | --- | --- |
//! | [`catalog`] | which tables and columns are there? |
//! | [`sql`] | is it a question, and which tables and columns does it name? |
//! | [`ask`] | what is the answer? |
//! | [`keep`] | which rows does a condition keep? |
//! | [`records`] | a table of the records as it was used |
//! | [`groups`], [`totals`] | what do bases, models, uses, shops and years add up to? |
//! | [`money`], [`worth`] | what was spent, was it forecast, and does a propeller pay? |
//! | [`frame`] | how do columns cross, there and back? |

pub mod ask;
pub mod catalog;
pub mod frame;
pub mod groups;
pub mod keep;
pub mod money;
pub mod records;
pub mod sql;
pub mod totals;
pub mod worth;

use arrow::record_batch::RecordBatch;

use crate::results::answers::{AnswerError, Answers, Shown};

/// The tables across the fleet, by name; `None` for a name that is none of them.
///
/// # Errors
/// [`AnswerError`].
pub fn across(answers: &Answers<'_, '_>, name: &str, shown: &Shown) -> Result<Option<RecordBatch>, AnswerError> {
    let made = match name {
        "totals" => totals::every(answers, shown),
        "spent" => money::spent(answers, shown),
        "spent_per_hour" => money::spent_per_hour(answers, shown),
        "budget_past" => money::budget_past(answers, shown),
        "prices_paid" => money::prices_paid(answers),
        "replace_or_overhaul" => worth::replace_or_overhaul(answers, shown),
        _ => return Ok(None),
    };
    match made {
        Ok(made) => Ok(Some(made)),
        Err(QuestionError::Answer(error)) => Err(error),
        Err(error) => Err(AnswerError::Across(name.to_string(), error.to_string())),
    }
}

/// Why a question has no answer.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum QuestionError {
    /// Not SQL, or SQL that the engine does not know; the engine's own text, then what to do.
    #[error("{said}\nhint: {hint}")]
    Engine {
        /// What the engine says.
        said: String,
        /// What to do.
        hint: String,
    },
    /// Something other than a question.
    #[error("{what}\nhint: a query begins with SELECT or WITH; it reads this fleet's tables and writes nothing")]
    Refused {
        /// What it asks for.
        what: String,
    },
    /// A table that is not there.
    #[error("there is no table `{name}`\nhint: {hint}")]
    NoTable {
        /// The name.
        name: String,
        /// The nearest names, or where the names are.
        hint: String,
    },
    /// A table of the records that this fleet does not have.
    #[error(
        "table `{name}` has no rows to ask: {absent}\nhint: `bladewane template FOLDER` writes an empty {file} to fill"
    )]
    NoRecords {
        /// The table.
        name: String,
        /// What its absence means.
        absent: &'static str,
        /// The records table.
        file: &'static str,
    },
    /// More than the memory allows.
    #[error(
        "table `{table}` would take about {gib:.1} GiB here, and {most:.1} GiB are allowed\nhint: name only the columns you need, or raise table_gib under [reading] where memory is"
    )]
    TooLarge {
        /// The table.
        table: String,
        /// What it would take.
        gib: f64,
        /// What it may take.
        most: f64,
    },
    /// A column of the answer has no place in a table.
    #[error(
        "column `{column}` of the answer holds {kind}, which is no number, day, text or yes/no\nhint: CAST it, or leave it out"
    )]
    NoPlace {
        /// The column.
        column: String,
        /// Its type.
        kind: String,
    },
    /// A table could not be worked out.
    #[error(transparent)]
    Answer(#[from] AnswerError),
}

impl From<polars::error::PolarsError> for QuestionError {
    fn from(error: polars::error::PolarsError) -> QuestionError {
        ask::engine(&error)
    }
}

impl From<crate::results::ResultsError> for QuestionError {
    fn from(error: crate::results::ResultsError) -> QuestionError {
        QuestionError::Answer(error.into())
    }
}
