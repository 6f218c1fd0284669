//! What hours put a propeller in its tier for: a limit passed by estimate, hours not known, hours that contradict.

use super::super::ground::Ground;
use super::Reason;
use crate::analysis::due::{DueRow, State};
use crate::analysis::hours::{NotKnown, contradiction_in_words};
use crate::analysis::standing::List;
use crate::records::Fleet;
use crate::records::aboard::Crowd;

/// A limit passed by estimated hours: `passed` says by how much, `inspection` what stands beside it.
pub(super) fn passed_by_estimate(due: &DueRow, passed: &str, inspection: &str) -> Reason {
    let binding = due.state == State::PastBindingByEstimate;
    let force = if binding { "binding" } else { "recommended" };
    let limit = due.interval.hours.value().map_or_else(String::new, |limit| format!("past {limit:.0} h "));
    if due.passed_by_others_use() {
        return Reason {
            ground: Ground::EstimateOfOthers,
            words: format!("past {force} limit {passed} by an estimate based on other propellers' use{inspection}"),
            next_step: format!(
                "read the hours and add them to `hours` or `aircraft_hours`; {limit}send it for overhaul"
            ),
        };
    }
    let newest = due.hours.and_then(|hours| hours.newest_reading);
    let read = match newest {
        Some(day) => format!("last read {day}"),
        None => "never read".to_string(),
    };
    Reason {
        ground: if binding { Ground::PastBinding } else { Ground::PastRecommended },
        words: format!("past {force} limit {passed} (by estimated hours, {read}){inspection}"),
        next_step: match (due.list, binding) {
            (List::Spare, _) => {
                format!("do not install before its hours are read from the log; {limit}send it for overhaul")
            }
            (_, true) => format!("do not fly before its hours are read from the log; {limit}send it for overhaul"),
            (_, false) => format!("read its hours from the log; {limit}book the overhaul"),
        },
    }
}

/// Why hours are not known, where that is all there is to say of the limit.
pub(super) fn not_known(due: &DueRow) -> Option<Reason> {
    let (hours, start) = (due.hours?, due.clock_start?);
    let why = hours.not_known().filter(|&why| why != NotKnown::Contradicting)?;
    let words = why.words(start, due.last_overhaul.is_some(), due.interval.hours.value());
    Some(Reason {
        ground: Ground::HoursNotKnown,
        words: format!("hours not known: {words}, so only the calendar limit is checked"),
        next_step: why.next_step(start),
    })
}

/// Its last aircraft flew with no propeller on record.
pub(super) fn flew_bare(fleet: &Fleet<'_>, due: &DueRow) -> Option<Reason> {
    let flight = due.bare_flight.as_deref()?;
    let aircraft = fleet.flying.aircraft.get(flight.aircraft);
    let until = if flight.until < fleet.as_of { format!(" to {}", flight.until) } else { String::new() };
    Some(Reason {
        ground: Ground::FlewBare,
        words: format!(
            "{aircraft} flew {:.0} h with no propeller on record, after this one came off ({}{until})",
            flight.hours, flight.from
        ),
        next_step: format!("have a mechanic check the serial number on {aircraft} and enter it in `fitted`"),
    })
}

/// More propellers on its aircraft than it carries.
pub(super) fn crowded(fleet: &Fleet<'_>, propeller: u32) -> Option<Reason> {
    let crowded = fleet.crowded(propeller)?;
    let (aircraft, other) = (&crowded.aircraft, fleet.propellers.serial(crowded.other));
    let since = crowded.since.map_or_else(String::new, |day| format!(" since {day}"));
    let (words, next_step) = match crowded.crowd {
        Crowd::Newer => return None,
        Crowd::Overtaken => (
            format!("on {aircraft}{since} by its fitting, and {other} is on it by a newer one"),
            format!("end its fitting on {aircraft}"),
        ),
        Crowd::SameDay => (
            format!("on {aircraft}{since} by its fitting, and {other} since the same day"),
            format!("have a mechanic check the serial number on {aircraft} and end the other's fitting"),
        ),
        Crowd::NamedTwice => (
            format!("on {aircraft} by the records, and {other} too"),
            format!("have a mechanic check the serial number on {aircraft} and correct `propellers`"),
        ),
        Crowd::PlaceNotRecorded => (
            format!("on {aircraft}{since} beside {other}, and not for each of them the place is on record"),
            "write the place of each in `position` of `fitted`".to_string(),
        ),
    };
    Some(Reason { ground: Ground::Crowded, words, next_step })
}

/// Two readings that contradict each other, both lines named.
pub(super) fn contradicting(fleet: &Fleet<'_>, due: &DueRow) -> Option<Reason> {
    let contradiction = due.hours?.contradiction?;
    Some(Reason {
        ground: Ground::HoursContradict,
        words: format!("hours contradict: {}", contradiction_in_words(fleet, &contradiction)),
        next_step:
            "compare both readings with the log and correct the wrong one; a meter that was replaced or set back \
                    gets a new name in `meter`"
                .to_string(),
    })
}
