//! Past overhauls: what was forecast of each from the records of before its year, and what it showed.

use statrs::distribution::{ContinuousCDF, StudentsT};

use crate::analysis::cycles::offsets::Offsets;
use crate::analysis::cycles::walk::Walker;
use crate::analysis::cycles::{Cycle, StationOffsets, of_propeller};
use crate::analysis::forecast::other_causes::{Verdict, outcomes_kept, verdict};
use crate::analysis::forecast::{Fits, Forecaster};
use crate::analysis::margins::{Basis, Margin, MarginReader, model_now};
use crate::analysis::survey::Survey;
use crate::records::gate::FIRST_DAY;
use crate::records::measurements::Moment;
use crate::records::schema::Table;
use crate::records::{Fleet, Loaded};
use crate::settings::Settings;
use crate::stats::normal;
use crate::trade::calendar::Day;
use crate::trade::geometry::Dimension;

/// One dimension of a past overhaul.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct PastDimension {
    /// Chance that the mean loss would be below what it was; `None` where either is not known.
    pub loss_rank: Option<f64>,
    /// Chance that the smallest margin left would be below what it was.
    pub margin_rank: Option<f64>,
}

/// One past overhaul and the forecast of it.
#[derive(Debug, Clone, PartialEq)]
pub struct PastOverhaul {
    /// Serial of the propeller.
    pub serial: String,
    /// Day of the overhaul.
    pub day: Day,
    /// By dimension.
    pub dimensions: [PastDimension; 2],
    /// Chance forecast that it would be rejected for a dimension.
    pub reject_chance: Option<f64>,
    /// Whether it was; `None` when its outcome is not recorded or it was rejected for another cause.
    pub rejected: Option<bool>,
    /// Share of earlier overhauls rejected for a dimension, `(n + 0.5)/(N + 1)`.
    pub base_rate: f64,
    /// Shop, use and base, where recorded.
    pub shop: Option<String>,
    /// What it flies for.
    pub usage: Option<&'static str>,
    /// Home base.
    pub base: Option<String>,
    /// Hours flown since the overhaul before.
    pub hours: Option<f64>,
    /// Its number within the propeller's life.
    pub number: f64,
}

/// Every past overhaul with an earlier one, by year, propeller and date.
pub fn of(loaded: &Loaded, as_of: Day, settings: &Settings) -> Vec<PastOverhaul> {
    // Straight from the cells: whether a row is used may depend on later ones, and with it where the first year lies.
    let days = loaded.table(Table::Overhauls).and_then(|table| table.days("overhaul_date")).unwrap_or_default();
    let Some(first) = days.iter().copied().filter(|&day| day >= FIRST_DAY).min() else {
        return Vec::new();
    };
    let first = Day::from_number(first).year();
    let mut past = Vec::new();
    let end_of = |year: i32| {
        let last = Day::from_ymd(year, 12, 31).unwrap_or(as_of);
        last.min(as_of)
    };
    let mut before = Fleet::as_of(loaded, end_of(first), settings);
    for year in first + 1..=as_of.year() {
        let after = Fleet::as_of(loaded, end_of(year), settings);
        forecast_year(&before, &after, settings, &mut past);
        before = after;
    }
    past
}

/// The overhauls that `after` knows and `before` does not yet, with an earlier one.
fn new_overhauls(before: &Fleet<'_>, after: &Fleet<'_>) -> Vec<u32> {
    (0..after.visits.len() as u32)
        .filter(|&number| {
            let visit = after.visits.get(number);
            let earlier = after.visits.of(visit.propeller);
            visit.is_overhaul()
                && visit.day > before.as_of
                && earlier.iter().any(|v| v.is_overhaul() && v.day < visit.day)
        })
        .collect()
}

fn forecast_year(before: &Fleet<'_>, after: &Fleet<'_>, settings: &Settings, past: &mut Vec<PastOverhaul>) {
    let overhauls = new_overhauls(before, after);
    if overhauls.is_empty() {
        return;
    }
    let survey = Survey::of(before, &settings.forecast);
    let fits = survey.fits();
    let numbers = Numbers { before, after };
    let mut year = Year {
        before,
        after,
        offsets: numbers.offsets(&fits.cycles.offsets),
        numbers,
        fits,
        margins: MarginReader::new(before, &survey, &settings.screen),
        walker: Walker::default(),
        base_rate: base_rate(before),
        outcomes_kept: outcomes_kept(after),
    };
    for number in overhauls {
        past.extend(year.overhaul(number));
    }
}

