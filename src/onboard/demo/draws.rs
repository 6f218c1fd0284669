//! Seeded draws, by the names the process uses.

use rand::RngExt;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, Gamma, Poisson, StandardNormal};

/// A normal draw.
pub(super) fn normal(rng: &mut ChaCha8Rng, mean: f64, sd: f64) -> f64 {
    let z: f64 = StandardNormal.sample(rng);
    mean + sd * z
}

/// A gamma draw with this shape and mean; the mean itself where they make no distribution.
pub(super) fn gamma(rng: &mut ChaCha8Rng, shape: f64, mean: f64) -> f64 {
    Gamma::new(shape, mean / shape).map_or(mean, |g| g.sample(rng))
}

/// How often something of this mean count happens.
pub(super) fn count(rng: &mut ChaCha8Rng, mean: f64) -> usize {
    // A mean of zero is no distribution to the library and no event to us. The draw is a whole number that fits.
    Poisson::new(mean).map_or(0, |p| p.sample(rng) as usize)
}

/// Whether something of this chance happens.
pub(super) fn happens(rng: &mut ChaCha8Rng, chance: f64) -> bool {
    rng.random_bool(chance.clamp(0.0, 1.0))
}

/// A whole number from `low` to `high`, both included.
pub(super) fn whole(rng: &mut ChaCha8Rng, low: i32, high: i32) -> i32 {
    rng.random_range(low..=high.max(low))
}

/// A number between `low` and `high`.
pub(super) fn between(rng: &mut ChaCha8Rng, low: f64, high: f64) -> f64 {
    low + (high - low) * rng.random::<f64>()
}

/// One of several things, each with its weight.
pub(super) fn pick<T: Copy>(rng: &mut ChaCha8Rng, weighted: &[(T, f64)]) -> T {
    let total: f64 = weighted.iter().map(|(_, weight)| weight).sum();
    let mut left = rng.random::<f64>() * total;
    for (thing, weight) in weighted {
        left -= weight;
        if left < 0.0 {
            return *thing;
        }
    }
    weighted[weighted.len() - 1].0
}
