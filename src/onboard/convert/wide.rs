//! The wide form read: one row a station, one group of columns a blade, into one row a station and blade.

use std::collections::HashMap;

use super::Refusal;
use super::heading::{Heading, Holds, Reading, Unit};
use super::map::SheetMap;
use super::sheet_file::{A_DATE, Sheet, SheetRow};
use super::station::StationAt;
use crate::records::reading::{Fault, Writing, is_not_recorded, length, number};
use crate::settings::nearest;

/// Filled rows among which the headings are looked for: a shop's letterhead is shorter.
const HEADER_WITHIN: usize = 40;
/// Problems of one sheet that are told.
const PROBLEMS_TOLD: usize = 20;

/// A reading as it was typed.
#[derive(Debug, Clone, PartialEq)]
pub struct Value {
    /// Column of the sheet, from 0.
    pub column: usize,
    /// Its text, decimals with a point.
    pub text: String,
    /// The number.
    pub number: f64,
    /// Its unit; inches for what is no length.
    pub unit: Unit,
}

/// One blade at one station.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetReading {
    /// Row of the sheet, from 1.
    pub line: u32,
    /// Column of the station, from 0.
    pub station_column: usize,
    /// What stands there.
    pub station_text: String,
    /// Where it was measured.
    pub station: StationAt,
    /// Blade, from 1.
    pub blade: u8,
    /// Readings in the order of [`Reading::ALL`].
    pub values: [Option<Value>; Reading::ALL.len()],
}

/// A sheet that was understood.
#[derive(Debug, Clone, PartialEq)]
pub struct Understood {
    /// The sheet.
    pub sheet: Sheet,
    /// Headings by column, as typed.
    pub headings: HashMap<usize, String>,
    /// What was read, in the order of blades, then of rows.
    pub readings: Vec<SheetReading>,
    /// What was left out, and why.
    pub notes: Vec<String>,
}

struct Layout {
    header: usize,
    columns: Vec<(usize, Heading)>,
}

impl Layout {
    fn has_all(&self) -> bool {
        let holds = |wanted: fn(&Holds) -> bool| self.columns.iter().any(|(_, h)| wanted(&h.holds));
        holds(|h| matches!(h, Holds::Station)) && holds(|h| matches!(h, Holds::Reading(..)))
    }
}

/// A heading with the one that stands above it over several columns; `None` when nothing stands above.
fn with_the_one_above(above: Option<&SheetRow>, row: &SheetRow, column: usize) -> Option<String> {
    let over = above?.cells.iter().take(column + 1).rev().find(|cell| !cell.text.is_empty())?;
    Some(format!("{} {}", over.text, row.text(column)))
}

fn layout(sheet: &Sheet, map: &SheetMap) -> Layout {
    let mut best = Layout { header: 0, columns: Vec::new() };
    for (at, row) in sheet.rows.iter().enumerate().take(HEADER_WITHIN) {
        let above = at.checked_sub(1).map(|before| &sheet.rows[before]);
        let columns: Vec<(usize, Heading)> = (0..row.cells.len())
            .filter(|&column| !row.text(column).is_empty())
            .filter_map(|column| {
                let heading = map
                    .heading(row.text(column))
                    .or_else(|| with_the_one_above(above, row, column).and_then(|text| map.heading(&text)))?;
                Some((column, heading))
            })
            .collect();
        if columns.len() > best.columns.len() {
            best = Layout { header: at, columns };
        }
    }
    best
}

