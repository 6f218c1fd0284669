//! How often a propeller goes to the shop before it is due: visits whose reason is damage, strike or corrosion, per flight hour.
//!
//! The plan counts each as an overhaul. Fleet mean `(visits + 1/2)/hours`, over the propellers whose hours are known; with no hours
//! at all there is no rate.

use rayon::prelude::*;

use crate::analysis::exposure::last_day;
use crate::analysis::flown::FlownHours;
use crate::records::Fleet;
use crate::records::choice::Reason;
use crate::stats::gamma_poisson::fleet_mean_rate;

/// Unscheduled visits of a fleet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unscheduled {
    /// Visits.
    pub visits: u64,
    /// Hours flown in the time they are counted over.
    pub hours: f64,
    /// Visits an hour; `None` without hours.
    pub per_hour: Option<f64>,
}

impl Unscheduled {
    /// Counts visits and hours of every propeller, scrapped ones included, from its first day in service.
    pub fn of(fleet: &Fleet<'_>, hours: &dyn FlownHours) -> Unscheduled {
        let each: Vec<(u64, f64)> = (0..fleet.propellers.len() as u32)
            .into_par_iter()
            .with_min_len(512)
            .filter_map(|propeller| {
                let from = fleet.propellers.get(propeller).in_service?;
                let to = last_day(fleet, propeller);
                let flown = if to > from { hours.of(propeller)(from, to)? } else { 0.0 };
                let visits = fleet.visits.of(propeller).iter();
                let unscheduled = |reason| matches!(reason, Some(Reason::Damage | Reason::Strike | Reason::Corrosion));
                let count = visits.filter(|v| unscheduled(v.reason) && v.day >= from && v.day <= to).count();
                Some((count as u64, flown))
            })
            .collect();
        let visits = each.iter().map(|e| e.0).sum();
        let hours = each.iter().map(|e| e.1).sum();
        Unscheduled { visits, hours, per_hour: fleet_mean_rate(visits, hours) }
    }
}
