//! Rows that name a propeller and could not be used.

use crate::first_law::{MEASURED, at, close, margins};
use crate::fleet_folder::{FleetFolder, as_of, cautions};
use bladewane::analysis::margins::Basis;
use bladewane::trade::geometry::Dimension::{Thickness, Width};

/// Any report set aside that names a known propeller, for whatever rule, marks it.
#[test]
fn a_damage_report_that_could_not_be_used_marks_its_propeller() {
    let header = "propeller,found_date,kind,blade,station_pct,station_in,surface,depth_in,action_date";
    for row in [
        "A1,2020-13-01,nick,1,60,,face,0.01,",
        "A1,,nick,1,60,,face,0.01,",
        "A1,1920-01-01,nick,1,60,,face,0.01,",
        "A1,2020-01-01,ding,1,60,,face,0.01,",
        "A1,2020-01-01,,1,60,,face,0.01,",
        "A1,2020-01-01,nick,3,60,,face,0.01,",
        "A1,2020-01-01,nick,one,60,,face,0.01,",
        "A1,2020-01-01,nick,1,160,,face,0.01,",
        "A1,2020-01-01,nick,1,60,30,face,0.01,",
        "A1,2020-01-01,nick,1,,50,face,0.01,",
        "A1,2020-01-01,nick,1,60,,face,deep,",
        "A1,2020-01-01,nick,1,60,,face,-0.01,",
        "A1,2020-01-01,nick,1,60,,face,0.9,",
        "A1,2020-01-01,nick,1,60,,face,0.01,soon",
        "A1,2020-01-01,nick,1,60,,face",
        "A1,2020-01-01,nick,1,60,,face,0,01,",
        "\"A1,2020-01-01,nick,1,60,,face,0.01,",
    ] {
        let folder = FleetFolder::small().with("defects", &format!("{header}\n{row}"));
        let loaded = folder.load();
        let fleet = as_of(&loaded, "2026-01-01");
        assert!(fleet.defects.is_spoiled(0), "{row}");
        assert!(!fleet.defects.is_spoiled(1), "{row}");
        assert_eq!(fleet.defects.of(0), [], "{row}");
        let told = cautions(&fleet);
        assert!(told.iter().any(|c| c.contains(" A1 ") && c.contains("could not be read")), "{row}: {told:?}");
    }
}

/// One record that two stray quotes tied together names both.
#[test]
fn a_report_that_names_two_propellers_marks_both() {
    let folder = FleetFolder::small().with("defects", "propeller,found_date,kind,action_by\nA1,2020-01-01,nick,A2,A2");
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    assert!(fleet.defects.is_spoiled(0) && fleet.defects.is_spoiled(1));
}

/// Of a later day it is not there yet.
#[test]
fn a_spoiled_report_of_a_later_day_marks_nothing() {
    let folder =
        FleetFolder::small().with("defects", "propeller,found_date,kind\nA1,2020-01-01,ding\nA2,2020-01-01,nick,x");
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2019-01-01");
    assert!(!fleet.defects.is_spoiled(0) && !fleet.defects.is_spoiled(1));
}

#[test]
fn a_visit_that_could_not_be_used_is_a_caution_and_never_restarts_the_clock() {
    let folder = FleetFolder::small().with(
        "overhauls",
        "propeller,overhaul_date,work,outcome,cost
         A1,2010-01-01,overhaul,released,1
         A1,2020-01-01,overhaul,released,much
         A1,2021-02-30,overhaul,rejected,1
         A2,2020-01-01,overhaul,released,1,1",
    );
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let restarts: Vec<String> =
        fleet.visits.of(0).iter().filter(|v| v.restarts_clock()).map(|v| v.day.to_string()).collect();
    assert_eq!(restarts, ["2010-01-01"]);
    assert_eq!(fleet.visits.of(1), []);
    let spoiled: Vec<(u32, Option<String>, Option<&str>)> = fleet
        .visits
        .spoiled
        .iter()
        .map(|s| (s.propeller, s.day.map(|d| d.to_string()), s.outcome.map(|o| o.word())))
        .collect();
    assert_eq!(
        spoiled,
        [(0, None, Some("rejected")), (0, Some("2020-01-01".to_string()), Some("released")), (1, None, None),]
    );
    let told = cautions(&fleet);
    for propeller in ["A1", "A2"] {
        let line = |c: &String| {
            c.contains(&format!(" {propeller} ")) && c.contains("a shop visit of this propeller could not be used")
        };
        assert!(told.iter().any(line), "{told:?}");
    }
}

