//! Inspections, of aircraft as they should be, or by the propeller that was on one.

use super::cells::NO_DAY;
use super::choice::{InspectionKind, InspectionResult};
use super::gate::Gate;
use super::ledger::Fate;
use super::models::set_conflict_aside;
use super::reading::{self, Writing};
use super::rule::Doubt;
use super::same_key::SameKey;
use super::whom::{Known, Named, Whom};
use super::words::{NO_WORD, Words};
use crate::trade::calendar::Day;

/// Whose an inspection is. An aircraft goes before the propeller that was on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Inspected {
    /// A propeller, by its index: the aircraft is not written.
    Propeller(u32),
    /// An aircraft, a code of [`Inspections::aircraft`].
    Aircraft(u32),
}

/// One inspection.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Inspection {
    /// Whose it is.
    pub of: Inspected,
    /// Its day.
    pub day: Day,
    /// Its kind; `None` when not recorded.
    pub kind: Option<InspectionKind>,
    /// Its result; `None` when not recorded. A word that is not ours counts as not satisfactory.
    pub result: Option<InspectionResult>,
    /// Day the next is due.
    pub next_due: Option<Day>,
    /// Reading of the aircraft's meter at which the next is due.
    pub next_due_meter: Option<f64>,
    /// Day what was not satisfactory was signed off; only with a name beside it.
    pub cleared: Option<Day>,
    /// Blade track in inches.
    pub track_in: Option<f64>,
    /// Whether somebody's name stands beside it.
    pub signed: bool,
    /// Row of the table, from 0.
    pub row: u32,
}

impl Inspection {
    /// Satisfactory, or signed off since.
    pub fn is_in_order(&self) -> bool {
        self.result == Some(InspectionResult::Satisfactory) || self.cleared.is_some()
    }

    /// Nothing says how it ended.
    pub fn has_no_result(&self) -> bool {
        self.result.is_none() && self.cleared.is_none()
    }

    /// Not satisfactory, and not signed off since.
    pub fn is_unsatisfactory(&self) -> bool {
        self.result == Some(InspectionResult::NotSatisfactory) && self.cleared.is_none()
    }
}

/// A row that could not be used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SpoiledInspection {
    /// Whose it is.
    pub of: Inspected,
    /// Its day, where that can be read.
    pub day: Option<Day>,
    /// Whether it says satisfactory: it then only loses what it made good.
    pub is_good: bool,
    /// Row of the table, from 0.
    pub row: u32,
}

/// Every inspection, by whose it is and day.
#[derive(Debug, Clone, Default)]
pub struct Inspections {
    list: Vec<Inspection>,
    /// Names of aircraft.
    pub aircraft: Words,
    /// Rows that could not be used.
    pub spoiled: Vec<SpoiledInspection>,
}

/// An aircraft goes before the propeller that was on it.
fn whose(whom: Whom) -> Option<Inspected> {
    whom.aircraft.map(Inspected::Aircraft).or(whom.propeller.map(Inspected::Propeller))
}

impl Inspections {
    /// Every inspection, by whose it is, day and kind.
    pub fn list(&self) -> &[Inspection] {
        &self.list
    }

    /// Whether there is nothing to judge by.
    pub fn is_empty(&self) -> bool {
        self.list.is_empty() && self.spoiled.is_empty()
    }

    /// The inspections of one propeller or aircraft in order of date.
    pub fn of(&self, whose: Inspected) -> &[Inspection] {
        let from = self.list.partition_point(|i| i.of < whose);
        let to = self.list.partition_point(|i| i.of <= whose);
        &self.list[from..to]
    }

    /// The inspections that name an aircraft.
    pub fn of_aircraft(&self, name: &str) -> &[Inspection] {
        self.aircraft.find(name).map_or(&[], |code| self.of(Inspected::Aircraft(code)))
    }

