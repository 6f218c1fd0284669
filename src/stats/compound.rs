//! Sums of a random number of positive amounts, and the chance that a normal variable and such a sum stay within some room.
//!
//! One amount takes each of ten values with equal chance. Of c of them the sum is kept as at most [`POINTS`] values of equal
//! chance (means of equal shares of the convolution, so that its mean is exact), for c up to [`MOST`]; more count as that many.
//! `G_c(x)`, the mean of `Phi(x - sum/sigma)` over the values, comes from a table for one sigma: linear between knots an eighth
//! apart up to 9, one apart beyond, where only the sums themselves matter.

use super::normal::CdfTable;

/// Numbers of amounts told apart; more count as the last.
pub const MOST: usize = 6;
/// Values that a sum is kept as.
const POINTS: usize = 32;
/// Where the table begins, in standard deviations.
const LOW: f64 = -7.0;
/// Up to here knots are close.
const FINE_TO: f64 = 9.0;
const FINE_PER_UNIT: f64 = 8.0;
const FINE_KNOTS: usize = 128;
/// Knots beyond at most; a sum that reaches further counts as one that does.
const MOST_COARSE: usize = 480;

/// Chances of 0, 1, ..., [`MOST`] amounts, the rest in the last.
pub type Weights = [f64; MOST + 1];

/// Values of equal chance of the sum of 1, 2, ... amounts.
#[derive(Debug, Clone, PartialEq)]
pub struct Compound {
    sums: [Vec<f64>; MOST],
}

impl Compound {
    /// Of the values of one amount, each as likely.
    pub fn new(one: &[f64]) -> Compound {
        let mut sums: [Vec<f64>; MOST] = Default::default();
        sums[0] = one.to_vec();
        for count in 1..MOST {
            let mut all: Vec<f64> =
                sums[count - 1].iter().flat_map(|sum| one.iter().map(move |more| sum + more)).collect();
            all.sort_by(f64::total_cmp);
            sums[count] = equal_shares(&all);
        }
        Compound { sums }
    }

    /// Mean of one amount.
    pub fn mean(&self) -> f64 {
        let one = &self.sums[0];
        one.iter().sum::<f64>() / (one.len() as f64).max(1.0)
    }
}

/// Means of equal shares of values in ascending order, a value on the border in parts.
fn equal_shares(ascending: &[f64]) -> Vec<f64> {
    if ascending.len() <= POINTS {
        return ascending.to_vec();
    }
    let share = ascending.len() as f64 / POINTS as f64;
    (0..POINTS)
        .map(|at| {
            let (from, to) = (at as f64 * share, (at + 1) as f64 * share);
            let part = |i: usize| (to.min((i + 1) as f64) - from.max(i as f64)).max(0.0);
            let cells = from.floor() as usize..(to.ceil() as usize).min(ascending.len());
            cells.map(|i| part(i) * ascending[i]).sum::<f64>() / share
        })
        .collect()
}

/// Chances of so many events, each more with the rate not known: `rate ~ Gamma(shape, 1)`, `mean` events at rate 1; negative
/// binomial.
pub fn counts(shape: f64, mean_at_unit_rate: f64) -> Weights {
    let mut weights = [0.0; MOST + 1];
    let q = mean_at_unit_rate / (1.0 + mean_at_unit_rate);
    let mut chance = (-shape * mean_at_unit_rate.ln_1p()).exp();
    let mut left = 1.0;
    for (count, weight) in weights.iter_mut().enumerate().take(MOST) {
        *weight = chance.min(left);
        left -= *weight;
        chance *= (shape + count as f64) / (count as f64 + 1.0) * q;
    }
    weights[MOST] = left.max(0.0);
    weights
}

/// The table of one sigma.
#[derive(Debug, Clone, PartialEq)]
pub struct SumTable {
    /// By knot and number of amounts from 1.
    rows: Vec<[f64; MOST]>,
    /// The sigma.
    sigma: f64,
}

impl SumTable {
    /// For a standard deviation of what is added to the sums.
    pub fn new(compound: &Compound, sigma: f64) -> SumTable {
        let normal = CdfTable::shared();
        let largest = compound.sums[MOST - 1].last().copied().unwrap_or(0.0) / sigma;
        let coarse = (largest.min(MOST_COARSE as f64) as usize).min(MOST_COARSE);
        let knots = (0..=FINE_KNOTS).map(|i| LOW + i as f64 / FINE_PER_UNIT);
        let knots = knots.chain((1..=coarse).map(|i| FINE_TO + i as f64));
        let rows = knots
            .map(|x| {
                compound.sums.each_ref().map(|values| {
                    let sum: f64 = values.iter().map(|value| normal.cdf(x - value / sigma)).sum();
                    sum / (values.len() as f64).max(1.0)
                })
            })
            .collect();
        SumTable { rows, sigma }
    }