/// A limits row that cannot be used leaves that station not known; its measurements still give losses.
#[test]
fn a_limits_row_that_cannot_be_used_leaves_its_station_not_known() {
    let rows = "A1,2010-01-01,1,60,,5.400,,0.450\nA1,2010-01-01,1,30,,5.400,,0.950\nA1,2015-01-01,1,60,,5.390,,0.445";
    for limits in [
        "M76,60,5.440,5.500,0.476,0.413",
        "M76,sixty,5.440,5.230,0.476,0.413",
        "M76,,5.440,5.230,0.476,0.413",
        "M76,60,5.440,5.230,0.476",
    ] {
        let folder = FleetFolder::small()
            .with(
                "limits",
                &format!("model,station_pct,width_new_in,width_min_in,thickness_new_in,thickness_min_in\nM76,30,5.410,5.170,0.975,0.903\n{limits}"),
            )
            .with("measurements", &format!("{MEASURED}{rows}"));
        let loaded = folder.load();
        let fleet = as_of(&loaded, "2026-01-01");
        let margins = margins(&folder);
        for dimension in [Width, Thickness] {
            for blade in [1, 2] {
                let margin = at(&margins, blade, 1, dimension);
                assert_eq!((margin.margin_in, margin.minimum_in), (None, None), "{limits}");
            }
        }
        close(at(&margins, 1, 0, Thickness).value_in, 0.950 - 0.016);
        let model = fleet.models.get(fleet.models.find("M76").expect("a model"));
        assert!(model.limits_unusable, "{limits}");
        let loss = bladewane::analysis::loss::of_propellers(&fleet, std::iter::once(0));
        assert_eq!(loss.thickness.loss_in.iter().filter(|l| (**l - 0.005).abs() < 1e-9).count(), 1, "{limits}");
    }
}

