//! Damage reports that were set aside, as far as they can be read: what was dressed out is gone, whichever cell is wrong.

use super::choice::Action;
use super::defects::{Cells, Defect, model_on};
use super::gate::Gate;
use super::ledger::SetAside;
use super::models::Models;
use super::propellers::Propellers;
use super::visits::Visits;
use crate::trade::calendar::Day;
use crate::trade::damage::DefectKind;

/// A report that was set aside.
#[derive(Debug, Clone, PartialEq)]
pub struct UnreadReport {
    /// What can be read of it; the day is that of `found`.
    pub report: Defect,
    /// Day it was found.
    pub found: Option<Day>,
    /// Its depth, or that of what was taken out, stands there and cannot be read.
    pub depth_unread: bool,
    /// Its length, or that of what was taken out, stands there and cannot be read: it may reach anywhere.
    pub length_unread: bool,
}

/// Every report that was set aside and names a propeller: `spoiled` are propellers with their rows, in order.
pub(super) fn read(
    gate: &Gate<'_>,
    cells: &Cells<'_>,
    spoiled: &[(u32, u32)],
    propellers: &Propellers,
    models: &Models,
    visits: &Visits,
) -> Vec<UnreadReport> {
    let mut rules: Vec<&SetAside> = gate.set_aside.iter().collect();
    rules.sort_by_key(|aside| aside.row);
    let unread = spoiled.iter().map(|&(propeller, row)| {
        let at = rules.partition_point(|aside| aside.row < row);
        let aside = rules.get(at).filter(|aside| aside.row == row);
        of_row(gate, cells, (propeller, row), aside.map_or("", |aside| &aside.column), propellers, models, visits)
    });
    unread.collect()
}

/// One row; without a column at fault the record is no whole one, and none of its cells is where it belongs.
fn of_row(
    gate: &Gate<'_>,
    cells: &Cells<'_>,
    (propeller, row): (u32, u32),
    at_fault: &str,
    propellers: &Propellers,
    models: &Models,
    visits: &Visits,
) -> UnreadReport {
    let table = gate.table;
    let is_whole = !at_fault.is_empty();
    let at = row as usize;
    let unread = |name: &str| {
        let range = table.schema.position(name).map(|p| table.schema.columns[p].range());
        let value = table.numbers(name).map(|c| c[at]);
        let is_absurd = range.zip(value).is_some_and(|(range, value)| range.broken_by(value).is_some());
        !is_whole || is_absurd || gate.is_unreadable(row, name) || at_fault == table.head(name)
    };
    let found = cells.day("found_date", at).filter(|_| !unread("found_date"));
    let kind = cells.kind(at).filter(|_| !unread("kind")).unwrap_or(DefectKind::Other);
    let mut report =
        cells.report(at, propeller, found.unwrap_or(Day::from_number(i32::MIN / 2)), kind, &|n| !unread(n));
    let model = found.and_then(|day| model_on(propellers, visits, propeller, day)).map(|m| models.get(m));
    let blades = model.and_then(|m| m.blades).unwrap_or(3);
    report.blade = report.blade.filter(|blade| (1..=blades).contains(blade));
    let place = match model {
        Some(model) => model.place(report.station_pct, report.station_in),
        None => (report.station_pct, report.station_in),
    };
    // A place off the blade, or two places, are none.
    let is_place = !unread("station") && !unread("station_pct") && place.0.is_none_or(|pct| pct <= 101.0);
    (report.station_pct, report.station_in) = if is_place { place } else { (None, None) };
    if !is_whole {
        report.action = Action::NoAction;
        report.action_recorded = false;
    }
    UnreadReport {
        found,
        depth_unread: unread("depth") || unread("rework_depth"),
        length_unread: unread("length") || unread("rework_length"),
        report,
    }
}
