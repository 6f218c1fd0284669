//! Rates of findings and the fleet's curve from a fleet's records: against published figures, by hand, and laws.
mod curves;

use crate::fleet_folder::{FleetFolder, as_of, day, plain};
use crate::reference::{assert_close, number, table};
use crate::simple_hours::HoursPerDay;
use bladewane::analysis::defect_rate::watch::{HoursFrom, NoExposure};
use bladewane::analysis::defect_rate::{DefectRate, DefectRates, RateModel};
use bladewane::records::Fleet;
use bladewane::results::batches;
use bladewane::stats::rate_posterior::RateGrid;
use proptest::prelude::*;

const HEAD: &str = "propeller,in_service_date,acquired,reports_kept_since";

fn fleet_of(propellers: &str, defects: &str) -> FleetFolder {
    FleetFolder::empty()
        .with("propellers", &format!("{HEAD}\n{propellers}"))
        .with("defects", &format!("propeller,found_date,blade,station_pct,kind\n{defects}"))
}

/// The rates on 2020-01-01 of a fleet of which every propeller flies an hour a day.
fn rates(folder: &FleetFolder) -> DefectRates {
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2020-01-01");
    DefectRates::of(&fleet, &an_hour_a_day(&fleet))
}

fn an_hour_a_day(fleet: &Fleet<'_>) -> HoursPerDay {
    HoursPerDay(vec![Some(1.0); fleet.propellers.len()], Some(365.25))
}

fn of(folder: &FleetFolder, at: usize) -> DefectRate {
    rates(folder).propellers[at].clone()
}

// The ten pumps of Gaver & O'Muircheartaigh (1987), ten times over: the likelihood is the tenth power of theirs, so the
// fitted distribution and every pump's posterior are those of ten pumps, and a hundred propellers take the plug-in rule.
#[test]
fn a_hundred_pumps_have_the_published_rates() {
    let rows = table("stats/pumps_eb.csv");
    let value = |quantity: String| {
        let row = rows.iter().find(|r| r["times"] == "exact_times" && r["quantity"] == quantity);
        number(row.unwrap_or_else(|| panic!("{quantity}")), "value")
    };
    let pumps: Vec<(usize, f64)> =
        table("stats/pumps.csv").iter().map(|r| (number(r, "failures") as usize, number(r, "time_kh"))).collect();
    let (mut propellers, mut defects, mut a_day) = (String::new(), String::new(), Vec::new());
    // A pump's thousand hours stand for a hundred flight hours.
    let days = f64::from(day("2020-01-01") - day("2000-01-01"));
    for copy in 0..10 {
        for (at, (failures, time)) in pumps.iter().enumerate() {
            let serial = format!("P{copy}{at}");
            propellers += &format!("{serial},1999-01-01,new,2000-01-01\n");
            defects += &format!("{serial},2004-05-06,,,pit\n").repeat(*failures);
            a_day.push(Some(time * 100.0 / days));
        }
    }
    let folder = fleet_of(&propellers, &defects);
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2020-01-01");
    let rates = DefectRates::of(&fleet, &HoursPerDay(a_day, None));
    assert!(matches!(rates.model, Some(RateModel::PlugIn(_))));
    for (at, of) in rates.propellers.iter().enumerate() {
        let pump = at % 10 + 1;
        let rate = of.rate.expect("a rate");
        let published = |what: &str| value(format!("post_{what}_{pump}"));
        assert_close(rate.mean_per_100h, published("mean"), 1e-8, "mean");
        assert_close(rate.low_per_100h, published("q05"), 1e-7, "lower limit");
        assert_close(rate.high_per_100h, published("q95"), 1e-7, "upper limit");
        // What the model says of one propeller is what stands in its row.
        let watch = of.watch.as_ref().expect("exposure");
        let model = rates.model.as_ref().expect("a model");
        let again = model.rate(watch.findings, watch.hours).expect("a rate");
        assert_close(again.high_per_100h, rate.high_per_100h, 1e-9, "again");
    }
    let (events, time) =
        (pumps.iter().map(|p| p.0).sum::<usize>() as f64 * 10.0, pumps.iter().map(|p| p.1).sum::<f64>() * 10.0);
    let mean = (events + 0.5) / time;
    assert_close(rates.fleet_mean_per_100h.expect("hours"), mean, 1e-12, "fleet mean");
    assert_close(
        rates.relative_rate(3).expect("a rate"),
        value("post_mean_4".to_string()) / mean,
        1e-8,
        "relative rate",
    );
}

