//! The loss table: by hand on a few ugly rows, against pandas, and its laws.

use std::path::Path;

use crate::fleet_folder::{FleetFolder, as_of};
use bladewane::analysis::loss::{Loss, of_propellers};
use bladewane::records::{Fleet, Loaded, ReadOptions};
use bladewane::results::answers::{Answers, Shown};
use bladewane::settings::Settings;
use bladewane::tables::formats::Format;
use bladewane::tables::write::write_table;
use bladewane::trade::calendar::Day;
use proptest::prelude::*;

fn loss(folder: &FleetFolder) -> Loss {
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    of_propellers(&fleet, 0..fleet.propellers.len() as u32)
}

fn close(found: f64, expected: f64) {
    let same = (found.is_nan() && expected.is_nan()) || (found - expected).abs() < 1e-9;
    assert!(same, "{found} is not {expected}");
}

#[test]
fn a_full_skin_by_hand() {
    // A full skin is about 0.008 in of thickness, 0.004 in a side (common practice, no source).
    let made = loss(&FleetFolder::small().with(
        "measurements",
        // Not in date order: unsorted data is the harder test.
        "propeller,overhaul_date,blade,station_pct,thickness_before_in,thickness_after_in
         A1,2010-01-01,1,60,0.466,0.458
         A1,2005-01-01,1,60,0.475,0.467",
    ));
    // 60 % of a 76 in propeller is 22.80 in (common practice, no source).
    close(made.station_in[0], 22.80);
    let thickness = &made.thickness;
    close(thickness.removed_in[0], 0.008);
    close(thickness.service_loss_in[0], 0.476 - 0.475);
    close(thickness.loss_in[0], 0.476 - 0.467);
    assert_eq!((thickness.from_drawing[0], thickness.from_drawing[1]), (1, 0));
    close(thickness.removed_in[1], 0.008);
    close(thickness.service_loss_in[1], 0.001);
    close(thickness.loss_in[1], 0.009);
    close(thickness.margin_in[1], 0.458 - 0.413);
    close(thickness.margin_fraction[1], 0.045 / 0.063);
    // A width that was never read is null, not zero.
    assert!(made.width.loss_in.iter().all(|l| l.is_nan()));
    assert!(made.section_modulus_retained.iter().all(|m| m.is_nan()));
}

#[test]
fn a_visit_without_a_reading_makes_the_next_loss_span_two() {
    let made = loss(&FleetFolder::small().with(
        "measurements",
        "propeller,overhaul_date,blade,station_pct,thickness_after_in,width_after_in
         A1,2005-01-01,1,60,0.467,5.420
         A1,2010-01-01,1,60,,5.400
         A1,2015-01-01,1,60,0.450,5.380",
    ));
    assert_eq!(made.thickness.visits_spanned, [1, 0, 2]);
    assert_eq!(made.width.visits_spanned, [1, 1, 1]);
    close(made.thickness.loss_in[2], 0.017);
}

#[test]
fn a_used_propeller_s_first_sheet_and_a_single_visit_have_no_loss() {
    let made = loss(&FleetFolder::small().with("propellers", "propeller,model,acquired\nA1,M76,used").with(
        "measurements",
        "propeller,overhaul_date,blade,station_pct,thickness_before_in,thickness_after_in
                 A1,2005-01-01,1,60,0.475,0.467",
    ));
    close(made.thickness.loss_in[0], f64::NAN);
    close(made.thickness.removed_in[0], 0.008);
    assert_eq!(made.thickness.visits_spanned[0], 0);
}

