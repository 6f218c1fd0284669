//! Do values rise from one number to the next within groups, and what is believed of a rise that cannot be a fall?
//!
//! Ordinary least squares of the values on their numbers with the groups' means taken out: `b = Sxy/Sxx`,
//! `se^2 = RSS/(N - groups - 1)/Sxx`. What is believed: the posterior of b under a half-normal prior and the likelihood
//! `N(b, se^2)`, a normal distribution cut off at 0, unless there is no slope at all.

use super::normal;

/// Sums of values and numbers about the means of their groups.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct WithinSums {
    /// Sum of weight x number squared.
    pub numbers: f64,
    /// Sum of weight x number x value.
    pub products: f64,
    /// Sum of weight x value squared.
    pub values: f64,
    /// Observations.
    pub observations: usize,
    /// Groups.
    pub groups: usize,
}

/// The slope within groups.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WithinSlope {
    /// `b`, in the values' unit by number.
    pub slope: f64,
    /// Sum of squares of the numbers about their groups' means.
    pub numbers: f64,
    /// Residual sum of squares.
    pub squares: f64,
    /// `N - groups - 1`; below 1 there is no standard error.
    pub degrees_of_freedom: usize,
}

/// What is believed of a slope.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Rise {
    /// Posterior mean, never below 0.
    pub mean: f64,
    /// Posterior variance.
    pub variance: f64,
}

impl WithinSums {
    /// Takes in observations of ascending groups: `(group, number, value, weight)`.
    pub fn of(observations: &[(usize, f64, f64, f64)]) -> WithinSums {
        let mut sums = WithinSums { observations: observations.len(), ..WithinSums::default() };
        for group in observations.chunk_by(|a, b| a.0 == b.0) {
            sums.groups += 1;
            let weight: f64 = group.iter().map(|o| o.3).sum();
            let mean = |of: fn(&(usize, f64, f64, f64)) -> f64| group.iter().map(|o| o.3 * of(o)).sum::<f64>() / weight;
            let (number, value) = (mean(|o| o.1), mean(|o| o.2));
            for &(_, n, v, w) in group {
                let (n, v) = (n - number, v - value);
                sums.numbers += w * n * n;
                sums.products += w * n * v;
                sums.values += w * v * v;
            }
        }
        sums
    }

    /// The slope; `None` where every group's numbers are equal.
    pub fn slope(&self) -> Option<WithinSlope> {
        (self.numbers > 0.0).then(|| {
            let slope = self.products / self.numbers;
            WithinSlope {
                slope,
                numbers: self.numbers,
                squares: (self.values - slope * self.products).max(0.0),
                degrees_of_freedom: self.observations.saturating_sub(self.groups + 1),
            }
        })
    }
}

impl WithinSlope {
    /// Standard error; `None` without a degree of freedom.
    pub fn standard_error(&self) -> Option<f64> {
        (self.degrees_of_freedom > 0).then(|| (self.squares / self.degrees_of_freedom as f64 / self.numbers).sqrt())
    }
}

