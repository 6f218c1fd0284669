//! What was not measured at the last visit: carried forward, never more than its neighbours, or the worst that is known.

use crate::first_law::{MEASURED, at, close, margins, margins_of};
use crate::fleet_folder::{FleetFolder, as_of};
use bladewane::analysis::margins::Basis;
use bladewane::trade::geometry::Dimension::{Thickness, Width};

fn sheets(visits: &str, rows: &str) -> FleetFolder {
    let visits: String = visits.split(' ').map(|day| format!("A1,{day}\n")).collect();
    FleetFolder::small()
        .with("propellers", "propeller,model,acquired\nA1,M76,used\nA2,M76,used")
        .with("overhauls", &format!("propeller,overhaul_date\n{visits}"))
        .with("measurements", &format!("{MEASURED}{rows}"))
}

/// Fewer than three losses on record: 0.008 in of thickness (common practice), 0.022 in of width (assumption), spread
/// 50 %. One visit missed: value - mean - 2 sd.
#[test]
fn carried_forward_by_hand_where_losses_are_few() {
    let folder = sheets(
        "2005-01-01 2010-01-01",
        "A1,2005-01-01,1,60,,5.400,,0.450\nA1,2005-01-01,1,30,,5.400,,0.970\nA1,2010-01-01,1,30,,5.395,,0.969",
    );
    let margins = margins(&folder);
    let thickness = at(&margins, 1, 1, Thickness);
    assert_eq!(thickness.basis, Basis::CarriedForward);
    assert_eq!(thickness.last_measured.map(|d| d.to_string()).as_deref(), Some("2005-01-01"));
    close(thickness.value_in, 0.450 - 0.008 - 2.0 * 0.004);
    close(thickness.margin_in, 0.434 - 0.413);
    close(at(&margins, 1, 1, Width).value_in, 5.400 - 0.022 - 2.0 * 0.011);
    let measured = at(&margins, 1, 0, Thickness);
    assert_eq!(measured.basis, Basis::Measured);
    close(measured.margin_in, 0.969 - 0.903);
}

/// n visits missed: n means, and the variance n times as large.
#[test]
fn carried_over_two_visits() {
    let folder = sheets("2005-01-01 2010-01-01 2015-01-01", "A1,2005-01-01,1,60,,,,0.470");
    close(at(&margins(&folder), 1, 1, Thickness).value_in, 0.470 - 2.0 * 0.008 - 2.0 * 2f64.sqrt() * 0.004);
}

/// Losses of A2: 0.006, 0.010 and 0.008 in a visit, from which there is a forecast: mean 0.008 at overhaul 3 on average. The slope
/// is 0.001 with a prior-held error of 0.001581; its posterior by adding up prior times likelihood on a grid of 400,000: mean
/// 7.178375e-5, variance 3.164843e-8. The variance of a newcomer's next loss is that of the integrated ratio with one group of three,
/// the slope taken out; Python, 41 midpoints over all of (0, 1): v = 1.4473500e-5, s^2 = 3.3166677e-6. A1's second overhaul lies one
/// below the mean number.
#[test]
fn carried_forward_with_the_forecast() {
    let folder = FleetFolder::small()
        .with("propellers", "propeller,model,acquired\nA1,M76,used\nA2,M76,used")
        .with(
            "overhauls",
            "propeller,overhaul_date\nA1,2005-01-01\nA1,2010-01-01\nA2,2000-01-01\nA2,2005-01-01\nA2,2010-01-01\nA2,2015-01-01",
        )
        .with(
            "measurements",
            &format!(
                "{MEASURED}A2,2000-01-01,1,60,,,,0.470
                 A2,2005-01-01,1,60,,,,0.464
                 A2,2010-01-01,1,60,,,,0.454
                 A2,2015-01-01,1,60,,,,0.446
                 A1,2005-01-01,1,60,,,,0.450"
            ),
        );
    let value = at(&margins(&folder), 1, 1, Thickness).value_in.expect("a number");
    let expected = 0.450 - (0.008 - 7.178_375e-5) - 2.0 * (1.447_35e-5_f64 + 3.316_667_7e-6 + 3.164_843e-8).sqrt();
    // The nodes here leave out the ratios above a million.
    assert!((value - expected).abs() < 1e-6, "{value}, expected {expected}");
}

