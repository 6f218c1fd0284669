//! Rates, categories and growth of aluminium corrosion. Coefficients, ranges and category limits are recalled from
//! ISO 9223:2012 and ISO 9224:2012 (from memory, verify against the current edition); the rows below were calculated apart
//! from them, so they prove the arithmetic and not the coefficients.

use bladewane::records::schema::KEPT;
use bladewane::trade::corrosion::{
    Air, Corrosivity, Growth, GrowthError, Kept, PlainAir, Stay, TIME_EXPONENT, UNCERTAINTY_LOG_SD,
    UNKNOWN_AIR_RATE_G_M2_YEAR, attack_g_m2, first_year, valid,
};
use proptest::prelude::*;

/// Six printed decimals.
const PRINTED_6DP: f64 = 5e-7 + 1e-12;
/// Five printed decimals.
const PRINTED_5DP: f64 = 5e-6 + 1e-12;
/// Three printed decimals.
const PRINTED_3DP: f64 = 5e-4 + 1e-12;

fn air(temperature_c: f64, relative_humidity_pct: f64, so2: f64, chloride: f64) -> Air {
    Air { temperature_c, relative_humidity_pct, so2_mg_m2_day: so2, chloride_mg_m2_day: chloride }
}

fn outside(rate_g_m2_year: f64, years: f64) -> Stay {
    Stay { rate_g_m2_year, kept: Kept::Outside, years }
}

fn attack(stays: &[Stay]) -> f64 {
    attack_g_m2(stays, &Growth::default()).expect("stays in a test are possible")
}

/// Time exponent of aluminium, mean plus two standard deviations: ISO 9224:2012 table 2, from memory, verify against the current
/// edition.
const TIME_EXPONENT_UPPER: f64 = 0.807;

#[test]
fn rates_of_eleven_airs() {
    for (t, rh, pd, sd, so2, chloride, rate, category) in [
        (10.0, 75.0, 10.0, 10.0, 0.147079, 0.082215, 0.229294, "C2"),
        (10.0, 80.0, 1.0, 1.0, 0.031034, 0.022823, 0.053857, "C2"),
        (5.0, 78.0, 4.0, 3.0, 0.077640, 0.026495, 0.104135, "C2"),
        (15.0, 70.0, 4.0, 3.0, 0.053628, 0.057798, 0.111426, "C2"),
        (-5.0, 70.0, 2.0, 1.0, 0.035026, 0.004562, 0.039588, "C2"),
        (12.0, 82.0, 24.0, 60.0, 0.304620, 0.334419, 0.639038, "C3"),
        (20.0, 75.0, 10.0, 60.0, 0.095676, 0.616707, 0.712383, "C3"),
        (25.0, 80.0, 10.0, 300.0, 0.087442, 2.864234, 2.951675, "C4"),
        (27.0, 78.0, 2.0, 500.0, 0.023573, 4.512251, 4.535824, "C4"),
        (28.7, 93.0, 150.4, 760.5, 0.746722, 9.190929, 9.937651, "C5"),
        (-17.1, 34.0, 0.7, 0.4, 0.005935, 0.000411, 0.006346, "C2"),
    ] {
        let got = first_year(&air(t, rh, pd, sd)).unwrap();
        let row = format!("{t} {rh} {pd} {sd}: {got:?}");
        assert!((got.so2_g_m2_year - so2).abs() < PRINTED_6DP, "{row}");
        assert!((got.chloride_g_m2_year - chloride).abs() < PRINTED_6DP, "{row}");
        assert!((got.rate_g_m2_year() - rate).abs() < PRINTED_6DP, "{row}");
        assert_eq!(Corrosivity::of_rate(got.rate_g_m2_year()).word(), category, "{row}");
        assert!(!got.clamped.any(), "{row}");
    }
}

