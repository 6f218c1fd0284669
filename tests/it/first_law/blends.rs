//! Metal dressed out since the last reading: what a report leaves out counts as the most it can mean.

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

/// Blade, station, dimension and loss of every margin that is not 0.040 in.
fn taken(report: &str) -> Vec<(u8, u8, Dimension, f64)> {
    let margins = after(report);
    assert_eq!(margins.len(), 12);
    margins
        .iter()
        .map(|m| (m.blade, m.station, m.dimension, 0.040 - m.margin_in.expect("a margin")))
        .filter(|(.., taken)| taken.abs() > 1e-9)
        .map(|(b, s, d, taken)| (b, s, d, (taken * 1e6).round() / 1e6))
        .collect()
}

/// Edges take width, face and camber thickness, the tip both, the hub neither.
#[test]
fn a_complete_report_takes_its_depth_at_the_nearest_station() {
    let report = |surface: &str| taken(&format!("A1,2011-01-01,nick,1,61,{surface},0.010,blended,2011-01-02"));
    assert_eq!(report("leading_edge"), [(1, 1, Width, 0.010)]);
    assert_eq!(report("trailing_edge"), [(1, 1, Width, 0.010)]);
    assert_eq!(report("face"), [(1, 1, Thickness, 0.010)]);
    assert_eq!(report("camber"), [(1, 1, Thickness, 0.010)]);
    assert_eq!(report("tip"), [(1, 1, Width, 0.010), (1, 1, Thickness, 0.010)]);
    assert_eq!(report("hub"), []);
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

/// The screen's largest depth: 3/16 in at the edges, 1/16 in on face and camber (AC 20-37E / AC 43.13-1B, from memory).
#[test]
fn without_a_depth_it_is_the_screen_s_largest() {
    let report = |surface: &str| taken(&format!("A1,2011-01-01,nick,1,60,{surface},,blended,2011-01-02"));
    assert_eq!(report("leading_edge"), [(1, 1, Width, 0.1875)]);
    assert_eq!(report("face"), [(1, 1, Thickness, 0.0625)]);
    assert_eq!(report("tip"), [(1, 1, Width, 0.1875), (1, 1, Thickness, 0.0625)]);
}

#[test]
fn without_a_surface_it_takes_both_dimensions() {
    for surface in ["", "front"] {
        assert_eq!(
            taken(&format!("A1,2011-01-01,nick,1,60,{surface},0.010,blended,2011-01-02")),
            [(1, 1, Width, 0.010), (1, 1, Thickness, 0.010)]
        );
    }
}

#[test]
fn without_a_place_it_takes_from_every_station_of_the_blade() {
    assert_eq!(
        taken("A1,2011-01-01,nick,2,,face,0.010,blended,2011-01-02"),
        [(2, 0, Thickness, 0.010), (2, 1, Thickness, 0.010), (2, 2, Thickness, 0.010)]
    );
}

#[test]
fn without_a_blade_it_takes_from_every_blade() {
    assert_eq!(
        taken("A1,2011-01-01,nick,,60,face,0.010,blended,2011-01-02"),
        [(1, 1, Thickness, 0.010), (2, 1, Thickness, 0.010)]
    );
}

#[test]
fn with_nothing_recorded_it_takes_the_most_from_everything() {
    let margins = after("A1,2011-01-01,nick,,,,,blended,");
    for margin in &margins {
        let most = match margin.dimension {
            Width => 0.1875,
            Thickness => 0.0625,
        };
        close(margin.margin_in, 0.040 - most);
    }
}

/// An action that stands there and cannot be read may have been a blend.
#[test]
fn an_action_that_cannot_be_read_takes_metal() {
    assert_eq!(taken("A1,2011-01-01,nick,1,60,face,0.010,blendid,2011-01-02"), [(1, 1, Thickness, 0.010)]);
}

/// At the finding's own radius with interpolated dimensions; the smaller margin counts. At 45 %, half way between two
/// stations with 0.040 and 0.020 in left, 0.030 in is left before the blend; its nearest station is the outer one.
#[test]
fn a_blend_counts_at_its_own_radius_too() {
    let folder = |depth: f64, pct: f64| {
        FleetFolder::small()
            .with(
                "measurements",
                &format!("{MEASURED}A1,2010-01-01,1,30,,,,0.923\nA1,2010-01-01,1,60,,,,0.453\nA1,2010-01-01,1,90,,,,0.229"),
            )
            .with(
                "defects",
                &format!("propeller,found_date,kind,blade,station_pct,surface,depth_in,action,action_date\nA1,2011-01-01,nick,1,{pct},face,{depth},blended,2011-01-02\nA1,2011-02-01,nick,1,{},camber,0.004,blended,2011-02-02", pct + 1.0),
            )
    };
    // Both lie within an inch of one radius and are nearest to station 60: 0.040 - 0.009 there; but at 45.5 % only
    // 0.020 + 0.020 (45.5 - 30) / 30 is left, and at 46.5 % a little more.
    let margins = margins(&folder(0.005, 45.5));
    close(at(&margins, 1, 1, Thickness).dressed_since_in.into(), 0.009);
    let expected: f64 = 0.020 + 0.020 * 15.5 / 30.0 - 0.009;
    close(at(&margins, 1, 1, Thickness).margin_in, (expected * 1e9).round() / 1e9);
    close(at(&margins, 1, 0, Thickness).margin_in, 0.020);
}

/// Three blends at one edge since the overhaul use up the width though the sheet looks fine.
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
