//! How much a propeller flies, and how evenly.

use chrono::Months;

use super::line::Line;
use crate::records::choice::Use;
use crate::trade::calendar::{DAYS_PER_YEAR, Day};

/// Readings and days between them that make a rate of the last twelve months.
const ENOUGH_READINGS: usize = 3;
const ENOUGH_DAYS: i32 = 60;
/// Days between two readings that make a rate of their own: readings closer together are taken together.
const FEWEST_DAYS: i32 = 21;
/// Months of readings that a spread is taken from.
const MOST_MONTHS: u32 = 24;
/// Intervals that make a spread.
const ENOUGH_INTERVALS: usize = 2;
/// Degrees of freedom that what others show counts for, beside what was seen. Assumption.
const PRIOR_FREEDOM: f64 = 3.0;
/// Mean length of a month in days.
pub const DAYS_PER_MONTH: f64 = DAYS_PER_YEAR / 12.0;

/// What a use rate rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RateBasis {
    /// The propeller's last twelve months with readings.
    LastTwelveMonths,
    /// All of the propeller's readings.
    WholeLife,
    /// The 75th percentile of the fleet's propellers of the same use.
    FleetSameUse,
    /// The use is not recorded, so the largest of the uses' 75th percentiles.
    FleetAnyUse,
    /// Nothing tells.
    NotKnown,
}

impl RateBasis {
    /// The words for it.
    pub fn words(self) -> &'static str {
        match self {
            RateBasis::LastTwelveMonths => "average use of the last 12 months",
            RateBasis::WholeLife => "lifetime average use",
            RateBasis::FleetSameUse => "fleet's same use, 75th percentile",
            RateBasis::FleetAnyUse => "use not recorded, fleet's highest 75th percentile",
            RateBasis::NotKnown => "use not known",
        }
    }
}

/// A use rate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UseRate {
    /// Hours a day, when known.
    pub hours_per_day: Option<f64>,
    /// What it rests on.
    pub basis: RateBasis,
}

impl UseRate {
    /// Hours a year of 365.25 days.
    pub fn hours_per_year(&self) -> Option<f64> {
        self.hours_per_day.map(|rate| rate * DAYS_PER_YEAR)
    }
}

/// What a spread of monthly use rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SpreadBasis {
    /// The propeller's own readings, with the fleet's spread beside them.
    Own,
    /// Those of the fleet's propellers, pooled.
    Fleet,
    /// The setting.
    Assumed,
}

/// Standard deviation over mean of a month's hours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UseSpread {
    /// The ratio.
    pub cv: f64,
    /// What it rests on.
    pub basis: SpreadBasis,
}

/// The day `months` earlier, held to that month's last day.
fn months_before(day: Day, months: u32) -> Day {
    day.date().checked_sub_months(Months::new(months)).map_or(Day::from_number(i32::MIN), Day::from)
}

/// Where the last twelve months with readings begin; `None` without readings that span time.
pub(super) fn window_start(line: &Line) -> Option<Day> {
    let newest = line.spans.iter().rev().find(|s| s.is_read())?.to;
    Some(months_before(newest, 12))
}

/// A propeller's own rate: hours over days between the readings of the last twelve months with readings, with at least
/// three readings and 60 days there; else of its whole life, with two readings.
pub(super) fn own_rate(line: &Line) -> Option<(f64, RateBasis)> {
    let of = |readings: &[Day], days_needed: i32| {
        let (first, last) = (*readings.first()?, *readings.last()?);
        let (hours, days) = line.read_between(first, last);
        (days >= days_needed).then(|| hours / f64::from(days))
    };
    let start = window_start(line)?;
    let recent = &line.readings[line.readings.partition_point(|&r| r < start)..];
    if recent.len() >= ENOUGH_READINGS
        && let Some(rate) = of(recent, ENOUGH_DAYS)
    {
        return Some((rate, RateBasis::LastTwelveMonths));
    }
    let rate = of(&line.readings, 1)?;
    Some((rate, RateBasis::WholeLife))
}

