//! What was read of one propeller and when, as far as it shows metal that was dressed out.

use super::has_margin;
use crate::analysis::last_readings::as_it_left;
use crate::records::Fleet;
use crate::records::measurements::Moment;
use crate::records::models::{Model, Station};
use crate::trade::calendar::Day;
use crate::trade::geometry::{Dimension, STATION_SNAP_IN};
use crate::trade::profile::{Blend, Length};

/// Two radii closer than this are one, in inches: a station named twice.
const ONE_PLACE_IN: f64 = 1e-6;

/// Inches along the blade that stand for one percent of the radius where no diameter is on record: of a propeller of 60 in,
/// shorter than most, so that a blend reaches more of the percents beside it. Assumption.
const INCHES_PER_PERCENT: f64 = 0.3;

/// By what places along a blade are told: inches where every station has them, else percent of the radius.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::analysis) enum Ruler {
    Inches,
    Percent,
}

impl Ruler {
    pub(in crate::analysis) fn of_model(model: &Model) -> Ruler {
        match model.stations.iter().all(|s| s.station_in.is_some()) {
            true => Ruler::Inches,
            false => Ruler::Percent,
        }
    }

    /// Where a place lies, in inches (or what stands for them); `None` where that is not known.
    pub(in crate::analysis) fn place(self, pct: Option<f64>, inches: Option<f64>) -> Option<f64> {
        match self {
            Ruler::Inches => inches,
            Ruler::Percent => pct.map(|pct| pct * INCHES_PER_PERCENT),
        }
    }

    pub(in crate::analysis) fn station(self, station: &Station) -> Option<f64> {
        self.place(station.pct, station.station_in)
    }
}

/// A reading between the listed stations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Between {
    pub blade: u8,
    pub dimension: Dimension,
    pub at_in: f64,
    pub value_in: f64,
    pub day: Day,
    /// Visits since, which may have taken metal there.
    pub missed: u32,
}

/// One day of readings.
#[derive(Debug)]
struct ReadDay {
    day: Day,
    is_overhaul: bool,
    /// Places of the listed stations of the model in force, by dimension.
    listed: [Vec<f64>; 2],
    read: Vec<(u8, Dimension, f64)>,
}

impl ReadDay {
    fn was_read(&self, blade: u8, dimension: Dimension, at_in: f64, within_in: f64) -> bool {
        let mut read = self.read.iter();
        read.any(|&(b, d, place)| b == blade && d == dimension && (place - at_in).abs() <= within_in + ONE_PLACE_IN)
    }

    /// Whether the stations on both sides of a place were read; beyond the outermost there is only one.
    fn read_neighbours(&self, blade: u8, dimension: Dimension, at_in: f64) -> bool {
        let listed = &self.listed[dimension as usize];
        let inner = listed.iter().copied().filter(|&s| s <= at_in + ONE_PLACE_IN).reduce(f64::max);
        let outer = listed.iter().copied().filter(|&s| s >= at_in - ONE_PLACE_IN).reduce(f64::min);
        let mut neighbours = inner.into_iter().chain(outer).peekable();
        neighbours.peek().is_some() && neighbours.all(|s| self.was_read(blade, dimension, s, 0.0))
    }

    fn read_all(&self, blade: u8, dimension: Dimension) -> bool {
        let listed = &self.listed[dimension as usize];
        !listed.is_empty() && listed.iter().all(|&s| self.was_read(blade, dimension, s, 0.0))
    }
}

/// What was read of one propeller, in order of the day.
#[derive(Debug, Default)]
pub(super) struct Reads {
    days: Vec<ReadDay>,
    /// Readings between the stations that still hold.
    pub between: Vec<Between>,
}

impl Reads {
    /// Goes through a propeller's visits. What was read before `from` shows nothing that is asked for, except readings between
    /// the stations.
    pub(super) fn of(fleet: &Fleet<'_>, propeller: u32, from: Option<Day>) -> Reads {
        let measurements = &fleet.measurements;
        let mut reads = Reads::default();
        let count = fleet.visits.of(propeller).len() as u32;
        for (number, at) in fleet.visits.range(propeller).zip(1u32..) {
            let visit = fleet.visits.get(number);
            let Some(model) = visit.model.map(|m| fleet.models.get(m)) else { continue };
            let is_early = from.is_none_or(|from| visit.day < from);
            if is_early && !fleet.measurements.has_between() {
                continue;
            }
            let ruler = Ruler::of_model(model);
            let listed = Dimension::ALL.map(|dimension| {
                let stations = model.stations.iter().filter(|s| has_margin(s, dimension));
                stations.filter_map(|s| ruler.station(s)).collect()
            });
            let mut day = ReadDay { day: visit.day, is_overhaul: visit.restarts_clock(), listed, read: Vec::new() };
            for position in measurements.range(number) {
                let station = model.stations.get(usize::from(measurements.station(position)));
                let Some(place) = station.and_then(|s| ruler.station(s)) else { continue };
                for dimension in Dimension::ALL {
                    let [before, after] = [Moment::Before, Moment::After]
                        .map(|moment| measurements.raw_reading(dimension, moment, position));
                    if !as_it_left(visit, before, after).is_nan() {
                        day.read.push((measurements.blade(position), dimension, place));
                    }
                }
            }
            for reading in measurements.between(number) {
                let Some(at_in) = ruler.place(reading.pct, reading.station_in) else { continue };
                for dimension in Dimension::ALL {
                    let [before, after] = reading.readings_in[dimension as usize];
                    let value_in = as_it_left(visit, before, after);
                    if !value_in.is_nan() {
                        day.read.push((reading.blade, dimension, at_in));
                        reads.between.push(Between {
                            blade: reading.blade,
                            dimension,
                            at_in,
                            value_in,
                            day: visit.day,
                            missed: count - at,
                        });
                    }
                }
            }
            if visit.changes_model {
                reads.between.retain(|b| b.day >= visit.day);
            }
            if !day.read.is_empty() {
                reads.days.push(day);
            }
        }
        let days = std::mem::take(&mut reads.days);
        reads.between.retain(|b| {
            !days.iter().any(|day| {
                let (blade, dimension) = (b.blade, b.dimension);
                day.day > b.day
                    && (day.was_read(blade, dimension, b.at_in, STATION_SNAP_IN)
                        || (day.is_overhaul && day.read_neighbours(blade, dimension, b.at_in)))
            })
        });
        reads.days = days;
        reads
    }

    /// The first day on or after the dressing on which a blend's metal was read: within half its length of its radius, or by
    /// a released overhaul that read both neighbouring stations (every station, where its place is not known). A blend
    /// without a day counts as made after all of them.
    pub(super) fn first_showing(&self, blade: u8, dimension: Dimension, blend: &Blend) -> Option<Day> {
        let from = blend.of.dressed?.max(blend.of.found);
        // A length that follows from a stand-in for the depth is none that a reading could be held against.
        let within_in = match (blend.of.stands_in, blend.of.length) {
            (true, Length::Measured(length) | Length::AtLeast(length)) => (length / 2.0).max(STATION_SNAP_IN),
            (false, _) => blend.length_in / 2.0,
        };
        let shows = |day: &&ReadDay| match blend.of.radius_in {
            _ if day.day < from => false,
            Some(at_in) => {
                day.was_read(blade, dimension, at_in, within_in)
                    || (day.is_overhaul && day.read_neighbours(blade, dimension, at_in))
            }
            None => day.is_overhaul && day.read_all(blade, dimension),
        };
        self.days.iter().find(shows).map(|day| day.day)
    }
}
