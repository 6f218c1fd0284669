//! Cases of limits and hours.

use super::super::bases::{CINDERVALE, FERNHOLLOW, GULLHAVEN};
use super::super::models::{W74_56, W76_60};
use super::super::rows::InspectionRow;
use super::script::{Script, Who, on};
use super::{EXCHANGE_NEW, EXCHANGE_UNKNOWN, MOVED, PRIVATE_PAST_RECOMMENDED, RENTAL_PAST_BINDING};

/// [`RENTAL_PAST_BINDING`] beside [`PRIVATE_PAST_RECOMMENDED`].
pub(super) fn past_limits(script: &mut Script) {
    let (came, overhauled) = (on(2011, 5, 9), on(2017, 6, 15));
    let serial = RENTAL_PAST_BINDING;
    script.propeller(&Who {
        serial,
        design: W76_60,
        used_for: "rental",
        base: GULLHAVEN,
        aircraft: "Plover 901",
        in_service: came,
        acquired: "new",
    });
    script.fitted(serial, "Plover 901", came, Some(on(2017, 5, 12)));
    script.fitted(serial, "Plover 901", overhauled, None);
    script.own_hours(serial, (came, 0.0), (on(2017, 5, 12), 1_960.0));
    script.overhaul_with_sheet((serial, W76_60), overhauled, (1_960.0, None), 1.0);
    script.own_hours(serial, (overhauled + 3, 1_960.0), (on(2026, 6, 22), 4_560.0));
    script.annuals(serial, &[2022, 2023, 2024, 2025], (9, 8));

    let (came, overhauled) = (on(2012, 3, 12), on(2018, 4, 16));
    let serial = PRIVATE_PAST_RECOMMENDED;
    script.propeller(&Who {
        serial,
        design: W74_56,
        used_for: "private",
        base: FERNHOLLOW,
        aircraft: "Dunlin 901",
        in_service: came,
        acquired: "new",
    });
    script.fitted(serial, "Dunlin 901", came, Some(on(2018, 3, 10)));
    script.fitted(serial, "Dunlin 901", overhauled, None);
    script.own_hours(serial, (came, 0.0), (on(2018, 3, 10), 510.0));
    script.overhaul_with_sheet((serial, W74_56), overhauled, (510.0, None), 1.0);
    script.own_hours(serial, (overhauled + 5, 510.0), (on(2026, 6, 14), 1_150.0));
    script.annuals(serial, &[2022, 2023, 2024, 2025, 2026], (5, 18));
    script.records.inspections.push(InspectionRow {
        serial: serial.to_owned(),
        date: on(2025, 11, 3),
        kind: "condition",
        result: "satisfactory",
        waits: false,
        by: "Mechanic C",
        next_due: Some(on(2026, 11, 3)),
    });
}

/// [`EXCHANGE_UNKNOWN`] beside [`EXCHANGE_NEW`].
pub(super) fn exchange_units(script: &mut Script) {
    let came = on(2025, 3, 17);
    for (serial, aircraft, acquired) in
        [(EXCHANGE_UNKNOWN, "Wagtail 902", "unknown"), (EXCHANGE_NEW, "Wagtail 903", "new")]
    {
        script.propeller(&Who {
            serial,
            design: W76_60,
            used_for: "club",
            base: FERNHOLLOW,
            aircraft,
            in_service: came,
            acquired,
        });
        script.fitted(serial, aircraft, came, None);
        script.meter(aircraft, "tach", (came, 3_402.6), (on(2026, 6, 12), 3_582.6));
        script.annuals(serial, &[2026], (3, 9));
    }
}

/// [`MOVED`].
pub(super) fn moved_between_aircraft(script: &mut Script) {
    let (came, overhauled) = (on(2015, 6, 1), on(2021, 4, 8));
    let serial = MOVED;
    script.propeller(&Who {
        serial,
        design: W74_56,
        used_for: "rental",
        base: CINDERVALE,
        aircraft: "Plover 905",
        in_service: came,
        acquired: "new",
    });
    let tach = "Plover 904";
    script.fitted(serial, tach, came, Some(on(2021, 3, 12)));
    script.meter(tach, "tach", (came, 2_210.0), (on(2021, 3, 12), 3_660.0));
    script.overhaul_with_sheet((serial, W74_56), overhauled, (1_450.0, None), 1.0);
    script.fitted(serial, tach, on(2021, 4, 15), Some(on(2023, 9, 30)));
    script.meter(tach, "tach", (on(2021, 4, 15), 3_660.0), (on(2023, 9, 30), 4_260.0));
    // The first aircraft flies on with a propeller that is not in this fleet's records.
    script.meter(tach, "tach", (on(2023, 10, 20), 4_260.0), (on(2026, 6, 19), 4_960.0));
    let hobbs = "Plover 905";
    script.fitted(serial, hobbs, on(2023, 10, 5), None);
    script.meter(hobbs, "hobbs", (on(2023, 10, 5), 6_030.0), (on(2024, 11, 2), 6_330.0));
    script.meter(hobbs, "hobbs 2", (on(2024, 11, 20), 0.3), (on(2026, 6, 18), 420.3));
    script.annuals(serial, &[2024, 2025], (10, 6));
}
