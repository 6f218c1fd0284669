//! Decisions: who has seen why a propeller stands where it stands. Never a tier changes; inside one the unseen come first.
//! The rules are the program's own.

use bladewane::records::Fleet;
use bladewane::results::answers::Answers;
use bladewane::settings::Settings;

use crate::fleet_folder::{FleetFolder, as_of, cautions, day, set_aside};
use crate::judged::in_order;
use crate::program::{bladewane, text};

const DEFECTS: &str = "propeller,found_date,blade,station_pct,surface,kind,depth_in,length_in,width_in\n";
const DECISIONS: &str = "propeller,date,reason,decision,until,by,reference\n";
const NICK: &str = "leading_edge,nick,0.03,0.2,0.1";
const NICK_WORDS: &str = "open nick 0.030 in deep on blade 1 leading edge at 75 %, found 2025-12-01: not dressed, no released overhaul or repair since";
/// As a cell of a CSV file.
const CELL: &str = "\"open nick 0.030 in deep on blade 1 leading edge at 75 %, found 2025-12-01: not dressed, no released overhaul or repair since\"";

/// A nick on the trainer and one on the club's propeller, both in tier 2, and what was decided.
fn two_nicks(decisions: &str) -> FleetFolder {
    let folder =
        in_order().with("defects", &format!("{DEFECTS}T1,2025-12-01,1,75,{NICK}\nC1,2025-12-01,1,75,{NICK}\n"));
    if decisions.is_empty() { folder } else { folder.with("decisions", &format!("{DECISIONS}{decisions}\n")) }
}

/// Serial, tier and who has seen it, in the order of the ranking of those that fly.
fn order_on(folder: &FleetFolder, date: &str) -> Vec<(String, u8, Option<String>)> {
    let loaded = folder.load();
    let settings = Settings::default();
    let fleet = Fleet::as_of(&loaded, day(date), &settings);
    let answers = Answers::new(&fleet, &settings);
    let flying = answers.ranking().iter().filter(|r| r.list.word() == "flying");
    flying
        .map(|r| (fleet.propellers.serial(r.propeller).to_string(), r.tier, r.seen.as_ref().map(|s| s.words())))
        .collect()
}

fn order(folder: &FleetFolder) -> Vec<(String, u8, Option<String>)> {
    order_on(folder, "2026-01-01")
}

fn unseen(serial: &str) -> (String, u8, Option<String>) {
    (serial.to_string(), 2, None)
}

fn seen(serial: &str, words: &str) -> (String, u8, Option<String>) {
    (serial.to_string(), 2, Some(words.to_string()))
}

fn reason_of(folder: &FleetFolder, serial: &str) -> String {
    crate::judged::said(folder, serial).reason
}

#[test]
fn inside_a_tier_the_unseen_come_first_and_the_seen_say_by_whom() {
    assert_eq!(reason_of(&two_nicks(""), "T1"), NICK_WORDS);
    assert_eq!(order(&two_nicks("")), [unseen("T1"), unseen("C1")]);
    let folder = two_nicks(&format!("T1,2025-12-10,{CELL},dress it on Friday,2026-01-15,Kim,W7"));
    assert_eq!(order(&folder), [unseen("C1"), seen("T1", "seen by Kim on 2025-12-10 until 2026-01-15")]);
    // Both seen: the order is the one without decisions.
    let both = format!("T1,2025-12-10,{CELL},,2026-01-15,Kim,\nC1,2025-12-11,{CELL},,2026-02-15,Lee,");
    assert_eq!(
        order(&two_nicks(&both)),
        [
            seen("T1", "seen by Kim on 2025-12-10 until 2026-01-15"),
            seen("C1", "seen by Lee on 2025-12-11 until 2026-02-15")
        ]
    );
}

#[test]
fn a_decision_never_changes_a_tier() {
    let grave =
        in_order().with("defects", &format!("{DEFECTS}T1,2025-12-01,1,75,face,crack,,,\nC1,2025-12-01,1,75,{NICK}\n"));
    let reason = reason_of(&grave, "T1");
    let decided = grave.with("decisions", &format!("{DECISIONS}T1,2025-12-10,\"{reason}\",fly on,2099-01-01,Kim,\n"));
    let order = order(&decided);
    // A crack that was seen still stands before a nick that was not, and in tier 1.
    assert_eq!((order[0].0.as_str(), order[0].1), ("T1", 1));
    assert_eq!(order[0].2.as_deref(), Some("seen by Kim on 2025-12-10 until 2099-01-01"));
    assert_eq!((order[1].0.as_str(), order[1].1), ("C1", 2));
}

