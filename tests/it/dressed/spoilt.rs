//! A damage report that was set aside still takes metal: what is readable is used, and the rest counts as the most it can be.

use super::{DEFECTS, ROOM, at, blend, margins};
use crate::fleet_folder::FleetFolder;
use crate::judged::{in_order, said};
use bladewane::trade::geometry::Dimension::Thickness;
use proptest::prelude::*;

const NAMES: &str = "propeller,found_date,kind,blade,station_pct,surface,depth_in,length_in,width_in,action,action_date,recheck_date,rework_depth_in,rework_length_in";

fn folder(rows: &[String]) -> FleetFolder {
    in_order().with("limits", ROOM).with("defects", &format!("{NAMES}\n{}\n", rows.join("\n")))
}

/// Left at worst of the thickness of a blade at a station, in ten-thousandths of an inch.
fn worst(folder: &FleetFolder, blade: u8, station: u8) -> i64 {
    (at(&margins(folder), blade, station, Thickness).margin_worst_in.expect("known") * 1e4).round() as i64
}

/// A row with one cell in place of its own.
fn with_cell(row: &str, name: &str, cell: &str) -> String {
    let at = NAMES.split(',').position(|n| n == name).expect("a column");
    let cells: Vec<&str> = row.split(',').enumerate().map(|(i, own)| if i == at { cell } else { own }).collect();
    cells.join(",")
}

const ROW: &str = "T1,2025-06-10,nick,1,60,face,0.030,0.1,0.1,blended,2025-06-10,,,";

/// 0.100 in before it; by hand. The screen's largest on the face is 0.0625 in.
#[test]
fn what_is_readable_is_used() {
    let left = |name: &str, cell: &str| {
        let folder = folder(&[with_cell(ROW, name, cell)]);
        let said = said(&folder, "T1");
        assert_eq!(
            (said.tier, said.reason.as_str()),
            (1, "a damage report could not be read (defects.csv:2)"),
            "{name}"
        );
        [(1, 0), (1, 1), (1, 2), (2, 1)].map(|(blade, station)| worst(&folder, blade, station))
    };
    let readable = folder(&[ROW.to_string()]);
    assert_eq!([0, 1, 2].map(|station| worst(&readable, 1, station)), [1000, 700, 1000]);
    assert_eq!(left("width_in", "wide"), [1000, 700, 1000, 1000]);
    assert_eq!(left("recheck_date", "soon"), [1000, 700, 1000, 1000]);
    assert_eq!(left("kind", "ding"), [1000, 700, 1000, 1000]);
    // How far it reaches is not known, nor where it lies, nor what it was found on top of.
    for (name, cell) in [
        ("length_in", "long"),
        ("rework_length_in", "long"),
        ("station_pct", "tip"),
        ("station_pct", "160"),
        ("found_date", "2025-06-31"),
        ("found_date", ""),
    ] {
        assert_eq!(left(name, cell), [700, 700, 700, 1000], "{name}");
    }
    // On either blade.
    for cell in ["one", "3", "0"] {
        assert_eq!(left("blade", cell), [1000, 700, 1000, 700], "{cell}");
    }
    for cell in ["deep", "-0.03", "3"] {
        assert_eq!(left("depth_in", cell), [1000, 375, 1000, 1000], "{cell}");
    }
    assert_eq!(left("rework_depth_in", "deep"), [1000, 375, 1000, 1000]);
    // As recorded it takes what it took, where it says so itself.
    let spoilt = folder(&[with_cell(ROW, "length_in", "long")]);
    assert_eq!(at(&margins(&spoilt), 1, 1, Thickness).margin_in, Some(0.070));
    // A record that is no whole one: any depth, anywhere, on any blade.
    let broken = folder(&["T1,2025-06-10,nick,1,60,face,0.030".to_string()]);
    assert_eq!([(1, 0), (1, 2), (2, 1)].map(|(blade, station)| worst(&broken, blade, station)), [375, 375, 375]);
    // One that says that it was not dressed took nothing.
    let not_dressed = with_cell(&with_cell(ROW, "action", "none"), "length_in", "long");
    assert_eq!(worst(&folder(&[not_dressed]), 1, 1), 1000);
}

