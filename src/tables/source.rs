//! One table as it lies in its files: its columns, its rows in chunks, and where each row stands.

use std::fmt;

use arrow::record_batch::RecordBatch;

use super::TableError;
use super::arrow_file::ArrowFile;
use super::caps::Caps;
use super::csv::{CsvFile, CsvOptions};
use super::find::Location;
use super::parquet_file::ParquetFiles;
use super::workbook::SheetTable;

/// Where a row or a cell stands: the file's name and the line (CSV), the row from 1 (Parquet, Arrow), or the sheet's cell.
/// Shown as `hours.csv:17` or `fleet.xlsx!hours!C17`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// File name, without its folder; for a folder of Parquet files `folder/file`; for a sheet `file!sheet`.
    pub file: String,
    /// Line of a CSV file, counted from 1 with the header; row of a Parquet or Arrow file, from 1; row of a sheet.
    pub line: u64,
    /// The cell of a sheet, as `C17`.
    pub cell: Option<String>,
}

impl Place {
    /// File and, in a workbook, the cell: where a person opens the file.
    pub fn file_and_cell(&self) -> String {
        match &self.cell {
            Some(cell) => format!("{}!{cell}", self.file),
            None => self.file.clone(),
        }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.cell {
            Some(cell) => write!(out, "{}!{cell}", self.file),
            None => write!(out, "{}:{}", self.file, self.line),
        }
    }
}

/// A CSV record that could not be split into the header's fields.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Broken {
    /// Row of the table, from 0.
    pub row: u32,
    /// What is wrong with it.
    pub problem: BrokenRecord,
    /// The record cut at every separator, for finding out whom it names. Never used as values.
    pub pieces: Vec<String>,
}

/// The ways in which a CSV record can fail to be one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BrokenRecord {
    /// Fewer fields than the header.
    TooFewFields {
        /// Fields found.
        found: usize,
        /// Fields in the header.
        expected: usize,
    },
    /// More fields than the header.
    TooManyFields {
        /// Fields found.
        found: usize,
        /// Fields in the header.
        expected: usize,
    },
    /// A quotation mark inside a field, or one that never closes.
    StrayQuote,
    /// Bytes that are not UTF-8.
    NotUtf8 {
        /// Offset of the first such byte in the file, from 0.
        offset: u64,
    },
}

/// A table's files, opened, not yet decoded.
pub enum Source {
    /// A CSV file.
    Csv(CsvFile),
    /// One Parquet file or several read as one.
    Parquet(ParquetFiles),
    /// An Arrow IPC file.
    Arrow(ArrowFile),
    /// A sheet of a workbook.
    Sheet(SheetTable),
}

impl Source {
    /// Opens a table's files and reads what describes them (header, schema, row counts).
    ///
    /// # Errors
    /// [`TableError`] when the table as a whole cannot be read.
    pub fn open(location: &Location, options: CsvOptions, caps: &Caps) -> Result<Source, TableError> {
        Ok(match location {
            Location::Csv(path) => Source::Csv(CsvFile::open(path, options)?),
            Location::Parquet(paths) => Source::Parquet(ParquetFiles::open(paths, caps)?),
            Location::Arrow(path) => Source::Arrow(ArrowFile::open(path, caps)?),
        })
    }

    /// Column names as written, trimmed.
    pub fn columns(&self) -> &[String] {
        match self {
            Source::Csv(file) => file.columns(),
            Source::Parquet(files) => files.columns(),
            Source::Arrow(file) => file.columns(),
            Source::Sheet(sheet) => sheet.columns(),
        }
    }

    /// Rows of each chunk; the chunks in order are the table.
    pub fn chunk_rows(&self) -> Vec<usize> {
        match self {
            Source::Csv(file) => file.chunk_rows(),
            Source::Parquet(files) => files.chunk_rows(),
            Source::Arrow(file) => file.chunk_rows(),
            Source::Sheet(sheet) => sheet.chunk_rows(),
        }
    }

    /// Decodes the wanted columns (by position, in ascending order) of one chunk.
    ///
    /// CSV gives text columns; Parquet and Arrow give their own types, text as dictionaries where the file has them; a sheet
    /// gives structures of kind, number and text, see [`super::workbook::CellView`].
    ///
    /// # Errors
    /// [`TableError::Broken`] when the file's own library refuses it.
    pub fn read_chunk(&self, chunk: usize, columns: &[usize]) -> Result<Vec<RecordBatch>, TableError> {
        match self {
            Source::Csv(file) => Ok(vec![file.read_chunk(chunk, columns)?]),
            Source::Parquet(files) => files.read_chunk(chunk, columns),
            Source::Arrow(file) => file.read_chunk(chunk, columns),
            Source::Sheet(sheet) => Ok(vec![sheet.read_chunk(chunk, columns)?]),
        }
    }

    /// Records that could not be split into fields (CSV only).
    pub fn broken(&self) -> &[Broken] {
        match self {
            Source::Csv(file) => file.broken(),
            Source::Parquet(_) | Source::Arrow(_) | Source::Sheet(_) => &[],
        }
    }

    /// Rows marked as examples, which are not among the rows (CSV and sheets only).
    pub fn examples(&self) -> usize {
        match self {
            Source::Csv(file) => file.examples(),
            Source::Sheet(sheet) => sheet.examples(),
            Source::Parquet(_) | Source::Arrow(_) => 0,
        }
    }

    /// File and line of a row (from 0), or of the header, and in a sheet the cell of the column at this position.
    pub fn place_of(&self, row: Option<u32>, column: Option<usize>) -> Place {
        let header = |place: Place| Place { line: 0, ..place };
        match (self, row) {
            (Source::Csv(file), Some(row)) => file.place(row),
            (Source::Csv(file), None) => file.header_place(),
            (Source::Parquet(files), Some(row)) => files.place(row),
            (Source::Parquet(files), None) => header(files.place(0)),
            (Source::Arrow(file), Some(row)) => file.place(row),
            (Source::Arrow(file), None) => header(file.place(0)),
            (Source::Sheet(sheet), Some(row)) => sheet.place(row, column),
            (Source::Sheet(sheet), None) => sheet.header_place(column),
        }
    }

    /// The rows (from 0, ascending) as they are written: CSV text (for a sheet, of its cells as they are shown), or JSON for
    /// Parquet and Arrow.
    ///
    /// # Errors
    /// [`TableError`] when the file cannot be read again.
    pub fn as_written(&self, rows: &[u32]) -> Result<Vec<String>, TableError> {
        match self {
            Source::Csv(file) => rows.iter().map(|&row| file.as_written(row)).collect(),
            Source::Parquet(files) => files.as_written(rows),
            Source::Arrow(file) => file.as_written(rows),
            Source::Sheet(sheet) => Ok(rows.iter().map(|&row| sheet.as_written(row)).collect()),
        }
    }

    /// Header position of a line, for messages about columns: file name and line.
    pub fn header_place(&self) -> Place {
        self.place_of(None, None)
    }

    /// Whether days that are bare numbers count from 1904 (a setting of workbooks), not from 1900.
    pub fn counts_from_1904(&self) -> bool {
        matches!(self, Source::Sheet(sheet) if sheet.counts_from_1904())
    }
}
