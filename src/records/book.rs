//! The sheets of a workbook as a fleet's tables: which is which, and what is said of the others.

use super::load::LoadError;
use super::schema::{Schema, TABLES, Table};
use crate::settings::nearest;
use crate::tables::workbook::{Workbook, same_name};
use crate::tables::{Place, Source, TableError};

/// The sheet of settings, the workbook's `fleet.toml`.
pub const SETTINGS_SHEET: &str = "fleet";
/// The sheet that explains the others; it holds no records and nothing is said of it.
pub const GUIDE_SHEET: &str = "start here";

/// Where a fleet's settings stand, in words.
pub(super) fn settings_stand_in(is_workbook: bool) -> &'static str {
    if is_workbook { "the sheet `fleet`" } else { "fleet.toml" }
}

/// What is said once of sheets that are not read.
pub(super) fn notes(workbook: &Workbook) -> Vec<String> {
    let tables = || TABLES.iter().map(|schema| schema.name).chain([SETTINGS_SHEET]);
    let is_table = |sheet: &str| tables().any(|name| same_name(name, sheet));
    let mut notes = Vec::new();
    for sheet in workbook.hidden() {
        let more = if is_table(sheet) { "; show it in the spreadsheet program to have it read" } else { "" };
        notes.push(format!("{}: the sheet is hidden and ignored{more}", workbook.place(sheet)));
    }
    for sheet in workbook.visible() {
        if is_table(sheet) || same_name(sheet, GUIDE_SHEET) {
            continue;
        }
        let lower = sheet.trim().to_lowercase();
        let more = match nearest(&lower, tables()) {
            Some(near) => format!("; the nearest name of one is `{near}`"),
            None => String::new(),
        };
        notes.push(format!("{}: the sheet is no table and is ignored{more}", workbook.place(sheet)));
    }
    notes
}

/// A sheet as the source of a table; where no cell is filled, the place of its first.
pub(super) fn table(
    workbook: &mut Workbook,
    sheet: &str,
    schema: &'static Schema,
    notes: &mut Vec<String>,
) -> Result<Result<Source, Place>, LoadError> {
    let place = workbook.place(sheet);
    let first_cell = || Place { file: place.clone(), line: 1, cell: Some("A1".to_string()) };
    let is_needed = schema.table == Table::Propellers;
    let Some(table) = workbook.table(sheet, &|name| schema.knows(name))? else {
        if is_needed {
            return Err(LoadError::NoRows { file: place });
        }
        notes.push(format!("{place}: the sheet is empty and counts as no table"));
        return Ok(Err(first_cell()));
    };
    match table.beside() {
        0 => {}
        1 => notes.push(format!("{place}: 1 row has nothing under the headings and is ignored")),
        count => notes.push(format!("{place}: {count} rows have nothing under the headings and are ignored")),
    }
    Ok(Ok(Source::Sheet(table)))
}

/// The error of a workbook without a visible sheet `propellers`.
pub(super) fn no_propellers(workbook: &Workbook) -> TableError {
    let lower: Vec<String> = workbook.visible().map(|s| s.trim().to_lowercase()).collect();
    let listed: Vec<String> = workbook.visible().map(|sheet| format!("`{sheet}`")).collect();
    let is_hidden = workbook.hidden().any(|sheet| same_name(sheet, "propellers"));
    let hint = match nearest("propellers", lower.iter().map(String::as_str)) {
        _ if is_hidden => "the sheet is hidden; show it in the spreadsheet program".to_string(),
        Some(near) => format!("the nearest name there is `{near}`; rename it to `propellers`"),
        None => "add the sheet with one row a propeller; a serial is enough to start".to_string(),
    };
    TableError::Workbook {
        path: workbook.path().to_path_buf(),
        problem: format!("found no sheet `propellers`; the sheets are {}", listed.join(", ")),
        hint,
    }
}
