//! Whom a row is about that may name an aircraft, a propeller, or both.

use std::collections::BTreeSet;

use super::flying::Flying;
use super::gate::Gate;
use super::ledger::Fate;
use super::offers::Offers;
use super::propellers::Propellers;
use super::rule::{Rule, offered};
use super::visits::PropellerOfCode;
use super::words::{NO_WORD, Words};
use crate::settings::nearest_names;

/// The aircraft and propellers that the rest of the records names.
pub(super) struct Known<'k> {
    pub propellers: &'k Propellers,
    aircraft: BTreeSet<&'k str>,
}

/// What a row names: an aircraft by its code in the table's own list, a propeller by its index.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Whom {
    /// The aircraft.
    pub aircraft: Option<u32>,
    /// The propeller.
    pub propeller: Option<u32>,
}

impl<'k> Known<'k> {
    /// The aircraft that a propeller was ever recorded on, or whose meter was read, by the as-of date.
    pub(super) fn of(propellers: &'k Propellers, flying: &'k Flying) -> Known<'k> {
        let listed = propellers.list().iter().filter_map(|p| Some(propellers.aircraft.get(p.aircraft?)));
        let flown = flying.aircraft_in_use().map(|code| flying.aircraft.get(code));
        Known { propellers, aircraft: listed.chain(flown).collect() }
    }

    fn names_aircraft(&self, name: &str) -> bool {
        self.aircraft.contains(name)
    }

    fn nearest_aircraft(&self, name: &str) -> Option<Box<str>> {
        offered(&nearest_names(name, self.aircraft.iter().copied()))
    }
}

/// Whom each row of a table names, by row.
pub(super) struct Named {
    whom: Vec<Whom>,
    /// Names of the aircraft.
    pub aircraft: Words,
}

impl Named {
    /// Reads the columns `aircraft` and `propeller`, and sets aside the used rows that name one that is not known.
    pub(super) fn read(gate: &mut Gate<'_>, known: &Known<'_>) -> Named {
        let table = gate.table;
        let (aircraft, propellers) = (table.text("aircraft"), table.text("propeller"));
        let index = propellers.map(|(_, words)| PropellerOfCode::new(words, known.propellers));
        let is_named: Vec<bool> = aircraft
            .map(|(_, words)| words.iter().map(|name| known.names_aircraft(name)).collect())
            .unwrap_or_default();
        let cell = |column: Option<(&[u32], &Words)>, row: usize| column.map(|(c, _)| c[row]).filter(|&c| c != NO_WORD);
        let (mut near_aircraft, mut near_propellers) = (Offers::default(), Offers::default());
        let mut whom = Vec::with_capacity(table.rows);
        for row in 0..table.rows {
            let (of_aircraft, of_propeller) = (cell(aircraft, row), cell(propellers, row));
            let found = Whom {
                aircraft: of_aircraft.filter(|&code| is_named[code as usize]),
                propeller: of_propeller.and_then(|code| index.as_ref()?.of(code)),
            };
            whom.push(found);
            if !gate.is_used(row) {
                continue;
            }
            if let (Some(code), None, Some((_, words))) = (of_aircraft, found.aircraft, aircraft) {
                let nearest = near_aircraft.of(code, || known.nearest_aircraft(words.get(code)));
                gate.set_aside(row as u32, "aircraft", Rule::UnknownAircraft { nearest });
            } else if let (Some(code), None, Some((_, words))) = (of_propeller, found.propeller, propellers) {
                let serial = words.get(code);
                let rule = if known.propellers.is_later(serial) {
                    Rule::PropellerNotYetListed
                } else {
                    let nearest = near_propellers.of(code, || offered(&known.propellers.nearest(serial)));
                    Rule::UnknownPropeller { nearest }
                };
                gate.set_aside(row as u32, "propeller", rule);
            }
        }
        Named { whom, aircraft: aircraft.map(|(_, words)| words.clone()).unwrap_or_default() }
    }

    /// Whom a row names.
    pub(super) fn of(&self, row: u32) -> Whom {
        self.whom[row as usize]
    }

    /// Whom the rows name that could not be used, with the row; a record that could not be cut into fields names whoever
    /// stands in one of its pieces.
    pub(super) fn in_spoiled_rows(&mut self, gate: &Gate<'_>, known: &Known<'_>) -> Vec<(u32, Whom)> {
        let mut all = Vec::new();
        for aside in &gate.set_aside {
            let broken = gate.table.broken().iter().find(|b| b.row == aside.row);
            let Some(broken) = broken else {
                let whom = self.of(aside.row);
                if whom.aircraft.is_some() || whom.propeller.is_some() {
                    all.push((aside.row, whom));
                }
                continue;
            };
            if gate.fates[broken.row as usize] != Fate::SetAside {
                continue;
            }
            for piece in &broken.pieces {
                let whom = Whom { aircraft: self.aircraft.find(piece), propeller: known.propellers.find(piece) };
                if whom.aircraft.is_some() || whom.propeller.is_some() {
                    all.push((broken.row, whom));
                }
            }
        }
        all
    }
}
