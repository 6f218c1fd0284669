//! One table as it lies in its files: its columns, its rows in chunks, and where each row stands.

use arrow::record_batch::RecordBatch;

use super::TableError;
use super::arrow_file::ArrowFile;
use super::csv::{CsvFile, CsvOptions};
use super::find::Location;
use super::parquet_file::ParquetFiles;

/// Where a row stands: the file's name and the line (CSV) or the row from 1 (Parquet, Arrow).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// File name, without its folder; for a folder of Parquet files `folder/file`.
    pub file: String,
    /// Line of a CSV file, counted from 1 with the header; row of a Parquet or Arrow file, from 1.
    pub line: u64,
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
}

impl Source {
    /// Opens a table's files and reads what describes them (header, schema, row counts).
    ///
    /// # Errors
    /// [`TableError`] when the table as a whole cannot be read.
    pub fn open(location: &Location, options: CsvOptions) -> Result<Source, TableError> {
        Ok(match location {
            Location::Csv(path) => Source::Csv(CsvFile::open(path, options)?),
            Location::Parquet(paths) => Source::Parquet(ParquetFiles::open(paths)?),
            Location::Arrow(path) => Source::Arrow(ArrowFile::open(path)?),
        })
    }

    /// Column names as written, trimmed.
    pub fn columns(&self) -> &[String] {
        match self {
            Source::Csv(file) => file.columns(),
            Source::Parquet(files) => files.columns(),
            Source::Arrow(file) => file.columns(),
        }
    }

    /// Rows of each chunk; the chunks in order are the table.
    pub fn chunk_rows(&self) -> Vec<usize> {
        match self {
            Source::Csv(file) => file.chunk_rows(),
            Source::Parquet(files) => files.chunk_rows(),
            Source::Arrow(file) => file.chunk_rows(),
        }
    }

    /// Decodes the wanted columns (by position, in ascending order) of one chunk.
    ///
    /// CSV gives text columns; the others give their own types, text as dictionaries where the file has them.
    ///
    /// # Errors
    /// [`TableError::Broken`] when the file's own library refuses it.
    pub fn read_chunk(
        &self,
        chunk: usize,
        columns: &[usize],
    ) -> Result<Vec<RecordBatch>, TableError> {
        match self {
            Source::Csv(file) => Ok(vec![file.read_chunk(chunk, columns)?]),
            Source::Parquet(files) => files.read_chunk(chunk, columns),
            Source::Arrow(file) => file.read_chunk(chunk, columns),
        }
    }

    /// Records that could not be split into fields (CSV only).
    pub fn broken(&self) -> &[Broken] {
        match self {
            Source::Csv(file) => file.broken(),
            Source::Parquet(_) | Source::Arrow(_) => &[],
        }
    }

    /// File and line of a row (from 0).
    pub fn place(&self, row: u32) -> Place {
        match self {
            Source::Csv(file) => file.place(row),
            Source::Parquet(files) => files.place(row),
            Source::Arrow(file) => file.place(row),
        }
    }

    /// The rows (from 0, ascending) as they are written: CSV text, or JSON for Parquet and Arrow.
    ///
    /// # Errors
    /// [`TableError`] when the file cannot be read again.
    pub fn as_written(&self, rows: &[u32]) -> Result<Vec<String>, TableError> {
        match self {
            Source::Csv(file) => rows.iter().map(|&row| file.as_written(row)).collect(),
            Source::Parquet(files) => files.as_written(rows),
            Source::Arrow(file) => file.as_written(rows),
        }
    }

    /// Header position of a line, for messages about columns: file name and line.
    pub fn header_place(&self) -> Place {
        match self {
            Source::Csv(file) => file.header_place(),
            Source::Parquet(files) => Place {
                line: 0,
                ..files.place(0)
            },
            Source::Arrow(file) => Place {
                line: 0,
                ..file.place(0)
            },
        }
    }

    /// Whether cells are text to be read (CSV), not typed values.
    pub fn is_text(&self) -> bool {
        matches!(self, Source::Csv(_))
    }
}