    /// Its standard deviation.
    pub fn sigma(&self) -> f64 {
        self.sigma
    }

    /// Mean over one to `last` amounts of `G(x)` by their weights.
    #[inline]
    pub fn some(&self, x: f64, weights: &Weights, last: usize) -> f64 {
        let at = if x < FINE_TO { ((x - LOW) * FINE_PER_UNIT).max(0.0) } else { FINE_KNOTS as f64 + (x - FINE_TO) };
        let end = self.rows.len() - 1;
        let below = (at as usize).min(end);
        let part = if below == end { 0.0 } else { at - below as f64 };
        let (low, high) = (&self.rows[below], &self.rows[(below + 1).min(end)]);
        let mut sum = 0.0;
        for count in 0..last {
            sum += weights[count + 1] * (low[count] + part * (high[count] - low[count]));
        }
        sum
    }

    /// The smallest knot from which on all but `but` of the weight of some amounts is within.
    pub fn certain_from(&self, weights: &Weights, last: usize, but: f64) -> f64 {
        let all: f64 = weights[1..=last].iter().sum();
        let within = |row: &[f64; MOST]| {
            let some: f64 = row.iter().zip(&weights[1..=last]).map(|(g, w)| g * w).sum();
            all - some < but
        };
        let at = self.rows.partition_point(|row| !within(row));
        if at <= FINE_KNOTS { LOW + at as f64 / FINE_PER_UNIT } else { FINE_TO + (at - FINE_KNOTS) as f64 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::normal;

    /// By hand: values 1 and 3: of two the sums are 2, 4, 4, 6; the mean of one is 2.
    #[test]
    fn sums_by_hand() {
        let compound = Compound::new(&[1.0, 3.0]);
        assert_eq!(compound.sums[1], [2.0, 4.0, 4.0, 6.0]);
        assert_eq!(compound.mean(), 2.0);
        // However they are joined, six have six times the mean.
        let six = &compound.sums[5];
        assert_eq!(six.len(), POINTS);
        assert!((six.iter().sum::<f64>() / 32.0 - 12.0).abs() < 1e-12);
    }

    /// scipy's definition of the negative binomial from memory: with shape 2 and 0.5 events at rate 1, q = 1/3, P(0) = 4/9, P(1) = 2 q
    /// 4/9 = 8/27, P(2) = 3 q^2 4/9 = 4/27.
    #[test]
    fn counts_by_hand() {
        let weights = counts(2.0, 0.5);
        for (at, expected) in [4.0 / 9.0, 8.0 / 27.0, 4.0 / 27.0].into_iter().enumerate() {
            assert!((weights[at] - expected).abs() < 1e-15);
        }
        assert!((weights.iter().sum::<f64>() - 1.0).abs() < 1e-15);
        assert_eq!(counts(2.0, 0.0)[0], 1.0);
        // A rate that is all but known: Poisson's exp(-0.3) = 0.740818.
        assert!((counts(1e9, 0.3e-9)[0] - 0.740_818_220_7).abs() < 1e-8);
    }

    /// Against the exact mixture, all ten to the power of c values in full, up to three amounts: within 1e-3.
    #[test]
    fn the_table_is_the_mixture() {
        let one: Vec<f64> = (0..10).map(|i| 0.004 + 0.003 * f64::from(i)).collect();
        let sigma = 0.0009;
        let table = SumTable::new(&Compound::new(&one), sigma);
        let mut exact: Vec<Vec<f64>> = vec![one.clone()];
        for count in 1..3 {
            let more = exact[count - 1].iter().flat_map(|sum| one.iter().map(move |more| sum + more)).collect();
            exact.push(more);
        }
        let weights = [0.7, 0.2, 0.08, 0.02, 0.0, 0.0, 0.0];
        for step in 0..400 {
            let x = -6.0 + 0.31 * f64::from(step);
            let expected: f64 = exact
                .iter()
                .zip(&weights[1..])
                .map(|(values, weight)| {
                    let sum: f64 = values.iter().map(|v| normal::cdf(x - v / sigma)).sum();
                    weight * sum / values.len() as f64
                })
                .sum();
            let close = if x < FINE_TO { 1e-3 } else { 6e-3 };
            assert!((table.some(x, &weights, 3) - expected).abs() < close, "{x}");
        }
        let from = table.certain_from(&weights, 3, 1e-6);
        assert!(table.some(from, &weights, 3) > 0.3 - 1e-6);
        assert!(from < 3.0 * 0.031 / sigma + 9.0);
    }
}
