//! The screen at a place: cumulative depth, margin left, repairs that line up. Hand algebra on the small model of
//! `folder.rs` (radius 38 in, so 1 in is 2.63 % of it), unless a source is named.

use bladewane::analysis::findings::{ClosedBy, FindingState};
use bladewane::trade::field_repair::{FieldRepair, ScreenReason};

use crate::findings::folder::Tables;

fn close(found: Option<f64>, expected: f64) -> bool {
    found.is_some_and(|f| (f - expected).abs() < 1e-9)
}

fn edge(found: &str, pct: f64, depth: f64) -> String {
    format!("{found},1,{pct},leading_edge,nick,{depth},,,blended,{found},")
}

// Common practice, no source: a gouge 1/16 in deep and 1 1/2 in long on the camber is shop only.
#[test]
fn a_long_gouge_on_the_camber_is_shop_only() {
    let gouge =
        |length: &str| Tables::new().report(&format!("2025-03-01,1,90,camber,gouge,1/16,{length},3/8,none,,")).only();
    let long = gouge("1 1/2");
    assert_eq!(long.field_repair(), FieldRepair::ShopOnly);
    assert_eq!(long.screened.reason, ScreenReason::Length);
    // One inch long it is as large as the screen allows, and 0.10 in of thickness bears it.
    let short = gouge("1");
    assert_eq!(short.field_repair(), FieldRepair::Within);
    assert!(close(short.margin_left_in, 0.10 - 0.0625));
}

// Each blend alone is within the screen and leaves metal; the three at one edge since the overhaul use up the width.
#[test]
fn three_blends_at_one_edge_use_up_the_width() {
    let overhauled = Tables::new()
        .visit("2024-01-10,overhaul,released")
        .measured("2024-01-10,1,60,5.38,0.470")
        .measured("2024-01-10,1,75,4.75,0.350")
        .measured("2024-01-10,1,90,3.77,0.240");
    let one = overhauled.clone().report(&edge("2024-05-01", 75.0, 0.054)).only();
    assert_eq!(one.state, FindingState::Closed(ClosedBy::Blended));
    assert!(close(one.margin_left_in, 0.15 - 0.054));
    let three = overhauled
        .report(&edge("2024-05-01", 75.0, 0.056))
        .report(&edge("2025-05-01", 75.0, 0.054))
        .report(&edge("2025-11-01", 75.0, 0.052));
    three.read("2026-01-01", |_, findings| {
        // Each is measured from the surface of its day.
        for (finding, sum) in findings.rows.iter().zip([0.056, 0.110, 0.162]) {
            // 0.162 in is within 3/16 in, but only 0.150 in of width was left above the minimum.
            assert!(close(finding.cumulative_depth_in, sum));
            assert_eq!(finding.screened.reason, ScreenReason::BelowMinimum);
            assert!(finding.is_open());
            assert!(close(finding.margin_left_in, 0.150 - 0.162));
        }
    });
    // Before the third, the two are within and the propeller has 0.040 in left there.
    three.read("2025-10-31", |_, findings| {
        assert!(findings.rows.iter().all(|f| !f.is_open()));
        assert!(close(findings.rows[1].margin_left_in, 0.150 - 0.110));
    });
}

/// Nicks 0.38 in apart (1 % of the radius) were once charged together: no blend of them reaches another's place.
#[test]
fn three_blends_beside_each_other_leave_what_the_deepest_leaves() {
    let beside = Tables::new()
        .visit("2024-01-10,overhaul,released")
        .measured("2024-01-10,1,60,5.38,0.470")
        .measured("2024-01-10,1,75,4.75,0.350")
        .measured("2024-01-10,1,90,3.77,0.240")
        .report(&edge("2024-05-01", 74.0, 0.056))
        .report(&edge("2025-05-01", 75.0, 0.054))
        .report(&edge("2025-11-01", 76.0, 0.052));
    beside.read("2026-01-01", |_, findings| {
        for (finding, own) in findings.rows.iter().zip([0.056, 0.054, 0.052]) {
            assert!(close(finding.cumulative_depth_in, own));
            assert_eq!(finding.state, FindingState::Closed(ClosedBy::Blended));
        }
        assert!(close(findings.rows[1].margin_left_in, 0.150 - 0.054));
    });
}

