//! A workbook (`.xlsx`) whose sheets are tables: opened, or refused in words that say what to do.

mod cell;
mod key_values;
mod number_format;
mod read_sheet;
mod sniff;
mod table;
mod unpacked;

use std::io::{Cursor, Read as _};
use std::path::Path;

use calamine::{Reader as _, SheetType, SheetVisible, Xlsx, XlsxError};

pub use cell::{CellKind, CellView, day_of_number};
pub use key_values::{KeyValue, cell_name};
use read_sheet::{Book, Unread};
use sniff::Found;
pub use table::SheetTable;

use super::TableError;
use super::caps::Caps;
use super::guard::guarded;
use super::stamp::InputPath;

/// An opened workbook.
pub struct Workbook {
    input: InputPath,
    name: String,
    sheets: Vec<Listed>,
    book: Book,
    /// Bytes that the cells of one sheet may take.
    most_cell_bytes: u64,
}

/// A sheet in the workbook's own list.
#[derive(Debug, Clone)]
struct Listed {
    name: String,
    visible: bool,
    holds_cells: bool,
}

/// Whether two sheets would be one table: letter case, white space around the name, and a space or hyphen for the
/// underscore do not matter.
pub fn same_name(one: &str, other: &str) -> bool {
    let plain = |text: &str| {
        let lower = text.trim().to_lowercase();
        lower.replace([' ', '-'], "_")
    };
    plain(one) == plain(other)
}

impl Workbook {
    /// Opens a file; `None` when it is nothing like a workbook.
    ///
    /// # Errors
    /// A locked, damaged or other kind of workbook, each with what to do.
    pub fn open(path: &Path, caps: &Caps) -> Result<Option<Workbook>, TableError> {
        let ending = path.extension().map(|e| e.to_string_lossy().to_lowercase());
        let named_like_one = ending.is_some_and(|e| matches!(&*e, "xlsx" | "xlsm" | "xltx" | "xls" | "xlsb" | "ods"));
        let read = |e| TableError::read(path, e);
        let input = InputPath::seen(path);
        // Something else may be large; its first bytes say enough.
        let mut head = Vec::new();
        let file = std::fs::File::open(path).map_err(read)?;
        file.take(8).read_to_end(&mut head).map_err(read)?;
        if !named_like_one && matches!(sniff::what_it_is(&head), Found::Nothing | Found::Else) {
            return Ok(None);
        }
        let bytes = std::fs::read(path).map_err(read)?;
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        let refused = |problem: String, hint: &str| TableError::Workbook {
            path: path.to_path_buf(),
            problem,
            hint: hint.to_string(),
        };
        match sniff::what_it_is(&bytes) {
            Found::Workbook => {}
            Found::Locked => {
                return Err(refused(
                    "the workbook is locked with a password".to_string(),
                    "save a copy without a password and name that",
                ));
            }
            Found::OtherForm(form) => {
                return Err(refused(
                    format!("expected a workbook as .xlsx, found {form}"),
                    "open it in the spreadsheet program, save it as .xlsx, and name that file",
                ));
            }
            Found::Zip if named_like_one => {
                return Err(refused(damaged("it is cut short or not a workbook"), DAMAGED_HINT));
            }
            Found::Nothing if named_like_one => {
                return Err(refused("the file is empty".to_string(), DAMAGED_HINT));
            }
            Found::Else if named_like_one => {
                return Err(refused(
                    "the file is named like a workbook and is none".to_string(),
                    "open it in the spreadsheet program, save it as .xlsx, and name that file",
                ));
            }
            Found::Zip | Found::Nothing | Found::Else => return Ok(None),
        }
        refuse_if_too_large(path, &bytes, caps)?;
        let book: Book = guarded(
            |problem| refused(damaged(&problem), DAMAGED_HINT),
            || {
                Xlsx::new(Cursor::new(bytes)).map_err(|error| match error {
                    XlsxError::Password => refused(
                        "the workbook is locked with a password".to_string(),
                        "save a copy without a password and name that",
                    ),
                    error => refused(damaged(&error.to_string()), DAMAGED_HINT),
                })
            },
        )?;
        let sheets: Vec<Listed> = book
            .sheets_metadata()
            .iter()
            .map(|sheet| Listed {
                name: sheet.name.clone(),
                visible: sheet.visible == SheetVisible::Visible,
                holds_cells: sheet.typ == SheetType::WorkSheet,
            })
            .collect();
        let most_cell_bytes = caps.workbook_bytes.saturating_mul(2);
        Ok(Some(Workbook { input, name: name.into_owned(), sheets, book, most_cell_bytes }))
    }

