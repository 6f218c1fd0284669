//! Measurements: each row matched to its visit, its station and its blade, checked, and put in order.

use std::borrow::Cow;
use std::sync::Mutex;

use rayon::prelude::*;

use super::gate::Gate;
use super::ledger::Fate;
use super::models::{Limits, Model, Models, Station, set_conflict_aside};
use super::propellers::Propellers;
use super::rule::{Doubt, LooksLike, Rule};
use super::same_key::SameKey;
use super::visits::{PropellerOfCode, Visits, set_unknown_propellers_aside};
use crate::settings::CheckSettings;
use crate::trade::calendar::Day;
use crate::trade::geometry::{Dimension, STATION_SNAP_IN};

/// Days between a measurement's date and the visit it may belong to.
const NEAR_DAYS: i32 = 30;
const ROWS_AT_ONCE: usize = 1 << 18;
const NO_VISIT: u32 = u32::MAX;
const NO_STATION: u8 = u8::MAX;

/// Before the visit's work, or after it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Moment {
    /// As it came in.
    Before = 0,
    /// As it left.
    After = 1,
}

/// Columns of the readings, by dimension and moment.
const NAMES: [[&str; 2]; 2] = [
    ["width_before", "width_after"],
    ["thickness_before", "thickness_after"],
];

/// The measurements that are used, ordered by visit, blade and station.
///
/// Positions run over that order; where the file is in it already, nothing is copied.
#[derive(Debug, Default)]
pub struct Measurements<'a> {
    /// Row of the file at each position; `None` when every row is used and in order.
    rows: Option<Vec<u32>>,
    /// First position of each visit, and the end.
    starts: Vec<u32>,
    blade: &'a [u8],
    station: Vec<u8>,
    readings: [[Option<Cow<'a, [f64]>>; 2]; 2],
    painted: Option<Cow<'a, [u8]>>,
    pct: Option<&'a [f64]>,
    inches: Option<&'a [f64]>,
}

impl Measurements<'_> {
    /// Number of measurements.
    pub fn len(&self) -> usize {
        self.starts.last().map_or(0, |&end| end as usize)
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The positions of one visit's measurements.
    pub fn range(&self, visit: u32) -> std::ops::Range<usize> {
        match self.starts.get(visit as usize..visit as usize + 2) {
            Some(&[from, to]) => from as usize..to as usize,
            _ => 0..0,
        }
    }

    /// Row of the file at a position, from 0.
    pub fn row(&self, position: usize) -> u32 {
        match &self.rows {
            Some(rows) => rows[position],
            None => position as u32,
        }
    }

    /// Blade at a position, from 1.
    pub fn blade(&self, position: usize) -> u8 {
        self.blade[self.row(position) as usize]
    }

    /// Number of the station within its model.
    pub fn station(&self, position: usize) -> u8 {
        self.station[self.row(position) as usize]
    }

    /// Percent and inches of the station, as the row gives them.
    pub fn place(&self, position: usize) -> (Option<f64>, Option<f64>) {
        let row = self.row(position) as usize;
        let number = |c: Option<&[f64]>| c.map(|c| c[row]).filter(|v| !v.is_nan());
        (number(self.pct), number(self.inches))
    }

    /// A reading in inches; `NaN` when not recorded.
    pub fn raw_reading(&self, dimension: Dimension, moment: Moment, position: usize) -> f64 {
        match &self.readings[dimension as usize][moment as usize] {
            Some(values) => values[self.row(position) as usize],
            None => f64::NAN,
        }
    }

    /// A reading in inches.
    pub fn reading(&self, dimension: Dimension, moment: Moment, position: usize) -> Option<f64> {
        Some(self.raw_reading(dimension, moment, position)).filter(|v| !v.is_nan())
    }

    /// Whether the before readings were taken over paint.
    pub fn painted(&self, position: usize) -> bool {
        self.painted
            .as_ref()
            .is_some_and(|p| p[self.row(position) as usize] == 0)
    }
}

/// Growth that a gauge's error explains, in inches.
pub(super) fn growth_in(checks: &CheckSettings, dimension: Dimension) -> f64 {
    match dimension {
        Dimension::Width => checks.gauge_width_in,
        Dimension::Thickness => checks.gauge_thickness_in,
    }
}

/// How far above the new dimension a reading may lie, in inches.
fn above_new_in(checks: &CheckSettings, dimension: Dimension) -> f64 {
    match dimension {
        Dimension::Width => checks.width_over_new_in,
        Dimension::Thickness => checks.thickness_over_new_in,
    }
}

/// What reading the measurements needs to know.
pub(super) struct Context<'c> {
    pub propellers: &'c Propellers,
    pub models: &'c mut Models,
    pub visits: &'c mut Visits,
    pub checks: &'c CheckSettings,
}

