//! What a row of measurements must be to be used: a blade and a station of the model, and dimensions that can be.

use std::collections::HashSet;

use rayon::prelude::*;

use super::gate::Gate;
use super::ledger::Fate;
use super::measurements::{Moment, NAMES, NO_STATION, ROWS_AT_ONCE, above_new_in, growth_in};
use super::models::{Model, Models, Station};
use super::rule::{LooksLike, Rule};
use super::visits::{Visit, Visits};
use crate::settings::CheckSettings;
use crate::trade::geometry::{Dimension, STATION_SNAP_IN};

/// The columns that say where a row was measured.
#[derive(Clone, Copy)]
pub(super) struct Stations<'a> {
    pub pct: Option<&'a [f64]>,
    pub inches: Option<&'a [f64]>,
}

impl Stations<'_> {
    pub fn of(&self, row: usize) -> (Option<f64>, Option<f64>) {
        let number = |c: Option<&[f64]>| c.map(|c| c[row]).filter(|v| !v.is_nan());
        (number(self.pct), number(self.inches))
    }

    /// Models without limits take the stations that were measured.
    pub(super) fn list_measured(&self, gate: &Gate<'_>, visit: &[u32], visits: &Visits, models: &mut Models) {
        if models.list().iter().all(|m| m.has_limits && !m.stations_incomplete) {
            return;
        }
        // Distinct places first, then from the hub outward: which readings share a station must not depend on their order.
        let mut places: HashSet<(u32, [Option<u64>; 2])> = HashSet::new();
        for row in gate.used_rows() {
            let Some(number) = visits.get(visit[row]).model else {
                continue;
            };
            let model = models.get(number);
            if !model.has_limits || model.stations_incomplete {
                let (pct, inches) = self.of(row);
                let (pct, station_in) = model.place(pct, inches);
                places.insert((number, [pct, station_in].map(|v| v.map(f64::to_bits))));
            }
        }
        let mut places: Vec<(u32, Station)> = places
            .into_iter()
            .map(|(number, place)| {
                let [pct, station_in] = place.map(|v| v.map(f64::from_bits));
                (number, Station::without_limits(pct, station_in))
            })
            .collect();
        places.sort_by(|(m, a), (n, b)| m.cmp(n).then(a.by_distance(b)));
        for (number, station) in places {
            let stations = &mut models.get_mut(number).stations;
            let known = stations.iter().any(|s| s.is_at(station.pct, station.station_in));
            if !known && stations.len() < usize::from(NO_STATION) {
                stations.push(station);
            }
        }
        for number in 0..models.list().len() as u32 {
            models.get_mut(number).sort_stations();
        }
    }
}

/// What checking a row needs to know of its visit, small enough to be looked up by the million.
#[derive(Debug, Clone, Copy)]
struct Designation {
    model: Option<u32>,
    changes_model: bool,
}

impl Designation {
    fn after(visit: &Visit) -> Designation {
        Designation { model: visit.model, changes_model: visit.changes_model }
    }
}

