//! Steady stress from spinning, and load exposure. Closed forms are exact mechanics of a turning bar; printed values were
//! calculated apart (rho 2795.67 kg/m3, 76 in, 2700 rpm) to six decimals.

use bladewane::settings::Settings;
use bladewane::trade::load::{equivalent_hours, hour_weight, revolutions, section_modulus_retained, worst_station};
use bladewane::trade::spin::{Section, SpinError, angular_speed_rad_s, steady_stress};
use proptest::prelude::*;

/// The settings' defaults: 2014-T6, smooth, and the alloys' density.
const FATIGUE_EXPONENT: f64 = 9.44;
const DENSITY_KG_M3: f64 = 2795.67;
const TIP_IN: f64 = 38.0;
const RPM: f64 = 2700.0;
const M_PER_IN: f64 = 0.0254;

fn section(station_in: f64, width_in: f64, thickness_in: f64) -> Section {
    Section { station_in, width_in, thickness_in }
}

fn stress(sections: &[Section], radius_in: f64) -> f64 {
    steady_stress(sections, radius_in, TIP_IN, RPM, DENSITY_KG_M3).expect("sections in a test are possible").stress_mpa
}

fn blade() -> Vec<Section> {
    [
        (7.6, 5.9, 1.10),
        (11.4, 6.3, 0.81),
        (17.1, 6.2, 0.58),
        (22.8, 5.7, 0.44),
        (28.5, 5.0, 0.33),
        (34.2, 4.1, 0.24),
        (38.0, 2.9, 0.17),
    ]
    .map(|(s, w, t)| section(s, w, t))
    .to_vec()
}

#[test]
fn constants_of_the_case() {
    // 0.101 lb/in3 with the pound of 0.45359237 kg.
    assert_eq!(Settings::default().fatigue.density_kg_m3, DENSITY_KG_M3);
    assert!((0.101 * 0.453_592_37 / M_PER_IN.powi(3) - DENSITY_KG_M3).abs() < 5e-3);
    assert!((angular_speed_rad_s(RPM) - 282.7433).abs() < 5e-5);
    // rho V^2 / 2 at the tip.
    let v = angular_speed_rad_s(RPM) * TIP_IN * M_PER_IN;
    assert!((v - 272.9039).abs() < 5e-5);
    assert!((DENSITY_KG_M3 * v * v / 2.0 / 1e6 - 104.105890).abs() < 1e-6);
}

#[test]
fn bars_uniform_and_tapered() {
    let r0 = 0.1 / M_PER_IN;
    for (r_m, uniform, k02, k03, k05) in [
        (0.1, 102.988408, 50.639512, 57.183124, 70.270348),
        (0.2286, 98.266155, 52.474308, 58.863002, 71.024894),
        (0.4826, 78.079417, 48.126693, 53.549350, 62.547470),
        (0.7239, 45.546327, 32.965822, 36.141264, 40.343581),
        (0.9, 13.589819, 11.997669, 12.561860, 13.108101),
    ] {
        let r = r_m / M_PER_IN;
        let bar = [section(0.0, 5.0, 0.4)];
        assert!((stress(&bar, r) - uniform).abs() < 1e-6, "uniform {r_m}");
        for (k, printed) in [(0.2, k02), (0.3, k03), (0.5, k05)] {
            // The taper in width alone, and in thickness alone.
            let wide = [section(r0, 5.0, 0.4), section(TIP_IN, 5.0 * k, 0.4)];
            let thick = [section(r0, 5.0, 0.4), section(TIP_IN, 5.0, 0.4 * k)];
            assert!((stress(&wide, r) - printed).abs() < 1e-6, "{k} {r_m}");
            assert!((stress(&thick, r) - printed).abs() < 1e-6, "{k} {r_m}");
        }
    }
    let uniform_axis = stress(&[section(20.0, 5.0, 0.4)], 0.0);
    assert!((uniform_axis - 104.105890).abs() < 1e-6);
}

// A(r) = A0 (1 - r/R): s = rho w^2 (R - r)(R + 2r)/6, s(0) 34.701963, peak 39.039709 = 0.1875 rho w^2 R^2 at R/4.
#[test]
fn taper_to_nothing_peaks_at_a_quarter() {
    let bar = [section(0.0, 5.0, 0.4), section(TIP_IN, 0.0, 0.4)];
    let scale = DENSITY_KG_M3 * angular_speed_rad_s(RPM).powi(2) / 1e6;
    let metres = TIP_IN * M_PER_IN;
    assert!((stress(&bar, 0.0) - 34.701963).abs() < 1e-6);
    assert!((stress(&bar, TIP_IN / 4.0) - 39.039709).abs() < 1e-6);
    assert!((stress(&bar, TIP_IN / 4.0) - 0.1875 * scale * metres * metres).abs() < 1e-9);
    for share in [0.05, 0.2, 0.24, 0.26, 0.5, 0.9, 0.99] {
        let r = share * metres;
        let exact = scale * (metres - r) * (metres + 2.0 * r) / 6.0;
        assert!((stress(&bar, share * TIP_IN) - exact).abs() < 1e-9, "{share}");
        assert!(stress(&bar, share * TIP_IN) < stress(&bar, TIP_IN / 4.0));
    }
    assert_eq!(stress(&bar, TIP_IN), 0.0);
}

