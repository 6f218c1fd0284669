//! Text that a spreadsheet would take for a formula when it opens a CSV file.

use std::sync::Arc;

use arrow::array::{Array, ArrayRef, AsArray, StringArray};
use arrow::datatypes::DataType;
use arrow::record_batch::RecordBatch;

/// The batch with an apostrophe before each text that begins with `=`, `+`, `-` or `@`: spreadsheets then take it for text
/// (common practice, no source). Numbers stay as they are.
pub(super) fn with_apostrophes(batch: &RecordBatch) -> RecordBatch {
    let columns: Vec<ArrayRef> = batch.columns().iter().map(with_apostrophe).collect();
    // The types are those of before, so the schema still holds.
    RecordBatch::try_new(batch.schema(), columns).unwrap_or_else(|_| batch.clone())
}

fn with_apostrophe(column: &ArrayRef) -> ArrayRef {
    if *column.data_type() != DataType::Utf8 {
        return Arc::clone(column);
    }
    let texts = column.as_string::<i32>();
    let is_formula = |text: &str| text.starts_with(['=', '+', '-', '@']);
    if !texts.iter().flatten().any(is_formula) {
        return Arc::clone(column);
    }
    let written = |text: &str| if is_formula(text) { format!("'{text}") } else { text.to_string() };
    Arc::new(texts.iter().map(|text| text.map(written)).collect::<StringArray>())
}
