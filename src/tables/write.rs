//! Arrow tables to files: CSV, JSON, JSON lines, Arrow IPC, Parquet and a workbook.
//!
//! The same rows always give the same bytes, however they are cut into batches for CSV, JSON, JSON lines, Parquet and a
//! workbook
//! (an Arrow file keeps its batches as they came). Nothing here knows where the bytes go: [`crate::tables::atomic_folder`] has the
//! files and folders that appear only when they are complete.

mod error;
mod for_spreadsheet;
mod parallel;
mod parquet_groups;
mod watched;
pub mod workbook;

use std::fmt;
use std::io::Write;
use std::mem;
use std::sync::Arc;

use arrow::csv::{Writer as CsvRows, WriterBuilder as CsvBuilder};
use arrow::datatypes::SchemaRef;
use arrow::error::ArrowError;
use arrow::ipc::writer::FileWriter;
use arrow::json::writer::{JsonFormat, LineDelimited, Writer as JsonRows, WriterBuilder as JsonBuilder};
use arrow::record_batch::RecordBatch;
use chrono::NaiveDate;
use parquet::file::writer::SerializedFileWriter;

pub use error::WriteError;
pub use parallel::write_parquet_in_parallel;

use crate::tables::formats::Format;
use for_spreadsheet::with_apostrophes;
use parquet_groups::{GroupEncoder, open};
use watched::{FirstFailure, Watched};
use workbook::{Book, TableSheet};

/// What a workbook written as a plain file says of the day it was made: nothing that changes its bytes.
const UNDATED: NaiveDate = NaiveDate::from_ymd_opt(2000, 1, 1).unwrap();

/// Rows of one Parquet row group when rows come one batch after another.
pub const ROW_GROUP_ROWS: usize = 262_144;

/// Writes one table, batch after batch, in one format.
///
/// Give it something buffered: CSV is written in small pieces. Call [`TableWriter::finish`] at the end: without it the
/// file has no footer.
pub struct TableWriter<W: Write + Send> {
    format: Format,
    schema: SchemaRef,
    failure: FirstFailure,
    rows: u64,
    for_spreadsheet: bool,
    into: Rows<W>,
}

enum Rows<W: Write + Send> {
    Csv(Box<CsvRows<Watched<W>>>),
    Json(JsonRows<Watched<W>, JsonList>),
    JsonLines(JsonRows<Watched<W>, LineDelimited>),
    Arrow(Box<FileWriter<Watched<W>>>),
    Parquet(Box<ParquetRows<W>>),
    Workbook(Box<TableSheet>, Watched<W>),
}

/// One JSON array, a row on each line.
#[derive(Debug, Default)]
struct JsonList;

impl JsonFormat for JsonList {
    fn start_stream<W: Write>(&self, to: &mut W) -> Result<(), ArrowError> {
        Ok(to.write_all(b"[")?)
    }

    fn start_row<W: Write>(&self, to: &mut W, is_first_row: bool) -> Result<(), ArrowError> {
        Ok(to.write_all(if is_first_row { b"\n" } else { b",\n" })?)
    }

    fn end_stream<W: Write>(&self, to: &mut W) -> Result<(), ArrowError> {
        Ok(to.write_all(b"\n]\n")?)
    }
}

struct ParquetRows<W: Write + Send> {
    file: SerializedFileWriter<Watched<W>>,
    encoder: GroupEncoder,
    waiting: Vec<RecordBatch>,
    waiting_rows: usize,
}

impl<W: Write + Send> fmt::Debug for TableWriter<W> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("TableWriter").field("format", &self.format).field("rows", &self.rows).finish_non_exhaustive()
    }
}

impl<W: Write + Send> TableWriter<W> {
    /// Begins a table with the columns of `schema`. A CSV header is written at once, so that a table without rows still
    /// names its columns.
    ///
    /// # Errors
    /// [`WriteError::Stream`], [`WriteError::Encode`].
    pub fn new(format: Format, to: W, schema: &SchemaRef) -> Result<TableWriter<W>, WriteError> {
        let (to, failure) = Watched::new(to);
        let into = match format {
            Format::Csv => {
                let mut rows = CsvBuilder::new().with_header(true).build(to);
                rows.write(&RecordBatch::new_empty(Arc::clone(schema)))
                    .map_err(|error| failure.explain(format, error))?;
                Rows::Csv(Box::new(rows))
            }
            // A row always has every column: a key that is missing and one that is null must not be told apart.
            Format::Json => Rows::Json(JsonBuilder::new().with_explicit_nulls(true).build(to)),
            Format::JsonLines => Rows::JsonLines(JsonBuilder::new().with_explicit_nulls(true).build(to)),
            Format::Arrow => {
                Rows::Arrow(Box::new(FileWriter::try_new(to, schema).map_err(|error| failure.explain(format, error))?))
            }
            Format::Parquet => {
                let (file, encoder) = open(to, schema).map_err(|error| failure.explain(format, error))?;
                Rows::Parquet(Box::new(ParquetRows { file, encoder, waiting: Vec::new(), waiting_rows: 0 }))
            }
            Format::Workbook => {
                let name = schema.metadata().get("table").map_or("table", String::as_str);
                Rows::Workbook(Box::new(TableSheet::new(name, schema)?), to)
            }
        };
        Ok(TableWriter { format, schema: Arc::clone(schema), failure, rows: 0, into, for_spreadsheet: false })
    }