impl<'a> Measurements<'a> {
    /// Measurements of a fleet that has none.
    pub(super) fn none(visits: &Visits) -> Measurements<'a> {
        Measurements {
            starts: vec![0; visits.len() + 1],
            ..Measurements::default()
        }
    }

    /// Reads `measurements` through its gate.
    pub(super) fn read(gate: &mut Gate<'a>, context: Context<'_>) -> Measurements<'a> {
        let Context {
            propellers,
            models,
            visits,
            checks,
        } = context;
        let table = gate.table;
        let (Some((codes, words)), Some(days), Some(blade)) = (
            table.text("propeller"),
            table.days("overhaul_date"),
            table.small("blade"),
        ) else {
            visits.follow_models(propellers);
            return Measurements::none(visits);
        };
        let index = PropellerOfCode::new(words, propellers);
        set_unknown_propellers_aside(gate, codes, &index, propellers);
        let mut visit = match_visits(gate, codes, days, &index, visits);
        add_unexplained_days(gate, codes, days, &index, &mut visit, visits, propellers);
        visits.follow_models(propellers);

        let readings = NAMES.map(|names| names.map(|name| table.numbers(name)));
        let stations = Stations {
            pct: table.numbers("station_pct"),
            inches: table.numbers("station"),
        };
        stations.list_measured(gate, &visit, visits, models);
        let mut station = vec![NO_STATION; table.rows];
        let check = RowCheck {
            blade,
            stations,
            readings,
            visits,
            models,
            checks,
        };
        check.run(gate, &visit, &mut station);

        let mut measurements = Measurements {
            rows: None,
            starts: Vec::new(),
            blade,
            station,
            readings: readings.map(|pair| pair.map(|column| column.map(Cow::Borrowed))),
            painted: table.choices("painted").map(Cow::Borrowed),
            pct: stations.pct,
            inches: stations.inches,
        };
        measurements.order(gate, &visit, visits);
        measurements.merge_equal_keys(gate, &visit, visits);
        measurements
    }

    fn key(&self, visit: &[u32], row: usize) -> u64 {
        u64::from(visit[row]) << 16 | u64::from(self.blade[row]) << 8 | u64::from(self.station[row])
    }

    /// Orders the used rows by visit, blade and station, keeping file order within one key.
    fn order(&mut self, gate: &Gate<'_>, visit: &[u32], visits: &Visits) {
        let all_used = gate.fates.par_iter().all(|f| *f == Fate::Used);
        let mut starts = vec![0u32; visits.len() + 1];
        for (row, fate) in gate.fates.iter().enumerate() {
            if *fate == Fate::Used {
                starts[visit[row] as usize + 1] += 1;
            }
        }
        for at in 0..visits.len() {
            starts[at + 1] += starts[at];
        }
        let sorted = all_used
            && (0..visit.len())
                .into_par_iter()
                .with_min_len(ROWS_AT_ONCE)
                .all(|row| row == 0 || self.key(visit, row - 1) <= self.key(visit, row));
        self.rows = if sorted {
            None
        } else {
            let mut next = starts.clone();
            let mut rows = vec![0u32; starts.last().map_or(0, |&n| n as usize)];
            for row in gate.used_rows() {
                let slot = &mut next[visit[row] as usize];
                rows[*slot as usize] = row as u32;
                *slot += 1;
            }
            let mut parts = Vec::with_capacity(visits.len());
            let mut rest = rows.as_mut_slice();
            for pair in starts.windows(2) {
                let (part, behind) = rest.split_at_mut((pair[1] - pair[0]) as usize);
                parts.push(part);
                rest = behind;
            }
            parts.into_par_iter().with_min_len(1024).for_each(|part| {
                part.sort_by_key(|&row| self.key(visit, row as usize));
            });
            Some(rows)
        };
        self.starts = starts;
    }

    /// What a row reads, bit by bit.
    fn said(&self, row: usize) -> ([[u64; 2]; 2], u8) {
        let bits = self.readings.each_ref().map(|pair| {
            pair.each_ref().map(|values| {
                values
                    .as_ref()
                    .map_or(f64::NAN.to_bits(), |v| v[row].to_bits())
            })
        });
        let painted = self
            .painted
            .as_ref()
            .map_or(super::cells::NO_CHOICE, |p| p[row]);
        (bits, painted)
    }

    /// One visit, blade and station twice: equal rows are kept once, of different ones the smaller readings count.
    fn merge_equal_keys(&mut self, gate: &mut Gate<'_>, visit: &[u32], visits: &Visits) {
        let twins: Vec<usize> = (1..self.len())
            .into_par_iter()
            .with_min_len(ROWS_AT_ONCE)
            .filter(|&at| {
                self.key(visit, self.row(at - 1) as usize) == self.key(visit, self.row(at) as usize)
            })
            .collect();
        if twins.is_empty() {
            return;
        }
        let mut dropped = Vec::with_capacity(twins.len());
        let mut same_key = SameKey::new();
        for at in twins {
            let mut first = at - 1;
            while dropped.last() == Some(&first) || dropped.binary_search(&first).is_ok() {
                first -= 1;
            }
            let (kept, other) = (self.row(first), self.row(at));
            let of = visits.get(visit[other as usize]);
            let copy = same_key.is_copy(
                self.key(visit, kept as usize),
                self.said(kept as usize),
                self.said(other as usize),
            );
            if copy {
                gate.caution(
                    other,
                    "propeller",
                    Doubt::IdenticalRows,
                    Some(of.propeller),
                    Some(of.day),
                );
            } else {
                for values in self.readings.iter_mut().flatten().flatten() {
                    let smaller = values[kept as usize].min(values[other as usize]);
                    values.to_mut()[kept as usize] = smaller;
                }
                if let Some(painted) = &mut self.painted {
                    // The first word of the list is yes: over paint, and so kept out of every fit.
                    let word = painted[kept as usize].min(painted[other as usize]);
                    painted.to_mut()[kept as usize] = word;
                }
                set_conflict_aside(gate, other, "propeller", kept);
            }
            dropped.push(at);
        }
        let keep: Vec<u32> = (0..self.len())
            .filter(|at| dropped.binary_search(at).is_err())
            .map(|at| self.row(at))
            .collect();
        let mut starts = vec![0u32; visits.len() + 1];
        for &row in &keep {
            starts[visit[row as usize] as usize + 1] += 1;
        }
        for at in 0..visits.len() {
            starts[at + 1] += starts[at];
        }
        self.rows = Some(keep);
        self.starts = starts;
    }
}