#[test]
fn it_lapses_when_its_end_passes_and_when_the_reason_changes() {
    let folder = two_nicks(&format!("T1,2025-12-10,{CELL},,2026-01-15,Kim,"));
    let words = "seen by Kim on 2025-12-10 until 2026-01-15";
    assert_eq!(order_on(&folder, "2026-01-15")[1], seen("T1", words));
    assert_eq!(order_on(&folder, "2026-01-16"), [unseen("T1"), unseen("C1")]);
    // Before the decision it was not made.
    assert_eq!(order_on(&folder, "2025-12-09"), [unseen("T1"), unseen("C1")]);
    // The same place, deeper.
    let deeper = two_nicks(&format!("T1,2025-12-10,{},,2026-01-15,Kim,", CELL.replace("0.030", "0.020")));
    assert_eq!(order(&deeper), [unseen("T1"), unseen("C1")]);
}

#[test]
fn a_second_reason_of_the_tier_must_be_seen_too() {
    let two = format!("{DEFECTS}T1,2025-12-01,1,75,face,crack,,,\n");
    let not = "aircraft,inspection_date,kind,result\nRobin,2025-11-03,annual,not\n";
    let folder = |decisions: &str| {
        let decisions = format!("{DECISIONS}{decisions}");
        let folder = in_order().with("defects", &two).with("inspections", not);
        order(&folder.with("decisions", &decisions))[0].2.clone()
    };
    let said = crate::judged::said(&in_order().with("defects", &two).with("inspections", not), "T1");
    assert_eq!(said.tier, 1);
    let (first, second) = (&said.reasons[0], &said.reasons[1]);
    let of = |reason: &str, until: &str| format!("T1,2025-12-10,\"{reason}\",,{until},Kim,\n");
    assert_eq!(folder(&of(first, "2026-02-01")), None);
    // A row each; the one that ends first says until when.
    let both = of(first, "2026-02-01") + &of(second, "2026-01-20");
    assert_eq!(folder(&both).as_deref(), Some("seen by Kim on 2025-12-10 until 2026-01-20"));
    // Or both in one cell, as the table `ranking` words them.
    let copied = of(&format!("{first}; also {second}"), "2026-02-01");
    assert_eq!(folder(&copied).as_deref(), Some("seen by Kim on 2025-12-10 until 2026-02-01"));
}

/// Days that pass by themselves are no new reason.
#[test]
fn a_limit_passed_for_longer_stays_seen() {
    let past = |date: &str| {
        in_order()
            .with(
                "propellers",
                "propeller,model,use,in_service_date,acquired,interval_months\nT1,M76,training,2024-06-01,new,12",
            )
            .with("decisions", &format!("{DECISIONS}T1,2025-06-20,past recommended limit by 19 days,,{date},Kim,\n"))
    };
    assert!(reason_of(&past("2027-01-01"), "T1").starts_with("past recommended limit by 214 days"));
    assert_eq!(order(&past("2027-01-01"))[0].2.as_deref(), Some("seen by Kim on 2025-06-20 until 2027-01-01"));
    assert_eq!(order(&past("2025-12-31"))[0].2, None);
}