/// Spread of a propeller's use over its last 24 months of readings.
pub(super) fn own_spread(line: &Line) -> Option<OwnSpread> {
    let newest = *line.readings.last()?;
    let oldest = months_before(newest, MOST_MONTHS);
    let mut intervals: Vec<(f64, f64)> = Vec::new();
    let mut end = newest;
    for &start in line.readings.iter().rev().take_while(|&&start| start >= oldest) {
        let days = end - start;
        if days < FEWEST_DAYS {
            continue;
        }
        if line.is_read_through(start, end) {
            let months = f64::from(days) / DAYS_PER_MONTH;
            intervals.push((months, line.read_between(start, end).0 / months));
        }
        end = start;
    }
    spread_of(&intervals)
}

/// How unevenly one propeller was flown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct OwnSpread {
    /// Variance of a month's hours over their mean squared.
    pub variance: f64,
    /// Intervals less one.
    pub freedom: f64,
}

impl OwnSpread {
    /// With what others show: `((n - 1) cv^2 + 3 cv_others^2)/(n + 2)`, as a ratio of standard deviation and mean.
    pub fn shrunk(&self, others_cv: f64) -> f64 {
        let sum = self.freedom * self.variance + PRIOR_FREEDOM * others_cv * others_cv;
        (sum / (self.freedom + PRIOR_FREEDOM)).sqrt()
    }
}

/// Of intervals of L months with r hours a month each: `cv^2 = Sum L (r - mean)^2/((n - 1) mean^2)`, mean their hours over their
/// months. The variance of a month's hours is the same whatever the intervals, since a rate over L months has a L-th of it.
/// `None` from fewer than two, and where nothing was flown.
fn spread_of(intervals: &[(f64, f64)]) -> Option<OwnSpread> {
    let months: f64 = intervals.iter().map(|(months, _)| months).sum();
    let mean = intervals.iter().map(|(months, rate)| months * rate).sum::<f64>() / months;
    if intervals.len() < ENOUGH_INTERVALS || mean <= 0.0 {
        return None;
    }
    let squares: f64 = intervals.iter().map(|(months, rate)| months * (rate - mean).powi(2)).sum();
    let freedom = (intervals.len() - 1) as f64;
    Some(OwnSpread { variance: squares / freedom / (mean * mean), freedom })
}

/// Relative variances pooled by their degrees of freedom, with the assumed ratio for three more, as a ratio of standard deviation
/// and mean.
pub(super) fn pooled_spread(own: impl Iterator<Item = OwnSpread>, assumed_cv: f64) -> Option<f64> {
    let (sum, freedom) =
        own.fold((0.0, 0.0), |(sum, freedom), of| (sum + of.variance * of.freedom, freedom + of.freedom));
    (freedom > 0.0).then(|| OwnSpread { variance: sum / freedom, freedom }.shrunk(assumed_cv))
}

/// The middle of some rates; of an even number the mean of the middle two.
pub(super) fn median(mut rates: Vec<f64>) -> Option<f64> {
    rates.sort_by(f64::total_cmp);
    let middle = rates.len() / 2;
    match rates.len() {
        0 => None,
        n if n % 2 == 1 => Some(rates[middle]),
        _ => Some((rates[middle - 1] + rates[middle]) / 2.0),
    }
}

/// A quantile of values in ascending order, linear between them (definition 7 of Hyndman and Fan 1996, from memory).
pub(super) fn quantile(ascending: &[f64], p: f64) -> Option<f64> {
    let last = ascending.len().checked_sub(1)?;
    let at = p * last as f64;
    let below = (at.floor() as usize).min(last);
    let above = (below + 1).min(last);
    Some(ascending[below] + (at - below as f64) * (ascending[above] - ascending[below]))
}

const UPPER_QUARTILE: f64 = 0.75;

/// The fleet's 75th percentiles of hours a day: by use, and the largest of them.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct FleetRates {
    by_use: Vec<(Option<Use>, f64)>,
}