/// The posterior of a slope that is 0 or, with the prior chance `chance`, above it: there half-normal of this scale, likelihood
/// `N(estimate, error^2)`; without an estimate the prior alone.
///
/// The slope above 0 gains on the other by the ratio of the two marginal likelihoods, `2 Phi(m/v) (v/scale) exp((m/v)^2/2)`, m
/// and v mean and standard deviation of the posterior before it is cut off.
pub fn rise(estimate: Option<(f64, f64)>, scale: f64, chance: f64) -> Rise {
    let prior = scale * scale;
    let usable = estimate.filter(|(b, se)| b.is_finite() && se.is_finite());
    if prior.is_nan() || prior <= 0.0 {
        return Rise::default();
    }
    let (mean, variance) = match usable {
        Some((b, se)) => (b * prior / (prior + se * se), prior * se * se / (prior + se * se)),
        None => (0.0, prior),
    };
    if variance <= 0.0 {
        return Rise { mean: mean.max(0.0), variance: 0.0 };
    }
    let sd = variance.sqrt();
    let at = mean / sd;
    // The ratio of density and distribution below the cut; far below it the tail's own expansion serves.
    let ratio = if at > -8.0 {
        (-0.5 * at * at).exp() / (2.0 * std::f64::consts::PI).sqrt() / normal::cdf(at)
    } else {
        -at + 1.0 / -at
    };
    let above = (mean + sd * ratio).max(0.0);
    let above_variance = (variance * (1.0 - ratio * (at + ratio))).clamp(0.0, variance);
    let odds = 2.0 * normal::cdf(at) * (sd / scale) * (0.5 * at * at).exp() * chance / (1.0 - chance);
    // A slope hundreds of errors steep overflows, and is certain.
    let weight = if odds.is_finite() { odds / (1.0 + odds) } else { 1.0 };
    Rise { mean: weight * above, variance: weight * (above_variance + (1.0 - weight) * above * above) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: group 0 has numbers 1, 2, 3 and values 1, 2, 6 (means 2 and 3), group 1 numbers 5, 7 and values 4, 4.
    /// Sxx = 2 + 2 = 4, Sxy = 5 + 0 = 5, b = 1.25; Syy = 4 + 1 + 9 = 14, RSS = 14 - 6.25 = 7.75, df = 5 - 2 - 1 = 2.
    #[test]
    fn a_slope_by_hand() {
        let observations =
            [(0, 1.0, 1.0, 1.0), (0, 2.0, 2.0, 1.0), (0, 3.0, 6.0, 1.0), (1, 5.0, 4.0, 1.0), (1, 7.0, 4.0, 1.0)];
        let slope = WithinSums::of(&observations).slope().unwrap();
        assert!((slope.slope - 1.25).abs() < 1e-12);
        assert!((slope.squares - 7.75).abs() < 1e-12);
        assert_eq!(slope.degrees_of_freedom, 2);
        assert!((slope.standard_error().unwrap() - (7.75f64 / 2.0 / 4.0).sqrt()).abs() < 1e-12);
        // One number in each group says nothing of a slope, two observations nothing of its error.
        assert_eq!(WithinSums::of(&[(0, 1.0, 1.0, 1.0), (1, 2.0, 5.0, 1.0)]).slope(), None);
        assert_eq!(WithinSums::of(&observations[..2]).slope().unwrap().standard_error(), None);
        assert_eq!(WithinSums::of(&[]).slope(), None);
    }

    /// By adding up the prior times the likelihood on a fine grid, with a point of its own at 0.
    #[test]
    fn a_rise_is_the_posterior() {
        for chance in [0.2, 0.7] {
            for (b, se, scale) in
                [(1.0, 0.5, 2.0), (-1.0, 0.5, 0.7), (0.0, 0.2, 1.0), (-3.0, 0.8, 0.5), (1.0, 0.3, 0.5)]
            {
                let step = 2e-5;
                let likelihood = |x: f64| (-0.5 * ((x - b) / se).powi(2)).exp();
                let half_normal =
                    |x: f64| 2.0 * (-0.5 * (x / scale).powi(2)).exp() / (scale * (2.0 * std::f64::consts::PI).sqrt());
                let (mut mass, mut first, mut second) = ((1.0 - chance) * likelihood(0.0), 0.0, 0.0);
                for i in 0..400_000 {
                    let x = (f64::from(i) + 0.5) * step;
                    let density = chance * half_normal(x) * likelihood(x) * step;
                    mass += density;
                    first += x * density;
                    second += x * x * density;
                }
                let (mean, square) = (first / mass, second / mass);
                let rise = rise(Some((b, se)), scale, chance);
                assert!((rise.mean - mean).abs() < 1e-5, "{b} {se}: {} {mean}", rise.mean);
                assert!((rise.variance - (square - mean * mean)).abs() < 1e-5, "{b} {se}");
            }
        }
        // Mean and variance of a half-normal distribution: scale sqrt(2/pi), scale^2 (1 - 2/pi).
        let prior = rise(None, 3.0, 1.0);
        assert!((prior.mean - 3.0 * (2.0 / std::f64::consts::PI).sqrt()).abs() < 1e-12);
        assert!((prior.variance - 9.0 * (1.0 - 2.0 / std::f64::consts::PI)).abs() < 1e-12);
        assert_eq!(rise(Some((1.0, 0.1)), 0.0, 0.5), Rise::default());
        assert_eq!(rise(Some((0.5, 0.0)), 1.0, 0.5), Rise { mean: 0.5, variance: 0.0 });
        let hopeless = rise(Some((-100.0, 0.1)), 1.0, 0.5);
        assert!(hopeless.mean >= 0.0 && hopeless.mean < 1e-3 && hopeless.variance >= 0.0);
        let certain = rise(Some((100.0, 0.1)), 10.0, 0.2);
        assert!((certain.mean - 100.0).abs() < 0.1, "{certain:?}");
    }
}
