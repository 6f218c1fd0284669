//! Margins today: what is left above the minimum at every blade, station and dimension, and how that is known.
//!
//! Margin today = margin at the last reading less metal dressed out since. What was not measured at the last visit is
//! carried forward: the last value less the loss expected since, less two standard deviations of it, and never more than
//! its neighbours on that blade at that visit suggest. Lengths in inches.

use crate::records::Fleet;
use crate::records::choice::{Acquired, Action, Work};
use crate::records::defects::Defect;
use crate::records::measurements::Moment;
use crate::records::models::{Limits, Model};
use crate::records::visits::Visit;
use crate::settings::ScreenSettings;
use crate::trade::calendar::Day;
use crate::trade::field_repair::{SAME_RADIUS_IN, ScreenLimits};
use crate::trade::geometry::{Dimension, StationValue, nearest_station, value_at};

use super::forecast::Fits;
use super::forecast::pools::CarriedLoss;
use super::survey::Survey;

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
    /// Variance of the loss that was carried forward, in inches squared; 0 where none was.
    pub carried_variance_in2: f64,
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
                    let value = if after.is_nan() && before_stands_in(visit) {
                        before
                    } else {
                        after
                    };
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
                    if !self.used.contains(&slot) {
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
    match fleet.visits.of(propeller).last() {
        Some(visit) => visit.model,
        None => fleet.propellers.get(propeller).model,
    }
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
    fits: Option<&'f Fits>,
    last: LastReadings,
}

/// A place on one blade as it stands before anything dressed since.
#[derive(Debug, Clone, Copy)]
struct Standing {
    value_in: Option<f64>,
    last_measured: Option<Day>,
    carried_variance_in2: f64,
    basis: Basis,
}

impl Standing {
    fn of(value_in: Option<f64>, last_measured: Option<Day>, basis: Basis) -> Standing {
        Standing {
            value_in,
            last_measured,
            carried_variance_in2: 0.0,
            basis,
        }
    }
}

impl<'f, 'a> MarginReader<'f, 'a> {
    /// A reader for a fleet and what its sheets say together.
    pub fn new(fleet: &'f Fleet<'a>, survey: &'f Survey, screen: &ScreenSettings) -> Self {
        MarginReader {
            fleet,
            survey,
            screen: screen_limits(screen),
            fits: None,
            last: LastReadings::default(),
        }
    }