impl FleetRates {
    pub(super) fn of(rates: impl Iterator<Item = (Option<Use>, f64)>) -> FleetRates {
        let mut all: Vec<(Option<Use>, f64)> = rates.collect();
        all.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let by_use = all
            .chunk_by(|a, b| a.0 == b.0)
            .filter_map(|group| {
                let rates: Vec<f64> = group.iter().map(|&(_, rate)| rate).collect();
                Some((group[0].0, quantile(&rates, UPPER_QUARTILE)?))
            })
            .collect();
        FleetRates { by_use }
    }

    pub(super) fn rate(&self, usage: Option<Use>) -> UseRate {
        let (hours_per_day, basis) = match usage {
            Some(_) => (self.by_use.iter().find(|(u, _)| *u == usage).map(|g| g.1), RateBasis::FleetSameUse),
            None => (self.by_use.iter().map(|g| g.1).max_by(f64::total_cmp), RateBasis::FleetAnyUse),
        };
        UseRate { hours_per_day, basis: if hours_per_day.is_some() { basis } else { RateBasis::NotKnown } }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Values of R's quantile(x, 0.75, type = 7), from memory of its definition: 1 + (n - 1) p in order.
    #[test]
    fn quartiles_between_values() {
        assert_eq!(quantile(&[], 0.75), None);
        assert_eq!(quantile(&[2.0], 0.75), Some(2.0));
        assert_eq!(quantile(&[1.0, 2.0], 0.75), Some(1.75));
        assert_eq!(quantile(&[1.0, 2.0, 3.0, 4.0], 0.75), Some(3.25));
        assert_eq!(quantile(&[1.0, 2.0, 3.0, 4.0, 5.0], 0.75), Some(4.0));
        assert_eq!(quantile(&[1.0, 5.0], 1.0), Some(5.0));
    }

    /// By hand: 513 h in 16 months make 32.0625 a month; Sum L (r - mean)^2 = 344.9375 over 6 and over 32.0625^2 is .23648^2.
    #[test]
    fn spread_of_intervals_of_any_length_by_hand() {
        let months = [1.0, 3.0, 3.0, 1.0, 2.0, 3.0, 3.0];
        let rates = [40.0, 30.0, 36.0, 20.0, 33.0, 28.0, 35.0];
        let intervals: Vec<(f64, f64)> = months.into_iter().zip(rates).collect();
        let own = spread_of(&intervals).expect("seven intervals");
        assert!((own.variance.sqrt() - 0.23648).abs() < 5e-6, "{own:?}");
        // With 3 of 0.5: (6 x 0.055923 + 3 x 0.25)/9.
        assert!((own.shrunk(0.5) - ((6.0 * own.variance + 0.75) / 9.0).sqrt()).abs() < 1e-15);
        // Even use has no spread of its own, and some is believed all the same.
        let even = spread_of(&[(1.0, 30.0), (4.0, 30.0)]).expect("two intervals");
        assert_eq!((even.variance, even.freedom), (0.0, 1.0));
        assert!((even.shrunk(0.4) - (0.75f64 * 0.16).sqrt()).abs() < 1e-15);
        assert_eq!(spread_of(&[(1.0, 30.0)]), None);
        assert_eq!(spread_of(&[(1.0, 0.0), (2.0, 0.0)]), None);
        assert_eq!(spread_of(&[]), None);
    }

    #[test]
    fn spreads_are_pooled_by_their_degrees_of_freedom() {
        let own = |variance, freedom| OwnSpread { variance, freedom };
        // (0.04 * 6 + 0.16 * 18 + 0.25 * 3) / 27.
        let pooled = pooled_spread([own(0.04, 6.0), own(0.16, 18.0)].into_iter(), 0.5).expect("two spreads");
        assert!((pooled - (3.87f64 / 27.0).sqrt()).abs() < 1e-15);
        assert_eq!(pooled_spread(std::iter::empty(), 0.5), None);
    }

    #[test]
    fn months_back_are_held_to_the_months_end() {
        let day = |text: &str| Day::parse_iso(text).expect("a date in a test is written right");
        assert_eq!(months_before(day("2024-02-29"), 12), day("2023-02-28"));
        assert_eq!(months_before(day("2024-01-31"), 24), day("2022-01-31"));
    }
}
