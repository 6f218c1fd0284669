//! How many months lie between two overhauls: what the hours allow, spread by how unevenly is flown, up to the calendar limit.
//!
//! The hour limit is reached after `median x exp(-z sigma)` months, z standard normal. Overhauls fall on whole months: a
//! length x is rounded up with the chance of its fraction, so that the mean of what was rounded stays x.

use crate::stats::normal;

/// The months between two overhauls.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spell {
    /// Median of the months to the hour limit; infinite without one.
    pub median_months: f64,
    /// Standard deviation of its logarithm.
    pub sigma: f64,
    /// Months to the calendar limit; `None` without one.
    pub calendar_months: Option<u32>,
}

impl Spell {
    fn cap(&self) -> f64 {
        self.calendar_months.map_or(f64::INFINITY, f64::from)
    }

    /// Months at a normal score of use and a uniform number for rounding; at least one. `None` when it does not end.
    pub fn draw(&self, score: f64, uniform: f64) -> Option<f64> {
        let months =
            if self.sigma > 0.0 { self.median_months * (-score * self.sigma).exp() } else { self.median_months };
        let months = months.min(self.cap());
        months.is_finite().then(|| (months + uniform).floor().max(1.0))
    }

    /// Mean of what the hour limit exceeds `months` by, without the calendar.
    fn excess(&self, months: f64) -> f64 {
        let median = self.median_months;
        if self.sigma <= 0.0 || months <= 0.0 {
            // Below zero never asked; at zero it is the mean.
            let mean = median * (0.5 * self.sigma * self.sigma).exp();
            return (mean - months).max(0.0);
        }
        let d = (median / months).ln() / self.sigma;
        let mean = median * (0.5 * self.sigma * self.sigma).exp();
        mean * normal::cdf(d + self.sigma) - months * normal::cdf(d)
    }

    /// Chances of at least 0, 1, ..., `most` months. The value at 1 is 1; where the spell does not end all are.
    pub fn at_least(&self, most: usize) -> Vec<f64> {
        let cap = self.cap();
        let without_hours = !self.median_months.is_finite();
        // Chance of at least j months: the mean of the part of x between j - 1 and j.
        let between = |from: f64, to: f64| {
            if from >= cap {
                0.0
            } else if without_hours {
                to.min(cap) - from
            } else {
                (self.excess(from) - self.excess(to.min(cap))).clamp(0.0, 1.0)
            }
        };
        let mut last = 1.0f64;
        (0..=most)
            .map(|j| {
                if j >= 2 {
                    last = last.min(between(j as f64 - 1.0, j as f64));
                }
                last
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;
    use rand_distr::{Distribution, StandardNormal};

    fn spell(median_months: f64, sigma: f64, calendar_months: Option<u32>) -> Spell {
        Spell { median_months, sigma, calendar_months }
    }

    #[test]
    fn by_hand() {
        // 2.25 months: three with chance 1/4, else two.
        let at_least = spell(2.25, 0.0, None).at_least(5);
        assert_eq!(at_least, [1.0, 1.0, 1.0, 0.25, 0.0, 0.0]);
        // The calendar comes first.
        assert_eq!(spell(9.0, 0.0, Some(2)).at_least(4), [1.0, 1.0, 1.0, 0.0, 0.0]);
        assert_eq!(spell(f64::INFINITY, 0.0, Some(3)).at_least(4), [1.0, 1.0, 1.0, 1.0, 0.0]);
        assert_eq!(spell(f64::INFINITY, 0.3, None).at_least(3), [1.0; 4]);
        assert_eq!(spell(f64::INFINITY, 0.3, None).draw(0.0, 0.0), None);
        assert_eq!(spell(0.1, 0.0, None).at_least(2), [1.0, 1.0, 0.0]);
        assert_eq!(spell(0.1, 0.0, None).draw(0.0, 0.5), Some(1.0));
        assert_eq!(spell(2.25, 0.0, None).draw(0.0, 0.74), Some(2.0));
        assert_eq!(spell(2.25, 0.0, None).draw(0.0, 0.76), Some(3.0));
    }

    #[test]
    fn the_mean_is_kept() {
        // Mean of a lognormal variable: median x exp(sigma^2/2), from memory; far from one month, where nothing is cut off.
        let s = spell(30.0, 0.12, None);
        let mean: f64 = s.at_least(400).iter().skip(1).sum();
        assert!((mean / (30.0 * (0.5f64 * 0.12 * 0.12).exp()) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn drawn_spells_have_the_chances() {
        let mut random = ChaCha8Rng::seed_from_u64(5);
        for s in [spell(24.3, 0.1, Some(26)), spell(3.4, 0.6, None), spell(70.0, 0.07, Some(72))] {
            let draws = 40_000;
            let mut counts = [0u32; 120];
            for _ in 0..draws {
                let z: f64 = StandardNormal.sample(&mut random);
                let months = s.draw(z, random.random()).unwrap() as usize;
                for count in counts.iter_mut().take(months + 1) {
                    *count += 1;
                }
            }
            for (months, chance) in s.at_least(119).into_iter().enumerate() {
                let share = f64::from(counts[months]) / f64::from(draws);
                // Five standard errors.
                let bound = 5.0 * (chance * (1.0 - chance) / f64::from(draws)).sqrt() + 1e-12;
                assert!((share - chance).abs() <= bound, "{s:?} {months} {share} {chance}");
            }
        }
    }
}
