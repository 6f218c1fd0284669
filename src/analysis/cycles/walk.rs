//! One propeller's visits in order: which readings tell the loss from which overhaul to which.
//!
//! A reading at an overhaul tells the loss since the last overhaul that read the same place, or since new. Places missed at
//! some overhauls look further back than others; where the overhauls in between are known from the other places, such a
//! reading is said to have missed them, and all readings of an overhaul then speak of one span.

use super::blended::{self, Blends, Taken};
use crate::analysis::loss::round_to_nano;
use crate::records::Fleet;
use crate::records::choice::Acquired;
use crate::records::measurements::Moment;
use crate::trade::calendar::Day;
use crate::trade::geometry::Dimension;

/// What one reading at an overhaul tells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpanReading {
    /// Blade, from 1.
    pub blade: u8,
    /// Number of the station within the model.
    pub station: u8,
    /// Loss since the reading before, in inches.
    pub loss_in: f64,
    /// How many of the propeller's spans before this one the loss covers too.
    pub missed: u32,
    /// What blends took there in that time.
    pub taken_in: Taken,
}

/// A stretch from one overhaul, or from new, to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span<'w> {
    /// Number of the visit that ends it.
    pub visit: u32,
    /// The propeller's model.
    pub model: Option<u32>,
    /// Tells stretches of one walk apart: another one for each propeller and after each change of model.
    pub era: u32,
    /// Number of the overhaul that ends it, from 1.
    pub overhaul_no: u32,
    /// Overhauls it covers.
    pub spanned: u32,
    /// Whether it starts at the new dimension.
    pub from_drawing: bool,
    /// Its length in days; 0 where it starts at a day that is not on record.
    pub days: i32,
    /// What the readings tell.
    pub readings: &'w [SpanReading],
}

/// Who is told of a propeller's spans.
pub trait Listener {
    /// One span of one dimension; spans come in order of date.
    fn span(&mut self, dimension: Dimension, span: &Span<'_>);

    /// Loss in service from the visit before to an unpainted before reading, in inches.
    fn service(&mut self, _dimension: Dimension, _model: Option<u32>, _loss_in: f64) {}
}

/// A reading to measure from; it holds while its stamp is the walk's own.
#[derive(Debug, Clone, Copy, Default)]
struct Start {
    stamp: u32,
    /// Number of the overhaul or of the visit.
    number: u32,
    after_in: f64,
}

#[derive(Debug, Clone, Copy, Default)]
struct Slot {
    overhaul: Start,
    visit: Start,
}

const STATIONS: usize = 256;

/// Walks propellers one after another.
#[derive(Debug, Default)]
pub struct Walker {
    stamp: u32,
    slots: Vec<[Slot; 2]>,
    /// Overhauls, ascending, between which the common loss is known.
    nodes: [Vec<u32>; 2],
    /// Each reading with the overhaul its span starts at.
    found: Vec<(u32, SpanReading)>,
    readings: Vec<SpanReading>,
    /// Days of the overhauls.
    days: Vec<Day>,
    blends: Blends,
}

impl Walker {
    /// Goes through the visits of a propeller.
    pub fn walk(&mut self, fleet: &Fleet<'_>, propeller: u32, listener: &mut impl Listener) {
        let measurements = &fleet.measurements;
        let mut since_new = fleet.propellers.get(propeller).acquired == Acquired::New;
        self.forget(since_new);
        self.days.clear();
        self.blends.collect(fleet, propeller);
        let (mut visit_no, mut overhaul_no) = (0, 0);
        for number in fleet.visits.range(propeller) {
            let visit = fleet.visits.get(number);
            visit_no += 1;
            if visit.is_overhaul() {
                overhaul_no += 1;
                self.days.push(visit.day);
            }
            if visit.changes_model {
                // Percent stations have moved: nothing is measured across.
                since_new = false;
                self.forget(false);
            }
            let rows = measurements.range(number);
            if rows.is_empty() {
                continue;
            }
            for dimension in Dimension::ALL {
                if !visit.changes_model {
                    self.tell_service(fleet, number, visit_no, dimension, listener);
                }
                if visit.is_overhaul() && !visit.changes_model {
                    self.find(fleet, number, dimension, since_new);
                    self.tell_span(fleet, number, dimension, overhaul_no, since_new, listener);
                }
                for position in rows.clone() {
                    let after_in = measurements.raw_reading(dimension, Moment::After, position);
                    if after_in.is_nan() {
                        continue;
                    }
                    let stamp = self.stamp;
                    let slot = self.slot(measurements.blade(position), measurements.station(position), dimension);
                    let start = |number| Start { stamp, number, after_in };
                    slot.visit = start(visit_no);
                    if visit.is_overhaul() {
                        slot.overhaul = start(overhaul_no);
                    }
                }
            }
        }
    }

