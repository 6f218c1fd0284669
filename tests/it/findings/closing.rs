//! Which record closes a finding: a case for each sentence of the rule. The rule is this program's own; the checks are by
//! hand.

use bladewane::analysis::findings::{ClosedBy, FindingState, StillOpen};
use bladewane::trade::calendar::Day;
use bladewane::trade::field_repair::FieldRepair;

use crate::findings::folder::Tables;

/// A nick that may be dressed, found 2020-03-01; `done` is action, action date, recheck date.
fn nick(done: &str) -> Tables {
    Tables::new().report(&format!("2020-03-01,1,75,leading_edge,nick,0.020,,,{done}"))
}

/// As deep as no edge may be dressed: beyond 3/16 in.
fn deep_nick(done: &str) -> Tables {
    Tables::new().report(&format!("2020-03-01,1,75,leading_edge,nick,0.19,,,{done}"))
}

/// Erosion within the screen, which may be accepted.
fn erosion(done: &str) -> Tables {
    Tables::new().report(&format!("2020-03-01,1,75,leading_edge,erosion,0.020,,,{done}"))
}

fn of_kind(kind: &str, done: &str) -> Tables {
    Tables::new().report(&format!("2020-03-01,1,75,face,{kind},,,,{done}"))
}

#[test]
fn a_crack_closes_only_by_scrapping() {
    for done in ["none,,", "blended,2020-03-02,", "accepted,2020-03-02,2030-01-01", "shop,2020-03-02,"] {
        let crack = of_kind("crack", done).visit("2020-06-01,overhaul,released").visit("2021-06-01,repair,released");
        assert_eq!(crack.only().state, FindingState::Open(StillOpen::Crack), "{done}");
        let scrapped = crack.status("scrapped,2021-07-01");
        scrapped.read("2026-01-01", |fleet, findings| {
            let finding = &findings.rows[0];
            assert_eq!(finding.state, FindingState::Closed(ClosedBy::Scrapped));
            assert_eq!(finding.closed_by(fleet).as_deref(), Some("propeller scrapped 2021-07-01 (propellers.csv:2)"));
        });
        // Before that day it was flying.
        scrapped.read("2021-06-30", |_, findings| assert!(findings.rows[0].is_open()));
    }
}

#[test]
fn a_propeller_that_flies_on_is_not_scrapped() {
    let mut crack = of_kind("crack", "none,,").status("scrapped,2021-07-01");
    crack.hours = vec!["P1,2021-06-01,900".into(), "P1,2021-12-01,990".into()];
    assert!(crack.is_open());
    // Sold is not scrapped, and a rejection alone leaves it listed.
    assert!(of_kind("crack", "none,,").status("sold,2021-07-01").is_open());
    assert!(of_kind("crack", "none,,").visit("2021-07-01,overhaul,rejected").is_open());
}

#[test]
fn four_kinds_close_only_by_a_released_visit_of_their_work_on_or_after_the_report() {
    for kind in ["bend", "lightning", "strike", "overspeed"] {
        for done in ["none,,", "blended,2020-03-02,", "accepted,2020-03-02,2030-01-01", "shop,2020-03-02,"] {
            let finding = of_kind(kind, done);
            assert_eq!(finding.only().state, FindingState::Open(StillOpen::NoShopVisit), "{kind} {done}");
            for (visit, open) in [
                ("2020-02-29,overhaul,released", true),
                // A bend is straightened by nobody who only inspects after a strike.
                ("2020-03-01,strike inspection,released", kind == "bend"),
                ("2020-03-01,repair,released", false),
                ("2020-03-09,overhaul,released", false),
                ("2020-03-09,repitch,released", true),
                ("2020-03-09,shorten,released", true),
                ("2020-03-09,dimensional inspection,released", true),
                // What was done is not recorded, so nothing says that it was looked at.
                ("2020-03-09,,released", true),
                ("2020-03-09,overhaul,rejected", true),
                ("2020-03-09,overhaul,", true),
                ("2020-03-09,overhaul,relased", true),
            ] {
                assert_eq!(finding.clone().visit(visit).is_open(), open, "{kind} {done} {visit}");
            }
        }
    }
}

#[test]
fn a_blend_within_the_screen_closes() {
    nick("blended,2020-03-04,").read("2026-01-01", |fleet, findings| {
        let finding = &findings.rows[0];
        assert_eq!(finding.state, FindingState::Closed(ClosedBy::Blended));
        assert_eq!(finding.closed_by(fleet).as_deref(), Some("blended 2020-03-04 (defects.csv:2)"));
    });
    // Within, whatever the day of the blend.
    assert!(!nick("blended,,").is_open());
    // A blend of a later day has not been made yet.
    nick("blended,2020-03-04,").read("2020-03-03", |_, findings| {
        assert_eq!(findings.rows[0].state, FindingState::Open(StillOpen::NothingDone));
    });
}

