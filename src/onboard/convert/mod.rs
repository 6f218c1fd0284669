//! `convert`: one overhaul's before and after sheet, as a shop types it, added to the fleet's tables.
//!
//! | file | question |
//! | --- | --- |
//! | [`sheet_file`] | which cells does the file hold? |
//! | [`map`], `map.toml` | how is the sheet laid out? |
//! | [`heading`] | what does a heading mean? |
//! | [`station`] | where does a row lie on the blade? |
//! | [`wide`] | what does the sheet say, blade by blade? |
//! | [`known`] | what of it is on record already? |
//! | [`csv_table`] | how is a row written in the fleet's own table? |
//! | [`judged`] | what do the records' checks say of the new rows? |
//! | [`trial`] | how are the tables put in place, both or neither? |

pub mod csv_table;
pub mod heading;
pub mod judged;
pub mod known;
pub mod map;
pub mod sheet_file;
pub mod station;
pub mod trial;
pub mod wide;

use std::fmt;
use std::path::{Path, PathBuf};

use crate::records::choice::{Outcome, Reason, RejectReason, Work};
use crate::records::schema::Table;
use crate::records::written::count;
use crate::records::{Fleet, Loaded, ReadOptions};
use crate::settings::Settings;
use crate::tables::caps::Caps;
use crate::tables::find::{self, Location};
use crate::trade::calendar::Day;

use csv_table::{Cell, CsvTable, NewRow, head_of, rounded};
use heading::{Reading, Unit};
use map::SheetMap;
use station::StationAt;
use trial::Trial;
use wide::SheetReading;

/// Days within which a visit of another date is probably this one: as far as measurements are matched to a visit.
const NEAR_DAYS: i32 = 30;

/// What kind of refusal it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RefusalKind {
    /// Something about what was asked for.
    Usage,
    /// Something about the sheet or the fleet's records.
    Records,
    /// Something could not be written.
    Write,
}

/// Why nothing was added. Nothing is changed whenever this is given.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct Refusal {
    /// Its kind.
    pub kind: RefusalKind,
    /// What was found, what was expected and what to do.
    pub message: String,
}

impl Refusal {
    /// About what was asked for.
    pub fn usage(message: impl fmt::Display) -> Refusal {
        Refusal { kind: RefusalKind::Usage, message: message.to_string() }
    }

    /// About the sheet or the records.
    pub fn records(message: impl fmt::Display) -> Refusal {
        Refusal { kind: RefusalKind::Records, message: message.to_string() }
    }

    /// About writing.
    pub fn write(message: impl fmt::Display) -> Refusal {
        Refusal { kind: RefusalKind::Write, message: message.to_string() }
    }
}

/// What is said of the visit itself; `None` where nothing is said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct VisitWords {
    /// What was done; an overhaul where nothing is said.
    pub work: Option<Work>,
    /// How it ended; released where nothing is said.
    pub outcome: Option<Outcome>,
    /// Why it was rejected.
    pub reject_reason: Option<RejectReason>,
    /// Why it went to the shop.
    pub reason: Option<Reason>,
}

/// A sheet to be added to a fleet.
#[derive(Debug, Clone, Copy)]
pub struct Request<'r> {
    /// The sheet's file.
    pub sheet: &'r Path,
    /// How it is laid out.
    pub map: &'r SheetMap,
    /// The fleet folder.
    pub fleet: &'r Path,
    /// The fleet's settings.
    pub settings: &'r Settings,
    /// How the fleet's files are written.
    pub options: &'r ReadOptions,
    /// Serial of the propeller.
    pub propeller: &'r str,
    /// Day of release, or of rejection.
    pub date: Day,
    /// Today: a visit does not lie ahead.
    pub today: Day,
    /// What is said of the visit.
    pub words: VisitWords,
    /// Check everything and change nothing.
    pub dry_run: bool,
}

/// What was added.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Added {
    /// What was done, one sentence each.
    pub said: Vec<String>,
    /// What was left out of the sheet, and what looks wrong about the new rows, one line each.
    pub notes: Vec<String>,
    /// Rows added to `measurements`.
    pub measurements: usize,
    /// Rows added to `overhauls`.
    pub overhauls: usize,
}

