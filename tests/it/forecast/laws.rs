//! Laws of the forecast on the invented demo fleet.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use crate::steps_of_loss::Steps;
use bladewane::analysis::forecast::Forecaster;
use bladewane::analysis::margins::MarginReader;
use bladewane::analysis::remaining::Remaining;
use bladewane::analysis::standing::is_listed;
use bladewane::analysis::survey::Survey;
use bladewane::onboard::demo::{AS_OF, DemoFormat, DemoOptions, fleet, write};
use bladewane::records::Fleet;
use bladewane::settings::Settings;
use bladewane::stats::first_passage::{FirstPassage, Station};
use bladewane::stats::groups::GroupStatistics;
use bladewane::stats::losses::OwnLoss;
use bladewane::stats::ratio::RatioFit;
use proptest::prelude::*;

use crate::forecast::records::{all_remaining, load};

fn demo(folder: &Path) {
    demo_with(folder, true);
}

fn demo_with(folder: &Path, telling_cases: bool) {
    let options = DemoOptions { propellers: 50, seed: 11, telling_cases, bad_rows: false };
    write(folder, &fleet(&options), DemoFormat::Csv).unwrap();
}

/// Rewrites a table: header and rows.
fn rewrite(folder: &Path, name: &str, change: impl FnOnce(&mut String, &mut Vec<String>)) {
    let path = folder.join(format!("{name}.csv"));
    let text = fs::read_to_string(&path).unwrap();
    let mut lines = text.lines().map(String::from);
    let mut header = lines.next().unwrap();
    let mut rows: Vec<String> = lines.collect();
    change(&mut header, &mut rows);
    fs::write(path, format!("{header}\n{}\n", rows.join("\n"))).unwrap();
}

fn same(a: &Remaining, b: &Remaining, within: f64) {
    assert_eq!(a.pass.is_some(), b.pass.is_some());
    assert_eq!(a.basis(), b.basis());
    for k in 1..=20 {
        let (p, q) = (a.pass_chance(k).unwrap_or(0.0), b.pass_chance(k).unwrap_or(0.0));
        assert!((p - q).abs() <= within, "P({k}): {p} and {q}");
    }
    assert_eq!(a.limiting.is_some(), b.limiting.is_some());
    if let (Some(a), Some(b)) = (&a.limiting, &b.limiting) {
        assert!((a.margin_in - b.margin_in).abs() <= within);
    }
}

#[test]
fn order_of_rows_and_names_of_propellers_change_nothing() {
    let (one, two) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    demo(one.path());
    demo(two.path());
    // Serials turned round sort in another order.
    let renamed = |serial: &str| serial.chars().rev().collect::<String>();
    for name in ["propellers", "overhauls", "measurements", "defects"] {
        rewrite(two.path(), name, |header, rows| {
            let column = header.split(',').position(|c| c == "propeller").unwrap();
            for row in rows.iter_mut() {
                let mut cells: Vec<String> = row.split(',').map(String::from).collect();
                cells[column] = renamed(&cells[column]);
                *row = cells.join(",");
            }
            rows.reverse();
            let half = rows.len() / 3;
            rows.rotate_left(half);
        });
    }
    let as_of = AS_OF.to_string();
    let plain = all_remaining(&load(one.path()), &as_of);
    let turned: BTreeMap<String, Remaining> = all_remaining(&load(two.path()), &as_of)
        .into_iter()
        .map(|(serial, remaining)| (renamed(&serial), remaining))
        .collect();
    assert_eq!(plain.len(), turned.len());
    assert!(plain.len() > 40);
    for (serial, remaining) in &plain {
        same(remaining, &turned[serial], 1e-9);
    }
}

