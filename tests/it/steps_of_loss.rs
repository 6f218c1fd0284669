//! The chance of surviving k steps, from the rooms that a loss of so many steps leaves: what the tests of the integral are worded in.

use bladewane::stats::first_passage::{FirstPassage, FirstPassageError, Room, Station};
use bladewane::stats::losses::{CommonLoss, OwnLoss};

/// A chance below this is called none when several steps are asked for.
const NO_CHANCE: f64 = 1e-8;

/// Chances by the number of steps.
pub trait Steps {
    /// Chance that no margin is below 0 after step `k`; 0 for every `k` if one is below 0 already.
    ///
    /// # Errors
    /// [`FirstPassageError::NoStations`] and [`FirstPassageError::Value`].
    fn chance(
        &self,
        k: u32,
        common: &CommonLoss,
        own: &OwnLoss,
        stations: &[Station],
    ) -> Result<f64, FirstPassageError>;

    /// Chances after steps `1..=steps`, each the smallest so far: what is lost stays lost, while
    /// the formula looks at one step at a time and could rise where losses are nearly nil. From the
    /// first that is below 1e-8 they are 0.
    ///
    /// # Errors
    /// As [`Steps::chance`].
    fn survival(
        &self,
        steps: u32,
        common: &CommonLoss,
        own: &OwnLoss,
        stations: &[Station],
    ) -> Result<Vec<f64>, FirstPassageError>;
}

impl Steps for FirstPassage {
    fn chance(
        &self,
        k: u32,
        common: &CommonLoss,
        own: &OwnLoss,
        stations: &[Station],
    ) -> Result<f64, FirstPassageError> {
        let rooms = rooms(k, common, own, stations);
        let chance = self.all_within(common.sum_variance(k), &rooms)?;
        // After the check above, so that 0 means rejected and never unknown.
        if stations.iter().any(|s| s.margin < 0.0) {
            Ok(0.0)
        } else if k == 0 {
            Ok(1.0)
        } else {
            Ok(chance)
        }
    }

    fn survival(
        &self,
        steps: u32,
        common: &CommonLoss,
        own: &OwnLoss,
        stations: &[Station],
    ) -> Result<Vec<f64>, FirstPassageError> {
        let mut chances = vec![0.0; steps as usize];
        let mut least: f64 = 1.0;
        for (k, chance) in (1..).zip(&mut chances) {
            least = least.min(self.chance(k, common, own, stations)?);
            if least < NO_CHANCE {
                break;
            }
            *chance = least;
        }
        Ok(chances)
    }
}

/// The room of every station after `k` steps.
fn rooms(k: u32, common: &CommonLoss, own: &OwnLoss, stations: &[Station]) -> Vec<Room> {
    let own_variance = own.sum_variance(k);
    stations
        .iter()
        .map(|s| Room {
            room: s.margin - f64::from(k) * (common.mean + s.offset),
            variance: own_variance + s.carried_variance,
        })
        .collect()
}
