//! Flight hours of each propeller from its recorded readings, for the methods that count by hours.

use super::flown::{Between, FlownHours};
use super::hours::FleetHours;
use crate::records::Fleet;
use crate::trade::calendar::DAYS_PER_YEAR;

/// A fleet's hours as its readings tell them; days without readings, those after the last one included, are filled at the
/// propeller's own use rate only.
pub struct RecordedHours<'h, 'a> {
    fleet: &'h Fleet<'a>,
    hours: &'h FleetHours,
}

impl<'h, 'a> RecordedHours<'h, 'a> {
    /// Of a fleet and what its readings say.
    pub fn of(fleet: &'h Fleet<'a>, hours: &'h FleetHours) -> Self {
        RecordedHours { fleet, hours }
    }
}

impl FlownHours for RecordedHours<'_, '_> {
    fn of<'b>(&'b self, propeller: u32) -> Between<'b> {
        let record = self.hours.record(self.fleet, propeller);
        let rate = self.hours.own_rate(propeller);
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
        self.hours.median_own_rate().map(|rate| rate * DAYS_PER_YEAR)
    }
}
