//! Margins today: what is left above the minimum at every blade, station and dimension, and how that is known.
//!
//! Margin today = margin at the last reading less metal dressed out since. What was not measured at the last visit is
//! carried forward: the last value less the loss expected since, less two standard deviations of it, and never more than
//! its neighbours on that blade at that visit suggest. Lengths in inches.

use crate::records::Fleet;
use crate::records::choice::{Acquired, Work};
use crate::records::measurements::Moment;
use crate::records::models::Model;
use crate::records::visits::Visit;
use crate::settings::ScreenSettings;
use crate::trade::calendar::Day;
use crate::trade::field_repair::ScreenLimits;
use crate::trade::geometry::Dimension;

use super::survey::Survey;

mod dressed;

/// How a margin is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Basis {
    /// Measured at the last visit.
    Measured,
    /// Carried forward from an earlier reading.
    CarriedForward,
    /// Never measured here: the worst known of the model and station, or of the propeller.
    WorstOfModel,
    /// New, never overhauled, never measured: the new dimension.
    FromDrawing,
    /// Not known.
    NotKnown,
}

impl Basis {
    /// The words of the results.
    pub fn words(self) -> &'static str {
        match self {
            Basis::Measured => "measured",
            Basis::CarriedForward => "carried forward",
            Basis::WorstOfModel => "worst of model",
            Basis::FromDrawing => "from drawing",
            Basis::NotKnown => "not known",
        }
    }
}

/// One blade, station and dimension today.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Margin {
    /// Index of the propeller.
    pub propeller: u32,
    /// Blade, from 1.
    pub blade: u8,
    /// Number of the station within the model.
    pub station: u8,
    /// Width or thickness.
    pub dimension: Dimension,
    /// Day of the last reading.
    pub last_measured: Option<Day>,
    /// The dimension as last read or carried forward, before anything dressed since.
    pub value_in: Option<f64>,
    /// The minimum of the maker's manual.
    pub minimum_in: Option<f64>,
    /// Metal dressed out here since.
    pub dressed_since_in: f64,
    /// Left above the minimum today.
    pub margin_in: Option<f64>,
    /// Left above the minimum, of what a new blade has.
    pub margin_fraction: Option<f64>,
    /// How it is known.
    pub basis: Basis,
}

/// A propeller's last reading at one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LastReading {
    /// The dimension in inches.
    pub value_in: f64,
    /// Day of the visit.
    pub day: Day,
    /// Number of the visit within the propeller's visits, from 1.
    pub visit_no: u32,
}

/// The last readings of one propeller under its present designation.
#[derive(Debug, Default)]
pub struct LastReadings {
    slots: Vec<Option<LastReading>>,
    /// Smallest before reading of a later visit that has no after reading: metal does not grow.
    ceilings: Vec<f64>,
    used: Vec<usize>,
    /// Visits of the propeller.
    pub visits: u32,
}

const STATIONS: usize = 256;

fn slot_of(blade: u8, station: u8, dimension: Dimension) -> usize {
    (usize::from(blade) * STATIONS + usize::from(station)) * 2 + dimension as usize
}

/// A dimension as the propeller left a visit; `NaN` when not known.
pub fn as_it_left(visit: &Visit, before_in: f64, after_in: f64) -> f64 {
    if after_in.is_nan() && before_stands_in(visit) {
        before_in
    } else {
        after_in
    }
}

/// Whether a before reading tells how the propeller left: it was rejected as it stood, or only inspected.
fn before_stands_in(visit: &Visit) -> bool {
    visit.rejected()
        || matches!(
            visit.work,
            Some(Work::DimensionalInspection | Work::StrikeInspection)
        )
}

impl LastReadings {
    fn clear(&mut self) {
        for &slot in &self.used {
            self.slots[slot] = None;
            self.ceilings[slot] = f64::INFINITY;
        }
        self.used.clear();
        self.visits = 0;
    }