    fn forget(&mut self, since_new: bool) {
        self.stamp += 1;
        for nodes in &mut self.nodes {
            nodes.clear();
            if since_new {
                nodes.push(0);
            }
        }
    }

    fn slot(&mut self, blade: u8, station: u8, dimension: Dimension) -> &mut Slot {
        let at = usize::from(blade) * STATIONS + usize::from(station);
        if at >= self.slots.len() {
            self.slots.resize(at + 1, [Slot::default(); 2]);
        }
        &mut self.slots[at][dimension as usize]
    }

    fn tell_service(
        &mut self,
        fleet: &Fleet<'_>,
        number: u32,
        visit_no: u32,
        dimension: Dimension,
        listener: &mut impl Listener,
    ) {
        let measurements = &fleet.measurements;
        let model = fleet.visits.get(number).model;
        for position in measurements.range(number) {
            let before = measurements.raw_reading(dimension, Moment::Before, position);
            if before.is_nan() || measurements.painted(position) {
                continue;
            }
            let stamp = self.stamp;
            let (blade, station) = (measurements.blade(position), measurements.station(position));
            let start = self.slot(blade, station, dimension).visit;
            if start.stamp == stamp && start.number + 1 == visit_no {
                listener.service(dimension, model, round_to_nano(start.after_in - before));
            }
        }
    }

    /// Day of an overhaul by its number; `None` for the new dimension.
    fn day_of(&self, overhaul_no: u32) -> Option<Day> {
        self.days.get((overhaul_no as usize).checked_sub(1)?).copied()
    }

    /// Finds what each reading of an overhaul tells, and from where.
    fn find(&mut self, fleet: &Fleet<'_>, number: u32, dimension: Dimension, since_new: bool) {
        self.found.clear();
        let measurements = &fleet.measurements;
        let visit = fleet.visits.get(number);
        let model = visit.model.map(|m| fleet.models.get(m));
        for position in measurements.range(number) {
            let after = measurements.raw_reading(dimension, Moment::After, position);
            if after.is_nan() {
                continue;
            }
            let stamp = self.stamp;
            let (blade, station) = (measurements.blade(position), measurements.station(position));
            let known = self.slot(blade, station, dimension).overhaul;
            let (from, start_in) = if known.stamp == stamp {
                (known.number, known.after_in)
            } else if since_new
                && let Some(new_in) =
                    model.and_then(|m| m.stations.get(usize::from(station))).and_then(|s| s.limits(dimension).new_in)
            {
                (0, new_in)
            } else {
                continue;
            };
            let time = (self.day_of(from).unwrap_or(blended::FIRST), visit.day);
            let taken_in = self.blends.taken(model, (blade, station), dimension, time);
            let nodes = &self.nodes[dimension as usize];
            let (from, missed) = match (nodes.binary_search(&from), nodes.last()) {
                (Ok(at), Some(&last)) => (last, (nodes.len() - 1 - at) as u32),
                _ => (from, 0),
            };
            let reading = SpanReading { blade, station, loss_in: round_to_nano(start_in - after), missed, taken_in };
            self.found.push((from, reading));
        }
    }

    /// Tells of the span that most readings agree on; of equally many, the shortest.
    fn tell_span(
        &mut self,
        fleet: &Fleet<'_>,
        number: u32,
        dimension: Dimension,
        overhaul_no: u32,
        since_new: bool,
        listener: &mut impl Listener,
    ) {
        let votes = |from: u32| self.found.iter().filter(|(f, _)| *f == from).count();
        let Some(from) = self.found.iter().map(|(from, _)| *from).max_by_key(|&from| (votes(from), from)) else {
            return;
        };
        self.readings.clear();
        let agreeing = self.found.iter().filter(|(f, _)| *f == from);
        self.readings.extend(agreeing.map(|(_, reading)| *reading));
        let nodes = &mut self.nodes[dimension as usize];
        if nodes.last() != Some(&from) {
            nodes.clear();
            nodes.push(from);
        }
        nodes.push(overhaul_no);
        let day = fleet.visits.get(number).day;
        let new_on = fleet.propellers.get(fleet.visits.get(number).propeller).in_service;
        let start = if from == 0 { new_on } else { self.day_of(from) };
        listener.span(
            dimension,
            &Span {
                visit: number,
                model: fleet.visits.get(number).model,
                era: self.stamp,
                overhaul_no,
                spanned: overhaul_no - from,
                from_drawing: since_new && from == 0,
                days: start.map_or(0, |start| (day - start).max(0)),
                readings: &self.readings,
            },
        );
    }
}
