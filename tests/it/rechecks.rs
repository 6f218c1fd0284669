//! Findings left as they are, accepted or small, and second looks at them: every sentence of the contract by its tier,
//! reason and next step. Common practice, no source.

use crate::fleet_folder::FleetFolder;
use crate::judged::{expect, in_order, said, said_with, tiers};

const DEFECTS: &str =
    "propeller,found_date,blade,station_pct,surface,kind,depth_in,length_in,width_in,action,action_date,recheck_date\n";
const RECHECKS: &str = "propeller,found_date,blade,station_pct,date,depth_in,result,by\n";
const NOTHING: &str = "nothing open on record";
const DRESS: &str = "a mechanic dresses it before the next flight, over at least";
const LOOK: &str = "a mechanic looks again and enters it in `rechecks`, or dresses it";
const NEXT: &str = "look again at the next inspection";

fn found(row: &str, rechecks: &[&str]) -> FleetFolder {
    let folder = in_order().with("defects", &format!("{DEFECTS}{row}\n"));
    match rechecks {
        [] => folder,
        rows => folder.with("rechecks", &format!("{RECHECKS}{}\n", rows.join("\n"))),
    }
}

/// Found on T1, blade 1 at 75 %, on 2025-09-01: surface, kind, sizes; what was done.
fn on_blade(what: &str, done: &str) -> String {
    format!("T1,2025-09-01,1,75,{what},{done}")
}

const ACCEPTED: &str = "accepted,2025-09-01,2026-06-01";

#[test]
fn accepted_closes_erosion_scratches_along_and_what_is_small() {
    for what in [
        "face,erosion,0.02,0.5,0.2",
        "face,scratch,0.02,0.9,0.01",
        "leading_edge,nick,0.004,0.1,0.1",
        "face,dent,0.004,0.1,0.1",
    ] {
        assert_eq!(said(&found(&on_blade(what, ACCEPTED), &[]), "T1").reason, NOTHING, "{what}");
    }
    for what in [
        "leading_edge,nick,0.005,0.1,0.1",
        "face,gouge,0.01,0.1,0.1",
        "face,dent,0.01,0.1,0.1",
        "face,pit,0.01,0.1,0.1",
        "face,scratch,0.02,0.01,0.2",
        // How it lies is not recorded.
        "face,scratch,0.02,,0.2",
        // A corrosion pit is never small.
        "face,pit,0.004,0.1,0.1",
        "face,corrosion,0.004,0.1,0.1",
    ] {
        let said = said(&found(&on_blade(what, ACCEPTED), &[]), "T1");
        assert_eq!(said.tier, 2, "{what}: {}", said.reason);
        assert!(said.next_step.starts_with(DRESS), "{}", said.next_step);
    }
    // Beyond the screen it was never for a mechanic to accept; an undressed gouge until 2099 neither.
    assert_eq!(said(&found(&on_blade("face,erosion,0.07,0.5,0.2", ACCEPTED), &[]), "T1").tier, 1);
    let gouge = on_blade("face,gouge,0.05,0.5,0.2", "accepted,2025-09-01,2099-01-01");
    expect(
        &found(&gouge, &[]),
        "T1",
        2,
        "open gouge 0.050 in deep on blade 1 face at 75 %, found 2025-09-01: accepted, though only erosion, scratches along the blade and small damage within the field-repair limits may be",
        "a mechanic dresses it before the next flight, over at least 1.00 in of the blade",
    );
}

#[test]
fn without_a_recheck_date_it_stays_open() {
    let erosion = on_blade("face,erosion,0.02,0.5,0.2", "accepted,2025-09-01,");
    expect(
        &found(&erosion, &[]),
        "T1",
        2,
        "open erosion 0.020 in deep on blade 1 face at 75 %, found 2025-09-01: accepted without a recheck date",
        "a mechanic smooths and refinishes it before the next flight, and measures the thickness there",
    );
}

