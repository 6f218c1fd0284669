//! A sheet read as a table: the row of headings among whatever stands above it, and the rows below.

use std::collections::HashSet;
use std::fmt::Write as _;
use std::sync::Arc;

use arrow::array::{ArrayRef, Float64Builder, StringBuilder, StructArray, UInt8Builder};
use arrow::buffer::NullBuffer;
use arrow::datatypes::{DataType, Field, Fields, Schema};
use arrow::record_batch::{RecordBatch, RecordBatchOptions};

use super::cell::{CellKind, CellView};
use super::read_sheet::SheetRow;
use crate::tables::TableError;
use crate::tables::example::is_example;
use crate::tables::source::Place;

/// Filled rows that are looked at for the headings.
const ROWS_LOOKED_AT: usize = 40;
const CHUNK_ROWS: usize = 1 << 16;

/// A sheet whose headings have been found.
pub struct SheetTable {
    /// File and sheet: `fleet.xlsx!hours`.
    name: String,
    columns: Vec<String>,
    /// The sheet's column of each of them, from 0.
    at: Vec<u32>,
    header_row: u32,
    rows: Vec<SheetRow>,
    examples: usize,
    beside: usize,
    system_1904: bool,
}

/// `A`, `Z`, `AA` for 0, 25, 26.
pub(super) fn letters(column: u32) -> String {
    let mut rest = column + 1;
    let mut letters = Vec::new();
    while rest > 0 {
        letters.push(char::from(b'A' + ((rest - 1) % 26) as u8));
        rest = (rest - 1) / 26;
    }
    letters.iter().rev().collect()
}

/// The fields of a cell as Arrow holds it: kind, number, text.
fn cell_fields() -> Fields {
    Fields::from(vec![
        Field::new("kind", DataType::UInt8, false),
        Field::new("number", DataType::Float64, true),
        Field::new("text", DataType::Utf8, true),
    ])
}

impl SheetTable {
    /// Finds the headings: of the first filled rows the one with the most names that `is_known` knows, the first of equals.
    pub(super) fn new(
        name: String,
        rows: Vec<SheetRow>,
        is_known: &dyn Fn(&str) -> bool,
        system_1904: bool,
    ) -> Result<SheetTable, TableError> {
        let known = |row: &SheetRow| {
            let names = row.cells.iter().filter_map(|(_, cell)| cell.text.as_deref());
            names.filter(|text| is_known(text.trim())).count()
        };
        let looked_at = rows.iter().take(ROWS_LOOKED_AT).enumerate();
        // Of equal rows `max_by_key` takes the last one it sees: seen from below that is the first.
        let (header, _) =
            looked_at.map(|(at, row)| (at, known(row))).rev().max_by_key(|&(_, known)| known).unwrap_or((0, 0));
        let mut rows = rows.into_iter().skip(header);
        let headings = rows.next().unwrap_or(SheetRow { number: 1, cells: Vec::new() });
        let header_row = headings.number;
        let mut columns: Vec<String> = Vec::with_capacity(headings.cells.len());
        let mut at = Vec::with_capacity(headings.cells.len());
        let mut seen = HashSet::with_capacity(headings.cells.len());
        for (column, cell) in &headings.cells {
            let heading = cell.view().shown().trim().to_string();
            if !seen.insert(heading.clone()) {
                return Err(TableError::Sheet {
                    place: format!("{name}!{}{header_row}", letters(*column)),
                    problem: format!("column `{heading}` stands there twice"),
                    hint: "rename or remove one of the two columns".to_string(),
                });
            }
            columns.push(heading);
            at.push(*column);
        }
        let (mut examples, mut beside) = (0, 0);
        let is_record = |row: &SheetRow| {
            let first = row.cells.first().and_then(|(_, cell)| cell.text.as_deref());
            let is_example = first.is_some_and(is_example);
            let is_beside = !row.cells.iter().any(|(column, _)| at.binary_search(column).is_ok());
            examples += usize::from(is_example);
            beside += usize::from(is_beside && !is_example);
            !is_example && !is_beside
        };
        let rows: Vec<SheetRow> = rows.filter(is_record).collect();
        if rows.len() >= u32::MAX as usize {
            return Err(TableError::TooManyRows(name.into()));
        }
        Ok(SheetTable { name, columns, at, header_row, examples, beside, rows, system_1904 })
    }

    /// Rows marked as examples, which are not among the rows.
    pub fn examples(&self) -> usize {
        self.examples
    }

    /// Rows without a cell under any heading: notes beside the table, which are not among the rows.
    pub fn beside(&self) -> usize {
        self.beside
    }

    /// Whether the workbook counts days from 1904.
    pub fn counts_from_1904(&self) -> bool {
        self.system_1904
    }

