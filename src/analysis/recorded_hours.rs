//! Flight hours of each propeller from its recorded readings, for the methods that count by hours.

use super::flown::{Between, FlownHours};
use super::hours::FleetHours;
use crate::records::Fleet;
use crate::trade::calendar::DAYS_PER_YEAR;

/// A fleet's hours as its readings tell them; days without readings are filled at the propeller's own use rate only.
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
        let line = self.hours.record(self.fleet, propeller).line;
        let rate = self.hours.own_rate(propeller);
        Box::new(move |from, to| {
            if line.end().is_none() && rate.is_none() {
                return None;
            }
            line.flown(from, to).hours(rate)
        })
    }

    fn median_per_year(&self) -> Option<f64> {
        self.hours.median_own_rate().map(|rate| rate * DAYS_PER_YEAR)
    }
}
