//! What looks wrong only when rows are seen together: growth, exchanged blades, gaps in hours.

use rayon::prelude::*;

use super::aboard::Crowd;
use super::chains::Chains;
use super::choice::Status;
use super::fleet::Fleet;
use super::inspections::Inspected;
use super::ledger::Caution;
use super::measurements::{Moment, growth_in};
use super::rule::Doubt;
use super::schema::Table;
use crate::settings::CheckSettings;
use crate::trade::calendar::Day;
use crate::trade::geometry::Dimension;

/// Days without a reading that earn a caution: twelve months.
const GAP_DAYS: i32 = 365;
const PROPELLERS_AT_ONCE: usize = 2048;

struct Notes<'f, 'a> {
    fleet: &'f Fleet<'a>,
    list: Vec<Caution>,
}

impl Notes<'_, '_> {
    fn add(&mut self, table: Table, row: Option<u32>, column: &str, doubt: Doubt, propeller: u32, visit: Option<Day>) {
        let loaded = self.fleet.loaded.table(table);
        let value = match (loaded, row) {
            (Some(loaded), Some(row)) => super::gate::shown_cell(loaded, column, row as usize),
            _ => "".into(),
        };
        self.list.push(Caution {
            table,
            row,
            column: loaded.map_or(column, |t| t.head(column)).into(),
            value,
            doubt,
            propeller: Some(propeller),
            visit,
            count: 1,
            said: None,
        });
    }
}

/// Every caution that needs a propeller's rows together.
pub(super) fn cautions(fleet: &Fleet<'_>, checks: &CheckSettings) -> Vec<Caution> {
    let count = fleet.propellers.len();
    (0..count.div_ceil(PROPELLERS_AT_ONCE))
        .into_par_iter()
        .flat_map_iter(|slice| {
            let from = slice * PROPELLERS_AT_ONCE;
            let to = (from + PROPELLERS_AT_ONCE).min(count);
            let mut notes = Notes { fleet, list: Vec::new() };
            let mut chains = Chains::default();
            for propeller in from as u32..to as u32 {
                sheets(&mut notes, &mut chains, propeller, checks);
                reading_gaps(&mut notes, propeller);
                later_hours(&mut notes, propeller);
                on_its_aircraft(&mut notes, propeller);
                sent_away(&mut notes, propeller);
                before_in_service(&mut notes, propeller);
                repairs_in_line(&mut notes, propeller);
            }
            notes.list
        })
        .collect()
}

/// Sums of squared steps between two sheets, as they stand and with blades 1 and 2 exchanged.
#[derive(Default)]
struct Exchange {
    as_written: f64,
    exchanged: f64,
    grown: u32,
    pairs: u32,
}

