//! What is known of one unit's event rate.
//!
//! A Gamma prior with shape `a` and rate `b` becomes, after `n` events in exposure `h`, Gamma with
//! `a + n` and `b + h`. With many units `a` and `b` are fitted ([`RatePosterior::plug_in`]); with
//! few, limits that take them as known are too narrow, and [`RateGrid`] averages the posterior over
//! the shapes and means that the counts leave possible.

use super::gamma_poisson::{Counts, GammaPoissonError, RatePrior};
use super::root::root;
use rand::{Rng, RngExt};
use rand_distr::{Distribution, Gamma};
use statrs::function::gamma::checked_gamma_lr;

/// Shapes in a [`RateGrid`].
const SHAPES: usize = 24;
/// Means for each shape.
const MEANS: usize = 16;
/// Means are summed where the log weight is within this of its largest.
const WITHIN: f64 = 12.0;
/// And within this factor, as a logarithm, of the best mean: with hardly any events a small shape
/// leaves the mean open at the upper end, where it no longer matters to a unit's own rate.
const REACH: f64 = 7.0;
/// Nodes with less than this of the largest weight are dropped.
const NEGLIGIBLE: f64 = 1e-9;

/// One Gamma distribution of a mixture.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Component {
    weight: f64,
    shape: f64,
    rate: f64,
}

/// Distribution of a unit's rate, events per unit of exposure: a mixture of Gamma distributions.
#[derive(Debug, Clone, PartialEq)]
pub struct RatePosterior {
    components: Vec<Component>,
}

impl RatePosterior {
    /// The posterior under a prior taken as known, after `count` events in `exposure`.
    ///
    /// Without variance between units every unit has the pooled rate, known as well as all events
    /// together make it: Gamma with all events and all exposure.
    pub fn plug_in(prior: &RatePrior, count: u32, exposure: f64) -> Self {
        let (shape, rate) = match *prior {
            RatePrior::Gamma { shape, rate } => (shape + f64::from(count), rate + exposure),
            RatePrior::Common { events, exposure } => (events, exposure),
        };
        Self { components: vec![Component { weight: 1.0, shape, rate }] }
    }

    /// Mean rate.
    pub fn mean(&self) -> f64 {
        self.components.iter().map(|c| c.weight * c.shape / c.rate).sum()
    }

    /// Chance of a rate of at most `rate`.
    pub fn cdf(&self, rate: f64) -> f64 {
        self.components.iter().map(|c| c.weight * gamma_cdf(c.shape, c.rate * rate)).sum()
    }

    /// The rate that is exceeded with chance `1 - p`, `0 < p < 1`; `None` for any other `p`.
    pub fn quantile(&self, p: f64) -> Option<f64> {
        if !(p > 0.0 && p < 1.0) {
            return None;
        }
        let excess = |logarithm: f64| self.cdf(logarithm.exp()) - p;
        let (mut low, mut high) = (self.mean().ln(), self.mean().ln());
        let mut step = 0.5;
        // Ends at the latest where the rate is 0 as a double: small shapes have such quantiles.
        while excess(low) > 0.0 {
            (low, high) = (low - step, low);
            step *= 2.0;
        }
        while excess(high) < 0.0 {
            (low, high) = (high, high + step);
            step *= 2.0;
        }
        root(low, high, excess).map(f64::exp)
    }

    /// The central limits that hold the rate with chance `level`, for example 0.9.
    pub fn limits(&self, level: f64) -> Option<(f64, f64)> {
        let tail = 0.5 * (1.0 - level);
        Some((self.quantile(tail)?, self.quantile(1.0 - tail)?))
    }

    /// One rate drawn from the distribution.
    pub fn draw<R: Rng + ?Sized>(&self, random: &mut R) -> f64 {
        let mut left: f64 = random.random();
        let chosen = self.components.iter().find(|c| {
            left -= c.weight;
            left < 0.0
        });
        // Rounding may leave the weights a little short of 1.
        chosen
            .or(self.components.last())
            .and_then(|c| Gamma::new(c.shape, 1.0 / c.rate).ok())
            .map_or(0.0, |gamma| gamma.sample(random))
    }
}

