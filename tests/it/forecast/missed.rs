//! Places that the last visit did not read: by hand, and against simulated fleets whose truth is known.

use bladewane::analysis::forecast::Forecaster;
use bladewane::analysis::margins::{Basis, Margin, MarginReader};
use bladewane::analysis::survey::Survey;
use bladewane::records::Fleet;
use bladewane::settings::Settings;
use bladewane::trade::geometry::Dimension;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

use crate::forecast::records::{Tables, all_remaining, day};

fn normal(rng: &mut ChaCha8Rng) -> f64 {
    StandardNormal.sample(rng)
}

const STATIONS: [(u32, f64); 4] = [(30, 0.975), (45, 0.648), (60, 0.476), (75, 0.358)];
const LEEWAY_IN: f64 = 0.058;

fn tables() -> Tables {
    Tables {
        models: vec!["K-1,76,2".into()],
        limits: STATIONS.iter().map(|(pct, new)| format!("K-1,{pct},,,{new},{:.3}", new - LEEWAY_IN)).collect(),
        ..Tables::default()
    }
}

/// P0 as bought used at 2000, 2005 and 2010; blade 2 of its last visit is `last`. Two others teach the fit.
fn by_hand(acquired: &str, first_of_blade_2: &str, last_of_blade_2: &str) -> Tables {
    let mut tables =
        Tables { models: vec!["K-1,76,2".into()], limits: vec!["K-1,60,,,0.476,0.413".into()], ..Tables::default() };
    for (p, losses) in [("P0", [0.010, 0.011]), ("P1", [0.007, 0.009]), ("P2", [0.008, 0.010])] {
        tables.propellers.push(format!("{p},K-1,,,{acquired},flying,"));
        let mut left = 0.470;
        for (visit, year) in [2000, 2005, 2010].into_iter().enumerate() {
            left -= if visit > 0 { losses[visit - 1] } else { 0.0 };
            tables.overhauls.push(format!("{p},{year}-06-01,overhaul,released,,,,"));
            for blade in [1, 2] {
                let reading = match (p, blade, visit) {
                    ("P0", 2, 0) => first_of_blade_2.to_string(),
                    ("P0", 2, _) => {
                        if visit == 2 {
                            last_of_blade_2.to_string()
                        } else {
                            String::new()
                        }
                    }
                    _ => format!("{left:.3}"),
                };
                tables.measurements.push(format!("{p},{year}-06-01,{blade},60,,,,{reading},no"));
            }
        }
    }
    tables
}

/// Blade 2 of P0, and what the fit says of a single place: scatter of a cycle, of one reading, lasting, of first cycles.
fn blade_2(tables: &Tables) -> (Margin, [f64; 4]) {
    let loaded = tables.load();
    let settings = Settings::default();
    let fleet = Fleet::as_of(&loaded, day("2011-01-01"), &settings);
    let survey = Survey::of(&fleet, &settings.forecast);
    let margins = MarginReader::new(&fleet, &survey, &settings.screen).of(0);
    let pool = survey.fits().pool(Some(0), Dimension::Thickness);
    let own = pool.own;
    let first = pool.first.map_or(0.0, |first| first.variance_in2);
    let margin = *margins.iter().find(|m| m.blade == 2).expect("a margin of blade 2");
    (margin, [own.per_cycle, own.per_cycle + own.lasting + 2.0 * own.reading, own.lasting, first])
}

/// By hand: read last as 0.470 in; blade 1 lost 0.010 and then 0.011 in, one reading each, so 0.449 in are expected, with
/// variance 2 (w_true^2 + w^2/1) + 4 lasting^2. The margins shown keep the lowered value.
#[test]
fn an_empty_cell_takes_what_the_rest_of_the_propeller_lost() {
    let (margin, [per_cycle, reading, lasting, _]) = blade_2(&by_hand("used", "0.470", ""));
    assert_eq!(margin.basis, Basis::CarriedForward);
    assert!((margin.expected_in.unwrap() - 0.449).abs() < 1e-12, "{margin:?}");
    let variance = 2.0 * (per_cycle + reading) + 4.0 * lasting;
    assert!((margin.carried_variance_in2 - variance).abs() < 1e-15);
    assert!(margin.value_in.unwrap() < 0.449 && !margin.held_low, "{margin:?}");
}

