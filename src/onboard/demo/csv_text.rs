//! Rows of a typed table as lines of CSV, with numbers as people write them.

use arrow::array::{Array, AsArray};
use arrow::datatypes::{DataType, Date32Type, Float64Type, Int32Type};
use arrow::record_batch::RecordBatch;

use super::columns::decimals_of;
use crate::trade::calendar::Day;

/// The line of column names, without its end.
pub(super) fn header(batch: &RecordBatch) -> String {
    let schema = batch.schema();
    let names: Vec<&str> = schema.fields().iter().map(|f| f.name().as_str()).collect();
    names.join(",")
}

/// One cell as text; empty where nothing is recorded.
pub(super) fn cell(batch: &RecordBatch, column: usize, row: usize) -> String {
    let array = batch.column(column);
    if array.is_null(row) {
        return String::new();
    }
    match array.data_type() {
        DataType::Utf8 => quoted(array.as_string::<i32>().value(row)),
        DataType::Int32 => array.as_primitive::<Int32Type>().value(row).to_string(),
        DataType::Date32 => Day::from_number(array.as_primitive::<Date32Type>().value(row)).to_string(),
        DataType::Float64 => {
            let value = array.as_primitive::<Float64Type>().value(row);
            let schema = batch.schema();
            match decimals_of(schema.field(column).name()) {
                Some(decimals) => format!("{value:.decimals$}"),
                None => value.to_string(),
            }
        }
        other => unreachable!("the demo has no column of type {other}"),
    }
}

/// Text in quotes where a comma, a quote or a line break makes it need them.
fn quoted(text: &str) -> String {
    if text.contains([',', '"', '\n', '\r']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text.to_owned() }
}

/// One row, without its end.
pub(super) fn line(batch: &RecordBatch, row: usize) -> String {
    line_with(batch, row, &[])
}

/// One row with other text, written as it is, in the cells of some columns.
pub(super) fn line_with(batch: &RecordBatch, row: usize, instead: &[(&str, &str)]) -> String {
    let schema = batch.schema();
    let mut line = String::new();
    for (column, field) in schema.fields().iter().enumerate() {
        if column > 0 {
            line.push(',');
        }
        let other = instead.iter().find(|(name, _)| name == field.name());
        let text = other.map_or_else(|| cell(batch, column, row), |(_, text)| (*text).to_owned());
        line.push_str(&text);
    }
    line
}
