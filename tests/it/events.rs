//! What closes a grave event, and the engine's check that follows the aircraft: every sentence of the contract by its tier,
//! reason and next step. Common practice, no source.

use crate::fleet_folder::FleetFolder;
use crate::judged::{expect, in_order, said, said_with, tiers};

const DEFECTS: &str = "propeller,found_date,kind,action\n";
const CHECKS: &str = "propeller,aircraft,event_date,scope,method,check_date,result,by,reference\n";
const SHOP: &str = "propeller,overhaul_date,work,outcome\n";

const NOTHING: &str = "nothing open on record";
/// What is left to say of one that was at a shop without a sheet.
const UNMEASURED: &str = "never measured";

/// A strike on T1, on the aircraft Robin, inspected by a shop and released.
fn struck(checks: &[&str]) -> FleetFolder {
    let folder = in_order()
        .with("defects", &format!("{DEFECTS}T1,2025-05-10,strike,shop\n"))
        .with("overhauls", &format!("{SHOP}T1,2025-05-20,strike inspection,released\n"));
    match checks {
        [] => folder,
        rows => folder.with("event_checks", &format!("{CHECKS}{}\n", rows.join("\n"))),
    }
}

/// A check of another aircraft's event years before: the table is kept.
const KEPT: &str = ",Heron,2020-02-01,engine,visual,2020-02-02,satisfactory,Kim,W1";
const GOOD: &str = ",Robin,2025-05-10,engine,run-out,2025-05-12,satisfactory,Kim,W2";
const CHECK: &str = "do not fly Robin: a mechanic checks the engine as its maker asks after such an event and enters it in `event_checks`";
const NOT_SHOWN: &str = "strike of 2025-05-10 (propeller T1): no engine check on record";

#[test]
fn a_strike_without_its_engine_check_keeps_the_aircraft_on_the_ground() {
    expect(&struck(&[KEPT]), "T1", 1, NOT_SHOWN, CHECK);
    assert_eq!(said(&struck(&[KEPT, GOOD]), "T1").reason, NOTHING);
    // By the propeller's serial it is the same aircraft.
    assert_eq!(said(&struck(&[KEPT, &GOOD.replace(",Robin", "T1,")]), "T1").reason, NOTHING);
}

#[test]
fn the_check_follows_the_aircraft_and_not_the_propeller() {
    let fleet = struck(&[KEPT]).with(
        "fitted",
        "propeller,aircraft,from_date,to_date
         T1,Robin,2024-06-01,2025-06-30
         T1,Heron,2025-07-01,
         C1,Heron,2024-06-01,2025-06-30
         C1,Robin,2025-07-01,",
    );
    expect(&fleet, "C1", 1, NOT_SHOWN, CHECK);
    assert_eq!(said(&fleet, "T1").reason, NOTHING);
}

#[test]
fn the_latest_check_counts_and_one_that_is_not_or_empty_or_undated_shows_nothing() {
    let failed = "strike of 2025-05-10 (propeller T1): engine check of 2025-06-01 not satisfactory";
    for result in ["not", "", "ok"] {
        let later = format!(",Robin,2025-05-10,engine,visual,2025-06-01,{result},Kim,W3");
        expect(&struck(&[KEPT, GOOD, &later]), "T1", 1, failed, CHECK);
        expect(&struck(&[KEPT, &later, GOOD]), "T1", 1, failed, CHECK);
    }
    // Without a day it shows nothing; before the event neither, with a caution; a mount's check is no engine's.
    for row in [
        GOOD.replace("2025-05-12", ""),
        GOOD.replace("2025-05-12", "2025-05-09"),
        GOOD.replace("engine", "mount"),
        GOOD.replace("Robin", "Heron"),
    ] {
        expect(&struck(&[KEPT, &row]), "T1", 1, NOT_SHOWN, CHECK);
    }
    let unread = struck(&[KEPT, GOOD, ",Robin,2025-05-32,engine,visual,2025-06-01,not,Kim,W3"]);
    assert_eq!(said(&unread, "T1").tier, 1, "a check that is not satisfactory and could not be read");
}

#[test]
fn a_check_before_its_event_shows_nothing_and_is_a_caution() {
    let before = GOOD.replace("2025-05-12", "2025-05-09");
    expect(&struck(&[KEPT, &before]), "T1", 1, NOT_SHOWN, CHECK);
    let cautions = struck(&[KEPT, GOOD, &before]).cautions();
    assert!(cautions.iter().any(|c| c.contains("the check lies before its event and shows nothing")), "{cautions:?}");
    assert_eq!(said(&struck(&[KEPT, GOOD, &before]), "T1").reason, NOTHING);
}

