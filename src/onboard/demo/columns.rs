//! Rows to typed Arrow columns.

use std::sync::Arc;

use arrow::array::{ArrayRef, Date32Array, Float64Array, Int32Array, StringArray};
use arrow::datatypes::{DataType, Field, Schema};
use arrow::record_batch::RecordBatch;

use crate::trade::calendar::Day;

/// Decimals with which people write the numbers of a column; `None` where a number is written as short as it is.
///
/// Numbers are rounded to these decimals before they are stored, so that the CSV and the Parquet form of a fleet hold
/// the same values.
pub(super) fn decimals_of(column: &str) -> Option<usize> {
    match column {
        "diameter_in" | "hours" | "hours_since_new" | "hours_since_overhaul" | "angle_after_deg" => Some(1),
        "cost" | "overhaul_cost" | "replacement_cost" | "rejection_cost" | "removal_cost" => Some(0),
        _ if column.ends_with("_in") => Some(3),
        _ => None,
    }
}

fn rounded(value: f64, decimals: usize) -> f64 {
    let scale = [1.0, 10.0, 100.0, 1000.0][decimals.min(3)];
    // The quotient of two whole numbers is the float nearest to the decimal text, so reading the text gives it back.
    (value * scale).round() / scale
}

/// Builds a table column by column from its rows.
pub(super) struct Columns<'r, R> {
    rows: &'r [R],
    fields: Vec<Field>,
    arrays: Vec<ArrayRef>,
}

impl<'r, R> Columns<'r, R> {
    /// A table without columns yet.
    pub fn of(rows: &'r [R]) -> Self {
        Columns { rows, fields: Vec::new(), arrays: Vec::new() }
    }

    fn push(mut self, name: &str, kind: DataType, array: ArrayRef) -> Self {
        self.fields.push(Field::new(name, kind, true));
        self.arrays.push(array);
        self
    }

    /// A column of text.
    pub fn text(self, name: &str, cell: impl Fn(&'r R) -> Option<&'r str>) -> Self {
        let array: StringArray = self.rows.iter().map(cell).collect();
        self.push(name, DataType::Utf8, Arc::new(array))
    }

    /// A column of numbers, rounded to [`decimals_of`] its name.
    pub fn number(self, name: &str, cell: impl Fn(&'r R) -> Option<f64>) -> Self {
        let decimals = decimals_of(name);
        let array: Float64Array =
            self.rows.iter().map(|row| cell(row).map(|value| decimals.map_or(value, |d| rounded(value, d)))).collect();
        self.push(name, DataType::Float64, Arc::new(array))
    }

    /// A column of whole numbers.
    pub fn whole(self, name: &str, cell: impl Fn(&'r R) -> Option<i32>) -> Self {
        let array: Int32Array = self.rows.iter().map(cell).collect();
        self.push(name, DataType::Int32, Arc::new(array))
    }

    /// A column of days.
    pub fn date(self, name: &str, cell: impl Fn(&'r R) -> Option<Day>) -> Self {
        let array: Date32Array = self.rows.iter().map(|row| cell(row).map(Day::number)).collect();
        self.push(name, DataType::Date32, Arc::new(array))
    }

    /// The table.
    pub fn batch(self) -> RecordBatch {
        RecordBatch::try_new(Arc::new(Schema::new(self.fields)), self.arrays)
            .expect("every column is made from the same rows with the type of its field")
    }
}