#[test]
fn accepted_runs_out_at_the_earliest_of_four_ends() {
    let until = |recheck: &str| on_blade("face,erosion,0.02,0.5,0.2", &format!("accepted,2025-09-01,{recheck}"));
    let words =
        "open erosion 0.020 in deep on blade 1 face at 75 %, found 2025-09-01: accepted, and to be looked at again";
    // The date.
    expect(&found(&until("2025-12-31"), &[]), "T1", 4, words, LOOK);
    // The next annual or 100 hour of the aircraft on record.
    for (kind, tier) in [("annual", 4), ("100 hour", 4), ("", 4), ("condition", 6)] {
        let rows = format!(
            "aircraft,inspection_date,kind,result\nRobin,2025-08-01,annual,satisfactory\nRobin,2025-10-01,{kind},satisfactory\n"
        );
        assert_eq!(said(&found(&until("2099-01-01"), &[]).with("inspections", &rows), "T1").tier, tier, "{kind}");
    }
    // Twelve months: 2026-08-31 holds, 2026-09-01 does not. By then 100 h are not flown where nothing flies.
    let still = found(&until("2099-01-01"), &[])
        .with(
            "propellers",
            &crate::judged::PROPELLERS
                .replace("T1,M76,training,Home,2024-06-01,new,flying", "T1,M76,training,Home,2024-06-01,new,spare"),
        )
        .with("fitted", "propeller,aircraft,from_date,to_date\nT1,Robin,2024-06-01,2025-09-02\nC1,Heron,2024-06-01,\n");
    // Robin's meter is not read: nothing flies bare.
    let read: String = crate::judged::aircraft_hours()
        .lines()
        .filter(|l| !l.starts_with("Robin"))
        .fold(String::new(), |t, l| t + l + "\n");
    let still = still.with("aircraft_hours", &read);
    let on = |day: &str| said_with(&still, day, "", "T1");
    assert!(!on("2026-08-31").reasons.iter().any(|r| r == words), "{:?}", on("2026-08-31"));
    assert!(on("2026-09-01").reasons.iter().any(|r| r == words), "{:?}", on("2026-09-01"));
    // 100 h: 10 h a month were flown until December; from then on it is estimated.
    let flown = found(&until("2099-01-01"), &[]);
    let on = |day: &str| said_with(&flown, day, "", "T1");
    assert!(!on("2026-05-01").reasons.iter().any(|r| r == words), "{:?}", on("2026-05-01"));
    assert!(on("2026-08-01").reasons.iter().any(|r| r == words), "{:?}", on("2026-08-01"));
}

const SMALL: &str = "face,erosion,0.004,0.5,0.2";

#[test]
fn a_small_finding_stays_open_is_named_and_raises_no_tier() {
    let small = found(&on_blade(SMALL, "none,,"), &[]);
    let next = format!("{NEXT}; next overhaul due 2034-06-01, to be booked by 2034-04-02");
    expect(&small, "T1", 6, "1 small open finding: erosion 0.004 in", &next);
    assert!(said(&small, "T1").reasons.iter().all(|r| r != NOTHING));
    // The size is a setting.
    assert_eq!(said_with(&small, "2026-01-01", "[screen]\nsmall_finding_in = 0.004", "T1").tier, 2);
    // Two are counted, the deeper is named.
    let two = format!("{}\n{}", on_blade(SMALL, "none,,"), on_blade("face,scratch,0.003,0.5,0.2", "none,,"));
    assert_eq!(said(&found(&two, &[]), "T1").reason, "2 small open findings: erosion 0.004 in");
    // After twelve months somebody looks again.
    let old = on_blade(SMALL, "none,,").replace("2025-09-01", "2024-12-31");
    expect(
        &found(&old, &[]),
        "T1",
        4,
        "open erosion 0.004 in deep on blade 1 face at 75 %, found 2024-12-31: small, and to be looked at again",
        LOOK,
    );
}

#[test]
fn unchanged_with_a_name_and_a_depth_renews_it() {
    let old = on_blade(SMALL, "none,,").replace("2025-09-01", "2024-12-31");
    let again = "T1,2024-12-31,1,75,2025-10-01,0.004,unchanged,Kim";
    assert_eq!(said(&found(&old, &[again]), "T1").tier, 6);
    for row in [again.replace("Kim", ""), again.replace("0.004", "")] {
        assert_eq!(said(&found(&old, &[&row]), "T1").tier, 4, "{row}");
    }
    let accepted = on_blade("face,erosion,0.02,0.5,0.2", "accepted,2025-09-01,2025-12-01");
    let again = "T1,2025-09-01,1,75,2025-11-20,0.02,unchanged,Kim";
    // The date that was set lies ahead of the second look and still holds; one after it renews.
    assert_eq!(said(&found(&accepted, &[again]), "T1").tier, 4);
    assert_eq!(said(&found(&accepted, &[&again.replace("2025-11-20", "2025-12-01")]), "T1").reason, NOTHING);
    // Unchanged, with more depth than before: the larger counts.
    assert_eq!(said(&found(&old, &["T1,2024-12-31,1,75,2025-10-01,0.009,unchanged,Kim"]), "T1").tier, 2);
}