/// A new designation: percent stations have moved, so no loss across it, margins by the new limits, and no new chain from
/// the drawing either.
#[test]
fn a_change_of_model_ends_the_chain() {
    let made = loss(
        &FleetFolder::small()
            .with("models", "model,diameter_in,blades\nM76,76,2\nM74,74,2")
            .with(
                "limits",
                "model,station_pct,thickness_new_in,thickness_min_in
                 M76,60,0.476,0.413
                 M74,30,1.001,0.929
                 M74,60,0.494,0.431",
            )
            .with("overhauls", "propeller,overhaul_date,model_after\nA1,2005-01-01,\nA1,2010-01-01,M74\nA1,2015-01-01,")
            .with(
                "measurements",
                "propeller,overhaul_date,blade,station_pct,thickness_before_in,thickness_after_in
                 A1,2015-01-01,1,30,0.955,0.950
                 A1,2015-01-01,1,60,0.470,0.463
                 A1,2010-01-01,1,60,0.462,0.475
                 A1,2005-01-01,1,60,0.475,0.467",
            ),
    );
    let thickness = &made.thickness;
    assert_eq!(made.visit_no, [1, 2, 3, 3]);
    assert_eq!(made.station_pct, [60.0, 60.0, 30.0, 60.0]);
    assert_eq!(thickness.from_drawing, [1, 2, 2, 0]);
    close(made.station_in[1], 22.20);
    close(thickness.loss_in[1], f64::NAN);
    close(thickness.removed_in[1], f64::NAN);
    close(thickness.service_loss_in[1], f64::NAN);
    close(thickness.margin_in[1], 0.475 - 0.431);
    close(thickness.loss_in[2], f64::NAN);
    close(thickness.removed_in[2], 0.005);
    close(thickness.loss_in[3], 0.475 - 0.463);
    close(thickness.service_loss_in[3], 0.475 - 0.470);
}

/// A first sheet at the second visit of a new propeller: from the drawing, over two visits.
#[test]
fn a_first_sheet_from_the_drawing_may_span_visits() {
    let made =
        loss(&FleetFolder::small().with("overhauls", "propeller,overhaul_date\nA1,2010-01-01\nA1,2005-01-01").with(
            "measurements",
            "propeller,overhaul_date,blade,station_pct,thickness_after_in\nA1,2010-01-01,2,60,0.458",
        ));
    assert_eq!((made.thickness.from_drawing[0], made.thickness.visits_spanned[0]), (1, 2));
    close(made.thickness.loss_in[0], 0.018);
}

/// At a rejection there is a service loss and no loss of the visit; over paint the pair is shown as it was read.
#[test]
fn a_rejection_without_after_readings_and_readings_over_paint() {
    let made = loss(
        &FleetFolder::small()
            .with("overhauls", "propeller,overhaul_date,outcome\nA1,2005-01-01,released\nA1,2010-01-01,rejected")
            .with(
                "measurements",
                "propeller,overhaul_date,blade,station_pct,width_before_in,width_after_in,painted
                 A1,2005-01-01,1,60,5.440,5.420,yes
                 A1,2010-01-01,1,60,5.225,,no",
            ),
    );
    close(made.width.removed_in[0], 0.020);
    close(made.width.service_loss_in[1], 0.195);
    for missing in [made.width.loss_in[1], made.width.removed_in[1], made.width.margin_in[1]] {
        close(missing, f64::NAN);
    }
    assert_eq!((made.width.visits_spanned[1], made.width.from_drawing[1]), (0, 2));
}

/// A minimum equal to the new dimension leaves a margin, and no share of nothing.
#[test]
fn nothing_to_lose_has_no_fraction() {
    let made = loss(
        &FleetFolder::small()
            .with("limits", "model,station_pct,width_new_in,width_min_in\nM76,60,5.440,5.440")
            .with(
                "measurements",
                "propeller,overhaul_date,blade,station_pct,width_after_in\nA1,2005-01-01,1,60,5.430\nA2,2005-01-01,1,60,5.450",
            ),
    );
    close(made.width.margin_in[0], -0.010);
    assert!(made.width.margin_fraction.iter().all(|f| f.is_nan()));
}

/// pandas on a small fleet: unsorted, a gap that spans two visits, one visit only, three blades, a repair in between, a change
/// of model, a rejection without after readings. `recompute_loss.py` beside the data made the expected file.
#[test]
fn the_table_equals_pandas() {
    equals_pandas("loss", 18);
}

/// pandas on another: millimetres and thousandths, stations as distances, sheets dated near a visit or without one, first
/// sheets that came with the second visit, readings over paint, serials that differ in leading zeros.
#[test]
fn the_table_in_mixed_units_equals_pandas() {
    equals_pandas("loss_mixed", 33);
}