/// Reads the sheet, tries the fleet with its rows, and adds them when every check holds.
///
/// # Errors
/// [`Refusal`]; then the fleet is as it was, byte by byte.
pub fn convert(request: &Request<'_>) -> Result<Added, Refusal> {
    let measurements_at = csv_place(request.fleet, Table::Measurements)?;
    let overhauls_at = csv_place(request.fleet, Table::Overhauls)?;
    if request.date > request.today {
        return Err(Refusal::usage(format!(
            "--date {}: the day lies ahead of today, {}\nhint: give the day on which the shop released or rejected the propeller",
            request.date, request.today
        )));
    }
    let understood = wide::understand(sheet_file::read(request.sheet)?, request.map)?;
    let loaded = Loaded::read(request.fleet, request.options, |_| true, |_| {}).map_err(Refusal::records)?;
    let fleet = Fleet::as_of(&loaded, request.today, request.settings);
    let Some(propeller) = fleet.propellers.find(request.propeller.trim()) else {
        let hint = match fleet.propellers.nearest(request.propeller.trim()).first() {
            Some(near) => format!("the nearest there is `{near}`; a new propeller is added to `propellers` first"),
            None => "add it to `propellers` first; its serial is enough".to_string(),
        };
        return Err(Refusal::usage(format!(
            "--propeller `{}`: this fleet has no such propeller\nhint: {hint}",
            request.propeller
        )));
    };
    let known = known::Known::of(&fleet, propeller, request)?;
    let placed = known.placed(&understood)?;

    let measurements = table(&loaded, Table::Measurements, measurements_at, request, &placed)?;
    let overhauls = table(&loaded, Table::Overhauls, overhauls_at, request, &placed)?;
    let new: Vec<&SheetReading> = placed.iter().filter(|p| !p.on_record).map(|p| &p.reading).collect();
    let measured_rows = measurement_rows(&measurements, &placed, &known, request)?;
    let visit_rows = match known.visit_is_on_record() {
        true => Vec::new(),
        false => vec![visit_row(&overhauls, &known, request)?],
    };
    let mut added = Added { notes: understood.notes.clone(), ..Added::default() };
    if measured_rows.is_empty() && visit_rows.is_empty() {
        added.said.push(format!(
            "every reading of the sheet and the visit of {} are on record already; nothing was added",
            request.date
        ));
        return Ok(added);
    }
    let changed: Vec<(&CsvTable, Vec<u8>)> = [(&measurements, &measured_rows), (&overhauls, &visit_rows)]
        .into_iter()
        .filter(|(_, rows)| !rows.is_empty())
        .map(|(table, rows)| (table, table.with(rows)))
        .collect();
    let trial = Trial::begin(request.fleet, &changed)?;
    let judged = judged::judge(
        &trial,
        &judged::New {
            understood: &understood,
            readings: &new,
            measurements: &measurements,
            overhauls: &overhauls,
            visits: visit_rows.len(),
            propeller,
        },
        &fleet,
        request,
    )?;
    added.notes.extend(judged.cautions);
    added.measurements = measured_rows.len();
    added.overhauls = visit_rows.len();
    added.said.extend(judged.said);
    if known.visit_is_on_record() {
        added.said.push(format!("the visit of {} is on record already and stays as it is", request.date));
    }
    let again = placed.iter().filter(|p| p.on_record).count();
    if again > 0 {
        let are = if again == 1 { "is" } else { "are" };
        let rows = count(again, "row");
        added.said.push(format!("{rows} of the sheet {are} on record already, with the same readings"));
    }
    if !request.dry_run {
        trial.commit()?;
    }
    Ok(added)
}

/// Where a table lies or will lie, when rows can be added to it.
///
/// # Errors
/// A fleet that is no folder of CSV tables, with the reason.
pub fn csv_place(fleet: &Path, table: Table) -> Result<PathBuf, Refusal> {
    let name = table.name();
    if fleet.is_file() {
        return Err(Refusal::usage(format!(
            "{}: rows are added only to a folder of CSV tables; this is a file\nhint: type the readings into the workbook's sheets `measurements` and `overhauls`",
            fleet.display()
        )));
    }
    find::Container::open(fleet, &Caps::default()).map_err(Refusal::records)?;
    let kind = match find::table(fleet, name).map_err(Refusal::records)? {
        None => return Ok(fleet.join(format!("{name}.csv"))),
        Some(Location::Csv(path)) => return Ok(path),
        Some(Location::Parquet(paths)) => match paths.first() {
            Some(path) if path.parent() != Some(fleet) => "a folder of Parquet files",
            _ => "a Parquet file",
        },
        Some(_) => "an Arrow file",
    };
    Err(Refusal::usage(format!(
        "{}: `{name}` is {kind}; rows are added only to CSV tables\nhint: add the rows where that file is made",
        fleet.display()
    )))
}

