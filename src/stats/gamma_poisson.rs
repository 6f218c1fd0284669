//! How much do event rates differ between units?
//!
//! Unit i has `n_i ~ Poisson(theta_i h_i)` events in exposure `h_i`, and its rate is
//! `theta_i ~ Gamma(shape a, rate b)`. Summed over the rates, counts are negative binomial; with
//! the mean `mu = a/b` and `v = 1/a` the log likelihood is
//!
//! `sum_i [sum_(j<n) ln(1 + j v) + n ln(mu h) - n ln(1 + v mu h) - ln n! - ln(1 + v mu h)/v]`,
//!
//! which runs smoothly into the Poisson one at `v = 0`: no variance between units beyond chance.
//! What is then known of one unit's rate is in [`super::rate_posterior`].

use super::root::root;
use statrs::function::factorial::ln_factorial;
use thiserror::Error;

/// Why the rates cannot be estimated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum GammaPoissonError {
    /// The slices of counts and exposures differ in length.
    #[error("counts and exposures must be equally many")]
    Lengths,
    /// An exposure is negative or not finite, or 0 although there were events.
    #[error("exposure {index} is negative, not finite, or 0 with events")]
    Exposure {
        /// Index of the first offender.
        index: usize,
    },
    /// No unit has any exposure.
    #[error("no unit has any exposure")]
    NoExposure,
    /// No events at all: the largest likelihood is at a rate of 0, which nobody should act on.
    #[error("no events in {units} units")]
    NoEvents {
        /// Number of units with exposure.
        units: usize,
    },
}

/// How rates are distributed over units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RatePrior {
    /// Gamma with this shape and rate; the rate is in units of exposure.
    Gamma {
        /// `a`.
        shape: f64,
        /// `b`.
        rate: f64,
    },
    /// The shape is infinite: counts vary no more than chance makes them, and all units have the
    /// pooled rate.
    Common {
        /// Events of all units.
        events: f64,
        /// Exposure of all units.
        exposure: f64,
    },
}

impl RatePrior {
    /// Mean rate over units, events per unit of exposure.
    pub fn mean(&self) -> f64 {
        match *self {
            Self::Gamma { shape, rate } => shape / rate,
            Self::Common { events, exposure } => events / exposure,
        }
    }
}

/// A marginal maximum likelihood fit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GammaPoissonFit {
    /// The fitted distribution of rates.
    pub prior: RatePrior,
    /// Its log likelihood, all constants included.
    pub log_likelihood: f64,
}

/// The mean rate of a fleet, `(events + 1/2)/exposure`: above 0 also before the first event.
/// `None` without exposure.
pub fn fleet_mean_rate(events: u64, exposure: f64) -> Option<f64> {
    (exposure.is_finite() && exposure > 0.0).then(|| (events as f64 + 0.5) / exposure)
}

/// Counts and exposures, checked and arranged for the likelihood.
#[derive(Debug, Clone)]
pub(super) struct Counts {
    /// (events, exposure) of every unit with exposure.
    units: Vec<(f64, f64)>,
    /// Number of units with more than j events, for j = 0, 1, ...
    more_than: Vec<f64>,
    /// Sum of `n ln h - ln n!`, the part that no parameter touches.
    constant: f64,
    pub(super) events: u64,
    pub(super) exposure: f64,
}

impl Counts {
    pub(super) fn new(counts: &[u32], exposures: &[f64]) -> Result<Self, GammaPoissonError> {
        if counts.len() != exposures.len() {
            return Err(GammaPoissonError::Lengths);
        }
        let usable = |n: u32, h: f64| h.is_finite() && (h > 0.0 || (h == 0.0 && n == 0));
        if let Some(index) = (0..counts.len()).find(|&i| !usable(counts[i], exposures[i])) {
            return Err(GammaPoissonError::Exposure { index });
        }
        let kept = || counts.iter().zip(exposures).filter(|(_, h)| **h > 0.0);
        let units: Vec<(f64, f64)> = kept().map(|(&n, &h)| (f64::from(n), h)).collect();
        if units.is_empty() {
            return Err(GammaPoissonError::NoExposure);
        }
        // Units with exactly n events, summed from above.
        let largest = counts.iter().copied().max().unwrap_or(0) as usize;
        let mut more_than = vec![0.0; largest];
        for (&n, _) in kept().filter(|(n, _)| **n > 0) {
            more_than[n as usize - 1] += 1.0;
        }
        for j in (1..largest).rev() {
            more_than[j - 1] += more_than[j];
        }
        let constant = kept().map(|(&n, &h)| f64::from(n) * h.ln() - ln_factorial(u64::from(n))).sum();
        Ok(Self {
            constant,
            more_than,
            events: counts.iter().map(|&n| u64::from(n)).sum(),
            exposure: units.iter().map(|u| u.1).sum(),
            units,
        })
    }

