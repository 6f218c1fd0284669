//! Metal dressed out since the last reading: what a report leaves out counts, in the margin that tiers go by, as the most
//! it can mean; the margin as recorded counts what is on record.

use crate::first_law::{MEASURED, at, close, margins};
use crate::fleet_folder::FleetFolder;
use bladewane::analysis::margins::Margin;
use bladewane::trade::geometry::Dimension::{self, Thickness, Width};

/// Everything of A1 measured on 2010-01-01 at 0.040 in above the minimum, then this report.
fn after(report: &str) -> Vec<Margin> {
    let rows: String = [1, 2]
        .iter()
        .flat_map(|blade| {
            [(30, 5.210, 0.943), (60, 5.270, 0.453), (90, 3.600, 0.229)]
                .map(|(pct, width, thickness)| format!("A1,2010-01-01,{blade},{pct},,{width},,{thickness}\n"))
        })
        .collect();
    let folder = FleetFolder::small()
        .with("overhauls", "propeller,overhaul_date\nA1,2010-01-01")
        .with("measurements", &format!("{MEASURED}{rows}"))
        .with(
            "defects",
            &format!("propeller,found_date,kind,blade,station_pct,surface,depth_in,action,action_date\n{report}"),
        );
    margins(&folder)
}

/// Blade, station, dimension and loss of every margin that is not 0.040 in, by what is left of it.
fn taken_of(report: &str, left: fn(&Margin) -> Option<f64>) -> Vec<(u8, u8, Dimension, f64)> {
    let margins = after(report);
    assert_eq!(margins.len(), 12);
    margins
        .iter()
        .map(|m| (m.blade, m.station, m.dimension, 0.040 - left(m).expect("a margin")))
        .filter(|(.., taken)| taken.abs() > 1e-9)
        .map(|(b, s, d, taken)| (b, s, d, (taken * 1e6).round() / 1e6))
        .collect()
}

/// As recorded.
fn taken(report: &str) -> Vec<(u8, u8, Dimension, f64)> {
    taken_of(report, |m| m.margin_in)
}

/// At worst.
fn at_worst(report: &str) -> Vec<(u8, u8, Dimension, f64)> {
    taken_of(report, |m| m.margin_worst_in)
}

/// Takes nothing as recorded, and this at worst.
#[track_caller]
fn only_at_worst(report: &str, expected: &[(u8, u8, Dimension, f64)]) {
    assert_eq!(taken(report), []);
    assert_eq!(at_worst(report), expected);
}

/// Edges take width, face and camber thickness, the hub neither; the tip takes diameter, and width inside 98 %. The margin
/// at 61 % is the same 0.040 in, and no blend of it reaches the station itself, 0.38 in away.
#[test]
fn a_complete_report_takes_its_depth_at_its_own_radius() {
    let report = |surface: &str| {
        let row = format!("A1,2011-01-01,nick,1,61,{surface},0.010,blended,2011-01-02");
        assert_eq!(taken(&row), at_worst(&row));
        taken(&row)
    };
    assert_eq!(report("leading_edge"), [(1, 1, Width, 0.010)]);
    assert_eq!(report("trailing_edge"), [(1, 1, Width, 0.010)]);
    assert_eq!(report("face"), [(1, 1, Thickness, 0.010)]);
    assert_eq!(report("camber"), [(1, 1, Thickness, 0.010)]);
    assert_eq!(report("tip"), [(1, 1, Width, 0.010)]);
    assert_eq!(report("hub"), []);
    assert_eq!(taken("A1,2011-01-01,nick,1,99,tip,0.010,blended,2011-01-02"), []);
    // Before the last reading, or on its day, the reading has it already.
    for day in ["2009-12-31", "2010-01-01"] {
        assert_eq!(taken(&format!("A1,2009-01-01,nick,1,60,face,0.010,blended,{day}")), []);
    }
    // Without a day it counts as made after the last visit.
    assert_eq!(taken("A1,2009-01-01,nick,1,60,face,0.010,blended,"), [(1, 1, Thickness, 0.010)]);
    // What was not dressed has taken nothing.
    for action in ["none", "accepted", "shop"] {
        assert_eq!(taken(&format!("A1,2011-01-01,nick,1,60,face,0.010,{action},2011-01-02")), []);
    }
}

