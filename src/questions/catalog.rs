//! The tables that a question may name, with their columns: every result table and every table of the records.

use arrow::record_batch::RecordBatch;

use super::records::column_name;
use super::{QuestionError, frame};
use crate::records::schema::{Kind, Schema, TABLES};
use crate::results::batches::arrays;
use crate::results::{TableSpec, tables};
use crate::settings::nearest_there;

/// What stands before the name of a table of the records.
const RECORDS: &str = "records_";

/// A table that a question may name.
#[derive(Debug, Clone, Copy)]
pub enum Asked {
    /// A result.
    Result(&'static TableSpec),
    /// A table of the records, as it was used.
    Records(&'static Schema),
}

impl Asked {
    /// The table of that name: results by their names, tables of the records as `records_NAME`, and as NAME where no result
    /// bears it.
    ///
    /// # Errors
    /// [`QuestionError::NoTable`] with the nearest names.
    pub fn named(name: &str) -> Result<Asked, QuestionError> {
        if let Some(spec) = tables().iter().find(|table| table.name == name) {
            return Ok(Asked::Result(spec));
        }
        let bare = name.strip_prefix(RECORDS).unwrap_or(name);
        if let Some(schema) = TABLES.iter().find(|schema| schema.name == bare) {
            return Ok(Asked::Records(schema));
        }
        let hint = nearest_there(name, names().iter().map(String::as_str))
            .unwrap_or_else(|| "`bladewane query FLEET --tables` lists them".to_string());
        Err(QuestionError::NoTable { name: name.to_string(), hint })
    }

    /// Its columns: name, type in words, unit, meaning.
    pub fn columns(&self) -> Vec<[String; 4]> {
        match self {
            Asked::Result(spec) => {
                spec.columns.iter().map(|c| [c.name, c.kind.words(), c.unit, c.about].map(str::to_string)).collect()
            }
            Asked::Records(schema) => schema
                .columns
                .iter()
                .map(|c| {
                    let (kind, unit) = match c.kind {
                        Kind::Text | Kind::Word(_) => ("text", ""),
                        Kind::Date => ("date", "date"),
                        Kind::Number | Kind::NumberOrNone => ("number", ""),
                        Kind::Small => ("whole number", ""),
                        Kind::Length => ("number", "in"),
                    };
                    [column_name(c), kind.to_string(), unit.to_string(), c.about.to_string()]
                })
                .collect(),
        }
    }
}

/// Every name a question may use for a table, results first.
pub fn names() -> Vec<String> {
    let results = tables().iter().map(|table| table.name.to_string());
    results.chain(TABLES.iter().map(|schema| format!("{RECORDS}{}", schema.name))).collect()
}

/// Whether any table has a column of that name.
pub fn is_column(name: &str) -> bool {
    names().iter().filter_map(|table| Asked::named(table).ok()).any(|t| t.columns().iter().any(|c| c[0] == name))
}

/// Tables and columns as a table: table, column, type, unit, meaning.
///
/// # Errors
/// [`QuestionError`] when the columns do not fit together, which is an error of this program.
pub fn listed() -> Result<RecordBatch, QuestionError> {
    let mut rows: Vec<[String; 5]> = Vec::new();
    for name in names() {
        for [column, kind, unit, about] in Asked::named(&name)?.columns() {
            rows.push([name.clone(), column, kind, unit, about]);
        }
    }
    let text = |at: usize| arrays::texts(rows.iter().map(|row| Some(&row[at])));
    let columns = ["table", "column", "type", "unit", "meaning"].into_iter().enumerate().map(|(at, n)| (n, text(at)));
    frame::of_columns("tables", columns)
}
