//! The backtest: each past overhaul with an earlier one, forecast from the records of before its year, and scored.
//!
//! For every year the fleet is read as of the last day before it ([`Fleet::as_of`]): rows of a later day are neither used nor
//! judged, so that pools, station offsets, thresholds and decisions to set aside are those of that day. What the overhauls of
//! the year then showed is read as of its last day. Facts without a date (limits, a model's name, how a propeller came) are
//! taken as they stand.
//!
//! | file | question |
//! | --- | --- |
//! | [`past`] | what was forecast of an overhaul, and what did it show? |
//! | [`scores`] | how good were the forecasts? |
//! | [`groups`] | do the losses of some shop, use, base or band of hours differ? |

pub mod groups;
pub mod past;
pub mod scores;

use std::collections::HashSet;

use rand::seq::index;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;

use crate::analysis::score::{Backtest, Score, ScoreKind};
use crate::records::Fleet;
use crate::settings::Settings;

/// Above this many propellers a sample is taken.
pub const SAMPLED_ABOVE: usize = 20_000;
/// Propellers in the sample.
pub const SAMPLE: usize = 5_000;

/// The backtest of a fleet.
pub fn of(fleet: &Fleet<'_>, settings: &Settings) -> Backtest {
    sampled(fleet, settings, SAMPLED_ABOVE, SAMPLE)
}

/// The backtest, on a seeded sample of `size` propellers where there are more than `above`.
pub fn sampled(fleet: &Fleet<'_>, settings: &Settings, above: usize, size: usize) -> Backtest {
    let count = fleet.propellers.len();
    if count <= above.max(size) {
        return scores::of(&past::of(fleet.loaded, fleet.as_of, settings));
    }
    let mut rng = ChaCha8Rng::seed_from_u64(u64::from(settings.forecast.seed));
    let wanted: HashSet<&str> = index::sample(&mut rng, count, size)
        .iter()
        .map(|propeller| fleet.propellers.serial(propeller as u32))
        .collect();
    let loaded = fleet.loaded.of_propellers(&wanted);
    let mut backtest = scores::of(&past::of(&loaded, fleet.as_of, settings));
    backtest.scores.insert(
        0,
        Score {
            kind: ScoreKind::Sampled,
            group: "all".to_string(),
            level: None,
            count: size,
            expected: Some(count as f64),
            expected_sd: None,
            observed: Some(size as f64),
        },
    );
    backtest.remarks.insert(0, format!("the backtest is based on {size} of {count} propellers, drawn by the seed"));
    backtest
}