#[test]
fn outside_its_range_the_function_is_held_and_says_so() {
    let corner = first_year(&air(28.7, 93.0, 150.4, 760.5)).unwrap().rate_g_m2_year();
    let beyond = first_year(&air(35.0, 99.0, 400.0, 1500.0)).unwrap();
    assert_eq!(beyond.rate_g_m2_year(), corner);
    let c = beyond.clamped;
    assert!(c.temperature && c.relative_humidity && c.so2 && c.chloride);
    let low = first_year(&air(-30.0, 20.0, 0.0, 0.0)).unwrap();
    assert_eq!(low.rate_g_m2_year(), first_year(&air(-17.1, 34.0, 0.7, 0.4)).unwrap().rate_g_m2_year());
    let one = first_year(&air(20.0, 75.0, 10.0, 0.1)).unwrap().clamped;
    assert!(one.chloride && !one.so2 && !one.temperature && !one.relative_humidity);
}

#[test]
fn impossible_air_is_refused() {
    for (bad, quantity) in [
        (air(20.0, 101.0, 10.0, 60.0), "humidity"),
        (air(20.0, -1.0, 10.0, 60.0), "humidity"),
        (air(300.0, 75.0, 10.0, 60.0), "temperature"),
        (air(f64::NAN, 75.0, 10.0, 60.0), "temperature"),
        (air(20.0, 75.0, -0.1, 60.0), "sulphur"),
        (air(20.0, 75.0, 10.0, f64::INFINITY), "chloride"),
    ] {
        let said = first_year(&bad).unwrap_err().to_string();
        assert!(said.contains(quantity), "{said}");
    }
}

// ISO 9223:2012 table 2, from memory: limits belong to the lower category; C1 has no number for aluminium.
#[test]
fn category_limits() {
    for (rate, word) in [
        (0.0, "C2"),
        (0.3, "C2"),
        (0.6, "C2"),
        (0.600001, "C3"),
        (2.0, "C3"),
        (2.000001, "C4"),
        (5.0, "C4"),
        (5.000001, "C5"),
        (10.0, "C5"),
        (10.000001, "CX"),
        (1e6, "CX"),
        (f64::NAN, "CX"),
    ] {
        assert_eq!(Corrosivity::of_rate(rate).word(), word, "{rate}");
    }
    let upper = Corrosivity::ALL.map(Corrosivity::upper_rate_g_m2_year);
    assert_eq!(upper, [0.3, 0.6, 2.0, 5.0, 10.0, 15.0]);
    // Air that is not known is never milder than air known by category.
    assert!(upper.iter().all(|&r| r <= UNKNOWN_AIR_RATE_G_M2_YEAR));
}

#[test]
fn words_of_the_records() {
    for c in Corrosivity::ALL {
        assert_eq!(Corrosivity::from_word(c.word()), Some(c));
        assert_eq!(Corrosivity::from_word(&c.word().to_lowercase()), Some(c));
    }
    for a in PlainAir::ALL {
        assert_eq!(PlainAir::from_word(a.word()), Some(a));
    }
    assert_eq!(Corrosivity::from_word("C6"), None);
    assert_eq!(PlainAir::from_word("sea"), None);
    assert_eq!([Kept::Outside, Kept::Hangar].map(Kept::word).as_slice(), KEPT);
}