    /// In CSV, puts an apostrophe before a text that a spreadsheet would take for a formula.
    #[must_use]
    pub fn for_spreadsheet(self, wanted: bool) -> TableWriter<W> {
        TableWriter { for_spreadsheet: wanted, ..self }
    }

    /// Appends the rows of `batch`.
    ///
    /// # Errors
    /// [`WriteError::Columns`] when its columns are not the table's; [`WriteError::Stream`], [`WriteError::Encode`].
    pub fn write(&mut self, batch: &RecordBatch) -> Result<(), WriteError> {
        same_columns(&self.schema, batch)?;
        let arrow = |error: ArrowError| self.failure.explain(self.format, error);
        match &mut self.into {
            Rows::Csv(rows) if self.for_spreadsheet => rows.write(&with_apostrophes(batch)).map_err(arrow)?,
            Rows::Csv(rows) => rows.write(batch).map_err(arrow)?,
            Rows::Json(rows) => rows.write(batch).map_err(arrow)?,
            Rows::JsonLines(rows) => rows.write(batch).map_err(arrow)?,
            Rows::Arrow(rows) => rows.write(batch).map_err(arrow)?,
            Rows::Parquet(rows) => rows.push(batch, &self.failure)?,
            Rows::Workbook(rows, _) => rows.write(batch)?,
        }
        self.rows += batch.num_rows() as u64;
        Ok(())
    }

    /// Writes what is still to write, and flushes. Gives the number of rows.
    ///
    /// # Errors
    /// [`WriteError::Stream`], [`WriteError::Encode`].
    pub fn finish(self) -> Result<u64, WriteError> {
        let arrow = |error: ArrowError| self.failure.explain(self.format, error);
        let mut to = match self.into {
            Rows::Csv(rows) => rows.into_inner(),
            Rows::Json(mut rows) => {
                rows.finish().map_err(arrow)?;
                rows.into_inner()
            }
            Rows::JsonLines(mut rows) => {
                rows.finish().map_err(arrow)?;
                rows.into_inner()
            }
            Rows::Arrow(rows) => rows.into_inner().map_err(arrow)?,
            Rows::Parquet(mut rows) => {
                rows.write_group(rows.waiting_rows, &self.failure)?;
                rows.file.into_inner().map_err(|error| self.failure.explain(self.format, error))?
            }
            Rows::Workbook(rows, mut to) => {
                let mut book = Book::new(UNDATED, "");
                book.push(*rows)?;
                book.finish(&mut to)?;
                to
            }
        };
        to.flush().map_err(WriteError::Stream)?;
        Ok(self.rows)
    }
}

impl<W: Write + Send> ParquetRows<W> {
    fn push(&mut self, batch: &RecordBatch, failure: &FirstFailure) -> Result<(), WriteError> {
        self.waiting_rows += batch.num_rows();
        self.waiting.push(batch.clone());
        while self.waiting_rows >= ROW_GROUP_ROWS {
            self.write_group(ROW_GROUP_ROWS, failure)?;
        }
        Ok(())
    }

    /// Writes the first `rows` waiting rows as one group, so that groups do not depend on how the batches were cut.
    fn write_group(&mut self, rows: usize, failure: &FirstFailure) -> Result<(), WriteError> {
        if rows == 0 {
            return Ok(());
        }
        let (mut group, mut rest, mut wanted) = (Vec::new(), Vec::new(), rows);
        for batch in mem::take(&mut self.waiting) {
            let here = wanted.min(batch.num_rows());
            if here > 0 {
                group.push(batch.slice(0, here));
            }
            if here < batch.num_rows() {
                rest.push(batch.slice(here, batch.num_rows() - here));
            }
            wanted -= here;
        }
        self.waiting = rest;
        self.waiting_rows -= rows;
        let encoded = self.encoder.encode(&group).map_err(|error| WriteError::encode(Format::Parquet, error))?;
        encoded.append(&mut self.file).map_err(|error| failure.explain(Format::Parquet, error))
    }
}

/// Writes a whole table to `to` and flushes it. Gives the number of rows.
///
/// # Errors
/// As [`TableWriter::write`].
pub fn write_table<W: Write + Send>(
    format: Format,
    to: W,
    schema: &SchemaRef,
    batches: &[RecordBatch],
) -> Result<u64, WriteError> {
    let mut writer = TableWriter::new(format, to, schema)?;
    for batch in batches {
        writer.write(batch)?;
    }
    writer.finish()
}

/// Names and types must agree, in order; the metadata of the schema given first is what is written.
fn same_columns(schema: &SchemaRef, batch: &RecordBatch) -> Result<(), WriteError> {
    let found = batch.schema_ref();
    if Arc::ptr_eq(schema, found) {
        return Ok(());
    }
    let name_and_type = |schema: &SchemaRef| -> Vec<String> {
        let fields = schema.fields().iter();
        fields.map(|field| format!("{}: {}", field.name(), field.data_type())).collect()
    };
    let (expected, found) = (name_and_type(schema), name_and_type(found));
    if expected == found {
        return Ok(());
    }
    // Only the first difference is named: a table can have thirty columns.
    let at = expected.iter().zip(&found).take_while(|(e, f)| e == f).count();
    let column = |columns: &[String]| match columns.get(at) {
        Some(column) => format!("column {} `{column}`", at + 1),
        None => format!("no column {}", at + 1),
    };
    Err(WriteError::Columns { found: column(&found), expected: column(&expected) })
}

#[cfg(test)]
mod tests;