    /// Carries forward what was not measured by the forecast's losses, where its pool has cycles enough.
    pub fn with_forecast(self, fits: &'f Fits) -> Self {
        MarginReader {
            fits: Some(fits),
            ..self
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
                        carried_variance_in2: standing.carried_variance_in2,
                        basis: standing.basis,
                    });
                }
                self.dress(model, blade, dimension, defects, &mut margins[from..]);
            }
        }
        let own = &mut margins[..];
        let start = own
            .iter()
            .position(|m| m.propeller == propeller)
            .unwrap_or(own.len());
        own[start..].sort_by_key(|m| (m.blade, m.station, m.dimension));
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
                return Standing::of(Some(read.value_in), Some(read.day), Basis::Measured);
            }
            let lost = self.carried_loss(propeller, number, station, dimension, missed);
            let value = self.carried(read, lost, model, blade, station, dimension);
            return Standing {
                carried_variance_in2: lost.variance_in2,
                ..Standing::of(Some(value), Some(read.day), Basis::CarriedForward)
            };
        }
        let not_known = Standing::of(None, None, Basis::NotKnown);
        if !self.last.is_empty() {
            let (Some(new), Some(min)) = (limits.new_in, limits.min_in) else {
                return not_known;
            };
            let own = self.smallest_own_fraction(propeller, number, model, dimension);
            let worst = self.survey.worst_fraction(number, station, dimension);
            // The smaller of the two: what the model's others show, and what this propeller itself shows.
            return match [own, worst].into_iter().flatten().reduce(f64::min) {
                Some(fraction) => Standing::of(
                    Some(
                        (min + fraction * (new - min))
                            .min(self.last.ceiling(blade, station, dimension)),
                    ),
                    None,
                    Basis::WorstOfModel,
                ),
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
            let basis = match limits.new_in {
                Some(_) => Basis::FromDrawing,
                None => Basis::NotKnown,
            };
            return Standing::of(limits.new_in, None, basis);
        }
        not_known
    }

    /// What a place is expected to have lost at the visits that missed it.
    fn carried_loss(
        &self,
        propeller: u32,
        model: u32,
        station: u8,
        dimension: Dimension,
        missed: u32,
    ) -> CarriedLoss {
        let forecast = self
            .fits
            .and_then(|fits| fits.carried(propeller, model, station, dimension, missed));
        forecast.unwrap_or_else(|| {
            let usual = self.survey.usual(dimension);
            CarriedLoss {
                mean_in: f64::from(missed) * usual.mean_in,
                variance_in2: f64::from(missed) * usual.sd_in * usual.sd_in,
            }
        })
    }

    /// The last value less the loss expected of the visits missed, less two standard deviations of it.
    fn carried(
        &self,
        read: LastReading,
        lost: CarriedLoss,
        model: &Model,
        blade: u8,
        station: u8,
        dimension: Dimension,
    ) -> f64 {
        // Whatever the pool's gauge says, metal does not grow.
        let expected = read.value_in - (lost.mean_in + 2.0 * lost.variance_in2.sqrt()).max(0.0);
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

    /// The propeller's smallest margin fraction, older readings carried forward.
    fn smallest_own_fraction(
        &self,
        propeller: u32,
        number: u32,
        model: &Model,
        dimension: Dimension,
    ) -> Option<f64> {
        self.last
            .iter()
            .filter(|(_, _, d, _)| *d == dimension)
            .filter_map(|(blade, station, _, read)| {
                let missed = self.last.visits - read.visit_no;
                let value = if missed == 0 {
                    read.value_in
                } else {
                    let lost = self.carried_loss(propeller, number, station, dimension, missed);
                    self.carried(read, lost, model, blade, station, dimension)
                };
                fraction(model, station, dimension, value)
            })
            .reduce(f64::min)
    }

    /// Takes off what was dressed since the last reading, at the nearest station and at the finding's own radius.
    fn dress(
        &self,
        model: &Model,
        blade: u8,
        dimension: Dimension,
        defects: &[Defect],
        margins: &mut [Margin],
    ) {
        let blends: Vec<Blend> = defects
            .iter()
            .filter(|d| d.action == Action::Blended && d.blade.is_none_or(|b| b == blade))
            .filter_map(|d| {
                Some(Blend {
                    station_in: d.station_in,
                    station_pct: d.station_pct,
                    depth_in: self
                        .screen
                        .dressed_depth_in(d.surface, dimension, d.depth_in)?,
                    day: d.action_date,
                })
            })
            .collect();
        let listed: Vec<f64> = model
            .stations
            .iter()
            .map(|s| s.station_in.unwrap_or(f64::NAN))
            .collect();
        for margin in margins.iter_mut() {
            margin.dressed_since_in = blends
                .iter()
                .filter(|b| b.since(margin.last_measured))
                .filter(|b| {
                    b.nearest(model, &listed)
                        .is_none_or(|n| n == usize::from(margin.station))
                })
                .map(|b| b.depth_in)
                // Folded from 0: the sum of nothing would be a negative zero.
                .fold(0.0, |sum, depth| sum + depth);
            let standing = margin.value_in.zip(margin.minimum_in);
            margin.margin_in = standing.map(|(value, min)| value - min - margin.dressed_since_in);
        }
        self.at_own_radius(model, &listed, &blends, margins);
        for margin in margins.iter_mut() {
            let limits = model.stations[usize::from(margin.station)].limits(dimension);
            margin.margin_in = margin.margin_in.map(super::loss::round_to_nano);
            margin.margin_fraction = match (margin.margin_in, limits) {
                (
                    Some(margin),
                    Limits {
                        new_in: Some(new),
                        min_in: Some(min),
                    },
                ) if new > min => Some(super::loss::round_to_nano(margin / (new - min))),
                _ => None,
            };
        }
    }

    /// A blend between two stations counts at its own radius too, with interpolated dimensions; the smaller margin counts.
    fn at_own_radius(
        &self,
        model: &Model,
        listed: &[f64],
        blends: &[Blend],
        margins: &mut [Margin],
    ) {
        let standing: Vec<StationValue> = margins
            .iter()
            .filter_map(|m| {
                Some(StationValue {
                    station_in: model.stations[usize::from(m.station)].station_in?,
                    value_in: m.value_in? - m.minimum_in?,
                })
            })
            .collect();
        let mut lowered: Vec<(usize, f64)> = Vec::new();
        for blend in blends {
            let (Some(radius), Some(nearest)) = (blend.station_in, blend.nearest(model, listed))
            else {
                continue;
            };
            let Some(at) = margins
                .iter()
                .position(|m| usize::from(m.station) == nearest)
            else {
                continue;
            };
            let measured = margins[at].last_measured;
            if !blend.since(measured) {
                continue;
            }
            let together: f64 = blends
                .iter()
                .filter(|b| b.since(measured))
                .filter(|b| {
                    b.station_in
                        .is_none_or(|r| (r - radius).abs() <= SAME_RADIUS_IN)
                })
                .map(|b| b.depth_in)
                .sum();
            if let Some(there) = value_at(radius, &standing) {
                lowered.push((at, there.value_in - together));
            }
        }
        for (at, left) in lowered {
            margins[at].margin_in = margins[at].margin_in.map(|m| m.min(left));
        }
    }
}

/// Metal dressed out of one blade in one dimension.
#[derive(Debug, Clone, Copy)]
struct Blend {
    station_in: Option<f64>,
    station_pct: Option<f64>,
    depth_in: f64,
    /// Day it was dressed; without one it counts as made after the last visit.
    day: Option<Day>,
}

impl Blend {
    fn since(&self, last_measured: Option<Day>) -> bool {
        match (self.day, last_measured) {
            (Some(day), Some(measured)) => day > measured,
            _ => true,
        }
    }

    /// The nearest listed station; `None` when the place is not known, and then every station counts.
    fn nearest(&self, model: &Model, listed: &[f64]) -> Option<usize> {
        if let Some(radius) = self.station_in {
            let known: Vec<f64> = listed.iter().copied().filter(|r| !r.is_nan()).collect();
            if known.len() == listed.len() {
                return nearest_station(radius, &known);
            }
        }
        let pct = self.station_pct?;
        let listed: Option<Vec<f64>> = model.stations.iter().map(|s| s.pct).collect();
        nearest_station(pct, &listed?)
    }
}

fn fraction(model: &Model, station: u8, dimension: Dimension, value_in: f64) -> Option<f64> {
    let limits = model.stations.get(usize::from(station))?.limits(dimension);
    let (new, min) = (limits.new_in?, limits.min_in?);
    (new > min).then(|| (value_in - min) / (new - min))
}
