//! Empty tables for a fleet's records: a workbook or a folder of CSV files, with headings, units, notes and examples.
//!
//! Tables, columns and closed words come from [`crate::records::schema`], settings from [`crate::settings`]; nothing is
//! listed a second time here.

mod column;
mod example;
mod fill_or_delete;
mod folder;
mod guide;
mod settings_rows;
mod workbook;

use std::io::Write as _;
use std::path::{Path, PathBuf};

use rust_xlsxwriter::XlsxError;

use crate::records::schema::Table;
use crate::tables::atomic_folder::{AtomicFile, ResultFolder};
use crate::tables::write::WriteError;
use crate::trade::calendar::Day;

pub use column::{LengthUnit, heading};
pub use example::example_row;
pub use fill_or_delete::{FILL_OR_DELETE, FillOrDelete};

/// A value to be written into a template.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// Text, or a closed word.
    Text(String),
    /// A day.
    Day(Day),
    /// A number.
    Number(f64),
    /// A length in inches; it is written in the template's unit.
    Inches(f64),
}

/// A row to be written: columns by their names in the schema, each with its value.
pub type Row = Vec<(&'static str, Cell)>;

/// A template.
#[derive(Debug, Clone, PartialEq)]
pub struct Template {
    /// The unit of every length.
    pub unit: LengthUnit,
    /// Rows to write below the example of their table; a template as it is handed out has none.
    pub rows: Vec<(Table, Row)>,
}

/// Why a template was not written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum TemplateError {
    /// The folder holds something.
    #[error(
        "{}: this folder is not empty, and a template never writes over anything; name a new folder",
        .0.display()
    )]
    NotEmpty(PathBuf),
    /// The file is there already.
    #[error("{}: this file is there already, and a template never writes over anything; name a new file", .0.display())]
    FileThere(PathBuf),
    /// It could not be written.
    #[error(transparent)]
    Write(#[from] WriteError),
    /// The workbook could not be put together.
    #[error("the workbook could not be put together: {0}")]
    Workbook(#[from] XlsxError),
}

impl Template {
    /// A template without rows but its examples.
    pub fn new(unit: LengthUnit) -> Template {
        Template { unit, rows: Vec::new() }
    }

    /// The bytes of the template as a workbook; the same template gives the same bytes.
    ///
    /// # Errors
    /// [`TemplateError::Workbook`] when a row holds what a cell cannot.
    pub fn workbook(&self) -> Result<Vec<u8>, TemplateError> {
        Ok(workbook::bytes(self)?)
    }

    /// Writes the template as a new workbook.
    ///
    /// # Errors
    /// [`TemplateError::FileThere`], [`TemplateError::Write`], [`TemplateError::Workbook`].
    pub fn write_workbook(&self, path: &Path) -> Result<(), TemplateError> {
        if path.symlink_metadata().is_ok_and(|there| !there.is_dir()) {
            return Err(TemplateError::FileThere(path.to_path_buf()));
        }
        let mut file = AtomicFile::begin(path)?;
        let bytes = self.workbook()?;
        file.write_all(&bytes).map_err(WriteError::Stream)?;
        file.commit()?;
        Ok(())
    }

    /// Writes the template as a new folder of CSV files, with `README.txt` and `fleet.toml`.
    ///
    /// # Errors
    /// [`TemplateError::NotEmpty`], [`TemplateError::Write`].
    pub fn write_folder(&self, folder: &Path) -> Result<(), TemplateError> {
        let holds_something = std::fs::read_dir(folder).is_ok_and(|mut entries| entries.next().is_some());
        if holds_something {
            return Err(TemplateError::NotEmpty(folder.to_path_buf()));
        }
        let mut made = ResultFolder::begin(folder)?;
        for (name, text) in folder::files(self) {
            let mut file = made.file(&name)?;
            file.write_all(text.as_bytes()).map_err(WriteError::Stream)?;
            file.finish()?;
        }
        made.commit()?;
        Ok(())
    }

    fn rows_of(&self, table: Table) -> impl Iterator<Item = &Row> {
        let of_table = self.rows.iter().filter(move |(of, _)| *of == table);
        of_table.map(|(_, row)| row)
    }
}
