//! Rates of findings and the fleet's curve from a fleet's records: against published figures, by hand, and laws.

mod fleet_folder;
mod reference;
mod simple_hours;

use bladewane::analysis::defect_rate::watch::{HoursFrom, NoExposure};
use bladewane::analysis::defect_rate::{DefectRate, DefectRates, RateModel};
use bladewane::analysis::mean_cumulative::{CurvePoint, Group, MOST_POINTS, curves};
use bladewane::records::Fleet;
use bladewane::results::batches;
use bladewane::stats::rate_posterior::RateGrid;
use fleet_folder::{FleetFolder, as_of, day, plain};
use proptest::prelude::*;
use reference::{assert_close, number, table};
use simple_hours::{HoursPerDay, StraightLines};

const HEAD: &str = "propeller,in_service_date,acquired,reports_kept_since";

fn fleet_of(propellers: &str, defects: &str) -> FleetFolder {
    FleetFolder::empty()
        .with("propellers", &format!("{HEAD}\n{propellers}"))
        .with(
            "defects",
            &format!("propeller,found_date,blade,station_pct,kind\n{defects}"),
        )
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
        let row = rows
            .iter()
            .find(|r| r["times"] == "exact_times" && r["quantity"] == quantity);
        number(row.unwrap_or_else(|| panic!("{quantity}")), "value")
    };
    let pumps: Vec<(usize, f64)> = table("stats/pumps.csv")
        .iter()
        .map(|r| (number(r, "failures") as usize, number(r, "time_kh")))
        .collect();
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
    let (events, time) = (
        pumps.iter().map(|p| p.0).sum::<usize>() as f64 * 10.0,
        pumps.iter().map(|p| p.1).sum::<f64>() * 10.0,
    );
    let mean = (events + 0.5) / time;
    assert_close(
        rates.fleet_mean_per_100h.expect("hours"),
        mean,
        1e-12,
        "fleet mean",
    );
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
    assert_close(
        rates.fleet_mean_per_100h.expect("hours"),
        3.5 / (3.0 * hours),
        1e-12,
        "fleet mean",
    );
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
    let watched = FleetFolder::empty().with(
        "propellers",
        &format!("{HEAD}\nA,2015-01-01,new,2019-01-01"),
    );
    let rates = rates(&watched);
    let rate = rates.propellers[0].rate.expect("a rate");
    assert!(rate.low_per_100h < rate.mean_per_100h && rate.mean_per_100h < rate.high_per_100h);
    assert_close(
        rates.fleet_mean_per_100h.expect("hours"),
        0.5 / 3.65,
        1e-12,
        "fleet mean",
    );
}

#[test]
fn a_large_fleet_before_its_first_finding_has_half_a_finding_in_all_hours() {
    let propellers: String = (0..120)
        .map(|at| format!("P{at:03},2015-01-01,new,2019-01-01\n"))
        .collect();
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
    let folder = fleet_of(
        "A,2018-01-01,new,2016-01-01\nB,2016-01-01,new,2016-01-01",
        "A,2019-02-01,1,70,nick",
    );
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
    let (propellers, good) = (
        "A,2015-01-01,new,2016-01-01\nB,2015-01-01,new,2016-01-01",
        "A,2017-01-01,1,70,nick\nB,2018-01-01,1,70,nick",
    );
    let count = |defects: &str| {
        of(&fleet_of(propellers, defects), 0)
            .watch
            .expect("exposure")
            .findings
    };
    assert_eq!(count(good), 1);
    for spoiled in [
        "A,2017-13-01,1,70,nick",
        "A,2017-01-01,9,70,nick",
        "A,2017-01-01,1,seventy,nick",
        "A,2017-01-01,1,70,nock",
        "A,2017-01-01,1,70,",
        "A,2017-01-01",
    ] {
        assert_eq!(
            count(&good.replace("A,2017-01-01,1,70,nick", spoiled)),
            1,
            "{spoiled}"
        );
    }
    // Dated before reports were kept it counts no more than one that can be read.
    assert_eq!(count(&good.replace("A,2017-01-01,1", "A,2015-06-01,9")), 0);
}

