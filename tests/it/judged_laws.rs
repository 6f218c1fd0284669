//! Laws of inspections, checks after events and second looks, on rows drawn at random: a worse result, an earlier lapse, one
//! more event never make a tier milder, a blank cell never does but for the exceptions named here, and the order of rows
//! changes nothing.

use proptest::prelude::*;
use proptest::sample::{Index, select};

use crate::fleet_folder::FleetFolder;
use crate::judged::{in_order, tiers};

const INSPECTIONS: &str =
    "aircraft,inspection_date,kind,result,next_due_date,next_due_meter,cleared_date,cleared_by,track_in";
const DEFECTS: &str =
    "propeller,found_date,blade,station_pct,surface,kind,depth_in,length_in,width_in,action,action_date,recheck_date";
const CHECKS: &str = "propeller,aircraft,event_date,scope,method,check_date,result,by,reference";
const RECHECKS: &str = "propeller,found_date,blade,station_pct,date,depth_in,result,by";

/// Rows of one table, a cell a column.
type Rows = Vec<Vec<&'static str>>;

fn table(head: &str, rows: &[Vec<&'static str>]) -> String {
    rows.iter().fold(head.to_string(), |table, row| table + "\n" + &row.join(","))
}

/// Whether no propeller stands in a milder tier than before, save those that may fall to a tier at most.
fn never_milder(before: &[u8], after: &[u8], at_most: u8) -> bool {
    before.iter().zip(after).all(|(a, b)| b <= a || *b <= at_most)
}

const DAYS: [&str; 6] = ["2024-08-10", "2024-12-15", "2025-03-20", "2025-06-10", "2025-09-01", "2025-11-20"];

fn inspection() -> impl Strategy<Value = Vec<&'static str>> {
    (
        select(vec!["Robin", "Heron"]),
        select(DAYS.to_vec()),
        select(vec!["annual", "annual", "100 hour", "condition", ""]),
        select(vec!["satisfactory", "satisfactory", "not", ""]),
        select(vec!["", "", "2025-10-01", "2026-05-31", "2099-01-01"]),
        select(vec!["", "", "1150", "1240", "9999"]),
        select(vec![("", ""), ("", ""), ("2025-12-01", "Lee"), ("2025-12-01", ""), ("", "Lee")]),
    )
        .prop_map(|(aircraft, day, kind, result, next, meter, (cleared, by))| {
            vec![aircraft, day, kind, result, next, meter, cleared, by, ""]
        })
}

fn inspected(rows: &[Vec<&'static str>]) -> FleetFolder {
    in_order().with("inspections", &table(INSPECTIONS, rows))
}

fn event() -> impl Strategy<Value = Vec<&'static str>> {
    (select(vec!["T1", "C1"]), select(DAYS.to_vec()), select(vec!["strike", "overspeed", "lightning", "crack"]))
        .prop_map(|(serial, day, kind)| vec![serial, day, "1", "75", "face", kind, "", "", "", "shop", "", ""])
}

fn check() -> impl Strategy<Value = Vec<&'static str>> {
    (
        select(vec![("T1", ""), ("", "Robin"), ("C1", ""), ("", "Heron")]),
        select(DAYS.to_vec()),
        select(vec!["engine", "engine", "mount", "crack", "propeller"]),
        select(vec!["visual", "penetrant"]),
        select(vec!["2024-08-12", "2025-03-22", "2025-09-02", "2025-12-01", ""]),
        select(vec!["satisfactory", "satisfactory", "none found", "not", ""]),
        select(vec![("Kim", "W1"), ("", "W1"), ("Kim", "")]),
    )
        .prop_map(|((serial, aircraft), day, scope, method, checked, result, (by, reference))| {
            vec![serial, aircraft, day, scope, method, checked, result, by, reference]
        })
}