/// The check of every row, and what it needs to know.
pub(super) struct RowCheck<'a, 'c> {
    pub blade: &'a [u8],
    pub stations: Stations<'a>,
    pub readings: [[Option<&'a [f64]>; 2]; 2],
    pub visits: &'c Visits,
    pub models: &'c Models,
    pub checks: &'c CheckSettings,
}

impl RowCheck<'_, '_> {
    /// Sets aside what cannot be used and fills in the station of every other row.
    pub(super) fn run(&self, gate: &mut Gate<'_>, visit: &[u32], station: &mut [u8]) {
        let designations: Vec<Designation> = self.visits.list().iter().map(Designation::after).collect();
        let found: Vec<(u32, &'static str, Rule)> = station
            .par_chunks_mut(ROWS_AT_ONCE)
            .zip(gate.fates.par_chunks(ROWS_AT_ONCE))
            .enumerate()
            .flat_map_iter(|(chunk, (station, fates))| {
                let first = chunk * ROWS_AT_ONCE;
                let mut found = Vec::new();
                for (at, (station, fate)) in station.iter_mut().zip(fates).enumerate() {
                    let row = first + at;
                    if *fate != Fate::Used {
                        continue;
                    }
                    if let Err((column, rule)) = self.row(row, designations[visit[row] as usize], station) {
                        found.push((row as u32, column, rule));
                    }
                }
                found
            })
            .collect();
        for (row, column, rule) in found {
            gate.set_aside(row, column, rule);
        }
    }

    fn row(&self, row: usize, of: Designation, station: &mut u8) -> Result<(), (&'static str, Rule)> {
        let blade = self.blade[row];
        let model = of.model.map(|m| self.models.get(m));
        let blades = model.and_then(|m| m.blades).unwrap_or(3);
        if blade == 0 || blade > blades {
            return Err(("blade", Rule::BladeBeyondCount { blades }));
        }
        let (pct, inches) = self.stations.of(row);
        let Some(model) = model else {
            *station = unnamed_station(pct, inches);
            return self.after_not_above_before(row, of.changes_model);
        };
        let listed = model.station_at(pct, inches);
        if listed.is_none() && !model.can_place(pct, inches) {
            return Err(station_not_listed(model, pct));
        }
        if let (Some(pct), Some(inches), Some(diameter)) = (pct, inches, model.diameter_in)
            && (pct / 100.0 * diameter / 2.0 - inches).abs() > STATION_SNAP_IN
        {
            return Err(("station", Rule::StationsDisagree));
        }
        // Between the listed stations what a new blade has there is interpolated; the row gets no station of its own.
        if let Some(number) = listed {
            *station = number as u8;
        } else if model.place(pct, inches).0.is_some_and(|pct| pct > 101.0) {
            let column = if pct.is_some() { "station_pct" } else { "station" };
            return Err((column, Rule::StationOffBlade));
        }
        for dimension in Dimension::ALL {
            let new_in = match listed {
                Some(number) => model.stations[number].limits(dimension).new_in,
                None => model.new_between(pct, inches, dimension),
            };
            let Some(new_in) = new_in else {
                continue;
            };
            for moment in [Moment::Before, Moment::After] {
                // Before a change of designation the stations lay elsewhere.
                if of.changes_model && moment == Moment::Before {
                    continue;
                }
                if let Some(values) = self.readings[dimension as usize][moment as usize]
                    && let Some(rule) = self.beyond_new(values[row], new_in, dimension)
                {
                    return Err((NAMES[dimension as usize][moment as usize], rule));
                }
            }
        }
        self.after_not_above_before(row, of.changes_model)
    }

    fn beyond_new(&self, value: f64, new_in: f64, dimension: Dimension) -> Option<Rule> {
        if value > new_in + above_new_in(self.checks, dimension) + 1e-9 {
            let looks_like = looks_like(value, new_in);
            return Some(Rule::AboveNew { new_in, looks_like });
        }
        if value < new_in / 2.0 {
            let looks_like = looks_like(value, new_in);
            return Some(Rule::UnderHalfOfNew { new_in, looks_like });
        }
        None
    }

    fn after_not_above_before(&self, row: usize, changes_model: bool) -> Result<(), (&'static str, Rule)> {
        if changes_model {
            return Ok(());
        }
        for dimension in Dimension::ALL {
            let [Some(before), Some(after)] = self.readings[dimension as usize] else {
                continue;
            };
            let allowed_in = growth_in(self.checks, dimension);
            if after[row] - before[row] > allowed_in + 1e-9 {
                return Err((NAMES[dimension as usize][Moment::After as usize], Rule::AfterAboveBefore { allowed_in }));
            }
        }
        Ok(())
    }
}

fn station_not_listed(model: &Model, pct: Option<f64>) -> (&'static str, Rule) {
    let column = if pct.is_some() { "station_pct" } else { "station" };
    let listed = model.stations_in_words().into_boxed_str();
    (column, Rule::StationNotListed { listed })
}

/// Propellers of no known model: the whole percent, or the half inch, serves to keep stations apart.
fn unnamed_station(pct: Option<f64>, inches: Option<f64>) -> u8 {
    match (pct, inches) {
        (Some(pct), _) => pct.round().clamp(0.0, 120.0) as u8,
        (None, Some(inches)) => (121.0 + (inches * 2.0).round()).clamp(121.0, 253.0) as u8,
        (None, None) => 254,
    }
}

fn looks_like(value: f64, new_in: f64) -> LooksLike {
    let fits = |value: f64| value > 0.5 * new_in && value < 1.05 * new_in;
    if fits(value / 10.0) {
        LooksLike::SlippedDecimal
    } else if fits(value / 25.4) {
        LooksLike::Millimetres
    } else if fits(value / 1000.0) {
        LooksLike::Thousandths
    } else if fits(value * 10.0) {
        LooksLike::LostDecimal
    } else {
        LooksLike::Unclear
    }
}
