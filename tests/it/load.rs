//! Load exposure from a fleet's records: by hand, what is not recorded, and laws.

use crate::fleet_folder::{FleetFolder, as_of, day, plain};
use crate::simple_hours::HoursPerDay;
use bladewane::analysis::load::{Load, LoadReader};
use bladewane::analysis::survey::Survey;
use bladewane::results::batches;
use bladewane::settings::Settings;
use proptest::prelude::*;

const MODELS: &str = "
    model,diameter_in,blades,max_rpm
    M76,76,2,2700";
const LIMITS: &str = "
    model,station_pct,width_new_in,width_min_in,thickness_new_in,thickness_min_in
    M76,30,5,4,1,0.8
    M76,60,5,4,0.5,0.4
    M76,90,4,3,0.2,0.15";

/// `A1`, new on 2010-01-01 unless said otherwise, two hours a day, on 2016-01-01.
fn load(acquired: &str, overhauls: &str, measurements: &str) -> Load {
    load_at(acquired, overhauls, measurements, Some(2.0))
}

fn load_at(acquired: &str, overhauls: &str, measurements: &str, a_day: Option<f64>) -> Load {
    let folder = FleetFolder::empty()
        .with(
            "propellers",
            &format!("propeller,model,in_service_date,acquired\nA1,M76,2010-01-01,{acquired}"),
        )
        .with("models", MODELS)
        .with("limits", LIMITS)
        .with(
            "overhauls",
            &format!("propeller,overhaul_date,work,outcome,model_after\n{overhauls}"),
        )
        .with(
            "measurements",
            &format!(
                "propeller,overhaul_date,blade,station_pct,width_before_in,width_after_in,thickness_before_in,thickness_after_in\n{measurements}"
            ),
        );
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2016-01-01");
    assert!(fleet.ledger.set_aside.is_empty(), "{:?}", fleet.ledger.set_aside);
    let settings = Settings::default();
    let survey = Survey::of(&fleet, &settings.forecast);
    let hours = HoursPerDay(vec![a_day], None);
    LoadReader::new(&fleet, &survey, &hours, &settings.fatigue).of(0)
}

/// Both blades at 30, 60 and 90 %, as shares of the new width and thickness.
fn sheet(date: &str, shares: [(f64, f64); 3]) -> String {
    let new = [(30, 5.0, 1.0), (60, 5.0, 0.5), (90, 4.0, 0.2)];
    let mut rows = String::new();
    for blade in 1..=2 {
        for ((pct, width, thickness), (w, t)) in new.into_iter().zip(shares) {
            rows += &format!("A1,{date},{blade},{pct},,{},,{}\n", width * w, thickness * t);
        }
    }
    rows
}

fn hours(from: &str, to: &str) -> f64 {
    2.0 * f64::from(day(to) - day(from))
}

#[track_caller]
fn assert_close(got: Option<f64>, expected: f64) {
    let got = got.expect("a number");
    assert!((got / expected - 1.0).abs() < 1e-9, "{got} is not {expected}");
}

const NEW: (f64, f64) = (1.0, 1.0);
const OVERHAUL: &str = "A1,2013-01-01,overhaul,released,\n";

#[test]
fn a_new_blade_counts_every_hour_once() {
    let got = load("new", "", "");
    let all = hours("2010-01-01", "2016-01-01");
    assert_eq!(got.hours_since_overhaul, Some(all));
    assert_close(got.equivalent_hours_since_overhaul, all);
    assert_close(got.equivalent_hours_since_new, all);
    // 60 minutes an hour at 2700 revolutions a minute.
    assert_close(got.revolutions_since_overhaul, all * 60.0 * 2700.0);
    assert_eq!(got.worst_station_pct, None);
    assert_eq!(got.section_modulus_retained, Some(1.0));
}

// Stress goes as 1/section modulus and damage as stress to the power 9.44: 0.95^(-2 * 9.44) = 2.6338. Arithmetic; the
// exponent is MIL-HDBK-5J's from memory and a setting.
#[test]
fn five_percent_thinner_at_full_width_counts_two_point_six_times() {
    let sheet = sheet("2013-01-01", [NEW, (1.0, 0.95), NEW]);
    let got = load("new", OVERHAUL, &sheet);
    let (before, since) = (hours("2010-01-01", "2013-01-01"), hours("2013-01-01", "2016-01-01"));
    let weight = got.equivalent_hours_since_overhaul.expect("known") / since;
    assert!((weight - 2.6338).abs() < 5e-5, "{weight}");
    assert_close(got.equivalent_hours_since_overhaul, since * 0.95f64.powf(-18.88));
    assert_close(got.equivalent_hours_since_new, before + since * 0.95f64.powf(-18.88));
    assert_eq!(got.hours_since_overhaul, Some(since));
    assert_eq!(got.worst_station_pct, Some(60.0));
}

#[test]
fn each_time_between_visits_counts_on_its_own_section() {
    // A repair thins the blade on and does not restart the clock; inboard of 60 % nothing counts.
    let overhauls = format!("{OVERHAUL}A1,2014-01-01,repair,released,\n");
    let sheets = sheet("2013-01-01", [(0.9, 0.85), (0.98, 0.97), (0.96, 0.99)])
        + &sheet("2014-01-01", [(0.9, 0.85), (0.98, 0.97), (0.9, 0.95)]);
    let got = load("new", &overhauls, &sheets);
    let first = (0.98f64 * 0.97 * 0.97).min(0.96 * 0.99 * 0.99);
    let second = (0.98f64 * 0.97 * 0.97).min(0.9 * 0.95 * 0.95);
    let since =
        hours("2013-01-01", "2014-01-01") * first.powf(-9.44) + hours("2014-01-01", "2016-01-01") * second.powf(-9.44);
    assert_close(got.equivalent_hours_since_overhaul, since);
    assert_close(got.equivalent_hours_since_new, hours("2010-01-01", "2013-01-01") + since);
    assert_eq!(got.hours_since_overhaul, Some(hours("2013-01-01", "2016-01-01")));
    assert_eq!(got.worst_station_pct, Some(90.0));
    assert_close(got.section_modulus_retained, second);
}