#[test]
fn a_new_nick_is_judged_with_what_was_dressed_there_before() {
    let judged = |blend: &str, nick: &str| {
        Tables::new()
            .report(&format!("2025-01-01,{blend},blended,2025-01-01,"))
            .report(&format!("2025-06-01,{nick},none,,"))
            .read("2026-01-01", |_, findings| findings.rows[1])
    };
    let nick = "1,75,leading_edge,nick,0.1,,";
    for (blend, sum) in [
        ("1,75,leading_edge,nick,0.05,,", 0.15),
        // A blend of 0.05 in is 0.5 in long: at 0.19 in from its middle 0.05 sqrt(1 - 0.76^2), at 0.266 in nothing.
        ("1,75.5,leading_edge,nick,0.05,,", 0.1 + 0.05 * (1.0f64 - 0.76 * 0.76).sqrt()),
        ("1,75.7,leading_edge,nick,0.05,,", 0.1),
        ("1,75,trailing_edge,nick,0.05,,", 0.1),
        ("1,75,face,nick,0.05,,", 0.1),
        ("2,75,leading_edge,nick,0.05,,", 0.1),
        // What is not recorded may be there: the blade, the place, the side.
        (",75,leading_edge,nick,0.05,,", 0.15),
        ("1,,leading_edge,nick,0.05,,", 0.15),
        ("1,75,,nick,0.05,,", 0.15),
        // A depth that is not recorded is none: nothing is called beyond the screen by a stand-in.
        ("1,75,leading_edge,nick,,,", 0.1),
        ("1,75,tip,nick,0.05,,", 0.15),
    ] {
        let finding = judged(blend, nick);
        assert!(close(finding.cumulative_depth_in, sum), "{blend}: {:?}", finding.cumulative_depth_in);
        let shop = sum > 0.1875;
        assert_eq!(finding.field_repair() == FieldRepair::ShopOnly, shop, "{blend}");
    }
    // Face and camber have a profile each; thickness loses both.
    let camber = judged("1,75,face,nick,0.03,,", "1,75,camber,nick,0.03,0.1,0.1");
    assert!(close(camber.cumulative_depth_in, 0.03));
    assert!(close(camber.margin_left_in, 0.10 - 0.06));
    let face = judged("1,75,face,nick,0.03,,", "1,75,face,nick,0.033,0.1,0.1");
    assert_eq!(face.field_repair(), FieldRepair::ShopOnly);
    // What was not dressed takes no metal.
    let undressed = Tables::new()
        .report("2025-01-01,1,75,leading_edge,nick,0.05,,,none,,")
        .report("2025-06-01,1,75,leading_edge,nick,0.1,,,none,,")
        .read("2026-01-01", |_, findings| findings.rows[1]);
    assert!(close(undressed.cumulative_depth_in, 0.1));
}

#[test]
fn a_blend_counts_until_its_place_was_read() {
    let sum_after = |measurement: &str| {
        Tables::new()
            .report(&edge("2022-01-01", 75.0, 0.05))
            .visit("2023-01-01,dimensional inspection,released")
            .measured(measurement)
            .report("2025-06-01,1,75,leading_edge,nick,0.1,,,none,,")
            .read("2026-01-01", |_, findings| findings.rows[1])
            .cumulative_depth_in
    };
    // Width of that blade, there: at another station nobody saw it.
    assert!(close(sum_after("2023-01-01,1,75,4.70,0.350"), 0.1));
    assert!(close(sum_after("2023-01-01,1,60,5.38,"), 0.15));
    // Thickness only, or the other blade.
    assert!(close(sum_after("2023-01-01,1,75,,0.350"), 0.15));
    assert!(close(sum_after("2023-01-01,2,75,4.70,0.350"), 0.15));
}

