//! Two rows with one key: equal ones are kept once and counted, of different ones the less favourable value of each cell
//! counts and one row is set aside, whichever comes first.

use crate::fleet_folder::{FleetFolder, as_of, check_account};
use bladewane::records::Fleet;
use bladewane::records::choice::{Acquired, Force, Outcome, Status, Work};
use bladewane::records::measurements::Moment;
use bladewane::records::models::Stated;
use bladewane::trade::geometry::Dimension;

/// Reads the two rows in both orders, checks that one is set aside naming the other, and hands the fleet over.
pub(super) fn both_orders(
    table: &str,
    header: &str,
    column: &str,
    value: &str,
    rows: [&str; 2],
    check: impl Fn(&Fleet<'_>),
) {
    for [a, b] in [rows, [rows[1], rows[0]]] {
        let folder = FleetFolder::small()
            .with("bases", "base,air\nnorth,rural\nsouth,coast")
            .with(table, &format!("{header}\n{a}\n{b}"));
        let loaded = folder.load();
        let fleet = as_of(&loaded, "2026-01-01");
        check_account(&fleet);
        assert_eq!(
            folder.set_aside(),
            [format!(
                "{table}.csv:3 {column} [{value}] another row has the same key and says something else ({table}.csv:2) | keep the right one; until then the less favourable value of each cell counts"
            )]
        );
        check(&fleet);
    }
}

#[test]
fn equal_rows_are_kept_once_in_every_table_with_a_key() {
    for (table, header, row) in [
        ("propellers", "propeller,model", "A1,M76"),
        ("models", "model,diameter_in", "M76,76"),
        ("limits", "model,station_pct,width_new_in,width_min_in", "M76,60,5.44,5.23"),
        ("overhauls", "propeller,overhaul_date,work", "A1,2010-01-01,overhaul"),
        (
            "measurements",
            "propeller,overhaul_date,blade,station_pct,width_after_in,thickness_after_in",
            "A1,2010-01-01,1,60,5.3,",
        ),
        ("hours", "propeller,reading_date,hours_since_new", "A1,2010-01-01,5"),
        ("aircraft_hours", "aircraft,reading_date,hours,meter", "x,2010-01-01,5,tach"),
        ("fitted", "propeller,aircraft,from_date,to_date", "A1,x,2010-01-01,"),
        ("inspections", "propeller,inspection_date,result", "A1,2010-01-01,not"),
        ("bases", "base,air", "north,rural"),
        ("kept_at", "propeller,base,from_date", "A1,north,2010-01-01"),
        ("prices", "model,overhaul_cost,replacement_cost", "M76,1,2"),
    ] {
        let folder = FleetFolder::small().with(table, &format!("{header}\n{row}\n{row}"));
        let loaded = folder.load();
        let fleet = as_of(&loaded, "2026-01-01");
        check_account(&fleet);
        assert_eq!(folder.set_aside(), [""; 0], "{table}");
        let told: Vec<String> = folder.cautions().into_iter().filter(|c| c.contains("equal rows")).collect();
        assert_eq!(told.len(), 1, "{table}: {told:?}");
        assert!(told[0].starts_with(&format!("{table}.csv:3 ")), "{table}: {told:?}");
        assert!(told[0].ends_with(" x1 equal rows, kept once | remove the copies"), "{table}: {told:?}");
    }
    // Two equal damage reports may be two nicks.
    let folder =
        FleetFolder::small().with("defects", "propeller,found_date,kind\nA1,2010-01-01,nick\nA1,2010-01-01,nick");
    assert_eq!(folder.cautions(), [""; 0]);
    let loaded = folder.load();
    assert_eq!(as_of(&loaded, "2026-01-01").defects.of(0).len(), 2);
}

/// Three rows of one key, two of them equal: one is set aside and one counted, in every order.
#[test]
fn an_equal_row_is_equal_to_any_row_of_its_key() {
    for (table, header, row, other) in [
        ("propellers", "propeller,model,acquired", "A1,M76,new", "A1,M76,used"),
        ("models", "model,diameter_in,interval_hours", "M76,76,2000", "M76,76,1500"),
        ("limits", "model,station_pct,width_new_in,width_min_in", "M76,60,5.44,5.23", "M76,60,5.43,5.24"),
        ("overhauls", "propeller,overhaul_date,work", "A1,2010-01-01,overhaul", "A1,2010-01-01,repair"),
        (
            "measurements",
            "propeller,overhaul_date,blade,station_pct,width_after_in",
            "A1,2010-01-01,1,60,5.3",
            "A1,2010-01-01,1,60,5.29",
        ),
        ("hours", "propeller,reading_date,hours_since_new", "A1,2010-01-01,5", "A1,2010-01-01,6"),
        ("aircraft_hours", "aircraft,reading_date,hours,meter", "x,2010-01-01,5,tach", "x,2010-01-01,6,tach"),
        ("fitted", "propeller,aircraft,from_date,to_date", "A1,x,2010-01-01,2011-01-01", "A1,x,2010-01-01,"),
        ("inspections", "propeller,inspection_date,result", "A1,2010-01-01,not", "A1,2010-01-01,satisfactory"),
        ("bases", "base,air", "north,rural", "north,coast"),
        ("kept_at", "propeller,base,from_date,kept", "A1,north,2010-01-01,hangar", "A1,north,2010-01-01,outside"),
        ("prices", "model,overhaul_cost,replacement_cost", "M76,1,2", "M76,2,2"),
    ] {
        for rows in [[row, row, other], [row, other, row], [other, row, row]] {
            let folder = FleetFolder::small().with(table, &format!("{header}\n{}", rows.join("\n")));
            let equal = folder.cautions().iter().filter(|c| c.contains("equal rows")).count();
            assert_eq!((folder.set_aside().len(), equal), (1, 1), "{table}: {rows:?}");
        }
    }
}

#[test]
fn two_different_propeller_rows() {
    both_orders(
        "propellers",
        "propeller,model,base,in_service_date,acquired,status,end_date,interval_hours,interval_months,interval_force,reports_kept_since",
        "propeller",
        "A1",
        [
            "A1,M76,north,2001-01-01,new,scrapped,2020-01-01,1500,none,recommended,2002-01-01",
            "A1,,south,2000-01-01,used,flying,,2000,,binding,2004-01-01",
        ],
        |fleet| {
            let of = fleet.propellers.get(0);
            assert_eq!((of.model, of.base, of.acquired), (None, None, Acquired::Unknown));
            assert_eq!(of.in_service.map(|d| d.to_string()).as_deref(), Some("2000-01-01"));
            assert_eq!(of.status, Status::Flying);
            assert_eq!(of.interval_hours, Stated::Value(1500.0));
            assert_eq!(of.interval_months, Stated::NotRecorded);
            assert_eq!(of.force, Some(Force::Binding));
            assert_eq!(of.reports_kept_since.map(|d| d.to_string()).as_deref(), Some("2004-01-01"));
        },
    );
    // Two replacements: neither is believed.
    both_orders("propellers", "propeller,replaced_by", "propeller", "A1", ["A1,A1", "A1,A9"], |fleet| {
        assert_eq!(fleet.propellers.get(0).replaced_by, None)
    });
    // Scrapped on two days: gone from the first.
    both_orders(
        "propellers",
        "propeller,status,end_date",
        "propeller",
        "A1",
        ["A1,scrapped,2020-01-01", "A1,scrapped,2018-01-01"],
        |fleet| {
            assert_eq!(fleet.end_of(0).map(|d| d.to_string()).as_deref(), Some("2018-01-01"));
        },
    );
}

#[test]
fn two_different_model_rows() {
    both_orders(
        "models",
        "model,diameter_in,blades,interval_hours,interval_months,interval_rule,interval_from,interval_force,max_rpm,track_limit_in",
        "model",
        "M76",
        [
            "M76,76,2,2000,none,month_end,installation,recommended,2700,0.062",
            "M76,74,3,1500,72,same_day,release,binding,2600,0.050",
        ],
        |fleet| {
            let model = fleet.models.get(fleet.models.find("M76").expect("a model"));
            assert_eq!(model.diameter_in, Some(74.0));
            assert_eq!(model.blades, Some(3));
            assert_eq!(model.interval_hours, Stated::Value(1500.0));
            assert_eq!(model.interval_months, Stated::Value(72.0));
            assert_eq!(model.month_rule.word(), "same_day");
            assert_eq!(model.interval_from.word(), "release");
            assert_eq!(model.force, Force::Binding);
            assert_eq!(model.max_rpm, Some(2700.0));
            assert_eq!(model.track_limit_in, 0.050);
        },
    );
}

#[test]
fn two_different_limits_rows() {
    both_orders(
        "limits",
        "model,station_pct,width_new_in,width_min_in,thickness_new_in,thickness_min_in",
        "model",
        "M76",
        ["M76,60,5.44,5.23,0.476,", "M76,60,5.43,5.20,0.480,0.413"],
        |fleet| {
            let station = &fleet.models.list()[0].stations[0];
            assert_eq!((station.width.new_in, station.width.min_in), (Some(5.43), Some(5.23)));
            assert_eq!((station.thickness.new_in, station.thickness.min_in), (Some(0.476), Some(0.413)));
        },
    );
}

#[test]
fn two_different_visit_rows_never_restart_the_clock() {
    let header = "propeller,overhaul_date,work,outcome,hours_since_new,track_in,cost";
    let overhaul = "A1,2010-01-01,overhaul,released,900,0.01,5";
    for (other, work, outcome) in [
        ("A1,2010-01-01,repair,released,1000,0.02,4", Some(Work::Repair), Some(Outcome::Released)),
        ("A1,2010-01-01,overhaul,rejected,1000,0.02,4", Some(Work::Overhaul), Some(Outcome::Rejected)),
        ("A1,2010-01-01,overhaul,,1000,0.02,4", Some(Work::Overhaul), None),
        ("A1,2010-01-01,,released,1000,0.02,4", None, Some(Outcome::Released)),
        ("A1,2010-01-01,shorten,rejected,1000,0.02,4", Some(Work::Shorten), Some(Outcome::Rejected)),
    ] {
        both_orders("overhauls", header, "overhaul_date", "2010-01-01", [overhaul, other], |fleet| {
            let visit = &fleet.visits.of(0)[0];
            assert_eq!((visit.work, visit.outcome), (work, outcome), "{other}");
            assert!(!visit.restarts_clock());
            assert_eq!(visit.hours_since_new, Some(1000.0));
            assert_eq!((visit.track_in, visit.cost), (Some(0.02), Some(5.0)));
        });
    }
    // Neither restarts it: what the shop did is the less favourable of the two in either order.
    for (a, b, work) in [
        ("repair,released", "shorten,released", Some(Work::Shorten)),
        ("repair,released", ",released", None),
        ("repair,released", "dimensional inspection,released", Some(Work::Repair)),
    ] {
        let rows = [format!("A1,2010-01-01,{a},1,,"), format!("A1,2010-01-01,{b},2,,")];
        both_orders("overhauls", header, "overhaul_date", "2010-01-01", [&rows[0], &rows[1]], |fleet| {
            assert_eq!(fleet.visits.of(0)[0].work, work, "{a} / {b}");
        });
    }
}

#[test]
fn two_different_measurement_rows() {
    both_orders(
        "measurements",
        "propeller,overhaul_date,blade,station_pct,width_before_in,width_after_in,thickness_before_in,thickness_after_in,painted",
        "propeller",
        "A1",
        ["A1,2010-01-01,1,60,5.31,5.30,0.440,,no", "A1,2010-01-01,1,60,5.32,5.29,,0.430,yes"],
        |fleet| {
            let read = |d, m| fleet.measurements.reading(d, m, 0);
            assert_eq!(fleet.measurements.len(), 1);
            assert_eq!(read(Dimension::Width, Moment::Before), Some(5.31));
            assert_eq!(read(Dimension::Width, Moment::After), Some(5.29));
            assert_eq!(read(Dimension::Thickness, Moment::Before), Some(0.440));
            assert_eq!(read(Dimension::Thickness, Moment::After), Some(0.430));
            assert!(fleet.measurements.painted(0));
        },
    );
}