/// The screen's largest depth: 3/16 in at the edges, 1/16 in on face and camber (AC 20-37E / AC 43.13-1B, from memory); the
/// fleet has fewer than ten blends to go by.
#[test]
fn without_a_depth_it_is_at_worst_the_screen_s_largest() {
    let report = |surface: &str| format!("A1,2011-01-01,nick,1,60,{surface},,blended,2011-01-02");
    only_at_worst(&report("leading_edge"), &[(1, 1, Width, 0.1875)]);
    only_at_worst(&report("face"), &[(1, 1, Thickness, 0.0625)]);
    only_at_worst(&report("tip"), &[(1, 1, Width, 0.0625)]);
}

/// From ten blends of that surface on it is their mean + 2 sd. By hand: ten of 0.010 and 0.020 in, five each: 0.015 +
/// 2 sqrt(10 x 0.005^2 / 9) = 0.025541.
#[test]
fn from_ten_recorded_ones_on_the_fleet_says_how_deep() {
    let others = |count: usize| -> String {
        let depth = |i: usize| if i.is_multiple_of(2) { 0.010 } else { 0.020 };
        (0..count).map(|i| format!("A2,2011-01-01,nick,1,60,face,{},blended,2011-01-02\n", depth(i))).collect()
    };
    let report = "A1,2011-01-01,nick,1,60,face,,blended,2011-01-02";
    only_at_worst(&format!("{}{report}", others(9)), &[(1, 1, Thickness, 0.0625)]);
    only_at_worst(&format!("{}{report}", others(10)), &[(1, 1, Thickness, 0.025541)]);
    // Ten of another surface say nothing.
    let edge = "A1,2011-01-01,nick,1,60,leading_edge,,blended,2011-01-02";
    only_at_worst(&format!("{}{edge}", others(10)), &[(1, 1, Width, 0.1875)]);
}

#[test]
fn without_a_surface_it_takes_at_worst_both_dimensions() {
    for surface in ["", "front"] {
        only_at_worst(
            &format!("A1,2011-01-01,nick,1,60,{surface},0.010,blended,2011-01-02"),
            &[(1, 1, Width, 0.010), (1, 1, Thickness, 0.010)],
        );
    }
}

#[test]
fn without_a_place_it_takes_at_worst_from_every_station_of_the_blade() {
    only_at_worst(
        "A1,2011-01-01,nick,2,,face,0.010,blended,2011-01-02",
        &[(2, 0, Thickness, 0.010), (2, 1, Thickness, 0.010), (2, 2, Thickness, 0.010)],
    );
    // The tip is a place: the outermost station.
    only_at_worst("A1,2011-01-01,nick,2,,tip,0.010,blended,2011-01-02", &[(2, 2, Width, 0.010)]);
}

#[test]
fn without_a_blade_it_takes_at_worst_from_every_blade() {
    only_at_worst(
        "A1,2011-01-01,nick,,60,face,0.010,blended,2011-01-02",
        &[(1, 1, Thickness, 0.010), (2, 1, Thickness, 0.010)],
    );
}

/// A blend that nobody placed may lie on one that was.
#[test]
fn what_is_not_placed_adds_to_what_is() {
    let report = "A1,2011-01-01,nick,1,60,face,0.010,blended,2011-01-02
                  A1,2012-01-01,nick,1,,face,0.005,blended,2012-01-02
                  A1,2012-01-01,nick,1,60,,0.002,blended,2012-01-02";
    assert_eq!(taken(report), [(1, 1, Thickness, 0.010)]);
    let expected = [(1, 0, Thickness, 0.005), (1, 1, Width, 0.002), (1, 1, Thickness, 0.017), (1, 2, Thickness, 0.005)];
    assert_eq!(at_worst(report), expected);
}

