//! A fleet's workbook as a folder: every sheet a CSV table, values as they are written.
//!
//! A cell of the spreadsheet's own kinds is written as the column would be typed in a CSV file of this fleet: a day in the
//! fleet's form of dates, a number with its decimal point or comma, 75 % in a column of percent as 75, 1234:30 in a column of
//! hours as 1234.5. Everything else is written as it is shown, so that a row which is set aside stays as it is and is set aside
//! again. Afterwards both are read, and what the folder does not say as the workbook does is told.

use std::collections::BTreeMap;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use crate::records::schema::{Column, Kind, Schema, TABLES, YES_NO, holds_hours};
use crate::records::{Fleet, LoadError, Loaded, ReadOptions};
use crate::settings::Settings;
use crate::tables::TableError;
use crate::tables::atomic_folder::ResultFolder;
use crate::tables::find::Container;
use crate::tables::workbook::{CellKind, CellView, SheetTable, Workbook};
use crate::tables::write::WriteError;
use crate::trade::calendar::Day;

/// Why no folder was written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum BookError {
    /// It is no workbook.
    #[error("{}: expected a workbook to make a folder of, found a folder\nhint: name the .xlsx file first, then the new folder", .0.display())]
    NoWorkbook(PathBuf),
    /// The folder holds something.
    #[error("{}: this folder is not empty, and nothing is ever written over\nhint: name a new folder", .0.display())]
    NotEmpty(PathBuf),
    /// The workbook, or the folder that was written, cannot be read.
    #[error(transparent)]
    Load(#[from] LoadError),
    /// A sheet cannot be read.
    #[error(transparent)]
    Table(#[from] TableError),
    /// The folder could not be written.
    #[error(transparent)]
    Write(#[from] WriteError),
}

/// What was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unpacked {
    /// Each table with its rows.
    pub tables: Vec<(&'static str, usize)>,
    /// What was left out, and what reads otherwise in the folder.
    pub notes: Vec<String>,
}

/// Writes the workbook `book` as the new folder `folder`, with the settings of its sheet `fleet` as `fleet.toml`.
///
/// # Errors
/// [`BookError`]; the folder is then not there.
pub fn write_folder(
    book: &Path,
    folder: &Path,
    settings: &Settings,
    options: &ReadOptions,
    today: Day,
) -> Result<Unpacked, BookError> {
    let Container::Workbook(mut workbook) = Container::open(book, &options.caps).map_err(LoadError::from)? else {
        return Err(BookError::NoWorkbook(book.to_path_buf()));
    };
    if std::fs::read_dir(folder).is_ok_and(|mut entries| entries.next().is_some()) {
        return Err(BookError::NotEmpty(folder.to_path_buf()));
    }
    let loaded = Loaded::read(book, options, |_| true, |_| {})?;
    let mut made = ResultFolder::begin(folder)?;
    let mut tables = Vec::new();
    for schema in TABLES {
        let Some(table) = table_of(&mut workbook, schema)? else { continue };
        let mut file = made.file(&format!("{}.csv", schema.name))?;
        file.write_all(csv(schema, &table, options).as_bytes()).map_err(WriteError::Stream)?;
        file.finish()?;
        tables.push((schema.name, table.row_count()));
    }
    let given = settings.given_toml();
    if !given.is_empty() {
        let mut file = made.file("fleet.toml")?;
        file.write_all(given.as_bytes()).map_err(WriteError::Stream)?;
        file.finish()?;
    }
    let place = made.commit()?;
    let mut notes = loaded.notes.clone();
    notes.extend(read_otherwise(&loaded, &place, settings, options, today)?);
    Ok(Unpacked { tables, notes })
}

/// The sheet of a table; `None` where there is none or no cell of it is filled.
fn table_of(workbook: &mut Workbook, schema: &'static Schema) -> Result<Option<SheetTable>, TableError> {
    match workbook.sheet(schema.name)? {
        Some(sheet) => workbook.table(&sheet, &|name| schema.knows(name)),
        None => Ok(None),
    }
}

fn csv(schema: &Schema, table: &SheetTable, options: &ReadOptions) -> String {
    let separator = char::from(options.separator);
    let columns: Vec<Option<&Column>> = table.columns().iter().map(|name| column_of(schema, name)).collect();
    let mut text = String::new();
    let mut line = |fields: &mut dyn Iterator<Item = String>| {
        for (at, field) in fields.enumerate() {
            if at > 0 {
                text.push(separator);
            }
            if field.contains([separator, '"', '\n', '\r']) {
                text.push_str(&format!("\"{}\"", field.replace('"', "\"\"")));
            } else {
                text.push_str(&field);
            }
        }
        text.push('\n');
    };
    line(&mut table.columns().iter().cloned());
    for row in 0..table.row_count() {
        let cells = columns
            .iter()
            .enumerate()
            .map(|(at, column)| table.cell(row, at).map_or_else(String::new, |cell| written(cell, *column, options)));
        line(&mut { cells });
    }
    text
}

/// The column of the schema that a heading names, with or without a unit.
fn column_of<'s>(schema: &'s Schema, heading: &str) -> Option<&'s Column> {
    let bare = ["_in", "_mm", "_thou"].iter().find_map(|unit| heading.strip_suffix(unit));
    schema.columns.iter().find(|column| match column.kind {
        Kind::Length => Some(column.name) == bare,
        _ => column.name == heading,
    })
}

