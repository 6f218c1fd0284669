//! What the whole fleet's sheets say together: the usual loss, its spread, and the worst margin of each station.

use std::collections::HashMap;
use std::ops::Range;

use rayon::prelude::*;

use super::forecast::Fits;
use super::forecast::pools::CarriedLoss;
use super::last_readings::LastReadings;
use super::loss::{round_to_nano, step};
use super::margins::model_now;
use super::standing::is_listed;
use crate::records::Fleet;
use crate::records::chains::Chains;
use crate::records::choice::Action;
use crate::records::measurements::Moment;
use crate::settings::ForecastSettings;
use crate::trade::damage::Surface;
use crate::trade::geometry::Dimension;

const PROPELLERS_AT_ONCE: u32 = 1024;
/// Recorded losses from which a mean and a spread are taken.
const ENOUGH_LOSSES: u64 = 3;
/// Recorded blends of a surface from which a depth is taken that stands in for one not on record.
const ENOUGH_BLENDS: u32 = 10;

/// Sums over recorded losses of one dimension.
#[derive(Debug, Default, Clone, Copy, PartialEq)]
pub struct LossSums {
    /// Losses recorded.
    pub count: u64,
    /// Visits they span.
    pub visits: u64,
    /// Overhauls they span.
    pub overhauls: u64,
    /// Their sum in inches.
    pub loss_in: f64,
    /// Sum of loss squared over the visits it spans.
    pub squares: f64,
}

impl LossSums {
    fn add(&mut self, loss_in: f64, visits: u32, overhauls: u32) {
        self.count += 1;
        self.visits += u64::from(visits);
        self.overhauls += u64::from(overhauls);
        self.loss_in += loss_in;
        self.squares += loss_in * loss_in / f64::from(visits.max(1));
    }

    fn join(&mut self, other: &LossSums) {
        self.count += other.count;
        self.visits += other.visits;
        self.overhauls += other.overhauls;
        self.loss_in += other.loss_in;
        self.squares += other.squares;
    }
}

/// Where an expected loss comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LossBasis {
    /// The fleet's recorded losses.
    Fleet,
    /// Too few are recorded, so the setting's value (common practice for thickness, an assumption for width).
    Assumed,
}

/// What is expected of one more visit, of one dimension.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UsualLoss {
    /// Mean loss a visit in inches.
    pub mean_in: f64,
    /// Standard deviation of a visit's loss in inches.
    pub sd_in: f64,
    /// Where both come from.
    pub basis: LossBasis,
}

/// What the fleet's sheets say together.
#[derive(Debug, Clone)]
pub struct Survey {
    usual: [UsualLoss; 2],
    /// Smallest margin fraction by model, station and dimension, of the propellers in service.
    worst: Worst,
    /// What the cycles say.
    fits: Fits,
    /// Depth that the fleet's recorded blends let expect of one more, by surface.
    dressed_depths_in: [Option<f64>; 6],
}

/// Smallest margin fraction by model, station and dimension.
type Worst = HashMap<(u32, u8, Dimension), f64>;

/// What `of` makes of each slice of the propellers, in their order.
fn in_slices<T: Send>(fleet: &Fleet<'_>, of: impl Fn(Range<u32>) -> T + Sync) -> Vec<T> {
    let count = fleet.propellers.len() as u32;
    (0..count.div_ceil(PROPELLERS_AT_ONCE))
        .into_par_iter()
        .map(|slice| {
            let from = slice * PROPELLERS_AT_ONCE;
            of(from..(from + PROPELLERS_AT_ONCE).min(count))
        })
        .collect()
}

/// The sums of one propeller's recorded losses, by dimension.
pub fn sums_of(fleet: &Fleet<'_>, propeller: u32, chains: &mut Chains) -> [LossSums; 2] {
    let mut sums = [LossSums::default(); 2];
    chains.start();
    let measurements = &fleet.measurements;
    for number in fleet.visits.range(propeller) {
        let visit = fleet.visits.get(number);
        chains.begin(visit);
        for position in measurements.range(number) {
            let (blade, station) = (measurements.blade(position), measurements.station(position));
            for dimension in Dimension::ALL {
                let after = measurements.raw_reading(dimension, Moment::After, position);
                if after.is_nan() {
                    continue;
                }
                if let Some(step) = step(fleet, visit, chains, blade, station, dimension) {
                    sums[dimension as usize].add(step.start_in - after, step.visits_spanned, step.overhauls_spanned);
                }
            }
        }
        for position in measurements.range(number) {
            chains.remember(measurements, position);
        }
    }
    sums
}

impl Survey {
    /// Goes through every propeller once, scrapped ones included: flying ones alone make the mean too kind.
    pub fn of(fleet: &Fleet<'_>, forecast: &ForecastSettings) -> Survey {
        let mut sums = [LossSums::default(); 2];
        let parts = in_slices(fleet, |propellers| {
            let mut chains = Chains::default();
            let mut part = [LossSums::default(); 2];
            for propeller in propellers {
                for (sum, own) in part.iter_mut().zip(sums_of(fleet, propeller, &mut chains)) {
                    sum.join(&own);
                }
            }
            part
        });
        // Joined in the propellers' order, so that the sums do not depend on the threads.
        for part in parts {
            for (sum, other) in sums.iter_mut().zip(&part) {
                sum.join(other);
            }
        }
        let usual = Dimension::ALL.map(|d| usual_loss(&sums[d as usize], d, forecast));
        // What is known of a station today depends on the loss expected where a later visit missed it.
        let mut survey = Survey {
            usual,
            worst: Worst::new(),
            fits: Fits::of(fleet, forecast),
            dressed_depths_in: dressed_depths(fleet),
        };
        let parts = in_slices(fleet, |propellers| {
            let mut last = LastReadings::default();
            let mut part: Worst = HashMap::new();
            for propeller in propellers {
                survey.note_worst(fleet, propeller, &mut last, &mut part);
            }
            part
        });
        for part in parts {
            for (key, fraction) in part {
                survey.worst.entry(key).and_modify(|w| *w = w.min(fraction)).or_insert(fraction);
            }
        }
        survey
    }