#[test]
fn a_blend_beyond_the_screen_waits_for_a_visit() {
    for blend in [deep_nick("blended,2020-03-04,")] {
        assert_eq!(blend.only().state, FindingState::Open(StillOpen::BlendNotWithin));
        for (visit, open) in [
            ("2020-03-03,overhaul,released", true),
            ("2020-03-04,repair,released", false),
            ("2020-03-04,strike inspection,released", false),
            ("2020-03-04,dimensional inspection,released", true),
            ("2022-03-04,repitch,released", true),
            ("2022-03-04,shorten,released", true),
            ("2022-03-04,overhaul,rejected", true),
            ("2022-03-04,overhaul,", true),
        ] {
            assert_eq!(blend.clone().visit(visit).is_open(), open, "{visit}");
        }
    }
    // Without a day it counts as made after the last visit, whenever that was.
    let no_day = deep_nick("blended,,").visit("2025-12-31,overhaul,released");
    assert_eq!(no_day.only().state, FindingState::Open(StillOpen::BlendedOnNoDay));
}

/// The commonest entry of a log, "nick, dressed": nothing says that it was beyond the screen.
#[test]
fn a_blend_without_depth_place_or_side_closes() {
    let closed = |row: &str| Tables::new().report(&format!("2020-03-01,{row},blended,2020-03-04,")).only();
    for row in [
        "1,75,leading_edge,nick,,,",
        "1,,leading_edge,nick,0.05,,",
        "1,75,,nick,0.05,,",
        ",,,nick,,,",
        ",75,face,nick,,,",
    ] {
        let finding = closed(row);
        assert_eq!(finding.state, FindingState::Closed(ClosedBy::Blended), "{row}");
        assert!(!finding.measure_there, "{row}");
    }
    // What is on record is beyond the screen wherever it was.
    for row in ["1,,leading_edge,nick,0.19,,", "1,75,,nick,0.19,,", ",75,face,nick,0.07,,", "1,75,camber,gouge,,1 1/2,"]
    {
        assert!(closed(row).is_open(), "{row}");
    }
    // Beyond the screen on one side, within on another: closed, and to be measured.
    let somewhere = closed("1,75,,nick,0.1,,");
    assert!(!somewhere.is_open() && somewhere.measure_there);
    // Within by itself; with what a stand-in puts under it beyond.
    let second = Tables::new()
        .report("2020-03-01,1,75,leading_edge,nick,,,,blended,2020-03-04,")
        .report("2021-03-01,1,75,leading_edge,nick,0.05,,,blended,2021-03-04,")
        .read("2026-01-01", |_, findings| findings.rows[1]);
    assert!(!second.is_open() && second.measure_there);
}

#[test]
fn a_missing_length_or_width_alone_is_a_caution() {
    let extent =
        |sizes: &str| Tables::new().report(&format!("2020-03-01,1,75,camber,gouge,0.020,{sizes},blended,2020-03-04,"));
    for (sizes, caution) in [("0.4,0.1", false), (",0.1", true), ("0.4,", true), (",", true)] {
        let finding = extent(sizes).only();
        assert_eq!(finding.state, FindingState::Closed(ClosedBy::Blended), "{sizes}");
        assert_eq!(finding.screened.extent_not_recorded, caution, "{sizes}");
    }
    assert!(extent("1.1,0.1").is_open());
}

#[test]
fn accepted_closes_until_the_recheck() {
    let accepted = erosion("accepted,2020-03-04,2020-09-01");
    accepted.read("2020-08-31", |fleet, findings| {
        assert_eq!(findings.rows[0].closed_by(fleet).as_deref(), Some("accepted until 2020-09-01 (defects.csv:2)"));
    });
    for day in ["2020-09-01", "2026-01-01"] {
        accepted.read(day, |_, findings| {
            assert_eq!(findings.rows[0].state, FindingState::Open(StillOpen::RecheckDue), "{day}");
        });
    }
    // An overhaul after the acceptance has seen it; one before the acceptance left it there.
    let overhauled = accepted.clone().visit("2020-06-01,overhaul,released");
    overhauled.read("2026-01-01", |fleet, findings| {
        assert_eq!(
            findings.rows[0].closed_by(fleet).as_deref(),
            Some("overhaul released 2020-06-01 (overhauls.csv:2)")
        );
    });
    assert!(accepted.clone().visit("2020-03-03,overhaul,released").is_open());
    assert!(accepted.visit("2020-06-01,strike inspection,released").is_open());
    // No recheck date: open at once.
    erosion("accepted,2020-03-04,").read("2020-03-05", |_, findings| {
        assert_eq!(findings.rows[0].state, FindingState::Open(StillOpen::NoRecheckDate));
    });
}

