//! Measurements: each row matched to its visit, its station and its blade, checked, and put in order.

use std::borrow::Cow;

use rayon::prelude::*;

use super::gate::Gate;
use super::ledger::Fate;
use super::models::{Models, set_conflict_aside};
use super::propellers::Propellers;
use super::rule::Doubt;
use super::same_key::SameKey;
use super::sheet_checks::{RowCheck, Stations};
use super::sheet_days::{add_unexplained_days, match_visits, spoiled_rows};
use super::visits::{PropellerOfCode, Visits, set_unknown_propellers_aside};
use crate::settings::CheckSettings;
use crate::trade::calendar::Day;
use crate::trade::geometry::Dimension;

pub(super) const ROWS_AT_ONCE: usize = 1 << 18;
pub(super) const NO_VISIT: u32 = u32::MAX;
pub(super) const NO_STATION: u8 = u8::MAX;

/// Before the visit's work, or after it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Moment {
    /// As it came in.
    Before = 0,
    /// As it left.
    After = 1,
}

/// Columns of the readings, by dimension and moment.
pub(super) const NAMES: [[&str; 2]; 2] = [["width_before", "width_after"], ["thickness_before", "thickness_after"]];

/// A row read at a place that `limits` does not list: kept for the margins and out of every loss.
#[derive(Debug, Clone, PartialEq)]
pub struct BetweenRow {
    /// Number of the visit.
    pub visit: u32,
    /// Blade, from 1.
    pub blade: u8,
    /// Percent of the radius, when known.
    pub pct: Option<f64>,
    /// Distance from the hub centre in inches, when known.
    pub station_in: Option<f64>,
    /// Readings in inches by dimension and moment; `NaN` when not recorded.
    pub readings_in: [[f64; 2]; 2],
    /// Row of the file, from 0.
    pub row: u32,
}

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
    /// Rows read between the listed stations, by visit, blade and place.
    between: Vec<BetweenRow>,
    /// Rows that name a propeller and could not be used, with their day, by propeller.
    spoiled: Vec<(u32, Option<Day>)>,
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

    /// The days of one propeller's rows that could not be used; `None` where the day could not be read either.
    pub fn spoiled_days(&self, propeller: u32) -> impl Iterator<Item = Option<Day>> + '_ {
        let from = self.spoiled.partition_point(|&(p, _)| p < propeller);
        let rows = self.spoiled[from..].iter();
        rows.take_while(move |&&(p, _)| p == propeller).map(|&(_, day)| day)
    }

    /// The rows of a visit that were read between the listed stations.
    pub fn between(&self, visit: u32) -> &[BetweenRow] {
        let from = self.between.partition_point(|b| b.visit < visit);
        let to = self.between.partition_point(|b| b.visit <= visit);
        &self.between[from..to]
    }

    /// Whether there is any such row.
    pub fn has_between(&self) -> bool {
        !self.between.is_empty()
    }

    /// Whether the before readings were taken over paint.
    pub fn painted(&self, position: usize) -> bool {
        self.painted.as_ref().is_some_and(|p| p[self.row(position) as usize] == 0)
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
pub(super) fn above_new_in(checks: &CheckSettings, dimension: Dimension) -> f64 {
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
        Measurements { starts: vec![0; visits.len() + 1], ..Measurements::default() }
    }

    /// Reads `measurements` through its gate.
    pub(super) fn read(gate: &mut Gate<'a>, context: Context<'_>) -> Measurements<'a> {
        let Context { propellers, models, visits, checks } = context;
        let table = gate.table;
        let (Some((codes, words)), Some(days), Some(blade)) =
            (table.text("propeller"), table.days("overhaul_date"), table.small("blade"))
        else {
            visits.follow_models(propellers);
            return Measurements::none(visits);
        };
        let index = PropellerOfCode::new(words, propellers);
        set_unknown_propellers_aside(gate, codes, &index, propellers);
        let mut visit = match_visits(gate, codes, days, &index, visits);
        add_unexplained_days(gate, codes, days, &index, &mut visit, visits, propellers);
        visits.follow_models(propellers);

        let readings = NAMES.map(|names| names.map(|name| table.numbers(name)));
        let stations = Stations { pct: table.numbers("station_pct"), inches: table.numbers("station") };
        stations.list_measured(gate, &visit, visits, models);
        let mut station = vec![NO_STATION; table.rows];
        let check = RowCheck { blade, stations, readings, visits, models, checks };
        check.run(gate, &visit, &mut station);
        let between = between_rows(gate, &check, &visit, &station);

        let mut measurements = Measurements {
            rows: None,
            starts: Vec::new(),
            blade,
            station,
            readings: readings.map(|pair| pair.map(|column| column.map(Cow::Borrowed))),
            painted: table.choices("painted").map(Cow::Borrowed),
            pct: stations.pct,
            inches: stations.inches,
            between,
            spoiled: spoiled_rows(gate, codes, days, &index, propellers),
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
        let all_used = self.between.is_empty() && gate.fates.par_iter().all(|f| *f == Fate::Used);
        let mut starts = vec![0u32; visits.len() + 1];
        let listed = |row: usize| self.station[row] != NO_STATION;
        for (row, fate) in gate.fates.iter().enumerate() {
            if *fate == Fate::Used && listed(row) {
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
            for row in gate.used_rows().filter(|&row| listed(row)) {
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
        let bits = self
            .readings
            .each_ref()
            .map(|pair| pair.each_ref().map(|values| values.as_ref().map_or(f64::NAN.to_bits(), |v| v[row].to_bits())));
        let painted = self.painted.as_ref().map_or(super::cells::NO_CHOICE, |p| p[row]);
        (bits, painted)
    }

    /// One visit, blade and station twice: equal rows are kept once, of different ones the smaller readings count.
    fn merge_equal_keys(&mut self, gate: &mut Gate<'_>, visit: &[u32], visits: &Visits) {
        let twins: Vec<usize> = (1..self.len())
            .into_par_iter()
            .with_min_len(ROWS_AT_ONCE)
            .filter(|&at| self.key(visit, self.row(at - 1) as usize) == self.key(visit, self.row(at) as usize))
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
            let copy =
                same_key.is_copy(self.key(visit, kept as usize), self.said(kept as usize), self.said(other as usize));
            if copy {
                gate.caution(other, "propeller", Doubt::IdenticalRows, Some(of.propeller), Some(of.day));
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
        let keep: Vec<u32> =
            (0..self.len()).filter(|at| dropped.binary_search(at).is_err()).map(|at| self.row(at)).collect();
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

/// The used rows without a listed station, each with a caution.
fn between_rows(gate: &mut Gate<'_>, check: &RowCheck<'_, '_>, visit: &[u32], station: &[u8]) -> Vec<BetweenRow> {
    let rows: Vec<usize> = station
        .par_iter()
        .zip(gate.fates.par_iter())
        .with_min_len(ROWS_AT_ONCE)
        .enumerate()
        .filter(|(_, (station, fate))| **station == NO_STATION && **fate == Fate::Used)
        .map(|(row, _)| row)
        .collect();
    let mut between: Vec<BetweenRow> = rows
        .into_iter()
        .map(|row| {
            let of = check.visits.get(visit[row]);
            let (pct, station_in) = check.stations.of(row);
            let (pct, station_in) = match of.model {
                Some(model) => check.models.get(model).place(pct, station_in),
                None => (pct, station_in),
            };
            let column = if check.stations.of(row).0.is_some() { "station_pct" } else { "station" };
            gate.caution(row as u32, column, Doubt::BetweenStations, Some(of.propeller), Some(of.day));
            let readings_in = check.readings.map(|pair| pair.map(|values| values.map_or(f64::NAN, |v| v[row])));
            BetweenRow { visit: visit[row], blade: check.blade[row], pct, station_in, readings_in, row: row as u32 }
        })
        .collect();
    between.sort_by(|a, b| {
        let place = |of: &BetweenRow| of.pct.or(of.station_in).unwrap_or(0.0);
        (a.visit, a.blade).cmp(&(b.visit, b.blade)).then(place(a).total_cmp(&place(b))).then(a.row.cmp(&b.row))
    });
    between
}