    /// The depth that stands in for one of a blend of this surface that is not on record: mean + 2 standard deviations of the
    /// fleet's recorded ones; `None` where these are too few.
    pub fn dressed_depth_in(&self, surface: Surface) -> Option<f64> {
        self.dressed_depths_in[surface as usize]
    }

    /// What the fleet's cycles say.
    pub fn fits(&self) -> &Fits {
        &self.fits
    }

    /// What a place not read at the last `missed` visits is expected to have lost: by the forecast, or where its pool has too
    /// few cycles by the fleet's usual loss.
    pub fn carried(&self, propeller: u32, model: u32, station: u8, dimension: Dimension, missed: u32) -> CarriedLoss {
        if missed == 0 {
            return CarriedLoss::NONE;
        }
        let forecast = self.fits.carried(propeller, model, station, dimension, missed);
        forecast.unwrap_or_else(|| {
            let usual = self.usual(dimension);
            CarriedLoss {
                mean_in: f64::from(missed) * usual.mean_in,
                variance_in2: f64::from(missed) * usual.sd_in * usual.sd_in,
            }
        })
    }

    /// What a place is expected to have lost since the visit of its last reading, or since new, by what its propeller lost
    /// meanwhile elsewhere; where its pool has too few cycles by the fleet's usual loss.
    pub fn lost_since(
        &self,
        fleet: &Fleet<'_>,
        propeller: u32,
        model: u32,
        station: u8,
        dimension: Dimension,
        from: Option<u32>,
    ) -> CarriedLoss {
        let known = self.fits.lost_since(fleet, propeller, model, station, dimension, from);
        known.unwrap_or_else(|| {
            let visits = fleet.visits.range(propeller);
            let missed = from.map_or(visits.len() as u32, |from| visits.end - from - 1);
            self.carried(propeller, model, station, dimension, missed)
        })
    }

    /// What one more visit takes of a dimension.
    pub fn usual(&self, dimension: Dimension) -> UsualLoss {
        self.usual[dimension as usize]
    }

    /// The smallest margin fraction known of a model's station.
    pub fn worst_fraction(&self, model: u32, station: u8, dimension: Dimension) -> Option<f64> {
        self.worst.get(&(model, station, dimension)).copied()
    }
}

/// Mean + 2 standard deviations of the depths of the fleet's blends, by surface, from [`ENOUGH_BLENDS`] on.
fn dressed_depths(fleet: &Fleet<'_>) -> [Option<f64>; 6] {
    let mut sums = [(0u32, 0.0f64, 0.0f64); 6];
    let unread = fleet.defects.unread().iter().filter(|unread| !unread.depth_unread).map(|unread| &unread.report);
    for blend in fleet.defects.list().iter().chain(unread).filter(|d| d.action == Action::Blended) {
        if let Some((surface, depth)) = blend.surface.zip(blend.depth_in.or(blend.rework_depth_in)) {
            let (count, sum, squares) = &mut sums[surface as usize];
            *count += 1;
            *sum += depth;
            *squares += depth * depth;
        }
    }
    sums.map(|(count, sum, squares)| {
        let mean = sum / f64::from(count);
        let variance = (squares - mean * sum) / f64::from(count.saturating_sub(1));
        (count >= ENOUGH_BLENDS).then(|| round_to_nano(mean + 2.0 * variance.max(0.0).sqrt()))
    })
}

fn usual_loss(sums: &LossSums, dimension: Dimension, forecast: &ForecastSettings) -> UsualLoss {
    let mean_in = sums.loss_in / sums.visits.max(1) as f64;
    if sums.count >= ENOUGH_LOSSES && mean_in > 0.0 {
        let variance = (sums.squares - mean_in * sums.loss_in) / (sums.count - 1) as f64;
        return UsualLoss { mean_in, sd_in: variance.max(0.0).sqrt(), basis: LossBasis::Fleet };
    }
    let mean_in = match dimension {
        Dimension::Thickness => forecast.thickness_loss_in,
        Dimension::Width => forecast.width_loss_in,
    };
    UsualLoss { mean_in, sd_in: forecast.loss_spread_fraction * mean_in, basis: LossBasis::Assumed }
}

impl Survey {
    fn note_worst(&self, fleet: &Fleet<'_>, propeller: u32, last: &mut LastReadings, worst: &mut Worst) {
        if !is_listed(fleet, propeller) || fleet.end_of(propeller).is_some() {
            return;
        }
        let Some(model) = model_now(fleet, propeller) else {
            return;
        };
        last.collect(fleet, propeller);
        for (_, station, dimension, reading) in last.iter() {
            let limits = fleet
                .models
                .get(model)
                .stations
                .get(usize::from(station))
                .map(|s| s.limits(dimension))
                .unwrap_or_default();
            let (Some(new), Some(min)) = (limits.new_in, limits.min_in) else {
                continue;
            };
            if new > min {
                let missed = last.missed(&reading);
                let lost = self.carried(propeller, model, station, dimension, missed);
                let today_in = lost.left_of(reading.value_in);
                let fraction = (today_in - min) / (new - min);
                worst.entry((model, station, dimension)).and_modify(|w| *w = w.min(fraction)).or_insert(fraction);
            }
        }
    }
}