fn equals_pandas(name: &str, expected_rows: usize) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference").join(name);
    let loaded =
        Loaded::read(&folder.join("fleet"), &ReadOptions::default(), |_| true, |_| {}).expect("the fleet is read");
    let settings = Settings::default();
    let today = Day::parse_iso("2026-01-01").expect("a day");
    let fleet = Fleet::as_of(&loaded, today, &settings);
    assert_eq!(fleet.ledger.total_set_aside(), 0);
    let made = Answers::new(&fleet, &settings).slice("loss", 0, &Shown::all()).expect("the table is made");
    let mut written = Vec::new();
    write_table(Format::Csv, &mut written, &made.schema(), &[made]).expect("written");
    let written = String::from_utf8(written).expect("text");
    let expected = std::fs::read_to_string(folder.join("expected_loss.csv")).expect("the expected table");
    let mut expected = expected.lines().skip_while(|l| l.starts_with('#'));
    let mut found = written.lines();
    let header = expected.next().expect("a header");
    assert_eq!(found.next(), Some(header));
    let names: Vec<&str> = header.split(',').collect();
    let mut rows = 0;
    for (found, expected) in found.by_ref().zip(expected.by_ref()) {
        rows += 1;
        for ((name, found), expected) in names.iter().zip(found.split(',')).zip(expected.split(',')) {
            let equal = match (found.parse::<f64>(), expected.parse::<f64>()) {
                (Ok(found), Ok(expected)) => (found - expected).abs() < 1e-9,
                _ => found.eq_ignore_ascii_case(expected),
            };
            assert!(equal, "row {rows}, {name}: {found} is not {expected}");
        }
    }
    assert_eq!((found.next(), expected.next()), (None, None));
    assert_eq!(rows, expected_rows);
}

/// One sheet of a visit: station, before and after in thousandths of an inch.
fn sheets() -> impl Strategy<Value = Vec<(u8, u8, u16, u16)>> {
    prop::collection::vec((0u8..6, 0u8..3, 1u16..9, 1u16..9), 1..20)
}

fn table(rows: &[(u8, u8, u16, u16)], unit: &str, times: f64) -> String {
    let mut text = format!("propeller,overhaul_date,blade,station_pct,thickness_before_{unit},thickness_after_{unit}");
    for (at, &(visit, station, service, skin)) in rows.iter().enumerate() {
        let pct = [30, 60, 90][usize::from(station)];
        let new = [0.975, 0.476, 0.249][usize::from(station)];
        let before = new - 0.009 * f64::from(visit) - f64::from(service) / 1000.0;
        let after = before - f64::from(skin) / 1000.0;
        text.push_str(&format!(
            "\nA{},20{:02}-01-01,1,{pct},{},{}",
            at % 2 + 1,
            2 + visit,
            before * times,
            after * times
        ));
    }
    text
}

fn lines(loss: &Loss) -> Vec<String> {
    let show = |v: f64| format!("{:.7}", v);
    (0..loss.propeller.len())
        .map(|row| {
            format!(
                "{} {} {} {} {} {} {}",
                loss.propeller[row],
                loss.overhaul_date[row],
                show(loss.station_pct[row]),
                show(loss.thickness.loss_in[row]),
                show(loss.thickness.service_loss_in[row]),
                show(loss.thickness.margin_in[row]),
                loss.thickness.visits_spanned[row]
            )
        })
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn order_of_rows_and_unit_of_length_change_nothing(rows in sheets(), seed in any::<u64>()) {
        let small = |rows: &[(u8, u8, u16, u16)], unit: &str, times: f64| {
            lines(&loss(&FleetFolder::small().with("measurements", &table(rows, unit, times))))
        };
        let plain = small(&rows, "in", 1.0);
        prop_assert_eq!(&plain, &small(&rows, "mm", 25.4));
        prop_assert_eq!(&plain, &small(&rows, "thou", 1000.0));
        let text = table(&rows, "in", 1.0);
        let (header, body) = text.split_once('\n').expect("rows");
        let mut shuffled: Vec<&str> = body.lines().collect();
        let turn = (seed % shuffled.len() as u64) as usize;
        shuffled.rotate_left(turn);
        shuffled.reverse();
        let shuffled = format!("{header}\n{}", shuffled.join("\n"));
        prop_assert_eq!(&plain, &lines(&loss(&FleetFolder::small().with("measurements", &shuffled))));
    }
}