fn table(
    loaded: &Loaded,
    which: Table,
    path: PathBuf,
    request: &Request<'_>,
    placed: &[known::Placed],
) -> Result<CsvTable, Refusal> {
    let (separator, writing) = (request.options.separator, &request.options.writing);
    if let Some(there) = loaded.table(which) {
        return CsvTable::there(path, there, separator, writing);
    }
    let mut columns: Vec<(&'static str, Unit)> = vec![("propeller", Unit::In), ("overhaul_date", Unit::In)];
    match which {
        Table::Overhauls => {
            columns.extend(["work", "outcome", "reject_reason", "reason"].map(|name| (name, Unit::In)));
        }
        _ => {
            columns.push(("blade", Unit::In));
            // As the sheet gives them: what stands on paper can be compared.
            let has = |given: fn(&StationAt) -> bool| placed.iter().any(|p| given(&p.reading.station));
            if has(|at| matches!(at, StationAt::Pct(_))) {
                columns.push(("station_pct", Unit::In));
            }
            if has(|at| matches!(at, StationAt::Inches(_))) {
                columns.push(("station", Unit::In));
            }
            for (at, reading) in Reading::ALL.into_iter().enumerate() {
                let first = placed.iter().find_map(|p| p.reading.values[at].as_ref());
                // The four dimensions make the table; the others only where the sheet has them.
                if first.is_some() || at < 4 {
                    let unit = first.map_or(request.map.unit, |value| value.unit);
                    columns.push((reading.column(), unit));
                }
            }
            if request.map.painted.is_some() {
                columns.push(("painted", Unit::In));
            }
        }
    }
    Ok(CsvTable::new(which, path, &columns, separator, writing))
}

fn no_column(table: &CsvTable, name: &str, unit: Unit, why: &str) -> Refusal {
    let schema = table.table.schema();
    let head = schema.position(name).map_or_else(|| name.to_string(), |at| head_of(&schema.columns[at], unit));
    Refusal::records(format!(
        "{}: there is no column `{head}`, {why}\nhint: add `{head}` to the first line of {} and fill it for the rows that are there, then convert again",
        table.path.display(),
        table.file()
    ))
}

fn day_written(day: Day, request: &Request<'_>) -> String {
    match &request.options.writing.date_pattern {
        None => day.to_string(),
        Some(pattern) => day.date().format(pattern).to_string(),
    }
}

fn measurement_rows(
    table: &CsvTable,
    placed: &[known::Placed],
    known: &known::Known<'_, '_>,
    request: &Request<'_>,
) -> Result<Vec<NewRow>, Refusal> {
    let mut rows = Vec::new();
    for place in placed.iter().filter(|p| !p.on_record) {
        let reading = &place.reading;
        let mut row: NewRow = vec![
            ("propeller", Cell::Text(known.serial().to_string())),
            ("overhaul_date", Cell::Text(day_written(request.date, request))),
            ("blade", Cell::Text(reading.blade.to_string())),
        ];
        row.push(station_cell(table, place)?);
        for (value, which) in reading.values.iter().zip(Reading::ALL) {
            let Some(value) = value else { continue };
            if !table.has(which.column()) {
                return Err(no_column(table, which.column(), value.unit, "which the sheet has readings for"));
            }
            let cell = match which.is_length() {
                true => Cell::Length { text: value.text.clone(), number: value.number, unit: value.unit },
                false => Cell::Number(value.text.clone()),
            };
            row.push((which.column(), cell));
        }
        if let Some(painted) = request.map.painted {
            if !table.has("painted") {
                return Err(no_column(table, "painted", Unit::In, "which the map sets"));
            }
            row.push(("painted", Cell::Text(painted.to_string())));
        }
        rows.push(row);
    }
    Ok(rows)
}

/// The station in a column that the table has: as the sheet gives it, else worked out from the model.
fn station_cell(table: &CsvTable, place: &known::Placed) -> Result<(&'static str, Cell), Refusal> {
    let number = |value: f64| Cell::Number(rounded(value));
    let inches = |value: f64| Cell::Length { text: rounded(value), number: value, unit: Unit::In };
    let (pct, station_in) = (place.pct, place.station_in);
    let found = match place.reading.station {
        StationAt::Pct(given) if table.has("station_pct") => Some(("station_pct", number(given))),
        StationAt::Inches(given) if table.has("station") => Some(("station", inches(given))),
        StationAt::Pct(_) => station_in.map(|value| ("station", inches(value))),
        StationAt::Inches(_) => pct.map(|value| ("station_pct", number(value))),
    };
    found.ok_or_else(|| {
        let (name, unit) = match place.reading.station {
            StationAt::Pct(_) => ("station_pct", Unit::In),
            StationAt::Inches(_) => ("station", Unit::In),
        };
        no_column(
            table,
            name,
            unit,
            "and the propeller's diameter, which would turn the sheet's stations into the table's, is not on record",
        )
    })
}

fn visit_row(table: &CsvTable, known: &known::Known<'_, '_>, request: &Request<'_>) -> Result<NewRow, Refusal> {
    let words = request.words;
    let mut row: NewRow = vec![
        ("propeller", Cell::Text(known.serial().to_string())),
        ("overhaul_date", Cell::Text(day_written(request.date, request))),
    ];
    let work = words.work.unwrap_or(Work::Overhaul);
    let outcome = words.outcome.unwrap_or(Outcome::Released);
    // A default holds where the whole column is absent, so only another word needs the column.
    let filled = [
        ("work", Some(work.word()), work == Work::Overhaul),
        ("outcome", Some(outcome.word()), outcome == Outcome::Released),
        ("reject_reason", words.reject_reason.map(RejectReason::word), false),
        ("reason", words.reason.map(Reason::word), false),
    ];
    for (name, word, is_default) in filled {
        let Some(word) = word else { continue };
        match table.has(name) {
            true => row.push((name, Cell::Text(word.to_string()))),
            false if is_default => {}
            false => {
                return Err(no_column(table, name, Unit::In, &format!("so the visit cannot be recorded as `{word}`")));
            }
        }
    }
    Ok(row)
}
