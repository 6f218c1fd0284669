//! Why a table, a file or a results folder could not be written.

use std::io;
use std::path::{Path, PathBuf};

use crate::tables::formats::Format;

/// A failure to write. Every message names the place when it is known, and what to do.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum WriteError {
    /// The place that bytes go to (a file, a pipe, standard output) refused them.
    #[error("the output could not be written: {0}")]
    Stream(#[source] io::Error),
    /// The file system refused something at a place that has a name.
    #[error("{}: {doing}: {source}\nhint: {hint}", path.display())]
    Place {
        /// The file or folder.
        path: PathBuf,
        /// What was being tried, "cannot ...".
        doing: &'static str,
        /// What to do about it.
        hint: &'static str,
        /// The system's words.
        source: io::Error,
    },
    /// The folder that should hold the output is not there.
    #[error("{}: no such folder, so `{}` cannot be written there\nhint: create the folder first, or name another place", parent.display(), name)]
    NoParent {
        /// The missing folder.
        parent: PathBuf,
        /// What was to be written in it.
        name: String,
    },
    /// A path that names no file or folder (it ends in `..`, or is empty).
    #[error("`{}`: names no file or folder\nhint: give a path that ends in a name", .0.display())]
    NoName(PathBuf),
    /// A file stands where the results folder should be.
    #[error("{}: expected a folder for the results, found a file\nhint: name another folder, or move the file away", .0.display())]
    FileForFolder(PathBuf),
    /// A folder stands where a file should be.
    #[error("{}: expected a file, found a folder\nhint: name a file in it, such as {}", path.display(), path.join(suggestion).display())]
    FolderForFile {
        /// The folder.
        path: PathBuf,
        /// A file name that would do.
        suggestion: &'static str,
    },
    /// The folder holds what no earlier run has written.
    #[error("{}: the folder holds `{found}`, which no earlier run has written, so it is left alone\nhint: name a new or empty folder, or move `{found}` away", path.display())]
    Foreign {
        /// The folder.
        path: PathBuf,
        /// One thing in it.
        found: String,
    },
    /// The folder holds a `run.json` that cannot be trusted to list an earlier run's files.
    #[error("{}: not the record of an earlier run: {problem}\nhint: name a new or empty folder", path.display())]
    NotOurRecord {
        /// The `run.json`.
        path: PathBuf,
        /// What is wrong with it.
        problem: String,
    },
    /// A result file was asked for under a name that is taken or is no plain name.
    #[error("`{name}`: {problem}")]
    FileName {
        /// The name.
        name: String,
        /// What is wrong with it.
        problem: &'static str,
    },
    /// The results were to take their place while a file was still open.
    #[error("`{0}`: the file was not finished, so the results did not take their place")]
    Unfinished(String),
    /// Rows whose columns are not the table's.
    #[error("rows with {found}, expected {expected}")]
    Columns {
        /// What came.
        found: String,
        /// What the table's schema says.
        expected: String,
    },
    /// More rows than a sheet holds.
    #[error(
        "`{table}` has more than {most} rows, and a sheet of a workbook holds no more\nhint: write it as parquet or csv, or choose rows with --top, --use, --base or --model"
    )]
    TooManyRows {
        /// The table.
        table: String,
        /// Rows that a sheet holds.
        most: u32,
    },
    /// The library for the format refused the rows.
    #[error("rows could not be written as {format}: {source}")]
    Encode {
        /// The format.
        format: Format,
        /// The library's words.
        #[source]
        source: Box<dyn std::error::Error + Send + Sync>,
    },
}

impl WriteError {
    pub(crate) fn encode(format: Format, source: impl std::error::Error + Send + Sync + 'static) -> WriteError {
        WriteError::Encode { format, source: Box::new(source) }
    }

    pub(crate) fn place(path: &Path, doing: &'static str, hint: &'static str, source: io::Error) -> WriteError {
        WriteError::Place { path: path.to_path_buf(), doing, hint, source }
    }

    /// Whether the reader at the other end of a pipe has gone: no failure of this program.
    pub fn is_closed_pipe(&self) -> bool {
        match self {
            WriteError::Stream(source) | WriteError::Place { source, .. } => source.kind() == io::ErrorKind::BrokenPipe,
            _ => false,
        }
    }
}
