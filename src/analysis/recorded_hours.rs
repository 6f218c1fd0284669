//! Flight hours of each propeller from its recorded readings, for the methods that count by hours.

use super::flown::{Between, FlownHours};
use super::hours::{FleetHours, RateBasis};
use crate::records::Fleet;
use crate::trade::calendar::DAYS_PER_YEAR;

/// A fleet's hours as its readings tell them; days without readings, those after the last one included, are filled at the
/// propeller's own use rate only.
pub struct RecordedHours<'h, 'a> {
    fleet: &'h Fleet<'a>,
    hours: &'h FleetHours,
    median_per_year: Option<f64>,
}

impl<'h, 'a> RecordedHours<'h, 'a> {
    /// Of a fleet and what its readings say.
    pub fn of(fleet: &'h Fleet<'a>, hours: &'h FleetHours) -> Self {
        let mut rates: Vec<f64> =
            (0..fleet.propellers.len() as u32).filter_map(|propeller| own_rate(hours, propeller)).collect();
        rates.sort_by(f64::total_cmp);
        let middle = rates.len() / 2;
        let median = match rates.len() {
            0 => None,
            n if n % 2 == 1 => Some(rates[middle]),
            _ => Some((rates[middle - 1] + rates[middle]) / 2.0),
        };
        RecordedHours { fleet, hours, median_per_year: median.map(|rate| rate * DAYS_PER_YEAR) }
    }
}

/// Hours a day of the propeller's own readings.
fn own_rate(hours: &FleetHours, propeller: u32) -> Option<f64> {
    let rate = hours.rate(propeller);
    match rate.basis {
        RateBasis::LastTwelveMonths | RateBasis::WholeLife => rate.hours_per_day,
        RateBasis::FleetSameUse | RateBasis::FleetAnyUse | RateBasis::NotKnown => None,
    }
}

impl FlownHours for RecordedHours<'_, '_> {
    fn of<'b>(&'b self, propeller: u32) -> Between<'b> {
        let record = self.hours.record(self.fleet, propeller);
        let rate = own_rate(self.hours, propeller);
        // Findings go on being written down after the last reading, and so do hours being flown: one clock for both.
        let carried = rate.filter(|_| !record.off_without_date).unwrap_or(0.0);
        let line = record.line;
        Box::new(move |from, to| {
            let Some(end) = line.end() else {
                return rate.and_then(|rate| line.flown(from, to).hours(Some(rate)));
            };
            let days = (to - end.max(from)).max(0);
            Some(line.flown(from, to).hours(rate)? + carried * f64::from(days))
        })
    }

    fn median_per_year(&self) -> Option<f64> {
        self.median_per_year
    }
}
