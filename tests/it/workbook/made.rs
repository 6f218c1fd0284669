//! Workbooks written for a test.

use std::path::{Path, PathBuf};

use bladewane::records::{Loaded, ReadOptions};
use rust_xlsxwriter::{ExcelDateTime, Format, Formula, Workbook, Worksheet};

use crate::fleet_folder::{LIMITS, MODELS, PROPELLERS, as_of, cautions, plain, set_aside};

/// What a test puts into a cell.
#[derive(Debug, Clone)]
pub enum Put {
    Text(&'static str),
    Number(f64),
    /// A number and its format code.
    Shown(f64, &'static str),
    /// A date of the spreadsheet, `YYYY-MM-DD`.
    Date(&'static str),
    YesNo(bool),
    /// A formula and the value it is stored with.
    Formula(&'static str, &'static str),
    Nothing,
}

/// A workbook under way.
pub struct Book {
    pub workbook: Workbook,
    dir: tempfile::TempDir,
}

impl Book {
    pub fn empty() -> Book {
        Book { workbook: Workbook::new(), dir: tempfile::tempdir().expect("a temporary folder") }
    }

    /// Two propellers, one model and its limits.
    pub fn small() -> Book {
        Book::empty().csv("propellers", PROPELLERS).csv("models", MODELS).csv("limits", LIMITS)
    }

    /// A sheet with a table written as CSV: dates and numbers as a spreadsheet types them, everything else as text.
    pub fn csv(mut self, sheet: &str, table: &str) -> Book {
        fill(self.sheet(sheet), &plain(table));
        self
    }

    /// A sheet with a line of headings and rows of cells.
    pub fn rows(mut self, sheet: &str, headings: &str, rows: &[&[Put]]) -> Book {
        let at = self.sheet(sheet);
        for (column, heading) in headings.split(',').enumerate() {
            at.write_string(0, column as u16, heading).expect("written");
        }
        for (row, cells) in rows.iter().enumerate() {
            for (column, cell) in cells.iter().enumerate() {
                put(at, row as u32 + 1, column as u16, cell);
            }
        }
        self
    }

    pub fn sheet(&mut self, name: &str) -> &mut Worksheet {
        let sheet = self.workbook.add_worksheet();
        sheet.set_name(name).expect("a name")
    }

    /// Writes it as `fleet.xlsx`.
    pub fn save(mut self) -> Saved {
        let path = self.dir.path().join("fleet.xlsx");
        self.workbook.save(&path).expect("saved");
        Saved { path, _dir: self.dir }
    }
}

pub fn put(sheet: &mut Worksheet, row: u32, column: u16, cell: &Put) {
    let done = match cell {
        Put::Text(text) => sheet.write_string(row, column, *text),
        Put::Number(value) => sheet.write_number(row, column, *value),
        Put::Shown(value, code) => {
            let format = Format::new().set_num_format(*code);
            sheet.write_number_with_format(row, column, *value, &format)
        }
        Put::Date(text) => {
            let day = ExcelDateTime::parse_from_str(text).expect("a date");
            let format = Format::new().set_num_format("dd/mm/yyyy");
            sheet.write_datetime_with_format(row, column, &day, &format)
        }
        Put::YesNo(value) => sheet.write_boolean(row, column, *value),
        Put::Formula(formula, value) => sheet.write_formula(row, column, Formula::new(*formula).set_result(*value)),
        Put::Nothing => return,
    };
    done.expect("written");
}

/// Writes CSV text into a sheet as a spreadsheet would hold it: a cell that is a date or a number has that type.
pub fn fill(sheet: &mut Worksheet, csv: &str) {
    let date = Format::new().set_num_format("yyyy-mm-dd");
    for (row, line) in csv.lines().enumerate() {
        for (column, cell) in fields(line).into_iter().enumerate() {
            let (row, column) = (row as u32, column as u16);
            let day = bladewane::trade::calendar::Day::parse_iso(&cell);
            let done = if cell.is_empty() {
                continue;
            } else if day.is_some() {
                let day = ExcelDateTime::parse_from_str(&cell).expect("a date");
                sheet.write_datetime_with_format(row, column, &day, &date)
            } else if let Ok(value) = cell.parse::<f64>() {
                sheet.write_number(row, column, value)
            } else {
                sheet.write_string(row, column, &cell)
            };
            done.expect("written");
        }
    }
}

/// The fields of a CSV line; quoted ones may hold commas.
pub fn fields(line: &str) -> Vec<String> {
    let mut fields = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match (c, quoted) {
            ('"', _) => quoted = !quoted,
            (',', false) => fields.push(String::new()),
            (c, _) => fields.last_mut().expect("one at least").push(c),
        }
    }
    fields
}

/// A workbook on disk.
pub struct Saved {
    pub path: PathBuf,
    _dir: tempfile::TempDir,
}

impl Saved {
    /// A file of these bytes.
    pub fn bytes(name: &str, bytes: &[u8]) -> Saved {
        let dir = tempfile::tempdir().expect("a temporary folder");
        let path = dir.path().join(name);
        std::fs::write(&path, bytes).expect("written");
        Saved { path, _dir: dir }
    }

    pub fn folder(&self) -> &Path {
        self.path.parent().expect("in a folder")
    }

    pub fn read(&self, options: &ReadOptions) -> Result<Loaded, String> {
        let folder = format!("{}/", self.folder().display());
        Loaded::read(&self.path, options, |_| true, |_| {}).map_err(|error| error.to_string().replace(&folder, ""))
    }

    pub fn load(&self) -> Loaded {
        match self.read(&ReadOptions::default()) {
            Ok(loaded) => loaded,
            Err(error) => panic!("the workbook is read: {error}"),
        }
    }

    pub fn error(&self) -> String {
        match self.read(&ReadOptions::default()) {
            Ok(_) => panic!("the workbook was read without an error"),
            Err(error) => error,
        }
    }

    /// Rows set aside on 2026-01-01, as `place column [value] rule | remedy`.
    pub fn set_aside(&self) -> Vec<String> {
        let loaded = self.load();
        set_aside(&as_of(&loaded, "2026-01-01"))
    }

    /// Cautions on 2026-01-01.
    pub fn cautions(&self) -> Vec<String> {
        let loaded = self.load();
        cautions(&as_of(&loaded, "2026-01-01"))
    }
}