// By hand: width and thickness both (1 - x/R), so the area is quadratic. Int_0^R (1 - x/R)^2 x dx = R^2/12, and
// Int_{R/2}^R = 5 R^2/192 over an area of 1/4.
#[test]
fn width_and_thickness_tapering_together() {
    let bar = [section(0.0, 5.0, 0.4), section(TIP_IN, 0.0, 0.0)];
    let scale = DENSITY_KG_M3 * (angular_speed_rad_s(RPM) * TIP_IN * M_PER_IN).powi(2) / 1e6;
    assert!((stress(&bar, 0.0) - scale / 12.0).abs() < 1e-9);
    assert!((stress(&bar, TIP_IN / 2.0) - scale * 5.0 / 48.0).abs() < 1e-9);
}

#[test]
fn outside_the_stations_the_nearest_section_serves() {
    let listed = [section(11.4, 6.0, 0.8), section(34.2, 4.0, 0.25)];
    let at = |r| steady_stress(&listed, r, TIP_IN, RPM, DENSITY_KG_M3).unwrap();
    assert!(at(8.0).outside_listed && at(36.0).outside_listed);
    assert!(!at(11.4).outside_listed && !at(34.25).outside_listed && !at(20.0).outside_listed);
    // Beyond the last station the blade is a uniform bar.
    let scale = DENSITY_KG_M3 * (angular_speed_rad_s(RPM) * M_PER_IN).powi(2) / 1e6;
    let uniform = scale * (TIP_IN * TIP_IN - 36.0 * 36.0) / 2.0;
    assert!((at(36.0).stress_mpa - uniform).abs() < 1e-9);
    // The station listed a hair beyond the tip is the tip's.
    let long = [section(11.4, 6.0, 0.8), section(38.05, 4.0, 0.25)];
    assert!(steady_stress(&long, 20.0, TIP_IN, RPM, DENSITY_KG_M3).is_ok());
}

#[test]
fn what_cannot_be_used_is_refused() {
    let run = |s: &[Section], r, tip, rpm| steady_stress(s, r, tip, rpm, DENSITY_KG_M3);
    assert_eq!(run(&[], 10.0, TIP_IN, RPM), Err(SpinError::NoStation));
    let mut turned = blade();
    turned.reverse();
    assert!(matches!(run(&turned, 10.0, TIP_IN, RPM), Err(SpinError::Order(_))));
    let twice = [section(10.0, 5.0, 0.4), section(10.0, 5.0, 0.4)];
    assert!(matches!(run(&twice, 10.0, TIP_IN, RPM), Err(SpinError::Order(_))));
    assert!(matches!(run(&blade(), 10.0, 30.0, RPM), Err(SpinError::BeyondTip { .. })));
    let hole = [section(10.0, 0.0, 0.4), section(30.0, 5.0, 0.4)];
    assert_eq!(run(&hole, 10.0, TIP_IN, RPM), Err(SpinError::NoMetal(10.0)));
    let bad = [section(10.0, f64::NAN, 0.4)];
    assert_eq!(run(&bad, 10.0, TIP_IN, RPM), Err(SpinError::NoMetal(10.0)));
    for (r, tip, rpm) in [
        (-1.0, TIP_IN, RPM),
        (39.0, TIP_IN, RPM),
        (f64::NAN, TIP_IN, RPM),
        (10.0, 0.0, RPM),
        (10.0, TIP_IN, 0.0),
        (10.0, TIP_IN, f64::NAN),
    ] {
        assert!(matches!(run(&blade(), r, tip, rpm), Err(SpinError::Impossible { .. })));
    }
}