#[test]
fn worse_opens_it_with_its_new_depth() {
    let worse = |depth: &str| format!("T1,2025-09-01,1,75,2025-11-20,{depth},worse,Kim");
    let accepted = on_blade("face,erosion,0.02,0.5,0.2", ACCEPTED);
    expect(
        &found(&accepted, &[&worse("0.03")]),
        "T1",
        2,
        "open erosion 0.030 in deep on blade 1 face at 75 %, found 2025-09-01, worse on 2025-11-20: worse when it was looked at again, not dressed since",
        "a mechanic smooths and refinishes it before the next flight, and measures the thickness there",
    );
    assert_eq!(said(&found(&accepted, &[&worse("0.08")]), "T1").tier, 1, "beyond the screen");
    assert_eq!(said(&found(&accepted, &[&worse("")]), "T1").tier, 1, "not measured");
    // Small and worse is no longer small; what was dressed before it got worse is open again, and closes by a later blend.
    assert_eq!(said(&found(&on_blade(SMALL, "none,,"), &[&worse("0.0045")]), "T1").tier, 2);
    let dressed = |day: &str| on_blade("leading_edge,nick,0.02,0.2,0.1", &format!("blended,{day},"));
    assert_eq!(said(&found(&dressed("2025-09-02"), &[&worse("0.03")]), "T1").tier, 2);
    assert_eq!(said(&found(&dressed("2025-11-21"), &[&worse("0.03")]), "T1").reason, NOTHING);
    // A shop's release before it was worse closes nothing.
    let shop = |day: &str| {
        found(&accepted, &[&worse("0.03")])
            .with("overhauls", &format!("propeller,overhaul_date,work,outcome\nT1,{day},repair,released\n"))
    };
    assert_eq!(said(&shop("2025-11-20"), "T1").tier, 2);
    assert_eq!(said(&shop("2025-11-21"), "T1").reason, "never measured");
}

#[test]
fn gone_needs_a_blend() {
    let gone = "T1,2025-09-01,1,75,2025-11-20,,gone,Kim";
    assert_eq!(said(&found(&on_blade("leading_edge,nick,0.02,0.2,0.1", "none,,"), &[gone]), "T1").tier, 2);
    let dressed = on_blade("leading_edge,nick,0.02,0.2,0.1", "blended,2025-11-20,");
    assert_eq!(said(&found(&dressed, &[gone]), "T1").reason, NOTHING);
}

#[test]
fn a_recheck_of_a_finding_that_is_not_there_is_set_aside_and_one_that_may_say_worse_counts() {
    let accepted = on_blade("face,erosion,0.02,0.5,0.2", ACCEPTED);
    let fleet = found(&accepted, &["T1,2025-09-02,1,75,2025-11-20,0.02,unchanged,Kim"]);
    assert_eq!(
        fleet.set_aside(),
        [
            "rechecks.csv:2 found_date [2025-09-02] `defects` has no such finding of this propeller | give the finding's own date, blade and station; findings are of 2025-09-01"
        ]
    );
    assert_eq!(said(&fleet, "T1").reason, NOTHING);
    for row in ["T1,2025-09-02,1,75,2025-11-20,0.02,worse,Kim", "T1,2025-09-01,2,75,2025-11-20,0.02,worse,Kim"] {
        expect(
            &found(&accepted, &[row]),
            "T1",
            1,
            "a recheck could not be used and may say worse (rechecks.csv:2)",
            "before flight a mechanic looks; correct the row from the paper report",
        );
    }
}

#[test]
fn a_recheck_is_never_a_new_finding_and_never_counts_in_a_rate() {
    use bladewane::results::answers::{Answers, Shown};
    let table = |fleet: &FleetFolder| {
        let loaded = fleet.load();
        let settings = bladewane::settings::Settings::default();
        let fleet = crate::fleet_folder::as_of(&loaded, "2026-01-01");
        let answers = Answers::new(&fleet, &settings);
        let rows = |name: &str| answers.slice(name, 0, &Shown::all()).expect("a table");
        (rows("defect_rate"), rows("findings").num_rows())
    };
    let small = on_blade(SMALL, "none,,");
    let again = "T1,2025-09-01,1,75,2025-10-01,0.004,unchanged,Kim";
    assert_eq!(table(&found(&small, &[])), table(&found(&small, &[again])));
}

#[test]
fn blanking_a_cell_of_a_recheck_never_makes_a_tier_milder_and_the_order_of_rows_changes_nothing() {
    let old = on_blade(SMALL, "none,,").replace("2025-09-01", "2024-12-31");
    let accepted = on_blade("face,erosion,0.02,0.5,0.2", ACCEPTED).replace("T1", "C1");
    let both = format!("{old}\n{accepted}");
    let rows = [
        "T1,2024-12-31,1,75,2025-03-01,0.004,unchanged,Kim",
        "T1,2024-12-31,1,75,2025-10-01,0.004,unchanged,Kim",
        "C1,2025-09-01,1,75,2025-10-01,0.03,worse,Kim",
        "C1,2025-09-01,1,75,2025-11-01,0.02,unchanged,Kim",
        "C1,2025-09-01,1,75,2025-11-01,,gone,",
    ];
    let before = tiers(&found(&both, &rows));
    assert_eq!(before, [2, 6, 6]);
    for (at, line) in rows.iter().enumerate() {
        // Whom the row is about is the listed exception.
        for column in 1..8 {
            let mut cells: Vec<&str> = line.split(',').collect();
            cells[column] = "";
            let line = cells.join(",");
            let mut rows = rows;
            rows[at] = &line;
            let after = tiers(&found(&both, &rows));
            assert!(before.iter().zip(&after).all(|(a, b)| b <= a), "{line}: {before:?} to {after:?}");
        }
    }
    let mut turned = rows;
    turned.reverse();
    assert_eq!(tiers(&found(&both, &turned)), before);
}