    /// Goes through a propeller's visits; readings under an earlier designation are dropped.
    pub fn collect(&mut self, fleet: &Fleet<'_>, propeller: u32) {
        self.clear();
        let measurements = &fleet.measurements;
        for number in fleet.visits.range(propeller) {
            let visit = fleet.visits.get(number);
            if visit.changes_model {
                let visits = self.visits;
                self.clear();
                self.visits = visits;
            }
            self.visits += 1;
            for position in measurements.range(number) {
                for dimension in Dimension::ALL {
                    let before = measurements.raw_reading(dimension, Moment::Before, position);
                    let after = measurements.raw_reading(dimension, Moment::After, position);
                    let value = as_it_left(visit, before, after);
                    let slot = slot_of(
                        measurements.blade(position),
                        measurements.station(position),
                        dimension,
                    );
                    if value.is_nan() && before.is_nan() {
                        continue;
                    }
                    if slot >= self.slots.len() {
                        self.slots.resize(slot + 1, None);
                        self.ceilings.resize(slot + 1, f64::INFINITY);
                    }
                    // A slot that holds neither a value nor a ceiling was not met yet.
                    if self.slots[slot].is_none() && self.ceilings[slot] == f64::INFINITY {
                        self.used.push(slot);
                    }
                    if value.is_nan() {
                        self.ceilings[slot] = self.ceilings[slot].min(before);
                    } else {
                        self.ceilings[slot] = f64::INFINITY;
                        self.slots[slot] = Some(LastReading {
                            value_in: value,
                            day: visit.day,
                            visit_no: self.visits,
                        });
                    }
                }
            }
        }
    }

    /// The last reading at a place.
    pub fn get(&self, blade: u8, station: u8, dimension: Dimension) -> Option<LastReading> {
        self.slots
            .get(slot_of(blade, station, dimension))
            .copied()
            .flatten()
    }

    fn ceiling(&self, blade: u8, station: u8, dimension: Dimension) -> f64 {
        self.ceilings
            .get(slot_of(blade, station, dimension))
            .copied()
            .unwrap_or(f64::INFINITY)
    }

    /// Whether nothing was ever read under the present designation.
    pub fn is_empty(&self) -> bool {
        !self.used.iter().any(|&slot| self.slots[slot].is_some())
    }

    /// Every reading: blade, station, dimension and value.
    pub fn iter(&self) -> impl Iterator<Item = (u8, u8, Dimension, LastReading)> + '_ {
        self.used.iter().filter_map(|&slot| {
            let reading = self.slots[slot]?;
            let dimension = Dimension::ALL[slot % 2];
            let place = slot / 2;
            Some((
                (place / STATIONS) as u8,
                (place % STATIONS) as u8,
                dimension,
                reading,
            ))
        })
    }
}

/// The number of a propeller's model today.
pub fn model_now(fleet: &Fleet<'_>, propeller: u32) -> Option<u32> {
    fleet.visits.model_now(propeller)
}

/// The screen's limits from the settings.
pub fn screen_limits(screen: &ScreenSettings) -> ScreenLimits {
    ScreenLimits {
        edge_depth_in: screen.edge_depth_in,
        surface_depth_in: screen.surface_depth_in,
        surface_width_in: screen.surface_width_in,
        surface_length_in: screen.surface_length_in,
    }
}

/// Works out margins, propeller by propeller.
pub struct MarginReader<'f, 'a> {
    fleet: &'f Fleet<'a>,
    survey: &'f Survey,
    screen: ScreenLimits,
    last: LastReadings,
}

/// A place on one blade as it stands before anything dressed since.
#[derive(Debug, Clone, Copy)]
struct Standing {
    value_in: Option<f64>,
    last_measured: Option<Day>,
    basis: Basis,
}

impl<'f, 'a> MarginReader<'f, 'a> {
    /// A reader for a fleet and what its sheets say together.
    pub fn new(fleet: &'f Fleet<'a>, survey: &'f Survey, screen: &ScreenSettings) -> Self {
        MarginReader {
            fleet,
            survey,
            screen: screen_limits(screen),
            last: LastReadings::default(),
        }
    }

    /// The margins of one propeller, by blade, station and dimension; empty when its model or the model's stations are
    /// not known. A station whose limits are not known has no margin, and says so.
    pub fn of(&mut self, propeller: u32) -> Vec<Margin> {
        let mut margins = Vec::new();
        self.read_into(propeller, &mut margins);
        margins
    }

    /// As [`MarginReader::of`], appending.
    pub fn read_into(&mut self, propeller: u32, margins: &mut Vec<Margin>) {
        let start = margins.len();
        let Some(number) = model_now(self.fleet, propeller) else {
            return;
        };
        let model = self.fleet.models.get(number);
        self.last.collect(self.fleet, propeller);
        let defects = self.fleet.defects.of(propeller);
        for blade in 1..=model.blades.unwrap_or(2) {
            for dimension in Dimension::ALL {
                let from = margins.len();
                for (station, at) in model.stations.iter().enumerate() {
                    let limits = at.limits(dimension);
                    // A dimension the manual limits nowhere at this station has no margin to lose.
                    if at.usable && limits.min_in.is_none() {
                        continue;
                    }
                    let standing =
                        self.standing(propeller, number, model, blade, station as u8, dimension);
                    margins.push(Margin {
                        propeller,
                        blade,
                        station: station as u8,
                        dimension,
                        last_measured: standing.last_measured,
                        value_in: standing.value_in,
                        minimum_in: limits.min_in,
                        dressed_since_in: 0.0,
                        margin_in: None,
                        margin_fraction: None,
                        basis: standing.basis,
                    });
                }
                self.dress(model, blade, dimension, defects, &mut margins[from..]);
            }
        }
        margins[start..].sort_by_key(|m| (m.blade, m.station, m.dimension));
    }

