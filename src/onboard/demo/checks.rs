//! Checks of engines after events, and second looks at what was accepted or left as small: what a careful school writes down.

use std::collections::HashMap;

use super::AS_OF;
use super::rows::{EventCheckRow, RecheckRow, Records};
use crate::trade::calendar::Day;
use crate::trade::damage::DefectKind;
use crate::trade::field_repair::{MINOR_DEPTH_IN, is_minor};

/// Days from the event to the engine's check.
const CHECKED_AFTER_DAYS: i32 = 6;
/// Days from one look at a finding to the next.
const LOOKED_AT_EVERY_DAYS: i32 = 90;

/// The day from which checks after events and second looks were kept.
fn kept_since() -> Day {
    Day::from_ymd(2022, 1, 1).expect("a day that exists")
}

/// An engine check after every strike, overspeed, lightning and bend since they were kept.
pub(super) fn after_events(records: &mut Records) {
    let events: Vec<(String, Day)> = records
        .defects
        .iter()
        .filter(|d| d.kind.is_shop_only() && d.kind != DefectKind::Crack)
        .filter_map(|d| Some((d.serial.clone(), d.found?)))
        .filter(|&(_, found)| found >= kept_since() && found + CHECKED_AFTER_DAYS <= AS_OF)
        .collect();
    for (serial, event) in events {
        let day = event + CHECKED_AFTER_DAYS;
        records.event_checks.push(EventCheckRow {
            serial,
            event,
            scope: "engine",
            method: "run-out",
            day,
            result: "satisfactory",
            by: "Mechanic A",
            reference: format!("W{}", day.number()),
        });
    }
}

/// Looks at what was accepted or is small, four times a year, unchanged until somebody does something about it.
pub(super) fn of_small_findings(records: &mut Records) {
    let mut visits: HashMap<&str, Vec<Day>> = HashMap::new();
    for visit in &records.visits {
        visits.entry(&visit.serial).or_default().push(visit.date);
    }
    let mut looks = Vec::new();
    for defect in &records.defects {
        let left = defect.action == "accepted"
            || (defect.action == "none" && is_minor(defect.kind, defect.depth_in, MINOR_DEPTH_IN));
        let Some(found) = defect.found.filter(|&found| left && found >= kept_since()) else { continue };
        let of = visits.get(defect.serial.as_str()).into_iter().flatten();
        let gone = of.copied().filter(|&day| day >= found).min();
        let mut day = found + LOOKED_AT_EVERY_DAYS;
        while day <= gone.unwrap_or(AS_OF).min(AS_OF) {
            looks.push(RecheckRow {
                serial: defect.serial.clone(),
                found,
                blade: defect.blade,
                day,
                depth_in: defect.depth_in,
                result: "unchanged",
                by: "Mechanic B",
            });
            day = day + LOOKED_AT_EVERY_DAYS;
        }
    }
    records.rechecks.extend(looks);
}