#[test]
fn a_small_fleet_averages_over_what_its_counts_leave_possible() {
    let folder = fleet_of(
        "A,2018-01-01,new,2019-01-01\nB,2018-01-01,new,2019-01-01\nC,2018-01-01,new,2019-01-01",
        "A,2019-02-01,1,70,nick\nA,2019-03-01,1,70,nick\nC,2019-04-01,2,80,pit",
    );
    let rates = rates(&folder);
    let hours = 3.65;
    let grid = RateGrid::new(&[2, 0, 1], &[hours; 3]).expect("a grid");
    for (of, n) in rates.propellers.iter().zip([2, 0, 1]) {
        let rate = of.rate.expect("a rate");
        let posterior = grid.posterior(n, hours);
        assert_close(rate.mean_per_100h, posterior.mean(), 1e-12, "mean");
        let (low, high) = posterior.limits(0.9).expect("a level");
        assert_close(rate.low_per_100h, low, 1e-9, "lower limit");
        assert_close(rate.high_per_100h, high, 1e-9, "upper limit");
    }
    assert_close(rates.fleet_mean_per_100h.expect("hours"), 3.5 / (3.0 * hours), 1e-12, "fleet mean");
}

#[test]
fn exposure_starts_when_reports_were_kept() {
    let folder = fleet_of(
        "A,2015-01-01,new,2018-06-01
        B,2015-01-01,new,
        C,2019-01-01,new,
        D,,unknown,
        E,2015-01-01,new,2018-13-01",
        "A,2017-03-01,1,70,nick
        A,2018-06-01,1,70,nick
        B,2017-01-01,1,70,nick
        D,2018-02-01,1,70,nick
        E,2018-02-01,1,70,nick",
    );
    let rates = rates(&folder);
    let watch = |at: usize| {
        let watch = rates.propellers[at].watch.expect("exposure");
        (watch.from, watch.findings, watch.hours)
    };
    let hours = |from: &str| f64::from(day("2020-01-01") - day(from));
    // A: its own date; the finding before it is on record and not in the rate.
    assert_eq!(watch(0), (day("2018-06-01"), 1, hours("2018-06-01")));
    assert_eq!(rates.propellers[0].findings_total, 2);
    // B: the fleet's first report. C: came later. D: the first record that it was there.
    assert_eq!(watch(1), (day("2017-01-01"), 1, hours("2017-01-01")));
    assert_eq!(watch(2), (day("2019-01-01"), 0, hours("2019-01-01")));
    assert_eq!(watch(3), (day("2018-02-01"), 1, hours("2018-02-01")));
    // E: hours before a date that cannot be read might count for nothing.
    assert_eq!(rates.propellers[4].watch, Err(NoExposure::SinceUnreadable));
    assert_eq!(rates.propellers[4].rate, None);
}

#[test]
fn no_reports_is_not_the_same_as_no_defects() {
    let silent = FleetFolder::empty().with("propellers", &format!("{HEAD}\nA,2015-01-01,new,"));
    assert_eq!(of(&silent, 0).watch, Err(NoExposure::NoReports));
    assert_eq!(rates(&silent).fleet_mean_per_100h, None);
    // Reports that were kept and are none are something else.
    let watched = FleetFolder::empty().with("propellers", &format!("{HEAD}\nA,2015-01-01,new,2019-01-01"));
    let rates = rates(&watched);
    let rate = rates.propellers[0].rate.expect("a rate");
    assert!(rate.low_per_100h < rate.mean_per_100h && rate.mean_per_100h < rate.high_per_100h);
    assert_close(rates.fleet_mean_per_100h.expect("hours"), 0.5 / 3.65, 1e-12, "fleet mean");
}

#[test]
fn a_large_fleet_before_its_first_finding_has_half_a_finding_in_all_hours() {
    let propellers: String = (0..120).map(|at| format!("P{at:03},2015-01-01,new,2019-01-01\n")).collect();
    let rates = rates(&FleetFolder::empty().with("propellers", &format!("{HEAD}\n{propellers}")));
    let mean = rates.fleet_mean_per_100h.expect("hours");
    assert_close(mean, 0.5 / (120.0 * 3.65), 1e-12, "fleet mean");
    for of in &rates.propellers {
        assert_close(of.rate.expect("a rate").mean_per_100h, mean, 1e-12, "rate");
    }
}

#[test]
fn strikes_are_kept_apart() {
    let folder = fleet_of(
        "A,2015-01-01,new,2015-01-01",
        "A,2016-01-01,1,70,strike\nA,2017-01-01,1,71,strike\nA,2018-01-01,1,72,nick\nA,2018-02-01,1,,lightning",
    );
    let of = of(&folder, 0);
    assert_eq!(of.findings_total, 4);
    assert_eq!(of.watch.expect("exposure").findings, 2);
    assert!(of.repeats.is_empty());
}