// Laplace: U = (mean/T - 1/2) sqrt(12 n). Four findings at 0.6, 0.7, 0.8 and 0.9 of the window: U = 0.25 sqrt(48) = sqrt 3,
// p = 2 (1 - Phi(sqrt 3)) = 0.0832645; scipy 1.17.1: 2*norm.sf(3**0.5) = 0.08326451666355039. Two tested: Holm doubles the
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
    let propellers = ["A", "B", "C"]
        .map(|s| format!("{s},2010-01-01,new,2010-01-01\n"))
        .concat();
    let folder = fleet_of(&propellers, &defects);
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2019-12-30");
    assert_eq!(fleet.as_of - day("2010-01-01"), 3650, "the window");
    let hours = HoursPerDay(vec![Some(2.0), None, Some(2.0)], Some(700.0));
    let rates = DefectRates::of(&fleet, &hours);
    let p = |at: usize| rates.propellers[at].trend_p;
    assert_close(
        p(0).expect("tested"),
        2.0 * 0.083_264_516_663_550_39,
        1e-9,
        "p",
    );
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
        A,2014-01-01,2,75,nick
        A,2015-01-01,1,40,nick
        A,2015-01-02,1,45.1,nick
        A,2016-01-01,2,90,nick
        A,2017-01-01,2,90.2,nick
        A,2018-01-01,,90,nick
        A,2019-01-01,1,,nick",
    );
    let words: Vec<String> = of(&folder, 0)
        .repeats
        .iter()
        .map(ToString::to_string)
        .collect();
    assert_eq!(words, ["blade 1 at 70-79 %: 3", "blade 2 at 90 %: 2"]);
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
    arrow::csv::Writer::new(&mut csv)
        .write(&batch)
        .expect("written");
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

// Valve seats of 41 engines (Nelson & Doganaksoy 1989; Meeker & Escobar 1998): an engine is a propeller that flies an hour
// a day, and its end the day it was scrapped. Mean, limits and number at risk by R survival, see the table's head.
#[test]
fn valve_seats_as_a_fleet() {
    let first = day("2010-01-01");
    let (mut ends, mut defects) = (std::collections::BTreeMap::new(), String::new());
    for row in table("stats/valve_seat.csv") {
        let time = number(&row, "time") as i32;
        let end = ends.entry(row["id"].clone()).or_insert(0);
        *end = time.max(*end);
        if row["status"] == "1" {
            defects += &format!("{},{},,,pit\n", row["id"], first + time);
        }
    }
    let propellers = ends
        .iter()
        .fold(format!("{HEAD},status,end_date"), |text, (id, end)| {
            format!("{text}\n{id},{first},new,{first},scrapped,{}", first + *end)
        });
    let folder = fleet_of("", &defects).with("propellers", &propellers);
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2020-01-01");
    let hours = an_hour_a_day(&fleet);
    let rates = DefectRates::of(&fleet, &hours);
    let points = curves(&fleet, &hours, &rates);
    let rows = table("stats/valve_seat_mcf.csv");
    assert_eq!(points.len(), rows.len());
    for (point, row) in points.iter().zip(&rows) {
        let expect = |column: &str| number(row, column);
        assert_eq!(point.group, Group::All);
        assert_eq!(
            (point.hours, point.at_risk as f64),
            (expect("age"), expect("at_risk"))
        );
        assert_close(point.mean, expect("mcf"), 1e-11, "mean");
        let (low, high) = point.limits.expect("many engines");
        assert_close(low, expect("lo95_log"), 1e-10, "lower limit");
        assert_close(high, expect("hi95_log"), 1e-10, "upper limit");
    }
}

fn moving_fleet(kept_at: &str) -> FleetFolder {
    FleetFolder::empty()
        .with(
            "propellers",
            &format!(
                "{HEAD},base
                A,2010-01-01,new,2010-01-01,Moor
                B,2010-01-01,new,2011-01-01,Quay
                C,2012-01-01,used,2012-01-01,Quay"
            ),
        )
        .with(
            "bases",
            "base,air,surface\nMoor,rural,grass\nQuay,coast,paved\nDell,town,grass",
        )
        .with("kept_at", &format!("propeller,base,from_date\n{kept_at}"))
        .with(
            "defects",
            "propeller,found_date,kind
            A,2010-04-11,nick
            A,2011-01-01,nick
            A,2011-01-11,strike
            B,2011-01-11,pit
            B,2010-06-01,pit
            C,2013-01-01,pit",
        )
}

