//! A sheet of settings: a key, and the value in the cell right of it.

use super::cell::{CellKind, SheetCell};
use super::read_sheet::SheetRow;
use super::table::letters;
use crate::tables::TableError;
use crate::tables::example::is_example;

/// A key with its value as text, and the cells they stand in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeyValue {
    /// The key.
    pub key: String,
    /// The value; empty when its cell is.
    pub value: String,
    /// Row and column of the key's cell, both from 1; the value's cell is the next column.
    pub row: u32,
    /// See `row`.
    pub column: u32,
}

/// `C17` for row 17 and column 3, both from 1.
pub fn cell_name(row: u32, column: u32) -> String {
    format!("{}{row}", letters(column.saturating_sub(1)))
}

/// Rows below the headings `key` and `value`; all rows where these headings are missing.
pub(super) fn of(place: &str, rows: &[SheetRow]) -> Result<Vec<KeyValue>, TableError> {
    let is = |row: &SheetRow, column: u32, word: &str| {
        let text = row.cell(column).and_then(|cell| cell.text.as_deref());
        text.is_some_and(|text| text.trim().eq_ignore_ascii_case(word))
    };
    let headings = rows.iter().enumerate().find_map(|(at, row)| {
        let mut columns = row.cells.iter().map(|(column, _)| *column);
        let key = columns.find(|&c| is(row, c, "key") && is(row, c + 1, "value"))?;
        Some((at + 1, key))
    });
    let (from, key_column) = match headings {
        Some((from, column)) => (from, Some(column)),
        None => (0, None),
    };
    let mut found = Vec::new();
    for row in &rows[from..] {
        let Some((first, _)) = row.cells.first() else {
            continue;
        };
        let column = key_column.unwrap_or(*first);
        let Some(key) = row.cell(column).map(|cell| cell.view().shown()) else {
            continue;
        };
        if is_example(&key) {
            continue;
        }
        let value = match row.cell(column + 1) {
            Some(cell) => value(cell, key.trim()).map_err(|problem| TableError::Sheet {
                place: format!("{place}!{}", cell_name(row.number, column + 2)),
                problem: format!("{}: {problem}", key.trim()),
                hint: "type the value itself".to_string(),
            })?,
            None => String::new(),
        };
        found.push(KeyValue { key: key.trim().to_string(), value, row: row.number, column: column + 1 });
    }
    Ok(found)
}

fn value(cell: &SheetCell, key: &str) -> Result<String, String> {
    let view = cell.view();
    match view.kind {
        CellKind::Error => Err(format!("expected a value, found the error {}", view.shown())),
        CellKind::NotCalculated => Err(format!("expected a value, found the formula {} without one", view.shown())),
        CellKind::YesNo => Ok((view.number != 0.0).to_string()),
        // A percentage counts in percent where the key says so, and as the plain number elsewhere.
        CellKind::Percent if key.ends_with("_pct") => Ok(view.number.to_string()),
        CellKind::Percent => Ok((view.number / 100.0).to_string()),
        CellKind::Number => Ok(SheetCell::number(CellKind::Number, view.number).view().shown()),
        _ => Ok(view.shown()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_are_named_by_letters_and_rows() {
        assert_eq!(cell_name(17, 3), "C17");
        assert_eq!(cell_name(1, 1), "A1");
    }
}
