//! Margins today: what is left above the minimum at every blade, station and dimension, and how that is known.
//!
//! Margin today = margin at the last reading less metal dressed out since, the profile of [`crate::trade::profile`], the
//! smallest of the station's own and of those at blends and readings between its neighbours' midpoints. What was not measured at the last visit is
//! carried forward: the last value less the loss expected since, less two standard deviations of it, and never more than
//! its neighbours on that blade at that visit suggest. Lengths in inches.

use crate::records::Fleet;
use crate::records::choice::Acquired;
use crate::records::models::{Limits, Model, Station};
use crate::settings::ScreenSettings;
use crate::trade::calendar::Day;
use crate::trade::field_repair::ScreenLimits;
use crate::trade::geometry::Dimension;

use super::forecast::pools::CarriedLoss;
use super::last_readings::{LastReading, LastReadings, before_stands_in};
use super::survey::Survey;

mod dressed;
mod of_fleet;
mod reads;
mod report;
mod tip;

pub(super) use dressed::ratio;
pub use of_fleet::Margins;
pub(super) use reads::Ruler;
pub(super) use report::{Counting, depth_of, length_of, side_of};
pub use tip::DiameterLeft;

use dressed::{History, OnBlade};

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
    /// Metal dressed out since, as recorded, where least is left.
    pub dressed_since_in: f64,
    /// First day of that dressing; a blend without a day counts from the day it was found.
    pub dressed_from: Option<Day>,
    /// Where least is left, in inches from the hub centre; `None` where that is the station itself.
    pub least_at_in: Option<f64>,
    /// Left above the minimum today, as recorded.
    pub margin_in: Option<f64>,
    /// The same with a stand-in for every dressing whose depth, place or surface is not on record: what tiers go by.
    pub margin_worst_in: Option<f64>,
    /// Left above the minimum, of what a new blade has.
    pub margin_fraction: Option<f64>,
    /// What the forecast takes the dimension for: as `value_in`, or where no reading was entered what is expected, unlowered.
    pub expected_in: Option<f64>,
    /// Variance of what was lost since the last reading, in inches squared; 0 where nothing was carried forward.
    pub carried_variance_in2: f64,
    /// A reading was entered and could not be used: the forecast too keeps the lowered value.
    pub held_low: bool,
    /// What was dressed out since, near the station and nearest to it but farther away, with a stand-in for what is not on record
    /// whole: the deepest of each.
    pub blended_in: [f64; 2],
    /// How it is known.
    pub basis: Basis,
    /// The least that a reading of the last visit between the stations leaves.
    pub beside: Option<Left>,
}

/// What is left above a minimum at one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Left {
    /// Left today, in inches.
    pub left_in: f64,
    /// Of that, what was dressed out since it was read.
    pub dressed_in: f64,
    /// First day of that dressing.
    pub dressed_from: Option<Day>,
    /// Where, in inches from the hub centre; `None` where that is the station.
    pub at_in: Option<f64>,
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
    history: History,
}

impl Margin {
    fn least(&self) -> Option<Left> {
        let (dressed_in, dressed_from, at_in) = (self.dressed_since_in, self.dressed_from, self.least_at_in);
        self.margin_in.map(|left_in| Left { left_in, dressed_in, dressed_from, at_in })
    }

    /// Where a reading of the last visit, less anything dressed since, is below the minimum.
    fn read_below(&self) -> Option<Left> {
        let of_station = self.least().filter(|_| self.basis == Basis::Measured);
        let below = of_station.into_iter().chain(self.beside).filter(|left| left.left_in < 0.0);
        below.reduce(|a, b| if b.left_in < a.left_in { b } else { a })
    }

    /// Where a reading itself lies below the minimum, without anything dressed since.
    pub fn below_by_reading(&self) -> Option<Left> {
        self.read_below().filter(|left| left.left_in + left.dressed_in < 0.0)
    }

    /// Where it is below the minimum today by what is on record: a reading, or a dimension above the minimum less what was
    /// dressed out since. What was carried forward below it is an expectation and not on record.
    pub fn below_on_record(&self) -> Option<Left> {
        let dressed = || self.least().filter(|left| left.left_in < 0.0 && left.left_in + left.dressed_in >= 0.0);
        self.read_below().or_else(dressed)
    }