/// The visit of each used row; [`NO_VISIT`] where none explains it.
fn match_visits(
    gate: &mut Gate<'_>,
    codes: &[u32],
    days: &[i32],
    index: &PropellerOfCode,
    visits: &Visits,
) -> Vec<u32> {
    let mut visit = vec![NO_VISIT; codes.len()];
    let nearby: Mutex<Vec<(u32, u32)>> = Mutex::new(Vec::new());
    visit
        .par_chunks_mut(ROWS_AT_ONCE)
        .zip(gate.fates.par_chunks(ROWS_AT_ONCE))
        .enumerate()
        .for_each(|(chunk, (visit, fates))| {
            let first = chunk * ROWS_AT_ONCE;
            let mut near_here = Vec::new();
            let mut last = (u32::MAX, i32::MIN, NO_VISIT, false);
            for (at, (visit, fate)) in visit.iter_mut().zip(fates).enumerate() {
                let row = first + at;
                if *fate != Fate::Used {
                    continue;
                }
                let (code, day) = (codes[row], days[row]);
                if (code, day) == (last.0, last.1) {
                    *visit = last.2;
                    if last.3 {
                        near_here.push((row as u32, last.2));
                    }
                    continue;
                }
                let Some(propeller) = index.of(code) else {
                    continue;
                };
                let range = visits.range(propeller);
                let of = visits.of(propeller);
                let exact = of.binary_search_by_key(&day, |v| v.day.number());
                let (found, is_near) = match exact {
                    Ok(at) => (range.start + at as u32, false),
                    Err(_) => {
                        let mut near = of
                            .iter()
                            .enumerate()
                            .filter(|(_, v)| (v.day.number() - day).abs() <= NEAR_DAYS);
                        match (near.next(), near.next()) {
                            (Some((at, _)), None) => {
                                near_here.push((row as u32, range.start + at as u32));
                                (range.start + at as u32, true)
                            }
                            _ => (NO_VISIT, false),
                        }
                    }
                };
                *visit = found;
                last = (code, day, found, is_near);
            }
            if !near_here.is_empty()
                && let Ok(mut list) = nearby.lock()
            {
                list.extend(near_here);
            }
        });
    let mut nearby = nearby.into_inner().unwrap_or_default();
    nearby.sort_unstable();
    for (row, found) in nearby {
        let of = visits.get(found);
        gate.caution(
            row,
            "overhaul_date",
            Doubt::MatchedNearby,
            Some(of.propeller),
            Some(of.day),
        );
    }
    visit
}