#[test]
fn findings_since_the_last_overhaul() {
    let folder = fleet_of(
        "A,2010-01-01,new,2010-01-01\nB,2010-01-01,new,2010-01-01",
        "A,2014-01-01,1,70,nick\nA,2015-01-01,1,70,nick\nA,2016-01-01,1,70,nick\nB,2014-01-01,1,70,nick",
    )
    .with(
        "overhauls",
        "propeller,overhaul_date,work,outcome
        A,2015-01-01,overhaul,released
        A,2017-01-01,repair,released",
    );
    // The one of the overhaul's own day is what it went there with.
    assert_eq!(of(&folder, 0).findings_since_overhaul, 1);
    assert_eq!(of(&folder, 1).findings_since_overhaul, 1);
}

#[test]
fn hours_that_are_not_known_are_years_at_the_fleets_median() {
    let folder = fleet_of("A,2018-01-01,new,2016-01-01\nB,2016-01-01,new,2016-01-01", "A,2019-02-01,1,70,nick");
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2020-01-01");
    let rates = DefectRates::of(&fleet, &HoursPerDay(vec![None, Some(0.5)], Some(180.0)));
    let watch = |at: usize| rates.propellers[at].watch.expect("exposure");
    // Two years on record (730 days), although reports were kept for four.
    assert_close(watch(0).hours, 730.0 / 365.25 * 180.0, 1e-12, "stand-in");
    assert_eq!(watch(0).hours_from, HoursFrom::FleetMedian);
    assert_eq!(watch(1).hours, 0.5 * 1461.0);
    assert_eq!(watch(1).hours_from, HoursFrom::Records);
    let nobody = DefectRates::of(&fleet, &HoursPerDay(vec![None, None], None));
    assert_eq!(nobody.propellers[0].watch, Err(NoExposure::NoHours));
    assert!(nobody.model.is_none());
}

#[test]
fn a_finding_without_hours_is_no_infinite_rate() {
    let folder = fleet_of(
        "A,2015-01-01,new,2020-01-01\nB,2015-01-01,new,2019-01-01",
        "A,2020-01-01,1,70,nick\nB,2019-06-01,1,70,nick",
    );
    let rates = rates(&folder);
    assert_eq!(rates.propellers[0].watch.expect("exposure").hours, 1.0);
    assert!(rates.propellers.iter().all(|p| p.rate.is_some()));
}

#[test]
fn a_report_that_cannot_be_read_still_counts() {
    let (propellers, good) =
        ("A,2015-01-01,new,2016-01-01\nB,2015-01-01,new,2016-01-01", "A,2017-01-01,1,70,nick\nB,2018-01-01,1,70,nick");
    let count = |defects: &str| of(&fleet_of(propellers, defects), 0).watch.expect("exposure").findings;
    assert_eq!(count(good), 1);
    for spoiled in [
        "A,2017-13-01,1,70,nick",
        "A,2017-01-01,9,70,nick",
        "A,2017-01-01,1,seventy,nick",
        "A,2017-01-01,1,70,nock",
        "A,2017-01-01,1,70,",
        "A,2017-01-01",
    ] {
        assert_eq!(count(&good.replace("A,2017-01-01,1,70,nick", spoiled)), 1, "{spoiled}");
    }
    // Dated before reports were kept it counts no more than one that can be read.
    assert_eq!(count(&good.replace("A,2017-01-01,1", "A,2015-06-01,9")), 0);
}

// Laplace: U = (mean/T - 1/2) sqrt(12 n). Four findings at 0.6, 0.7, 0.8 and 0.9 of the window: U = 0.25 sqrt(48) = sqrt 3,
// p = 2 (1 - Phi(sqrt 3)) = 0.0832645; scipy 1.17.1: 2*norm.sf(3**0.5) = 0.0832645166635504. Two tested: Holm doubles the
// smaller. A propeller with three findings is not tested.
#[test]
fn trends_are_adjusted_for_the_propellers_tested() {
    let at = |serial: &str, share: f64| {
        let found = day("2010-01-01") + (share * 3650.0).round() as i32;
        format!("{serial},{found},1,{},nick\n", 20.0 + 70.0 * share)
    };
    let mut defects: String = [0.6, 0.7, 0.8, 0.9].iter().map(|s| at("A", *s)).collect();
    defects += &[0.2, 0.4, 0.6, 0.8].map(|s| at("B", s)).concat();
    defects += &[0.8, 0.85, 0.9].map(|s| at("C", s)).concat();
    let propellers = ["A", "B", "C"].map(|s| format!("{s},2010-01-01,new,2010-01-01\n")).concat();
    let folder = fleet_of(&propellers, &defects);
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2019-12-30");
    assert_eq!(fleet.as_of - day("2010-01-01"), 3650, "the window");
    let hours = HoursPerDay(vec![Some(2.0), None, Some(2.0)], Some(700.0));
    let rates = DefectRates::of(&fleet, &hours);
    let p = |at: usize| rates.propellers[at].trend_p;
    assert_close(p(0).expect("tested"), 2.0 * 0.083_264_516_663_550_4, 1e-9, "p");
    assert_close(p(1).expect("tested, by the calendar"), 1.0, 1e-9, "p");
    assert_eq!(p(2), None);
}

