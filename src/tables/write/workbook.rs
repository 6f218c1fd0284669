//! Tables as a workbook for a person: one sheet a table, dates as dates, headings with their units, and a sheet `about`.
//!
//! The same rows give the same bytes: the day in the file's properties is given, never the computer's clock.

mod about;
mod heading;
mod sheet;

use std::io::Write;

use chrono::NaiveDate;
use rust_xlsxwriter::{DocProperties, Workbook, Worksheet, XlsxError};

pub use about::{ABOUT, About, Holds};
pub use heading::heading;
pub use sheet::{MOST_ROWS, TableSheet};

use super::WriteError;
use crate::tables::formats::Format;

/// A workbook in the making: sheets in the order in which they are added.
pub struct Book {
    sheets: Vec<Worksheet>,
    dated: NaiveDate,
    title: String,
}

impl Book {
    /// A workbook without sheets; `dated` is what its properties say of the day it was made.
    pub fn new(dated: NaiveDate, title: &str) -> Book {
        Book { sheets: Vec::new(), dated, title: title.to_string() }
    }

    /// Adds a table.
    ///
    /// # Errors
    /// [`WriteError::Encode`] when the library refuses what stands in it.
    pub fn push(&mut self, table: TableSheet) -> Result<(), WriteError> {
        self.sheets.push(table.close()?);
        Ok(())
    }

    /// Adds the sheet that says what the workbook is, before the sheets added so far or after them.
    ///
    /// # Errors
    /// As [`Book::push`].
    pub fn push_about(&mut self, about: &About, first: bool) -> Result<(), WriteError> {
        let sheet = about.sheet().map_err(refused)?;
        let at = if first { 0 } else { self.sheets.len() };
        self.sheets.insert(at, sheet);
        Ok(())
    }

    /// Writes the workbook and flushes.
    ///
    /// # Errors
    /// [`WriteError::Encode`]; [`WriteError::Stream`] when `to` refuses the bytes.
    pub fn finish<W: Write>(self, mut to: W) -> Result<(), WriteError> {
        let mut workbook = Workbook::new();
        let properties = DocProperties::new().set_title(self.title).set_creation_datetime(&self.dated);
        workbook.set_properties(&properties);
        for sheet in self.sheets {
            workbook.push_worksheet(sheet);
        }
        let bytes = workbook.save_to_buffer().map_err(refused)?;
        to.write_all(&bytes).map_err(WriteError::Stream)?;
        to.flush().map_err(WriteError::Stream)
    }
}

fn refused(error: XlsxError) -> WriteError {
    WriteError::encode(Format::Workbook, error)
}

#[cfg(test)]
mod tests;
