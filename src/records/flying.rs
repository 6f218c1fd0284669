//! Readings of hours, aircraft and their meters, and which propeller was fitted where and when.

use super::gate::{FIRST_DAY, Gate};
use super::hour_series::Context;
use super::hours_that_cannot_be::Contradiction;
use super::models::set_conflict_aside;
use super::propellers::Propellers;
use super::rule::Doubt;
use super::same_key::SameKey;
use super::visits::{PropellerOfCode, set_unknown_propellers_aside};
use super::words::{NO_WORD, Words};
use crate::trade::calendar::Day;

/// One reading of a propeller's own hours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Index of the propeller.
    pub propeller: u32,
    /// Day of the reading.
    pub day: Day,
    /// Hours since new.
    pub hours_since_new: Option<f64>,
    /// Hours since overhaul.
    pub hours_since_overhaul: Option<f64>,
    /// Row of the table, from 0.
    pub row: u32,
}

/// One reading of a meter of an aircraft.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeterReading {
    /// Code of the aircraft in [`Flying::aircraft`].
    pub aircraft: u32,
    /// Code of the meter in [`Flying::meters`]; `None` when it has no name.
    pub meter: Option<u32>,
    /// Day of the reading.
    pub day: Day,
    /// What the meter showed.
    pub hours: f64,
    /// Row of the table, from 0.
    pub row: u32,
}

/// A stretch of time on an aircraft.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fitting {
    /// Index of the propeller.
    pub propeller: u32,
    /// Code of the aircraft in [`Flying::aircraft`].
    pub aircraft: u32,
    /// First day on it.
    pub from: Day,
    /// The day it came off, as known on the as-of date.
    pub to: Option<Day>,
    /// Code of the place on the aircraft in [`Flying::positions`]; `None` when not said.
    pub position: Option<u32>,
    /// Row of the table, from 0.
    pub row: u32,
}

/// Hours and fittings of a fleet.
#[derive(Debug, Clone, Default)]
pub struct Flying {
    readings: Vec<Reading>,
    reading_starts: Vec<u32>,
    meter_readings: Vec<MeterReading>,
    fittings: Vec<Fitting>,
    fitting_starts: Vec<u32>,
    /// Names of aircraft, of `aircraft_hours` and of `fitted`.
    pub aircraft: Words,
    /// Names of meters.
    pub meters: Words,
    /// Names of places on an aircraft.
    pub positions: Words,
    /// Readings of propellers that contradict one another, by propeller and day.
    pub(super) contradictions: Vec<Contradiction>,
    /// Readings of meters that do, by aircraft and day.
    pub(super) meter_contradictions: Vec<Contradiction>,
}

fn starts(propellers: usize, of: impl Iterator<Item = u32>) -> Vec<u32> {
    let mut starts = vec![0u32; propellers + 1];
    for propeller in of {
        starts[propeller as usize + 1] += 1;
    }
    for at in 0..propellers {
        starts[at + 1] += starts[at];
    }
    starts
}

fn slice<'a, T>(list: &'a [T], starts: &[u32], propeller: u32) -> &'a [T] {
    match starts.get(propeller as usize..propeller as usize + 2) {
        Some(&[from, to]) => &list[from as usize..to as usize],
        _ => &[],
    }
}

fn of_whom(list: &[Contradiction], whose: u32) -> &[Contradiction] {
    let from = list.partition_point(|c| c.whose < whose);
    let to = from + list[from..].partition_point(|c| c.whose == whose);
    &list[from..to]
}

impl Flying {
    /// One propeller's own readings in order of date.
    pub fn readings(&self, propeller: u32) -> &[Reading] {
        slice(&self.readings, &self.reading_starts, propeller)
    }

    /// One propeller's fittings in order of their first day.
    pub fn fittings(&self, propeller: u32) -> &[Fitting] {
        slice(&self.fittings, &self.fitting_starts, propeller)
    }

    /// Every fitting, by propeller and first day.
    pub fn all_fittings(&self) -> &[Fitting] {
        &self.fittings
    }

    /// The fitting that puts a propeller on an aircraft on the as-of date: its last one, while that has not ended.
    pub fn fitted_now(&self, propeller: u32) -> Option<&Fitting> {
        self.fittings(propeller).last().filter(|fitting| fitting.to.is_none())
    }

    /// One aircraft's readings, ordered by meter and date.
    pub fn meter_readings(&self, aircraft: u32) -> &[MeterReading] {
        let from = self.meter_readings.partition_point(|r| r.aircraft < aircraft);
        let to = self.meter_readings.partition_point(|r| r.aircraft <= aircraft);
        &self.meter_readings[from..to]
    }

