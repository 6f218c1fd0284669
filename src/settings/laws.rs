//! What holds for every setting and every text.

use std::collections::BTreeSet;

use proptest::prelude::*;

use super::list::{LIST, SECTIONS};
use super::*;

fn layer(text: &str) -> Layer {
    Layer { name: "fleet.toml".to_owned(), text: text.to_owned() }
}

fn values(settings: &Settings) -> Vec<Value> {
    settings.rows().into_iter().map(|row| row.value).collect()
}

/// The values the methods are stated with, written down once more, apart from the list.
#[test]
fn the_defaults_are_those_of_the_methods() {
    let s = Settings::default();
    assert_eq!((s.fleet.name, s.fleet.currency, s.fleet.price_growth_pct), (None, None, 0.0));
    assert_eq!(s.fleet.date_format.form(), "YYYY-MM-DD");
    assert_eq!(s.fleet.csv_separator.byte(), b',');
    assert!(!s.fleet.decimal_comma);
    assert_eq!(s.fleet.blade_1, "the blade nearest the stamp");
    let r = s.ranking;
    assert_eq!([r.weight_time, r.weight_climate, r.weight_defects, r.reject_chance], [0.4, 0.3, 0.3, 0.5]);
    assert_eq!((s.due.warning_days, s.due.monthly_use_spread), (90, 0.5));
    let c = s.checks;
    assert_eq!(
        [c.gauge_thickness_in, c.gauge_width_in, c.thickness_over_new_in, c.width_over_new_in],
        [0.002, 0.010, 0.010, 0.060]
    );
    assert_eq!([c.at_limit_in, c.track_limit_in, c.hours_per_year], [0.001, 0.062, 1200.0]);
    let s1 = s.screen;
    assert_eq!(s1.edge_depth_in, 3.0 / 16.0);
    assert_eq!(s1.surface_depth_in, 1.0 / 16.0);
    assert_eq!(s1.surface_width_in, 3.0 / 8.0);
    assert_eq!(s1.surface_length_in, 1.0);
    let f = s.forecast;
    assert_eq!((f.prior_weight, f.prior_spread_fraction), (1.0, 0.25));
    assert_eq!((f.pool_min_propellers, f.pool_min_cycles), (8, 20));
    assert_eq!([f.thickness_loss_in, f.width_loss_in, f.loss_spread_fraction], [0.008, 0.022, 0.5]);
    let e = s.exposure;
    assert_eq!([e.hangar_factor, e.c1_rate_g_m2_year, e.cx_rate_g_m2_year], [1.0, 0.3, 15.0]);
    assert_eq!(
        [e.dry_inland, e.rural, e.town, e.industrial, e.coast, e.sea_front].map(AirCategory::word),
        ["C2", "C2", "C3", "C4", "C4", "C5"]
    );
    let f = s.fatigue;
    assert_eq!([f.threshold_mpa_sqrt_m, f.endurance_range_mpa, f.stress_exponent], [5.0, 248.0, 9.44]);
    assert_eq!(f.edge_crack_factor, 1.1215);
    assert_eq!(f.surface_crack_factor.to_string(), "0.6366");
    let b = s.budget;
    assert_eq!((b.years, b.use_growth_pct), (5, 0.0));
    assert_eq!((b.opening_balance, b.overhauls_per_month), (None, None));
    assert_eq!((b.shop_year_spread_fraction, b.deciding_stations), (0.05, 3));
}

/// Defaults that are rounded results of something exact.
#[test]
fn computed_defaults_agree_with_their_formulas() {
    let s = Settings::default();
    // Category C2's upper rate 0.6 g/m2 a over six years at the exponent 0.728 (ISO 9223 and 9224:2012, from memory).
    assert!((s.ranking.climate_reference_g_m2 - 0.6 * 6f64.powf(0.728)).abs() < 5e-5);
    // 0.101 lb/in3 with 1 lb = 0.45359237 kg and 1 in = 0.0254 m, both exact.
    let density = 0.101 * 0.453_592_37 / 0.0254f64.powi(3);
    assert!((s.fatigue.density_kg_m3 - density).abs() < 5e-3);
    // Penny crack: 2/pi.
    assert!((s.fatigue.surface_crack_factor - 2.0 / std::f64::consts::PI).abs() < 5e-5);
    // With F = 1 these give the length 0.129386 mm, as a hand calculation does.
    let ratio = s.fatigue.threshold_mpa_sqrt_m / s.fatigue.endurance_range_mpa;
    let length_mm = 1000.0 * ratio * ratio / std::f64::consts::PI;
    assert!((length_mm - 0.129_386).abs() < 5e-7);
    // 5 % thinner at full width counts 2.6338 times.
    assert!((0.95f64.powf(-2.0 * s.fatigue.stress_exponent) - 2.6338).abs() < 5e-5);
}

#[test]
fn every_setting_is_well_described() {
    let mut paths = BTreeSet::new();
    for row in Settings::default().rows() {
        assert!(paths.insert((row.section, row.key)), "{} stands twice", row.key);
        assert!(SECTIONS.iter().any(|section| section.name == row.section));
        assert!(!row.meaning.is_empty() && !row.meaning.ends_with('.'), "{}", row.key);
        assert!(!row.allowed.is_empty());
        // A unit in the key is the unit of the setting.
        for (ending, unit) in [("_in", "in"), ("_pct", "% a year"), ("_g_m2", "g/m2"), ("_days", "days")] {
            assert!(!row.key.ends_with(ending) || row.unit == unit, "{}", row.key);
        }
    }
    // The nearest-name hint looks for a key over all sections: that needs keys that are found in one section only.
    let keys: BTreeSet<&str> = LIST.iter().map(|setting| setting.key).collect();
    assert_eq!(keys.len(), LIST.len());
}

