//! Climate exposure from a fleet's records: by hand, what bad records do, and laws.
mod laws;

use crate::fleet_folder::{FleetFolder, as_of, cautions, check_account, day, plain, set_aside};
use bladewane::analysis::exposure::air::{AirSource, Airs};
use bladewane::analysis::exposure::start::Start;
use bladewane::analysis::exposure::{Exposure, ExposureReader};
use bladewane::records::Fleet;
use bladewane::results::batches;
use bladewane::settings::{AirCategory, Settings};
use bladewane::trade::calendar::DAYS_PER_YEAR;

const BASES: &str = "
    base,temperature_c,relative_humidity_pct,so2_deposition_mg_m2_day,chloride_deposition_mg_m2_day,corrosivity,air
    Dell,20,75,10,60,,
    Moor,,,,,C2,
    Quay,,,,,,sea front
    Mist,,,,,,";

/// Exposure of a propeller with the settings given.
fn exposure_with(fleet: &Fleet<'_>, serial: &str, settings: &Settings) -> Exposure {
    let airs = Airs::of_fleet(fleet, &settings.exposure);
    let mut reader = ExposureReader::new(fleet, &airs, settings.exposure.hangar_factor);
    let propeller = fleet.propellers.find(serial).expect("a listed serial");
    reader.of(propeller).expect("an exposure")
}

fn exposure(fleet: &Fleet<'_>, serial: &str) -> Exposure {
    exposure_with(fleet, serial, &Settings::default())
}

/// `A1`, new on 2010-01-01, with stays and visits as given.
fn one(base: &str, kept_at: &str, overhauls: &str) -> FleetFolder {
    let mut folder = FleetFolder::empty()
        .with("propellers", &format!("propeller,base,in_service_date,acquired\nA1,{base},2010-01-01,new"))
        .with("bases", BASES);
    if !kept_at.is_empty() {
        folder = folder.with("kept_at", &format!("propeller,base,from_date,kept\n{kept_at}"));
    }
    if !overhauls.is_empty() {
        folder = folder.with("overhauls", &format!("propeller,overhaul_date,work,outcome\n{overhauls}"));
    }
    folder
}

fn index_of(folder: &FleetFolder, date: &str) -> f64 {
    let loaded = folder.load();
    exposure(&as_of(&loaded, date), "A1").index_g_m2
}

/// `(Sum r^(1/b) t)^b` of (rate, days), written apart from the program; good for 20 years.
fn power_law(stays: &[(f64, i32)]) -> f64 {
    let b = 0.728_f64;
    let sum: f64 = stays.iter().map(|&(rate, days)| rate.powf(1.0 / b) * f64::from(days) / DAYS_PER_YEAR).sum();
    sum.powf(b)
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs())
}

#[track_caller]
fn assert_close(a: f64, b: f64) {
    assert!(close(a, b), "{a} is not {b}");
}

fn days(from: &str, to: &str) -> i32 {
    day(to) - day(from)
}

// Rate of (20, 75, 10, 60): arithmetic on ISO 9223:2012 eq. 4, coefficients from memory.
#[test]
fn a_life_at_the_home_base_is_the_plain_power_law() {
    let folder = one("Dell", "", "");
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2016-01-01");
    let got = exposure(&fleet, "A1");
    assert!((got.air.rate_g_m2_year - 0.712383).abs() < 5e-7);
    let years = f64::from(days("2010-01-01", "2016-01-01")) / DAYS_PER_YEAR;
    assert_close(got.index_g_m2, got.air.rate_g_m2_year * years.powf(0.728));
    assert_eq!(got.start, Start::Fresh(day("2010-01-01")));
    assert_eq!(got.years(), Some(years));
    assert_eq!(got.air.corrosivity.map(|c| c.word()), Some("C3"));
    assert_eq!(got.basis(&fleet), "annual means");
}