fn sheets(notes: &mut Notes<'_, '_>, chains: &mut Chains, propeller: u32, checks: &CheckSettings) {
    let fleet = notes.fleet;
    let measurements = &fleet.measurements;
    let has_sheets = fleet.loaded.table(Table::Measurements).is_some();
    chains.start();
    for number in fleet.visits.range(propeller) {
        let visit = fleet.visits.get(number);
        chains.begin(visit);
        let model = visit.model.map(|m| fleet.models.get(m));
        let range = measurements.range(number);
        let mut exchange = Exchange::default();
        let mut recorded = 0usize;
        for position in range.clone() {
            let (blade, station) = (measurements.blade(position), measurements.station(position));
            for dimension in Dimension::ALL {
                let before = measurements.raw_reading(dimension, Moment::Before, position);
                let after = measurements.raw_reading(dimension, Moment::After, position);
                let limits = model.and_then(|m| m.stations.get(usize::from(station))).map(|s| s.limits(dimension));
                recorded += usize::from(!after.is_nan() || (visit.rejected() && !before.is_nan()));
                if let Some(min_in) = limits.and_then(|l| l.min_in)
                    && !visit.rejected()
                    && after >= min_in - 1e-9
                    && after - min_in <= checks.at_limit_in + 1e-9
                {
                    notes.add(
                        Table::Measurements,
                        Some(measurements.row(position)),
                        column(dimension, Moment::After),
                        Doubt::AtTheLimit,
                        propeller,
                        Some(visit.day),
                    );
                }
                // Paint over a before reading is not metal that grew.
                let over_paint = before.is_nan() || measurements.painted(position);
                let first = if over_paint { after } else { before };
                let Some(previous) = chains.previous(blade, station, dimension) else {
                    continue;
                };
                if first.is_nan() {
                    continue;
                }
                let grown = first - previous.after_in;
                if grown > growth_in(checks, dimension) + 1e-9 {
                    exchange.grown += 1;
                    notes.add(
                        Table::Measurements,
                        Some(measurements.row(position)),
                        column(dimension, if over_paint { Moment::After } else { Moment::Before }),
                        Doubt::GrewBetweenVisits,
                        propeller,
                        Some(visit.day),
                    );
                }
                if blade <= 2
                    && let Some(other) = chains.previous(3 - blade, station, dimension)
                {
                    exchange.as_written += grown * grown;
                    exchange.exchanged += (first - other.after_in).powi(2);
                    exchange.pairs += 1;
                }
            }
        }
        let first_row = (!range.is_empty()).then(|| measurements.row(range.start));
        // Both an impossible growth and a far better fit the other way round: one alone is gauge or chance.
        if exchange.grown > 0 && exchange.pairs >= 4 && exchange.exchanged < 0.25 * exchange.as_written {
            notes.add(Table::Measurements, first_row, "blade", Doubt::BladesExchanged, propeller, Some(visit.day));
        }
        if has_sheets {
            completeness(notes, propeller, number, recorded, first_row);
        }
        if let (Some(track), Some(model)) = (visit.track_in, model)
            && track > model.track_limit_in + 1e-9
        {
            notes.add(Table::Overhauls, visit.row, "track", Doubt::TrackBeyondLimit, propeller, Some(visit.day));
        }
        if visit.changes_model && visit.model_after.is_none() && !visit.model_unknown {
            notes.add(Table::Overhauls, visit.row, "work", Doubt::NoNewDesignation, propeller, Some(visit.day));
        }
        for position in range {
            chains.remember(measurements, position);
        }
    }
}

fn column(dimension: Dimension, moment: Moment) -> &'static str {
    match (dimension, moment) {
        (Dimension::Width, Moment::Before) => "width_before",
        (Dimension::Width, Moment::After) => "width_after",
        (Dimension::Thickness, Moment::Before) => "thickness_before",
        (Dimension::Thickness, Moment::After) => "thickness_after",
    }
}

/// Whether a visit's sheet names every blade, station and dimension that has a limit.
fn completeness(notes: &mut Notes<'_, '_>, propeller: u32, number: u32, recorded: usize, first_row: Option<u32>) {
    let fleet = notes.fleet;
    let visit = fleet.visits.get(number);
    if recorded == 0 && fleet.measurements.between(number).is_empty() {
        // A day that only rows set aside name: they stand in the list of those.
        if visit.row.or(first_row).is_none() {
            return;
        }
        notes.add(
            if visit.row.is_some() { Table::Overhauls } else { Table::Measurements },
            visit.row.or(first_row),
            "overhaul_date",
            Doubt::NotMeasured,
            propeller,
            Some(visit.day),
        );
        return;
    }
    let Some(model) = visit.model.map(|m| fleet.models.get(m)) else {
        return;
    };
    let limited: usize =
        model.stations.iter().map(|s| Dimension::ALL.iter().filter(|d| s.limits(**d).min_in.is_some()).count()).sum();
    let expected = limited * usize::from(model.blades.unwrap_or(2));
    if model.has_limits && recorded < expected {
        notes.add(Table::Measurements, first_row, "propeller", Doubt::PartlyMeasured, propeller, Some(visit.day));
    }
}

fn reading_gaps(notes: &mut Notes<'_, '_>, propeller: u32) {
    let fleet = notes.fleet;
    let readings = fleet.flying.readings(propeller);
    let (Some(first), Some(last)) = (readings.first(), readings.last()) else {
        return;
    };
    for pair in readings.windows(2) {
        if pair[1].day - pair[0].day > GAP_DAYS {
            notes.add(Table::Hours, Some(pair[1].row), "reading_date", Doubt::ReadingGap, propeller, None);
        }
    }
    let of = fleet.propellers.get(propeller);
    let until = of.end_date.unwrap_or(fleet.as_of);
    if !of.status.is_gone() && until - last.day > GAP_DAYS {
        notes.add(Table::Hours, Some(last.row), "reading_date", Doubt::ReadingGap, propeller, None);
    }
    debug_assert!(first.day <= last.day);
}

