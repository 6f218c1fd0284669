//! Arrow arrays from plain columns.

use std::sync::Arc;

use arrow::array::{
    ArrayRef, BooleanArray, Date32Array, Float64Array, Int16Array, Int32Array, StringArray, StringBuilder,
};
use arrow::buffer::{NullBuffer, ScalarBuffer};

use crate::trade::calendar::Day;

/// Numbers, null where `NaN`.
pub fn numbers(values: Vec<f64>) -> ArrayRef {
    let nulls = values.iter().any(|v| v.is_nan()).then(|| NullBuffer::from_iter(values.iter().map(|v| !v.is_nan())));
    Arc::new(Float64Array::new(ScalarBuffer::from(values), nulls))
}

/// Numbers that may be missing.
pub fn maybe_numbers(values: impl Iterator<Item = Option<f64>>) -> ArrayRef {
    Arc::new(Float64Array::from_iter(values))
}

/// Whole numbers, null where zero.
pub fn counts_from_one(values: Vec<i32>) -> ArrayRef {
    let nulls = values.contains(&0).then(|| NullBuffer::from_iter(values.iter().map(|&v| v != 0)));
    Arc::new(Int32Array::new(ScalarBuffer::from(values), nulls))
}

/// Whole numbers.
pub fn integers(values: impl Iterator<Item = Option<i32>>) -> ArrayRef {
    Arc::new(Int32Array::from_iter(values))
}

/// Blade numbers.
pub fn blades(values: impl Iterator<Item = Option<i16>>) -> ArrayRef {
    Arc::new(Int16Array::from_iter(values))
}

/// Days.
pub fn days(values: impl Iterator<Item = Option<Day>>) -> ArrayRef {
    Arc::new(Date32Array::from_iter(values.map(|d| d.map(Day::number))))
}

/// Yes or no.
pub fn yes_no(values: impl Iterator<Item = Option<bool>>) -> ArrayRef {
    Arc::new(BooleanArray::from_iter(values))
}

/// Text that may be missing.
pub fn texts<T: AsRef<str>>(values: impl Iterator<Item = Option<T>>) -> ArrayRef {
    Arc::new(StringArray::from_iter(values))
}

/// One text a row, given by number; the texts are copied run by run.
pub fn texts_by_number<'t>(numbers: &[u32], text: impl Fn(u32) -> &'t str) -> ArrayRef {
    let mut builder = StringBuilder::with_capacity(numbers.len(), numbers.len() * 8);
    let mut last: Option<(u32, &str)> = None;
    for &number in numbers {
        let value = match last {
            Some((known, value)) if known == number => value,
            _ => text(number),
        };
        last = Some((number, value));
        builder.append_value(value);
    }
    Arc::new(builder.finish())
}