#[test]
fn a_blend_seen_by_a_visit_is_judged_with_the_blends_of_its_own_time() {
    // Two blends of 0.1 in together before the overhaul, a third after it.
    let tables = Tables::new()
        .report(&edge("2022-01-01", 75.0, 0.1))
        .report(&edge("2022-06-01", 75.0, 0.1))
        .visit("2023-01-01,overhaul,released")
        .measured("2023-01-01,1,75,4.79,0.350")
        .report(&edge("2025-01-01", 75.0, 0.1));
    tables.read("2026-01-01", |fleet, findings| {
        let sums = [0.1, 0.2, 0.1];
        for (finding, sum) in findings.rows.iter().zip(sums) {
            assert!(close(finding.cumulative_depth_in, sum));
            assert!(!finding.is_open());
        }
        // The first was within the screen and needed no shop; the second went beyond it.
        assert_eq!(findings.rows[0].closed_by(fleet).as_deref(), Some("blended 2022-01-01 (defects.csv:2)"));
        assert_eq!(
            findings.rows[1].closed_by(fleet).as_deref(),
            Some("overhaul released 2023-01-01 (overhauls.csv:2)")
        );
        assert_eq!(findings.rows[0].margin_left_in, None);
        assert!(close(findings.rows[2].margin_left_in, 0.19 - 0.1));
    });
    // As of a day before the overhaul the second, which went beyond the screen, was open.
    tables.read("2022-12-31", |_, findings| {
        assert_eq!(findings.rows.iter().map(|f| f.is_open()).collect::<Vec<_>>(), [false, true]);
    });
}

#[test]
fn margin_left_is_interpolated_and_taken_off_once() {
    let left = |row: &str| Tables::new().report(&format!("2025-06-01,{row}")).only().margin_left_in;
    // A quarter of the way from 75 % (0.20) to 90 % (0.16) of width: 0.19 at its own radius.
    for done in ["none,,", "blended,2025-06-02,", "accepted,2025-06-02,2030-01-01", ",,"] {
        let nick = format!("1,78.75,leading_edge,nick,0.05,,,{done}");
        assert!(close(left(&nick), 0.14), "{done}: {:?}", left(&nick));
    }
    // Past the middle as well: no blend of it reaches the outer station, which has 0.16.
    assert!(close(left("1,83,leading_edge,nick,0.05,,,none,,"), 0.128666667));
    // Beyond the outermost station nothing is extrapolated.
    assert!(close(left("1,97,leading_edge,nick,0.05,,,none,,"), 0.11));
    // Face and camber take thickness, the tip diameter (and width inside 98 %), the hub none.
    assert!(close(left("1,75,face,nick,0.05,,,none,,"), 0.05));
    assert!(close(left("1,97,tip,nick,0.02,,,none,,"), 0.14));
    assert_eq!(left("1,98,tip,nick,0.02,,,none,,"), None);
    assert_eq!(left("1,75,hub,nick,0.02,,,none,,"), None);
    // Not measured.
    assert_eq!(left("1,75,leading_edge,nick,,,,none,,"), None);
    assert_eq!(left("1,75,leading_edge,nick,,,,blended,,"), None);
    // Nowhere in particular: the worst station; no blade: the worst blade.
    assert!(close(left("1,,leading_edge,nick,0.05,,,none,,"), 0.11));
    assert!(close(left(",75,leading_edge,nick,0.05,,,none,,"), 0.15));
    // Another blend counts as far as it reaches.
    let two = Tables::new()
        .report(&edge("2025-01-01", 75.0, 0.03))
        .report("2025-06-01,1,78.75,leading_edge,nick,0.05,,,none,,")
        .read("2026-01-01", |_, findings| findings.rows[1].margin_left_in);
    assert!(close(two, 0.19 - 0.05), "{two:?}");
}