fn add_unexplained_days(
    gate: &mut Gate<'_>,
    codes: &[u32],
    days: &[i32],
    index: &PropellerOfCode,
    visit: &mut [u32],
    visits: &mut Visits,
    propellers: &Propellers,
) {
    let unexplained: Vec<(usize, u32, Day)> = gate
        .used_rows()
        .filter(|&row| visit[row] == NO_VISIT)
        .filter_map(|row| Some((row, index.of(codes[row])?, Day::from_number(days[row]))))
        .collect();
    if unexplained.is_empty() {
        return;
    }
    let moved = visits.add_days(
        unexplained.iter().map(|&(_, p, d)| (p, d)).collect(),
        propellers.len(),
    );
    for number in visit.iter_mut().filter(|v| **v != NO_VISIT) {
        *number = moved[*number as usize];
    }
    for (row, propeller, day) in unexplained {
        let start = visits.range(propeller).start;
        if let Ok(at) = visits.of(propeller).binary_search_by_key(&day, |v| v.day) {
            visit[row] = start + at as u32;
        }
        gate.caution(
            row as u32,
            "overhaul_date",
            Doubt::WithoutVisit,
            Some(propeller),
            Some(day),
        );
    }
}

#[derive(Clone, Copy)]
struct Stations<'a> {
    pct: Option<&'a [f64]>,
    inches: Option<&'a [f64]>,
}

impl Stations<'_> {
    fn of(&self, row: usize) -> (Option<f64>, Option<f64>) {
        let number = |c: Option<&[f64]>| c.map(|c| c[row]).filter(|v| !v.is_nan());
        (number(self.pct), number(self.inches))
    }

    /// Models without limits take the stations that were measured.
    fn list_measured(&self, gate: &Gate<'_>, visit: &[u32], visits: &Visits, models: &mut Models) {
        if models
            .list()
            .iter()
            .all(|m| m.has_limits && !m.stations_incomplete)
        {
            return;
        }
        let mut seen: Vec<(u32, Station)> = Vec::new();
        for row in gate.used_rows() {
            let Some(number) = visits.get(visit[row]).model else {
                continue;
            };
            let model = models.get(number);
            if model.has_limits && !model.stations_incomplete {
                continue;
            }
            let (pct, inches) = self.of(row);
            let (pct, station_in) = model.place(pct, inches);
            let known = model.stations.iter().any(|s| s.is_at(pct, station_in))
                || seen
                    .iter()
                    .any(|(n, s)| *n == number && s.is_at(pct, station_in));
            if !known && seen.len() < usize::from(NO_STATION) {
                seen.push((
                    number,
                    Station {
                        pct,
                        station_in,
                        width: Limits::default(),
                        thickness: Limits::default(),
                        usable: false,
                    },
                ));
            }
        }
        for (number, station) in seen {
            models.get_mut(number).stations.push(station);
        }
        for number in 0..models.list().len() as u32 {
            models.get_mut(number).sort_stations();
        }
    }
}

struct RowCheck<'a, 'c> {
    blade: &'a [u8],
    stations: Stations<'a>,
    readings: [[Option<&'a [f64]>; 2]; 2],
    visits: &'c Visits,
    models: &'c Models,
    checks: &'c CheckSettings,
}

impl RowCheck<'_, '_> {
    fn run(&self, gate: &mut Gate<'_>, visit: &[u32], station: &mut [u8]) {
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
                    if let Err((column, rule)) = self.row(row, visit[row], station) {
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

    fn row(&self, row: usize, visit: u32, station: &mut u8) -> Result<(), (&'static str, Rule)> {
        let of = self.visits.get(visit);
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
        let Some(number) = model.station_at(pct, inches) else {
            return Err(station_not_listed(model, pct));
        };
        if let (Some(pct), Some(inches), Some(diameter)) = (pct, inches, model.diameter_in)
            && (pct / 100.0 * diameter / 2.0 - inches).abs() > STATION_SNAP_IN
        {
            return Err(("station", Rule::StationsDisagree));
        }
        *station = number as u8;
        for dimension in Dimension::ALL {
            let limits = model.stations[number].limits(dimension);
            let Some(new_in) = limits.new_in else {
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

    fn after_not_above_before(
        &self,
        row: usize,
        changes_model: bool,
    ) -> Result<(), (&'static str, Rule)> {
        if changes_model {
            return Ok(());
        }
        for dimension in Dimension::ALL {
            let [Some(before), Some(after)] = self.readings[dimension as usize] else {
                continue;
            };
            let allowed_in = growth_in(self.checks, dimension);
            if after[row] - before[row] > allowed_in + 1e-9 {
                return Err((
                    NAMES[dimension as usize][Moment::After as usize],
                    Rule::AfterAboveBefore { allowed_in },
                ));
            }
        }
        Ok(())
    }
}

fn station_not_listed(model: &Model, pct: Option<f64>) -> (&'static str, Rule) {
    let column = if pct.is_some() {
        "station_pct"
    } else {
        "station"
    };
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
