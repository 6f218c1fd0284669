//! What can go wrong with a whole table (a single bad row is not an error: it is set aside).

use std::path::{Path, PathBuf};

/// A table that cannot be read at all. Every message names the file, what was found and what to do.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum TableError {
    /// Nothing is there.
    #[error("{}: no such folder or workbook\nhint: name the folder that holds propellers.csv, propellers.parquet or propellers.arrow, or an .xlsx file with a sheet `propellers`", .0.display())]
    NoFolder(PathBuf),
    /// The path names something that is not a folder.
    #[error("{}: expected a folder of tables or a workbook, found another file\nhint: name the folder that holds propellers.csv, propellers.parquet or propellers.arrow, or an .xlsx file with a sheet `propellers`", .0.display())]
    NotAFolder(PathBuf),
    /// The folder holds no `propellers` table.
    #[error("{}: found no table `propellers` (propellers.csv, propellers.parquet, propellers.arrow or a folder propellers/ of Parquet files)\nhint: {}", folder.display(), hint)]
    NoPropellers {
        /// The folder looked in.
        folder: PathBuf,
        /// What to do.
        hint: String,
    },
    /// A workbook that cannot be read.
    #[error("{}: {problem}\nhint: {hint}", path.display())]
    Workbook {
        /// The file.
        path: PathBuf,
        /// What was found.
        problem: String,
        /// What to do.
        hint: String,
    },
    /// A sheet of a workbook, or a cell of it, that stops its table from being read.
    #[error("{place}: {problem}\nhint: {hint}")]
    Sheet {
        /// File, sheet and cell.
        place: String,
        /// What was found.
        problem: String,
        /// What to do.
        hint: String,
    },
    /// Two files for one table.
    #[error("two files for one table `{table}`: {} and {}\nhint: keep one of them in the folder", .first.display(), .second.display())]
    TwoFiles {
        /// The table.
        table: String,
        /// One file.
        first: PathBuf,
        /// The other.
        second: PathBuf,
    },
    /// A directory stands where a file is expected.
    #[error("{}: expected a file, found a folder\nhint: only a folder of Parquet files may stand for a table, and it is named like the table, without an ending", .0.display())]
    DirectoryForFile(PathBuf),
    /// A sub-folder for a table holds no Parquet file.
    #[error("{}: the folder holds no .parquet file\nhint: put the table's Parquet files there or remove the folder", .0.display())]
    EmptyFolder(PathBuf),
    /// A file that looks like a table and is not read.
    #[error("{}: {problem}\nhint: {hint}", path.display())]
    NotRead {
        /// The file.
        path: PathBuf,
        /// What was found.
        problem: String,
        /// What to do.
        hint: String,
    },
    /// Opening or reading failed.
    #[error("{}: cannot be read: {source}", path.display())]
    Read {
        /// The file.
        path: PathBuf,
        /// The system's words.
        source: std::io::Error,
    },
    /// The file has no header row.
    #[error("{}: the file is empty, expected a header row\nhint: write the column names in the first line, or remove the file", .0.display())]
    Empty(PathBuf),
    /// The file is not text.
    #[error("{}:1: expected UTF-8 text, found {found} at byte {offset}\nhint: save the table as CSV in UTF-8", path.display())]
    NotText {
        /// The file.
        path: PathBuf,
        /// What was found.
        found: &'static str,
        /// Where, in bytes from 0.
        offset: usize,
    },
    /// The header row itself cannot be read.
    #[error("{}:{line}: the header row cannot be read: {problem}\nhint: {hint}", path.display())]
    Header {
        /// The file.
        path: PathBuf,
        /// The line of the header.
        line: u64,
        /// What is wrong.
        problem: String,
        /// What to do.
        hint: String,
    },
    /// A Parquet or Arrow file that its library refuses.
    #[error("{}: damaged, cannot be read as {format}: {problem}\nhint: write the file again or take the last good copy; a half-written file reads like this", path.display())]
    Broken {
        /// The file.
        path: PathBuf,
        /// `Parquet` or `Arrow IPC`.
        format: &'static str,
        /// The library's words.
        problem: String,
    },
    /// Parquet files of one table with different columns.
    #[error("{}: its columns differ from those of {}\nhint: the files of one table must have the same columns and types", .second.display(), .first.display())]
    DifferentColumns {
        /// The first file.
        first: PathBuf,
        /// The one that differs.
        second: PathBuf,
    },
    /// More memory than a table may take.
    #[error("{file}: says that it holds {rows} rows, which would take {:.1} GiB, more than `reading.table_gib` allows\nhint: if it really holds them, set a larger table_gib in the section [reading] of the settings", *.bytes as f64 / f64::from(1u32 << 30))]
    TooLarge {
        /// The file.
        file: String,
        /// Rows it says.
        rows: usize,
        /// Bytes they would take.
        bytes: u64,
    },
    /// More rows than can be numbered.
    #[error("{}: more than 4,294,967,294 rows in one table", .0.display())]
    TooManyRows(PathBuf),
}

impl TableError {
    pub(crate) fn read(path: &Path, source: std::io::Error) -> TableError {
        if source.kind() == std::io::ErrorKind::IsADirectory {
            return TableError::DirectoryForFile(path.to_path_buf());
        }
        TableError::Read { path: path.to_path_buf(), source }
    }
}