/// Regularised lower incomplete gamma function; 0 up to 0.
fn gamma_cdf(shape: f64, x: f64) -> f64 {
    if x <= 0.0 {
        0.0
    } else if x.is_infinite() {
        1.0
    } else {
        // Shape and x are positive here, which is all it asks.
        checked_gamma_lr(shape, x).unwrap_or(f64::NAN)
    }
}

/// Shapes and means that a fleet's counts leave possible, weighed by the marginal likelihood.
///
/// Prior: `shape/(shape + c)` uniform on (0, 1), `c` the mean count per unit, taken as
/// `(events + 1/2)/units` so that it is never 0; given the shape, the mean has Jeffreys' prior
/// `sqrt(sum mu h/(1 + mu h/shape)) d ln(mu)`. For an infinite shape that makes the posterior of the
/// mean Gamma with `events + 1/2` and all exposure, whose mean is the fleet rate
/// [`super::gamma_poisson::fleet_mean_rate`]; for every shape it is proper, also before the first
/// event.
#[derive(Debug, Clone, PartialEq)]
pub struct RateGrid {
    nodes: Vec<Component>,
}

impl RateGrid {
    /// Weighs the grid by `counts[i]` events in `exposures[i]`.
    ///
    /// # Errors
    /// [`GammaPoissonError`], but no events are no error here.
    pub fn new(counts: &[u32], exposures: &[f64]) -> Result<Self, GammaPoissonError> {
        Self::with_size(counts, exposures, SHAPES, MEANS)
    }

    fn with_size(counts: &[u32], exposures: &[f64], shapes: usize, means: usize) -> Result<Self, GammaPoissonError> {
        let counts = Counts::new(counts, exposures)?;
        let mean_count = (counts.events as f64 + 0.5) / counts.units() as f64;
        let mut nodes = Vec::with_capacity(shapes * means);
        for i in 0..shapes {
            let x = (i as f64 + 0.5) / shapes as f64;
            let shape = mean_count * x / (1.0 - x);
            let weight = |logarithm: f64| {
                let mu = logarithm.exp();
                let information = counts.slope_in_ln_mean(mu, 1.0 / shape).1;
                counts.log_likelihood(mu, 1.0 / shape) + 0.5 * information.ln()
            };
            let (low, high) = span(&counts, shape, &weight);
            let width = (high - low) / means as f64;
            for j in 0..means {
                let logarithm = low + (j as f64 + 0.5) * width;
                nodes.push(Component { weight: weight(logarithm) + width.ln(), shape, rate: shape / logarithm.exp() });
            }
        }
        let largest = nodes.iter().map(|n| n.weight).fold(f64::MIN, f64::max);
        for node in &mut nodes {
            node.weight = (node.weight - largest).exp();
        }
        nodes.retain(|n| n.weight > NEGLIGIBLE);
        let total: f64 = nodes.iter().map(|n| n.weight).sum();
        for node in &mut nodes {
            node.weight /= total;
        }
        Ok(Self { nodes })
    }

    /// The posterior of a unit with `count` events in `exposure`, one of those the grid was weighed
    /// by.
    pub fn posterior(&self, count: u32, exposure: f64) -> RatePosterior {
        let component = |node: &Component| Component {
            weight: node.weight,
            shape: node.shape + f64::from(count),
            rate: node.rate + exposure,
        };
        RatePosterior { components: self.nodes.iter().map(component).collect() }
    }
}