fn moved_curves(kept_at: &str) -> Vec<(String, f64, f64, usize)> {
    let folder = moving_fleet(kept_at);
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2020-01-01");
    let hours = an_hour_a_day(&fleet);
    let rates = DefectRates::of(&fleet, &hours);
    curves(&fleet, &hours, &rates)
        .iter()
        .map(|p: &CurvePoint| (p.group.words(&fleet), p.hours, p.mean, p.at_risk))
        .collect()
}

// A from age 0 with findings at 100 and 365; B from age 365, with one at 375 (the one before is not in it). C has no hours
// since new on record. A lived at Moor, from 2011 on at Quay: its finding of that day is Quay's.
#[test]
fn curves_of_all_of_a_base_while_there_and_of_a_runway() {
    let got = moved_curves("A,Moor,2010-01-01\nA,Quay,2011-01-01");
    let row =
        |group: &str, hours: f64, mean: f64, at_risk| (group.to_string(), hours, mean, at_risk);
    assert_eq!(
        got,
        [
            row("all", 100.0, 1.0, 1),
            row("all", 365.0, 1.5, 2),
            row("all", 375.0, 2.0, 2),
            row("base Moor", 100.0, 1.0, 1),
            row("base Quay", 365.0, 0.5, 2),
            row("base Quay", 375.0, 1.0, 2),
            row("runway paved", 365.0, 0.5, 2),
            row("runway paved", 375.0, 1.0, 2),
            row("runway grass", 100.0, 1.0, 1),
        ]
    );
    // Two bases with one surface are one runway's time, and a stay cut in two changes nothing.
    let grass = moved_curves("A,Moor,2010-01-01\nA,Dell,2010-03-01");
    let of = |list: &[(String, f64, f64, usize)], group: &str| -> Vec<(f64, f64)> {
        let own = list.iter().filter(|p| p.0 == group);
        own.map(|p| (p.1, p.2)).collect()
    };
    assert_eq!(of(&grass, "runway grass"), [(100.0, 1.0), (365.0, 2.0)]);
    assert_eq!(of(&grass, "base Dell"), [(100.0, 1.0), (365.0, 2.0)]);
    assert_eq!(
        moved_curves("A,Moor,2010-01-01\nA,Moor,2010-03-01\nA,Quay,2011-01-01"),
        got
    );
}

#[test]
fn hours_since_new_on_record_bring_a_used_propeller_in() {
    let folder = moving_fleet("A,Moor,2010-01-01").with(
        "hours",
        "propeller,reading_date,hours_since_new\nC,2012-01-01,1000\nC,2014-01-01,1731",
    );
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2020-01-01");
    let hours = StraightLines::of(&fleet);
    let rates = DefectRates::of(&fleet, &hours);
    let points = curves(&fleet, &hours, &rates);
    // A and B have no readings; C is watched from 1,000 h on and has its finding a year later, at an hour a day.
    let all: Vec<&CurvePoint> = points.iter().filter(|p| p.group == Group::All).collect();
    assert_eq!(all.len(), 1);
    assert_eq!(
        (all[0].hours, all[0].mean, all[0].limits),
        (1366.0, 1.0, None)
    );
    let batch = batches::defect_rate::mean_cumulative(&fleet, &points).expect("the columns");
    assert_eq!(batch.num_rows(), points.len());
}

#[test]
fn a_long_curve_keeps_exact_points_and_its_end() {
    let mut defects = String::new();
    for at in 0..1200 {
        let serial = if at % 3 == 0 { "A" } else { "B" };
        defects += &format!("{serial},{},,,pit\n", day("2011-01-01") + 2 * at);
    }
    let folder = fleet_of(
        "A,2011-01-01,new,2011-01-01\nB,2011-01-01,new,2011-01-01",
        &defects,
    );
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2020-01-01");
    let hours = an_hour_a_day(&fleet);
    let points = curves(&fleet, &hours, &DefectRates::of(&fleet, &hours));
    assert_eq!(points.len(), MOST_POINTS);
    for point in &points {
        // One finding every two hours, two propellers.
        assert_close(point.mean, (point.hours / 2.0 + 1.0) / 2.0, 1e-12, "mean");
    }
    assert_eq!(points.last().map(|p| p.hours), Some(2398.0));
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
