//! A result table as text for a person: plain columns, one light rule, as many columns as fit.

mod cells;

use arrow::error::ArrowError;
use arrow::record_batch::RecordBatch;
use comfy_table::{Attribute, Cell, CellAlignment, ContentArrangement, LineStyle, Table, TableStyle};

use crate::results::TableSpec;
use cells::{ColumnCells, column_cells, text_width};

/// Spaces between columns.
const GAP: u16 = 2;

const LOOK: TableStyle = TableStyle::new().header_separator(LineStyle::none().fill('─'));

/// How a table is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Layout {
    /// Columns of text that fit; `None` when the user has chosen the columns, however wide.
    pub width: Option<u16>,
    /// Whether the header is bold.
    pub styled: bool,
}

/// A table as text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TableText {
    /// The lines, each with its end.
    pub text: String,
    /// The columns that did not fit, in order.
    pub left_out: Vec<String>,
}

impl TableText {
    /// Which columns did not fit, and how to see them; `None` when all did.
    pub fn left_out_note(&self) -> Option<String> {
        if self.left_out.is_empty() {
            return None;
        }
        let names = self.left_out.join(", ");
        Some(format!(
            "no room for: {names}\nhint: name the columns you want with --columns, or see all with --format csv"
        ))
    }
}

/// Lays out the rows of `batch`. Numbers stand to the right with the decimals of the list of columns (`spec`), days are ISO, a
/// missing value is empty, long text is wrapped. The last columns are left out until the rest fits; the first always stays.
///
/// Holds all of the text in memory: slice a long table first.
///
/// # Errors
/// When a column has a type that no result column has and Arrow cannot show.
pub fn table_text(batch: &RecordBatch, spec: Option<&TableSpec>, layout: Layout) -> Result<TableText, ArrowError> {
    let columns: Vec<ColumnCells> = batch
        .schema_ref()
        .fields()
        .iter()
        .zip(batch.columns())
        .map(|(field, values)| {
            let column = spec.and_then(|spec| spec.column(field.name()));
            column_cells(field.name(), values, column, text_width(layout.width))
        })
        .collect::<Result<_, _>>()?;
    let table = lay_out(&columns, batch.num_rows(), layout.styled);
    let fitting = how_many_fit(&table.column_max_content_widths(), layout.width);
    let left_out = columns[fitting..].iter().map(|column| column.name.clone()).collect();
    let table = match fitting < columns.len() {
        true => lay_out(&columns[..fitting], batch.num_rows(), layout.styled),
        false => table,
    };
    let mut text = table.trim_fmt();
    if !text.is_empty() {
        text.push('\n');
    }
    Ok(TableText { text, left_out })
}

fn how_many_fit(widths: &[u16], room: Option<u16>) -> usize {
    let Some(room) = room else {
        return widths.len();
    };
    let mut used = 0_u32;
    for (at, width) in widths.iter().enumerate() {
        used += u32::from(*width) + if at > 0 { u32::from(GAP) } else { 0 };
        if at > 0 && used > u32::from(room) {
            return at;
        }
    }
    widths.len()
}

fn lay_out(columns: &[ColumnCells], rows: usize, styled: bool) -> Table {
    let mut table = Table::new();
    table.load_style(LOOK).set_content_arrangement(ContentArrangement::Disabled);
    match styled {
        true => table.enforce_styling(),
        false => table.force_no_tty(),
    };
    let tallest = columns.iter().map(|column| column.header.lines().count()).max();
    let header = columns.iter().map(|column| {
        // Names stand on the rule, whatever their number of lines.
        let above = tallest.unwrap_or(0) - column.header.lines().count();
        let cell = Cell::new(format!("{}{}", "\n".repeat(above), column.header));
        match styled {
            true => cell.add_attribute(Attribute::Bold),
            false => cell,
        }
    });
    table.set_header(header.collect::<Vec<Cell>>());
    for row in 0..rows {
        table.add_row(columns.iter().map(|column| column.cells[row].as_str()));
    }
    for (at, column) in columns.iter().enumerate() {
        let gap = if at + 1 < columns.len() { GAP } else { 0 };
        if let Some(place) = table.column_mut(at) {
            place.set_padding((0, gap));
            if column.right_aligned {
                place.set_cell_alignment(CellAlignment::Right);
            }
        }
    }
    table
}

#[cfg(test)]
mod tests;
