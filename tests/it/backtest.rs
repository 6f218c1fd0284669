//! The backtest: later rows reach no earlier forecast, and a fleet that wears as the method thinks is scored as sound.

use std::fs;
use std::path::Path;

use bladewane::analysis::score::{Backtest, Score, ScoreKind};
use bladewane::backtest::past::{self, PastOverhaul};
use bladewane::backtest::{of, sampled};
use bladewane::onboard::demo::{AS_OF, DemoFormat, DemoOptions, fleet, write};
use bladewane::records::Fleet;
use bladewane::settings::Settings;
use bladewane::trade::calendar::Day;
use bladewane::trade::geometry::Dimension;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

use crate::forecast::records::{Tables, day, load};

fn normal(rng: &mut ChaCha8Rng) -> f64 {
    StandardNormal.sample(rng)
}

/// A fleet that wears as the method thinks: cycles of 0.0085 in with a spread of 25 %, propellers 10 %, stations 0.0005 in, read
/// with 0.0003 in. The shop rejects what reads below the minimum, at the earliest at the second overhaul, and propellers
/// fly on in a new one's place. At `greedy`, every overhaul takes 0.004 in more.
fn simulate(seed: u64, propellers: usize, greedy: Option<&str>) -> Tables {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let stations = [(30, 0.975), (45, 0.648), (60, 0.476), (75, 0.358)];
    let mut tables = Tables {
        models: vec!["K-1,76,2".into()],
        limits: stations.iter().map(|(pct, new)| format!("K-1,{pct},,,{new},{:.3}", new - 0.040)).collect(),
        ..Tables::default()
    };
    for p in 0..propellers {
        let serial = format!("P{p:04}");
        let shop = ["North", "South"][p % 2];
        let mean = 0.0085 + 0.00085 * normal(&mut rng) + if greedy == Some(shop) { 0.004 } else { 0.0 };
        let mut left = [0.038; 8];
        let mut status = "flying,";
        for overhaul in 0..7 {
            let year = 1990 + p % 5 + 5 * overhaul;
            if overhaul > 0 {
                let common = mean + 0.0021 * normal(&mut rng);
                for left in &mut left {
                    *left -= common + 0.0005 * normal(&mut rng);
                }
            }
            let read = left.map(|l| l + 0.0003 * normal(&mut rng));
            let rejected = read.iter().any(|&r| r < 0.0);
            for (place, read) in read.iter().enumerate() {
                let (pct, new) = stations[place % 4];
                tables.measurements.push(format!(
                    "{serial},{year}-06-01,{},{pct},,,,{:.4},no",
                    place / 4 + 1,
                    new - 0.040 + read
                ));
            }
            let ending = if rejected { "rejected,dimension" } else { "released," };
            tables.overhauls.push(format!("{serial},{year}-06-01,overhaul,{ending},{shop},,"));
            if rejected {
                status = "scrapped,2020-01-01";
                break;
            }
        }
        tables.propellers.push(format!("{serial},K-1,,,used,{status}"));
    }
    tables
}

fn backtest(tables: &Tables) -> Backtest {
    let loaded = tables.load();
    let settings = Settings::default();
    of(&Fleet::as_of(&loaded, day("2026-01-01"), &settings), &settings)
}

fn scores(backtest: &Backtest, kind: ScoreKind) -> Vec<&Score> {
    backtest.scores.iter().filter(|s| s.kind == kind).collect()
}

/// Within four of the standard deviations that the score itself states.
fn sound(score: &Score) {
    let (expected, sd) = (score.expected.unwrap(), score.expected_sd.unwrap());
    let observed = score.observed.unwrap();
    assert!((observed - expected).abs() < 4.0 * sd, "{score:?}");
}

#[test]
fn a_fleet_that_wears_as_thought_is_scored_as_sound() {
    let backtest = backtest(&simulate(31, 160, None));
    let t = Dimension::Thickness;
    for (kind, rows) in [
        (ScoreKind::LossCover(t), 3),
        (ScoreKind::LossBin(t), 10),
        (ScoreKind::MarginCover(t), 3),
        (ScoreKind::MarginBin(t), 10),
        (ScoreKind::Rejections, 1),
    ] {
        let found = scores(&backtest, kind);
        assert_eq!(found.len(), rows, "{kind:?}");
        for score in found {
            assert!(score.count > 300, "{score:?}");
            sound(score);
        }
    }
    let rejections = scores(&backtest, ScoreKind::Rejections)[0];
    assert!(rejections.observed.unwrap() > 50.0);
    // Clearly better than the base rate.
    let error = scores(&backtest, ScoreKind::SquaredError)[0];
    assert!(error.observed.unwrap() < 0.6 * error.expected.unwrap(), "{error:?}");
    assert!(scores(&backtest, ScoreKind::LossCover(Dimension::Width)).is_empty());
    assert_eq!(backtest.remarks, Vec::<String>::new());
}

#[test]
fn a_shop_that_takes_more_makes_the_pool_too_wide() {
    let backtest = backtest(&simulate(32, 80, Some("South")));
    assert!(
        backtest
            .remarks
            .iter()
            .any(|r| r.contains("pool is too wide") && r.contains("shop South") && r.contains("larger")),
        "{:?}",
        backtest.remarks
    );
}

