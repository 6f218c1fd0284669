//! Blends against simulated fleets whose truth is known: they take nothing a gauge feels, that near a station, or all.

use bladewane::analysis::forecast::Forecaster;
use bladewane::analysis::margins::MarginReader;
use bladewane::analysis::survey::Survey;
use bladewane::records::Fleet;
use bladewane::settings::Settings;
use bladewane::trade::geometry::Dimension;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, Poisson, StandardNormal};

use crate::forecast::records::{Tables, all_remaining, day};

const STATIONS: [(u32, f64); 4] = [(30, 0.975), (45, 0.648), (60, 0.476), (75, 0.358)];
const LEEWAY_IN: f64 = 0.075;
/// Blends of a propeller in a cycle of five years.
const BLENDS: f64 = 3.0;

/// What a blend takes from the reading of the station nearest to it.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Takes {
    Nothing,
    NearAlone,
    All,
}

fn normal(rng: &mut ChaCha8Rng) -> f64 {
    StandardNormal.sample(rng)
}

/// One cycle: wear of 0.0085 in with 25 % in common and 0.0005 in a place, and blends, with their places and depths.
fn cycle(rng: &mut ChaCha8Rng, mean: f64, takes: Takes, left: &mut [f64; 8]) -> Vec<(usize, f64, f64)> {
    let common = mean + 0.0021 * normal(rng);
    left.iter_mut().for_each(|left| *left -= common + 0.0005 * normal(rng));
    let count = Poisson::new(BLENDS).unwrap().sample(rng) as usize;
    let mut blends = Vec::new();
    // Of those near a station the deepest counts, and of the others.
    let mut deepest = [[0.0f64; 2]; 8];
    for _ in 0..count {
        let (blade, pct) = (usize::from(rng.random_bool(0.5)), (25.0 + 60.0 * rng.random::<f64>()).round());
        let depth = ((0.010 * (0.5 * normal(rng)).exp() * 1e4).round() / 1e4).min(0.03);
        let away = |station: usize| (f64::from(STATIONS[station].0) - pct).abs() * 0.38;
        let station = (0..4).rev().min_by(|a, b| away(*a).total_cmp(&away(*b))).unwrap();
        let felt = match takes {
            Takes::Nothing => false,
            Takes::NearAlone => away(station) <= 1.0,
            Takes::All => true,
        };
        if felt {
            let place = blade * 4 + station;
            let kind = usize::from(away(station) > 1.0);
            deepest[place][kind] = deepest[place][kind].max(depth);
        }
        blends.push((blade + 1, pct, depth));
    }
    left.iter_mut().zip(deepest).for_each(|(left, [near, far])| *left -= near + far);
    blends
}

/// A fleet's tables, and how many overhauls each propeller really passed afterwards.
fn simulate(seed: u64, propellers: usize, takes: Takes) -> (Tables, Vec<u32>) {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let mut tables = Tables {
        models: vec!["K-1,76,2".into()],
        limits: STATIONS.iter().map(|(pct, new)| format!("K-1,{pct},,,{new},{:.3}", new - LEEWAY_IN)).collect(),
        ..Tables::default()
    };
    let mut passed = Vec::new();
    for p in 0..propellers {
        let mean = 0.0085 + 0.00085 * normal(&mut rng);
        tables.propellers.push(format!("P{p:04},K-1,,,used,flying,"));
        let sheets = 3 + p % 3;
        // The last overhaul of all lies just before the as-of date.
        let first = 2020 - 5 * (sheets - 1);
        let mut left = [LEEWAY_IN - 0.002; 8];
        for sheet in 0..sheets {
            let year = first + 5 * sheet;
            if sheet > 0 {
                for (blade, pct, depth) in cycle(&mut rng, mean, takes, &mut left) {
                    // All of one day, so that depths are those below the drawing.
                    let found = format!("{}-01-01", year - 1);
                    tables.defects.push(format!("P{p:04},{found},{blade},{pct},face,nick,{depth:.4},blended,{found}"));
                }
            }
            tables.overhauls.push(format!("P{p:04},{year}-06-01,overhaul,released,,,,"));
            for (place, left) in left.iter().enumerate() {
                let (pct, new) = STATIONS[place % 4];
                let reading = new - LEEWAY_IN + left + 0.0003 * normal(&mut rng);
                tables.measurements.push(format!("P{p:04},{year}-06-01,{},{pct},,,,{reading:.4},no", place / 4 + 1));
            }
        }
        let mut count = 0;
        while count < 20 {
            cycle(&mut rng, mean, takes, &mut left);
            if left.iter().any(|l| l + 0.0003 * normal(&mut rng) < 0.0) {
                break;
            }
            count += 1;
        }
        passed.push(count);
    }
    (tables, passed)
}

