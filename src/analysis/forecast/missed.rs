//! What a place has lost at visits that did not read it: what its propeller lost there at the places that were read.

use super::fit::Estimate;
use super::pools::{CarriedLoss, Fits};
use crate::records::Fleet;
use crate::trade::geometry::Dimension;

impl Fits {
    /// Loss since the visit numbered `from` at which the place was last read, or since new, in inches and inches squared: of
    /// each cycle since, `n (y + d_j)` with variance `n (w_true^2 + w^2/readings)`, n the overhauls it spans and y its mean loss
    /// where it was read; of visits that read nothing, as [`Fits::carried`]; over all of them the lasting part, and since new
    /// the maker's tolerance. `None` where the pool has too few cycles.
    pub fn lost_since(
        &self,
        fleet: &Fleet<'_>,
        propeller: u32,
        model: u32,
        station: u8,
        dimension: Dimension,
        from: Option<u32>,
    ) -> Option<CarriedLoss> {
        let pool = self.pool(Some(model), dimension);
        if pool.estimate != Estimate::Fitted {
            return None;
        }
        let offset = self.cycles.offsets.of(Some(model), dimension).of(station);
        let own = pool.own;
        let one_reading = own.per_cycle + own.lasting + 2.0 * own.reading;
        let mut cycles = self.cycles.of_propellers(dimension, propeller..propeller + 1).iter().peekable();
        let (mut mean_in, mut variance_in2, mut spanned_in_all) = (0.0, 0.0, 0u32);
        let (mut overhauls, mut visits) = (0u32, 0u32);
        let range = fleet.visits.range(propeller);
        for number in from.map_or(range.start, |from| from + 1)..range.end {
            visits += 1;
            overhauls += u32::from(fleet.visits.get(number).is_overhaul());
            while cycles.next_if(|c| c.visit < number).is_some() {}
            let Some(cycle) = cycles.next_if(|c| c.visit == number) else {
                continue;
            };
            let spanned = overhauls.clamp(1, u32::from(cycle.spanned).max(1));
            let n = f64::from(spanned);
            mean_in += n * (cycle.mean_loss_in + offset);
            variance_in2 += n * (own.per_cycle + one_reading / f64::from(cycle.readings.max(1)));
            spanned_in_all += spanned;
            (overhauls, visits) = (0, 0);
        }
        if visits > 0 {
            // Nothing was read of this dimension at these.
            let passed = (self.cycles.numbering.so_far(propeller) - f64::from(visits)).max(0.0);
            let course = pool.course(propeller, passed)?;
            mean_in += course.sum_mean(visits) + f64::from(visits) * offset;
            variance_in2 += course.sum_variance(visits) + f64::from(visits) * own.per_cycle;
            spanned_in_all += visits;
        }
        variance_in2 += own.lasting * f64::from(spanned_in_all).powi(2);
        if from.is_none() {
            variance_in2 += pool.first.map_or(0.0, |first| first.variance_in2);
        }
        Some(CarriedLoss { mean_in, variance_in2 })
    }
}