/// A cell as it is typed in a CSV file.
fn written(cell: CellView<'_>, column: Option<&Column>, options: &ReadOptions) -> String {
    let writing = &options.writing;
    let Some(column) = column else { return cell.shown() };
    let number = |value: f64| {
        let exact = value.to_string();
        if writing.decimal_comma { exact.replace('.', ",") } else { exact }
    };
    let is_number = matches!(column.kind, Kind::Number | Kind::NumberOrNone | Kind::Length | Kind::Small);
    match (cell.kind, column.kind) {
        (CellKind::Date, Kind::Date) => {
            let day = Day::from_number(cell.number.floor() as i32);
            match &writing.date_pattern {
                Some(pattern) => day.date().format(pattern).to_string(),
                None => day.to_string(),
            }
        }
        (CellKind::Number | CellKind::Scientific, _) if is_number => number(cell.number),
        (CellKind::Percent, _) if is_number && column.name.ends_with("_pct") => number(cell.number),
        (CellKind::Duration, _) if is_number && holds_hours(column.name) => number(cell.number * 24.0),
        (CellKind::YesNo, Kind::Word(words)) if words == YES_NO => YES_NO[usize::from(cell.number == 0.0)].to_string(),
        _ => cell.shown(),
    }
}

/// What becomes of the rows: by table, how many are used, later and set aside, and the column and value of each set aside.
type Fates = BTreeMap<&'static str, ([u32; 4], Vec<(String, String)>)>;

fn fates(fleet: &Fleet<'_>) -> Fates {
    let mut fates = Fates::new();
    for schema in TABLES {
        let Some(counts) = fleet.ledger.counts(schema.table) else { continue };
        let of_table = fleet.ledger.set_aside.iter().filter(|row| row.table == schema.table);
        let mut aside: Vec<(String, String)> =
            of_table.map(|row| (row.column.to_string(), row.value.to_string())).collect();
        aside.sort();
        fates.insert(schema.name, ([counts.read, counts.used, counts.set_aside, counts.later], aside));
    }
    fates
}

/// Tables of which the folder says something else than the workbook: a kind of cell that a CSV file cannot hold.
fn read_otherwise(
    loaded: &Loaded,
    folder: &Path,
    settings: &Settings,
    options: &ReadOptions,
    today: Day,
) -> Result<Vec<String>, BookError> {
    let again = Loaded::read(folder, options, |_| true, |_| {})?;
    let (of_book, of_folder) =
        (fates(&Fleet::as_of(loaded, today, settings)), fates(&Fleet::as_of(&again, today, settings)));
    let mut notes = Vec::new();
    for (name, (counts, aside)) in &of_book {
        let Some((folder_counts, folder_aside)) = of_folder.get(name) else { continue };
        if counts == folder_counts && aside == folder_aside {
            continue;
        }
        let told: Vec<String> = aside
            .iter()
            .filter(|row| !folder_aside.contains(row))
            .map(|(column, value)| format!("{column} {value:?}"))
            .collect();
        notes.push(format!(
            "{name}.csv does not read as its sheet does, since a CSV file does not say of what kind a cell is: {}; \
             correct it in one of the two",
            if told.is_empty() { "compare what `check` says of both".to_string() } else { told.join(", ") }
        ));
    }
    Ok(notes)
}
