//! Why hours are not known, and what makes them known again.

use super::since::HoursSince;
use crate::records::Fleet;
use crate::records::hours_that_cannot_be::{Contradiction, Place};
use crate::trade::calendar::Day;

/// What keeps hours since overhaul from being known, the first that holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NotKnown {
    /// Two readings contradict each other.
    Contradicting,
    /// A spare or one at a shop, and no day since when it flies nothing.
    RemovalNotRecorded,
    /// No reading lies on or after the start of the clock, and the visit recorded none.
    NoneSinceStart,
    /// A record of hours could not be read.
    Lost,
    /// A visit has no hours, and the limit may have been passed at it.
    SilentVisit,
    /// The hours at the start of the clock are not recorded.
    NotPlaced,
    /// No fitting is recorded; the aircraft that `propellers` names is taken.
    FittingNotRecorded,
    /// More than twelve months since the start are without readings.
    LongGap,
    /// The newest reading is twelve months old or older.
    Old(Option<Day>),
    /// A tenth of the interval or more is flown by estimate since the newest reading: the hours, and its day.
    ByEstimate(f64, Option<Day>),
    /// No use rate, so the time since the newest reading adds hours that nobody can tell.
    NoRate,
}

impl HoursSince {
    /// Why the hours are not known; `None` when they are.
    pub fn not_known(&self) -> Option<NotKnown> {
        let basis = &self.basis;
        let first = [
            (basis.contradict, NotKnown::Contradicting),
            (basis.removal_not_recorded, NotKnown::RemovalNotRecorded),
            (basis.none_since_start, NotKnown::NoneSinceStart),
            (basis.lost, NotKnown::Lost),
            (basis.silent_visit, NotKnown::SilentVisit),
            (basis.not_placed, NotKnown::NotPlaced),
            (basis.as_if_fitted, NotKnown::FittingNotRecorded),
            (basis.filled_long, NotKnown::LongGap),
            (basis.old, NotKnown::Old(self.newest_reading)),
            (self.today.is_none(), NotKnown::NoRate),
            (basis.estimated_much, NotKnown::ByEstimate(self.by_estimate.unwrap_or_default(), self.newest_reading)),
        ];
        first.into_iter().find_map(|(holds, why)| holds.then_some(why))
    }
}

impl NotKnown {
    /// Why, in words: `no reading since the overhaul of 2021-03-15`.
    pub fn words(self, start: Day, overhauled: bool, interval_hours: Option<f64>) -> String {
        let start = match overhauled {
            true => format!("the overhaul of {start}"),
            false => format!("its first day, {start}"),
        };
        let since = |newest: Option<Day>| newest.map_or_else(|| start.clone(), |day| format!("the reading of {day}"));
        match self {
            NotKnown::Contradicting => "two readings contradict each other".to_string(),
            NotKnown::RemovalNotRecorded => "it is off its aircraft and since when is not on record".to_string(),
            NotKnown::NoneSinceStart => format!("no reading since {start}"),
            NotKnown::Lost => "a record of hours could not be read".to_string(),
            NotKnown::SilentVisit => "a shop visit without hours".to_string(),
            NotKnown::NotPlaced => format!("no hours on record for {start}"),
            NotKnown::FittingNotRecorded => {
                "no fitting on record, so its aircraft's hours are taken for its own".to_string()
            }
            NotKnown::LongGap => format!("more than 12 months since {start} are without readings"),
            NotKnown::Old(newest) => match newest {
                Some(day) => format!("the newest reading, of {day}, is 12 months old or older"),
                None => "no reading at all".to_string(),
            },
            NotKnown::ByEstimate(hours, newest) => {
                let share = match interval_hours {
                    Some(limit) => format!(" of {limit:.0} h"),
                    None => String::new(),
                };
                format!("{hours:.0} h{share} are flown by estimate since {}", since(newest))
            }
            NotKnown::NoRate => format!("no use rate is known for the time since {}", since(None)),
        }
    }

    /// What to do about it.
    pub fn next_step(self, start: Day) -> String {
        const READ: &str = "read the hours and add them to `hours` or `aircraft_hours`";
        match self {
            NotKnown::Contradicting => "compare both readings with the log and correct the wrong one".to_string(),
            NotKnown::RemovalNotRecorded => {
                "write the day it came off in `removed_date`, or end its fitting in `fitted`".to_string()
            }
            NotKnown::Lost => "correct the row that `check` names".to_string(),
            NotKnown::SilentVisit => "write the hours of that visit in `overhauls`".to_string(),
            NotKnown::NotPlaced => format!("write the hours of {start} in `overhauls`"),
            NotKnown::FittingNotRecorded => "write in `fitted` since when it is on its aircraft".to_string(),
            NotKnown::LongGap => "add the readings that are missing".to_string(),
            NotKnown::NoneSinceStart | NotKnown::Old(_) | NotKnown::ByEstimate(..) | NotKnown::NoRate => {
                READ.to_string()
            }
        }
    }
}

/// Both readings in words: `1,000.0 h on 2023-01-01 (hours.csv line 2) and ...`.
pub fn contradiction_in_words(fleet: &Fleet<'_>, contradiction: &Contradiction) -> String {
    let place = |at: &Place| {
        let brackets = fleet.loaded.in_brackets(at.table, Some(at.row), "");
        format!("{} h on {}{brackets}", (at.hours * 10.0).round() / 10.0, at.day)
    };
    format!("{} and {}", place(&contradiction.from), place(&contradiction.to))
}
