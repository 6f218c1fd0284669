//! What is open: findings, inspections that are not in order, and events without their engine's check, in one list.

use std::collections::HashSet;

use super::event_checks::EventsWithoutCheck;
use super::findings::Findings;
use super::ranking::Ranked;
use super::ranking::ground::Ground;
use super::ranking::tiers::asked;
use crate::records::Fleet;
use crate::records::written::count;

/// What is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Matter {
    /// A finding, or a report that could not be read and may be one.
    Finding,
    /// A finding that was accepted or is small, and is to be looked at again now.
    Recheck,
    /// An inspection that is lapsed, not satisfactory, in doubt or not on record.
    Inspection,
    /// A strike, overspeed, lightning or bend without its engine's check.
    Event,
}

impl Matter {
    /// The word in a table.
    pub const fn word(self) -> &'static str {
        match self {
            Matter::Finding => "finding",
            Matter::Recheck => "recheck",
            Matter::Inspection => "inspection",
            Matter::Event => "event",
        }
    }
}

/// One open matter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Open {
    /// Index of the propeller.
    pub propeller: u32,
    /// What it is.
    pub matter: Matter,
    /// The tier it would put the propeller in by itself.
    pub tier: u8,
    /// What it is, in words.
    pub reason: String,
    /// What to do about it.
    pub next_step: String,
}

/// Everything open on the listed propellers: findings by severity, those to be looked at again after the others, then
/// inspections by their standing, then events, the newest first.
pub fn open(fleet: &Fleet<'_>, findings: &Findings, ranked: &[Ranked], events: &EventsWithoutCheck<'_>) -> Vec<Open> {
    let mut list: Vec<Open> = Vec::new();
    let mut inspections: Vec<(Ground, Open)> = Vec::new();
    for row in ranked {
        for reason in &row.reasons {
            let matter = match reason.ground {
                Ground::UnreadableReport => Matter::Finding,
                Ground::InspectionUnsatisfactory
                | Ground::InspectionLapsed
                | Ground::InspectionDoubtful
                | Ground::NoInspection
                | Ground::NoAnnual
                | Ground::InspectionNote => Matter::Inspection,
                _ => continue,
            };
            let open = Open {
                propeller: row.propeller,
                matter,
                tier: reason.ground.tier(),
                reason: reason.words.clone(),
                next_step: reason.next_step.clone(),
            };
            match matter {
                Matter::Inspection => inspections.push((reason.ground, open)),
                _ => list.push(open),
            }
        }
    }
    list.extend(findings.in_order(fleet).into_iter().map(|at| {
        let finding = &findings.rows[at as usize];
        let (ground, next_step) = asked(fleet, finding);
        Open {
            propeller: finding.propeller,
            matter: if ground == Ground::LookAgain { Matter::Recheck } else { Matter::Finding },
            tier: ground.tier(),
            reason: finding.reason(fleet),
            next_step,
        }
    }));
    // Both sorts are stable: what is alike keeps its order.
    inspections.sort_by_key(|(ground, _)| *ground);
    list.extend(inspections.into_iter().map(|(_, open)| open));
    let standing = ranked.iter().flat_map(|row| events.of(row.propeller).map(|event| (row.propeller, event)));
    let mut unchecked: Vec<_> = standing.chain(events.with_none().map(|of| (of.event.propeller, of))).collect();
    unchecked.sort_by_key(|(propeller, of)| (-of.event.day.number(), *propeller));
    list.extend(unchecked.into_iter().map(|(propeller, of)| Open {
        propeller,
        matter: Matter::Event,
        tier: Ground::EventNotChecked.tier(),
        reason: of.words(fleet),
        next_step: of.next_step(),
    }));
    list.sort_by_key(|open| open.matter);
    list
}

/// How many there are, a sentence a kind; empty where nothing is open on record.
pub fn counts(open: &[&Open]) -> Vec<String> {
    let of = |matters: &[Matter]| open.iter().filter(|o| matters.contains(&o.matter)).count();
    let mut words = Vec::new();
    let findings = [Matter::Finding, Matter::Recheck];
    if of(&findings) > 0 {
        let on: HashSet<u32> = open.iter().filter(|o| findings.contains(&o.matter)).map(|o| o.propeller).collect();
        let again = match of(&[Matter::Recheck]) {
            0 => String::new(),
            again => format!(", {again} of them to be looked at again now"),
        };
        let found = count(of(&findings), "open finding");
        words.push(format!("{found} on {}{again}", count(on.len(), "propeller")));
    }
    if of(&[Matter::Inspection]) > 0 {
        let inspections = count(of(&[Matter::Inspection]), "inspection");
        words.push(format!("{inspections} lapsed, not satisfactory, in doubt or not on record"));
    }
    if of(&[Matter::Event]) > 0 {
        words.push(format!("{} without the engine's check", count(of(&[Matter::Event]), "event")));
    }
    words
}