#[test]
fn a_large_fleet_is_sampled_by_the_seed_and_says_so() {
    let loaded = simulate(33, 60, None).load();
    let settings = Settings::default();
    let fleet = Fleet::as_of(&loaded, day("2026-01-01"), &settings);
    let one = sampled(&fleet, &settings, 50, 20);
    assert_eq!(one, sampled(&fleet, &settings, 50, 20));
    assert_eq!(one.scores[0].kind, ScoreKind::Sampled);
    assert_eq!((one.scores[0].count, one.scores[0].expected), (20, Some(60.0)));
    assert!(one.remarks[0].contains("20 of 60"), "{:?}", one.remarks);
    let mut other = Settings::default();
    other.forecast.seed = 2;
    assert_ne!(one, sampled(&fleet, &other, 50, 20));
    // All of them is no sample.
    assert_eq!(sampled(&fleet, &settings, 60, 20), of(&fleet, &settings));
}

/// The records of some propellers give the same forecasts as tables that hold only these.
#[test]
fn picked_records_are_those_records() {
    let tables = simulate(34, 40, None);
    let mut fewer = tables.clone();
    let keep = |row: &String| row.starts_with("P000") || row.starts_with("P002");
    for rows in [&mut fewer.propellers, &mut fewer.overhauls, &mut fewer.measurements] {
        rows.retain(keep);
    }
    let settings = Settings::default();
    let wanted: Vec<String> = (0..10).chain(20..30).map(|p| format!("P{p:04}")).collect();
    let picked = tables.load().of_propellers(&wanted.iter().map(String::as_str).collect());
    let (a, b) =
        (past::of(&picked, day("2026-01-01"), &settings), past::of(&fewer.load(), day("2026-01-01"), &settings));
    assert!(a.len() > 40);
    assert_eq!(a, b);
}

fn demo(folder: &Path) {
    let options = DemoOptions { propellers: 50, seed: 12, telling_cases: true, bad_rows: true };
    write(folder, &fleet(&options), DemoFormat::Csv).unwrap();
}

fn append(folder: &Path, table: &str, row: impl Fn(&str) -> String) {
    let path = folder.join(format!("{table}.csv"));
    let mut text = fs::read_to_string(&path).unwrap();
    let columns: Vec<String> = text.lines().next().unwrap().split(',').map(&row).collect();
    text.push_str(&columns.join(","));
    text.push('\n');
    fs::write(path, text).unwrap();
}

fn before(past: &[PastOverhaul], year: i32) -> Vec<&PastOverhaul> {
    past.iter().filter(|p| p.day.year() < year).collect()
}

/// Absurd rows of 2019 and later: overhauls that reject, sheets with half the metal gone and sheets that nobody could read,
/// twins of rows with other values, damage, a model's twenty new cycles, propellers that come new. Nothing of an overhaul
/// before 2019 changes, neither its forecast nor what it showed.
#[test]
fn later_rows_reach_no_earlier_forecast() {
    let (plain, absurd) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    demo(plain.path());
    demo(absurd.path());
    let settings = Settings::default();
    let of = |folder: &Path, as_of: Day| past::of(&load(folder), as_of, &settings);
    let earlier = of(plain.path(), AS_OF);
    let serials: Vec<String> = earlier.iter().map(|p| p.serial.clone()).collect();
    for (at, serial) in serials.iter().take(40).enumerate() {
        let date = format!("20{}-0{}-11", 19 + at % 6, 1 + at % 9);
        append(absurd.path(), "overhauls", |column| match column {
            "propeller" => serial.clone(),
            "overhaul_date" => date.clone(),
            "work" => "overhaul".into(),
            "outcome" => ["released", "rejected", "nonsense"][at % 3].into(),
            "reject_reason" => "crack".into(),
            "shop" => "Shop Absurd".into(),
            _ => String::new(),
        });
        for blade in ["1", "2", "9"] {
            for station in ["60", "75", "90"] {
                append(absurd.path(), "measurements", |column| match column {
                    "propeller" => serial.clone(),
                    "overhaul_date" => date.clone(),
                    "blade" => blade.into(),
                    "station_pct" => station.into(),
                    "thickness_after_in" if at % 4 == 0 => "what".into(),
                    "thickness_after_in" => format!("0.{}", 130 + 7 * at),
                    "width_after_in" => "3.1".into(),
                    _ => String::new(),
                });
            }
        }
        append(absurd.path(), "defects", |column| match column {
            "propeller" => serial.clone(),
            "found_date" => date.clone(),
            "blade" => "1".into(),
            "kind" => "crack".into(),
            "surface" => "face".into(),
            "depth_in" => "0.06".into(),
            "action" => "blended".into(),
            _ => String::new(),
        });
        append(absurd.path(), "propellers", |column| match column {
            "propeller" => format!("0-ABSURD-{at}"),
            "model" => "W76-60".into(),
            "in_service_date" => date.clone(),
            "acquired" => "new".into(),
            _ => String::new(),
        });
        append(absurd.path(), "hours", |column| match column {
            "propeller" => serial.clone(),
            "reading_date" => date.clone(),
            "hours_since_new" => "99999".into(),
            _ => String::new(),
        });
    }
    let later = of(absurd.path(), AS_OF);
    let (a, b) = (before(&earlier, 2019), before(&later, 2019));
    assert!(a.len() > 40, "{}", a.len());
    assert!(a.iter().filter(|p| p.reject_chance.is_some()).count() > 30);
    assert_eq!(a, b);
    // The rows were no mere decoration: the later years do change.
    assert_ne!(earlier, later);
    // Rows later than the as-of date change nothing at all.
    let day = Day::from_ymd(2018, 12, 31).unwrap();
    assert_eq!(of(plain.path(), day), of(absurd.path(), day));
}

#[test]
fn nothing_to_score() {
    let mut tables = simulate(35, 3, None);
    tables.overhauls.retain(|row| row.contains("1990") || row.contains("1991"));
    tables.measurements.clear();
    let none = backtest(&tables);
    assert_eq!(none, Backtest::default());
    tables.overhauls.clear();
    assert_eq!(backtest(&tables), Backtest::default());
}
