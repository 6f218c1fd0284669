//! How the invented blades lose metal: the process behind every sheet of the demo fleet.
//!
//! A cycle, from one overhaul to the next, costs a propeller one common loss of thickness and one of width. Each is a
//! gamma draw whose spread is 25 % of its mean; the mean belongs to the propeller and differs between propellers by 10 %;
//! width costs 2.5 times what thickness costs. Blades and stations scatter around the common loss. The mean follows
//! common practice (about 0.008 in of thickness for a full skin, no source); the rest is invented for this fleet.

use rand_chacha::ChaCha8Rng;

use super::draws::{gamma, normal};

/// Mean loss of thickness over one cycle, in inches, at a station 60 % out.
pub const MEAN_THICKNESS_LOSS_IN: f64 = 0.0085;
/// How much more width than thickness a cycle costs.
pub const WIDTH_PER_THICKNESS: f64 = 2.5;
/// Standard deviation of one propeller's cycles, as a fraction of its mean.
pub const CYCLE_SPREAD: f64 = 0.25;
/// Standard deviation between the means of propellers, as a fraction of the mean.
pub const PROPELLER_SPREAD: f64 = 0.10;
/// Correlation of the thickness and the width loss of one cycle of one propeller.
pub const LOSS_CORRELATION: f64 = 0.3;
/// Standard deviation of a reading around the true dimension, in inches.
pub const GAUGE_SD_IN: f64 = 0.0003;
/// Scatter of one blade and station around the common loss of thickness, in inches.
pub const THICKNESS_SCATTER_IN: f64 = 0.0005;
/// Scatter of one blade and station around the common loss of width, in inches.
pub const WIDTH_SCATTER_IN: f64 = 0.0015;

/// What one cycle costs, in inches, at a station 60 % out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CycleLoss {
    /// Loss of thickness.
    pub thickness_in: f64,
    /// Loss of width.
    pub width_in: f64,
}

/// The wear of one propeller: its own mean losses, in inches a cycle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WearProcess {
    /// Mean loss of thickness.
    pub thickness_mean_in: f64,
    /// Mean loss of width.
    pub width_mean_in: f64,
}

impl WearProcess {
    /// A propeller drawn from the fleet. Its effect is held within three standard deviations, so no mean comes near zero.
    pub fn draw(rng: &mut ChaCha8Rng) -> WearProcess {
        let mut mean = |fleet_mean: f64| {
            let effect = normal(rng, 0.0, 1.0).clamp(-3.0, 3.0);
            fleet_mean * (1.0 + PROPELLER_SPREAD * effect)
        };
        WearProcess {
            thickness_mean_in: mean(MEAN_THICKNESS_LOSS_IN),
            width_mean_in: mean(MEAN_THICKNESS_LOSS_IN * WIDTH_PER_THICKNESS),
        }
    }

    /// The losses of the next cycle.
    ///
    /// A gamma of shape k has a spread of 1/sqrt(k) of its mean. Both losses share a gamma of the shape `correlation x k`
    /// and add one of their own of the rest: sums of gammas of one scale are gamma again, so each keeps its spread exactly.
    pub fn cycle(&self, rng: &mut ChaCha8Rng) -> CycleLoss {
        let shape = 1.0 / (CYCLE_SPREAD * CYCLE_SPREAD);
        let (common, own) = (LOSS_CORRELATION * shape, (1.0 - LOSS_CORRELATION) * shape);
        let shared = gamma(rng, common, LOSS_CORRELATION);
        let mut loss = |mean: f64| mean * (shared + gamma(rng, own, 1.0 - LOSS_CORRELATION));
        CycleLoss { thickness_in: loss(self.thickness_mean_in), width_in: loss(self.width_mean_in) }
    }
}

/// The loss of one blade and station in a cycle, in inches: a little more outboard than inboard, scattered, and never less than
/// 30 % of the common loss, since a shop takes the skin everywhere.
pub(super) fn station_loss_in(rng: &mut ChaCha8Rng, common_in: f64, station_pct: f64, scatter_in: f64) -> f64 {
    let here = common_in * (1.0 + (station_pct - 60.0) / 1000.0) + normal(rng, 0.0, scatter_in);
    here.max(0.3 * common_in)
}

/// What the gauge shows for a true dimension, in inches: its error added, rounded to 0.001 in.
pub(super) fn reading_in(rng: &mut ChaCha8Rng, true_in: f64) -> f64 {
    (normal(rng, true_in, GAUGE_SD_IN) * 1000.0).round() / 1000.0
}