// Category limits of ISO 9223:2012 table 2, from memory; words and CX by this program's own assignment.
#[test]
fn the_air_of_a_base_by_means_else_category_else_words_else_the_worst() {
    let folder = FleetFolder::small().with(
        "bases",
        "base,temperature_c,relative_humidity_pct,so2_deposition_mg_m2_day,chloride_deposition_mg_m2_day,corrosivity,air
        all,25,80,10,300,C2,rural
        category,,,,,C4,rural
        c1,,,,,c1,
        cx,,,,,CX,
        words,,,,,,Coast
        partly,25,80,10,,C3,
        partly alone,25,80,10,,,
        nothing,,,,,,",
    );
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2020-01-01");
    let mut settings = Settings::default();
    settings.exposure.coast = AirCategory::C5;
    settings.exposure.cx_rate_g_m2_year = 20.0;
    settings.exposure.c1_rate_g_m2_year = 0.2;
    let airs = Airs::of_fleet(&fleet, &settings.exposure);
    let of = |name: &str| *airs.of(fleet.places.find(name));
    let computed = of("all");
    assert!((computed.rate_g_m2_year - 2.951675).abs() < 5e-7);
    assert_eq!(computed.source, AirSource::AnnualMeans);
    assert!(computed.stated_milder);
    for (name, rate, source) in [
        ("category", 5.0, AirSource::Category),
        ("c1", 0.2, AirSource::Category),
        ("cx", 20.0, AirSource::Category),
        ("words", 10.0, AirSource::PlainWords),
        ("partly", 2.0, AirSource::Category),
        ("partly alone", 20.0, AirSource::NotRecorded),
        ("nothing", 20.0, AirSource::NotRecorded),
    ] {
        let air = of(name);
        assert_eq!((air.rate_g_m2_year, air.source), (rate, source), "{name}");
        assert_eq!(air.is_known(), source != AirSource::NotRecorded, "{name}");
    }
    let none = airs.of(None);
    assert_eq!((none.rate_g_m2_year, none.corrosivity), (20.0, None));
}

#[test]
fn bad_rows_of_bases_are_set_aside_and_leave_the_worst_air() {
    let worst = 15.0 * (f64::from(days("2010-01-01", "2016-01-01")) / DAYS_PER_YEAR).powf(0.728);
    for (row, column) in [
        ("Dell,20,175,10,60,,", "relative_humidity_pct"),
        ("Dell,20,-5,10,60,,", "relative_humidity_pct"),
        ("Dell,300,75,10,60,,", "temperature_c"),
        ("Dell,20,75,-1,60,,", "so2_deposition_mg_m2_day"),
        ("Dell,20,75,10,6x,,", "chloride_deposition_mg_m2_day"),
    ] {
        let folder = one("Dell", "", "").with("bases", &BASES.replace("Dell,20,75,10,60,,", row));
        let loaded = folder.load();
        let fleet = as_of(&loaded, "2016-01-01");
        check_account(&fleet);
        let aside = set_aside(&fleet);
        assert_eq!(aside.len(), 1, "{row}");
        assert!(aside[0].contains(column), "{}", aside[0]);
        let got = exposure(&fleet, "A1");
        assert_close(got.index_g_m2, worst);
        assert!(got.basis(&fleet).starts_with("air not known"), "{row}");
        assert_eq!(got.air.corrosivity, None);
    }
    // A second row that cannot be used, or that says something else, leaves the first one in doubt.
    for (more, source) in [
        ("Moor,900,75,10,60,,", AirSource::Unreadable),
        ("Moor,1,2", AirSource::Unreadable),
        ("Moor,,,,,C3,", AirSource::Contradicted),
    ] {
        let folder = one("Moor", "", "").with("bases", &format!("{BASES}\n{more}"));
        let loaded = folder.load();
        let fleet = as_of(&loaded, "2016-01-01");
        let got = exposure(&fleet, "A1");
        assert_eq!(got.air.source, source, "{more}");
        assert_close(got.index_g_m2, worst);
    }
    // A category that cannot be read may have been a bad one; annual means do not need it.
    let folder = one("Moor", "", "")
        .with("bases", &BASES.replace("Moor,,,,,C2,", "Moor,,,,,C9,rural").replace("60,,", "60,C9,"));
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2016-01-01");
    assert_eq!(exposure(&fleet, "A1").air.source, AirSource::Unreadable);
    assert_eq!(cautions(&fleet).iter().filter(|c| c.contains("C9")).count(), 2);
    let airs = Airs::of_fleet(&fleet, &Settings::default().exposure);
    assert_eq!(airs.of(fleet.places.find("Dell")).source, AirSource::AnnualMeans);
}

