//! The shop's sheet as a grid of cells, from a CSV file or a workbook.

use std::io::Cursor;
use std::path::Path;

use calamine::{Data, Reader, SheetVisible, Xlsx, XlsxError};

use super::Refusal;
use crate::tables::caps::Caps;
use crate::tables::csv::grid::grid;
use crate::tables::workbook::refuse_if_too_large;

/// A cell as it was typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetCell {
    /// Its text, trimmed.
    pub text: String,
    /// Whether a workbook holds it as a number, so that no decimal sign is in question.
    pub is_number: bool,
    /// Why it cannot be a number or a word, whatever its text.
    pub spoiled: Option<&'static str>,
}

/// A filled row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetRow {
    /// Its row or line, from 1.
    pub line: u32,
    /// Its cells, the first column first.
    pub cells: Vec<SheetCell>,
}

impl SheetRow {
    /// The text of a cell; empty where there is none.
    pub fn text(&self, column: usize) -> &str {
        self.cells.get(column).map_or("", |cell| cell.text.as_str())
    }
}

/// One way to see a file: a sheet of a workbook, or a CSV file cut by one separator.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sheet {
    /// The file's name.
    pub file: String,
    /// The sheet's name, in a workbook.
    pub name: Option<String>,
    /// Filled rows.
    pub rows: Vec<SheetRow>,
}

impl Sheet {
    /// A cell's name: `sheet.xlsx!Page 1!C7`, or `sheet.csv:7` with the column's letter.
    pub fn place(&self, line: u32, column: usize) -> String {
        let letters = column_letters(column);
        match &self.name {
            Some(name) => format!("{}!{name}!{letters}{line}", self.file),
            None => format!("{}:{line} (column {letters})", self.file),
        }
    }
}

/// `A`, `B` ... `Z`, `AA` as spreadsheets count columns; `column` counts from 0.
fn column_letters(column: usize) -> String {
    let mut letters = Vec::new();
    let mut rest = column + 1;
    while rest > 0 {
        rest -= 1;
        letters.push(b'A' + (rest % 26) as u8);
        rest /= 26;
    }
    letters.iter().rev().map(|&b| b as char).collect()
}

/// Reads every sheet that may be meant: the visible ones of a workbook, or the file cut by comma, semicolon and tab.
///
/// # Errors
/// A file that cannot be read, or is neither.
pub fn read(path: &Path) -> Result<Vec<Sheet>, Refusal> {
    let file = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let ending = path.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default();
    match ending.as_str() {
        "xlsx" | "xlsm" => workbook(path, &file),
        "xls" | "ods" | "xlsb" | "numbers" => Err(Refusal::usage(format!(
            "{}: a sheet is read from .xlsx or .csv, not from .{ending}\nhint: open it in the spreadsheet and save it as .xlsx",
            path.display()
        ))),
        _ => csv(path, &file),
    }
}

fn unreadable(path: &Path, error: &std::io::Error) -> Refusal {
    Refusal::usage(format!(
        "{}: cannot be read: {error}\nhint: name the shop's sheet, a .csv or .xlsx file",
        path.display()
    ))
}

fn csv(path: &Path, file: &str) -> Result<Vec<Sheet>, Refusal> {
    let bytes = std::fs::read(path).map_err(|error| unreadable(path, &error))?;
    let text = String::from_utf8(bytes).map_err(|error| {
        Refusal::records(format!(
            "{}: expected UTF-8 text, found another byte at {}\nhint: save the sheet as CSV in UTF-8, or as .xlsx",
            path.display(),
            error.utf8_error().valid_up_to()
        ))
    })?;
    let mut sheets = Vec::new();
    let mut refused = None;
    for separator in [b',', b';', b'\t'] {
        match grid(&text, separator) {
            Ok(lines) => sheets.push(Sheet {
                file: file.to_string(),
                name: None,
                rows: lines
                    .into_iter()
                    .map(|line| SheetRow { line: line.line, cells: line.cells.into_iter().map(plain).collect() })
                    .collect(),
            }),
            Err(error) => refused = Some(error),
        }
    }
    match (sheets.is_empty(), refused) {
        (true, Some(error)) => Err(Refusal::records(format!(
            "{}: {error}\nhint: close the quotation mark, or double one that belongs to the text",
            path.display()
        ))),
        _ => Ok(sheets),
    }
}