    /// Whether it leaves no chance of passing: below the minimum on record, or where a reading that was entered could not be used
    /// and what is believed of it lies below. An expectation alone has its chances.
    pub fn leaves_no_chance(&self) -> bool {
        self.below_on_record().is_some() || (self.held_low && self.margin_in.is_some_and(|left| left < 0.0))
    }

    /// Whether it is below the minimum only by what stands in for a dressing that is not on record whole.
    pub fn is_below_by_stand_in(&self) -> bool {
        self.margin_worst_in.is_some_and(|left| left < 0.0) && self.margin_in.is_some_and(|left| left >= 0.0)
    }
}

/// A place on one blade as it stands before anything dressed since.
#[derive(Debug, Clone, Copy)]
struct Standing {
    value_in: Option<f64>,
    last_measured: Option<Day>,
    expected_in: Option<f64>,
    carried_variance_in2: f64,
    held_low: bool,
    basis: Basis,
}

impl Standing {
    fn of(value_in: Option<f64>, last_measured: Option<Day>, basis: Basis) -> Standing {
        let (expected_in, carried_variance_in2, held_low) = (value_in, 0.0, false);
        Standing { value_in, last_measured, expected_in, carried_variance_in2, held_low, basis }
    }

    /// With what the forecast takes it for.
    fn expected(self, expected_in: f64, variance_in2: f64) -> Standing {
        Standing { expected_in: Some(expected_in), carried_variance_in2: variance_in2, ..self }
    }
}

