//! What a propeller's next overhauls are expected to take in common, where losses may rise from one overhaul to the next.

use crate::stats::losses::CommonLoss;
use crate::stats::slope::{Rise, WithinSlope};

/// How losses change with the number of the overhaul, in one pool and dimension.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Growth {
    /// The slope as measured; `None` where the numbers do not vary within propellers.
    pub measured: Option<WithinSlope>,
    /// What is believed of it, in inches an overhaul.
    pub rise: Rise,
    /// Mean number of the overhauls it was measured on: losses there are as fitted.
    pub about: f64,
}

/// Standard errors beyond which it is said that a fleet loses more each time.
const SAID_BEYOND: f64 = 2.5;

impl Growth {
    /// What an overhaul of this number takes more than one of the mean number, in inches.
    pub fn more_in(&self, number: f64) -> f64 {
        self.rise.mean * (number - self.about)
    }

    /// Whether it is clear enough to be said.
    pub fn is_clear(&self) -> bool {
        let measured = self.measured.and_then(|m| Some((m.slope, m.standard_error()?)));
        measured.is_some_and(|(slope, error)| slope > SAID_BEYOND * error)
    }
}

/// Losses of a propeller's next overhauls in common.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Course {
    /// Loss at the pool's mean number of overhauls.
    pub common: CommonLoss,
    /// How it grows.
    pub growth: Growth,
    /// Overhauls behind it.
    pub passed: f64,
}

impl Course {
    /// Sum of the next `k` overhauls' numbers, each less the mean number.
    fn numbers(&self, k: u32) -> f64 {
        let k = f64::from(k);
        k * (self.passed - self.growth.about) + 0.5 * k * (k + 1.0)
    }

    /// Expected loss of the next `k` overhauls, in inches.
    pub fn sum_mean(&self, k: u32) -> f64 {
        f64::from(k) * self.common.mean + self.growth.rise.mean * self.numbers(k)
    }

    /// Its variance, in inches squared.
    pub fn sum_variance(&self, k: u32) -> f64 {
        self.common.sum_variance(k) + self.growth.rise.variance * self.numbers(k).powi(2)
    }

    /// Expected loss of the next overhaul, in inches.
    pub fn next_mean(&self) -> f64 {
        self.sum_mean(1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 3 overhauls behind it, mean number 2.5, slope 0.002 with variance 1e-6. The next two are numbers 4 and 5, 4.0
    /// above the mean together: 2 x 0.01 + 0.002 x 4 = 0.028; variance 4 x 1e-6 + 2 x 4e-6 + 1e-6 x 16 = 28e-6.
    #[test]
    fn sums_by_hand() {
        let course = Course {
            common: CommonLoss { mean: 0.01, mean_variance: 1e-6, cycle_variance: 4e-6 },
            growth: Growth { measured: None, rise: Rise { mean: 0.002, variance: 1e-6 }, about: 2.5 },
            passed: 3.0,
        };
        assert!((course.sum_mean(2) - 0.028).abs() < 1e-15);
        assert!((course.sum_variance(2) - 28e-6).abs() < 1e-18);
        assert!((course.next_mean() - 0.013).abs() < 1e-15);
        assert!((course.growth.more_in(4.0) - 0.003).abs() < 1e-15);
    }
}
