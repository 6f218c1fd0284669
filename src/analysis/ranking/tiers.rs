//! The tier of a propeller, why it stands there, and the next step: a file a family of grounds.

pub mod at_shop;
mod damage;
mod events;
mod gone;
mod hours;
mod inspections;
mod limits;
mod metal;
mod plan_now;
mod thin;
mod track;

pub use damage::asked;

use super::super::due::DueRow;
use super::super::event_checks::EventsWithoutCheck;
use super::super::findings::{Findings, Severity};
use super::super::inspections::Inspections;
use super::super::margins::{DiameterLeft, Margin};
use super::super::plan::prices::LeadTime;
use super::super::remaining::Remaining;
use super::ground::Ground;
use crate::records::Fleet;
use crate::trade::calendar::Day;

/// One ground with its words.
#[derive(Debug, Clone, PartialEq)]
pub struct Reason {
    /// Which ground.
    pub ground: Ground,
    /// Why, in words.
    pub words: String,
    /// What to do about it.
    pub next_step: String,
}

/// What ranking one propeller goes by.
pub struct Evidence<'e, 'a> {
    /// The fleet.
    pub fleet: &'e Fleet<'a>,
    /// The propeller.
    pub propeller: u32,
    /// Its due row.
    pub due: &'e DueRow,
    /// Its margins today.
    pub margins: &'e [Margin],
    /// Its diameter today, where any is on record.
    pub diameter: Option<DiameterLeft>,
    /// Whether the fleet's visits say diameters at all.
    pub keeps_diameters: bool,
    /// What is left of it.
    pub remaining: &'e Remaining,
    /// From this chance of rejection at the next overhaul on it is time to plan.
    pub reject_chance: f64,
    /// How long a new one of its model takes.
    pub lead: LeadTime,
    /// How long before its limit an overhaul must be booked, in days.
    pub booking_days: u32,
    /// Whether it is on an aircraft, at a shop, or a spare of a model that flies.
    pub covers_an_aircraft: bool,
    /// Every finding of the fleet.
    pub findings: &'e Findings,
    /// How the inspections of its aircraft stand; `None` where none are kept, or at a shop.
    pub inspections: Option<&'e Inspections>,
    /// Events of the fleet without their checks.
    pub events: &'e EventsWithoutCheck<'e>,
}

impl Evidence<'_, '_> {
    /// Every ground that holds, the gravest first, never empty; and the day to act for what comes next, where one is known.
    pub fn reasons(&self) -> (Vec<Reason>, Option<Day>) {
        let mut reasons = Vec::new();
        self.findings(&mut reasons);
        self.standing(&mut reasons);
        self.outcome(&mut reasons);
        self.limits_passed(&mut reasons);
        self.below_minimum(&mut reasons);
        self.unreadable_report(&mut reasons);
        self.unreadable_recheck(&mut reasons);
        self.nobodys_reports(&mut reasons);
        self.events(&mut reasons);
        self.inspections(&mut reasons);
        self.track(&mut reasons);
        self.thin_record(&mut reasons);
        self.diameter_not_read(&mut reasons);
        self.dressed_unmeasured(&mut reasons);
        let ahead = self.ahead(&reasons);
        reasons.extend(self.plan_now(&ahead));
        if reasons.is_empty() {
            reasons.push(Reason {
                ground: Ground::Nothing,
                words: "nothing open on record".to_string(),
                next_step: "nothing now".to_string(),
            });
        }
        reasons.sort_by_key(|r| r.ground);
        if let Some(first) = reasons.first_mut() {
            self.at_shop(first);
        }
        if let Some(first) = reasons.first_mut().filter(|r| r.ground.tier() == 6) {
            first.next_step.push_str(&self.later(&ahead));
        }
        (reasons, ahead.and_then(|ahead| ahead.act_by))
    }

    /// The most severe open finding's place in the order of findings.
    pub fn severity(&self) -> Option<Severity> {
        self.findings.worst_of(self.fleet, self.propeller).map(|f| f.severity(self.fleet))
    }

    /// Days past the limit that is passed, 0 when none is.
    pub fn days_past(&self) -> i32 {
        self.due.days_to_due.map_or(0, |d| (-d).max(0))
    }
}
