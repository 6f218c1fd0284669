//! Each telling case holds in its records what it is there to tell.

use bladewane::onboard::demo::telling::{
    ALL, EXCHANGE_NEW, EXCHANGE_UNKNOWN, MOVED, PRIVATE_PAST_RECOMMENDED, REJECTED_YET_FLYING, RENTAL_PAST_BINDING,
    REPLACEMENT, SHORTENED, SLIPPED_DECIMAL, STRUCK_THEN_BLENDED, THREE_BLENDS, UNMEASURED_STATIONS, UNREADABLE_CRACK,
};
use bladewane::onboard::demo::{AS_OF, DemoFleet, DemoOptions, fleet};
use bladewane::trade::calendar::{Day, month_end, same_day, years_between};
use bladewane::trade::damage::{DefectKind, Surface};
use bladewane::trade::field_repair::ScreenLimits;

use crate::demo::table::{Rows, limits_model_on, rows};

fn cases() -> DemoFleet {
    fleet(&DemoOptions { propellers: 0, seed: 0, telling_cases: true, bad_rows: false })
}

fn propeller(fleet: &DemoFleet, serial: &str, column: &str) -> Option<String> {
    let table = rows(fleet, "propellers");
    table.text(table.find("propeller", serial), column)
}

fn model(fleet: &DemoFleet, serial: &str, column: &str) -> Option<String> {
    let table = rows(fleet, "models");
    table.text(table.find("model", &propeller(fleet, serial, "model").unwrap()), column)
}

fn last_visit(fleet: &DemoFleet, serial: &str) -> usize {
    *rows(fleet, "overhauls").of(serial).last().unwrap()
}

/// Margin of one reading of a sheet above the minimum that holds on that day.
fn margin(fleet: &DemoFleet, sheets: &Rows, r: usize, dimension: &str, column: &str) -> f64 {
    let serial = sheets.text(r, "propeller").unwrap();
    let name = limits_model_on(fleet, &serial, sheets.date(r, "overhaul_date").unwrap());
    let limits = rows(fleet, "limits");
    let limit = (0..limits.len())
        .find(|&l| {
            limits.text(l, "model").as_deref() == Some(&name)
                && limits.number(l, "station_pct") == sheets.number(r, "station_pct")
        })
        .unwrap();
    sheets.number(r, column).unwrap() - limits.number(limit, &format!("{dimension}_min_in")).unwrap()
}

#[test]
fn every_case_is_there_and_flying() {
    let fleet = cases();
    assert_eq!(rows(&fleet, "propellers").len(), ALL.len());
    for serial in ALL {
        assert_eq!(propeller(&fleet, serial, "status").as_deref(), Some("flying"));
    }
    // Hours of each were read in the last half year, its own or its aircraft's.
    let (own, meters) = (rows(&fleet, "hours"), rows(&fleet, "aircraft_hours"));
    for serial in ALL {
        let aircraft = propeller(&fleet, serial, "aircraft");
        let last = own
            .of(serial)
            .iter()
            .filter_map(|&r| own.date(r, "reading_date"))
            .chain(
                (0..meters.len())
                    .filter(|&r| meters.text(r, "aircraft") == aircraft)
                    .filter_map(|r| meters.date(r, "reading_date")),
            )
            .max();
        assert!(last.is_some_and(|day| AS_OF - day < 60), "{serial} {last:?}");
    }
}

#[test]
fn a_rental_is_past_a_binding_limit_and_a_private_one_past_a_recommended_one() {
    let fleet = cases();
    let (visits, hours) = (rows(&fleet, "overhauls"), rows(&fleet, "hours"));
    let since = |serial: &str| {
        let visit = last_visit(&fleet, serial);
        let then = visits.number(visit, "hours_since_new").unwrap();
        let now = hours.number(*hours.of(serial).last().unwrap(), "hours_since_new").unwrap();
        (visits.date(visit, "overhaul_date").unwrap(), now - then)
    };
    let (day, flown) = since(RENTAL_PAST_BINDING);
    assert_eq!(flown, 2_600.0);
    assert_eq!(years_between(day, AS_OF).floor(), 9.0);
    assert!(same_day(day, 72) < AS_OF);
    assert_eq!(model(&fleet, RENTAL_PAST_BINDING, "interval_force").as_deref(), Some("binding"));
    assert_eq!(propeller(&fleet, RENTAL_PAST_BINDING, "use").as_deref(), Some("rental"));

    let serial = PRIVATE_PAST_RECOMMENDED;
    let (day, flown) = since(serial);
    assert_eq!(flown, 640.0);
    assert!(month_end(day, 72) < AS_OF);
    assert_eq!(model(&fleet, serial, "interval_force").as_deref(), Some("recommended"));
    let inspections = rows(&fleet, "inspections");
    let aircraft = propeller(&fleet, serial, "aircraft");
    let last = (0..inspections.len()).rfind(|&row| inspections.text(row, "aircraft") == aircraft).unwrap();
    assert_eq!(inspections.text(last, "result").as_deref(), Some("satisfactory"));
    assert!(AS_OF - inspections.date(last, "inspection_date").unwrap() < 50);
}

