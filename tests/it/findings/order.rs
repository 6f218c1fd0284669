//! The order of open findings and the words they come with.

use bladewane::analysis::findings::{Finding, Urgency};

use crate::findings::folder::Tables;

fn words_in_order(tables: &Tables) -> Vec<(Urgency, String)> {
    tables.read("2026-01-01", |fleet, findings| {
        findings
            .in_order(fleet)
            .into_iter()
            .map(|at| {
                let finding = &findings.rows[at as usize];
                (finding.urgency(fleet), finding.words(fleet))
            })
            .collect()
    })
}

#[test]
fn kinds_then_not_measured_then_strength_retained() {
    let tables = Tables::new()
        .report("2025-01-01,1,40,face,scratch,0.004,0.2,0.01,none,,")
        // 0.03 of 1/16 in is 0.48 of the screen, 0.08 of 3/16 in is 0.43.
        .report("2025-01-02,1,60,leading_edge,nick,0.08,,,none,,")
        .report("2025-01-03,2,60,camber,nick,0.03,0.1,0.1,none,,")
        .report("2025-01-04,2,90,leading_edge,nick,0.19,,,none,,")
        .report("2025-01-05,2,30,trailing_edge,dent,,,,none,,")
        .report("2025-01-06,,,,strike,,,,none,,")
        .report("2025-01-07,2,71,face,crack,,0.3,,none,,");
    let found: Vec<(Urgency, String)> = words_in_order(&tables);
    let expected = [
        (Urgency::ShopOnlyKind, "crack on blade 2 face at 71 %, found 2025-01-07"),
        (Urgency::ShopOnlyKind, "strike on a blade not recorded, found 2025-01-06"),
        (Urgency::NotMeasured, "dent on blade 2 trailing edge at 30 %, found 2025-01-05"),
        (Urgency::ShopOnly, "nick 0.190 in deep on blade 2 leading edge at 90 %, found 2025-01-04"),
        (Urgency::Dress, "nick 0.080 in deep on blade 1 leading edge at 60 %, found 2025-01-02"),
        (Urgency::Dress, "nick 0.030 in deep on blade 2 camber at 60 %, found 2025-01-03"),
        (Urgency::LookAgain, "scratch 0.004 in deep on blade 1 face at 40 %, found 2025-01-01"),
    ]
    .map(|(urgency, words)| (urgency, words.to_string()));
    assert_eq!(found, expected);
}

#[test]
fn of_equal_depth_the_leading_edge_and_the_outer_third_come_first() {
    let tables = Tables::new()
        .report("2025-01-01,1,50,trailing_edge,nick,0.03,,,none,,")
        .report("2025-01-01,1,80,trailing_edge,nick,0.03,,,none,,")
        .report("2025-01-01,2,50,leading_edge,nick,0.03,,,none,,")
        .report("2025-01-01,2,80,leading_edge,nick,0.03,,,none,,");
    let places: Vec<String> = words_in_order(&tables)
        .into_iter()
        .map(|(_, words)| words.replace("nick 0.030 in deep on blade ", "").replace(", found 2025-01-01", ""))
        .collect();
    assert_eq!(
        places,
        ["2 leading edge at 80 %", "2 leading edge at 50 %", "1 trailing edge at 80 %", "1 trailing edge at 50 %"]
    );
}

#[test]
fn the_worst_of_a_propeller_and_its_reason() {
    let reason = |tables: &Tables| {
        tables.read("2026-01-01", |fleet, findings| findings.worst_of(fleet, 0).map(|f: &Finding| f.reason(fleet)))
    };
    let nick = Tables::new().report("2025-03-02,1,78,leading_edge,nick,0.021,,,none,,");
    assert_eq!(
        reason(&nick).as_deref(),
        Some(
            "open nick 0.021 in deep on blade 1 leading edge at 78 %, found 2025-03-02: not dressed, no released overhaul or repair since"
        )
    );
    let crack = nick.report("2025-03-01,2,71,camber,crack,,,,none,,");
    assert_eq!(
        reason(&crack).as_deref(),
        Some(
            "open crack on blade 2 camber at 71 %, found 2025-03-01: only scrapping closes a crack, or a shop's penetrant or eddy-current check that found none"
        )
    );
    let deep = Tables::new().report("2025-03-01,2,71,camber,pit,0.07,0.1,0.1,blended,2025-03-02,");
    assert_eq!(
        reason(&deep).as_deref(),
        Some(
            "open pit 0.070 in deep on blade 2 camber at 71 %, found 2025-03-01: too deep, earlier blends there included (0.070 in); blended beyond the field-repair limits; no shop release since"
        )
    );
    let scrapped = Tables::new().report("2025-03-01,2,71,camber,pit,0.01,0.1,0.1,scrapped,2025-03-02,");
    scrapped.read("2026-01-01", |fleet, findings| {
        let worst = findings.worst_of(fleet, 0).expect("an open finding");
        assert_eq!(worst.urgency(fleet), Urgency::RecordedScrapped);
        assert_eq!(
            worst.reason(fleet),
            "open pit 0.010 in deep on blade 2 camber at 71 %, found 2025-03-01: recorded as scrapped, and the propeller is listed"
        );
    });
    assert_eq!(reason(&Tables::new()), None);
}

#[test]
fn only_listed_propellers_are_put_in_order() {
    let mut tables = Tables::new().report("2025-03-02,1,78,leading_edge,crack,,,,none,,");
    tables.propellers.push("P0,M-76,2010-01-01,new,sold,2025-04-01".into());
    tables.defects.push("P0,2025-03-01,1,78,leading_edge,crack,,,,none,,".into());
    tables.read("2026-01-01", |fleet, findings| {
        // P0 comes first in the rows; its crack is open, and it is gone.
        assert!(findings.rows.iter().all(Finding::is_open));
        assert_eq!(findings.in_order(fleet), [1]);
        assert_eq!(findings.of(0).len(), 1);
        assert_eq!(findings.open_of(1).count(), 1);
        assert!(findings.of(7).is_empty());
    });
}

// The limit of 0.005 in is an assumption of this program: the test proves that it is applied.
#[test]
fn shallow_erosion_and_scratches_are_minor() {
    let urgency = |row: &str| {
        Tables::new()
            .report(&format!("2025-03-02,1,78,{row},none,,"))
            .read("2026-01-01", |fleet, findings| findings.rows[0].urgency(fleet))
    };
    assert_eq!(urgency("face,erosion,0.0049,0.5,0.2"), Urgency::Minor);
    assert_eq!(urgency("face,erosion,0.005,0.5,0.2"), Urgency::Dress);
    assert_eq!(urgency("face,nick,0.002,0.5,0.2"), Urgency::Dress);
    assert_eq!(urgency("face,scratch,0.002,2.5,0.01"), Urgency::ShopOnly);
    assert_eq!(urgency("face,scratch,,0.5,0.01"), Urgency::NotMeasured);
}