    /// The aircraft that a reading or a fitting names, with repetitions.
    pub(super) fn aircraft_in_use(&self) -> impl Iterator<Item = u32> {
        let read = self.meter_readings.chunk_by(|a, b| a.aircraft == b.aircraft).map(|of| of[0].aircraft);
        read.chain(self.fittings.iter().map(|f| f.aircraft))
    }

    /// Readings of a propeller that contradict one another, in order of date.
    pub fn contradictions(&self, propeller: u32) -> &[Contradiction] {
        of_whom(&self.contradictions, propeller)
    }

    /// Readings of an aircraft's meters that contradict one another, in order of date.
    pub fn meter_contradictions(&self, aircraft: u32) -> &[Contradiction] {
        of_whom(&self.meter_contradictions, aircraft)
    }

    /// Every reading of a meter, ordered by aircraft, meter and date.
    pub(super) fn meter_list(&self) -> &[MeterReading] {
        &self.meter_readings
    }

    pub(super) fn keep_meter_readings(&mut self, keep: impl Fn(&MeterReading) -> bool) {
        self.meter_readings.retain(keep);
    }

    pub(super) fn keep_readings(&mut self, propellers: usize, keep: impl Fn(&Reading) -> bool) {
        let before = self.readings.len();
        self.readings.retain(keep);
        if self.readings.len() < before {
            self.reading_starts = starts(propellers, self.readings.iter().map(|r| r.propeller));
        }
    }

    /// Reads `hours`, `aircraft_hours` and `fitted` through their gates; visits say more hours.
    pub(super) fn read<'g>(
        mut hours: Option<&mut Gate<'g>>,
        overhauls: Option<&mut Gate<'g>>,
        aircraft_hours: Option<&mut Gate<'_>>,
        fitted: Option<&mut Gate<'_>>,
        context: &Context<'_>,
    ) -> Flying {
        let (propellers, as_of) = (context.propellers, context.as_of);
        let mut flying = Flying::default();
        if let Some(gate) = hours.as_deref_mut() {
            flying.readings = read_hours(gate, propellers);
        }
        flying.reading_starts = starts(propellers.len(), flying.readings.iter().map(|r| r.propeller));
        flying.judge_hours(hours, overhauls, context);
        let has_aircraft_hours = aircraft_hours.is_some();
        if let Some(gate) = aircraft_hours {
            flying.read_meters(gate);
            flying.judge_meters(gate, context.caution_per_year);
        }
        if let Some(gate) = fitted {
            flying.read_fittings(gate, propellers, as_of);
            if has_aircraft_hours {
                flying.tell_unread_aircraft(gate);
            }
        }
        flying.fitting_starts = starts(propellers.len(), flying.fittings.iter().map(|f| f.propeller));
        flying
    }

    fn read_meters(&mut self, gate: &mut Gate<'_>) {
        let table = gate.table;
        let (Some((codes, words)), Some(days), Some(hours)) =
            (table.text("aircraft"), table.days("reading_date"), table.numbers("hours"))
        else {
            return;
        };
        let map: Vec<u32> = words.iter().map(|name| self.aircraft.code(name)).collect();
        let meters = table.text("meter");
        let meter_map: Vec<u32> =
            meters.map(|(_, words)| words.iter().map(|name| self.meters.code(name)).collect()).unwrap_or_default();
        let mut list: Vec<MeterReading> = gate
            .used_rows()
            .map(|row| MeterReading {
                aircraft: map[codes[row] as usize],
                meter: meters.map(|(codes, _)| codes[row]).filter(|&c| c != NO_WORD).map(|c| meter_map[c as usize]),
                day: Day::from_number(days[row]),
                hours: hours[row],
                row: row as u32,
            })
            .collect();
        list.sort_by_key(|r| (r.aircraft, r.meter, r.day, r.row));
        let mut rows = SameKey::new();
        list.dedup_by(|other, first| {
            let key = (other.aircraft, other.meter, other.day);
            let same_key = key == (first.aircraft, first.meter, first.day);
            if same_key {
                if rows.is_copy(key, first.hours, other.hours) {
                    gate.caution(other.row, "aircraft", Doubt::IdenticalRows, None, None);
                } else {
                    first.hours = first.hours.max(other.hours);
                    set_conflict_aside(gate, other.row, "reading_date", first.row);
                }
            }
            same_key
        });
        self.meter_readings = list;
    }

    /// Fittings to an aircraft whose hours nobody has read by the as-of date.
    fn tell_unread_aircraft(&self, gate: &mut Gate<'_>) {
        for fitting in &self.fittings {
            // Only where the aircraft's meter is needed: not for a propeller with readings of its own.
            let own = self.readings.binary_search_by_key(&fitting.propeller, |r| r.propeller).is_ok();
            if !own && self.meter_readings(fitting.aircraft).is_empty() {
                gate.caution(fitting.row, "aircraft", Doubt::UndefinedAircraft, Some(fitting.propeller), None);
            }
        }
    }

    fn read_fittings(&mut self, gate: &mut Gate<'_>, propellers: &Propellers, as_of: Day) {
        let table = gate.table;
        let (Some((codes, words)), Some((aircraft, names)), Some(from)) =
            (table.text("propeller"), table.text("aircraft"), table.days("from_date"))
        else {
            return;
        };
        let index = PropellerOfCode::new(words, propellers);
        set_unknown_propellers_aside(gate, codes, &index, propellers);
        let map: Vec<u32> = names.iter().map(|name| self.aircraft.code(name)).collect();
        let to = table.days("to_date");
        let position = table.text("position");
        self.positions = position.map(|(_, words)| words.clone()).unwrap_or_default();
        let mut list: Vec<Fitting> = Vec::new();
        let used: Vec<usize> = gate.used_rows().collect();
        for row in used {
            let Some(propeller) = index.of(codes[row]) else {
                continue;
            };
            list.push(Fitting {
                propeller,
                aircraft: map[aircraft[row] as usize],
                from: Day::from_number(from[row]),
                // An end after the as-of date has not come yet.
                to: to.map(|c| c[row]).filter(|&d| (FIRST_DAY..=as_of.number()).contains(&d)).map(Day::from_number),
                position: position.map(|(codes, _)| codes[row]).filter(|&code| code != NO_WORD),
                row: row as u32,
            });
        }
        list.sort_by_key(|f| (f.propeller, f.from, f.row));
        let mut rows = SameKey::new();
        list.dedup_by(|other, first| {
            let key = (other.propeller, other.from);
            let same_key = key == (first.propeller, first.from);
            if same_key {
                let said = |of: &Fitting| (of.aircraft, of.to, of.position);
                if rows.is_copy(key, said(first), said(other)) {
                    gate.caution(other.row, "propeller", Doubt::IdenticalRows, Some(other.propeller), None);
                } else {
                    // Which aircraft is right is not known; the choice must not depend on the order of the rows.
                    if self.aircraft.get(other.aircraft) < self.aircraft.get(first.aircraft) {
                        first.aircraft = other.aircraft;
                    }
                    first.position = first.position.filter(|_| first.position == other.position);
                    // The longer stretch gives more hours.
                    first.to = match (first.to, other.to) {
                        (Some(a), Some(b)) => Some(a.max(b)),
                        _ => None,
                    };
                    set_conflict_aside(gate, other.row, "from_date", first.row);
                }
            }
            same_key
        });
        self.fittings = list;
    }
}