impl<'f, 'a> MarginReader<'f, 'a> {
    /// A reader for a fleet and what its sheets say together.
    pub fn new(fleet: &'f Fleet<'a>, survey: &'f Survey, screen: &ScreenSettings) -> Self {
        MarginReader {
            fleet,
            survey,
            screen: screen_limits(screen),
            last: LastReadings::default(),
            history: History::default(),
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
        if let Some(number) = model_now(self.fleet, propeller) {
            self.last.collect(self.fleet, propeller);
            self.history.collect(self.fleet, propeller);
            self.read_under(propeller, number, margins);
        }
    }

    /// The margins that a propeller would have if its designation had not changed since it was last measured, and the number of
    /// that designation; `None` where it was never measured, or that is not known.
    pub fn last_known(&mut self, propeller: u32) -> Option<(u32, Vec<Margin>)> {
        let number = self.last.collect_last_known(self.fleet, propeller)?;
        self.history.collect(self.fleet, propeller);
        let mut margins = Vec::new();
        self.read_under(propeller, number, &mut margins);
        // What was collected is not of today.
        self.history = History::default();
        Some((number, margins))
    }

    /// With what was collected, under a designation.
    fn read_under(&mut self, propeller: u32, number: u32, margins: &mut Vec<Margin>) {
        let start = margins.len();
        let model = self.fleet.models.get(number);
        // A model whose blades are not recorded has two at least, and every blade that was read.
        let blades = model.blades.unwrap_or_else(|| self.last.highest_blade().max(2));
        for blade in 1..=blades {
            for dimension in Dimension::ALL {
                let from = margins.len();
                for (station, at) in model.stations.iter().enumerate() {
                    let limits = at.limits(dimension);
                    if !has_margin(at, dimension) {
                        continue;
                    }
                    let standing = self.standing(propeller, number, model, blade, station as u8, dimension);
                    margins.push(Margin {
                        propeller,
                        blade,
                        station: station as u8,
                        dimension,
                        last_measured: standing.last_measured,
                        value_in: standing.value_in,
                        minimum_in: limits.min_in,
                        dressed_since_in: 0.0,
                        dressed_from: None,
                        least_at_in: None,
                        margin_in: None,
                        margin_worst_in: None,
                        margin_fraction: None,
                        expected_in: standing.expected_in,
                        carried_variance_in2: standing.carried_variance_in2,
                        held_low: standing.held_low,
                        blended_in: [0.0; 2],
                        basis: standing.basis,
                        beside: None,
                    });
                }
                self.dress(propeller, OnBlade { model, blade, dimension }, &mut margins[from..]);
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
            let missed = self.last.missed(&read);
            if missed == 0 {
                return Standing::of(Some(read.value_in), Some(read.day), Basis::Measured);
            }
            let lost = self.survey.carried(propeller, number, station, dimension, missed);
            let value = self.carried(read, lost, model, blade, station, dimension);
            let standing = Standing::of(Some(value), Some(read.day), Basis::CarriedForward);
            if self.last.was_spoiled_since(Some(read.day)) {
                return Standing { held_low: true, ..standing.expected(value, lost.variance_in2) };
            }
            let from = self.fleet.visits.range(propeller).start + read.visit_no - 1;
            let since = self.survey.lost_since(self.fleet, propeller, number, station, dimension, Some(from));
            let ceiling = self.last.ceiling(blade, station, dimension);
            return standing.expected((read.value_in - since.mean_in).min(ceiling), since.variance_in2);
        }
        let not_known = Standing::of(None, None, Basis::NotKnown);
        if !self.last.is_empty() {
            let (Some(new), Some(min)) = (limits.new_in, limits.min_in) else {
                return not_known;
            };
            let own = self.smallest_own_fraction(propeller, number, model, dimension);
            let worst = self.survey.worst_fraction(number, station, dimension);
            // The smaller of the two: what the model's others show, and what this propeller itself shows.
            let Some(fraction) = [own, worst].into_iter().flatten().reduce(f64::min) else {
                return not_known;
            };
            let ceiling = self.last.ceiling(blade, station, dimension);
            let value = (min + fraction * (new - min)).min(ceiling);
            let standing = Standing::of(Some(value), None, Basis::WorstOfModel);
            let visits = self.fleet.visits.of(propeller);
            if of.acquired != Acquired::New
                || visits.iter().any(|v| v.changes_model)
                || self.last.was_spoiled_since(None)
            {
                return Standing { held_low: true, ..standing };
            }
            let since = self.survey.lost_since(self.fleet, propeller, number, station, dimension, None);
            return standing.expected((new - since.mean_in).min(ceiling), since.variance_in2);
        }
        let visits = self.fleet.visits.of(propeller);
        let never_worked_on = visits.iter().all(|v| before_stands_in(v) && !v.rejected());
        let spoiled = !self.fleet.visits.spoiled_of(propeller).is_empty()
            || self.fleet.measurements.spoiled_days(propeller).next().is_some();
        if of.acquired == Acquired::New && never_worked_on && !spoiled {
            let basis = match limits.new_in {
                Some(_) => Basis::FromDrawing,
                None => Basis::NotKnown,
            };
            return Standing::of(limits.new_in, None, basis);
        }
        not_known
    }

    /// What is expected of a reading that a later visit missed, and never more than the stations read at that visit suggest.
    fn carried(
        &self,
        read: LastReading,
        lost: CarriedLoss,
        model: &Model,
        blade: u8,
        station: u8,
        dimension: Dimension,
    ) -> f64 {
        let expected = lost.left_of(read.value_in);
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
        expected.min(suggested).min(self.last.ceiling(blade, station, dimension))
    }

    /// The smallest margin fraction the propeller is expected to have today where it was ever read.
    fn smallest_own_fraction(&self, propeller: u32, number: u32, model: &Model, dimension: Dimension) -> Option<f64> {
        self.last
            .iter()
            .filter(|(_, _, d, _)| *d == dimension)
            .filter_map(|(_, station, _, read)| {
                let missed = self.last.missed(&read);
                let lost = self.survey.carried(propeller, number, station, dimension, missed);
                fraction(model, station, dimension, lost.left_of(read.value_in))
            })
            .reduce(f64::min)
    }
}

/// Whether a dimension has a margin at a station. Of what the limits say nothing there is none to lose; a new dimension
/// without its minimum has one that is not known.
pub(super) fn has_margin(station: &Station, dimension: Dimension) -> bool {
    !station.usable || station.limits(dimension) != Limits::default()
}

fn fraction(model: &Model, station: u8, dimension: Dimension, value_in: f64) -> Option<f64> {
    let limits = model.stations.get(usize::from(station))?.limits(dimension);
    let (new, min) = (limits.new_in?, limits.min_in?);
    (new > min).then(|| (value_in - min) / (new - min))
}
