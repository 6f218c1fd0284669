//! A seat: a place in the fleet that one propeller fills today and its replacements fill after it.

use std::sync::Arc;

use super::spell::Spell;
use super::timeline::Timeline;
use crate::stats::normal;

/// Whether the interval of a seat binds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Strength {
    /// The records say that it binds.
    Binding,
    /// Advice, or not watched by choice.
    Recommended,
}

impl Strength {
    /// Both.
    pub const ALL: [Strength; 2] = [Strength::Binding, Strength::Recommended];

    /// The word of the results.
    pub fn word(self) -> &'static str {
        match self {
            Strength::Binding => "binding",
            Strength::Recommended => "recommended",
        }
    }
}

/// What an overhaul and a rejection cost, at the prices of the as-of date, in the fleet's currency.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Costs {
    /// An overhaul.
    pub overhaul: f64,
    /// A new propeller.
    pub replacement: f64,
    /// What a shop charges when it rejects.
    pub rejection: f64,
    /// Off, on, balance and freight.
    pub removal: f64,
}

impl Costs {
    /// An overhaul that it passes.
    pub fn of_passing(&self) -> f64 {
        self.overhaul + self.removal
    }

    /// An overhaul that rejects it, and the new propeller.
    pub fn of_rejection(&self) -> f64 {
        self.rejection + self.replacement + self.removal
    }
}

/// When the next overhaul falls.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum First {
    /// It is overdue and done in this month.
    Overdue {
        /// Month, from 0.
        month: usize,
    },
    /// It is due.
    Due {
        /// Month of the calendar limit, from 0; `None` without one.
        calendar_month: Option<usize>,
        /// Months from the as-of date to the hour limit at today's use; `None` without one.
        hours_months: Option<f64>,
    },
}

impl First {
    /// Nothing dates it.
    pub const NEVER: First = First::Due { calendar_month: None, hours_months: None };
}

/// Chances of passing one overhaul after another.
#[derive(Debug, Clone, PartialEq)]
pub struct Chances {
    /// Chance of passing the k-th, when those before were passed; the last holds for all later ones.
    steps: Vec<f64>,
    /// Their normal scores.
    scores: Vec<f64>,
}

impl Chances {
    /// From chances of passing 1, 2, ... overhauls by dimensions, the zeros at the end left out, and the chance at each of
    /// rejection for another cause. `counted` is how many overhauls were looked at: after the last of them the last chance goes on.
    pub fn new(pass: &[f64], other: f64, counted: usize) -> Chances {
        let mut before = 1.0;
        let mut steps: Vec<f64> = pass
            .iter()
            .map(|&chance| {
                let step = if before > 0.0 { chance / before } else { 0.0 };
                before = chance;
                step.clamp(0.0, 1.0) * (1.0 - other).clamp(0.0, 1.0)
            })
            .collect();
        if pass.len() < counted.max(1) {
            steps.push(0.0);
        }
        let scores = steps.iter().map(|&p| normal::quantile(p)).collect();
        Chances { steps, scores }
    }

    /// The same chance at every overhaul.
    pub fn always(chance: f64) -> Chances {
        Chances::new(&[chance.clamp(0.0, 1.0)], 0.0, 1)
    }

    /// Steps that differ; later ones are like the last.
    pub fn len(&self) -> usize {
        self.steps.len()
    }

    /// Whether there are none, which there never are.
    pub fn is_empty(&self) -> bool {
        self.steps.is_empty()
    }

    /// Chance of passing the overhaul after `passed` ones.
    pub fn step(&self, passed: usize) -> f64 {
        self.steps[passed.min(self.steps.len() - 1)]
    }

    /// Its normal score.
    pub fn score(&self, passed: usize) -> f64 {
        self.scores[passed.min(self.scores.len() - 1)]
    }
}

/// A seat and what is known of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Seat {
    /// Index of the propeller that fills it today.
    pub propeller: u32,
    /// Number of its model among those of the plan.
    pub model: usize,
    /// Whether its interval binds.
    pub strength: Strength,
    /// Whether it is on the shelf: it flies no hours and nobody waits for it.
    pub spare: bool,
    /// Until when it is at a shop, in months from the start of the plan's first; 0 when it is at none, infinite without a return
    /// date ahead.
    pub back: f64,
    /// Chances of the propeller that fills it today.
    pub own: Chances,
    /// Chances of a new one.
    pub fresh: Arc<Chances>,
    /// The next overhaul.
    pub first: First,
    /// Calendar limit in months.
    pub interval_months: Option<u32>,
    /// Hour limit.
    pub interval_hours: Option<f64>,
    /// Hours a month today; 0 when none are flown or the use is not known.
    pub hours_per_month: f64,
    /// Standard deviation over mean of a month's hours.
    pub use_spread: f64,
    /// Unscheduled overhauls an hour.
    pub unscheduled_per_hour: f64,
    /// Share of the variance that decides at an overhaul which the overhauls of one year have in common, 0 to 0.9.
    pub shared: f64,
    /// What it costs; `None` without prices.
    pub costs: Option<Costs>,
    /// Days away for an overhaul, when known.
    pub overhaul_days: Option<f64>,
    /// Days until a new propeller comes, when known.
    pub replacement_days: Option<f64>,
}