/// Events with their shop's visit after all of them, and checks.
fn struck(events: &[Vec<&'static str>], checks: &[Vec<&'static str>]) -> FleetFolder {
    let visits = "propeller,overhaul_date,work,outcome\nT1,2025-11-25,strike inspection,released\nC1,2025-11-25,repair,released\n";
    let folder = in_order().with("defects", &table(DEFECTS, events)).with("overhauls", visits);
    folder.with("event_checks", &table(CHECKS, checks))
}

/// A finding on T1 or C1; those of one day lie apart.
fn finding() -> impl Strategy<Value = Vec<&'static str>> {
    (
        select(vec!["T1", "C1"]),
        select(vec![("2024-12-15", "60"), ("2025-06-10", "75"), ("2025-09-01", "85")]),
        select(vec![
            ("erosion", "0.004"),
            ("erosion", "0.02"),
            ("scratch", "0.003"),
            ("nick", "0.02"),
            ("pit", "0.004"),
        ]),
        select(vec![
            ("none", "", ""),
            ("accepted", "2025-09-01", "2026-06-01"),
            ("accepted", "2025-09-01", "2099-01-01"),
            ("accepted", "2025-09-01", ""),
            ("blended", "2025-09-02", ""),
        ]),
    )
        .prop_map(|(serial, (day, pct), (kind, depth), (action, acted, recheck))| {
            vec![serial, day, "1", pct, "face", kind, depth, "0.5", "0.2", action, acted, recheck]
        })
}

fn recheck() -> impl Strategy<Value = Vec<&'static str>> {
    (
        select(vec!["T1", "C1"]),
        select(vec![("2024-12-15", "60"), ("2025-06-10", "75"), ("2025-09-01", "85")]),
        select(vec!["2025-09-15", "2025-11-01", "2025-12-20"]),
        select(vec!["0.003", "0.02", "0.03", ""]),
        select(vec!["unchanged", "unchanged", "worse", "gone", ""]),
        select(vec!["Kim", ""]),
    )
        .prop_map(|(serial, (day, pct), on, depth, result, by)| vec![serial, day, "1", pct, on, depth, result, by])
}

fn looked_at(findings: &[Vec<&'static str>], rechecks: &[Vec<&'static str>]) -> FleetFolder {
    in_order().with("defects", &table(DEFECTS, findings)).with("rechecks", &table(RECHECKS, rechecks))
}

/// A copy in which one cell of one row says something else.
fn changed(rows: &Rows, row: Index, column: usize, to: &'static str) -> Rows {
    let mut rows = rows.clone();
    let at = row.index(rows.len());
    rows[at][column] = to;
    rows
}

