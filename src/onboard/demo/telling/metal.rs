//! Cases of metal: what is left, and what was not measured.

use super::super::bases::{CINDERVALE, FERNHOLLOW, GULLHAVEN};
use super::super::models::{DESIGNS, L72_48, W74_58, W76_60};
use super::script::{Script, Sheet, Who, on};
use super::{SHORTENED, SLIPPED_DECIMAL, THREE_BLENDS, UNMEASURED_STATIONS};
use crate::trade::damage::{DefectKind, Surface};

/// [`THREE_BLENDS`].
pub(super) fn three_blends(script: &mut Script) {
    let came = on(2013, 4, 2);
    let serial = THREE_BLENDS;
    let aircraft = "Trainer 901";
    script.propeller(&Who {
        serial,
        design: W76_60,
        used_for: "training",
        base: FERNHOLLOW,
        aircraft,
        in_service: came,
        acquired: "new",
    });
    script.fitted(serial, aircraft, came, Some(on(2018, 9, 10)));
    script.fitted(serial, aircraft, on(2018, 10, 9), Some(on(2023, 4, 6)));
    script.fitted(serial, aircraft, on(2023, 5, 11), None);
    script.own_hours(serial, (came, 0.0), (on(2018, 9, 10), 1_930.0));
    script.overhaul_with_sheet((serial, W76_60), on(2018, 10, 9), (1_930.0, None), 1.0);
    script.own_hours(serial, (on(2018, 10, 12), 1_930.0), (on(2023, 4, 6), 3_890.0));
    script.overhaul_with_sheet((serial, W76_60), on(2023, 5, 11), (3_890.0, Some(1_960.0)), 2.0);
    script.own_hours(serial, (on(2023, 5, 14), 3_890.0), (on(2026, 6, 25), 5_010.0));
    // The last sheet leaves about 0.153 in of width at blade 1, 75 %; the blends, one on the other, take 0.162 in there.
    for (found, depth_in) in [(on(2024, 3, 19), 0.056), (on(2025, 2, 24), 0.054), (on(2026, 4, 13), 0.052)] {
        script.blended(serial, found, (1, 75.0, Surface::LeadingEdge), DefectKind::Nick, (depth_in, 0.22, 0.08));
    }
    script.annuals(serial, &[2023, 2024, 2025], (11, 20));
}

/// [`SHORTENED`].
pub(super) fn shortened(script: &mut Script) {
    let came = on(2004, 5, 11);
    let serial = SHORTENED;
    let aircraft = "Wagtail 904";
    script.propeller(&Who {
        serial,
        design: W76_60,
        used_for: "club",
        base: FERNHOLLOW,
        aircraft,
        in_service: came,
        acquired: "new",
    });
    let visits = [on(2010, 3, 23), on(2016, 2, 17), on(2022, 4, 11)];
    let mut from = came;
    for visit in visits {
        script.fitted(serial, aircraft, from, Some(visit + -30));
        from = visit;
    }
    script.fitted(serial, aircraft, from, None);
    script.own_hours(serial, (came, 0.0), (visits[0] + -30, 1_120.0));
    script.overhaul_with_sheet((serial, W76_60), visits[0], (1_120.0, None), 1.0);
    script.own_hours(serial, (visits[0], 1_120.0), (visits[1] + -30, 2_260.0));
    script.overhaul_with_sheet((serial, W76_60), visits[1], (2_260.0, Some(1_140.0)), 2.0);
    script.own_hours(serial, (visits[1], 2_260.0), (visits[2] + -30, 3_390.0));
    let visit = script.overhaul(serial, visits[2], 3_390.0, Some(1_130.0));
    visit.model_after = Some(DESIGNS[W74_58].model);
    visit.cost = Some(1_460.0);
    // It came in as a 76 in propeller and left as one of 74 in: the percent stations have moved, so only the after readings
    // belong to the stations of the sheet.
    script.sheet(&Sheet { serial, day: visits[2], design: W74_58, cycles: 3.0, has_before: false, has_after: true });
    script.own_hours(serial, (visits[2], 3_390.0), (on(2026, 6, 20), 4_180.0));
    script.annuals(serial, &[2023, 2024, 2025], (7, 15));
}

/// [`UNMEASURED_STATIONS`].
pub(super) fn unmeasured_stations(script: &mut Script) {
    let came = on(2012, 9, 3);
    let serial = UNMEASURED_STATIONS;
    let aircraft = "Wagtail 905";
    script.propeller(&Who {
        serial,
        design: L72_48,
        used_for: "club",
        base: CINDERVALE,
        aircraft,
        in_service: came,
        acquired: "new",
    });
    let visits = [on(2017, 10, 24), on(2022, 11, 15)];
    script.fitted(serial, aircraft, came, Some(visits[0] + -30));
    script.fitted(serial, aircraft, visits[0], Some(visits[1] + -30));
    script.fitted(serial, aircraft, visits[1], None);
    script.own_hours(serial, (came, 0.0), (visits[0] + -30, 990.0));
    script.overhaul_with_sheet((serial, L72_48), visits[0], (990.0, None), 1.0);
    script.own_hours(serial, (visits[0], 990.0), (visits[1] + -30, 1_985.0));
    script.overhaul_with_sheet((serial, L72_48), visits[1], (1_985.0, Some(995.0)), 2.0);
    script.records.measurements.retain(|m| {
        let missed = m.blade == 1 && (m.station_pct == 60.0 || m.station_pct == 75.0);
        !(m.serial == serial && m.date == visits[1] && missed)
    });
    script.own_hours(serial, (visits[1], 1_985.0), (on(2026, 6, 17), 2_670.0));
    script.annuals(serial, &[2023, 2024, 2025], (8, 22));
}

/// [`SLIPPED_DECIMAL`].
pub(super) fn slipped_decimal(script: &mut Script) {
    let (came, visit) = (on(2018, 2, 20), on(2023, 3, 14));
    let serial = SLIPPED_DECIMAL;
    let aircraft = "Plover 902";
    script.propeller(&Who {
        serial,
        design: W76_60,
        used_for: "rental",
        base: GULLHAVEN,
        aircraft,
        in_service: came,
        acquired: "new",
    });
    script.fitted(serial, aircraft, came, Some(visit + -30));
    script.fitted(serial, aircraft, visit, None);
    script.own_hours(serial, (came, 0.0), (visit + -30, 1_510.0));
    script.overhaul_with_sheet((serial, W76_60), visit, (1_510.0, None), 1.0);
    for row in &mut script.records.measurements {
        if row.serial == serial && row.blade == 2 && row.station_pct == 75.0 {
            row.thickness_after_in = Some(3.52);
        }
    }
    script.own_hours(serial, (visit, 1_510.0), (on(2026, 6, 23), 2_440.0));
    script.annuals(serial, &[2024, 2025, 2026], (2, 12));
}