    /// The file.
    pub fn path(&self) -> &Path {
        &self.input.path
    }

    /// The file as it was before it was read.
    pub fn input(&self) -> &InputPath {
        &self.input
    }

    /// Names of the visible sheets that hold cells, in order.
    pub fn visible(&self) -> impl Iterator<Item = &str> {
        let visible = self.sheets.iter().filter(|s| s.visible && s.holds_cells);
        visible.map(|s| s.name.as_str())
    }

    /// Names of the hidden sheets, in order.
    pub fn hidden(&self) -> impl Iterator<Item = &str> {
        let hidden = self.sheets.iter().filter(|s| !s.visible && s.holds_cells);
        hidden.map(|s| s.name.as_str())
    }

    /// The visible sheet that is named so.
    ///
    /// # Errors
    /// Two visible sheets that differ only in letter case or white space.
    pub fn sheet(&self, wanted: &str) -> Result<Option<String>, TableError> {
        let mut named = self.visible().filter(|name| same_name(name, wanted));
        match (named.next(), named.next()) {
            (Some(first), Some(second)) => Err(TableError::Workbook {
                path: self.path().to_path_buf(),
                problem: format!("two sheets of one name, `{first}` and `{second}`"),
                hint: format!("keep one of them, named `{wanted}`, and rename or hide the other"),
            }),
            (found, _) => Ok(found.map(str::to_string)),
        }
    }

    /// A sheet as a table; `None` when no cell of it is filled. `is_known` knows the names that headings may have.
    ///
    /// # Errors
    /// A damaged sheet, or two equal headings.
    pub fn table(&mut self, sheet: &str, is_known: &dyn Fn(&str) -> bool) -> Result<Option<SheetTable>, TableError> {
        let rows = self.rows(sheet)?;
        if rows.is_empty() {
            return Ok(None);
        }
        let place = self.place(sheet);
        SheetTable::new(place, rows, is_known, self.book.has_1904_epoch()).map(Some)
    }

    /// A sheet of keys and values: the value stands right of its key.
    ///
    /// # Errors
    /// A damaged sheet, a formula without a value, or an error value.
    pub fn key_values(&mut self, sheet: &str) -> Result<Vec<KeyValue>, TableError> {
        let rows = self.rows(sheet)?;
        key_values::of(&self.place(sheet), &rows)
    }

    /// File and sheet, as places name them.
    pub fn place(&self, sheet: &str) -> String {
        format!("{}!{}", self.name, sheet.trim())
    }

    fn rows(&mut self, sheet: &str) -> Result<Vec<read_sheet::SheetRow>, TableError> {
        let place = self.place(sheet);
        let refused =
            |problem: String, hint: &str| TableError::Sheet { place: place.clone(), problem, hint: hint.to_string() };
        guarded(
            |problem| refused(damaged(&problem), DAMAGED_HINT),
            || {
                read_sheet::rows(&mut self.book, sheet, self.most_cell_bytes).map_err(|error| match error {
                    Unread::Damaged(error) => refused(damaged(&error.to_string()), DAMAGED_HINT),
                    Unread::TooLarge => refused(
                        "its cells would take more memory than `reading.workbook_gib` allows".to_string(),
                        LARGE_HINT,
                    ),
                })
            },
        )
    }
}

/// Refuses a workbook that unpacks to more than the caps allow.
///
/// # Errors
/// [`TableError::Workbook`].
pub fn refuse_if_too_large(path: &Path, bytes: &[u8], caps: &Caps) -> Result<(), TableError> {
    if !unpacked::is_too_large(bytes, caps) {
        return Ok(());
    }
    let most = caps.unpacked_bytes(bytes.len() as u64) >> 20;
    Err(TableError::Workbook {
        path: path.to_path_buf(),
        problem: format!(
            "the workbook unpacks to more than {most} MiB, more than `reading.workbook_gib` and `reading.workbook_times` allow"
        ),
        hint: LARGE_HINT.to_string(),
    })
}

const LARGE_HINT: &str = "if it really holds that much, set the two larger in the section [reading] of a file given with --settings, or save the tables as CSV";

const DAMAGED_HINT: &str = "open it in the spreadsheet program and save it again as .xlsx, or take the last good copy";

fn damaged(problem: &str) -> String {
    format!("the workbook is damaged and cannot be read: {problem}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_sheets_as_people_write_them() {
        assert!(same_name("Aircraft Hours ", "aircraft_hours"));
        assert!(same_name("hours", "HOURS"));
        assert!(!same_name("hour", "hours"));
    }
}
