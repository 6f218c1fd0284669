//! The fleet's curve: against published figures, by base and runway, and by hand.

use super::{HEAD, an_hour_a_day, fleet_of};
use crate::fleet_folder::{FleetFolder, as_of, day};
use crate::reference::{assert_close, number, table};
use crate::simple_hours::StraightLines;
use bladewane::analysis::defect_rate::DefectRates;
use bladewane::analysis::mean_cumulative::{CurvePoint, Group, MOST_POINTS, curves};
use bladewane::results::batches;

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
    let propellers = ends.iter().fold(format!("{HEAD},status,end_date"), |text, (id, end)| {
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
        assert_eq!((point.hours, point.at_risk as f64), (expect("age"), expect("at_risk")));
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
        .with("bases", "base,air,surface\nMoor,rural,grass\nQuay,coast,paved\nDell,town,grass")
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
    let row = |group: &str, hours: f64, mean: f64, at_risk| (group.to_string(), hours, mean, at_risk);
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
    assert_eq!(moved_curves("A,Moor,2010-01-01\nA,Moor,2010-03-01\nA,Quay,2011-01-01"), got);
}

#[test]
fn hours_since_new_on_record_bring_a_used_propeller_in() {
    let folder = moving_fleet("A,Moor,2010-01-01")
        .with("hours", "propeller,reading_date,hours_since_new\nC,2012-01-01,1000\nC,2014-01-01,1731");
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2020-01-01");
    let hours = StraightLines::of(&fleet);
    let rates = DefectRates::of(&fleet, &hours);
    let points = curves(&fleet, &hours, &rates);
    // A and B have no readings; C is watched from 1,000 h on and has its finding a year later, at an hour a day.
    let all: Vec<&CurvePoint> = points.iter().filter(|p| p.group == Group::All).collect();
    assert_eq!(all.len(), 1);
    assert_eq!((all[0].hours, all[0].mean, all[0].limits), (1366.0, 1.0, None));
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
    let folder = fleet_of("A,2011-01-01,new,2011-01-01\nB,2011-01-01,new,2011-01-01", &defects);
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