/// A scrapped, sold or rejected propeller that flies on.
fn later_hours(notes: &mut Notes<'_, '_>, propeller: u32) {
    if let Some((table, row)) = notes.fleet.flown_after_end(propeller) {
        let name = match table {
            Table::Fitted => "from_date",
            Table::Overhauls => "overhaul_date",
            _ => "reading_date",
        };
        notes.add(table, Some(row), name, Doubt::LaterHours, propeller, None);
    }
}

/// What its fitting today says against another's, or against its own status.
fn on_its_aircraft(notes: &mut Notes<'_, '_>, propeller: u32) {
    let fleet = notes.fleet;
    let Some(fitting) = fleet.flying.fitted_now(propeller) else { return };
    if fleet.crowded(propeller).is_some_and(|c| c.crowd == Crowd::Newer) {
        notes.add(Table::Fitted, Some(fitting.row), "aircraft", Doubt::OtherNotEnded, propeller, None);
    }
    if fleet.propellers.get(propeller).status != Status::Flying {
        notes.add(Table::Fitted, Some(fitting.row), "to_date", Doubt::FittedNotFlying, propeller, None);
    }
}

/// Sent to a shop and not come back by the records, but flying or spare by its status.
fn sent_away(notes: &mut Notes<'_, '_>, propeller: u32) {
    let of = notes.fleet.propellers.get(propeller);
    let Some(sent) = of.sent.filter(|&day| day <= notes.fleet.as_of) else { return };
    let came_back = notes.fleet.last_visit(propeller).is_some_and(|visit| visit.day >= sent);
    if matches!(of.status, Status::Flying | Status::Spare) && !came_back {
        let row = of.row;
        notes.add(Table::Propellers, Some(row), "sent_date", Doubt::SentYetFlying, propeller, None);
    }
}

fn before_in_service(notes: &mut Notes<'_, '_>, propeller: u32) {
    let fleet = notes.fleet;
    let Some(first) = fleet.propellers.get(propeller).in_service else {
        return;
    };
    let mut early: Vec<(Table, u32, &'static str)> = Vec::new();
    for number in fleet.visits.range(propeller) {
        let visit = fleet.visits.get(number);
        if visit.day >= first {
            break;
        }
        let range = fleet.measurements.range(number);
        let sheet = (!range.is_empty()).then(|| fleet.measurements.row(range.start));
        match (visit.row, sheet) {
            (Some(row), _) => early.push((Table::Overhauls, row, "overhaul_date")),
            (None, Some(row)) => early.push((Table::Measurements, row, "overhaul_date")),
            (None, None) => {}
        }
    }
    let flying = &fleet.flying;
    let readings = flying.readings(propeller).iter().filter(|r| r.day < first);
    early.extend(readings.map(|r| (Table::Hours, r.row, "reading_date")));
    let fittings = flying.fittings(propeller).iter();
    early.extend(fittings.filter(|f| f.from < first).map(|f| (Table::Fitted, f.row, "from_date")));
    let found = fleet.defects.of(propeller).iter().filter(|d| d.found < first);
    early.extend(found.map(|d| (Table::Defects, d.row, "found_date")));
    let inspections = fleet.inspections.of(Inspected::Propeller(propeller)).iter();
    early.extend(inspections.filter(|i| i.day < first).map(|i| (Table::Inspections, i.row, "inspection_date")));
    for (table, row, column) in early {
        notes.add(table, Some(row), column, Doubt::BeforeInService, propeller, None);
    }
}

/// Blends on both sides, or on both edges, of one blade within an inch of one radius, since the last released overhaul.
fn repairs_in_line(notes: &mut Notes<'_, '_>, propeller: u32) {
    let fleet = notes.fleet;
    let defects = fleet.defects.of(propeller);
    if defects.len() < 2 {
        return;
    }
    let since = fleet.visits.last_released_overhaul(propeller);
    for (at, later) in defects.iter().enumerate().filter(|(_, d)| d.blended_since(since)) {
        if defects[..at].iter().any(|earlier| earlier.blended_since(since) && earlier.lines_up_with(later)) {
            notes.add(Table::Defects, Some(later.row), "surface", Doubt::RepairsLineUp, propeller, None);
        }
    }
}
