//! Checks after a strike, an overspeed, lightning or a bend, and the shop's check of a crack.

use super::cells::NO_DAY;
use super::choice::{CheckResult, Method, Scope};
use super::gate::Gate;
use super::ledger::Fate;
use super::whom::{Known, Named};
use super::words::{NO_WORD, Words};
use crate::trade::calendar::Day;

/// One check.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct EventCheck {
    /// The aircraft, a code of [`EventChecks::aircraft`].
    pub aircraft: Option<u32>,
    /// Index of the propeller.
    pub propeller: Option<u32>,
    /// Day of the event; `None` in a row that could not be used.
    pub event: Option<Day>,
    /// What was checked; `None` in a row that could not be used.
    pub scope: Option<Scope>,
    /// How.
    pub method: Option<Method>,
    /// Its day, as known on the as-of date.
    pub day: Option<Day>,
    /// Its result; `None` when not recorded. A word that is not ours counts as not satisfactory.
    pub result: Option<CheckResult>,
    /// Whether a name and a reference stand beside it.
    pub is_signed: bool,
    /// Row of the table, from 0.
    pub row: u32,
}

impl EventCheck {
    /// A result that shows what was looked for is in order.
    pub fn is_good(&self) -> bool {
        matches!(self.result, Some(CheckResult::Satisfactory | CheckResult::NoneFound))
    }

    /// Whether it is of an event, by the days alone: on its day, or within 30 days where it is the only one.
    pub fn may_be_of(&self, event: Day) -> bool {
        self.event.is_none_or(|day| (day - event).abs() <= MATCH_DAYS)
    }
}

/// A check is of an event that lies no further from the day it names.
pub const MATCH_DAYS: i32 = 30;

/// Every check.
#[derive(Debug, Clone, Default)]
pub struct EventChecks {
    /// The rows that are used, in order of event, check and row.
    pub list: Vec<EventCheck>,
    /// Rows that could not be used and do not say that all is well: they stand against every event they may be of.
    pub spoiled: Vec<EventCheck>,
    /// Names of aircraft.
    pub aircraft: Words,
    /// Whether the fleet keeps the table at all.
    pub kept: bool,
    /// The earliest day that can be read in any cell of the table; `None` where a row may have held an earlier one.
    pub earliest: Option<Day>,
}

impl EventChecks {
    /// The used checks that name a day near an event.
    pub fn near(&self, event: Day) -> &[EventCheck] {
        let from = self.list.partition_point(|c| c.event.is_none_or(|day| day < event + -MATCH_DAYS));
        let to = self.list.partition_point(|c| c.event.is_none_or(|day| day <= event + MATCH_DAYS));
        &self.list[from..to]
    }

    /// Reads `event_checks` through its gate.
    pub(super) fn read(gate: Option<&mut Gate<'_>>, known: &Known<'_>, as_of: Day) -> EventChecks {
        let Some(gate) = gate else {
            return EventChecks::default();
        };
        let mut named = Named::read(gate, known);
        let in_spoiled_rows = named.in_spoiled_rows(gate, known);
        let table = gate.table;
        let day =
            |name: &str, row: usize| table.days(name).map(|c| c[row]).filter(|&d| d != NO_DAY).map(Day::from_number);
        let is_written = |name: &str, row: usize| table.text(name).is_some_and(|(c, _)| c[row] != NO_WORD);
        let check = |gate: &Gate<'_>, row: u32| {
            let at = row as usize;
            let whom = named.of(row);
            let read = table.choices("result").and_then(|c| CheckResult::of_cell(c[at]));
            let unreadable = gate.is_unreadable(row, "result");
            EventCheck {
                aircraft: whom.aircraft,
                propeller: whom.propeller,
                event: day("event_date", at),
                scope: table.choices("scope").and_then(|c| Scope::of_cell(c[at])),
                method: table.choices("method").and_then(|c| Method::of_cell(c[at])),
                day: day("check_date", at).filter(|&d| d <= as_of),
                result: if unreadable { Some(CheckResult::NotSatisfactory) } else { read },
                is_signed: is_written("by", at) && is_written("reference", at),
                row,
            }
        };
        let mut list: Vec<EventCheck> = gate.used_rows().map(|row| check(gate, row as u32)).collect();
        list.sort_by_key(|c| (c.event, c.day, c.row));
        let mut spoiled: Vec<EventCheck> = Vec::new();
        for (row, whom) in in_spoiled_rows {
            let broken = table.broken().iter().find(|b| b.row == row);
            let mut of = EventCheck { aircraft: whom.aircraft, propeller: whom.propeller, ..check(gate, row) };
            if let Some(broken) = broken {
                let says = |good: CheckResult| broken.pieces.iter().any(|piece| piece == good.word());
                let good = [CheckResult::Satisfactory, CheckResult::NoneFound].into_iter().find(|&good| says(good));
                of = EventCheck { event: None, scope: None, result: good, ..of };
            }
            if !of.is_good() {
                spoiled.push(of);
            }
        }
        spoiled.sort_by_key(|c| c.row);
        let mut days: Vec<i32> = Vec::new();
        for name in ["event_date", "check_date"] {
            let of = table.days(name).into_iter().flatten().copied().zip(&gate.fates);
            days.extend(of.filter(|&(d, &fate)| d != NO_DAY && fate != Fate::Later).map(|(d, _)| d));
        }
        // A row without the day of its event may be the oldest.
        let is_dated = |row: usize| table.days("event_date").is_some_and(|days| days[row] != NO_DAY);
        let all_dated = table.broken().is_empty() && (0..gate.fates.len()).all(is_dated);
        let earliest = days.into_iter().min().map(Day::from_number).filter(|_| all_dated);
        EventChecks { list, spoiled, aircraft: named.aircraft, kept: true, earliest }
    }
}
