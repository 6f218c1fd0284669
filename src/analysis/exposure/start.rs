//! Since when the air has worked on a propeller's present skin.

use crate::records::Fleet;
use crate::records::choice::Acquired;
use crate::trade::calendar::Day;

/// 1930-01-01, the first day that records may carry: no exposure is longer than from here.
pub const FIRST_DAY_OF_RECORDS: Day = Day::from_number(-14_610);

/// The beginning of a propeller's exposure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Start {
    /// Release of its last overhaul: skin and coating were new then.
    Overhaul(Day),
    /// Its first day, new or fresh from an overhaul.
    Fresh(Day),
    /// Its first day on record, when its skin was of an age that nobody wrote down.
    OnRecord(Day),
    /// No day is known.
    NotKnown,
}

impl Start {
    /// The start of a propeller's exposure: its last released overhaul, else its first day on record.
    ///
    /// Without an overhaul that restarts the clock the first day is the earlier of the in-service date and any visit: a
    /// visit that did not restart the clock may be an overhaul that was not written down well. Without an in-service date,
    /// or with a visit that could not be read and may lie before it, no day is known.
    pub fn of(fleet: &Fleet<'_>, propeller: u32) -> Start {
        let visits = fleet.visits.of(propeller);
        if let Some(last) = visits.iter().rfind(|v| v.restarts_clock()) {
            return Start::Overhaul(last.day);
        }
        let of = fleet.propellers.get(propeller);
        let Some(in_service) = of.in_service else {
            return Start::NotKnown;
        };
        let spoiled = &fleet.visits.spoiled;
        let first = spoiled.partition_point(|s| s.propeller < propeller);
        let mut earliest = in_service;
        for visit in spoiled[first..].iter().take_while(|s| s.propeller == propeller) {
            match visit.day {
                Some(day) => earliest = earliest.min(day),
                // A new propeller had no visit before its first day.
                None if of.acquired == Acquired::New => {}
                None => return Start::NotKnown,
            }
        }
        if let Some(visit) = visits.first() {
            earliest = earliest.min(visit.day);
        }
        match of.acquired {
            Acquired::New | Acquired::Overhauled => Start::Fresh(earliest),
            Acquired::Used | Acquired::Unknown => Start::OnRecord(earliest),
        }
    }

    /// The day, when one is known.
    pub fn day(self) -> Option<Day> {
        match self {
            Start::Overhaul(day) | Start::Fresh(day) | Start::OnRecord(day) => Some(day),
            Start::NotKnown => None,
        }
    }

    /// Whether exposure from this day is only what is known of it, and more came before.
    pub fn is_lower_bound(self) -> bool {
        matches!(self, Start::OnRecord(_))
    }

    /// What has to be said of it; nothing of a start that is known.
    pub fn words(self) -> Option<&'static str> {
        match self {
            Start::Overhaul(_) | Start::Fresh(_) => None,
            Start::OnRecord(_) => Some("no overhaul on record: at least this, what came before is not known"),
            Start::NotKnown => Some("start not known; ranked by the longest time there can be"),
        }
    }
}
