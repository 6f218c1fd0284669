//! Propellers that should be off the lists, and visits that ended nobody knows how.

use super::super::ground::Ground;
use super::{Evidence, Reason};
use crate::records::choice::{Outcome, Status};
use crate::records::schema::Table;
use crate::records::visits::Visit;

impl Evidence<'_, '_> {
    pub(super) fn standing(&self, reasons: &mut Vec<Reason>) {
        let fleet = self.fleet;
        let Some(end) = fleet.end_of(self.propeller).or_else(|| {
            // Gone without a known day, and still on a list because of later records.
            fleet.propellers.get(self.propeller).status.is_gone().then_some(fleet.as_of)
        }) else {
            return;
        };
        let status = fleet.propellers.get(self.propeller).status;
        let rejected = self.last_told().is_some_and(Visit::rejected);
        let what = match (rejected, status) {
            (true, _) => format!("rejected {end}"),
            (false, Status::Sold) => format!("sold {end}"),
            (false, _) => format!("scrapped {end}"),
        };
        let since = match fleet.flown_after_end(self.propeller) {
            Some((Table::Overhauls, _)) => "at a shop since",
            Some(_) => "flown since",
            None => match status {
                Status::Spare => "still listed as spare",
                Status::AtShop => "still listed as at shop",
                _ => "still listed as flying",
            },
        };
        let check = match fleet.aircraft_of(self.propeller) {
            Some(aircraft) => format!("check the serial number on {aircraft}"),
            None => "check its serial number".to_string(),
        };
        reasons.push(Reason {
            ground: Ground::RejectedYetListed,
            words: format!("{what} but {since}"),
            next_step: format!("do not fly: have a mechanic {check}"),
        });
    }

    /// The last visit on record that is more than a day of measurements.
    fn last_told(&self) -> Option<&Visit> {
        self.fleet.visits.of(self.propeller).iter().rfind(|v| v.row.is_some())
    }

    pub(super) fn outcome(&self, reasons: &mut Vec<Reason>) {
        let last = self.last_told();
        if let Some(visit) = last.filter(|v| v.outcome.is_none()) {
            reasons.push(Reason {
                ground: Ground::OutcomeNotRecorded,
                words: format!("outcome not recorded of the shop visit on {}", visit.day),
                next_step: "before flight ask the shop how the visit ended".to_string(),
            });
            return;
        }
        // A visit that could not be read may have been the one that rejected it.
        let unread = self.fleet.visits.spoiled.iter().find(|s| {
            s.propeller == self.propeller
                && s.outcome != Some(Outcome::Released)
                && match (s.day, last.map(|v| v.day)) {
                    (Some(day), Some(last)) => day >= last,
                    _ => true,
                }
        });
        if let Some(visit) = unread {
            let day = match visit.day {
                Some(day) => format!(" on {day}"),
                None => String::new(),
            };
            let what = match visit.outcome {
                Some(Outcome::Rejected) => "a visit that rejected it could not be read",
                _ => "a shop visit could not be read, outcome not recorded",
            };
            reasons.push(Reason {
                ground: Ground::OutcomeNotRecorded,
                words: format!("{what}{day}"),
                next_step: "before flight read the shop's paper and correct the row".to_string(),
            });
        }
    }
}