fn workbook(path: &Path, file: &str) -> Result<Vec<Sheet>, Refusal> {
    let broken = |error: XlsxError| {
        let (what, hint) = match &error {
            XlsxError::Io(error) => return unreadable(path, error),
            XlsxError::Password => {
                ("the workbook is protected with a password".to_string(), "save a copy without a password")
            }
            other => (
                format!("cannot be read as a workbook: {other}"),
                "open it in the spreadsheet and save it again as .xlsx",
            ),
        };
        Refusal::records(format!("{}: {what}\nhint: {hint}", path.display()))
    };
    let bytes = std::fs::read(path).map_err(|error| unreadable(path, &error))?;
    refuse_if_too_large(path, &bytes, &Caps::default()).map_err(Refusal::records)?;
    let mut book = Xlsx::new(Cursor::new(bytes)).map_err(broken)?;
    let visible: Vec<String> = book
        .sheets_metadata()
        .iter()
        .filter(|sheet| sheet.visible == SheetVisible::Visible)
        .map(|sheet| sheet.name.clone())
        .collect();
    let mut sheets = Vec::new();
    for name in visible {
        if spans_too_much(&mut book, &name) {
            return Err(Refusal::records(format!(
                "{}!{name}: the sheet spans more cells than a shop's sheet has (at most {MOST_CELLS})\nhint: save the rows of one visit in a sheet of their own",
                path.display()
            )));
        }
        // A chart on a sheet of its own has no cells.
        let Ok(range) = book.worksheet_range(&name) else {
            continue;
        };
        let (top, left) = range.start().unwrap_or((0, 0));
        let rows = range
            .rows()
            .enumerate()
            .map(|(at, cells)| SheetRow {
                line: top + at as u32 + 1,
                cells: (0..left).map(|_| plain("")).chain(cells.iter().map(cell)).collect(),
            })
            .filter(|row| {
                let filled = |cell: &SheetCell| !cell.text.is_empty() || cell.spoiled.is_some();
                row.cells.iter().any(filled)
            })
            .collect();
        sheets.push(Sheet { file: file.to_string(), name: Some(name), rows });
    }
    Ok(sheets)
}

/// Cells that a shop's sheet may span, filled or not.
const MOST_CELLS: u64 = 1_000_000;

/// Whether the sheet spans more cells than a shop's sheet does: two cells in far corners are enough.
fn spans_too_much(book: &mut Xlsx<Cursor<Vec<u8>>>, name: &str) -> bool {
    let Ok(mut cells) = book.worksheet_cells_reader(name) else {
        return false;
    };
    let (mut rows, mut columns) = (0u64, 0u64);
    // A sheet that is damaged is told when it is read.
    while let Ok(Some(cell)) = cells.next_cell() {
        let (row, column) = cell.get_position();
        rows = rows.max(u64::from(row) + 1);
        columns = columns.max(u64::from(column) + 1);
    }
    rows * columns > MOST_CELLS
}

fn plain(text: impl AsRef<str>) -> SheetCell {
    SheetCell { text: text.as_ref().trim().to_string(), is_number: false, spoiled: None }
}

fn spoiled(text: String, why: &'static str) -> SheetCell {
    SheetCell { spoiled: Some(why), ..plain(text) }
}

fn cell(data: &Data) -> SheetCell {
    let number = |text: String| SheetCell { is_number: true, ..plain(text) };
    match data {
        Data::Empty => plain(""),
        Data::String(text) => plain(text),
        Data::Int(value) => number(value.to_string()),
        // Sums in a spreadsheet carry their last digits; a shop's gauge never reads them.
        Data::Float(value) => number(((value * 1e9).round() / 1e9).to_string()),
        Data::Bool(value) => plain(value.to_string()),
        Data::DateTime(value) => {
            let text = value.as_datetime().map_or_else(|| value.as_f64().to_string(), |at| at.date().to_string());
            spoiled(text, A_DATE)
        }
        Data::DateTimeIso(text) | Data::DurationIso(text) => spoiled(text.clone(), A_DATE),
        Data::Error(error) => {
            spoiled(error.to_string(), "a formula that gives no value\nhint: correct the formula, or type the reading")
        }
    }
}

/// What a date in place of a reading means.
pub const A_DATE: &str = "a date; spreadsheets make one of a fraction such as 1/16\nhint: format the cell as text and type the fraction again, or give the decimal";

#[cfg(test)]
mod tests {
    use super::column_letters;

    #[test]
    fn columns_are_named_as_spreadsheets_do() {
        let names: Vec<String> = [0, 25, 26, 27, 701, 702].map(column_letters).to_vec();
        assert_eq!(names, ["A", "Z", "AA", "AB", "ZZ", "AAA"]);
    }
}