#[test]
fn margin_left_starts_from_the_last_reading() {
    let tables = Tables::new()
        .visit("2024-01-10,overhaul,released")
        .measured("2024-01-10,1,60,5.38,0.470")
        .measured("2024-01-10,1,75,4.75,0.350")
        .measured("2024-01-10,1,90,3.77,0.240")
        .report(&edge("2023-12-01", 75.0, 0.04))
        .report("2025-06-01,1,75,leading_edge,nick,0.05,,,none,,");
    tables.read("2026-01-01", |_, findings| {
        // The blend of 2023 is in the reading of 2024.
        assert!(close(findings.rows[1].margin_left_in, 0.15 - 0.05));
    });
    // A reading after the report includes it only if it was dressed by then, and that must be said.
    let read_after = |done: &str| {
        Tables::new()
            .report(&format!("2023-06-01,1,75,leading_edge,nick,0.05,,,{done}"))
            .measured("2024-01-10,1,75,4.75,0.350")
            .only()
            .margin_left_in
    };
    assert!(close(read_after("blended,2023-06-02,"), 0.15));
    for done in ["none,,", ",2023-06-02,", "blended,,", "accepted,2023-06-02,"] {
        assert!(close(read_after(done), 0.10), "{done}");
    }
}

#[test]
fn a_margin_used_up_makes_a_shallow_nick_shop_only() {
    let worn = |width: &str| {
        Tables::new()
            .visit("2024-01-10,overhaul,released")
            .measured(&format!("2024-01-10,1,60,{width},0.470"))
            .measured("2024-01-10,1,75,4.75,0.350")
            .measured("2024-01-10,1,90,3.77,0.240")
            .report("2025-06-01,1,60,trailing_edge,nick,0.02,,,none,,")
            .only()
    };
    assert_eq!(worn("5.220").field_repair(), FieldRepair::Within);
    assert_eq!(worn("5.219").screened.reason, ScreenReason::BelowMinimum);
}

// Source: a maker's manual for another propeller (read); AC 43.13-1B 8-73, from memory.
#[test]
fn repairs_line_up_across_the_blade() {
    let lines = |first: &str, second: &str| {
        Tables::new()
            .report(&format!("2025-01-01,{first}"))
            .report(&format!("2025-06-01,{second}"))
            .read("2026-01-01", |_, findings| [findings.rows[0].lines_up, findings.rows[1].lines_up])
    };
    let blended = "nick,0.02,0.1,0.1,blended,2025-07-01,";
    let open = "nick,0.02,0.1,0.1,none,,";
    let accepted = "erosion,0.02,0.1,0.1,accepted,2025-07-01,2030-01-01";
    let pair = |a: &str, b: &str, with: &str| lines(&format!("{a},{blended}"), &format!("{b},{with}"));
    assert_eq!(pair("1,75,face", "1,77,camber", blended), [true, true]);
    assert_eq!(pair("1,75,leading_edge", "1,77,trailing_edge", blended), [true, true]);
    // An open one would line up once it is dressed; the blend itself lines up with no repair yet.
    assert_eq!(pair("1,75,face", "1,77,camber", open), [false, true]);
    assert_eq!(pair("1,75,face", "1,77,camber", accepted), [false, false]);
    assert_eq!(pair("1,75,face", "1,78,camber", blended), [false, false]);
    assert_eq!(pair("1,75,face", "2,75,camber", blended), [false, false]);
    assert_eq!(pair("1,75,face", "1,75,face", blended), [false, false]);
    assert_eq!(pair("1,75,face", "1,75,leading_edge", blended), [false, false]);
}

// Blend lengths of 10 and 20 times the depth: makers' manuals for other propellers (read).
#[test]
fn the_length_a_blend_needs() {
    let length = |row: &str| Tables::new().report(&format!("2025-06-01,1,75,{row},,,none,,")).only().blend_length_in;
    assert!(close(length("leading_edge,nick,0.03"), 0.3));
    assert!(close(length("camber,nick,0.03"), 0.6));
    assert_eq!(length("camber,nick,"), None);
    assert_eq!(length("camber,crack,0.03"), None);
    assert_eq!(length("hub,nick,0.03"), None);
}