/// Pairs of every type, valid by construction, no key twice.
fn some_pairs() -> impl Strategy<Value = Vec<(&'static str, String)>> {
    let number =
        |key: &'static str, least: f64, most: f64| (least..most).prop_map(move |x| (key, format!("{x:?}"))).boxed();
    let word = |key: &'static str, words: &'static [&'static str]| {
        prop::sample::select(words).prop_map(move |w| (key, w.to_owned())).boxed()
    };
    let one = prop_oneof![
        "[ -~äß€\u{201c}\\\\\"'#=]{1,60}"
            .prop_filter("blank text sets nothing", |text| !text.trim().is_empty())
            .prop_map(|text| ("name", text)),
        word("currency", &["USD", "EUR", "\"", "''", "$", "'\"\"\"'"]),
        word("csv_separator", &["comma", ";", "tab", "|"]),
        word("decimal_comma", &["yes", "no", "true", "FALSE"]),
        word("date_format", &["DD.MM.YYYY", "m/d/yyyy", "D MMM YYYY", "MMM D, YYYY", "YYYYMMDD"]),
        word("exposure.coast", &["C1", "c5", "CX"]),
        word("budget.overhauls_per_month", &["none", "1", "100000"]),
        number("ranking.weight_time", 1e-12, 1000.0),
        number("checks.gauge_width_in", 0.0, 0.25),
        number("price_growth_pct", -50.0, 100.0),
        number("budget.opening_balance", -1e12, 1e12),
        (0u32..3650).prop_map(|days| ("due.warning_days", days.to_string())),
        any::<u32>().prop_map(|seed| ("forecast.seed", seed.to_string())),
    ];
    prop::collection::vec(one, 0..12).prop_map(|pairs| {
        let mut seen = BTreeSet::new();
        pairs.into_iter().filter(|(key, _)| seen.insert(*key)).collect()
    })
}

proptest! {
    #[test]
    fn the_written_text_reads_back_to_the_same_values(pairs in some_pairs()) {
        let settings = Settings::default().with_pairs("sheet", pairs).unwrap();
        let again = Settings::default().with_layers(&[layer(&settings.to_toml())]).unwrap();
        prop_assert_eq!(values(&settings), values(&again));
        // Written again, only the remark on where each value was set has changed.
        let lines = |text: String| -> Vec<String> {
            text.lines().map(|line| line.rsplit_once("  # ").map_or(line, |(value, _)| value).to_owned()).collect()
        };
        prop_assert_eq!(lines(settings.to_toml()), lines(again.to_toml()));
    }

    #[test]
    fn a_key_set_twice_takes_the_later_layer(first in 0u32..3650, second in 0u32..3650) {
        let text = |days: u32| layer(&format!("[due]\nwarning_days = {days}"));
        let both = Settings::default().with_layers(&[text(first), text(second)]).unwrap();
        prop_assert_eq!(values(&both), values(&Settings::default().with_layers(&[text(second)]).unwrap()));
    }

    #[test]
    fn one_slip_in_a_key_is_answered_with_the_key(index in any::<prop::sample::Index>(), at in any::<prop::sample::Index>()) {
        let setting = &LIST[index.index(LIST.len())];
        let mut key: Vec<char> = setting.key.chars().collect();
        key.insert(at.index(key.len() + 1), 'q');
        let key: String = key.into_iter().collect();
        let text = if setting.section.is_empty() {
            format!("{key} = 1")
        } else {
            format!("[{}]\n{key} = 1", setting.section)
        };
        let errors = Settings::default().with_layers(&[layer(&text)]).unwrap_err();
        prop_assert_eq!(errors.len(), 1);
        prop_assert_eq!(errors[0].remedy.clone(), format!("did you mean `{}`?", setting.key));
    }

    /// Whatever a file holds, the answer is settings or a list of errors that each point into the file.
    #[test]
    fn no_text_is_too_odd(text in "(\\[?[a-z_1]{0,14}\\]?|[=\"'\\[\\]{}.,#\n\r\t é0-9-]|name|due|true|= ?1){0,30}") {
        if let Err(errors) = Settings::default().with_layers(&[layer(&text)]) {
            prop_assert!(!errors.is_empty());
            for error in errors {
                let Place::At { line, column } = error.place else { panic!("{error:?}") };
                prop_assert!(line >= 1 && line <= text.matches('\n').count() + 1);
                prop_assert!(column >= 1 && column <= text.chars().count() + 1);
                prop_assert!(!error.found.is_empty() && !error.expected.is_empty() && !error.remedy.is_empty());
            }
        }
    }

    #[test]
    fn no_pair_is_too_odd(key in "\\PC{0,12}", value in "\\PC{0,12}") {
        if let Err(errors) = Settings::default().with_pairs("sheet", [(key, value)]) {
            prop_assert_eq!(errors.len(), 1);
            prop_assert_eq!(errors[0].place, Place::Entry(1));
        }
    }
}