// t^b calculated apart for both exponents, and D for the category limits.
#[test]
fn growth_in_the_first_twenty_years() {
    let years = [1.0, 2.0, 5.0, 10.0, 15.0, 20.0];
    for (b, factors) in [
        (TIME_EXPONENT, [1.0, 1.65634, 3.22738, 5.34564, 7.18116, 8.85421]),
        (TIME_EXPONENT_UPPER, [1.0, 1.74957, 3.66496, 6.41210, 8.89417, 11.21841]),
    ] {
        let growth = Growth { time_exponent: b, ..Growth::default() };
        for (t, factor) in years.into_iter().zip(factors) {
            let got = attack_g_m2(&[outside(1.0, t)], &growth).unwrap();
            assert!((got - factor).abs() < PRINTED_5DP, "{b} {t}: {got}");
        }
    }
    for (category, b, row) in [
        (Corrosivity::C2, TIME_EXPONENT, [0.600, 0.994, 1.936, 3.207, 4.309, 5.313]),
        (Corrosivity::C3, TIME_EXPONENT, [2.000, 3.313, 6.455, 10.691, 14.362, 17.708]),
        (Corrosivity::C4, TIME_EXPONENT, [5.000, 8.282, 16.137, 26.728, 35.906, 44.271]),
        (Corrosivity::C5, TIME_EXPONENT, [10.000, 16.563, 32.274, 53.456, 71.812, 88.542]),
        (Corrosivity::C5, TIME_EXPONENT_UPPER, [10.000, 17.496, 36.650, 64.121, 88.942, 112.184]),
    ] {
        let growth = Growth { time_exponent: b, ..Growth::default() };
        for (t, printed) in years.into_iter().zip(row) {
            let stay = outside(category.upper_rate_g_m2_year(), t);
            let got = attack_g_m2(&[stay], &growth).unwrap();
            assert!((got - printed).abs() < PRINTED_3DP, "{} {t}: {got}", category.word());
        }
    }
    // C2 limit over six years, the reference of the ranking: 0.6 * 6^0.728.
    assert!((attack(&[outside(0.6, 6.0)]) - 2.2113).abs() < 5e-5);
}

#[test]
fn growth_beyond_twenty_years() {
    for (b, rows, slope) in [
        (TIME_EXPONENT, [(25.0, 10.46568), (30.0, 12.07714), (50.0, 18.52301)], 0.322293),
        (TIME_EXPONENT_UPPER, [(25.0, 13.48172), (30.0, 15.74503), (50.0, 24.79829)], 0.452663),
    ] {
        let growth = Growth { time_exponent: b, ..Growth::default() };
        let at = |t: f64| attack_g_m2(&[outside(1.0, t)], &growth).unwrap();
        for (t, factor) in rows {
            assert!((at(t) - factor).abs() < PRINTED_5DP, "{b} {t}: {}", at(t));
        }
        assert!((at(41.0) - at(40.0) - slope).abs() < PRINTED_6DP);
        // Continuous where the rule changes.
        assert!((at(20.0 + 1e-9) - at(20.0)).abs() < 1e-8);
    }
}

// By hand with b = 1/2, where strength is the square of the rate: 3 for 4 years and 1 for 4 years is
// sqrt(9*4 + 1*4) = sqrt(40). Beyond 20 years the steady slope at rate r is r/(2 sqrt 20).
#[test]
fn carry_over_by_hand() {
    let growth = Growth { time_exponent: 0.5, hangar_factor: 0.5 };
    let d = |stays: &[Stay]| attack_g_m2(stays, &growth).unwrap();
    assert!((d(&[outside(3.0, 4.0), outside(1.0, 4.0)]) - 40f64.sqrt()).abs() < 1e-12);
    let root20 = 20f64.sqrt();
    // 20 years at 2 are D^2 = 80, what a rate of 4 does in 5 years: the power law goes on, to D^2 = 80 + 16*2.
    let harsher = d(&[outside(2.0, 20.0), outside(4.0, 2.0)]);
    assert!((harsher - 112f64.sqrt()).abs() < 1e-12);
    // After 15 more years D^2 is 320, twenty years of a rate of 4; then straight at 4/(2 sqrt 20).
    let much_later = d(&[outside(2.0, 20.0), outside(4.0, 18.0)]);
    assert!((much_later - (320f64.sqrt() + 2.0 / root20 * 3.0)).abs() < 1e-12);
    // A milder base goes on at its own steady slope, 1/(2 sqrt 20), and a third is judged by all attack before it.
    let milder = 2.0 * root20 + 0.5 / root20 * 4.0;
    let stays = [outside(2.0, 20.0), outside(1.0, 4.0), outside(4.0, 2.0)];
    assert!((d(&stays[..2]) - milder).abs() < 1e-12);
    assert!((d(&stays) - (milder * milder + 32.0).sqrt()).abs() < 1e-12);
    // A stay that runs across the twentieth year: 18 years at 2 and 2 at 4 are D^2 = 104, then 2 more at 4.
    let across = d(&[outside(2.0, 18.0), outside(4.0, 4.0)]);
    assert!((across - 136f64.sqrt()).abs() < 1e-12);
    // In a hangar at factor 0.5 a rate of 6 counts as 3.
    let hangar = Stay { rate_g_m2_year: 6.0, kept: Kept::Hangar, years: 4.0 };
    assert!((d(&[hangar]) - 6.0).abs() < 1e-12);
    // The default gives a hangar no credit.
    let no_credit = attack(&[hangar]);
    assert_eq!(no_credit, attack(&[outside(6.0, 4.0)]));
    assert_eq!(d(&[]), 0.0);
}

