//! Where a propeller stands against its limits, in words.

use std::fmt;

use super::Interval;
use crate::records::choice::Force;

/// What to do with a spare that is past its limit.
pub const DO_NOT_INSTALL: &str = "do not install";

/// Where a propeller stands against its overhaul limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum State {
    /// Past a limit that the records call binding.
    PastBindingLimit,
    /// Past a limit that the records call binding, by hours that are estimated.
    PastBindingByEstimate,
    /// Past a limit that is advice.
    PastRecommendedLimit,
    /// Past a limit that is advice, by hours that are estimated.
    PastRecommendedByEstimate,
    /// Nothing starts its clock.
    NoOverhaulOnRecord,
    /// An hour limit is stated and the hours are not known.
    HoursNotKnown,
    /// A limit falls within this many days.
    LimitWithin {
        /// The setting `warning_days`.
        days: u32,
    },
    /// No limit is near.
    WithinLimit,
    /// A limit is not recorded, or the maker states none at all.
    NoLimitStated,
    /// The records say that no limit is watched.
    NoLimitByChoice,
}

impl fmt::Display for State {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            State::PastBindingLimit => f.write_str("past binding limit"),
            State::PastBindingByEstimate => f.write_str("past binding limit (by estimated hours)"),
            State::PastRecommendedLimit => f.write_str("past recommended limit"),
            State::PastRecommendedByEstimate => f.write_str("past recommended limit (by estimated hours)"),
            State::NoOverhaulOnRecord => f.write_str("no overhaul on record"),
            State::HoursNotKnown => f.write_str("hours not known"),
            State::LimitWithin { days } => write!(f, "limit within {days} days"),
            State::WithinLimit => f.write_str("within limit"),
            State::NoLimitStated => f.write_str("no limit stated"),
            State::NoLimitByChoice => f.write_str("no limit stated by choice"),
        }
    }
}

impl State {
    /// Whether a limit is passed, whatever its force.
    pub fn is_past(self) -> bool {
        matches!(self, State::PastBindingLimit | State::PastRecommendedLimit) || self.is_by_estimate()
    }

    /// Whether a limit is passed by hours that are estimated, and by nothing else.
    pub fn is_by_estimate(self) -> bool {
        matches!(self, State::PastBindingByEstimate | State::PastRecommendedByEstimate)
    }
}

/// How a limit is passed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Passed {
    /// By the calendar, or by hours that were read.
    Surely,
    /// By hours that are estimated since the last reading, or taken from an aircraft it may not have been on.
    ByEstimate,
}

/// What decides the state.
#[derive(Debug, Clone, Copy)]
pub(super) struct Facts {
    /// Whether something starts the clock.
    pub(super) has_start: bool,
    /// How a limit is passed, if one is.
    pub(super) passed: Option<Passed>,
    /// Whether the hours are known as far as the hour limit goes; true when there is none.
    pub(super) hours_known: bool,
    /// Days to the earlier limit, when one is dated.
    pub(super) days_to_due: Option<i32>,
}

/// The first of these that holds: no overhaul on record; no limit by choice; a limit passed; a limit not stated; hours not
/// known; a limit near; within limit.
pub(super) fn state(interval: &Interval, facts: Facts, warning_days: u32) -> State {
    if !facts.has_start {
        return State::NoOverhaulOnRecord;
    }
    match interval.force {
        Force::NoForce => return State::NoLimitByChoice,
        Force::Binding | Force::Recommended => {}
    }
    match (facts.passed, interval.force) {
        (Some(Passed::Surely), Force::Binding) => return State::PastBindingLimit,
        (Some(Passed::ByEstimate), Force::Binding) => return State::PastBindingByEstimate,
        (Some(Passed::Surely), _) => return State::PastRecommendedLimit,
        (Some(Passed::ByEstimate), _) => return State::PastRecommendedByEstimate,
        (None, _) => {}
    }
    if interval.is_not_stated() {
        return State::NoLimitStated;
    }
    if !facts.hours_known {
        return State::HoursNotKnown;
    }
    match facts.days_to_due {
        Some(days) if i64::from(days) <= i64::from(warning_days) => State::LimitWithin { days: warning_days },
        _ => State::WithinLimit,
    }
}