#[test]
fn inches_and_millimetres_agree() {
    let (one, two) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    demo(one.path());
    demo(two.path());
    for name in ["measurements", "limits"] {
        rewrite(two.path(), name, |header, rows| {
            let lengths: Vec<usize> =
                header.split(',').enumerate().filter(|(_, c)| c.ends_with("_in")).map(|(at, _)| at).collect();
            *header = header.replace("_in", "_mm");
            for row in rows.iter_mut() {
                // The last column of limits may hold commas between quotation marks; lengths stand before it.
                let mut cells: Vec<String> = row.split(',').map(String::from).collect();
                for &at in &lengths {
                    if let Ok(inches) = cells[at].parse::<f64>() {
                        cells[at] = format!("{:.4}", inches * 25.4);
                    }
                }
                *row = cells.join(",");
            }
        });
    }
    let as_of = AS_OF.to_string();
    let inches = all_remaining(&load(one.path()), &as_of);
    let millimetres = all_remaining(&load(two.path()), &as_of);
    assert_eq!(inches.len(), millimetres.len());
    for ((a, of_a), (b, of_b)) in inches.iter().zip(&millimetres) {
        assert_eq!(a, b);
        same(of_a, of_b, 1e-6);
    }
}

/// With the fits held: more margin at one place never lowers a chance, less never raises one, and P falls with k.
#[test]
fn more_margin_never_lowers_a_chance() {
    let folder = tempfile::tempdir().unwrap();
    demo(folder.path());
    let loaded = load(folder.path());
    let settings = Settings::default();
    let fleet = Fleet::as_of(&loaded, AS_OF, &settings);
    let survey = Survey::of(&fleet, &settings.forecast);
    let mut reader = MarginReader::new(&fleet, &survey, &settings.screen);
    let forecaster = Forecaster::new(&fleet, survey.fits());
    let mut compared = 0;
    for propeller in (0..fleet.propellers.len() as u32).filter(|&p| is_listed(&fleet, p)) {
        let margins = reader.of(propeller);
        let plain = forecaster.remaining(propeller, &margins);
        let steps: Vec<f64> = (0..=20).filter_map(|k| plain.pass_chance(k)).collect();
        assert!(steps.windows(2).all(|w| w[1] <= w[0]));
        for at in (0..margins.len()).step_by(5) {
            for change in [-0.004, 0.004] {
                let mut changed = margins.clone();
                let place = &mut changed[at];
                let (Some(value), Some(margin)) = (place.value_in, place.margin_in) else {
                    continue;
                };
                place.value_in = Some(value + change);
                place.expected_in = place.expected_in.map(|expected| expected + change);
                place.margin_in = Some(margin + change);
                let other = forecaster.remaining(propeller, &changed);
                for k in 1..=20 {
                    let (a, b) = (plain.pass_chance(k).unwrap(), other.pass_chance(k).unwrap());
                    // Twice the quadrature's error.
                    assert!((b - a) * change.signum() > -2e-9, "P({k}): {a} then {b}");
                    compared += 1;
                }
            }
        }
    }
    assert!(compared > 5_000, "{compared}");
}

/// With the fits and the survey held, a reading of the last visit that was entered and cannot be read makes no propeller look
/// safer: neither its smallest margin nor any chance of passing.
#[test]
fn an_unreadable_reading_makes_nothing_look_safer() {
    a_reading_lost("0.4l4", true);
}

/// The one exception: a cell that was never entered is no sign of anything. The margins shown keep the lowered value, so the
/// smallest is never larger; the forecast takes what is expected, unlowered, and a chance may be larger than with the reading.
#[test]
fn an_empty_cell_never_raises_the_smallest_margin_and_may_raise_a_chance() {
    a_reading_lost("", false);
}