#[test]
fn impossible_stays_are_refused() {
    let try_it = |stay| attack_g_m2(&[outside(1.0, 1.0), stay], &Growth::default());
    assert_eq!(try_it(outside(-1.0, 1.0)), Err(GrowthError::Rate(-1.0)));
    assert_eq!(try_it(outside(0.0, 1.0)), Err(GrowthError::Rate(0.0)));
    assert!(try_it(outside(f64::NAN, 1.0)).is_err());
    assert_eq!(try_it(outside(1.0, -0.5)), Err(GrowthError::Years(-0.5)));
    assert!(try_it(outside(1.0, f64::INFINITY)).is_err());
    for b in [0.0, -0.728, 1.5, f64::NAN] {
        let growth = Growth { time_exponent: b, ..Growth::default() };
        assert!(matches!(attack_g_m2(&[], &growth), Err(GrowthError::Exponent(_))));
    }
}

// ISO 9223:2012 annex A, from memory: -50 % / +100 %.
#[test]
fn uncertainty_is_half_to_double() {
    assert!((UNCERTAINTY_LOG_SD.exp() - 2.0).abs() < 0.02 && ((-UNCERTAINTY_LOG_SD).exp() - 0.5).abs() < 0.005);
}

fn any_air() -> impl Strategy<Value = Air> {
    let within = |(low, high): (f64, f64)| low..=high;
    (
        within(valid::TEMPERATURE_C),
        within(valid::RELATIVE_HUMIDITY_PCT),
        within(valid::SO2_MG_M2_DAY),
        within(valid::CHLORIDE_MG_M2_DAY),
    )
        .prop_map(|(t, rh, pd, sd)| air(t, rh, pd, sd))
}

fn any_stays() -> impl Strategy<Value = Vec<Stay>> {
    proptest::collection::vec(
        (0.006..15.0f64, 0.0..12.0f64, any::<bool>()).prop_map(|(rate, years, roof)| Stay {
            rate_g_m2_year: rate,
            kept: if roof { Kept::Hangar } else { Kept::Outside },
            years,
        }),
        1..7,
    )
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1.0)
}