#[test]
fn what_a_visit_did_not_measure_is_carried_forward_and_never_gains() {
    // Nothing measured: the usual loss of a visit, 0.008 in of thickness and 0.022 in of width with half of it as
    // spread, less two standard deviations: 0.016 and 0.044 in. Worst at 90 %: (4 - 0.044)/4 ((0.2 - 0.016)/0.2)^2.
    let got = load("new", OVERHAUL, "");
    let worst = 3.956 / 4.0 * (0.184f64 / 0.2).powi(2);
    assert_close(got.section_modulus_retained, worst);
    assert_eq!(got.worst_station_pct, Some(90.0));
    // Of a propeller that came used nothing is known then.
    let got = load("used", OVERHAUL, "");
    assert_eq!(got.section_modulus_retained, None);
    assert_eq!(got.equivalent_hours_since_overhaul, None);
    assert_eq!(got.hours_since_overhaul, Some(hours("2013-01-01", "2016-01-01")));
    // A strike inspection measures the blade as it stands.
    let inspected = "A1,2013-01-01,strike inspection,released,\n";
    let rows = "A1,2013-01-01,1,60,4.5,,0.45,\n";
    let got = load("used", inspected, rows);
    assert_close(got.section_modulus_retained, 0.9 * 0.81);
}

#[test]
fn a_life_that_is_not_on_record_has_no_hours_since_new() {
    let sheet = sheet("2013-01-01", [NEW, (1.0, 0.95), NEW]);
    let got = load("used", OVERHAUL, &sheet);
    assert_eq!(got.equivalent_hours_since_new, None);
    assert_close(got.equivalent_hours_since_overhaul, hours("2013-01-01", "2016-01-01") * 0.95f64.powf(-18.88));
    // Without an overhaul there is no time to count from.
    let got = load("used", "", "");
    assert_eq!((got.hours_since_overhaul, got.equivalent_hours_since_overhaul), (None, None));
    // Hours that are not known: the section is all that can be told.
    let got = load_at("new", OVERHAUL, &sheet, None);
    assert_eq!(
        (
            got.hours_since_overhaul,
            got.equivalent_hours_since_overhaul,
            got.equivalent_hours_since_new,
            got.revolutions_since_overhaul
        ),
        (None, None, None, None)
    );
    assert_eq!(got.worst_station_pct, Some(60.0));
}

#[test]
fn a_new_designation_begins_with_its_own_readings() {
    let overhauls = format!("{OVERHAUL}A1,2014-01-01,shorten,released,M76\n");
    let sheets = sheet("2013-01-01", [NEW, (1.0, 0.9), NEW]) + &sheet("2014-01-01", [NEW, NEW, (1.0, 0.98)]);
    let got = load("new", &overhauls, &sheets);
    assert_close(got.section_modulus_retained, 0.98 * 0.98);
    assert_eq!(load("new", &overhauls, "").section_modulus_retained, None);
}

#[test]
fn the_table_has_a_row_a_propeller_and_leaves_open_what_is_not_known() {
    let sheet = sheet("2013-01-01", [NEW, (1.0, 0.95), NEW]);
    let rows = [load("new", OVERHAUL, &sheet), load_at("new", "", "", None)];
    let folder = FleetFolder::empty().with("propellers", "propeller\nA1");
    let loaded = folder.load();
    let batch = batches::load::load(&as_of(&loaded, "2016-01-01"), &rows).expect("the columns");
    let mut csv = Vec::new();
    arrow::csv::Writer::new(&mut csv).write(&batch).expect("written");
    let since = rows[0].equivalent_hours_since_overhaul.expect("known");
    let all = rows[0].equivalent_hours_since_new.expect("known");
    assert_eq!(
        String::from_utf8(csv).expect("text"),
        plain(&format!(
            "propeller,hours_since_overhaul,equivalent_hours_since_overhaul,equivalent_hours_since_new,revolutions_since_overhaul,worst_station_pct
            A1,2190.0,{since},{all},354780000.0,60.0
            A1,,,,,"
        ))
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn a_thinner_or_narrower_blade_never_counts_for_less(
        shares in prop::collection::vec((0.75..1.0f64, 0.75..1.0f64), 3),
        at in 0usize..3, width in 0.9..1.0f64, thickness in 0.9..1.0f64
    ) {
        let mut thinner = shares.clone();
        thinner[at] = (shares[at].0 * width, shares[at].1 * thickness);
        let of = |s: &[(f64, f64)]| load("new", OVERHAUL, &sheet("2013-01-01", [s[0], s[1], s[2]]));
        let (a, b) = (of(&shares), of(&thinner));
        let equivalent = |l: &Load| l.equivalent_hours_since_new.expect("known");
        prop_assert!(equivalent(&b) >= equivalent(&a));
        // Inboard of 60 % it counts for nothing.
        prop_assert!(at > 0 || equivalent(&b) == equivalent(&a));
        // No blade counts for less than a new one.
        prop_assert!(equivalent(&a) >= hours("2010-01-01", "2016-01-01") * (1.0 - 1e-12));
    }
}
