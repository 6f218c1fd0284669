//! A propeller that lost all its readings: its designation changed, or may have, and nobody measured it since.
//!
//! It takes the smaller chance of passing of two: the mean of its model (of the fleet where that has none), and its own with
//! the last known readings carried forward under the designation they were taken under. A record that takes the readings
//! away never makes the next overhaul look safer.

use std::collections::HashMap;

use super::margins::model_now;
use super::remaining::Remaining;
use crate::records::Fleet;

/// Mean chances of passing 1, 2, ... more overhauls, by model and of the fleet.
#[derive(Debug, Default)]
pub struct MeanPass {
    of_model: HashMap<Option<u32>, Sums>,
    of_fleet: Sums,
}

/// Sums of chances over propellers.
#[derive(Debug, Default)]
pub struct Sums {
    sums: Vec<f64>,
    count: u32,
}

impl Sums {
    /// Adds the chances of one.
    pub fn add(&mut self, pass: &[f64]) {
        if self.sums.len() < pass.len() {
            self.sums.resize(pass.len(), 0.0);
        }
        for (sum, p) in self.sums.iter_mut().zip(pass) {
            *sum += p;
        }
        self.count += 1;
    }

    /// Their mean; `None` of none.
    pub fn mean(&self) -> Option<Vec<f64>> {
        let count = f64::from(self.count);
        (self.count > 0).then(|| self.sums.iter().map(|s| s / count).collect())
    }
}

impl MeanPass {
    /// Over the propellers in service whose own readings tell.
    pub fn of(fleet: &Fleet<'_>, remaining: &[Remaining]) -> MeanPass {
        let mut means = MeanPass::default();
        for row in remaining.iter().filter(|r| !r.readings_lost && !fleet.is_ended(r.propeller)) {
            if let Some(pass) = &row.pass {
                means.of_model.entry(model_now(fleet, row.propeller)).or_default().add(pass);
                means.of_fleet.add(pass);
            }
        }
        means
    }

    /// Of the fleet.
    pub fn of_fleet(&self) -> Option<Vec<f64>> {
        self.of_fleet.mean()
    }

    /// Of a model, else of the fleet; `None` where nothing tells.
    pub fn of_model(&self, model: Option<u32>) -> Option<Vec<f64>> {
        self.of_model.get(&model).and_then(Sums::mean).or_else(|| self.of_fleet.mean())
    }
}

/// Gives every propeller without a chance of its own, of which `last_known` can tell, the smaller one.
pub fn stand_in(fleet: &Fleet<'_>, remaining: &mut [Remaining], mut last_known: impl FnMut(u32) -> Option<Remaining>) {
    if remaining.iter().all(|row| row.pass.is_some()) {
        return;
    }
    let means = MeanPass::of(fleet, remaining);
    for row in remaining.iter_mut().filter(|row| row.pass.is_none()) {
        let Some(own) = last_known(row.propeller).and_then(|own| own.pass) else { continue };
        let mean = means.of_model(model_now(fleet, row.propeller));
        row.pass = Some(match mean {
            Some(mean) => mean.iter().zip(&own).map(|(a, b)| a.min(*b)).collect(),
            None => own,
        });
        row.readings_lost = true;
        row.upper_bound = true;
    }
}