    /// Reads `inspections` through its gate.
    pub(super) fn read(gate: Option<&mut Gate<'_>>, known: &Known<'_>, writing: &Writing, as_of: Day) -> Inspections {
        let Some(gate) = gate else {
            return Inspections::default();
        };
        let mut named = Named::read(gate, known);
        let table = gate.table;
        let Some(days) = table.days("inspection_date") else {
            return Inspections::default();
        };
        let results = table.choices("result");
        let has_results = results.is_some_and(|cells| {
            let filled = |row: usize| {
                InspectionResult::of_cell(cells[row]).is_some() || gate.is_unreadable(row as u32, "result")
            };
            // A row of a later day says nothing yet.
            (0..cells.len()).any(|row| gate.fates[row] != Fate::Later && filled(row))
        });
        if results.is_some() && !has_results && gate.fates.iter().any(|&fate| fate != Fate::Later) {
            gate.caution_on_column("result", Doubt::NoResults);
        }
        let day =
            |name: &str, row: usize| table.days(name).map(|c| c[row]).filter(|&d| d != NO_DAY).map(Day::from_number);
        let number = |name: &str, row: usize| table.numbers(name).map(|c| c[row]).filter(|v| !v.is_nan());
        let is_written = |name: &str, row: usize| table.text(name).is_some_and(|(c, _)| c[row] != NO_WORD);
        let result = |gate: &Gate<'_>, row: usize| match results {
            Some(_) if gate.is_unreadable(row as u32, "result") => Some(InspectionResult::NotSatisfactory),
            Some(cells) if has_results => InspectionResult::of_cell(cells[row]),
            _ => Some(InspectionResult::Satisfactory),
        };
        let mut list: Vec<Inspection> = Vec::new();
        let used: Vec<usize> = gate.used_rows().collect();
        for row in used {
            let Some(of) = whose(named.of(row as u32)) else {
                continue;
            };
            let on = Day::from_number(days[row]);
            let (clearing, by) = (day("cleared_date", row), is_written("cleared_by", row));
            let cleared = clearing.filter(|&d| by && d >= on && d <= as_of);
            let result = result(gate, row);
            let is_later = clearing.is_some_and(|d| d > as_of);
            let waits = result == Some(InspectionResult::NotSatisfactory) && cleared.is_none() && !is_later;
            if let Some(column) = clearing.map(|_| "cleared_date").or(by.then_some("cleared_by")).filter(|_| waits) {
                gate.caution(row as u32, column, Doubt::NotCleared, named.of(row as u32).propeller, None);
            }
            list.push(Inspection {
                of,
                day: on,
                kind: table.choices("kind").and_then(|c| InspectionKind::of_cell(c[row])),
                result,
                next_due: day("next_due_date", row),
                next_due_meter: number("next_due_meter", row),
                cleared,
                track_in: number("track", row),
                signed: is_written("by", row),
                row: row as u32,
            });
        }
        // Before rows with one key are joined: what is joined is not lost.
        let spoiled = spoiled(gate, &mut named, known, writing);
        list.sort_by_key(|i| (i.of, i.day, i.kind, i.row));
        let mut rows = SameKey::new();
        list.dedup_by(|other, first| {
            let key = (other.of, other.day, other.kind);
            let same_key = key == (first.of, first.day, first.kind);
            if same_key {
                let said = |of: &Inspection| Inspection { row: 0, ..*of };
                if rows.is_copy(key, said(first), said(other)) {
                    gate.caution(other.row, "inspection_date", Doubt::IdenticalRows, None, None);
                } else {
                    less_favourable(first, other);
                    set_conflict_aside(gate, other.row, "inspection_date", first.row);
                }
            }
            same_key
        });
        Inspections { list, aircraft: named.aircraft, spoiled }
    }
}

/// Two rows for one inspection: cell by cell the one that makes it look less good; one that was not satisfactory counts
/// unless it was signed off.
fn less_favourable(first: &mut Inspection, other: &Inspection) {
    use InspectionResult::{NotSatisfactory, Satisfactory};
    let both = |a: Option<f64>, b: Option<f64>, pick: fn(f64, f64) -> f64| match (a, b) {
        (Some(a), Some(b)) => Some(pick(a, b)),
        (a, b) => a.or(b),
    };
    let waits = |of: &Inspection| of.result != Some(Satisfactory);
    first.cleared = match (waits(first), waits(other)) {
        (true, true) => first.cleared.zip(other.cleared).map(|(a, b)| a.max(b)),
        (false, true) => other.cleared,
        _ => first.cleared,
    };
    first.result = match (first.result, other.result) {
        (Some(NotSatisfactory), _) | (_, Some(NotSatisfactory)) => Some(NotSatisfactory),
        (Some(Satisfactory), Some(Satisfactory)) => Some(Satisfactory),
        _ => None,
    };
    first.next_due = match (first.next_due, other.next_due) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    };
    first.next_due_meter = both(first.next_due_meter, other.next_due_meter, f64::min);
    first.track_in = both(first.track_in, other.track_in, f64::max);
    first.signed &= other.signed;
}

/// The rows that could not be used; a caution where one may not have been satisfactory.
fn spoiled(gate: &mut Gate<'_>, named: &mut Named, known: &Known<'_>, writing: &Writing) -> Vec<SpoiledInspection> {
    let table = gate.table;
    let satisfactory = InspectionResult::Satisfactory;
    let at_day = table.source.columns().iter().position(|name| name == "inspection_date");
    let mut list: Vec<SpoiledInspection> = Vec::new();
    for (row, whom) in named.in_spoiled_rows(gate, known) {
        let broken = table.broken().iter().find(|b| b.row == row);
        let is_good = match broken {
            Some(broken) => broken.pieces.iter().any(|piece| piece == satisfactory.word()),
            None => table
                .choices("result")
                .is_none_or(|cells| InspectionResult::of_cell(cells[row as usize]) == Some(satisfactory)),
        };
        if let Some(of) = whose(whom) {
            let day = table.days("inspection_date").map(|days| days[row as usize]).filter(|&d| d != NO_DAY);
            let day = match broken {
                None => day.map(Day::from_number),
                // The day stands in its own piece of what was cut, or nowhere.
                Some(broken) => at_day.and_then(|at| reading::day(broken.pieces.get(at)?, writing).ok()),
            };
            list.push(SpoiledInspection { of, day, is_good, row });
            if !is_good {
                gate.caution(row, "inspection_date", Doubt::InspectionNotUsed, whom.propeller, None);
            }
        }
    }
    list.sort_by_key(|s| (s.of, s.row));
    list.dedup();
    list
}
