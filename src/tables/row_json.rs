//! A row of a typed table as one line of JSON, for showing it as it was written.

use arrow::error::ArrowError;
use arrow::json::writer::{LineDelimited, WriterBuilder};
use arrow::record_batch::RecordBatch;

/// One JSON object per row, nulls written.
pub(super) fn row_as_json(batch: &RecordBatch) -> Result<Vec<String>, ArrowError> {
    let mut writer = WriterBuilder::new().with_explicit_nulls(true).build::<_, LineDelimited>(Vec::new());
    writer.write(batch)?;
    writer.finish()?;
    let text = String::from_utf8(writer.into_inner()).map_err(|e| ArrowError::JsonError(e.to_string()))?;
    Ok(text.lines().map(str::to_string).collect())
}
