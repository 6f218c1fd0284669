//! Rows added to the end of a CSV table of the fleet, written as the table is written: its columns, their order and units,
//! its separator, line ends and decimal sign.

use std::path::PathBuf;

use super::Refusal;
use super::heading::Unit;
use crate::records::LoadedTable;
use crate::records::reading::Writing;
use crate::records::schema::{Column, Kind, Table};

/// A value for a cell of the records.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// An identifier, a word, or a whole number.
    Text(String),
    /// A number as it was typed, decimals with a point.
    Number(String),
    /// A length as it was typed, with what it is in its unit.
    Length {
        /// As typed, decimals with a point.
        text: String,
        /// The number.
        number: f64,
        /// Its unit.
        unit: Unit,
    },
}

/// A row to add: columns of the records and their values.
pub type NewRow = Vec<(&'static str, Cell)>;

struct Field {
    column: Option<&'static Column>,
    unit: Unit,
}

/// A CSV table of the fleet, as it is or to be made.
pub struct CsvTable {
    /// The table.
    pub table: Table,
    /// Its file.
    pub path: PathBuf,
    /// What the file holds; `None` when it is to be made.
    pub bytes: Option<Vec<u8>>,
    /// Rows that it has.
    pub rows: usize,
    head: String,
    fields: Vec<Field>,
    separator: u8,
    line_end: &'static str,
    decimal_comma: bool,
}

impl CsvTable {
    /// A table that is there.
    ///
    /// # Errors
    /// The system's own words when it cannot be read.
    pub fn there(path: PathBuf, loaded: &LoadedTable, separator: u8, writing: &Writing) -> Result<CsvTable, Refusal> {
        let bytes = std::fs::read(&path)
            .map_err(|error| Refusal::records(format!("{}: cannot be read: {error}", path.display())))?;
        let schema = loaded.schema;
        let fields = loaded
            .source
            .columns()
            .iter()
            .map(|head| {
                let known = |c: &&Column| loaded.cells(c.name).is_some() && loaded.head(c.name) == head;
                let column = schema.columns.iter().find(known);
                let unit = [Unit::In, Unit::Mm, Unit::Thou]
                    .into_iter()
                    .find(|unit| head.ends_with(unit.ending()))
                    .unwrap_or(Unit::In);
                Field { column, unit }
            })
            .collect();
        let first_end = bytes.iter().position(|&b| b == b'\n');
        let crlf = first_end.is_some_and(|at| at > 0 && bytes[at - 1] == b'\r');
        Ok(CsvTable {
            table: schema.table,
            path,
            bytes: Some(bytes),
            rows: loaded.rows,
            head: String::new(),
            fields,
            separator,
            line_end: if crlf { "\r\n" } else { "\n" },
            decimal_comma: writing.decimal_comma,
        })
    }

    /// A table to be made, with these columns of the records in this order.
    pub fn new(
        table: Table,
        path: PathBuf,
        columns: &[(&'static str, Unit)],
        separator: u8,
        writing: &Writing,
    ) -> CsvTable {
        let schema = table.schema();
        let fields: Vec<Field> = columns
            .iter()
            .filter_map(|&(name, unit)| {
                let column = schema.columns.iter().find(|c| c.name == name)?;
                Some(Field { column: Some(column), unit })
            })
            .collect();
        let heads: Vec<String> = fields.iter().filter_map(|field| Some(head_of(field.column?, field.unit))).collect();
        CsvTable {
            table,
            path,
            bytes: None,
            rows: 0,
            head: heads.join(&char::from(separator).to_string()),
            fields,
            separator,
            line_end: "\n",
            decimal_comma: writing.decimal_comma,
        }
    }

    /// Its file's name.
    pub fn file(&self) -> String {
        format!("{}.csv", self.table.name())
    }

    /// Whether it has a column of the records.
    pub fn has(&self, name: &str) -> bool {
        self.fields.iter().any(|field| field.column.is_some_and(|c| c.name == name))
    }

    /// The table with rows added; every earlier byte stays as it is.
    pub fn with(&self, rows: &[NewRow]) -> Vec<u8> {
        let mut bytes = match &self.bytes {
            Some(bytes) => bytes.clone(),
            None => format!("{}{}", self.head, self.line_end).into_bytes(),
        };
        if bytes.last().is_some_and(|&last| last != b'\n') {
            bytes.extend_from_slice(self.line_end.as_bytes());
        }
        for row in rows {
            for (at, field) in self.fields.iter().enumerate() {
                if at > 0 {
                    bytes.push(self.separator);
                }
                let cell = field.column.and_then(|c| row.iter().find(|(name, _)| *name == c.name));
                if let Some((_, cell)) = cell {
                    let text = self.written(cell, field.unit);
                    bytes.extend_from_slice(self.quoted(&text).as_bytes());
                }
            }
            bytes.extend_from_slice(self.line_end.as_bytes());
        }
        bytes
    }

    fn written(&self, cell: &Cell, unit: Unit) -> String {
        let decimal = |text: String| match self.decimal_comma {
            true => text.replace('.', ","),
            false => text,
        };
        match cell {
            Cell::Text(text) => text.clone(),
            Cell::Number(text) => decimal(text.clone()),
            Cell::Length { text, unit: typed, .. } if *typed == unit => decimal(text.clone()),
            Cell::Length { number, unit: typed, .. } => {
                let inches = number / typed.per_inch().unwrap_or(1.0);
                decimal(rounded(inches * unit.per_inch().unwrap_or(1.0)))
            }
        }
    }

    fn quoted(&self, text: &str) -> String {
        let special = |c: char| c == char::from(self.separator) || matches!(c, '"' | '\n' | '\r');
        match text.contains(special) {
            true => format!("\"{}\"", text.replace('"', "\"\"")),
            false => text.to_string(),
        }
    }
}

/// A converted figure: finer than any gauge, without the tail of the division.
pub fn rounded(value: f64) -> String {
    ((value * 1e6).round() / 1e6).to_string()
}

/// A column as a file names it.
pub fn head_of(column: &Column, unit: Unit) -> String {
    match column.kind {
        Kind::Length => format!("{}{}", column.name, unit.ending()),
        _ => column.name.to_string(),
    }
}