/// Losses of A2: 0.006, 0.010 and 0.008 in a visit: mean 0.008, variance (0.002^2 + 0.002^2) / 2, sd 0.002. Repairs are visits
/// and make no cycles, so there is no forecast to carry by.
#[test]
fn carried_forward_with_the_fleet_s_usual_loss_where_there_is_no_forecast() {
    let folder = FleetFolder::small()
        .with("propellers", "propeller,model,acquired\nA1,M76,used\nA2,M76,used")
        .with(
            "overhauls",
            "propeller,overhaul_date,work
             A1,2005-01-01,repair
             A1,2010-01-01,repair
             A2,2000-01-01,repair
             A2,2005-01-01,repair
             A2,2010-01-01,repair
             A2,2015-01-01,repair",
        )
        .with(
            "measurements",
            &format!(
                "{MEASURED}A2,2000-01-01,1,60,,,,0.470
                 A2,2005-01-01,1,60,,,,0.464
                 A2,2010-01-01,1,60,,,,0.454
                 A2,2015-01-01,1,60,,,,0.446
                 A1,2005-01-01,1,60,,,,0.450"
            ),
        );
    close(at(&margins(&folder), 1, 1, Thickness).value_in, 0.450 - 0.008 - 2.0 * 0.002);
}

/// Station 60 measured at a quarter of its margin, so station 90 has no more than a quarter of its own.
#[test]
fn never_more_than_its_neighbours_at_that_visit() {
    let quarter = 0.413 + 0.25 * 0.063;
    let folder = sheets(
        "2005-01-01 2010-01-01",
        &format!(
            "A1,2005-01-01,1,90,,,,0.248\nA1,2005-01-01,2,90,,,,0.248\nA1,2005-01-01,1,60,,,,0.470\nA1,2010-01-01,1,60,,,,{quarter}\nA1,2010-01-01,2,60,,,,0.470"
        ),
    );
    let margins = margins(&folder);
    close(at(&margins, 1, 2, Thickness).margin_fraction, 0.25);
    close(at(&margins, 1, 2, Thickness).value_in, 0.189 + 0.25 * 0.060);
    // The other blade's neighbour stands better, and there the expected loss decides.
    close(at(&margins, 2, 2, Thickness).value_in, 0.248 - 0.016);
}

/// A later before reading without an after reading is a ceiling: metal does not grow.
#[test]
fn never_more_than_it_came_in_with() {
    let folder = sheets("2005-01-01 2010-01-01", "A1,2005-01-01,1,60,,,,0.470\nA1,2010-01-01,1,60,,,0.430,");
    close(at(&margins(&folder), 1, 1, Thickness).value_in, 0.430);
}

/// After may be empty at a rejection: before stands in for it.
#[test]
fn before_stands_in_at_a_rejection_only() {
    let rows = "A1,2005-01-01,1,60,,,0.470,0.466\nA1,2010-01-01,1,60,,,0.462,";
    let folder = |outcome: &str| {
        sheets("2005-01-01", rows).with(
            "overhauls",
            &format!("propeller,overhaul_date,outcome\nA1,2005-01-01,released\nA1,2010-01-01,{outcome}"),
        )
    };
    let rejected = at(&margins(&folder("rejected")), 1, 1, Thickness);
    assert_eq!((rejected.value_in, rejected.basis), (Some(0.462), Basis::Measured));
    for outcome in ["released", ""] {
        let carried = at(&margins(&folder(outcome)), 1, 1, Thickness);
        assert_eq!(carried.basis, Basis::CarriedForward);
        close(carried.value_in, 0.466 - 0.016);
    }
}