fn base_rate(fleet: &Fleet<'_>) -> f64 {
    let (mut rejected, mut all) = (0.0, 0.0);
    if outcomes_kept(fleet) {
        for number in 0..fleet.visits.len() as u32 {
            match verdict(fleet, number) {
                Some(Verdict::Passed) => all += 1.0,
                Some(Verdict::Dimension) => {
                    all += 1.0;
                    rejected += 1.0;
                }
                _ => {}
            }
        }
    }
    (rejected + 0.5) / (all + 1.0)
}

/// How what the later fleet numbers is numbered in the earlier one.
#[derive(Clone, Copy)]
struct Numbers<'f, 'a> {
    before: &'f Fleet<'a>,
    after: &'f Fleet<'a>,
}

impl Numbers<'_, '_> {
    fn propeller(&self, after: u32) -> Option<u32> {
        self.before.propellers.find(self.after.propellers.serial(after))
    }

    fn model(&self, after: u32) -> Option<u32> {
        self.before.models.find(&self.after.models.get(after).name)
    }

    /// A station; models without limits list the stations measured so far.
    fn station(&self, model: Option<u32>, after: u8) -> Option<u8> {
        let Some(model) = model else {
            // Stations of no model are numbered by their percent.
            return Some(after);
        };
        let station = self.after.models.get(model).stations.get(usize::from(after))?;
        let before = self.before.models.get(self.model(model)?);
        let at = before.station_at(station.pct, station.station_in)?;
        u8::try_from(at).ok()
    }

    /// The earlier fleet's offsets under the later one's numbers.
    fn offsets(&self, before: &StationOffsets) -> StationOffsets {
        let models = self.after.models.list();
        let renumbered = |model: Option<u32>, count: usize| {
            let known = match model {
                Some(model) => self.model(model).map(Some),
                None => Some(None),
            };
            Dimension::ALL.map(|dimension| match known {
                Some(known) => before.of(known, dimension).renumbered(count, |station| self.station(model, station)),
                None => Offsets::default(),
            })
        };
        let mut list: Vec<_> = models
            .iter()
            .enumerate()
            .map(|(number, model)| renumbered(Some(number as u32), model.stations.len()))
            .collect();
        list.push(renumbered(None, 256));
        StationOffsets(list)
    }
}

/// One year's forecasts.
struct Year<'f, 'a> {
    before: &'f Fleet<'a>,
    after: &'f Fleet<'a>,
    offsets: StationOffsets,
    numbers: Numbers<'f, 'a>,
    fits: &'f Fits,
    margins: MarginReader<'f, 'a>,
    walker: Walker,
    base_rate: f64,
    outcomes_kept: bool,
}

impl Year<'_, '_> {
    fn overhaul(&mut self, number: u32) -> Option<PastOverhaul> {
        let visit = self.after.visits.get(number);
        let propeller = self.numbers.propeller(visit.propeller)?;
        let model = match visit.model {
            Some(model) => Some(self.numbers.model(model)?),
            None => None,
        };
        let of = self.after.propellers.get(visit.propeller);
        let mut past = PastOverhaul {
            serial: self.after.propellers.serial(visit.propeller).to_string(),
            day: visit.day,
            dimensions: Default::default(),
            reject_chance: None,
            rejected: None,
            base_rate: self.base_rate,
            shop: visit.shop.map(|code| self.after.visits.shops.get(code).to_string()),
            usage: of.usage.map(crate::records::choice::Use::word),
            base: of.base.map(|code| self.after.propellers.bases.get(code).to_string()),
            hours: self.hours(number),
            number: self.overhaul_number(number, propeller),
        };
        let cycles = of_propeller(self.after, visit.propeller, &self.offsets, &self.fits.cycles.felt, &mut self.walker);
        for dimension in Dimension::ALL {
            let cycle = cycles[dimension as usize].iter().find(|c| c.visit == number && !c.from_drawing);
            past.dimensions[dimension as usize].loss_rank =
                cycle.and_then(|cycle| self.loss_rank(propeller, model, dimension, cycle, past.number));
        }
        // Margins are forecast for the next overhaul only, and do not hold across a change of designation.
        if self.is_next(number) && !visit.changes_model && model_now(self.before, propeller) == model {
            self.look_at_margins(number, propeller, model, &mut past);
        }
        Some(past)
    }

