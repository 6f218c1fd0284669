//! Which inspections count for a propeller.

use std::collections::HashSet;

use crate::records::Fleet;
use crate::records::inspections::{Inspected, Inspection};
use crate::trade::calendar::Day;

/// The inspections that count for a propeller today, in order of date: those of its aircraft, and those written by its own
/// serial since it was last put on that aircraft from another. One that is on no aircraft keeps its own.
pub fn counting<'f>(fleet: &'f Fleet<'_>, propeller: u32) -> Vec<&'f Inspection> {
    let inspections = &fleet.inspections;
    if inspections.list().is_empty() {
        return Vec::new();
    }
    let aircraft = fleet.aircraft_of(propeller);
    let since = aircraft.and_then(|name| on_it_since(fleet, propeller, name));
    let own = inspections.of(Inspected::Propeller(propeller)).iter();
    let mut counting: Vec<&Inspection> = own.filter(|i| since.is_none_or(|since| i.day >= since)).collect();
    if let Some(name) = aircraft {
        counting.extend(inspections.of_aircraft(name));
    }
    counting.sort_by_key(|i| (i.day, i.kind, i.row));
    counting
}

/// The first day from which a propeller was on no other aircraft; `None` when no fitting says.
fn on_it_since(fleet: &Fleet<'_>, propeller: u32, name: &str) -> Option<Day> {
    let fittings = fleet.flying.fittings(propeller).iter().rev();
    fittings.take_while(|f| fleet.flying.aircraft.get(f.aircraft) == name).map(|f| f.from).last()
}

/// Every inspection of a propeller and of the aircraft it was on, on the days it was on them.
pub fn of_its_days<'f>(fleet: &'f Fleet<'_>, propeller: u32) -> Vec<&'f Inspection> {
    let inspections = &fleet.inspections;
    if inspections.list().is_empty() {
        return Vec::new();
    }
    let mut all: Vec<&Inspection> = inspections.of(Inspected::Propeller(propeller)).iter().collect();
    let fittings = fleet.flying.fittings(propeller);
    let mut seen = HashSet::new();
    for fitting in fittings {
        let of = inspections.of_aircraft(fleet.flying.aircraft.get(fitting.aircraft)).iter();
        all.extend(
            of.filter(|i| i.day >= fitting.from && fitting.to.is_none_or(|to| i.day <= to) && seen.insert(i.row)),
        );
    }
    if let Some(name) = fleet.aircraft_of(propeller).filter(|_| fittings.is_empty()) {
        all.extend(inspections.of_aircraft(name));
    }
    all.sort_by_key(|i| (i.day, i.kind, i.row));
    all
}