#[test]
fn places_where_damage_comes_back_are_named() {
    let folder = fleet_of(
        "A,2010-01-01,new,2010-01-01",
        "A,2011-01-01,1,70,nick
        A,2012-01-01,1,79.1,nick
        A,2013-01-01,1,75,gouge
        A,2013-01-02,1,76,gouge
        A,2013-01-03,1,68,gouge
        A,2014-01-01,2,75,nick
        A,2015-01-01,1,40,nick
        A,2015-01-02,1,45.1,nick
        A,2016-01-01,2,90,nick
        A,2017-01-01,2,90.2,nick
        A,2018-01-01,,90,nick
        A,2019-01-01,1,,nick",
    );
    let words: Vec<String> = of(&folder, 0).repeats.iter().map(ToString::to_string).collect();
    // 75, 76 and 79.1 are together within 5 %; 70 belongs to 68 then. 40 and 45.1 are too far apart.
    assert_eq!(words, ["blade 1 at 68-70 %: 2", "blade 1 at 75-79 %: 3", "blade 2 at 90 %: 2"]);
}

#[test]
fn the_table_shows_counts_rates_and_places() {
    let folder = fleet_of(
        "A,2018-01-01,new,2019-01-01\nB,2018-01-01,new,2019-01-xx",
        "A,2019-02-01,1,70,nick\nA,2019-03-01,1,72,nick\nA,2019-03-02,2,30,pit\nA,2019-03-03,2,31,pit",
    );
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2020-01-01");
    let rates = DefectRates::of(&fleet, &an_hour_a_day(&fleet));
    let rows: Vec<&DefectRate> = rates.propellers.iter().collect();
    let open = |propeller| (propeller == 0).then_some(3);
    let batch = batches::defect_rate::defect_rate(&fleet, &rows, open).expect("the columns");
    let mut csv = Vec::new();
    arrow::csv::Writer::new(&mut csv).write(&batch).expect("written");
    let rate = rates.propellers[0].rate.expect("a rate");
    assert_eq!(
        String::from_utf8(csv).expect("text"),
        plain(&format!(
            "propeller,findings_since_overhaul,findings_total,hours,rate_per_100h,rate_low,rate_high,open_findings,trend_p,repeats
            A,4,4,365.0,{},{},{},3,{},blade 1 at 70-72 %: 2; blade 2 at 30-31 %: 2
            B,0,0,,,,,,,",
            rate.mean_per_100h,
            rate.low_per_100h,
            rate.high_per_100h,
            rates.propellers[0].trend_p.expect("tested"),
        ))
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    // With the fleet's own distribution held, one more finding never lowers a rate, nor its limits.
    #[test]
    fn another_finding_never_lowers_a_rate(
        units in prop::collection::vec((0u32..6, 50.0..2000.0f64), 2..12), extra in 1u32..4
    ) {
        let (n, h): (Vec<u32>, Vec<f64>) = units.iter().map(|u| (u.0, u.1 / 100.0)).unzip();
        let model = RateModel::Averaged(RateGrid::new(&n, &h).expect("a grid"));
        for &(n, hours) in &units {
            let (a, b) = (model.rate(n, hours).expect("a rate"), model.rate(n + extra, hours).expect("a rate"));
            prop_assert!(b.mean_per_100h >= a.mean_per_100h);
            prop_assert!(b.low_per_100h >= a.low_per_100h && b.high_per_100h >= a.high_per_100h);
        }
    }

    // A spoiled cell of a report never lowers its propeller's count, nor does another report.
    #[test]
    fn a_spoiled_report_never_lowers_a_count(
        reports in prop::collection::vec((0i32..3000, 1u8..3, 20u8..99, any::<bool>()), 1..8),
        which in 0usize..8, column in 1usize..5
    ) {
        let row = |r: &(i32, u8, u8, bool)| {
            let kind = if r.3 { "nick" } else { "strike" };
            vec!["A".to_string(), (day("2011-06-01") + r.0).to_string(), r.1.to_string(), r.2.to_string(), kind.to_string()]
        };
        let count = |rows: &[Vec<String>]| {
            let text = rows.iter().fold(String::new(), |text, row| text + &row.join(",") + "\n");
            let folder = fleet_of("A,2010-01-01,new,2012-01-01", &text);
            of(&folder, 0).watch.expect("exposure").findings
        };
        let rows: Vec<Vec<String>> = reports.iter().map(row).collect();
        let mut spoiled = rows.clone();
        spoiled[which % reports.len()][column] = "x?x".to_string();
        prop_assert!(count(&spoiled) >= count(&rows));
        prop_assert!(count(&rows) >= count(&rows[1..]));
    }
}