proptest! {
    // Identity: one factor on the area along the whole blade leaves the steady stress as it was.
    #[test]
    fn a_uniformly_thinner_blade_has_the_same_steady_stress(factor in 0.3..1.2f64, r in 0.0..37.9f64) {
        let mut thin = blade();
        for s in &mut thin {
            s.thickness_in *= factor;
        }
        prop_assert!((stress(&thin, r) - stress(&blade(), r)).abs() < 1e-9);
    }

    #[test]
    fn stress_goes_as_the_square_of_speed(rpm in 500.0..3200.0f64, r in 0.0..37.9f64) {
        let at = |n| steady_stress(&blade(), r, TIP_IN, n, DENSITY_KG_M3).unwrap().stress_mpa;
        prop_assert!((at(2.0 * rpm) - 4.0 * at(rpm)).abs() < 1e-9 * at(2.0 * rpm));
    }

    // One station more, read off the lines between its neighbours, changes nothing.
    #[test]
    fn a_station_on_the_line_changes_nothing(at in 0.01..0.99f64, r in 0.0..37.9f64) {
        let bar = [section(7.6, 6.0, 0.4), section(TIP_IN, 2.0, 0.2)];
        let between = section(
            7.6 + at * (TIP_IN - 7.6),
            6.0 + at * (2.0 - 6.0),
            0.4 + at * (0.2 - 0.4),
        );
        let three = [bar[0], between, bar[1]];
        prop_assert!((stress(&three, r) - stress(&bar, r)).abs() < 1e-9);
    }

    // Loss at a station raises the stress there; loss outboard lowers it inboard, and never touches it further out.
    #[test]
    fn where_metal_goes_the_stress_follows(station in 1usize..6, share in 0.01..0.3f64) {
        let new = blade();
        let mut worn = blade();
        worn[station].thickness_in *= 1.0 - share;
        for (i, s) in new.iter().enumerate() {
            let (before, after) = (stress(&new, s.station_in), stress(&worn, s.station_in));
            if i == station {
                prop_assert!(after > before);
            } else if i < station {
                prop_assert!(after < before);
            } else {
                prop_assert!((after - before).abs() < 1e-9);
            }
        }
    }

    // The exact two-node rule against 4,000 slices of the same integral (midpoint rule, good to about 1e-7 here).
    #[test]
    fn agrees_with_a_fine_sum(r in 8.0..37.0f64) {
        let b = blade();
        let area = |x: f64| {
            let i = b.windows(2).position(|w| x <= w[1].station_in).unwrap();
            let share = (x - b[i].station_in) / (b[i + 1].station_in - b[i].station_in);
            (b[i].width_in + share * (b[i + 1].width_in - b[i].width_in))
                * (b[i].thickness_in + share * (b[i + 1].thickness_in - b[i].thickness_in))
        };
        let n = 4000;
        let step = (TIP_IN - r) / f64::from(n);
        let sum: f64 = (0..n)
            .map(|i| r + (f64::from(i) + 0.5) * step)
            .map(|x| area(x) * x * step)
            .sum();
        let scale = DENSITY_KG_M3 * (angular_speed_rad_s(RPM) * M_PER_IN).powi(2) / 1e6;
        let exact = stress(&b, r);
        prop_assert!((scale * sum / area(r) - exact).abs() < 1e-6 * exact);
    }
}

// By hand: 5 % thinner at full width keeps 0.9025 of the section modulus; an hour counts 0.95^(-2 * 9.44) = 2.6338.
#[test]
fn five_percent_thinner() {
    let kept = section_modulus_retained(5.0, 5.0, 0.38, 0.40).unwrap();
    assert!((kept - 0.9025).abs() < 1e-12);
    assert_eq!(Settings::default().fatigue.stress_exponent, FATIGUE_EXPONENT);
    let weight = hour_weight(kept, FATIGUE_EXPONENT).unwrap();
    assert!((weight - 2.6338).abs() < 5e-5);
    assert!((weight - 0.95f64.powf(-2.0 * 9.44)).abs() < 1e-12);
    assert!((equivalent_hours(100.0, kept, FATIGUE_EXPONENT).unwrap() - 263.38).abs() < 5e-3);
    // Width counts once, thickness twice.
    let both = section_modulus_retained(4.5, 5.0, 0.36, 0.40).unwrap();
    assert!((both - 0.9 * 0.81).abs() < 1e-12);
    assert_eq!(hour_weight(1.0, FATIGUE_EXPONENT), Ok(1.0));
    // 1,000 h at 2,700 rpm: 162 million.
    assert_eq!(revolutions(1000.0, 2700.0), Ok(162e6));
}

#[test]
fn the_worst_station_lies_from_sixty_percent_out() {
    let all = [(30.0, 0.70), (90.0, 0.93), (60.0, 0.91), (75.0, 0.91), (100.0, f64::NAN)];
    assert_eq!(worst_station(&all), Some((75.0, 0.91)));
    assert_eq!(worst_station(&all[..1]), None);
    assert_eq!(worst_station(&[]), None);
    assert_eq!(worst_station(&[(59.99, 0.8), (59.0, 0.1)]), Some((59.99, 0.8)));
}

#[test]
fn impossible_loads_are_refused() {
    assert!(section_modulus_retained(5.0, 0.0, 0.4, 0.4).is_err());
    assert!(section_modulus_retained(5.0, 5.0, f64::NAN, 0.4).is_err());
    assert!(hour_weight(0.0, 9.44).is_err());
    assert!(hour_weight(0.9, -9.44).is_err());
    let said = equivalent_hours(-1.0, 0.9, 9.44).unwrap_err().to_string();
    assert_eq!(said, "a number of hours of -1 is not possible");
    assert!(revolutions(10.0, 0.0).is_err());
}

proptest! {
    #[test]
    fn thinner_never_counts_less(kept in 0.2..1.0f64, less in 0.0..0.1f64, m in 1.0..12.0f64) {
        let w = |s| hour_weight(s, m).unwrap();
        prop_assert!(w(kept - less) >= w(kept) && w(kept) >= 1.0);
    }

    #[test]
    fn hours_add_up(kept in 0.2..1.0f64, a in 0.0..5000.0f64, b in 0.0..5000.0f64) {
        let e = |h| equivalent_hours(h, kept, FATIGUE_EXPONENT).unwrap();
        prop_assert!((e(a) + e(b) - e(a + b)).abs() <= 1e-9 * e(a + b).max(1.0));
    }
}