/// Never read, acquired new: from the drawing, 0.476 in, less the first cycle's 0.006 in as well, with the maker's tolerance.
#[test]
fn a_place_never_read_of_a_new_propeller_starts_from_the_drawing() {
    let (margin, [per_cycle, reading, lasting, first]) = blade_2(&by_hand("new", "", ""));
    assert_eq!(margin.basis, Basis::WorstOfModel);
    assert!((margin.expected_in.unwrap() - 0.449).abs() < 1e-12, "{margin:?}");
    let variance = 3.0 * (per_cycle + reading) + 9.0 * lasting + first;
    assert!((margin.carried_variance_in2 - variance).abs() < 1e-15);
    // One that came used started nobody knows where: the worst of the model.
    let (margin, _) = blade_2(&by_hand("used", "", ""));
    assert_eq!((margin.expected_in, margin.carried_variance_in2), (margin.value_in, 0.0));
}

/// A reading that was entered and cannot be read is no empty cell.
#[test]
fn an_unreadable_reading_keeps_the_lowered_value() {
    for spoilt in ["0.4S0", "-0.45", "4.50"] {
        let (margin, _) = blade_2(&by_hand("used", "0.470", spoilt));
        assert_eq!(margin.basis, Basis::CarriedForward);
        assert!(margin.held_low && margin.expected_in == margin.value_in, "{spoilt}: {margin:?}");
        assert!(margin.value_in.unwrap() < 0.449, "{spoilt}");
    }
    // One before the last reading of the place says nothing of it.
    let mut early = by_hand("used", "0.470", "0.450");
    early.measurements[3] = early.measurements[3].replace(",,no", ",O.46,no");
    let (margin, _) = blade_2(&early);
    assert_eq!((margin.basis, margin.held_low), (Basis::Measured, false));
}

/// Every visit without a single reading: what the model and the propeller let expect, and a sound answer.
#[test]
fn readings_missing_at_every_visit() {
    let mut tables = by_hand("used", "", "");
    for row in &mut tables.measurements {
        let cells: Vec<&str> = row.split(',').collect();
        *row = format!("{},{},{},{},,,,,no", cells[0], cells[1], cells[2], cells[3]);
    }
    for (_, remaining) in all_remaining(&tables.load(), "2011-01-01") {
        assert_eq!(remaining.pass, None);
        assert!(!remaining.below_minimum && remaining.basis().contains("not known"), "{}", remaining.basis());
    }
    // Only the last visit has none: the mean of the fit with its own variance, no certainty of a rejection.
    let mut tables = by_hand("used", "0.470", "");
    for row in tables.measurements.iter_mut().filter(|row| row.contains("2010-06-01")) {
        let cells: Vec<&str> = row.split(',').collect();
        *row = format!("{},{},{},{},,,,,no", cells[0], cells[1], cells[2], cells[3]);
    }
    for (serial, remaining) in all_remaining(&tables.load(), "2011-01-01") {
        let pass = remaining.pass_chance(1).unwrap();
        assert!(pass > 0.5 && pass < 1.0, "{serial}: {pass}");
    }
}