    /// Whether no other overhaul lies between the forecast and this one.
    fn is_next(&self, number: u32) -> bool {
        let visit = self.after.visits.get(number);
        !self
            .after
            .visits
            .of(visit.propeller)
            .iter()
            .any(|v| v.day > self.before.as_of && v.day < visit.day && (v.is_overhaul() || v.changes_model))
    }

    /// Hours flown since the overhaul before.
    fn hours(&self, number: u32) -> Option<f64> {
        let visit = self.after.visits.get(number);
        visit.hours_since_overhaul.or_else(|| {
            let earlier = self.after.visits.of(visit.propeller);
            let last = earlier.iter().rfind(|v| v.restarts_clock() && v.day < visit.day)?;
            let hours = visit.hours_since_new? - last.hours_since_new?;
            (hours >= 0.0).then_some(hours)
        })
    }

    /// Number of an overhaul within the propeller's life, as counted before its year.
    fn overhaul_number(&self, number: u32, propeller: u32) -> f64 {
        let visit = self.after.visits.get(number);
        let earlier = self.after.visits.of(visit.propeller);
        let since =
            earlier.iter().filter(|v| v.is_overhaul() && v.day > self.before.as_of && v.day < visit.day).count();
        self.fits.cycles.numbering.so_far(propeller) + since as f64 + 1.0
    }

    fn loss_rank(
        &self,
        propeller: u32,
        model: Option<u32>,
        dimension: Dimension,
        cycle: &Cycle,
        number: f64,
    ) -> Option<f64> {
        let fit = self.fits.pool(model, dimension);
        let spanned = f64::from(cycle.spanned);
        let course = fit.course(propeller, number - 1.0)?;
        let common = course.common;
        // The mean number of the overhauls it spans.
        let more = number - 0.5 * (spanned - 1.0) - course.growth.about;
        let variance =
            common.mean_variance + common.cycle_variance / spanned + course.growth.rise.variance * more * more;
        let score = (cycle.mean_loss_in - common.mean - course.growth.rise.mean * more) / variance.sqrt();
        rank(score, fit.degrees_of_freedom())
    }

    fn look_at_margins(&mut self, number: u32, propeller: u32, model: Option<u32>, past: &mut PastOverhaul) {
        let margins = self.margins.of(propeller);
        let forecaster = Forecaster::new(self.before, self.fits);
        let verdict = verdict(self.after, number).filter(|_| self.outcomes_kept);
        past.rejected = match verdict {
            Some(Verdict::Passed) => Some(false),
            Some(Verdict::Dimension) => Some(true),
            Some(Verdict::Other) | None => None,
        };
        past.reject_chance = forecaster.remaining(propeller, &margins).reject_chance_next();
        for dimension in Dimension::ALL {
            let (seen, smallest) = self.left(number, dimension, &margins);
            past.dimensions[dimension as usize].margin_rank = forecaster
                .side(propeller, model, dimension, &seen)
                .and_then(|side| side.within(smallest))
                .map(|chance| 1.0 - chance);
        }
    }

    /// The margins that were measured before and are again at this overhaul, and the smallest of what it left there. What had
    /// been carried forward is held low on purpose and is no forecast to score.
    fn left(&self, number: u32, dimension: Dimension, margins: &[Margin]) -> (Vec<Margin>, f64) {
        let visit = self.after.visits.get(number);
        let measurements = &self.after.measurements;
        let mut seen = Vec::new();
        let mut smallest = f64::INFINITY;
        for position in measurements.range(number) {
            let station = self.numbers.station(visit.model, measurements.station(position));
            let place = margins.iter().find(|m| {
                m.basis == Basis::Measured
                    && m.dimension == dimension
                    && m.blade == measurements.blade(position)
                    && Some(m.station) == station
            });
            let after = measurements.reading(dimension, Moment::After, position);
            if let (Some(margin), Some(after)) = (place, after)
                && let Some(minimum) = margin.minimum_in
            {
                seen.push(*margin);
                smallest = smallest.min(after - minimum);
            }
        }
        (seen, smallest)
    }
}

/// Chance of a score below this one under Student's t.
fn rank(score: f64, degrees_of_freedom: f64) -> Option<f64> {
    if !score.is_finite() {
        return None;
    }
    if degrees_of_freedom.is_infinite() {
        return Some(normal::cdf(score));
    }
    let student = StudentsT::new(0.0, 1.0, degrees_of_freedom).ok()?;
    Some(student.cdf(score))
}