/// What was set aside lies under what was found later, and on top of what was gone before.
#[test]
fn it_adds_to_the_other_blends() {
    let sum = |name: &str, cell: &str| {
        let first = "T1,2025-01-10,nick,1,60,face,0.020,0.1,0.1,blended,2025-01-10,,,".to_string();
        let last = "T1,2025-09-10,nick,1,60,face,0.020,0.1,0.1,blended,2025-09-10,,,".to_string();
        worst(&folder(&[first, with_cell(ROW, name, cell), last]), 1, 1)
    };
    for (name, cell) in [
        ("width_in", "0.1"),
        ("width_in", "wide"),
        ("found_date", "soon"),
        ("length_in", "long"),
        ("action_date", "soon"),
    ] {
        assert_eq!(sum(name, cell), 1000 - 200 - 300 - 200, "{name}");
    }
}

/// Nothing is lost of what the fleet's blends let expect of one more.
#[test]
fn it_counts_in_what_stands_in_for_others() {
    let rows = |spoilt: &str| -> Vec<String> {
        let one = |i: usize| {
            format!(
                "C1,2025-02-{:02},nick,1,60,face,0.0{}0,0.1,{},blended,2025-02-{:02},,,",
                i + 1,
                i % 2 + 1,
                if i == 0 { spoilt } else { "0.1" },
                i + 1
            )
        };
        (0..10).map(one).chain([with_cell(ROW, "depth_in", "")]).collect()
    };
    // 0.015 + 2 sqrt(10 x 0.005^2 / 9) = 0.02554.
    assert_eq!(worst(&folder(&rows("0.1")), 1, 1), 745);
    assert_eq!(worst(&folder(&rows("wide")), 1, 1), 745);
}

fn row() -> impl Strategy<Value = String> {
    let surface = prop_oneof![Just("face"), Just("camber"), Just("leading_edge"), Just("tip")];
    (0u32..300, 1u8..3, prop_oneof![20u32..100, 58u32..62], surface, 1u32..60, 1u32..300, any::<bool>()).prop_map(
        |(day, blade, pct, surface, depth, length, measured)| {
            let day = format!("2025-{:02}-{:02}", day / 28 + 1, day % 28 + 1);
            let length = f64::from(length) / 100.0;
            let rework = if measured { format!("0.{:03},{length}", depth + 1) } else { ",".to_string() };
            format!("T1,{day},nick,{blade},{pct},{surface},0.{depth:03},{length},0.1,blended,{day},,{rework}")
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// Spoiling a cell of a damage report never enlarges a margin; of a depth, beyond what stands in for it, it may.
    #[test]
    fn a_spoilt_cell_never_enlarges_a_margin(
        rows in prop::collection::vec(row(), 1..5),
        which in any::<prop::sample::Index>(),
        name in prop::sample::select(NAMES.split(',').skip(1).collect::<Vec<_>>()),
    ) {
        let folder = |rows: &[String]| {
            let limits = "
                model,station_pct,width_new_in,width_min_in,thickness_new_in,thickness_min_in
                M76,30,5.4,5.2,0.9,0.8
                M76,60,5.4,5.2,0.5,0.4
                M76,90,3.7,3.5,0.3,0.2";
            in_order().with("limits", limits).with("defects", &format!("{NAMES}\n{}\n", rows.join("\n")))
        };
        let mut spoilt = rows.clone();
        let row = &mut spoilt[which.index(rows.len())];
        *row = with_cell(row, name, "~");
        let (before, after) = (margins(&folder(&rows)), margins(&folder(&spoilt)));
        for (before, after) in before.iter().zip(&after) {
            let (was, is) = (before.margin_worst_in.expect("known"), after.margin_worst_in.expect("known"));
            prop_assert!(is <= was + 1e-9, "{name}: {was} -> {is} at {before:?}");
        }
    }
}

#[test]
fn a_whole_report_is_the_measure() {
    // What the other tests start from.
    let folder = in_order()
        .with("limits", ROOM)
        .with("defects", &format!("{DEFECTS}\n{}", blend("2025-06-10", "60,face", "0.030")));
    assert_eq!(worst(&folder, 1, 1), 700);
}