#[test]
fn annual_means_outside_the_range_are_held_and_told() {
    let folder = one("Dell", "", "").with("bases", &BASES.replace("60,,", "900,,"));
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2016-01-01");
    let got = exposure(&fleet, "A1");
    assert_eq!(got.clamped_bases.len(), 1);
    assert_eq!(got.basis(&fleet), "annual means; annual means of Dell outside the function's range, held at its edge");
}

#[test]
fn each_stay_holds_until_the_next() {
    let stays = "A1,Moor,2009-06-01,hangar\nA1,Quay,2012-01-01,outside\nA1,Dell,2030-01-01,outside";
    let folder = one("Dell", stays, "");
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2014-01-01");
    let got = exposure(&fleet, "A1");
    // The stay that began before the first day counts from that day; the one of a later day is not known yet.
    let (moor, quay) = (days("2010-01-01", "2012-01-01"), days("2012-01-01", "2014-01-01"));
    assert_close(got.index_g_m2, power_law(&[(0.6, moor), (10.0, quay)]));
    assert_eq!(got.base, fleet.places.find("Quay"));
    assert_eq!(got.air.rate_g_m2_year, 10.0);
    assert_eq!(got.basis(&fleet), "description of the air");
    // A hangar counts for something only when the setting says so.
    let mut settings = Settings::default();
    settings.exposure.hangar_factor = 0.5;
    let credit = exposure_with(&fleet, "A1", &settings);
    assert_close(credit.index_g_m2, power_law(&[(0.3, moor), (10.0, quay)]));
    assert_eq!(credit.basis(&fleet), "description of the air; credit for the hangar");
}

#[test]
fn where_it_lived_is_not_known_counts_as_the_worst_air() {
    let all = days("2010-01-01", "2016-01-01");
    let (first, rest) = (days("2010-01-01", "2012-01-01"), days("2012-01-01", "2016-01-01"));
    for (stays, expected, words) in [
        // Begun late: where it lived before is not recorded, whatever its home base is today.
        (
            "A1,Moor,2012-01-01,",
            vec![(15.0, first), (0.6, rest)],
            "corrosivity category; air not known for 2.0 of 6.0 years, the worst rate taken",
        ),
        // A base that nobody defined.
        (
            "A1,Moor,2010-01-01,\nA1,Moore,2012-01-01,",
            vec![(0.6, first), (15.0, rest)],
            "air not known: no listed base on record; air not known for 4.0 of 6.0 years, the worst rate taken",
        ),
        // A base without a word on its air.
        (
            "A1,Moor,2010-01-01,\nA1,Mist,2012-01-01,",
            vec![(0.6, first), (15.0, rest)],
            "air not known: not recorded for the base; air not known for 4.0 of 6.0 years, the worst rate taken",
        ),
        // Two bases on one day.
        (
            "A1,Moor,2010-01-01,\nA1,Moor,2012-01-01,\nA1,Quay,2012-01-01,",
            vec![(0.6, first), (15.0, rest)],
            "air not known: no listed base on record; air not known for 4.0 of 6.0 years, the worst rate taken",
        ),
        // A day that cannot be read: it may be any.
        ("A1,Moor,2010-01-01,\nA1,Quay,2012-13-01,", vec![(15.0, all)], "air not known: no listed base on record"),
    ] {
        let folder = one("Dell", stays, "");
        let loaded = folder.load();
        let fleet = as_of(&loaded, "2016-01-01");
        check_account(&fleet);
        let got = exposure(&fleet, "A1");
        assert_close(got.index_g_m2, power_law(&expected));
        assert_eq!(got.basis(&fleet), words, "{stays}");
    }
    for base in ["", "Moore"] {
        assert_close(index_of(&one(base, "", ""), "2016-01-01"), power_law(&[(15.0, all)]));
    }
}

