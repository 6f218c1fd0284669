//! What the methods that count by flight hours ask of a fleet's hours.

use crate::records::Fleet;
use crate::records::choice::Acquired;
use crate::trade::calendar::Day;

/// Hours one propeller flew from one day to a later one; `None` when they are not known. Never negative, and never less
/// for a longer time.
pub type Between<'h> = Box<dyn Fn(Day, Day) -> Option<f64> + 'h>;

/// A fleet's flight hours, however they are known.
pub trait FlownHours: Sync {
    /// The hours of one propeller: those recorded, and days without readings at its own use rate. It is no upper bound, as a
    /// limit would want it: hours that nobody flew would make a rate of findings look too good.
    fn of<'h>(&'h self, propeller: u32) -> Between<'h>;

    /// Median over the fleet's propellers of the hours flown a year; `None` when no propeller's are known.
    fn median_per_year(&self) -> Option<f64>;
}

/// A day on which a propeller's hours since new are known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AgeKnown {
    day: Day,
    hours_since_new: f64,
}

impl AgeKnown {
    /// The first such day: the first in service of a propeller that came new, else the first reading or visit that says.
    pub fn of(fleet: &Fleet<'_>, propeller: u32) -> Option<AgeKnown> {
        let of = fleet.propellers.get(propeller);
        let known = |day, hours_since_new| AgeKnown { day, hours_since_new };
        if let (Acquired::New, Some(day)) = (of.acquired, of.in_service) {
            return Some(known(day, 0.0));
        }
        let readings = fleet.flying.readings(propeller).iter();
        let visits = fleet.visits.of(propeller).iter();
        let read = readings.filter_map(|r| Some(known(r.day, r.hours_since_new?)));
        let written = visits.filter_map(|v| Some(known(v.day, v.hours_since_new?)));
        read.chain(written).min_by_key(|k| k.day)
    }

    /// Hours since new on a day, from here by the hours flown between; never below zero.
    pub fn hours_on(&self, day: Day, between: &Between<'_>) -> Option<f64> {
        let flown = |from, to| {
            if to > from { between(from, to) } else { Some(0.0) }
        };
        let hours = if day >= self.day {
            self.hours_since_new + flown(self.day, day)?
        } else {
            self.hours_since_new - flown(day, self.day)?
        };
        Some(hours.max(0.0))
    }
}
