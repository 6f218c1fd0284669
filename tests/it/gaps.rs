//! What a propeller's file lacks: a complete file lacks nothing, and each lost record is found missing.

use crate::fleet_folder::{FleetFolder, as_of};
use bladewane::analysis::gaps::Missing;
use bladewane::results::answers::Answers;
use bladewane::settings::Settings;

const PROPELLERS: &str = "
    propeller,model,use,base,in_service_date,acquired,reports_kept_since
    A1,M76,club,Moor,2015-01-01,new,2015-01-01";
const BASES: &str = "base,air\nMoor,rural";
const OVERHAULS: &str = "
    propeller,overhaul_date,work,outcome,hours_since_new
    A1,2020-05-01,overhaul,released,1500";
const HOURS: &str = "
    propeller,reading_date,hours_since_new
    A1,2015-01-01,0
    A1,2020-05-01,1500
    A1,2025-11-01,2600
    A1,2025-12-20,2650";
const DEFECTS: &str = "
    propeller,found_date,blade,station_pct,surface,kind,depth_in,length_in,width_in,action,action_date
    A1,2025-03-01,1,60,leading_edge,nick,0.02,0.1,0.1,none,";
const MEASUREMENTS: &str = "
    propeller,overhaul_date,blade,station_pct,width_before_in,width_after_in,thickness_before_in,thickness_after_in
    A1,2020-05-01,1,30,5.40,5.39,0.970,0.962
    A1,2020-05-01,1,60,5.43,5.42,0.470,0.462
    A1,2020-05-01,1,90,3.74,3.73,0.244,0.236
    A1,2020-05-01,2,30,5.40,5.39,0.970,0.962
    A1,2020-05-01,2,60,5.43,5.42,0.470,0.462
    A1,2020-05-01,2,90,3.74,3.73,0.244,0.236";

/// The complete file with tables in place of its own.
fn missing_with(tables: &[(&str, &str)]) -> Vec<(Missing, String)> {
    let mut folder = FleetFolder::small()
        .with("propellers", PROPELLERS)
        .with("bases", BASES)
        .with("overhauls", OVERHAULS)
        .with("hours", HOURS)
        .with("defects", DEFECTS)
        .with("measurements", MEASUREMENTS);
    for (name, table) in tables {
        folder = folder.with(name, table);
    }
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let settings = Settings::default();
    let answers = Answers::new(&fleet, &settings);
    let gaps = answers.gaps();
    assert!(gaps.is_sorted_by_key(|g| g.missing));
    gaps.iter().map(|g| (g.missing, g.what.clone())).collect()
}

#[test]
fn a_complete_file_lacks_nothing() {
    assert_eq!(missing_with(&[]), []);
}

#[test]
fn each_lost_record_is_found_missing() {
    let without = |table: &str, from: &str, to: &str| {
        assert!(table.contains(from), "{from}");
        table.replace(from, to)
    };
    for (name, table, expected) in [
        ("propellers", without(PROPELLERS, "club", ""), Missing::Use),
        ("propellers", without(PROPELLERS, "Moor,", ","), Missing::Base),
        ("propellers", without(PROPELLERS, "A1,M76", "A1,"), Missing::Model),
        ("bases", without(BASES, "rural", ""), Missing::Air),
        ("overhauls", without(OVERHAULS, "released", ""), Missing::Outcome),
        ("overhauls", without(OVERHAULS, ",overhaul,", ",,"), Missing::Work),
        ("overhauls", without(OVERHAULS, "A1,2020-05-01", "A1,2020-05-99"), Missing::Visit),
        ("hours", without(HOURS, "A1,2025-11-01,2600\n    A1,2025-12-20,2650", ""), Missing::Hours),
        ("defects", without(DEFECTS, "0.02,", ","), Missing::FindingSize),
        ("defects", without(DEFECTS, "2025-03-01", "2025-03-99"), Missing::DamageReport),
        (
            "measurements",
            without(MEASUREMENTS, "0.236\n    A1,2020-05-01,2,30", "\n    A1,2020-05-01,2,30"),
            Missing::Readings,
        ),
        ("models", without(crate::fleet_folder::MODELS, "2000,72", "2000,"), Missing::Interval),
        (
            "limits",
            without(crate::fleet_folder::LIMITS, "M76,90,3.750,3.560,0.249,0.189", "M76,90,3.750,x,0.249,0.189"),
            Missing::Limits,
        ),
    ] {
        let missing = missing_with(&[(name, &table)]);
        assert!(missing.iter().any(|(m, _)| *m == expected), "{name} {expected:?}: {missing:?}");
    }
}

#[test]
fn a_serial_alone_lacks_what_comes_first() {
    let folder = FleetFolder::empty().with("propellers", "propeller\nA1");
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let settings = Settings::default();
    let missing: Vec<Missing> = Answers::new(&fleet, &settings).gaps().iter().map(|g| g.missing).collect();
    assert_eq!(
        missing,
        [Missing::Overhaul, Missing::Model, Missing::ReportsSince, Missing::Base, Missing::InService, Missing::Use]
    );
}

/// Of what the last overhaul settled nothing is asked for any more.
#[test]
fn visits_before_the_last_overhaul_are_let_be() {
    let overhauls = "
        propeller,overhaul_date,work,outcome,hours_since_new
        A1,2018-05-01,repair,,900
        A1,2020-05-01,overhaul,released,1500";
    let missing = missing_with(&[("overhauls", overhauls)]);
    assert!(missing.iter().all(|(m, _)| *m != Missing::Outcome), "{missing:?}");
}