/// Reads the one sheet that has the headings.
///
/// # Errors
/// No sheet or two that have them, a heading that looks like a reading and is none, and every cell that cannot be read.
pub fn understand(sheets: Vec<Sheet>, map: &SheetMap) -> Result<Understood, Refusal> {
    let (sheet, layout) = the_one(sheets, map)?;
    let header = &sheet.rows[layout.header];
    let mut held: HashMap<Holds, usize> = HashMap::new();
    for (column, heading) in &layout.columns {
        if let Some(first) = held.insert(heading.holds, *column) {
            return Err(Refusal::records(format!(
                "{}: `{}` and, at {}, `{}` say the same\nhint: remove one of the two columns, or name one of them under ignore in the map",
                sheet.place(header.line, first),
                header.text(first),
                sheet.place(header.line, *column),
                header.text(*column)
            )));
        }
    }
    let rows = &sheet.rows[layout.header + 1..];
    let mut notes = Vec::new();
    for column in 0..header.cells.len() {
        let heading = header.text(column);
        let known = layout.columns.iter().any(|(at, _)| *at == column);
        let filled = rows.iter().any(|row| !is_not_recorded(row.text(column)));
        if known || heading.is_empty() || !filled {
            continue;
        }
        if map.looks_like_a_reading(heading) {
            return Err(Refusal::records(format!(
                "{}: the heading `{heading}` looks like a reading and is not understood\nhint: write it as on the map (`bladewane convert --show-map`), add it there under its name, or list it under ignore",
                sheet.place(header.line, column)
            )));
        }
        notes.push(format!("{}: the column `{heading}` is not used", sheet.place(header.line, column)));
    }
    let mut reader = RowReader {
        sheet: &sheet,
        map,
        header,
        columns: &layout.columns,
        readings: Vec::new(),
        notes,
        problems: Vec::new(),
    };
    for row in rows {
        reader.read(row);
    }
    let RowReader { mut readings, notes, problems, .. } = reader;
    if !problems.is_empty() {
        return Err(Refusal::records(told(&problems)));
    }
    if readings.is_empty() {
        return Err(Refusal::records(format!(
            "{}: no reading stands below the headings\nhint: write one row a station, and the readings of each blade beside it",
            sheet.place(header.line, 0)
        )));
    }
    readings.sort_by_key(|reading| (reading.blade, reading.line));
    let headings = layout.columns.iter().map(|(column, _)| (*column, header.text(*column).to_string())).collect();
    Ok(Understood { sheet, headings, readings, notes })
}

/// The problems, one after the other, as many as a person reads.
pub fn told(problems: &[String]) -> String {
    let mut text = problems.iter().take(PROBLEMS_TOLD).map(String::as_str).collect::<Vec<_>>().join("\n");
    if problems.len() > PROBLEMS_TOLD {
        text.push_str(&format!("\nand {} more", problems.len() - PROBLEMS_TOLD));
    }
    text
}

fn the_one(sheets: Vec<Sheet>, map: &SheetMap) -> Result<(Sheet, Layout), Refusal> {
    let file = sheets.first().map_or("", |sheet| sheet.file.as_str()).to_string();
    let names: Vec<String> = sheets.iter().filter_map(|s| s.name.clone()).collect();
    let wanted = |sheet: &Sheet| match (&sheet.name, &map.sheet) {
        (Some(name), Some(wanted)) => name.trim() == wanted.trim(),
        _ => true,
    };
    let mut seen: Vec<(Sheet, Layout)> = sheets
        .into_iter()
        .filter(wanted)
        .map(|sheet| {
            let layout = layout(&sheet, map);
            (sheet, layout)
        })
        .collect();
    if let (true, Some(wanted)) = (seen.is_empty(), &map.sheet) {
        let there = match nearest(wanted, names.iter().map(String::as_str)) {
            Some(near) => format!("the nearest there is `{near}`"),
            None => format!("the visible ones are {}", names.join(", ")),
        };
        return Err(Refusal::records(format!(
            "{file}: no visible sheet `{wanted}`\nhint: {there}; the map names it as sheet"
        )));
    }
    // The best first; of equal ones the first, so a file without separators is one of commas.
    seen.sort_by_key(|(_, layout)| std::cmp::Reverse(layout.columns.len()));
    let usable: Vec<&str> =
        seen.iter().filter(|(_, layout)| layout.has_all()).filter_map(|(sheet, _)| sheet.name.as_deref()).collect();
    if usable.len() > 1 {
        return Err(Refusal::records(format!(
            "{file}: the sheets {} all have the headings\nhint: say which one is meant in the map: sheet = \"{}\"",
            usable.join(", "),
            usable[0]
        )));
    }
    match seen.into_iter().find(|(_, layout)| layout.has_all()) {
        Some(found) => Ok(found),
        None => Err(Refusal::records(format!(
            "{file}: no row with the headings of a sheet: a station and at least one reading of a blade, such as `station` and `blade 1 width before`\nhint: `bladewane convert --show-map` prints how headings may be written; save that as a file, add the sheet's own headings, and give it with --map"
        ))),
    }
}

struct RowReader<'s> {
    sheet: &'s Sheet,
    map: &'s SheetMap,
    header: &'s SheetRow,
    columns: &'s [(usize, Heading)],
    readings: Vec<SheetReading>,
    notes: Vec<String>,
    problems: Vec<String>,
}