/// Simulated propellers, cycles of 0.0085 in with 25 %, propellers 10 %, places 0.0005 in, gauge 0.0003 in; at the last visit
/// each place is read with a chance of 60 %. Propellers whose last visit left the chances open.
fn simulate(rng: &mut ChaCha8Rng, propellers: usize, read: f64) -> (Tables, Vec<u32>) {
    let mut tables = tables();
    let mut passed = Vec::new();
    for p in 0..propellers {
        let mean = 0.0085 + 0.00085 * normal(rng);
        tables.propellers.push(format!("P{p:04},K-1,,,used,flying,"));
        let sheets = 3 + p % 4;
        let mut left = [LEEWAY_IN - 0.002; 8];
        let wear = |rng: &mut ChaCha8Rng, left: &mut [f64; 8]| {
            let common = mean + 0.0021 * normal(rng);
            left.iter_mut().for_each(|left| *left -= common + 0.0005 * normal(rng));
        };
        for (sheet, year) in (0..sheets).zip((1990..).step_by(5)) {
            if sheet > 0 {
                wear(rng, &mut left);
            }
            tables.overhauls.push(format!("P{p:04},{year}-06-01,overhaul,released,,,,"));
            for (place, left) in left.iter().enumerate() {
                let (pct, new) = STATIONS[place % 4];
                let reading = new - LEEWAY_IN + left + 0.0003 * normal(rng);
                let reading = match sheet + 1 == sheets && rng.random::<f64>() > read {
                    true => String::new(),
                    false => format!("{reading:.4}"),
                };
                tables.measurements.push(format!("P{p:04},{year}-06-01,{},{pct},,,,{reading},no", place / 4 + 1));
            }
        }
        let mut count = 0;
        while count < 20 {
            wear(rng, &mut left);
            if left.iter().any(|l| l + 0.0003 * normal(rng) < 0.0) {
                break;
            }
            count += 1;
        }
        passed.push(count);
    }
    (tables, passed)
}

/// Squared error of the chances of passing 1 to 5 overhauls, summed over them, and the same of the outcomes' own scatter.
fn squared_error(tables: &Tables, passed: &[u32]) -> f64 {
    let all = all_remaining(&tables.load(), "2020-01-01");
    let errors = all.iter().map(|(serial, remaining)| {
        let outcome = passed[serial[1..].parse::<usize>().unwrap()];
        let error = |k: u32| remaining.pass_chance(k).unwrap() - f64::from(u8::from(outcome >= k));
        (1..=5).map(|k| error(k).powi(2)).sum::<f64>()
    });
    errors.sum::<f64>() / all.len() as f64
}

/// Four readings in ten missing at the last visit cost next to nothing: the others tell what those places lost. Held low by two
/// standard deviations, as they were once, they cost more than twice the error.
#[test]
fn readings_missing_at_the_last_visit_cost_little() {
    let whole = simulate(&mut ChaCha8Rng::seed_from_u64(41), 200, 1.1);
    let whole = squared_error(&whole.0, &whole.1);
    let thin = simulate(&mut ChaCha8Rng::seed_from_u64(41), 200, 0.6);
    let thinned = squared_error(&thin.0, &thin.1);
    // Both are means over 200 propellers of errors with a spread of about 0.25: standard error of the difference 0.025.
    assert!((thinned - whole).abs() < 0.06, "{whole} with all readings, {thinned} with six in ten");
}

/// The same chances, counted: of what is forecast as passed, as many passed.
#[test]
fn chances_with_missing_readings_are_right_on_average() {
    let (tables, passed) = simulate(&mut ChaCha8Rng::seed_from_u64(42), 300, 0.6);
    let loaded = tables.load();
    let settings = Settings::default();
    let fleet = Fleet::as_of(&loaded, day("2020-01-01"), &settings);
    let survey = Survey::of(&fleet, &settings.forecast);
    let mut reader = MarginReader::new(&fleet, &survey, &settings.screen);
    let forecaster = Forecaster::new(&fleet, survey.fits());
    for k in 1..=5 {
        let (mut expected, mut variance, mut seen) = (0.0, 0.0, 0.0);
        for p in 0..fleet.propellers.len() as u32 {
            let chance = forecaster.remaining(p, &reader.of(p)).pass_chance(k).unwrap();
            let outcome = passed[fleet.propellers.serial(p)[1..].parse::<usize>().unwrap()];
            expected += chance;
            variance += chance * (1.0 - chance);
            seen += f64::from(u8::from(outcome >= k));
        }
        // Propellers' outcomes share the pool's own uncertainty: a mean loss off by its standard error of 1.5 % moves them together.
        let error = (variance + (0.02 * fleet.propellers.len() as f64).powi(2)).sqrt();
        assert!((expected - seen).abs() < 3.5 * error, "P({k}): {expected:.1} forecast, {seen} passed, {error:.1}");
    }
}