    fn standing(
        &self,
        propeller: u32,
        number: u32,
        model: &Model,
        blade: u8,
        station: u8,
        dimension: Dimension,
    ) -> Standing {
        let limits = model.stations[usize::from(station)].limits(dimension);
        let of = self.fleet.propellers.get(propeller);
        let read = self.last.get(blade, station, dimension);
        if let Some(read) = read {
            let missed = self.last.visits - read.visit_no;
            if missed == 0 {
                return Standing {
                    value_in: Some(read.value_in),
                    last_measured: Some(read.day),
                    basis: Basis::Measured,
                };
            }
            return Standing {
                value_in: Some(self.carried(read, missed, model, blade, station, dimension)),
                last_measured: Some(read.day),
                basis: Basis::CarriedForward,
            };
        }
        let not_known = Standing {
            value_in: None,
            last_measured: None,
            basis: Basis::NotKnown,
        };
        if !self.last.is_empty() {
            let (Some(new), Some(min)) = (limits.new_in, limits.min_in) else {
                return not_known;
            };
            let own = self.smallest_own_fraction(model, dimension);
            let worst = self.survey.worst_fraction(number, station, dimension);
            // The smaller of the two: what the model's others show, and what this propeller itself shows.
            return match [own, worst].into_iter().flatten().reduce(f64::min) {
                Some(fraction) => Standing {
                    value_in: Some(
                        (min + fraction * (new - min))
                            .min(self.last.ceiling(blade, station, dimension)),
                    ),
                    last_measured: None,
                    basis: Basis::WorstOfModel,
                },
                None => not_known,
            };
        }
        let visits = self.fleet.visits.of(propeller);
        let never_worked_on = visits.iter().all(|v| before_stands_in(v) && !v.rejected());
        let spoiled = self
            .fleet
            .visits
            .spoiled
            .iter()
            .any(|s| s.propeller == propeller);
        if of.acquired == Acquired::New && never_worked_on && !spoiled {
            return Standing {
                value_in: limits.new_in,
                last_measured: None,
                basis: if limits.new_in.is_some() {
                    Basis::FromDrawing
                } else {
                    Basis::NotKnown
                },
            };
        }
        not_known
    }

    /// The last value less the loss expected of the visits missed, less two standard deviations of it.
    fn carried(
        &self,
        read: LastReading,
        missed: u32,
        model: &Model,
        blade: u8,
        station: u8,
        dimension: Dimension,
    ) -> f64 {
        let usual = self.survey.usual(dimension);
        let n = f64::from(missed);
        let expected = read.value_in - n * usual.mean_in - 2.0 * n.sqrt() * usual.sd_in;
        let limits = model.stations[usize::from(station)].limits(dimension);
        let neighbours = self
            .last
            .iter()
            .filter(|(b, _, d, r)| *b == blade && *d == dimension && r.visit_no == self.last.visits)
            .filter_map(|(_, s, d, r)| fraction(model, s, d, r.value_in))
            .reduce(f64::min);
        let suggested = match (neighbours, limits.new_in, limits.min_in) {
            (Some(f), Some(new), Some(min)) => min + f * (new - min),
            _ => f64::INFINITY,
        };
        expected
            .min(suggested)
            .min(self.last.ceiling(blade, station, dimension))
    }

    fn smallest_own_fraction(&self, model: &Model, dimension: Dimension) -> Option<f64> {
        self.last
            .iter()
            .filter(|(_, _, d, _)| *d == dimension)
            .filter_map(|(_, s, d, r)| fraction(model, s, d, r.value_in))
            .reduce(f64::min)
    }
}

fn fraction(model: &Model, station: u8, dimension: Dimension, value_in: f64) -> Option<f64> {
    let limits = model.stations.get(usize::from(station))?.limits(dimension);
    let (new, min) = (limits.new_in?, limits.min_in?);
    (new > min).then(|| (value_in - min) / (new - min))
}
