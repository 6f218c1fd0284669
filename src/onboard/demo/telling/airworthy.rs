//! Cases of inspections, of an event without its check, and of a small finding.

use super::super::bases::FERNHOLLOW;
use super::super::models::W76_60;
use super::super::rows::{DefectRow, InspectionRow, RecheckRow};
use super::script::{Script, Who, on};
use super::{ANNUAL_NOT_SIGNED, BEHIND_A_STRUCK_ENGINE, HUNDRED_HOUR_LAPSED, STRUCK_AND_MOVED};
use crate::trade::calendar::{Day, month_end};
use crate::trade::damage::{DefectKind, Surface};

/// A propeller that came new on a day and is on this aircraft since.
fn new_on(script: &mut Script, serial: &'static str, used_for: &'static str, aircraft: &'static str, came: Day) {
    script.propeller(&Who {
        serial,
        design: W76_60,
        used_for,
        base: FERNHOLLOW,
        aircraft,
        in_service: came,
        acquired: "new",
    });
}

fn inspection(script: &mut Script, serial: &str, date: Day, kind: &'static str, waits: bool) {
    script.records.inspections.push(InspectionRow {
        serial: serial.to_owned(),
        date,
        kind,
        result: if waits { "not" } else { "satisfactory" },
        waits,
        by: "Mechanic B",
        next_due: (kind == "annual").then(|| month_end(date, 12)),
    });
}

/// [`ANNUAL_NOT_SIGNED`].
pub(super) fn annual_not_signed(script: &mut Script) {
    let came = on(2024, 2, 5);
    let (serial, aircraft) = (ANNUAL_NOT_SIGNED, "Plover 906");
    new_on(script, serial, "rental", aircraft, came);
    script.fitted(serial, aircraft, came, None);
    script.own_hours(serial, (came, 0.0), (on(2026, 6, 18), 520.0));
    inspection(script, serial, on(2025, 3, 10), "annual", false);
    inspection(script, serial, on(2026, 3, 9), "annual", true);
    let visit = script.overhaul(serial, on(2026, 4, 20), 480.0, None);
    (visit.work, visit.reason, visit.cost) = ("repair", "damage", Some(310.0));
}

/// [`HUNDRED_HOUR_LAPSED`].
pub(super) fn hundred_hour_lapsed(script: &mut Script) {
    let came = on(2025, 5, 12);
    let (serial, aircraft) = (HUNDRED_HOUR_LAPSED, "Trainer 904");
    new_on(script, serial, "training", aircraft, came);
    script.fitted(serial, aircraft, came, None);
    script.meter(aircraft, "tach", (came, 2_105.0), (on(2026, 6, 26), 2_515.0));
    for (date, kind) in [
        (on(2025, 7, 30), "100 hour"),
        (on(2025, 10, 28), "100 hour"),
        (on(2026, 1, 26), "annual"),
        (on(2026, 2, 17), "100 hour"),
    ] {
        inspection(script, serial, date, kind, false);
    }
}

/// [`BEHIND_A_STRUCK_ENGINE`] and [`STRUCK_AND_MOVED`], which has a small finding since.
pub(super) fn struck_engine(script: &mut Script) {
    let (came, struck, released) = (on(2024, 4, 8), on(2025, 9, 13), on(2025, 10, 6));
    let (first, second) = ("Wagtail 908", "Wagtail 909");
    let serial = STRUCK_AND_MOVED;
    new_on(script, serial, "club", second, came);
    script.fitted(serial, first, came, Some(struck));
    script.own_hours(serial, (came, 0.0), (struck, 260.0));
    script.records.defects.push(DefectRow {
        serial: serial.to_owned(),
        found: Some(struck),
        blade: None,
        station_pct: None,
        surface: None,
        kind: DefectKind::Strike,
        depth_in: None,
        length_in: None,
        width_in: None,
        action: "shop",
        action_date: Some(struck),
        action_by: Some("Mechanic C"),
        recheck: None,
    });
    script.overhaul_with_sheet((serial, W76_60), released, (260.0, None), 1.0);
    script.fitted(serial, second, released, None);
    script.own_hours(serial, (released + 2, 260.0), (on(2026, 6, 21), 390.0));
    script.annuals(serial, &[2026], (4, 14));
    let found = on(2026, 1, 24);
    script.records.defects.push(DefectRow {
        serial: serial.to_owned(),
        found: Some(found),
        blade: Some(2),
        station_pct: Some(86.0),
        surface: Some(Surface::LeadingEdge),
        kind: DefectKind::Erosion,
        depth_in: Some(0.004),
        length_in: Some(1.5),
        width_in: Some(0.06),
        action: "none",
        action_date: None,
        action_by: None,
        recheck: None,
    });
    script.records.rechecks.push(RecheckRow {
        serial: serial.to_owned(),
        found,
        blade: Some(2),
        day: on(2026, 4, 14),
        depth_in: Some(0.004),
        result: "unchanged",
        by: "Mechanic B",
    });

    let serial = BEHIND_A_STRUCK_ENGINE;
    let fitted = on(2025, 9, 20);
    new_on(script, serial, "club", first, fitted);
    script.fitted(serial, first, fitted, None);
    script.own_hours(serial, (fitted, 0.0), (on(2026, 6, 22), 165.0));
    script.annuals(serial, &[2026], (4, 2));
}