#[test]
fn an_unknown_exchange_unit_stands_beside_the_same_one_new() {
    let fleet = cases();
    let table = rows(&fleet, "propellers");
    for column in ["model", "use", "base"] {
        assert_eq!(propeller(&fleet, EXCHANGE_UNKNOWN, column), propeller(&fleet, EXCHANGE_NEW, column));
    }
    let came = |s| table.date(table.find("propeller", s), "in_service_date");
    assert_eq!(came(EXCHANGE_UNKNOWN), came(EXCHANGE_NEW));
    assert_eq!(propeller(&fleet, EXCHANGE_UNKNOWN, "acquired").as_deref(), Some("unknown"));
    assert_eq!(propeller(&fleet, EXCHANGE_NEW, "acquired").as_deref(), Some("new"));
    for name in ["overhauls", "measurements", "defects"] {
        for serial in [EXCHANGE_UNKNOWN, EXCHANGE_NEW] {
            assert!(rows(&fleet, name).of(serial).is_empty());
        }
    }
}

#[test]
fn three_blends_within_the_screen_use_up_a_width_that_the_sheet_shows_as_ample() {
    let fleet = cases();
    let (visits, sheets, defects) = (rows(&fleet, "overhauls"), rows(&fleet, "measurements"), rows(&fleet, "defects"));
    let released = visits.date(last_visit(&fleet, THREE_BLENDS), "overhaul_date").unwrap();
    let reports = defects.of(THREE_BLENDS);
    let limit = ScreenLimits::default().depth_limit_in(Some(Surface::LeadingEdge)).unwrap();
    let mut dressed = 0.0;
    let mut radii = Vec::new();
    for &r in &reports {
        assert_eq!(defects.text(r, "surface").as_deref(), Some("leading_edge"));
        assert_eq!(defects.text(r, "action").as_deref(), Some("blended"));
        assert_eq!(defects.whole(r, "blade"), Some(1));
        assert!(defects.date(r, "action_date").unwrap() > released);
        dressed += defects.number(r, "depth_in").unwrap();
        radii.push(defects.number(r, "station_pct").unwrap() * 0.38);
    }
    assert_eq!(reports.len(), 3);
    assert!(dressed < limit, "together within the screen's depth: {dressed}");
    assert!(radii.iter().all(|r| *r == radii[0]), "at one place, on three days: {radii:?}");
    let at = *sheets
        .of(THREE_BLENDS)
        .iter()
        .rfind(|&&r| sheets.whole(r, "blade") == Some(1) && sheets.number(r, "station_pct") == Some(75.0))
        .unwrap();
    let left = margin(&fleet, &sheets, at, "width", "width_after_in");
    assert!(left > 0.15, "three quarters of the width allowance left on the sheet: {left}");
    assert!(left - dressed < -0.005, "and less than nothing today: {}", left - dressed);
}

#[test]
fn one_became_a_shorter_model_at_an_overhaul() {
    let fleet = cases();
    let visits = rows(&fleet, "overhauls");
    let visit = last_visit(&fleet, SHORTENED);
    assert_eq!(propeller(&fleet, SHORTENED, "model").as_deref(), Some("W76-60"));
    assert_eq!(visits.text(visit, "model_after").as_deref(), Some("W74-58"));
    assert_eq!(visits.text(visit, "work").as_deref(), Some("overhaul"));
    assert_eq!(visits.text(visit, "outcome").as_deref(), Some("released"));
    let models = rows(&fleet, "models");
    let of = |name: &str| models.find("model", name);
    assert_eq!(models.number(of("W76-60"), "diameter_in"), Some(76.0));
    assert_eq!(models.number(of("W74-58"), "diameter_in"), Some(74.0));
    let sheets = rows(&fleet, "measurements");
    let day = visits.date(visit, "overhaul_date");
    for r in sheets.of(SHORTENED) {
        assert!(margin(&fleet, &sheets, r, "thickness", "thickness_after_in") > 0.03);
        let before = sheets.number(r, "thickness_before_in");
        assert_eq!(before.is_none(), sheets.date(r, "overhaul_date") == day);
    }
}

#[test]
fn one_moved_from_a_tach_to_a_hobbs_that_was_replaced() {
    let fleet = cases();
    let (fitted, meters, visits) = (rows(&fleet, "fitted"), rows(&fleet, "aircraft_hours"), rows(&fleet, "overhauls"));
    let overhauled = visits.date(last_visit(&fleet, MOVED), "overhaul_date").unwrap();
    let mut flown = Vec::new();
    for f in fitted.of(MOVED) {
        let (from, to) = (fitted.date(f, "from_date").unwrap(), fitted.date(f, "to_date"));
        if from < overhauled {
            continue;
        }
        for meter in ["tach", "hobbs", "hobbs 2"] {
            let shown: Vec<f64> = (0..meters.len())
                .filter(|&r| {
                    let day: Day = meters.date(r, "reading_date").unwrap();
                    meters.text(r, "aircraft") == fitted.text(f, "aircraft")
                        && meters.text(r, "meter").as_deref() == Some(meter)
                        && day >= from
                        && to.is_none_or(|t| day <= t)
                })
                .map(|r| meters.number(r, "hours").unwrap())
                .collect();
            if let (Some(first), Some(last)) = (shown.first(), shown.last()) {
                flown.push((meter, (last - first).round()));
            }
        }
    }
    assert_eq!(flown, [("tach", 600.0), ("hobbs", 300.0), ("hobbs 2", 420.0)]);
}