/// Never measured beside measured ones: the smallest fraction known of the model and station, or of the propeller.
#[test]
fn a_station_never_measured_takes_the_worst_that_is_known() {
    let half = |min: f64, new: f64| min + 0.5 * (new - min);
    let folder = sheets(
        "2005-01-01",
        &format!(
            "A1,2005-01-01,1,60,,,,{}\nA1,2005-01-01,1,30,,,,0.970\nA2,2006-01-01,1,90,,,,0.195",
            half(0.413, 0.476)
        ),
    );
    let margins = margins(&folder);
    // Station 90: A2 has 0.006 of 0.060 left there, a tenth.
    let never = at(&margins, 1, 2, Thickness);
    assert_eq!((never.basis, never.last_measured), (Basis::WorstOfModel, None));
    close(never.margin_fraction, 0.1);
    // Blade 2 at station 30: nothing worse is known of the model there than this propeller's own half.
    close(at(&margins, 2, 0, Thickness).margin_fraction, 0.5);
    // No width of any propeller was ever measured.
    let width = at(&margins, 1, 1, Width);
    assert_eq!((width.basis, width.margin_in), (Basis::NotKnown, None));
}

/// What stands in for others is what is known of them today, not years ago.
#[test]
fn the_worst_that_is_known_is_carried_forward_too() {
    let folder = sheets("2005-01-01 2010-01-01", "A1,2005-01-01,1,60,,,,0.445");
    let margins = margins(&folder);
    let fraction: f64 = (0.445 - 0.016 - 0.413) / 0.063;
    close(at(&margins, 1, 1, Thickness).margin_fraction, (fraction * 1e9).round() / 1e9);
    close(at(&margins, 2, 1, Thickness).margin_in, 0.016);
}

#[test]
fn nothing_measured_and_not_new_is_not_known() {
    for acquired in ["used", "overhauled", "unknown", "", "bought"] {
        let folder = FleetFolder::small().with("propellers", &format!("propeller,model,acquired\nA1,M76,{acquired}"));
        let margins = margins(&folder);
        assert_eq!(margins.len(), 12, "two blades, three stations, two dimensions");
        assert!(margins.iter().all(|m| m.basis == Basis::NotKnown && m.margin_in.is_none()), "{acquired}");
    }
}

#[test]
fn nothing_measured_new_and_never_overhauled_is_the_new_dimension() {
    let margins_now = margins(&FleetFolder::small());
    assert!(margins_now.iter().all(|m| m.basis == Basis::FromDrawing));
    close(at(&margins_now, 2, 2, Thickness).margin_in, 0.060);
    close(at(&margins_now, 2, 2, Width).margin_fraction, 1.0);
    // Once it was overhauled, or something of it could not be read, it is not.
    for (table, rows) in [
        ("overhauls", "propeller,overhaul_date\nA1,2005-01-01"),
        ("overhauls", "propeller,overhaul_date\nA1,2005-13-01"),
        ("overhauls", "propeller,overhaul_date,cost\nA1,2005-01-01,x"),
        ("overhauls", "propeller,overhaul_date\nA1,2005-01-01,more"),
        ("measurements", "propeller,overhaul_date,blade,station_pct,width_after_in\nA1,2005-01-01,1,60,5.4x"),
        ("measurements", "propeller,overhaul_date,blade,station_pct,width_after_in\nA1,2005-01-01,1,60,"),
        ("measurements", "propeller,overhaul_date,blade,station_pct,width_after_in\nA1,2005-13-01,1,60,5.4"),
        ("measurements", "propeller,overhaul_date,blade,station_pct,width_after_in\nA1,2005-01-01,1,60"),
    ] {
        let margins = margins(&FleetFolder::small().with(table, rows));
        assert!(margins.iter().all(|m| m.basis == Basis::NotKnown), "{table}: {rows}");
    }
}

/// The words of the results.
#[test]
fn the_basis_says_which() {
    let words = [Basis::Measured, Basis::CarriedForward, Basis::WorstOfModel, Basis::FromDrawing, Basis::NotKnown];
    assert_eq!(words.map(Basis::words), ["measured", "carried forward", "worst of model", "from drawing", "not known"]);
}

