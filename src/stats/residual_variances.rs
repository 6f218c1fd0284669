//! How much of the variance within a group is gauge error, how much lasts, how much is fresh.
//!
//! A loss is the difference of two readings, so an error in the reading between two cycles makes
//! one loss too large and the next too small: it shows as a negative covariance of successive
//! residuals and does not accumulate. A lasting difference of one place shows as a positive
//! covariance at every lag. With `c1` the covariance at lag 1, `c2` at all longer lags pooled and
//! `w^2` the variance: `lasting^2 = c2`, `g^2 = lasting^2 - c1`,
//! `w_true^2 = w^2 - lasting^2 - 2 g^2`.

use super::losses::OwnLoss;
use thiserror::Error;

/// The gauge error is taken as 0 with fewer lag-1 pairs than this.
pub const PAIRS_FOR_GAUGE: usize = 30;

/// Why the variance cannot be estimated or split.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum ResidualError {
    /// A residual or variance is not finite, or a variance is negative.
    #[error("a residual or variance is not a finite number")]
    Value,
    /// One reading per overhaul leaves no residual.
    #[error("covariances need more than one reading per overhaul")]
    Readings,
}

/// The parts of the variance within.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ResidualVariances {
    /// Lag-1 covariance `c1`; `None` without a pair.
    pub successive: Option<f64>,
    /// Pairs at lag 1.
    pub successive_pairs: usize,
    /// Pooled covariance at lags of 2 or more, `c2`; `None` without a pair.
    pub distant: Option<f64>,
    /// Pairs at lags of 2 or more.
    pub distant_pairs: usize,
    /// `w_true^2`, `lasting^2` and `g^2`.
    pub own: OwnLoss,
}

/// The residuals of one place, taken in one by one in order of cycle.
#[derive(Debug, Clone, Copy, Default)]
pub struct PlaceSums {
    sum: f64,
    squares: f64,
    count: usize,
    successive: f64,
    successive_pairs: usize,
    last: Option<(u32, f64)>,
}

impl PlaceSums {
    /// Takes in the residual of a cycle; cycles come in increasing order.
    pub fn add(&mut self, cycle: u32, residual: f64) {
        if let Some((last, earlier)) = self.last
            && cycle == last + 1
        {
            self.successive += earlier * residual;
            self.successive_pairs += 1;
        }
        self.sum += residual;
        self.squares += residual * residual;
        self.count += 1;
        self.last = Some((cycle, residual));
    }
}

/// Sums of products of pairs of residuals, over all places.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct CovarianceSums {
    /// Sum of products at lag 1.
    pub successive: f64,
    /// Pairs at lag 1.
    pub successive_pairs: usize,
    /// Sum of products at lags of 2 or more.
    pub distant: f64,
    /// Pairs at lags of 2 or more.
    pub distant_pairs: usize,
}

impl CovarianceSums {
    /// Adds the pairs of one place.
    pub fn add(&mut self, place: &PlaceSums) {
        // The products of all pairs, from the square of the sum.
        let all = 0.5 * (place.sum * place.sum - place.squares);
        let pairs = place.count * place.count.saturating_sub(1) / 2;
        self.successive += place.successive;
        self.successive_pairs += place.successive_pairs;
        self.distant += all - place.successive;
        self.distant_pairs += pairs - place.successive_pairs;
    }

    /// Adds the pairs of other places.
    pub fn join(&mut self, other: &CovarianceSums) {
        self.successive += other.successive;
        self.successive_pairs += other.successive_pairs;
        self.distant += other.distant;
        self.distant_pairs += other.distant_pairs;
    }

