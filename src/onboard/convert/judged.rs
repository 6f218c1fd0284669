//! What the records' own checks say of the new rows, told in terms of the sheet's cells.

use super::csv_table::CsvTable;
use super::trial::Trial;
use super::wide::{SheetReading, Understood, told};
use super::{Reading, Refusal, Request};
use crate::records::ledger::{Caution, SetAside};
use crate::records::problem::Problem;
use crate::records::schema::Table;
use crate::records::{Fleet, Loaded};

/// The rows to be judged.
pub struct New<'n> {
    /// The sheet.
    pub understood: &'n Understood,
    /// The rows added to `measurements`, in that order.
    pub readings: &'n [&'n SheetReading],
    /// That table before.
    pub measurements: &'n CsvTable,
    /// The other before.
    pub overhauls: &'n CsvTable,
    /// Rows added to `overhauls`.
    pub visits: usize,
    /// Index of the propeller.
    pub propeller: u32,
}

/// Every new row is used.
pub struct Judged {
    /// What looks wrong about them all the same, one line each.
    pub cautions: Vec<String>,
    /// Where they stand, one sentence each.
    pub said: Vec<String>,
}

/// Reads the trial folder as a fleet and judges its new rows.
///
/// # Errors
/// A new row that would be set aside, and an earlier one that would be because of it.
pub fn judge(trial: &Trial, new: &New<'_>, before: &Fleet<'_>, request: &Request<'_>) -> Result<Judged, Refusal> {
    let loaded = Loaded::read(trial.folder(), request.options, |_| true, |_| {}).map_err(Refusal::records)?;
    for (table, added) in [(new.measurements, new.readings.len()), (new.overhauls, new.visits)] {
        let rows = loaded.table(table.table).map_or(0, |t| t.rows);
        if added > 0 && rows != table.rows + added {
            return Err(Refusal::records(format!(
                "{}: the last row never ends, so nothing can be added behind it\nhint: `bladewane check` names the row; close its quotation mark",
                table.path.display()
            )));
        }
    }
    let after = Fleet::as_of(&loaded, request.today, request.settings);
    let teller = Teller { new, after: &after };
    let earlier = &before.ledger;
    let problems: Vec<String> = after
        .ledger
        .set_aside
        .iter()
        .filter(|row| teller.is_new(row.table, row.row) || !earlier.set_aside.contains(row))
        .map(|row| teller.set_aside(row))
        .collect();
    if !problems.is_empty() {
        return Err(Refusal::records(told(&problems)));
    }
    let cautions = after
        .ledger
        .cautions
        .iter()
        .filter(|c| {
            let is_new = c.row.is_some_and(|row| teller.is_new(c.table, row));
            is_new || (c.propeller == Some(new.propeller) && !earlier.cautions.contains(c))
        })
        .map(|c| teller.caution(c))
        .collect();
    let mut said = Vec::new();
    for (table, added) in [(new.measurements, new.readings.len()), (new.overhauls, new.visits)] {
        if let Some(there) = loaded.table(table.table).filter(|_| added > 0) {
            let first = there.place(table.rows as u32).line;
            let last = there.place((table.rows + added - 1) as u32).line;
            let lines = match first == last {
                true => format!("line {first}"),
                false => format!("lines {first} to {last}"),
            };
            let rows = if added == 1 { "row" } else { "rows" };
            said.push(format!("{added} {rows} added to {} ({lines})", table.file()));
        }
    }
    Ok(Judged { cautions, said })
}

struct Teller<'t> {
    new: &'t New<'t>,
    after: &'t Fleet<'t>,
}

impl Teller<'_> {
    fn rows_before(&self, table: Table) -> Option<usize> {
        [self.new.measurements, self.new.overhauls].into_iter().find(|t| t.table == table).map(|t| t.rows)
    }

    fn is_new(&self, table: Table, row: u32) -> bool {
        self.rows_before(table).is_some_and(|before| row as usize >= before)
    }

    /// Where a cell of a row stands: in the sheet for a new row, in the fleet's file for an earlier one.
    fn place(&self, table: Table, row: u32, head: &str) -> String {
        let there = self.after.loaded.table(table);
        let before = self.rows_before(table).unwrap_or(usize::MAX);
        let Some(at) = (row as usize).checked_sub(before) else {
            return there.map_or_else(String::new, |t| {
                let place = t.place(row);
                format!("{}:{}: {head}", place.file, place.line)
            });
        };
        let name =
            there.and_then(|t| t.schema.columns.iter().find(|c| t.head(c.name) == head)).map_or(head, |c| c.name);
        let option = match (table, name) {
            (_, "propeller") => Some("--propeller"),
            (_, "overhaul_date") => Some("--date"),
            (Table::Overhauls, "work") => Some("--work"),
            (Table::Overhauls, "outcome") => Some("--outcome"),
            (Table::Overhauls, "reject_reason") => Some("--reject-reason"),
            (Table::Overhauls, "reason") => Some("--reason"),
            _ => None,
        };
        let understood = self.new.understood;
        match (option, self.new.readings.get(at)) {
            (Some(option), _) => option.to_string(),
            (None, Some(reading)) if table == Table::Measurements => {
                let value =
                    Reading::ALL.iter().position(|r| r.column() == name).and_then(|at| reading.values[at].as_ref());
                // A blade's number stands in the headings of all its readings; the first one leads there.
                let any = reading.values.iter().flatten().next();
                let column = match (value, name) {
                    (Some(value), _) => value.column,
                    (None, "blade") => any.map_or(reading.station_column, |v| v.column),
                    _ => reading.station_column,
                };
                let heading = understood.headings.get(&column).map_or("", String::as_str);
                format!(
                    "{}: {heading}, station {}, blade {}",
                    understood.sheet.place(reading.line, column),
                    reading.station_text,
                    reading.blade
                )
            }
            _ => "the visit".to_string(),
        }
    }

    fn set_aside(&self, row: &SetAside) -> String {
        let problem = Problem::of_row(self.after, row);
        let found = match &*row.value {
            "" => String::new(),
            value => format!("found {value}: "),
        };
        format!("{}: {found}{}\nhint: {}", self.place(row.table, row.row, &row.column), problem.rule, problem.remedy)
    }

    fn caution(&self, caution: &Caution) -> String {
        let place = match caution.row {
            Some(row) => format!("{}: ", self.place(caution.table, row, &caution.column)),
            None => String::new(),
        };
        let more = match caution.count {
            0 | 1 => String::new(),
            count => format!(" ({count} rows)"),
        };
        let problem = Problem::of_caution(self.after, caution);
        format!("caution: {place}{}{more}; {}", problem.rule, problem.remedy)
    }
}