/// The logarithms of the mean over which to sum at one shape.
fn span(counts: &Counts, shape: f64, weight: &impl Fn(f64) -> f64) -> (f64, f64) {
    let v = 1.0 / shape;
    let slope = |logarithm: f64| {
        let (slope, information, information_slope) = counts.slope_in_ln_mean(logarithm.exp(), v);
        slope + 0.5 * information_slope / information
    };
    let start = ((counts.events as f64 + 0.5) / counts.exposure).ln();
    // Far below, the slope is events + 1/2; far above, minus the units' shapes together.
    let (mut low, mut high) = (start, start);
    while slope(low) < 0.0 && low > start - REACH {
        low -= 1.0;
    }
    while slope(high) > 0.0 && high < start + REACH {
        high += 1.0;
    }
    let peak = root(low, high, slope).unwrap_or(start);
    let largest = weight(peak);
    let edge = |direction: f64| {
        let far = peak + direction * REACH;
        root(peak, far, |logarithm| weight(logarithm) - largest + WITHIN).unwrap_or(far)
    };
    (edge(-1.0), edge(1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::gamma_poisson::marginal_maximum_likelihood;
    use rand_chacha::ChaCha8Rng;
    use rand_chacha::rand_core::SeedableRng;
    use rand_distr::Poisson;

    #[test]
    fn exponential_by_hand() {
        // Shape 1 and rate 2 after no events in 3: exponential with rate 5.
        let p = RatePosterior::plug_in(&RatePrior::Gamma { shape: 1.0, rate: 2.0 }, 0, 3.0);
        assert!((p.mean() - 0.2).abs() < 1e-16);
        assert!((p.cdf(0.2) - (1.0 - (-1.0f64).exp())).abs() < 1e-14);
        let (low, high) = p.limits(0.9).unwrap();
        assert!((low + 0.95f64.ln() / 5.0).abs() < 1e-14);
        assert!((high + 0.05f64.ln() / 5.0).abs() < 1e-13);
        assert_eq!((p.quantile(0.0), p.quantile(1.0), p.quantile(f64::NAN)), (None, None, None));
    }

    #[test]
    fn gamma_cdf_against_mpmath() {
        // mpmath 1.4.1 at 40 digits: gammainc(shape, 0, x, regularized=True).
        for (shape, x, expected) in [
            (0.3, 0.2, 0.657_506_724_269_721_8),
            (5.8, 95.6 * 0.03, 0.084_951_442_513_877_7),
            (5.8, 95.6 * 0.06, 0.5447419058383348),
            (300.0, 250.0, 0.0011623936310546183),
            (300.0, 330.0, 0.955_109_776_129_987),
            (4000.5, 3900.0, 0.055_114_115_548_696_7),
        ] {
            assert!((gamma_cdf(shape, x) / expected - 1.0).abs() < 1e-11);
        }
    }

    #[test]
    fn tiny_shapes_have_quantiles_of_nearly_nothing() {
        let prior = RatePrior::Gamma { shape: 1e-3, rate: 1.0 };
        let p = RatePosterior::plug_in(&prior, 0, 0.0);
        // 0.05^1000 is no double.
        assert!(p.quantile(0.05).unwrap() < 1e-300);
        let upper = p.quantile(0.9999).unwrap();
        assert!((p.cdf(upper) - 0.9999).abs() < 1e-12);
    }

    #[test]
    fn a_finer_grid_says_the_same() {
        let counts = [5, 1, 5, 14, 3, 19, 1, 1, 4, 22];
        let exposures = [94.32, 15.72, 62.88, 125.76, 5.24, 31.44, 1.048, 1.048, 2.096, 10.48];
        for (n, h) in [(&counts[..], &exposures[..]), (&[0, 0, 1], &[4.0, 9.0, 2.0]), (&[0; 4], &[1.0; 4])] {
            let usual = RateGrid::new(n, h).unwrap();
            let fine = RateGrid::with_size(n, h, 150, 80).unwrap();
            for (&count, &exposure) in n.iter().zip(h) {
                let (a, b) = (usual.posterior(count, exposure), fine.posterior(count, exposure));
                println!("{} {} {:?} {:?}", a.mean(), b.mean(), a.limits(0.9), b.limits(0.9));
                assert!((a.mean() / b.mean() - 1.0).abs() < 0.01);
                let upper = a.quantile(0.95).unwrap() / b.quantile(0.95).unwrap();
                assert!((upper - 1.0).abs() < 0.01);
            }
        }
    }

    #[test]
    fn a_common_rate_before_the_first_event_is_above_zero() {
        let grid = RateGrid::new(&[0; 6], &[10.0; 6]).unwrap();
        let p = grid.posterior(0, 10.0);
        let (low, high) = p.limits(0.9).unwrap();
        assert!(p.mean() > 0.0 && low >= 0.0 && low < p.mean() && high > p.mean());
        // Twice as long without an event is better news, and exposure nobody had is none.
        let longer = RateGrid::new(&[0; 6], &[20.0; 6]).unwrap().posterior(0, 20.0);
        assert!((longer.mean() / p.mean() - 0.5).abs() < 1e-9);
        let padded = RateGrid::new(&[0; 7], &[10.0, 10.0, 10.0, 10.0, 10.0, 10.0, 0.0]).unwrap();
        assert_eq!(padded.posterior(0, 10.0), p);
    }

    #[test]
    fn drawn_rates_have_the_distribution() {
        let grid = RateGrid::new(&[4, 0, 1, 7], &[10.0, 3.0, 8.0, 12.0]).unwrap();
        let p = grid.posterior(4, 10.0);
        let mut rng = ChaCha8Rng::seed_from_u64(11);
        let draws = 4_000;
        let rates: Vec<f64> = (0..draws).map(|_| p.draw(&mut rng)).collect();
        for level in [0.05, 0.5, 0.95] {
            let at = p.quantile(level).unwrap();
            let share = rates.iter().filter(|r| **r <= at).count() as f64 / f64::from(draws);
            // Five standard errors.
            assert!((share - level).abs() < 5.0 * (level * (1.0 - level) / 4e3).sqrt());
        }
    }

    #[test]
    fn limits_of_small_fleets_cover() {
        // Fleets of 12 with 3 events each on average and shapes spread as the prior has it: limits
        // of 90 % must hold 90 % of the rates on average over such fleets. 200 fleets; units of a
        // fleet share its grid, so the standard error is at worst that of 200 independent ones,
        // sqrt(0.9 * 0.1/200) = 0.021; three of them are allowed. Plug-in limits cover less.
        let mut rng = ChaCha8Rng::seed_from_u64(3);
        let (mut averaged, mut plugged, mut units) = (0.0, 0.0, 0.0);
        for fleet in 0..200 {
            let x = (f64::from(fleet % 20) + 0.5) / 20.0;
            let shape = 3.0 * x / (1.0 - x);
            let true_rates = Gamma::new(shape, 3.0 / shape).unwrap();
            let rates: Vec<f64> = (0..12).map(|_| true_rates.sample(&mut rng)).collect();
            let counts: Vec<u32> =
                rates.iter().map(|r| Poisson::new(r.max(1e-300)).unwrap().sample(&mut rng) as u32).collect();
            let grid = RateGrid::new(&counts, &[1.0; 12]).unwrap();
            let fit = marginal_maximum_likelihood(&counts, &[1.0; 12]).unwrap();
            for (rate, count) in rates.iter().zip(&counts) {
                let inside = |p: &RatePosterior| (0.05..=0.95).contains(&p.cdf(*rate));
                averaged += f64::from(u8::from(inside(&grid.posterior(*count, 1.0))));
                plugged += f64::from(u8::from(inside(&RatePosterior::plug_in(&fit.prior, *count, 1.0))));
                units += 1.0;
            }
        }
        let (averaged, plugged): (f64, f64) = (averaged / units, plugged / units);
        println!("cover: averaged {averaged}, plug-in {plugged}");
        assert!((averaged - 0.9).abs() < 0.063, "{averaged}");
        assert!(plugged < averaged, "{plugged}");
    }
}