    /// Splits the pooled variance `within` (`w^2`, unit squared).
    ///
    /// `readings` is the mean number of readings per overhaul: their residuals add to about 0, which shrinks every covariance
    /// by `1 - 1/readings`. Cycles that began from a drawing instead of a reading are to be left out of the sums.
    ///
    /// Lasting differences need `c2 > 2 w^2/sqrt(pairs)`, gauge error [`PAIRS_FOR_GAUGE`] pairs; both are 0 otherwise, and held
    /// to what `w^2` can contain.
    ///
    /// # Errors
    /// [`ResidualError::Value`] and [`ResidualError::Readings`].
    pub fn split(&self, within: f64, readings: f64) -> Result<ResidualVariances, ResidualError> {
        let finite = self.successive.is_finite() && self.distant.is_finite();
        if !finite || !within.is_finite() || within < 0.0 {
            return Err(ResidualError::Value);
        }
        if readings.is_nan() || readings <= 1.0 {
            return Err(ResidualError::Readings);
        }
        let shrunk = 1.0 - 1.0 / readings;
        let covariance = |sum: f64, pairs: usize| (pairs > 0).then(|| sum / pairs as f64 / shrunk);
        let c1 = covariance(self.successive, self.successive_pairs);
        let c2 = covariance(self.distant, self.distant_pairs);

        let lasting =
            c2.filter(|&c2| c2 > 2.0 * within / (self.distant_pairs as f64).sqrt()).map_or(0.0, |c2| c2.min(within));
        let reading = c1
            .filter(|_| self.successive_pairs >= PAIRS_FOR_GAUGE)
            .map_or(0.0, |c1| (lasting - c1).clamp(0.0, 0.5 * (within - lasting)));
        Ok(ResidualVariances {
            successive: c1,
            successive_pairs: self.successive_pairs,
            distant: c2,
            distant_pairs: self.distant_pairs,
            own: OwnLoss {
                // Rounding must not leave a negative remainder when all of it is gauge error.
                per_cycle: (within - lasting - 2.0 * reading).max(0.0),
                lasting,
                reading,
            },
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand_chacha::ChaCha8Rng;
    use rand_chacha::rand_core::SeedableRng;
    use rand_distr::{Distribution, StandardNormal};

    /// Sorts residuals by place and cycle, adds their pairs and splits.
    fn split(
        within: f64,
        place: &[usize],
        cycle: &[u32],
        residual: &[f64],
        readings: f64,
    ) -> Result<ResidualVariances, ResidualError> {
        let mut order: Vec<usize> = (0..place.len()).collect();
        order.sort_by_key(|&i| (place[i], cycle[i]));
        let mut sums = CovarianceSums::default();
        for series in order.chunk_by(|&a, &b| place[a] == place[b]) {
            let mut of_place = PlaceSums::default();
            for &i in series {
                of_place.add(cycle[i], residual[i]);
            }
            sums.add(&of_place);
        }
        sums.split(within, readings)
    }

    #[test]
    fn covariances_by_hand() {
        // Unsorted, one cycle missed. Place 7: cycles 1, 2, 4 with 2, -1, 3; place 3: cycles 5, 6
        // with 1, 1. Lag 1: 2*(-1) and 1*1; longer: 2*3 and -1*3. Two readings halve them.
        let place = [7, 3, 7, 3, 7];
        let cycle = [4, 6, 1, 5, 2];
        let residual = [3.0, 1.0, 2.0, 1.0, -1.0];
        let s = split(4.0, &place, &cycle, &residual, 2.0).unwrap();
        assert_eq!((s.successive_pairs, s.distant_pairs), (2, 2));
        assert_eq!(s.successive, Some(-1.0));
        assert_eq!(s.distant, Some(3.0));
        // 3 < 2*4/sqrt(2) and 2 < 30 pairs: neither is believed.
        let whole = OwnLoss { per_cycle: 4.0, lasting: 0.0, reading: 0.0 };
        assert_eq!(s.own, whole);
    }

    #[test]
    fn thresholds_and_bounds() {
        // 30 alternating pairs: c1 = -1 (two readings: -2), more than w^2 = 1 can contain.
        let place: Vec<usize> = (0..60).map(|i| i / 2).collect();
        let cycle: Vec<u32> = (0..60).map(|i| i % 2).collect();
        let residual: Vec<f64> = (0..60).map(|i| if i % 2 == 0 { 1.0 } else { -1.0 }).collect();
        let s = split(1.0, &place, &cycle, &residual, 2.0).unwrap();
        assert_eq!(s.distant, None);
        assert_eq!(s.own, OwnLoss { per_cycle: 0.0, lasting: 0.0, reading: 0.5 });
        // One pair fewer is not enough.
        let s = split(1.0, &place[..58], &cycle[..58], &residual[..58], 2.0).unwrap();
        assert_eq!(s.own.reading, 0.0);
        // A constant residual at every place lasts, and takes all of w^2.
        let cycle: Vec<u32> = (0..60).map(|i| 5 * (i % 2)).collect();
        let s = split(1.0, &place, &cycle, &[1.0; 60], 2.0).unwrap();
        assert_eq!(s.own, OwnLoss { per_cycle: 0.0, lasting: 1.0, reading: 0.0 });
    }

    #[test]
    fn unusable_input() {
        let bad = |w, p: &[usize], c: &[u32], r: &[f64], n| split(w, p, c, r, n).unwrap_err();
        assert_eq!(bad(1.0, &[0], &[1], &[f64::NAN], 2.0), ResidualError::Value);
        assert_eq!(bad(-1.0, &[0], &[1], &[1.0], 2.0), ResidualError::Value);
        assert_eq!(bad(1.0, &[0], &[1], &[1.0], 1.0), ResidualError::Readings);
        let empty = split(1.0, &[], &[], &[], 2.0).unwrap();
        assert_eq!((empty.successive, empty.distant), (None, None));
        assert_eq!(empty.own.per_cycle, 1.0);
    }

    #[test]
    fn known_parts_are_recovered() {
        // 2,000 series of 8 cycles with w_true 1, lasting 0.5, gauge 0.6, each overhaul read at 10
        // places whose mean is taken out as a fit would. Six standard errors of a covariance over
        // 14,000 (lag 1) pairs of variance 2 are about 0.1.
        let mut rng = ChaCha8Rng::seed_from_u64(7);
        let (fleet, places, cycles) = (200, 10, 8);
        let (mut place, mut cycle, mut residual) = (Vec::new(), Vec::new(), Vec::new());
        for unit in 0..fleet {
            let mut normal = || -> f64 { StandardNormal.sample(&mut rng) };
            let lasting: Vec<f64> = (0..places).map(|_| 0.5 * normal()).collect();
            let mut gauge: Vec<f64> = (0..places).map(|_| 0.6 * normal()).collect();
            for c in 0..cycles {
                let next: Vec<f64> = (0..places).map(|_| 0.6 * normal()).collect();
                let loss: Vec<f64> = (0..places).map(|p| lasting[p] + normal() + gauge[p] - next[p]).collect();
                gauge = next;
                let mean = loss.iter().sum::<f64>() / places as f64;
                for (p, l) in loss.iter().enumerate() {
                    place.push(unit * places + p);
                    cycle.push(c as u32);
                    residual.push(l - mean);
                }
            }
        }
        // A mean an overhaul is fitted.
        let squares: f64 = residual.iter().map(|r| r * r).sum();
        let within = squares / (residual.len() - fleet * cycles) as f64;
        let s = split(within, &place, &cycle, &residual, places as f64).unwrap();
        assert!((s.own.lasting - 0.25).abs() < 0.1, "{s:?}");
        assert!((s.own.reading - 0.36).abs() < 0.1, "{s:?}");
        assert!((s.own.per_cycle - 1.0).abs() < 0.15, "{s:?}");
    }
}