impl Seat {
    fn sigma(&self, months: f64) -> f64 {
        self.use_spread / months.max(1.0).sqrt()
    }

    /// Months from an overhaul in a month to the next, at the use of that month.
    pub fn spell(&self, month: usize, timeline: &Timeline) -> Spell {
        let median_months = match self.interval_hours {
            Some(hours) if self.hours_per_month > 0.0 => timeline.months_until(month, hours / self.hours_per_month),
            _ => f64::INFINITY,
        };
        let months =
            if median_months.is_finite() { median_months } else { self.interval_months.map_or(1.0, f64::from) };
        Spell { median_months, sigma: self.sigma(months), calendar_months: self.interval_months.map(|m| m.max(1)) }
    }

    /// Months between overhauls, as expected today; infinite without a limit.
    pub fn usual_spell(&self) -> f64 {
        let by_hours = match self.interval_hours {
            Some(hours) if self.hours_per_month > 0.0 => hours / self.hours_per_month,
            _ => f64::INFINITY,
        };
        by_hours.min(self.interval_months.map_or(f64::INFINITY, f64::from))
    }

    /// Standard deviation of the logarithm of use until the first overhaul.
    pub fn first_sigma(&self, timeline: &Timeline) -> f64 {
        match self.first {
            First::Overdue { .. } => 0.0,
            First::Due { calendar_month, hours_months } => {
                let months = match hours_months {
                    Some(months) => timeline.months_until(0, months),
                    None => calendar_month.map_or(1.0, |m| m as f64),
                };
                self.sigma(months)
            }
        }
    }

    /// Month of the first scheduled overhaul at a normal score of use; `None` when nothing dates it.
    pub fn first_month(&self, score: f64, timeline: &Timeline) -> Option<f64> {
        match self.first {
            First::Overdue { month } => Some(month as f64),
            First::Due { calendar_month, hours_months } => {
                let by_hours = hours_months.map_or(f64::INFINITY, |months| {
                    let until = timeline.months_until(0, months);
                    let spread = (-score * self.first_sigma(timeline)).exp();
                    (timeline.passed + until * spread).floor()
                });
                let month = by_hours.min(calendar_month.map_or(f64::INFINITY, |m| m as f64));
                month.is_finite().then_some(month)
            }
        }
    }

    /// Chances that the first scheduled overhaul falls in month 0, 1, ..., `most` or later.
    pub fn first_at_least(&self, most: usize, timeline: &Timeline) -> Vec<f64> {
        let sigma = self.first_sigma(timeline);
        (0..=most)
            .map(|month| match self.first {
                First::Overdue { month: at } => f64::from(u8::from(month <= at)),
                First::Due { calendar_month, hours_months } => {
                    if month == 0 {
                        return 1.0;
                    }
                    if calendar_month.is_some_and(|last| month > last) {
                        return 0.0;
                    }
                    let Some(months) = hours_months else {
                        return 1.0;
                    };
                    let until = timeline.months_until(0, months);
                    let wanted = month as f64 - timeline.passed;
                    if sigma > 0.0 && until > 0.0 {
                        normal::cdf((until / wanted).ln() / sigma)
                    } else {
                        f64::from(u8::from(until >= wanted))
                    }
                }
            })
            .collect()
    }

    /// Unscheduled overhauls in a month's worth of flying at today's use.
    pub fn unscheduled_per_month(&self) -> f64 {
        self.unscheduled_per_hour * self.hours_per_month
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_by_hand() {
        let c = Chances::new(&[0.8, 0.4], 0.1, 20);
        // 0.8 x 0.9, then 0.4/0.8 x 0.9, then nothing.
        assert!((c.step(0) - 0.72).abs() < 1e-15);
        assert!((c.step(1) - 0.45).abs() < 1e-15);
        assert_eq!((c.step(2), c.step(9)), (0.0, 0.0));
        assert_eq!(c.score(2), f64::NEG_INFINITY);
        // Chances to the end of what is counted: the last goes on.
        let c = Chances::new(&[0.8, 0.4], 0.0, 2);
        assert_eq!((c.step(1), c.step(7)), (0.5, 0.5));
        assert_eq!(c.score(1), 0.0);
        // Below its minimum already.
        assert_eq!(Chances::new(&[], 0.1, 20).step(0), 0.0);
        assert_eq!(Chances::always(1.0).score(5), f64::INFINITY);
    }
}