impl RowReader<'_> {
    fn read(&mut self, row: &SheetRow) {
        // The headings again, on top of another page of the same sheet.
        if self.columns.iter().all(|(column, _)| row.text(*column) == self.header.text(*column)) {
            return;
        }
        let filled = |column: usize| {
            row.cells.get(column).is_some_and(|cell| cell.spoiled.is_some() || !is_not_recorded(&cell.text))
        };
        let has_reading =
            self.columns.iter().any(|(column, heading)| matches!(heading.holds, Holds::Reading(..)) && filled(*column));
        let Some((station_column, heading)) =
            self.columns.iter().find(|(_, heading)| heading.holds == Holds::Station).copied()
        else {
            return;
        };
        let station_text = row.text(station_column).to_string();
        if !has_reading {
            if !is_not_recorded(&station_text) {
                self.notes.push(format!(
                    "{}: `{station_text}` has no readings beside it and is left out",
                    self.sheet.place(row.line, station_column)
                ));
            }
            return;
        }
        let Some(station) = self.station(row, station_column, heading.unit) else {
            return;
        };
        let mut blades: Vec<u8> = Vec::new();
        for (_, heading) in self.columns {
            if let Holds::Reading(blade, _) = heading.holds
                && !blades.contains(&blade)
            {
                blades.push(blade);
            }
        }
        for blade in blades {
            let mut values: [Option<Value>; Reading::ALL.len()] = Default::default();
            for (place, reading) in Reading::ALL.into_iter().enumerate() {
                let holds = Holds::Reading(blade, reading);
                let found = self.columns.iter().find(|(_, h)| h.holds == holds);
                if let Some(&(column, heading)) = found.filter(|(column, _)| filled(*column)) {
                    values[place] = self.value(row, column, reading, heading.unit);
                }
            }
            if values.iter().any(Option::is_some) {
                self.readings.push(SheetReading {
                    line: row.line,
                    station_column,
                    station_text: station_text.clone(),
                    station,
                    blade,
                    values,
                });
            }
        }
    }

    fn problem(&mut self, row: &SheetRow, column: usize, why: &str) {
        let shown = match row.text(column) {
            "" => "nothing stands there:".to_string(),
            text => format!("`{text}` is"),
        };
        let heading = self.header.text(column);
        let place = self.sheet.place(row.line, column);
        self.problems.push(format!("{place}: {heading}: {shown} {why}"));
    }

    fn writing(&self, row: &SheetRow, column: usize) -> Writing {
        match row.cells.get(column) {
            Some(cell) if cell.is_number => Writing::PLAIN,
            _ => self.map.writing.clone(),
        }
    }

    fn station(&mut self, row: &SheetRow, column: usize, unit: Option<Unit>) -> Option<StationAt> {
        if let Some(why) = row.cells.get(column).and_then(|cell| cell.spoiled) {
            self.problem(row, column, why);
            return None;
        }
        let text = row.text(column);
        if is_not_recorded(text) {
            self.problem(row, column, "the readings beside it have no station\nhint: write where they were taken");
            return None;
        }
        let is_number = row.cells.get(column).is_some_and(|cell| cell.is_number);
        match self.map.station(text, unit, is_number) {
            Ok(station) => Some(station),
            Err(why) => {
                self.problem(row, column, &why);
                None
            }
        }
    }

    fn value(&mut self, row: &SheetRow, column: usize, reading: Reading, unit: Option<Unit>) -> Option<Value> {
        if let Some(why) = row.cells.get(column).and_then(|cell| cell.spoiled) {
            self.problem(row, column, why);
            return None;
        }
        let text = row.text(column);
        let writing = self.writing(row, column);
        let read = match reading.is_length() {
            true => length(text, &writing),
            false => number(text, &writing),
        };
        let unit = match unit {
            Some(Unit::Pct) | None => self.map.unit,
            Some(unit) => unit,
        };
        match read {
            Ok(number) => Some(Value {
                column,
                text: text.replace(',', "."),
                number,
                unit: if reading.is_length() { unit } else { Unit::In },
            }),
            Err(Fault::DecimalComma) => {
                self.problem(row, column, "a number with a decimal comma where a point is expected\nhint: set decimal_comma = true in the map");
                None
            }
            Err(_) if looks_like_a_date(text) => {
                self.problem(row, column, A_DATE);
                None
            }
            Err(_) => {
                self.problem(row, column, "no reading\nhint: write a decimal such as 0.352 or a fraction such as 1 1/16; leave it empty when it was not measured");
                None
            }
        }
    }
}

/// `16-Jan`, `Jan-16` or `2026-01-16`: what is left of 1/16 in a spreadsheet.
fn looks_like_a_date(text: &str) -> bool {
    const MONTHS: [&str; 12] = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
    let lower = text.to_lowercase();
    let has_digit = lower.contains(|c: char| c.is_ascii_digit());
    let named = MONTHS.iter().any(|month| lower.contains(month));
    let parts: Vec<&str> = lower.split(['-', '.', '/']).collect();
    let numbers =
        parts.len() == 3 && parts.iter().all(|part| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit()));
    has_digit && (named || numbers)
}