#[test]
fn a_mount_found_not_in_order_counts_too() {
    let mount = ",Robin,2025-05-10,mount,visual,2025-05-12,not,Kim,W2";
    let said = said(&struck(&[KEPT, GOOD, mount]), "T1");
    assert_eq!(
        (said.tier, said.reason.as_str()),
        (1, "strike of 2025-05-10 (propeller T1): mount check of 2025-05-12 not satisfactory")
    );
}

/// The good check with another day of the event.
fn named(date: &str) -> String {
    GOOD.replace("2025-05-10,engine", &format!("{date},engine"))
}

#[test]
fn a_check_is_of_an_event_within_30_days() {
    // One event: 30 days off is near, 31 is not.
    assert_eq!(said(&struck(&[KEPT, &named("2025-04-10")]), "T1").reason, NOTHING);
    expect(&struck(&[KEPT, &named("2025-04-09")]), "T1", 1, NOT_SHOWN, CHECK);
}

#[test]
fn of_two_events_in_one_week_a_check_closes_the_one_whose_date_it_gives() {
    let two = |second: &str, check: &str| {
        let rows = format!("{DEFECTS}T1,2025-05-10,strike,shop\nT1,{second},overspeed,shop\n");
        struck(&[KEPT, check]).with("defects", &rows)
    };
    expect(
        &two("2025-05-13", GOOD),
        "T1",
        1,
        "overspeed of 2025-05-13 (propeller T1): no engine check on record",
        CHECK,
    );
    assert_eq!(said(&two("2025-05-13", &named("2025-05-11")), "T1").tier, 1);
    let cautions = two("2025-05-13", &named("2025-05-11")).cautions();
    assert!(cautions.iter().any(|c| c.contains("more than one within 30 days")), "{cautions:?}");
}

#[test]
fn older_events_and_fleets_without_the_table_are_a_gap_only() {
    // No table.
    assert_eq!(said(&struck(&[]), "T1").reason, NOTHING);
    // Since the table was begun: its earliest readable day, rows set aside included.
    let begun = ",Heron,2025-06-01,engine,visual,2025-06-02,satisfactory,Kim,W1";
    assert_eq!(said(&struck(&[begun]), "T1").reason, NOTHING);
    let set_aside = "Zed,,2025-05-01,engine,visual,2025-06-02,satisfactory,Kim,W1";
    expect(&struck(&[begun, set_aside]), "T1", 1, NOT_SHOWN, CHECK);
    // The setting decides before the table does.
    let since = |date: &str| format!("[inspections]\nevent_checks_since = \"{date}\"");
    assert_eq!(said_with(&struck(&[begun]), "2026-01-01", &since("2025-01-01"), "T1").tier, 1);
    assert_eq!(said_with(&struck(&[KEPT]), "2026-01-01", &since("2025-05-11"), "T1").tier, 6);
    assert_eq!(said_with(&struck(&[]), "2026-01-01", &since("2025-01-01"), "T1").tier, 1);
    // Two years after it.
    assert_ne!(said_with(&struck(&[KEPT]), "2027-05-09", "", "T1").reason.find("engine check"), None);
    assert_eq!(said_with(&struck(&[KEPT]), "2027-05-10", "", "T1").reason.find("engine check"), None);
}

#[test]
fn a_crack_closes_by_a_shops_check_that_found_none() {
    let cracked = |check: &str| {
        in_order()
            .with("defects", &format!("{DEFECTS}T1,2025-05-10,crack,shop\n"))
            .with("overhauls", &format!("{SHOP}T1,2025-06-20,overhaul,released\n"))
            .with("event_checks", &format!("{CHECKS}{check}\n"))
    };
    let good = "T1,,2025-05-10,crack,penetrant,2025-05-12,none found,Shop North,W2";
    for row in [good.to_string(), good.replace("penetrant", "eddy current"), good.replace("T1,,", ",Robin,")] {
        assert_eq!(said(&cracked(&row), "T1").reason, UNMEASURED, "{row}");
    }
    // One of them empty, another method or result, before the report, or a later one that is not so.
    let later = format!("{good}\nT1,,2025-05-10,crack,penetrant,2025-06-12,not,Shop North,W3");
    for row in [
        good.replace("penetrant", ""),
        good.replace("penetrant", "visual"),
        good.replace("Shop North", ""),
        good.replace("W2", ""),
        good.replace("none found", "satisfactory"),
        good.replace("none found", ""),
        good.replace("2025-05-12", "2025-05-09"),
        good.replace("crack", "propeller"),
        later,
    ] {
        let said = said(&cracked(&row), "T1");
        assert_eq!(said.tier, 1, "{row}");
        assert!(
            said.reason.ends_with(
                "only scrapping closes a crack, or a shop's penetrant or eddy-current check that found none"
            ),
            "{}",
            said.reason
        );
    }
}