proptest! {
    // Inside its range the function cannot reach CX: its greatest value is the upper corner, 9.9377.
    #[test]
    fn no_air_in_range_is_cx(a in any_air()) {
        let f = first_year(&a).unwrap();
        prop_assert!(!f.clamped.any());
        prop_assert!(f.rate_g_m2_year() > 0.0 && f.rate_g_m2_year() <= 9.937_652);
        let c = Corrosivity::of_rate(f.rate_g_m2_year());
        prop_assert!(c != Corrosivity::Cx && c != Corrosivity::C1);
        prop_assert!(f.rate_g_m2_year() <= c.upper_rate_g_m2_year());
        // Air that is not known is never milder.
        prop_assert!(f.rate_g_m2_year() < UNKNOWN_AIR_RATE_G_M2_YEAR);
    }

    #[test]
    fn more_humidity_sulphur_or_salt_is_never_milder(a in any_air(), more in 0.0..100.0f64) {
        let rate = |a: &Air| first_year(a).unwrap().rate_g_m2_year();
        let before = rate(&a);
        for worse in [
            Air { relative_humidity_pct: (a.relative_humidity_pct + more).min(100.0), ..a },
            Air { so2_mg_m2_day: a.so2_mg_m2_day + more, ..a },
            Air { chloride_mg_m2_day: a.chloride_mg_m2_day + more, ..a },
        ] {
            prop_assert!(rate(&worse) >= before);
        }
    }

    #[test]
    fn the_function_is_continuous_at_ten_degrees(a in any_air()) {
        let at = |t| first_year(&Air { temperature_c: t, ..a }).unwrap().rate_g_m2_year();
        prop_assert!((at(10.0 + 1e-9) - at(10.0)).abs() < 1e-7);
    }

    #[test]
    fn exposure_never_falls_with_time(stays in any_stays(), more in 0.0..30.0f64) {
        let mut longer = stays.clone();
        longer.last_mut().unwrap().years += more;
        prop_assert!(attack(&longer) >= attack(&stays) - 1e-12);
        // Another stay on top neither.
        let mut another = stays.clone();
        another.push(outside(0.01, more));
        prop_assert!(attack(&another) >= attack(&stays) - 1e-12);
    }

    #[test]
    fn splitting_a_stay_changes_nothing(stays in any_stays(), which in 0usize..7, share in 0.0..1.0f64) {
        let i = which % stays.len();
        let mut split = stays.clone();
        let first = stays[i].years * share;
        split[i].years = first;
        split.insert(i + 1, Stay { years: stays[i].years - first, ..stays[i] });
        prop_assert!(close(attack(&split), attack(&stays)));
    }

    #[test]
    fn equal_rates_give_the_plain_power_law(rate in 0.006..15.0f64, years in proptest::collection::vec(0.0..4.0f64, 1..6)) {
        let stays: Vec<Stay> = years.iter().map(|&t| outside(rate, t)).collect();
        let total: f64 = years.iter().sum();
        prop_assume!(total <= 20.0);
        prop_assert!(close(attack(&stays), rate * total.powf(TIME_EXPONENT)));
    }

    #[test]
    fn order_of_bases_does_not_matter_within_twenty_years(stays in any_stays()) {
        prop_assume!(stays.iter().map(|s| s.years).sum::<f64>() < 20.0);
        let mut turned = stays.clone();
        turned.reverse();
        prop_assert!(close(attack(&turned), attack(&stays)));
    }

    // Whenever it was: air that is not known, or any harsher air, never gives the lower exposure.
    #[test]
    fn harsher_air_is_never_milder(stays in any_stays(), which in 0usize..7, share in 0.0..1.0f64) {
        let i = which % stays.len();
        let mut blank = stays.clone();
        blank[i].rate_g_m2_year = UNKNOWN_AIR_RATE_G_M2_YEAR;
        prop_assert!(attack(&blank) >= attack(&stays) - 1e-9);
        let mut harsher = stays.clone();
        harsher[i].rate_g_m2_year += share * (UNKNOWN_AIR_RATE_G_M2_YEAR - stays[i].rate_g_m2_year);
        prop_assert!(attack(&harsher) >= attack(&stays) - 1e-9);
        prop_assert!(attack(&blank) >= attack(&harsher) - 1e-9);
    }

    // An overhaul that cannot be read leaves years before it on the skin; they never make it look better.
    #[test]
    fn years_before_are_never_a_gain(stays in any_stays(), rate in 0.006..15.0f64, years in 0.0..40.0f64) {
        let mut longer = stays.clone();
        longer.insert(0, outside(rate, years));
        prop_assert!(attack(&longer) >= attack(&stays) - 1e-9);
    }

    #[test]
    fn twice_the_rate_is_twice_the_attack(stays in any_stays()) {
        let mut twice = stays.clone();
        for s in &mut twice {
            s.rate_g_m2_year *= 2.0;
        }
        prop_assert!(close(attack(&twice), 2.0 * attack(&stays)));
    }
}
