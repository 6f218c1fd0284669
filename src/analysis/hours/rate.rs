//! How much a propeller flies, and how evenly.

use chrono::Months;

use super::line::Line;
use crate::records::choice::Use;
use crate::trade::calendar::{DAYS_PER_YEAR, Day};

/// Readings and days between them that make a rate of the last twelve months.
const ENOUGH_READINGS: usize = 3;
const ENOUGH_DAYS: i32 = 60;
/// Days between two readings that make a monthly rate: readings closer together are taken together, a longer time would
/// hide how uneven its months were.
const MONTH_DAYS: std::ops::RangeInclusive<i32> = 21..=45;
/// Monthly rates that make a spread, and how many of the newest are looked at.
const ENOUGH_MONTHS: usize = 6;
const MOST_MONTHS: usize = 24;
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
            RateBasis::LastTwelveMonths => "use of the last 12 months",
            RateBasis::WholeLife => "use of the whole life",
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
    /// The propeller's own months.
    Own,
    /// The months of the fleet's propellers, pooled.
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

/// Spread of a propeller's last monthly rates: relative variance and number of months, from six months on.
pub(super) fn own_spread(line: &Line) -> Option<(f64, usize)> {
    let newest = *line.readings.last()?;
    let oldest = months_before(newest, MOST_MONTHS as u32);
    let mut rates: Vec<f64> = Vec::new();
    let mut end = newest;
    for &start in line.readings.iter().rev() {
        if start < oldest || rates.len() == MOST_MONTHS {
            break;
        }
        let days = end - start;
        if days < *MONTH_DAYS.start() {
            continue;
        }
        if days <= *MONTH_DAYS.end() && line.is_read_through(start, end) {
            rates.push(line.read_between(start, end).0 / f64::from(days));
        }
        end = start;
    }
    let count = rates.len();
    let mean = rates.iter().sum::<f64>() / count as f64;
    if count < ENOUGH_MONTHS || mean <= 0.0 {
        return None;
    }
    let squares: f64 = rates.iter().map(|r| (r - mean).powi(2)).sum();
    Some((squares / (count - 1) as f64 / (mean * mean), count))
}

/// Relative variances pooled by their degrees of freedom, as a ratio of standard deviation and mean.
pub(super) fn pooled_spread(own: impl Iterator<Item = (f64, usize)>) -> Option<f64> {
    let (sum, freedom) = own.fold((0.0, 0usize), |(sum, freedom), (variance, months)| {
        (sum + variance * (months - 1) as f64, freedom + months - 1)
    });
    (freedom > 0).then(|| (sum / freedom as f64).sqrt())
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

    #[test]
    fn spreads_are_pooled_by_their_degrees_of_freedom() {
        // (0.04 * 6 + 0.16 * 18) / 24 = 0.13.
        let pooled = pooled_spread([(0.04, 7), (0.16, 19)].into_iter()).expect("two spreads");
        assert!((pooled - 0.13f64.sqrt()).abs() < 1e-15);
        assert_eq!(pooled_spread(std::iter::empty()), None);
    }

    #[test]
    fn months_back_are_held_to_the_months_end() {
        let day = |text: &str| Day::parse_iso(text).expect("a date in a test is written right");
        assert_eq!(months_before(day("2024-02-29"), 12), day("2023-02-28"));
        assert_eq!(months_before(day("2024-01-31"), 24), day("2022-01-31"));
    }
}