/// A minimum that cannot be read is the new dimension less the least that a new blade of this model may lose elsewhere, and
/// the forecast says that it is an upper bound. By hand: 5.440 - (5.410 - 5.170) = 5.200; 0.476 - (0.975 - 0.903) = 0.404.
#[test]
fn a_minimum_that_cannot_be_read_is_the_tightest_known_of_its_model() {
    let rows = "A1,2010-01-01,1,60,,5.400,,0.450\nA1,2010-01-01,1,30,,5.400,,0.950";
    for (limits, width, thickness) in [
        ("M76,60,5.440,5.23x,0.476,0.413", 5.200, 0.413),
        ("M76,60,5.440,5.230,0.476,-0.4", 5.230, 0.404),
        ("M76,60,5.440,,0.476,0.413", 5.200, 0.413),
        // The stricter of two rows, whichever was lost.
        ("M76,60,5.440,5.230,0.476,0.413\nM76,60,5.440,x,0.476,0.413", 5.230, 0.413),
        ("M76,60,5.440,x,0.476,0.413\nM76,60,5.440,5.190,0.476,0.413", 5.200, 0.413),
    ] {
        let folder = FleetFolder::small()
            .with(
                "limits",
                &format!("model,station_pct,width_new_in,width_min_in,thickness_new_in,thickness_min_in\nM76,30,5.410,5.170,0.975,0.903\n{limits}"),
            )
            .with("measurements", &format!("{MEASURED}{rows}"));
        let loaded = folder.load();
        let fleet = as_of(&loaded, "2026-01-01");
        let margins = margins(&folder);
        close(at(&margins, 1, 1, Width).minimum_in, width);
        close(at(&margins, 1, 1, Thickness).minimum_in, thickness);
        close(at(&margins, 1, 0, Thickness).margin_in, 0.950 - 0.903);
        let model = fleet.models.get(fleet.models.find("M76").expect("a model"));
        assert!(model.limits_stand_in() && !model.limits_unusable, "{limits}");
        let settings = bladewane::settings::Settings::default();
        let answers = bladewane::results::answers::Answers::new(&fleet, &settings);
        let reason = "a minimum of its model is not known, the tightest known counts";
        assert!(answers.ranking().iter().all(|r| r.reasons.iter().any(|r| r.words == reason)), "{limits}");
        assert!(answers.remaining().iter().all(|left| left.upper_bound || left.pass.is_none()), "{limits}");
    }
    // Nothing to go by: not known, an upper bound, tier 4.
    let folder = FleetFolder::small()
        .with(
            "limits",
            "model,station_pct,width_new_in,width_min_in,thickness_new_in,thickness_min_in\nM76,60,5.440,x,0.476,0.413",
        )
        .with("measurements", &format!("{MEASURED}A1,2010-01-01,1,60,,5.400,,0.450"));
    let margins = margins(&folder);
    assert_eq!(at(&margins, 1, 0, Width).margin_in, None);
    close(at(&margins, 1, 0, Thickness).margin_in, 0.450 - 0.413);
    let loaded = folder.load();
    assert!(as_of(&loaded, "2026-01-01").models.list()[0].limits_unusable);
}

/// Of a dimension the limits say nothing of there is no margin; a new dimension without its minimum is not known.
#[test]
fn a_minimum_that_is_left_out_is_not_known() {
    let folder = |row: &str| {
        FleetFolder::small()
            .with(
                "limits",
                &format!("model,station_pct,width_new_in,width_min_in,thickness_new_in,thickness_min_in\n{row}"),
            )
            .with("measurements", &format!("{MEASURED}A1,2010-01-01,1,60,,5.400,,0.450"))
    };
    let margin = at(&margins(&folder("M76,60,5.440,,0.476,0.413")), 1, 0, Width);
    assert_eq!((margin.value_in, margin.margin_in), (Some(5.400), None));
    assert!(margins(&folder("M76,60,,,0.476,0.413")).iter().all(|m| m.dimension == Thickness));
    // Without the new dimension the margin is known, its fraction is not.
    let margin = at(&margins(&folder("M76,60,,5.230,0.476,0.413")), 1, 0, Width);
    close(margin.margin_in, 0.170);
    assert_eq!(margin.margin_fraction, None);
}

/// A sheet's row that could not be used leaves what was read before to be carried over that visit.
#[test]
fn a_measurement_that_could_not_be_used_is_carried_forward() {
    for row in [
        "A1,2015-01-01,1,60,,,,0.44O",
        "A1,2015-01-01,one,60,,,,0.440",
        "A1,2015-01-01,9,60,,,,0.440",
        "A1,2015-01-01,1,sixty,,,,0.440",
        "A1,2015-01-01,1,61,,,,0.440",
        "A1,2015-01-01,1,60,,,,4.40",
        "A1,2015-01-01,1,60,,,0.430,0.440",
        "A1,2015-13-01,1,60,,,,0.440",
        "A1,2015-01-01,1,60,,,0.440",
    ] {
        let folder = FleetFolder::small()
            .with("overhauls", "propeller,overhaul_date\nA1,2010-01-01\nA1,2015-01-01")
            .with("measurements", &format!("{MEASURED}A1,2010-01-01,1,60,,,,0.450\n{row}"));
        let margin = at(&margins(&folder), 1, 1, Thickness);
        assert_eq!(margin.basis, Basis::CarriedForward, "{row}");
        close(margin.value_in, 0.434);
    }
}