/// An overhaul of 2025-05-20 that read this much track, with this limit in the model's table.
fn tracked(track: &str, limit: Option<&str>) -> FleetFolder {
    let models = match limit {
        Some(limit) => format!(
            "model,diameter_in,blades,interval_hours,interval_months,track_limit_in\nM76,76,2,none,120,{limit}\n"
        ),
        None => "model,diameter_in,blades,interval_hours,interval_months\nM76,76,2,none,120\n".to_string(),
    };
    in_order().with("models", &models).with(
        "overhauls",
        &format!("propeller,overhaul_date,work,outcome,track_in\nT1,2025-05-20,repair,released,{track}\n"),
    )
}

#[test]
fn released_beyond_a_stated_track_limit_is_for_a_mechanic_and_beyond_common_practice_is_a_thin_record() {
    expect(
        &tracked("0.110", Some("0.062")),
        "T1",
        1,
        "track 0.110 in, released 2025-05-20: beyond its limit of 0.062 in",
        "do not fly: a mechanic measures the track, and the shop that released it decides",
    );
    let copy = "copy the track limit from the maker's current manual into `models`";
    let words = "track 0.110 in, released 2025-05-20: no maker's limit on record, common practice is 0.062 in";
    expect(&tracked("0.110", None), "T1", 4, words, copy);
    let words = "track 0.011 in, released 2025-05-20: not judged, the maker's limit is not on record";
    expect(&tracked("0.011", Some("")), "T1", 4, words, copy);
    for limit in [Some("0.062"), None] {
        assert_eq!(said(&tracked("0.062", limit), "T1").reason, UNMEASURED);
    }
}

#[test]
fn track_is_cleared_by_a_later_release_or_a_signed_inspection_within() {
    let beyond = "propeller,overhaul_date,work,outcome,track_in\nT1,2025-05-20,repair,released,0.110\n";
    let later = |row: &str| tracked("0.1", Some("0.062")).with("overhauls", &format!("{beyond}{row}\n"));
    assert_eq!(said(&later("T1,2025-08-20,repair,released,0.031"), "T1").reason, UNMEASURED);
    assert_eq!(said(&later("T1,2025-08-20,repair,released,"), "T1").tier, 1);
    let inspected = |row: &str| {
        tracked("0.110", Some("0.062"))
            .with("inspections", &format!("aircraft,inspection_date,kind,result,by,track_in\n{row}\n"))
    };
    assert_eq!(said(&inspected("Robin,2025-08-20,annual,satisfactory,Kim,0.031"), "T1").reason, UNMEASURED);
    assert_eq!(said(&inspected("Robin,2025-08-20,annual,satisfactory,,0.031"), "T1").tier, 1);
    assert_eq!(said(&inspected("Robin,2025-04-20,annual,satisfactory,Kim,0.031"), "T1").tier, 1);
}

#[test]
fn blanking_a_cell_of_a_check_never_makes_a_tier_milder_and_the_order_of_rows_changes_nothing() {
    let rows = [
        KEPT,
        GOOD,
        "T1,Robin,2025-05-10,mount,visual,2025-05-12,satisfactory,Kim,W2",
        "T1,Robin,2025-05-10,engine,visual,2025-05-11,not,Kim,W3",
        "C1,,2025-07-10,crack,penetrant,2025-07-12,none found,Shop,W4",
        "C1,,2025-07-10,crack,penetrant,2025-07-11,not,Shop,W5",
    ];
    let with = |rows: &[&str]| {
        struck(rows).with("defects", &format!("{DEFECTS}T1,2025-05-10,strike,shop\nC1,2025-07-10,crack,shop\n"))
    };
    let before = tiers(&with(&rows));
    assert_eq!(before, [6, 6, 6]);
    for (at, line) in rows.iter().enumerate() {
        for column in 0..9 {
            let mut cells: Vec<&str> = line.split(',').collect();
            cells[column] = "";
            let line = cells.join(",");
            let mut rows = rows;
            rows[at] = &line;
            let after = tiers(&with(&rows));
            assert!(before.iter().zip(&after).all(|(a, b)| b <= a), "{line}: {before:?} to {after:?}");
        }
    }
    let mut turned = rows;
    turned.reverse();
    assert_eq!(tiers(&with(&turned)), before);
    // And from the ground: a check that is not satisfactory stays so whatever cell of it is lost but whom it is about.
    let failed = "T1,Robin,2025-05-10,engine,visual,2025-06-01,not,Kim,W3";
    for column in 2..9 {
        let mut cells: Vec<&str> = failed.split(',').collect();
        cells[column] = "";
        let line = cells.join(",");
        assert_eq!(tiers(&with(&[KEPT, GOOD, rows[4], &line]))[2], 1, "{line}");
    }
}