#[test]
fn exposure_starts_at_the_last_overhaul_that_restarts_the_clock() {
    let start = |overhauls: &str| {
        let folder = one("Moor", "", overhauls);
        let loaded = folder.load();
        exposure(&as_of(&loaded, "2016-01-01"), "A1").start
    };
    let (new, overhauled) = (Start::Fresh(day("2010-01-01")), Start::Overhaul(day("2013-01-01")));
    assert_eq!(start("A1,2013-01-01,overhaul,released"), overhauled);
    for other in [
        "A1,2013-01-01,repair,released",
        "A1,2013-01-01,overhaul,rejected",
        "A1,2013-01-01,,released",
        "A1,2013-01-01,overhaul,",
        "A1,2013-01-01,overhoul,released",
        "A1,2013-31-01,overhaul,released",
        "A1,2017-01-01,overhaul,released",
    ] {
        assert_eq!(start(other), new, "{other}");
    }
    let both = "A1,2013-01-01,overhaul,released\nA1,2014-01-01,overhaul,";
    assert_eq!(start(both), overhauled);
}

#[test]
fn a_start_that_is_not_known_is_said_and_ranked_by_the_longest() {
    let folder = FleetFolder::empty()
        .with("bases", BASES)
        .with(
            "propellers",
            "propeller,base,in_service_date,acquired
            used,Moor,2010-01-01,used
            undated,Moor,,new
            shop,Moor,,unknown
            lost,Moor,2010-01-01,used",
        )
        .with(
            "overhauls",
            "propeller,overhaul_date,work,outcome
            used,2008-01-01,repair,released
            shop,2015-01-01,overhaul,released
            lost,20x5-01-01,overhaul,released",
        );
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2016-01-01");
    let used = exposure(&fleet, "used");
    // The visit before its first day on record may have been an overhaul, so exposure is not shorter than from there.
    assert_eq!(used.start, Start::OnRecord(day("2008-01-01")));
    assert!(used.start.is_lower_bound());
    assert!(used.basis(&fleet).contains("at least this"));
    assert_eq!(exposure(&fleet, "shop").start, Start::Overhaul(day("2015-01-01")));
    for serial in ["undated", "lost"] {
        let got = exposure(&fleet, serial);
        assert_eq!(got.start, Start::NotKnown, "{serial}");
        assert_eq!((got.years(), got.known_index_g_m2()), (None, None));
        assert_eq!(got.basis(&fleet), "corrosivity category; start not known; ranked by the longest time there can be");
        // 86 years at one rate: 0.6 (20^0.728 + 0.728 20^-0.272 66).
        let years = f64::from(days("1930-01-01", "2016-01-01")) / DAYS_PER_YEAR;
        let expected = 0.6 * (20f64.powf(0.728) + 0.728 * 20f64.powf(-0.272) * (years - 20.0));
        assert_close(got.index_g_m2, expected);
    }
}

#[test]
fn a_scrapped_propeller_counts_to_its_last_day() {
    let folder = FleetFolder::empty().with("bases", BASES).with(
        "propellers",
        "propeller,base,in_service_date,acquired,status,end_date
        A1,Moor,2010-01-01,new,scrapped,2012-01-01",
    );
    let expected = power_law(&[(0.6, days("2010-01-01", "2012-01-01"))]);
    assert_close(index_of(&folder, "2016-01-01"), expected);
}

#[test]
fn the_table_shows_what_is_known_and_nothing_else() {
    let folder = FleetFolder::empty().with("bases", BASES).with(
        "propellers",
        "propeller,base,in_service_date,acquired
            A1,Quay,2010-01-01,new
            A2,Nowhere,,new",
    );
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2016-01-01");
    let rows = [exposure(&fleet, "A1"), exposure(&fleet, "A2")];
    let batch = batches::exposure::exposure(&fleet, &rows).expect("the table's columns");
    let mut csv = Vec::new();
    arrow::csv::Writer::new(&mut csv).write(&batch).expect("written");
    assert_eq!(
        String::from_utf8(csv).expect("text"),
        plain(&format!(
            "propeller,since_date,years,base,corrosivity,rate_g_m2_year,exposure_index_g_m2,basis
            A1,2010-01-01,{},Quay,C5,10.0,{},description of the air
            A2,,,,,15.0,,air not known: no listed base on record; start not known; ranked by the longest time there can be",
            rows[0].years().expect("known"),
            rows[0].index_g_m2,
        ))
    );
}
