//! The filled cells of a sheet, row by row, in one pass over its file; a second one only where a formula may hide.

use std::collections::HashMap;
use std::io::Cursor;

use calamine::{DataRef, ExcelDateTime, Xlsx, XlsxError, XlsxFormulaMetadata};

use super::cell::{CellKind, SheetCell, day_of_number};
use super::number_format::NumberFormat;

/// A workbook's content, held in memory.
pub(super) type Book = Xlsx<Cursor<Vec<u8>>>;

/// The filled cells of one row, from left to right.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct SheetRow {
    /// The row's number in the sheet, from 1.
    pub number: u32,
    /// Column from 0, and the cell.
    pub cells: Vec<(u32, SheetCell)>,
}

impl SheetRow {
    pub fn cell(&self, column: u32) -> Option<&SheetCell> {
        self.cells.binary_search_by_key(&column, |(at, _)| *at).ok().map(|at| &self.cells[at].1)
    }
}

/// Row and column from 0, and what stands there.
type Placed = ((u32, u32), SheetCell);

/// Why a sheet was not read.
#[derive(Debug)]
pub(super) enum Unread {
    /// The library refuses it.
    Damaged(XlsxError),
    /// Its cells would take more memory than they may.
    TooLarge,
}

impl From<XlsxError> for Unread {
    fn from(error: XlsxError) -> Unread {
        Unread::Damaged(error)
    }
}

/// Every row of a sheet with a filled cell; the cells may take `most_bytes` in memory.
pub(super) fn rows(book: &mut Book, sheet: &str, most_bytes: u64) -> Result<Vec<SheetRow>, Unread> {
    let mut cells = first_pass(book, sheet, most_bytes)?;
    if cells.unnamed_errors {
        take_positions(book, sheet, &mut cells.list)?;
    }
    if cells.list.iter().any(|(_, c)| c.kind == CellKind::Empty) {
        formulas_without_values(book, sheet, &mut cells.list)?;
    }
    let mut list = cells.list;
    list.retain(|(_, cell)| cell.is_filled());
    list.sort_by_key(|(at, _)| *at);
    let mut rows: Vec<SheetRow> = Vec::new();
    for ((row, column), cell) in list {
        match rows.last_mut() {
            Some(last) if last.number == row + 1 => last.cells.push((column, cell)),
            _ => rows.push(SheetRow { number: row + 1, cells: vec![(column, cell)] }),
        }
    }
    for row in &mut rows {
        row.cells.dedup_by_key(|(column, _)| *column);
    }
    Ok(rows)
}

struct Cells {
    list: Vec<Placed>,
    /// Error values that the library does not know stopped it before it said where they stand.
    unnamed_errors: bool,
}

fn first_pass(book: &mut Book, sheet: &str, most_bytes: u64) -> Result<Cells, Unread> {
    let system_1904 = book.has_1904_epoch();
    let mut reader = book.worksheet_cells_reader(sheet)?;
    let formats: Vec<Option<(NumberFormat, bool)>> = reader
        .styles()
        .iter()
        .map(|style| {
            let format = NumberFormat::new(&style.number_format.as_ref()?.format_code);
            let plain = format.is_plain();
            Some((format, plain))
        })
        .collect();
    let mut cells = Cells { list: Vec::new(), unnamed_errors: false };
    let mut bytes = 0u64;
    loop {
        if bytes > most_bytes {
            return Err(Unread::TooLarge);
        }
        match reader.next_cell_with_style_id() {
            Ok(Some((cell, style))) => {
                let format = formats.get(style).and_then(Option::as_ref);
                let format = format.filter(|(_, plain)| !plain).map(|(format, _)| format);
                let value = cell_of(cell.get_value(), format, system_1904);
                let text = value.text.as_ref().map_or(0, |text| text.len());
                bytes += (size_of::<Placed>() + text) as u64;
                cells.list.push((cell.get_position(), value));
            }
            Ok(None) => return Ok(cells),
            Err(XlsxError::CellError(name)) => {
                cells.unnamed_errors = true;
                bytes += size_of::<Placed>() as u64;
                let error = SheetCell::named(CellKind::Error, name);
                cells.list.push(((0, 0), error));
            }
            Err(error) => return Err(error.into()),
        }
    }
}

fn cell_of(value: &DataRef<'_>, format: Option<&NumberFormat>, system_1904: bool) -> SheetCell {
    match value {
        DataRef::Empty => SheetCell::number(CellKind::Empty, f64::NAN),
        DataRef::Int(value) => SheetCell::with_format(*value as f64, format),
        DataRef::Float(value) => SheetCell::with_format(*value, format),
        DataRef::String(text) => SheetCell::text(text.as_str()),
        DataRef::SharedString(text) => SheetCell::text(*text),
        DataRef::Bool(value) => SheetCell::number(CellKind::YesNo, f64::from(u8::from(*value))),
        DataRef::DateTime(value) => date(value, system_1904),
        DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => SheetCell::text(text.as_str()),
        DataRef::Error(error) => SheetCell::named(CellKind::Error, error.to_string()),
    }
}

fn date(value: &ExcelDateTime, system_1904: bool) -> SheetCell {
    let number = value.as_f64();
    if value.is_duration() {
        return SheetCell::number(CellKind::Duration, number);
    }
    if !system_1904 && (0.0..1.0).contains(&number) {
        return SheetCell::number(CellKind::TimeOfDay, number);
    }
    // A day's end that rounding left a hair below the next day is that next day.
    let number = (number * 86_400_000.0).round() / 86_400_000.0;
    // The day that never was stands for the one before it: it is a date all the same, never a number.
    let whole_day = |number| day_of_number(number, system_1904);
    match whole_day(number).or_else(|| whole_day(number - 1.0)) {
        Some(day) => SheetCell::number(CellKind::Date, f64::from(day) + number.rem_euclid(1.0)),
        // A date format on a number that is no day: shown as signs only, so it stays a number.
        None => SheetCell::number(CellKind::Number, number),
    }
}

/// Gives every cell, in the order of the file, the position that the file says.
fn take_positions(book: &mut Book, sheet: &str, list: &mut [Placed]) -> Result<(), XlsxError> {
    let mut reader = book.worksheet_cells_reader(sheet)?;
    for (at, _) in list {
        let Some(cell) = reader.next_formula()? else {
            return Ok(());
        };
        *at = cell.get_position();
    }
    Ok(())
}

/// A cell without a value looks empty; where it holds a formula it is not.
fn formulas_without_values(book: &mut Book, sheet: &str, list: &mut [Placed]) -> Result<(), XlsxError> {
    let mut empty: HashMap<(u32, u32), &mut SheetCell> =
        list.iter_mut().filter(|(_, cell)| cell.kind == CellKind::Empty).map(|(at, cell)| (*at, cell)).collect();
    let mut reader = book.worksheet_cells_reader(sheet)?;
    loop {
        let record = match reader.next_cell_with_formula_metadata() {
            Ok(Some(record)) => record,
            Ok(None) => return Ok(()),
            Err(XlsxError::CellError(_)) => continue,
            Err(error) => return Err(error),
        };
        let (Some(formula), DataRef::Empty) = (record.formula, record.value) else {
            continue;
        };
        let text = match formula {
            XlsxFormulaMetadata::Normal { formula } | XlsxFormulaMetadata::Shared { formula, .. } => {
                format!("={formula}")
            }
            _ => "=".to_string(),
        };
        if let Some(cell) = empty.get_mut(&record.pos) {
            **cell = SheetCell::named(CellKind::NotCalculated, text);
        }
    }
}