    /// Rows below the headings, examples and notes beside them left out.
    pub fn row_count(&self) -> usize {
        self.rows.len()
    }

    /// The cell of a row, from 0, in one of the columns; `None` where nothing stands.
    pub fn cell(&self, row: usize, column: usize) -> Option<CellView<'_>> {
        Some(self.rows.get(row)?.cell(*self.at.get(column)?)?.view())
    }

    /// The headings.
    pub fn columns(&self) -> &[String] {
        &self.columns
    }

    pub(in crate::tables) fn chunk_rows(&self) -> Vec<usize> {
        self.rows.chunks(CHUNK_ROWS).map(<[SheetRow]>::len).collect()
    }

    /// The cell of a row in one of the columns; the first column's when none is named.
    pub(in crate::tables) fn place(&self, row: u32, column: Option<usize>) -> Place {
        let line = self.rows.get(row as usize).map_or(0, |r| r.number);
        self.at_line(line, column)
    }

    pub(in crate::tables) fn header_place(&self, column: Option<usize>) -> Place {
        self.at_line(self.header_row, column)
    }

    fn at_line(&self, line: u32, column: Option<usize>) -> Place {
        let at = column.and_then(|c| self.at.get(c)).or(self.at.first());
        Place {
            file: self.name.clone(),
            line: u64::from(line),
            cell: Some(format!("{}{line}", letters(at.copied().unwrap_or(0)))),
        }
    }

    /// The row as CSV text of its cells as they are shown, from the first heading to the last filled cell.
    pub(in crate::tables) fn as_written(&self, row: u32) -> String {
        let Some(row) = self.rows.get(row as usize) else {
            return String::new();
        };
        let ends = |cells: (Option<u32>, Option<u32>), heads: (Option<&u32>, Option<&u32>)| {
            let from = cells.0.into_iter().chain(heads.0.copied()).min();
            let to = cells.1.into_iter().chain(heads.1.copied()).max();
            from.unwrap_or(0)..=to.unwrap_or(0)
        };
        let columns =
            ends((row.cells.first().map(|c| c.0), row.cells.last().map(|c| c.0)), (self.at.first(), self.at.last()));
        let mut text = String::new();
        for (index, column) in columns.enumerate() {
            let comma = if index == 0 { "" } else { "," };
            let shown = row.cell(column).map_or(String::new(), |c| c.view().shown());
            let _ = if shown.contains([',', '"', '\n', '\r']) {
                write!(text, "{comma}\"{}\"", shown.replace('"', "\"\""))
            } else {
                write!(text, "{comma}{shown}")
            };
        }
        text
    }

    pub(in crate::tables) fn read_chunk(&self, chunk: usize, wanted: &[usize]) -> Result<RecordBatch, TableError> {
        let from = chunk * CHUNK_ROWS;
        let rows = &self.rows[from..(from + CHUNK_ROWS).min(self.rows.len())];
        let arrays: Vec<ArrayRef> = wanted.iter().map(|&c| column(rows, self.at[c])).collect();
        let fields: Vec<Field> = wanted
            .iter()
            .map(|&c| Field::new(self.columns[c].as_str(), DataType::Struct(cell_fields()), true))
            .collect();
        let options = RecordBatchOptions::new().with_row_count(Some(rows.len()));
        RecordBatch::try_new_with_options(Arc::new(Schema::new(fields)), arrays, &options).map_err(|error| {
            TableError::Sheet {
                place: self.name.clone(),
                problem: format!("cannot be read: {error}"),
                hint: "save the workbook again as .xlsx".to_string(),
            }
        })
    }
}

fn column(rows: &[SheetRow], at: u32) -> ArrayRef {
    let mut kinds = UInt8Builder::with_capacity(rows.len());
    let mut numbers = Float64Builder::with_capacity(rows.len());
    let mut texts = StringBuilder::new();
    for row in rows {
        match row.cell(at) {
            Some(cell) => {
                kinds.append_value(cell.kind as u8);
                numbers.append_option((!cell.number.is_nan()).then_some(cell.number));
                texts.append_option(cell.text.as_deref());
            }
            None => {
                kinds.append_value(CellKind::Empty as u8);
                numbers.append_null();
                texts.append_null();
            }
        }
    }
    let children: Vec<ArrayRef> = vec![Arc::new(kinds.finish()), Arc::new(numbers.finish()), Arc::new(texts.finish())];
    Arc::new(StructArray::new(cell_fields(), children, None::<NullBuffer>))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_are_named_by_letters() {
        for (column, name) in [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ"), (702, "AAA"), (16_383, "XFD")] {
            assert_eq!(letters(column), name);
        }
    }
}