/// First law: no cell, emptied or spoilt, makes a propeller look seen, and no cell of the table moves a tier.
#[test]
fn no_empty_or_spoilt_cell_makes_it_look_seen() {
    let cells = ["T1", "2025-12-10", CELL, "looked at", "2026-01-15", "Kim", "W7"];
    let lapsed = ["T1", "2025-12-10", CELL, "looked at", "2025-12-20", "Kim", "W7"];
    let of_another = ["T1", "2025-12-10", "never measured", "looked at", "2026-01-15", "Kim", "W7"];
    let tiers = |order: &[(String, u8, Option<String>)]| {
        let mut tiers: Vec<(String, u8)> = order.iter().map(|(serial, tier, _)| (serial.clone(), *tier)).collect();
        tiers.sort();
        tiers
    };
    let without = order(&two_nicks(""));
    for (whole, is_seen) in [(cells, true), (lapsed, false), (of_another, false)] {
        for (at, name) in DECISIONS.trim().split(',').enumerate() {
            for with in ["", "?", "2026-02-30", "1930-01-01", "#REF!"] {
                let mut row = whole;
                row[at] = with;
                let said = order(&two_nicks(&row.join(",")));
                assert_eq!(tiers(&said), tiers(&without), "{name} = {with:?}");
                let seen = said.iter().any(|(_, _, seen)| seen.is_some());
                // What was decided and where it stands are for people; a name that nobody has is still a name.
                let still = is_seen && (matches!(name, "decision" | "reference") || (name == "by" && with.len() > 1));
                let earlier = is_seen && name == "date" && with == "1930-01-01";
                assert_eq!(seen, still || earlier, "{name} = {with:?}: {said:?}");
            }
        }
    }
}

#[test]
fn what_is_wrong_with_a_decision_is_said() {
    let table = format!(
        "{DECISIONS}T9,2025-12-10,x,,2026-01-15,Kim,\n\
         T1,2025-12-10,x,,2025-12-09,Kim,\nT1,2025-12-11,x,,2026-01-15,,\nT1,2025-12-12,,,2026-01-15,Kim,\n\
         T1,2025-12-13,x,,,Kim,\nT1,2026-01-02,x,,2026-01-15,Kim,\nT1,2025-12-14,x,,soon,Kim,\n"
    );
    let folder = in_order().with("decisions", &table);
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let of_table = |lines: Vec<String>| lines.into_iter().filter(|l| l.contains("decisions.csv")).collect::<Vec<_>>();
    assert_eq!(
        of_table(set_aside(&fleet)),
        [
            "decisions.csv:2 propeller [T9] the propeller is not listed in `propellers` | add it to `propellers`, or correct the serial"
        ]
    );
    let incomplete = "a decision without a reason, a name or an end, so nothing is shown as seen | fill reason, until and by, or remove the row";
    assert_eq!(
        of_table(cautions(&fleet)),
        [
            "decisions.csv:3 until [2025-12-09] T1 - x1 the decision ends before it was made, so nothing is shown as seen | correct `date` or `until`".to_string(),
            format!("decisions.csv:4 by [] T1 - x4 {incomplete}"),
            "decisions.csv:8 until [soon] - - x1 until: \"soon\" is not a date (expected YYYY-MM-DD); it counts as not recorded | write YYYY-MM-DD, or set date_format in fleet.toml".to_string(),
        ]
    );
    let counts = fleet.ledger.counts(bladewane::records::schema::Table::Decisions).expect("a count");
    assert_eq!((counts.used, counts.set_aside, counts.later), (5, 1, 1));
}

#[test]
fn explain_sheet_table_and_page_tell_it() {
    let folder = two_nicks(&format!(
        "T1,2025-12-10,{CELL},dress it on Friday,2026-01-15,Kim,W7\nC1,2025-12-01,{CELL},,2025-12-31,Lee,"
    ));
    let fleet = folder.path().display().to_string();
    let out = |args: &[&str]| {
        let args: Vec<&str> = args.iter().copied().chain(["--as-of", "2026-01-01"]).collect();
        text(&bladewane(&args).stdout).split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let story = out(&["explain", &fleet, "T1"]);
    assert!(
        story.contains("Decision of 2025-12-10, by Kim, until 2026-01-15, dress it on Friday, W7 (decisions.csv:2)."),
        "{story}"
    );
    let story = out(&["explain", &fleet, "C1"]);
    assert!(story.contains("until 2025-12-31; lapsed: its end has passed (decisions.csv:3)."), "{story}");
    let words = "seen by Kim on 2025-12-10 until 2026-01-15";
    assert!(out(&["sheet", &fleet, "T1"]).contains(words));
    assert!(out(&["rank", &fleet, "--format", "csv"]).contains(words));
    assert!(out(&["run", &fleet, "--out", &format!("{fleet}-results")]).contains(words));
    let page = std::fs::read_to_string(format!("{fleet}-results/report.html")).expect("the page");
    // Today, the ranking, and its own fold.
    assert_eq!(page.matches(words).count(), 3);
    std::fs::remove_dir_all(format!("{fleet}-results")).expect("removed");
}
