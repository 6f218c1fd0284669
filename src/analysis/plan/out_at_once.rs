//! How many propellers are away at once, month by month.

use super::budget::ExpectedBy;
use super::ordered::{mean_and_error, ordered};
use super::simulation::Drawn;
use super::sums::Sums;
use super::timeline::Timeline;
use crate::trade::calendar::Day;

/// One month.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutRow {
    /// Its first day.
    pub month: Day,
    /// Propellers expected to be away, on average over the month, or over what is left of the first.
    pub propellers_out: f64,
    /// 90 % point of the simulated fleets.
    pub p90: f64,
}

/// A row for each month of the budget; empty when the days away are not known of any seat.
pub fn rows(sums: &Sums, by: ExpectedBy, drawn: &[Drawn], timeline: &Timeline) -> Vec<OutRow> {
    (0..timeline.budget_months)
        .filter_map(|month| {
            let mut away: Vec<f64> = drawn.iter().map(|d| d.away[month]).collect();
            let simulated = mean_and_error(&away)?.0;
            Some(OutRow {
                month: timeline.first_day(month),
                propellers_out: match by {
                    ExpectedBy::Months => sums.away[month],
                    ExpectedBy::Simulation => simulated,
                },
                p90: ordered(&mut away, 0.9)?,
            })
        })
        .collect()
}
