//! Are events becoming more frequent?
//!
//! The Laplace test of a constant rate against a monotone one, and Holm's adjustment for having
//! tested many units.

use super::normal;
use thiserror::Error;

/// Fewest events for which the normal approximation of the Laplace test is used.
pub const FEWEST_EVENTS: usize = 4;

/// Why there is no test.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum TrendError {
    /// Too few events.
    #[error("{events} events; a trend needs {FEWEST_EVENTS}")]
    TooFew {
        /// Number of events.
        events: usize,
    },
    /// The observation window is empty or not finite.
    #[error("the observation window is empty")]
    Window,
    /// An event lies outside the window.
    #[error("event {index} lies outside the observation window")]
    Outside {
        /// Index of the first offender.
        index: usize,
    },
}

/// Result of a Laplace test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LaplaceTest {
    /// Standard normal under a constant rate; positive when events gather late.
    pub statistic: f64,
    /// Two-sided p-value.
    pub p_value: f64,
    /// Number of events.
    pub events: usize,
}

/// The Laplace test for events at `times` in a window from `start` to `end`, both fixed in advance
/// (time truncation): `U = (mean(t) - T/2)/(T sqrt(1/(12 n)))` with times from the start. If
/// observation stopped at an event, leave that one out and end the window there. Any unit of time,
/// any order.
///
/// Reference: Cox & Lewis 1966, *The Statistical Analysis of Series of Events*, section 3.3 (from
/// memory).
///
/// # Errors
/// [`TrendError`].
pub fn laplace(times: &[f64], start: f64, end: f64) -> Result<LaplaceTest, TrendError> {
    let window = end - start;
    if !window.is_finite() || window <= 0.0 {
        return Err(TrendError::Window);
    }
    if let Some(index) = times.iter().position(|t| !(start..=end).contains(t)) {
        return Err(TrendError::Outside { index });
    }
    let events = times.len();
    if events < FEWEST_EVENTS {
        return Err(TrendError::TooFew { events });
    }
    let n = events as f64;
    let mean = times.iter().map(|t| t - start).sum::<f64>() / n;
    let statistic = (mean / window - 0.5) * (12.0 * n).sqrt();
    Ok(LaplaceTest { statistic, p_value: (2.0 * normal::cdf(-statistic.abs())).min(1.0), events })
}

/// Holm's adjusted p-values, in the order given: the i-th smallest of n times n - i + 1, never below
/// a smaller one's and never above 1. A value that is not a number stays so and counts as tested.
///
/// Reference: Holm 1979, *Scandinavian Journal of Statistics* 6:65.
pub fn holm(p_values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..p_values.len()).collect();
    order.sort_unstable_by(|&a, &b| {
        let (a, b) = (p_values[a], p_values[b]);
        a.is_nan().cmp(&b.is_nan()).then(a.total_cmp(&b))
    });
    let mut adjusted = vec![f64::NAN; p_values.len()];
    let mut least: f64 = 0.0;
    for (rank, &i) in order.iter().enumerate() {
        if !p_values[i].is_nan() {
            least = least.max(p_values[i] * (p_values.len() - rank) as f64).min(1.0);
            adjusted[i] = least;
        }
    }
    adjusted
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn laplace_by_hand() {
        // Window 10..20, times from its start 1, 9, 8, 6: mean 6, U = (0.6 - 0.5) sqrt(48).
        let test = laplace(&[11.0, 19.0, 18.0, 16.0], 10.0, 20.0).unwrap();
        assert!((test.statistic - 0.1 * 48f64.sqrt()).abs() < 1e-14);
        assert_eq!(test.events, 4);
        // Symmetric about the middle: no trend at all.
        let test = laplace(&[1.0, 2.0, 8.0, 9.0], 0.0, 10.0).unwrap();
        assert!(test.statistic.abs() < 1e-15);
        assert!((test.p_value - 1.0).abs() < 1e-15);
    }

    #[test]
    fn turning_time_round_turns_the_sign() {
        let times = [3.0, 50.0, 77.5, 90.0, 98.0];
        let turned: Vec<f64> = times.iter().map(|t| 100.0 - t).collect();
        let (a, b) = (laplace(&times, 0.0, 100.0).unwrap(), laplace(&turned, 0.0, 100.0).unwrap());
        assert!((a.statistic + b.statistic).abs() < 1e-14);
        assert!((a.p_value - b.p_value).abs() < 1e-14);
    }

    #[test]
    fn no_test_where_there_is_none() {
        assert_eq!(laplace(&[1.0, 2.0, 3.0], 0.0, 5.0), Err(TrendError::TooFew { events: 3 }));
        assert_eq!(laplace(&[1.0; 4], 5.0, 5.0), Err(TrendError::Window));
        assert_eq!(laplace(&[1.0; 4], 0.0, f64::NAN), Err(TrendError::Window));
        assert_eq!(laplace(&[1.0, 7.0, 2.0, 3.0], 0.0, 5.0), Err(TrendError::Outside { index: 1 }));
        assert_eq!(laplace(&[1.0, f64::NAN, 2.0, 3.0], 0.0, 5.0), Err(TrendError::Outside { index: 1 }));
    }

    #[test]
    fn holm_by_hand_and_with_ties() {
        // 0.005*4, then 0.01*3, then 0.03*2, then 0.04 raised to 0.06.
        let expected = [0.03, 0.06, 0.06, 0.02];
        for (a, e) in holm(&[0.01, 0.04, 0.03, 0.005]).iter().zip(expected) {
            assert!((a - e).abs() < 1e-15);
        }
        assert_eq!(holm(&[0.4, 0.4, 0.9]), vec![1.0, 1.0, 1.0]);
        assert_eq!(holm(&[0.02]), vec![0.02]);
        assert!(holm(&[]).is_empty());
        let with_gap = holm(&[-f64::NAN, 0.01]);
        assert!(with_gap[0].is_nan() && (with_gap[1] - 0.02).abs() < 1e-15);
    }
}