#[test]
fn with_nothing_recorded_it_takes_at_worst_the_most_from_everything() {
    let most = |margin: &Margin| match margin.dimension {
        Width => 0.1875,
        Thickness => 0.0625,
    };
    // A record that could not be cut into cells may have been such a blend.
    for report in ["A1,2011-01-01,nick,,,,,blended,", "A1,2011-01-01,nick,1,60,face,0.010,blended,2011-01-02,and more"]
    {
        for margin in &after(report) {
            close(margin.margin_in, 0.040);
            close(margin.margin_worst_in, 0.040 - most(margin));
        }
    }
}

/// Of a report set aside what is readable is used: without its day, on top of all else and anywhere on that side.
#[test]
fn a_report_without_its_day_takes_its_depth_anywhere() {
    only_at_worst(
        "A1,2011-13-01,nick,1,60,face,0.010,blended,2011-01-02",
        &[(1, 0, Thickness, 0.010), (1, 1, Thickness, 0.010), (1, 2, Thickness, 0.010)],
    );
}

/// An action that stands there and cannot be read may have been a blend.
#[test]
fn an_action_that_cannot_be_read_takes_metal() {
    assert_eq!(taken("A1,2011-01-01,nick,1,60,face,0.010,blendid,2011-01-02"), [(1, 1, Thickness, 0.010)]);
}

/// At the finding's own radius with interpolated dimensions; the smaller margin counts. At 45.5 %, half way between two
/// stations with 0.020 and 0.040 in left, 0.020 + 0.020 (45.5 - 30) / 30 is left before the blend. The blend on the other
/// side, 0.38 in away, does not reach it.
#[test]
fn a_blend_counts_at_its_own_radius() {
    let folder = |pct: f64| {
        FleetFolder::small()
            .with(
                "measurements",
                &format!("{MEASURED}A1,2010-01-01,1,30,,,,0.923\nA1,2010-01-01,1,60,,,,0.453\nA1,2010-01-01,1,90,,,,0.229"),
            )
            .with(
                "defects",
                &format!("propeller,found_date,kind,blade,station_pct,surface,depth_in,action,action_date\nA1,2011-01-01,nick,1,{pct},face,0.015,blended,2011-01-02\nA1,2011-02-01,nick,1,{},camber,0.004,blended,2011-02-02", pct + 1.0),
            )
    };
    let margins = margins(&folder(45.5));
    let there = at(&margins, 1, 1, Thickness);
    let expected: f64 = 0.020 + 0.020 * 15.5 / 30.0 - 0.015;
    close(there.margin_in, (expected * 1e9).round() / 1e9);
    close(there.dressed_since_in.into(), 0.015);
    close(there.least_at_in, 0.455 * 38.0);
    close(at(&margins, 1, 0, Thickness).margin_in, 0.020);
}

/// Three blends at one place since the overhaul use up the width though the sheet looks fine.
#[test]
fn blends_at_one_place_add_up() {
    let report = "A1,2011-01-01,nick,1,60,leading_edge,0.015,blended,2011-01-02
                  A1,2012-01-01,nick,1,60,leading_edge,0.015,blended,2012-01-02
                  A1,2013-01-01,nick,1,60,trailing_edge,0.015,blended,2013-01-02";
    assert_eq!(taken(report), [(1, 1, Width, 0.045)]);
}

/// Without a thickness limit at the tip station a blend beside it still takes from the nearest one that has.
#[test]
fn a_blend_beside_a_station_without_that_limit_is_not_lost() {
    let folder = FleetFolder::small()
        .with(
            "limits",
            "model,station_pct,width_new_in,width_min_in,thickness_new_in,thickness_min_in
             M76,60,5.440,5.230,0.476,0.413
             M76,100,2.0,1.9,,",
        )
        .with("measurements", &format!("{MEASURED}A1,2010-01-01,1,60,,,,0.453"))
        .with(
            "defects",
            "propeller,found_date,kind,blade,station_pct,surface,depth_in,action,action_date\nA1,2011-01-01,pit,1,95,camber,0.010,blended,2011-01-02",
        );
    close(at(&margins(&folder), 1, 0, Thickness).margin_in, 0.030);
}