/// Writes `cell` in place of one thickness reading of the last visit of every propeller, another one each time.
fn a_reading_lost(cell: &str, chances_never_rise: bool) {
    let folder = tempfile::tempdir().unwrap();
    // Without the telling cases: blanking the cell for which a row was set aside would bring back the rest of the row.
    demo_with(folder.path(), false);
    let loaded = load(folder.path());
    let settings = Settings::default();
    let fleet = Fleet::as_of(&loaded, AS_OF, &settings);
    let survey = Survey::of(&fleet, &settings.forecast);
    let look = |fleet: &Fleet<'_>| -> Vec<(u32, f64, Remaining)> {
        let mut reader = MarginReader::new(fleet, &survey, &settings.screen);
        let forecaster = Forecaster::new(fleet, survey.fits());
        (0..fleet.propellers.len() as u32)
            .filter(|&p| is_listed(fleet, p))
            .map(|p| {
                let margins = reader.of(p);
                let least = margins.iter().filter_map(|m| m.margin_in).fold(f64::INFINITY, f64::min);
                (p, least, forecaster.remaining(p, &margins))
            })
            .collect()
    };
    let plain = look(&fleet);
    let (mut compared, mut higher) = (0, 0);
    for place in 0..12 {
        let blanked = tempfile::tempdir().unwrap();
        demo_with(blanked.path(), false);
        rewrite(blanked.path(), "measurements", |header, rows| {
            let column = |name: &str| header.split(',').position(|c| c == name).unwrap();
            let readings = ["thickness_before_in", "thickness_after_in"].map(column);
            // Rows stand by propeller, date, blade and station: the last visit's are the last ones of a propeller.
            let mut at = 0;
            while at < rows.len() {
                let serial = rows[at].split(',').next().unwrap().to_string();
                let of = |row: &String| row.starts_with(&format!("{serial},"));
                let end = at + rows[at..].iter().take_while(|r| of(r)).count();
                if end - at > place {
                    let row = &mut rows[end - 1 - place];
                    let mut cells: Vec<&str> = row.split(',').collect();
                    for reading in readings {
                        cells[reading] = cell;
                    }
                    *row = cells.join(",");
                }
                at = end;
            }
        });
        let loaded = load(blanked.path());
        let fleet = Fleet::as_of(&loaded, AS_OF, &settings);
        for ((p, least, before), (q, least_blanked, after)) in plain.iter().zip(look(&fleet)) {
            assert_eq!(*p, q);
            let serial = fleet.propellers.serial(q);
            assert!(least_blanked <= least + 1e-9, "{serial}: {least} then {least_blanked}");
            for k in 1..=20 {
                let (a, b) = (before.pass_chance(k), after.pass_chance(k));
                if let (Some(a), Some(b)) = (a, b) {
                    assert!(!chances_never_rise || b <= a + 2e-9, "{serial}, P({k}): {a} then {b}");
                    higher += usize::from(b > a + 2e-9);
                    compared += 1;
                }
            }
        }
    }
    assert!(compared > 5_000, "{compared}");
    assert_eq!(higher == 0, chances_never_rise, "{higher} of {compared} are higher");
}

proptest! {
    /// At fixed variance components a heavier own loss never raises the propeller's own chances.
    #[test]
    fn heavier_own_losses_never_raise_own_chances(
        losses in prop::collection::vec(0.004f64..0.014, 12),
        heavier in 0.0f64..0.01,
        margin in 0.0f64..0.06,
    ) {
        let group: Vec<usize> = (0..12).map(|i| i / 3).collect();
        let statistics = GroupStatistics::new(&losses, &group, &[1.0; 12], 4).unwrap();
        let fit = RatioFit::at_reml(&statistics).unwrap();
        let own = OwnLoss { per_cycle: 2.5e-7, lasting: 0.0, reading: 1e-7 };
        let passage = FirstPassage::new(fit.degrees_of_freedom()).unwrap();
        let stations = [0.0, 0.001].map(|more| Station {
            margin: margin + more,
            offset: more,
            carried_variance: 0.0,
        });
        let plain = statistics.groups()[0];
        let mut heavy = plain;
        heavy.mean += heavier / 3.0;
        let chances = |group| passage.survival(8, &fit.predict(group), &own, &stations).unwrap();
        for (a, b) in chances(&plain).iter().zip(chances(&heavy)) {
            prop_assert!(b <= a + 2e-9, "{a} then {b}");
        }
    }
}