    /// Number of units with exposure.
    pub(super) fn units(&self) -> usize {
        self.units.len()
    }

    /// Log likelihood at the mean `mu` and `v = 1/shape`, 0 included.
    pub(super) fn log_likelihood(&self, mu: f64, v: f64) -> f64 {
        let rising: f64 = self.more_than.iter().enumerate().map(|(j, m)| m * (j as f64 * v).ln_1p()).sum();
        let falling: f64 = self
            .units
            .iter()
            .map(|&(n, h)| {
                let x = mu * h;
                if v == 0.0 { x } else { (n + 1.0 / v) * (v * x).ln_1p() }
            })
            .sum();
        self.constant + rising + self.events as f64 * mu.ln() - falling
    }

    /// Slope of the log likelihood in `ln mu`, with the information in `ln mu` and its slope.
    pub(super) fn slope_in_ln_mean(&self, mu: f64, v: f64) -> (f64, f64, f64) {
        let (mut slope, mut information, mut information_slope) = (0.0, 0.0, 0.0);
        for &(n, h) in &self.units {
            let x = mu * h;
            let scale = 1.0 / (1.0 + v * x);
            slope += (n - x) * scale;
            information += x * scale;
            information_slope += x * scale * scale;
        }
        (slope, information, information_slope)
    }

    /// Slope of the log likelihood in `v`.
    fn slope_in_v(&self, mu: f64, v: f64) -> f64 {
        let rising: f64 = self.more_than.iter().enumerate().map(|(j, m)| m * j as f64 / (1.0 + j as f64 * v)).sum();
        let rest: f64 = self
            .units
            .iter()
            .map(|&(n, h)| {
                let x = mu * h;
                x * x * curvature(v * x) - n * x / (1.0 + v * x)
            })
            .sum();
        rising + rest
    }

    /// The mean with the largest likelihood at `v`, looked for around `start`. Needs an event.
    fn best_mean(&self, v: f64, start: f64) -> f64 {
        // The slope falls as the mean grows, from the number of events to below 0.
        let slope = |logarithm: f64| self.slope_in_ln_mean(logarithm.exp(), v).0;
        let (mut low, mut high) = (start.ln(), start.ln());
        let mut step = 0.1;
        while slope(low) < 0.0 {
            (low, high) = (low - step, low);
            step *= 2.0;
        }
        while slope(high) > 0.0 {
            (low, high) = (high, high + step);
            step *= 2.0;
        }
        root(low, high, slope).map_or(start, f64::exp)
    }
}

/// `(ln(1 + y) - y/(1 + y))/y^2`, 1/2 at 0.
fn curvature(y: f64) -> f64 {
    if y < 0.01 {
        // sum (m + 1)/(m + 2) (-y)^m; the difference above would cancel.
        (0..9).rev().map(f64::from).fold(0.0, |sum, m| (m + 1.0) / (m + 2.0) - y * sum)
    } else {
        (y.ln_1p() - y / (1.0 + y)) / (y * y)
    }
}