fn read_hours(gate: &mut Gate<'_>, propellers: &Propellers) -> Vec<Reading> {
    let table = gate.table;
    let (Some((codes, words)), Some(days)) = (table.text("propeller"), table.days("reading_date")) else {
        return Vec::new();
    };
    let index = PropellerOfCode::new(words, propellers);
    set_unknown_propellers_aside(gate, codes, &index, propellers);
    let number = |column: Option<&[f64]>, row: usize| column.map(|c| c[row]).filter(|v| !v.is_nan());
    let (since_new, since_overhaul) = (table.numbers("hours_since_new"), table.numbers("hours_since_overhaul"));
    let mut list: Vec<Reading> = gate
        .used_rows()
        .filter_map(|row| {
            Some(Reading {
                propeller: index.of(codes[row])?,
                day: Day::from_number(days[row]),
                hours_since_new: number(since_new, row),
                hours_since_overhaul: number(since_overhaul, row),
                row: row as u32,
            })
        })
        .collect();
    list.sort_by_key(|r| (r.propeller, r.day, r.row));
    let more = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) => Some(a.max(b)),
        (a, b) => a.or(b),
    };
    let mut rows = SameKey::new();
    list.dedup_by(|other, first| {
        let key = (other.propeller, other.day);
        let same_key = key == (first.propeller, first.day);
        if same_key {
            let said = |of: &Reading| (of.hours_since_new, of.hours_since_overhaul);
            if rows.is_copy(key, said(first), said(other)) {
                gate.caution(other.row, "propeller", Doubt::IdenticalRows, Some(other.propeller), None);
            } else {
                first.hours_since_new = more(first.hours_since_new, other.hours_since_new);
                first.hours_since_overhaul = more(first.hours_since_overhaul, other.hours_since_overhaul);
                set_conflict_aside(gate, other.row, "reading_date", first.row);
            }
        }
        same_key
    });
    list
}