fn turned(rows: &Rows, by: Index) -> Rows {
    let mut rows = rows.clone();
    let by = by.index(rows.len());
    rows.rotate_left(by);
    rows.reverse();
    rows
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn a_worse_result_or_an_earlier_lapse_of_an_inspection_is_never_milder(
        rows in prop::collection::vec(inspection(), 1..6), row: Index,
    ) {
        let before = tiers(&inspected(&rows));
        let at = row.index(rows.len());
        let cell = |column: usize| rows[at][column];
        let mut worse: Vec<(usize, &'static str)> = vec![(3, "not"), (3, "failed"), (4, "2025-09-15"), (5, "1100")];
        // A result that was never written is not made worse by a word, and a later date is no earlier lapse.
        worse.retain(|&(column, to)| column != 4 || cell(4).is_empty() || to < cell(4));
        for (column, to) in worse {
            let after = tiers(&inspected(&changed(&rows, row, column, to)));
            prop_assert!(never_milder(&before, &after, 0), "{rows:?}, row {at} {column} {to}: {before:?} to {after:?}");
        }
        let uncleared = changed(&changed(&rows, row, 6, ""), row, 7, "");
        let after = tiers(&inspected(&uncleared));
        prop_assert!(never_milder(&before, &after, 0), "{rows:?}, row {at} not signed: {before:?} to {after:?}");
    }

    /// Exceptions: whose it is; a next date or reading, without which the longest interval counts; its day, with which the row
    /// is set aside, so that at the least none is on record (tier 4); a kind and a result, which leave tier 4 at the most.
    #[test]
    fn a_blank_cell_of_an_inspection_is_never_milder(
        rows in prop::collection::vec(inspection(), 1..6), row: Index,
    ) {
        let before = tiers(&inspected(&rows));
        let at = row.index(rows.len());
        for (column, at_most) in [(2, 4), (3, 4), (6, 0), (7, 0), (8, 0)] {
            // One column of results without any word counts as absent, and says so.
            if column == 3 && rows.iter().enumerate().all(|(other, cells)| other == at || cells[3].is_empty()) {
                continue;
            }
            let after = tiers(&inspected(&changed(&rows, row, column, "")));
            prop_assert!(never_milder(&before, &after, at_most), "{rows:?}, row {at} {column}: {before:?} to {after:?}");
        }
        let after = tiers(&inspected(&changed(&rows, row, 1, "")));
        let lapses = !rows[at][4].is_empty() || !rows[at][5].is_empty();
        prop_assert!(lapses || never_milder(&before, &after, 4), "{rows:?}, row {at} day: {before:?} to {after:?}");
    }

    #[test]
    fn a_worse_check_or_one_more_event_is_never_milder(
        events in prop::collection::vec(event(), 1..4),
        checks in prop::collection::vec(check(), 1..5),
        more in event(),
        row: Index,
    ) {
        let before = tiers(&struck(&events, &checks));
        for result in ["not", "", "ok"] {
            let after = tiers(&struck(&events, &changed(&checks, row, 6, result)));
            prop_assert!(never_milder(&before, &after, 0), "{events:?} {checks:?} {result}: {before:?} to {after:?}");
        }
        let mut events_more = events.clone();
        events_more.push(more);
        let after = tiers(&struck(&events_more, &checks));
        prop_assert!(never_milder(&before, &after, 0), "{events_more:?} {checks:?}: {before:?} to {after:?}");
    }

    /// Exception: whose it is.
    #[test]
    fn a_blank_cell_of_a_check_is_never_milder(
        events in prop::collection::vec(event(), 1..4),
        checks in prop::collection::vec(check(), 1..5),
        row: Index,
        column in 2usize..9,
    ) {
        let before = tiers(&struck(&events, &checks));
        let after = tiers(&struck(&events, &changed(&checks, row, column, "")));
        prop_assert!(never_milder(&before, &after, 0), "{events:?} {checks:?} {column}: {before:?} to {after:?}");
    }

    /// Exception: whose it is.
    #[test]
    fn a_worse_or_blank_second_look_is_never_milder(
        findings in prop::collection::vec(finding(), 1..4),
        rechecks in prop::collection::vec(recheck(), 1..4),
        row: Index,
        column in 1usize..8,
    ) {
        let before = tiers(&looked_at(&findings, &rechecks));
        for (column, to) in [(column, ""), (6, "worse")] {
            let after = tiers(&looked_at(&findings, &changed(&rechecks, row, column, to)));
            prop_assert!(
                never_milder(&before, &after, 0),
                "{findings:?} {rechecks:?} {column} {to}: {before:?} to {after:?}"
            );
        }
    }

    #[test]
    fn the_order_of_rows_never_matters(
        inspections in prop::collection::vec(inspection(), 1..6),
        events in prop::collection::vec(event(), 1..4),
        checks in prop::collection::vec(check(), 1..5),
        findings in prop::collection::vec(finding(), 1..4),
        rechecks in prop::collection::vec(recheck(), 1..4),
        by: Index,
    ) {
        prop_assert_eq!(tiers(&inspected(&inspections)), tiers(&inspected(&turned(&inspections, by))));
        prop_assert_eq!(tiers(&struck(&events, &checks)), tiers(&struck(&turned(&events, by), &turned(&checks, by))));
        prop_assert_eq!(
            tiers(&looked_at(&findings, &rechecks)),
            tiers(&looked_at(&turned(&findings, by), &turned(&rechecks, by)))
        );
    }
}