/// The distribution of rates with the largest marginal likelihood. `counts[i]` events in
/// `exposures[i]` (any unit, 0 only without events: such a unit says nothing).
///
/// # Errors
/// [`GammaPoissonError`].
pub fn marginal_maximum_likelihood(counts: &[u32], exposures: &[f64]) -> Result<GammaPoissonFit, GammaPoissonError> {
    let counts = Counts::new(counts, exposures)?;
    if counts.events == 0 {
        return Err(GammaPoissonError::NoEvents { units: counts.units() });
    }
    let pooled = counts.events as f64 / counts.exposure;
    let mut best = GammaPoissonFit {
        prior: RatePrior::Common { events: counts.events as f64, exposure: counts.exposure },
        log_likelihood: counts.log_likelihood(pooled, 0.0),
    };

    // Along the best mean for each v, from a variance between units of a millionth of chance's own
    // to a shape of a millionth; every maximum is solved, the best one kept.
    let lowest = (1e-6 * counts.units() as f64 / counts.events as f64).ln();
    let highest = 1e6f64.ln();
    let steps = ((highest - lowest) / 4f64.ln()).ceil().max(1.0) as u32;
    let mut left = (lowest, pooled, counts.slope_in_v(pooled, 0.0));
    for i in 0..=steps {
        let logarithm = lowest + (highest - lowest) * f64::from(i) / f64::from(steps);
        let mean = counts.best_mean(logarithm.exp(), left.1);
        let slope = counts.slope_in_v(mean, logarithm.exp());
        if i > 0 && left.2 > 0.0 && slope <= 0.0 {
            let start = left.1;
            let solved = root(left.0, logarithm, |l| counts.slope_in_v(counts.best_mean(l.exp(), start), l.exp()));
            if let Some(l) = solved {
                let (v, mean) = (l.exp(), counts.best_mean(l.exp(), start));
                let log_likelihood = counts.log_likelihood(mean, v);
                if log_likelihood > best.log_likelihood {
                    best = GammaPoissonFit {
                        prior: RatePrior::Gamma { shape: 1.0 / v, rate: 1.0 / (v * mean) },
                        log_likelihood,
                    };
                }
            }
        }
        left = (logarithm, mean, slope);
    }
    Ok(best)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn likelihood_by_hand() {
        // Shape 1, rate 2, one unit with 3 events in exposure 1: P = (2/3)(1/3)^3 = 2/81.
        let c = Counts::new(&[3], &[1.0]).unwrap();
        assert!((c.log_likelihood(0.5, 1.0) - (2.0f64 / 81.0).ln()).abs() < 1e-14);
        // At v = 0: Poisson, e^-0.5 0.5^3/6; and close to it just above.
        let poisson = (0.125f64 / 6.0).ln() - 0.5;
        assert!((c.log_likelihood(0.5, 0.0) - poisson).abs() < 1e-14);
        assert!((c.log_likelihood(0.5, 1e-9) - poisson).abs() < 1e-8);
    }

    #[test]
    fn slopes_are_derivatives() {
        let c = Counts::new(&[0, 4, 1, 9, 0], &[3.0, 2.0, 0.5, 7.0, 0.0]).unwrap();
        assert_eq!(c.units(), 4);
        for (mu, v) in [(0.9, 0.3), (2.0, 1e-4), (0.1, 30.0)] {
            let d = 1e-5;
            let up = c.log_likelihood(mu, v * (1.0 + d)) - c.log_likelihood(mu, v * (1.0 - d));
            let slope = c.slope_in_v(mu, v);
            assert!((up / (2.0 * d * v) - slope).abs() < 1e-4 * (1.0 + slope.abs()));
            let up = c.log_likelihood(mu * d.exp(), v) - c.log_likelihood(mu / d.exp(), v);
            let slope = c.slope_in_ln_mean(mu, v).0;
            assert!((up / (2.0 * d) - slope).abs() < 1e-6 * (1.0 + slope.abs()));
        }
        // At v = 0 the slope is sum((n - mu h)^2 - n)/2; here mu = 1:
        // (9 - 0) + (4 - 4) + (0.25 - 1) + (4 - 9) = 3.25.
        assert!((c.slope_in_v(1.0, 0.0) - 1.625).abs() < 1e-14);
    }

    #[test]
    fn both_forms_of_the_curvature_meet() {
        let y: f64 = 0.01;
        let direct = (y.ln_1p() - y / (1.0 + y)) / (y * y);
        assert!((curvature(y - 1e-15) - direct).abs() < 1e-12);
        assert_eq!(curvature(0.0), 0.5);
    }

    #[test]
    fn equal_counts_have_a_common_rate() {
        let fit = marginal_maximum_likelihood(&[2; 9], &[3.0; 9]).unwrap();
        assert_eq!(fit.prior, RatePrior::Common { events: 18.0, exposure: 27.0 });
        assert!((fit.prior.mean() - 2.0 / 3.0).abs() < 1e-15);
    }

    #[test]
    fn all_events_on_one_unit() {
        let mut counts = [0u32; 50];
        counts[7] = 30;
        let fit = marginal_maximum_likelihood(&counts, &[10.0; 50]).unwrap();
        let RatePrior::Gamma { shape, .. } = fit.prior else { panic!("{fit:?}") };
        assert!(shape > 0.0 && shape < 0.05, "{shape}");
        // Equal exposures: the best mean is the pooled rate whatever the shape.
        assert!((fit.prior.mean() - 0.06).abs() < 1e-10);
    }

    #[test]
    fn unusable_input() {
        let bad = |n: &[u32], h: &[f64]| marginal_maximum_likelihood(n, h).unwrap_err();
        assert_eq!(bad(&[1], &[]), GammaPoissonError::Lengths);
        assert_eq!(bad(&[0, 1], &[0.0, 0.0]), GammaPoissonError::Exposure { index: 1 });
        assert_eq!(bad(&[1], &[-1.0]), GammaPoissonError::Exposure { index: 0 });
        assert_eq!(bad(&[0], &[0.0]), GammaPoissonError::NoExposure);
        assert_eq!(bad(&[0, 0], &[5.0, 0.0]), GammaPoissonError::NoEvents { units: 1 });
        assert_eq!(fleet_mean_rate(0, 50.0), Some(0.01));
        assert_eq!(fleet_mean_rate(3, 0.0), None);
    }
}
