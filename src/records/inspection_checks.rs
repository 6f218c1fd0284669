//! Cautions about inspections and checks after events that need other tables beside them.

use super::choice::InspectionKind;
use super::defects::Defect;
use super::event_checks::MATCH_DAYS;
use super::fleet::Fleet;
use super::gate::shown_cell;
use super::inspections::{Inspected, Inspection};
use super::ledger::Caution;
use super::rule::Doubt;
use super::schema::Table;
use crate::settings::InspectionSettings;
use crate::trade::calendar::month_end;

/// Every such caution.
pub(super) fn cautions(fleet: &Fleet<'_>, settings: &InspectionSettings) -> Vec<Caution> {
    let mut list = Vec::new();
    let mut add = |table: Table, row: u32, column: &str, doubt: Doubt, propeller: Option<u32>| {
        let Some(loaded) = fleet.loaded.table(table) else { return };
        let value = shown_cell(loaded, column, row as usize);
        let column = loaded.head(column).into();
        list.push(Caution { row: Some(row), column, value, propeller, ..Caution::of_table(table, doubt) });
    };
    for inspection in fleet.inspections.list() {
        let propeller = match inspection.of {
            Inspected::Propeller(propeller) => Some(propeller),
            Inspected::Aircraft(_) => None,
        };
        let is_regular = matches!(inspection.kind, Some(InspectionKind::Annual | InspectionKind::HundredHour));
        if is_regular && inspection.next_due.is_some_and(|d| d > month_end(inspection.day, settings.annual_months)) {
            add(Table::Inspections, inspection.row, "next_due_date", Doubt::NextBeyondInterval, propeller);
        }
        if is_beyond_hours(fleet, inspection, settings.hundred_hours) {
            add(Table::Inspections, inspection.row, "next_due_meter", Doubt::NextBeyondInterval, propeller);
        }
    }
    if fleet.event_checks.list.is_empty() {
        return list;
    }
    let mut grave: Vec<&Defect> = fleet.defects.list().iter().filter(|d| d.kind.is_shop_only()).collect();
    grave.sort_by_key(|d| d.found);
    for check in &fleet.event_checks.list {
        let Some(event) = check.event else { continue };
        if check.day.is_some_and(|day| day < event) {
            add(Table::EventChecks, check.row, "check_date", Doubt::CheckBeforeEvent, check.propeller);
        }
        let aircraft = check.aircraft.map(|code| fleet.event_checks.aircraft.get(code));
        let from = grave.partition_point(|d| d.found < event + -MATCH_DAYS);
        let near = grave[from..].iter().take_while(|d| check.may_be_of(d.found));
        let mut days: Vec<_> = near
            .filter(|d| match aircraft {
                Some(name) => fleet.aircraft_on(d.propeller, d.found) == Some(name),
                None => Some(d.propeller) == check.propeller,
            })
            .map(|d| d.found)
            .collect();
        days.sort_unstable();
        days.dedup();
        if !days.contains(&event) && days.len() != 1 {
            add(Table::EventChecks, check.row, "event_date", Doubt::CheckOfNoEvent, check.propeller);
        }
    }
    list
}

/// Whether a 100 hour's next reading lies more than its hours above what the meter had shown by that day.
fn is_beyond_hours(fleet: &Fleet<'_>, inspection: &Inspection, hundred_hours: f64) -> bool {
    let (Some(next), Some(InspectionKind::HundredHour)) = (inspection.next_due_meter, inspection.kind) else {
        return false;
    };
    let name = match inspection.of {
        Inspected::Aircraft(code) => Some(fleet.inspections.aircraft.get(code)),
        Inspected::Propeller(propeller) => fleet.aircraft_on(propeller, inspection.day),
    };
    let Some(aircraft) = name.and_then(|name| fleet.flying.aircraft.find(name)) else {
        return false;
    };
    // The first reading on or after the day is the most that it can have shown.
    let readings = fleet.flying.meter_readings(aircraft).iter();
    let shown = readings.filter(|r| r.day >= inspection.day).min_by_key(|r| r.day);
    shown.is_some_and(|reading| next > reading.hours + hundred_hours)
}