#[test]
fn sent_to_the_shop_needs_a_released_visit_on_or_after_that_day() {
    let sent = nick("shop,2020-03-04,");
    assert_eq!(sent.only().state, FindingState::Open(StillOpen::NotBackFromShop));
    for (visit, open) in [
        ("2020-03-03,overhaul,released", true),
        ("2020-03-04,repair,released", false),
        ("2020-03-04,strike inspection,released", false),
        ("2020-03-04,,released", true),
        ("2020-03-05,dimensional inspection,released", true),
        ("2020-03-05,overhaul,rejected", true),
        ("2020-03-05,overhaul,", true),
    ] {
        assert_eq!(sent.clone().visit(visit).is_open(), open, "{visit}");
    }
    let no_day = nick("shop,,").visit("2025-12-31,overhaul,released");
    assert_eq!(no_day.only().state, FindingState::Open(StillOpen::SentOnNoDay));
}

#[test]
fn nothing_done_stays_open_until_a_later_overhaul_or_repair() {
    let nothing = nick("none,,");
    assert_eq!(nothing.only().state, FindingState::Open(StillOpen::NothingDone));
    for (visit, open) in [
        // What is reported on the day of release was found after it.
        ("2020-03-01,overhaul,released", true),
        ("2020-03-02,overhaul,released", false),
        ("2020-03-02,repair,released", false),
        ("2020-03-02,repitch,released", true),
        ("2020-03-02,shorten,released", true),
        ("2020-03-02,dimensional inspection,released", true),
        ("2020-03-02,strike inspection,released", true),
        ("2020-03-02,,released", true),
        ("2020-03-02,overhaul,rejected", true),
        ("2020-03-02,overhaul,", true),
        // A visit that cannot be read closes nothing.
        ("2020-13-02,overhaul,released", true),
    ] {
        assert_eq!(nothing.clone().visit(visit).is_open(), open, "{visit}");
    }
    // A day beside the word none says only when nothing was done.
    assert!(!nick("none,2020-05-01,").visit("2020-04-01,overhaul,released").is_open());
    // Measurements without a visit close nothing.
    assert!(nothing.measured("2021-03-02,1,75,4.79,0.355").is_open());
}

#[test]
fn an_empty_action_is_not_the_word_none() {
    // An absent column says none.
    let mut absent = Tables::new().visit("2021-03-02,overhaul,released");
    absent.defect_columns = "propeller,found_date,blade,station_pct,surface,kind,depth_in".into();
    assert!(!absent.report("2020-03-01,1,75,leading_edge,nick,0.020").is_open());
    // An empty or unreadable cell of a column that is there says nothing: it may have been sent away after the overhaul.
    for cell in ["", "blendet"] {
        let unsaid = nick(&format!("{cell},,")).visit("2021-03-02,overhaul,released");
        assert_eq!(unsaid.only().state, FindingState::Open(StillOpen::ActionNotRecorded));
        // With a day, an overhaul on or after it has seen whatever was done.
        let dated = |day: &str| nick(&format!("{cell},{day},")).visit("2021-03-02,overhaul,released").is_open();
        assert!(!dated("2021-03-02"));
        assert!(dated("2021-03-03"));
    }
}

#[test]
fn recorded_as_scrapped_on_a_listed_propeller_is_flagged() {
    let scrapped = nick("scrapped,2020-03-04,").visit("2021-03-02,overhaul,released");
    let finding = scrapped.only();
    assert!(finding.is_scrapped_but_listed());
    assert_eq!(finding.field_repair(), FieldRepair::Within);
    for status in ["spare,", "at shop,"] {
        assert!(scrapped.clone().status(status).only().is_scrapped_but_listed());
    }
    for status in ["scrapped,2020-03-10", "sold,2020-03-10"] {
        let mut gone = scrapped.clone().status(status);
        gone.overhauls.clear();
        assert_eq!(gone.only().state, FindingState::Closed(ClosedBy::Scrapped), "{status}");
    }
}

#[test]
fn a_later_date_re_opens_only_what_was_accepted() {
    let overhauled = nick("none,,").visit("2020-06-01,overhaul,released");
    let open_on = |day: &str| overhauled.read(day, |_, findings| findings.rows[0].is_open());
    assert!(open_on("2020-05-31"));
    let mut day = Day::parse_iso("2020-06-01").expect("a date");
    while day < Day::parse_iso("2026-01-01").expect("a date") {
        assert!(!open_on(&day.to_string()), "{day}");
        day = day + 97;
    }
}