#[test]
fn one_struck_something_and_was_later_blended_beyond_the_screen() {
    let fleet = cases();
    let (defects, visits) = (rows(&fleet, "defects"), rows(&fleet, "overhauls"));
    let reports = defects.of(STRUCK_THEN_BLENDED);
    let (strike, gouge) = (reports[0], reports[1]);
    let inspection = last_visit(&fleet, STRUCK_THEN_BLENDED);
    assert_eq!(defects.text(strike, "kind").as_deref(), Some(DefectKind::Strike.word()));
    assert_eq!(visits.text(inspection, "work").as_deref(), Some("strike inspection"));
    assert_eq!(visits.text(inspection, "outcome").as_deref(), Some("released"));
    let inspected = visits.date(inspection, "overhaul_date");
    assert!(defects.date(strike, "action_date") < inspected);
    assert!(defects.date(gouge, "found_date") > inspected);
    assert_eq!(defects.text(gouge, "action").as_deref(), Some("blended"));
    assert_eq!(defects.text(gouge, "surface").as_deref(), Some("camber"));
    // 1 1/2 in long on the camber is shop only (common practice, no source); depth and width alone would pass.
    let screen = ScreenLimits::default();
    assert!(defects.number(gouge, "length_in").unwrap() > screen.surface_length_in);
    assert!(defects.number(gouge, "depth_in").unwrap() < screen.surface_depth_in);
    assert!(defects.number(gouge, "width_in").unwrap() < screen.surface_width_in);
}

#[test]
fn one_was_rejected_on_its_before_readings_and_flies() {
    let fleet = cases();
    let (visits, sheets) = (rows(&fleet, "overhauls"), rows(&fleet, "measurements"));
    let visit = last_visit(&fleet, REJECTED_YET_FLYING);
    let day = visits.date(visit, "overhaul_date").unwrap();
    assert_eq!(visits.text(visit, "outcome").as_deref(), Some("rejected"));
    assert_eq!(visits.text(visit, "reject_reason").as_deref(), Some("dimension"));
    assert_eq!(propeller(&fleet, REJECTED_YET_FLYING, "replaced_by").as_deref(), Some(REPLACEMENT));
    let mut smallest = f64::INFINITY;
    for r in sheets.of(REJECTED_YET_FLYING) {
        if sheets.date(r, "overhaul_date") == Some(day) {
            assert_eq!(sheets.number(r, "thickness_after_in"), None);
            smallest = smallest.min(margin(&fleet, &sheets, r, "thickness", "thickness_before_in"));
        } else {
            assert!(margin(&fleet, &sheets, r, "thickness", "thickness_after_in") >= 0.0);
        }
    }
    assert!((-0.010..-0.001).contains(&smallest), "{smallest}");
    let (hours, fitted) = (rows(&fleet, "hours"), rows(&fleet, "fitted"));
    let last = *hours.of(REJECTED_YET_FLYING).last().unwrap();
    assert!(hours.date(last, "reading_date").unwrap() > day + 365);
    let again = *fitted.of(REJECTED_YET_FLYING).last().unwrap();
    assert!(fitted.date(again, "from_date").unwrap() > day);
    assert_eq!(propeller(&fleet, REPLACEMENT, "status").as_deref(), Some("flying"));
}

#[test]
fn two_stations_were_missed_one_decimal_slipped_and_one_crack_has_no_day() {
    let fleet = cases();
    let (visits, sheets) = (rows(&fleet, "overhauls"), rows(&fleet, "measurements"));
    let sheet_of = |serial: &str| -> Vec<usize> {
        let day = visits.date(last_visit(&fleet, serial), "overhaul_date");
        let all = sheets.of(serial);
        all.into_iter().filter(|&r| sheets.date(r, "overhaul_date") == day).collect()
    };
    let measured = sheet_of(UNMEASURED_STATIONS).len();
    assert_eq!(measured, 2 * 7 - 2, "two blades of seven stations, less two");
    assert_eq!(sheets.of(UNMEASURED_STATIONS).len(), measured + 14, "all at the visit before");

    let slipped: Vec<f64> = sheet_of(SLIPPED_DECIMAL)
        .iter()
        .map(|&r| sheets.number(r, "thickness_after_in").unwrap())
        .filter(|&t| t > 2.0)
        .collect();
    assert_eq!(slipped, [3.52]);

    let defects = rows(&fleet, "defects");
    let crack = defects.of(UNREADABLE_CRACK)[0];
    assert_eq!(defects.text(crack, "kind").as_deref(), Some("crack"));
    assert_eq!(fleet.bad_rows.len(), 1);
    assert!(fleet.bad_rows[0].line_text.starts_with("BW-0803,2026-02-30,"));
}