/// Beta of blends near a station, and of others, is what it is; and what is forecast to pass, with blends to come counted, passes,
/// but for a little on the dark side: one standard deviation more is charged.
#[test]
fn what_a_gauge_feels_is_found_and_the_chances_are_right() {
    for (takes, near, far) in [(Takes::Nothing, 0.0, 0.0), (Takes::NearAlone, 1.0, 0.0), (Takes::All, 1.0, 1.0)] {
        let (tables, passed) = simulate(61, 150, takes);
        let loaded = tables.load();
        let settings = Settings::default();
        let fleet = Fleet::as_of(&loaded, day("2020-07-01"), &settings);
        let survey = Survey::of(&fleet, &settings.forecast);
        let felt = survey.fits().cycles.felt[Dimension::Thickness as usize];
        // Depths have a spread of 0.006 in, wear one of 0.0007 in: 300 blended places tell beta to 0.01; a bound at 0 adds as much.
        for (beta, truth) in felt.iter().zip([near, far]) {
            assert!(beta.cells > 100, "{takes:?}: {beta:?}");
            assert!((beta.mean - truth).abs() < 4.0 * beta.sd + 0.03, "{takes:?}: {beta:?}, not {truth}");
            assert!(beta.sd < 0.1, "{takes:?}: {beta:?}");
        }
        let mut reader = MarginReader::new(&fleet, &survey, &settings.screen);
        let forecaster = Forecaster::new(&fleet, survey.fits());
        for k in 1..=5 {
            let (mut expected, mut variance, mut seen) = (0.0, 0.0, 0.0);
            for p in 0..fleet.propellers.len() as u32 {
                let chance = forecaster.remaining(p, &reader.of(p)).pass_chance(k).unwrap();
                expected += chance;
                variance += chance * (1.0 - chance);
                seen += f64::from(u8::from(passed[fleet.propellers.serial(p)[1..].parse::<usize>().unwrap()] >= k));
            }
            let count = fleet.propellers.len() as f64;
            // The pool's own uncertainty moves all together: 3 % of them.
            let error = (variance + (0.03 * count).powi(2)).sqrt();
            assert!(seen - expected > -3.0 * error, "{takes:?} P({k}): {expected:.1} forecast, {seen} passed");
            assert!(
                seen - expected < 3.0 * error + 0.05 * count,
                "{takes:?} P({k}): {expected:.1} forecast, {seen} passed"
            );
        }
    }
}

/// A table of damage with no depths, with no places, or of one propeller, and a fleet of one: always an answer; where reports explain
/// no loss, no chance is higher than without any.
#[test]
fn reports_that_say_little_make_nothing_look_safer() {
    let (plain, _) = simulate(62, 12, Takes::NearAlone);
    let without = Tables { defects: Vec::new(), ..plain.clone() };
    let chances = |tables: &Tables| -> Vec<f64> {
        all_remaining(&tables.load(), "2020-07-01").iter().map(|(_, of)| of.pass_chance(2).unwrap()).collect()
    };
    let without = chances(&without);
    let cut = |row: &str, blank: &[usize]| {
        let mut cells: Vec<&str> = row.split(',').collect();
        for &at in blank {
            cells[at] = "";
        }
        cells.join(",")
    };
    for blank in [&[6][..], &[3], &[2, 3, 4, 6]] {
        let tables = Tables { defects: plain.defects.iter().map(|row| cut(row, blank)).collect(), ..plain.clone() };
        for (with, without) in chances(&tables).iter().zip(&without) {
            assert!(with.is_finite() && *with <= without + 0.02, "{blank:?}: {with} with reports, {without} without");
        }
    }
    let one: Vec<String> = plain.defects.iter().filter(|row| row.starts_with("P0000,")).cloned().collect();
    assert!(!one.is_empty());
    let tables = Tables { defects: one, ..plain.clone() };
    // What one propeller's reports explain is freed everywhere, down to a standard error below the mean loss: an answer for all.
    assert!(chances(&tables).iter().all(|chance| (0.0..=1.0).contains(chance)));
    // A fleet of one.
    let of_one = |rows: &[String]| rows.iter().filter(|row| row.starts_with("P0000,")).cloned().collect::<Vec<_>>();
    let single = Tables {
        propellers: of_one(&plain.propellers),
        overhauls: of_one(&plain.overhauls),
        measurements: of_one(&plain.measurements),
        defects: of_one(&plain.defects),
        ..plain.clone()
    };
    assert!((0.0..=1.0).contains(&chances(&single)[0]));
}