/// A visit whose row could not be used took metal all the same, and what was read before it is carried over it.
#[test]
fn a_visit_that_could_not_be_used_is_a_visit_missed() {
    let rows = "A1,2005-01-01,1,60,,,,0.450";
    let of = |second: &str, rows: &str| {
        let folder = sheets("2005-01-01", rows)
            .with("overhauls", &format!("propeller,overhaul_date,cost\nA1,2005-01-01,1\n{second}"));
        at(&margins(&folder), 1, 1, Thickness)
    };
    for second in ["A1,2010-01-01,1", "A1,2010-01-01,much", "A1,2010-01-32,1", "A1,2010-01-01", "A1,2010-01-01,1,2"] {
        let carried = of(second, rows);
        assert_eq!(carried.basis, Basis::CarriedForward, "{second}");
        close(carried.value_in, 0.434);
    }
    // A sheet of that day is the visit.
    let with_sheet = format!("{rows}\nA1,2010-01-01,1,60,,,,0.444");
    for second in ["A1,2010-01-01,1", "A1,2010-01-01,much", "A1,2010-01-32,1"] {
        let measured = of(second, &with_sheet);
        assert_eq!((measured.basis, measured.value_in), (Basis::Measured, Some(0.444)), "{second}");
    }
    // So is a day of which every row of the sheet was set aside.
    let spoiled_sheet = format!("{rows}\nA1,2010-01-01,1,60,,,,0.444x");
    let carried = at(&margins(&sheets("2005-01-01", &spoiled_sheet)), 1, 1, Thickness);
    close(carried.value_in, 0.434);
}

/// A model whose blades are not recorded has every blade that was read.
#[test]
fn a_blade_that_was_read_is_never_lost() {
    let folder = |blades: &str| {
        sheets("2005-01-01", "A1,2005-01-01,1,60,,,,0.450\nA1,2005-01-01,3,60,,,,0.414")
            .with("models", &format!("model,diameter_in,blades\nM76,76,{blades}"))
    };
    for blades in ["3", ""] {
        let margins = margins(&folder(blades));
        close(at(&margins, 3, 1, Thickness).margin_in, 0.001);
    }
}

#[test]
fn readings_before_a_change_of_model_say_nothing_of_the_new_one() {
    let folder = sheets("2005-01-01", "A1,2005-01-01,1,60,,,,0.450")
        .with("models", "model,diameter_in,blades\nM76,76,2\nM74,74,2")
        .with("limits", "model,station_pct,thickness_new_in,thickness_min_in\nM76,60,0.476,0.413\nM74,60,0.494,0.431")
        .with(
            "overhauls",
            "propeller,overhaul_date,work,model_after\nA1,2005-01-01,overhaul,\nA1,2010-01-01,overhaul,M74",
        );
    let loaded = folder.load();
    let margins = margins_of(&as_of(&loaded, "2026-01-01"), "A1");
    assert_eq!(margins.len(), 2);
    assert!(margins.iter().all(|m| m.minimum_in == Some(0.431) && m.basis == Basis::NotKnown));
    // On the day before, the old limits hold.
    let then = margins_of(&as_of(&loaded, "2009-12-31"), "A1");
    close(at(&then, 1, 0, Thickness).margin_in, 0.450 - 0.413);
}

/// Shortened to something misspelt, or by a visit that could not be used: the old limits no longer hold, and no new ones
/// are known.
#[test]
fn a_designation_that_cannot_be_read_is_not_the_old_one() {
    for visit in [
        "A1,2010-01-01,overhaul,M7A,1",
        "A1,2010-01-01,overhaul,M7A,x",
        "A1,2010-01-01,shorten,,x",
        "A1,2010-01-01,shorten,,1",
        "A1,2010-01-01,repitch,,1",
        "A1,2010-01-32,overhaul,M74,1",
        "A1,2010-01-01,overhaul,M74,1,1",
        "A1,2010-01-01,shorten",
    ] {
        let folder = sheets("2005-01-01", "A1,2005-01-01,1,60,,,,0.450\nA1,2010-01-01,1,60,,,,0.450")
            .with("models", "model,diameter_in,blades\nM76,76,2\nM74,74,2")
            .with(
                "overhauls",
                &format!("propeller,overhaul_date,work,model_after,cost\nA1,2005-01-01,overhaul,,1\n{visit}"),
            );
        assert_eq!(margins(&folder), [], "{visit}");
    }
}
