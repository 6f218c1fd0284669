//! The chance of surviving k steps against mpmath, closed forms, simulation and its own laws.

use crate::drawn_losses::{Draws, simulate_survival};
use crate::reference::{assert_close, number, table};
use crate::steps_of_loss::Steps;
use bladewane::stats::first_passage::{FirstPassage, FirstPassageError, Room, Station};
use bladewane::stats::groups::GroupStatistics;
use bladewane::stats::losses::{CommonLoss, OwnLoss};
use bladewane::stats::normal;
use bladewane::stats::student_score::StudentScore;
use proptest::prelude::*;
use std::num::{NonZeroU32, NonZeroUsize};

const NO_OWN: OwnLoss = OwnLoss { per_cycle: 0.0, lasting: 0.0, reading: 0.0 };

fn passage(degrees_of_freedom: f64) -> FirstPassage {
    FirstPassage::new(degrees_of_freedom).expect("degrees of freedom of 1 or more")
}

fn station(margin: f64) -> Station {
    Station { margin, offset: 0.0, carried_variance: 0.0 }
}

#[test]
fn against_mpmath_from_steps_to_wide_products() {
    let mut compared = 0;
    for row in table("stats/first_passage_mpmath.csv") {
        let rooms: Vec<Room> = row["rooms"]
            .split(';')
            .map(|r| {
                let (room, variance) = r.split_once(':').expect("room:variance");
                Room { room: room.parse().expect("room"), variance: variance.parse().expect("variance") }
            })
            .collect();
        let common_variance = number(&row, "common_variance");
        let chance = passage(number(&row, "df")).all_within(common_variance, &rooms).expect("rooms");
        let error = (chance - number(&row, "chance")).abs();
        assert!(error < 1e-9, "{error:e}: {row:?}");
        compared += 1;
    }
    assert_eq!(compared, 71);
}

#[test]
fn stations_that_share_an_effect() {
    // Three stations with their own spread at each step and a common effect that is drawn once (A)
    // or at every step (B). Definitions in the head of the table.
    let (mean, sigma, margin) = ([10.0, 8.0, 12.0], [3.0, 2.5, 4.0], [60.0, 45.0, 80.0]);
    let tau = 2.0;
    for row in table("stats/shared_effect_stations.csv") {
        let k = number(&row, "k");
        let rooms: Vec<Room> =
            (0..3).map(|j| Room { room: margin[j] - k * mean[j], variance: k * sigma[j] * sigma[j] }).collect();
        let normal = passage(f64::INFINITY);
        let once = normal.all_within(k * k * tau * tau, &rooms).expect("rooms");
        let fresh = normal.all_within(k * tau * tau, &rooms).expect("rooms");
        for (chance, column) in [(once, "P_all_A_mpmath"), (fresh, "P_all_B_mpmath")] {
            let error = (chance - number(&row, column)).abs();
            assert!(error < 1e-9, "{column} at {k}: {error:e}");
        }
    }
}

#[test]
fn sums_of_normal_losses() {
    // Mean 0.010 in, standard deviation 0.005 in, margin 0.060 in.
    let common = CommonLoss { mean: 0.010, mean_variance: 0.0, cycle_variance: 0.005 * 0.005 };
    for row in table("stats/ksum_gamma_normal.csv") {
        let k = number(&row, "k") as u32;
        let chance = passage(f64::INFINITY).chance(k, &common, &NO_OWN, &[station(0.060)]);
        let error = (chance.expect("a station") - number(&row, "P_normal_sum_le_m")).abs();
        assert!(error < 1e-10, "{k}: {error:e}");
    }
}

#[test]
fn every_step_or_only_the_last() {
    // The same losses; the table has the chance after every step up to k as well, by recursion.
    let common = CommonLoss { mean: 0.010, mean_variance: 0.0, cycle_variance: 0.005 * 0.005 };
    let draws = Draws {
        count: NonZeroU32::new(200_000).expect("not 0"),
        seed: 5,
        threads: NonZeroUsize::new(2).expect("not 0"),
    };
    let rows = table("stats/normal_first_passage_path.csv");
    let simulated = simulate_survival(rows.len() as u32, f64::INFINITY, &common, &NO_OWN, &[station(0.060)], draws)
        .expect("a station");
    for (row, simulated) in rows.iter().zip(&simulated) {
        // Four standard errors of 200,000 draws, and 1e-4 where hardly a draw fails.
        for (share, column) in [(simulated.within, "P_Sk_le_m"), (simulated.throughout, "P_max_Si_le_m_i_le_k")] {
            let expected = number(row, column);
            let bound = 4.0 * (expected * (1.0 - expected) / 2e5).sqrt() + 1e-4;
            assert!((share - expected).abs() < bound, "{column}: {share}, expected {expected}");
        }
    }
}

#[test]
fn sums_with_estimated_mean_and_variance() {
    // Eight observed losses, both parameters unknown: the sum of k more is k xbar + t sqrt(k s^2 +
    // k^2 s^2/n) with n - 1 degrees of freedom.
    let x = [8.0, 11.0, 14.0, 9.0, 12.0, 7.0, 15.0, 10.0];
    let mean = x.iter().sum::<f64>() / 8.0;
    let variance = x.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / 7.0;
    let common = CommonLoss { mean, mean_variance: variance / 8.0, cycle_variance: variance };
    for row in table("stats/prediction_ksum_t.csv") {
        let k = number(&row, "k") as u32;
        assert_close(common.sum_variance(k).sqrt(), number(&row, "se_pred"), 1e-11, "spread");
        for (margin, expected) in [
            (60.0, number(&row, "P_sum_le_60")),
            (number(&row, "upper1"), number(&row, "conf")),
            (number(&row, "lo2"), 0.5 * (1.0 - number(&row, "conf"))),
        ] {
            let chance = passage(7.0)
                .all_within(common.sum_variance(k), &[Room { room: margin - f64::from(k) * mean, variance: 0.0 }]);
            let error = (chance.expect("a room") - expected).abs();
            assert!(error < 1e-10, "k {k}, margin {margin}: {error:e}");
        }
    }
}

#[test]
fn certain_losses_are_counted_out() {
    // 0.008 a step and no variance: a margin of 0.020 lasts two steps, one of exactly 0.016
    // too, at which it has 0 left.
    let common = CommonLoss { mean: 0.008, mean_variance: 0.0, cycle_variance: 0.0 };
    let passage = passage(5.0);
    for margin in [0.020, 0.016] {
        let survival = passage.survival(4, &common, &NO_OWN, &[station(margin)]).unwrap();
        assert_eq!(survival, [1.0, 1.0, 0.0, 0.0]);
    }
}

#[test]
fn a_step_against_closed_forms_of_t() {
    // One degree of freedom: F(t) = 1/2 + atan(t)/pi; two: 1/2 + t/(2 sqrt(2 + t^2)).
    let common = CommonLoss { mean: 1.0, mean_variance: 1.0, cycle_variance: 0.0 };
    for margin in [0.0, 0.3, 1.0, 4.0, 500.0] {
        let t: f64 = margin - 1.0;
        let one = 0.5 + t.atan() / std::f64::consts::PI;
        let two = 0.5 + t / (2.0 * (2.0 + t * t).sqrt());
        for (df, expected) in [(1.0, one), (2.0, two)] {
            let passage = passage(df);
            let chance = passage.chance(1, &common, &NO_OWN, &[station(margin)]).unwrap();
            assert!((chance - expected).abs() < 5e-11, "{df} {margin}");
        }
    }
}

#[test]
fn zero_and_negative_margins() {
    let common = CommonLoss { mean: 0.008, mean_variance: 1e-7, cycle_variance: 4e-6 };
    let own = OwnLoss { per_cycle: 1e-6, lasting: 0.0, reading: 1e-7 };
    let passage = passage(12.0);
    let zero = passage.chance(1, &common, &own, &[station(0.0), station(0.05)]).unwrap();
    assert!(zero > 0.0 && zero < 0.01, "{zero}");
    let below = [station(-1e-12), station(0.05)];
    assert_eq!(passage.survival(3, &common, &own, &below).unwrap(), [0.0; 3]);
    assert_eq!(passage.chance(0, &common, &own, &below).unwrap(), 0.0);
    assert_eq!(passage.chance(0, &common, &own, &[station(0.0)]).unwrap(), 1.0);
    // Negative losses would make later chances rise; survival does not.
    let growing = CommonLoss { mean: -0.004, ..common };
    let survival = passage.survival(4, &growing, &own, &[station(0.0)]).unwrap();
    assert!(survival.windows(2).all(|w| w[1] <= w[0]));
}

#[test]
fn a_loss_that_is_no_number_has_no_chance() {
    let common = CommonLoss { mean: f64::NAN, mean_variance: 1.0, cycle_variance: 1.0 };
    assert_eq!(passage(3.0).chance(1, &common, &NO_OWN, &[station(-1.0)]), Err(FirstPassageError::Value));
}

/// A common loss, own losses, stations and degrees of freedom such as occur, in thousandths.
fn case() -> impl Strategy<Value = (f64, CommonLoss, OwnLoss, Vec<Station>)> {
    let common = (3.0..12.0, 0.0..3.0, 0.01..9.0f64).prop_map(|(mean, v, s)| CommonLoss {
        mean,
        mean_variance: v,
        cycle_variance: s,
    });
    let own = (0.0..9.0, 0.0..1.0, 0.0..2.0f64).prop_map(|(per_cycle, lasting, reading)| OwnLoss {
        per_cycle,
        lasting,
        reading,
    });
    let station = (0.0..60.0, -2.0..2.0, prop_oneof![Just(0.0), 0.0..9.0f64])
        .prop_map(|(margin, offset, carried_variance)| Station { margin, offset, carried_variance });
    let df = prop_oneof![1.0..40.0f64, Just(2000.0), Just(4e5), Just(f64::INFINITY)];
    (df, common, own, prop::collection::vec(station, 1..10))
}

/// The quadrature error stated above, twice because two chances are compared.
const TOLERANCE: f64 = 2e-9;

proptest! {
    #[test]
    fn a_fine_trapezoid_agrees((df, common, own, stations) in case(), k in 1u32..8) {
        // The same expectation over t itself, by 4,000 equal steps of the angle atan(t/10).
        let df = df.clamp(3.0, 1e6);
        let passage = passage(df);
        let student = StudentScore::new(df).expect("stations");
        let sd = common.sum_variance(k).sqrt();
        let rooms: Vec<Room> = stations
            .iter()
            .map(|s| Room {
                room: s.margin - f64::from(k) * (common.mean + s.offset),
                variance: own.sum_variance(k) + s.carried_variance,
            })
            .collect();
        let narrow = rooms.iter().map(|r| r.variance.sqrt() / sd).fold(f64::INFINITY, f64::min);
        // Where the product falls within a few of its steps the trapezoid is the worse one.
        prop_assume!(narrow > 0.05);
        let steps = 4_000;
        let density = student.density(0.0);
        let mut total = 0.0;
        for i in 1..steps {
            let angle = std::f64::consts::PI * (f64::from(i) / f64::from(steps) - 0.5);
            let t = 10.0 * angle.tan();
            let weight = density * (-(0.5 * (df + 1.0)) * (t * t / df).ln_1p()).exp()
                * 10.0 / angle.cos().powi(2);
            if weight > 1e-14 {
                let factor = |r: &Room| normal::cdf((r.room - t * sd) / r.variance.sqrt());
                total += weight * rooms.iter().map(factor).product::<f64>();
            }
        }
        let expected = total * std::f64::consts::PI / f64::from(steps);
        let chance = passage.chance(k, &common, &own, &stations).expect("stations");
        prop_assert!((chance - expected).abs() < TOLERANCE, "{chance} {expected}");
    }

    #[test]
    fn more_margin_never_lowers_the_chance(
        (df, common, own, stations) in case(), k in 1u32..12, which in 0usize..10, more in 0.0..9.0f64
    ) {
        let passage = passage(df);
        let before = passage.chance(k, &common, &own, &stations).expect("stations");
        let mut wider = stations.clone();
        let index = which % wider.len();
        wider[index].margin += more;
        let after = passage.chance(k, &common, &own, &wider).expect("stations");
        prop_assert!(after >= before - TOLERANCE);
        prop_assert!((0.0..=1.0).contains(&after));
    }

    #[test]
    fn survival_never_rises((df, common, own, stations) in case()) {
        let survival = passage(df).survival(20, &common, &own, &stations).expect("stations");
        prop_assert_eq!(survival.len(), 20);
        prop_assert!(survival.windows(2).all(|w| w[1] <= w[0]));
    }

    #[test]
    fn the_order_of_stations_does_not_matter((df, common, own, stations) in case(), k in 1u32..12) {
        let passage = passage(df);
        let mut turned = stations.clone();
        turned.reverse();
        let a = passage.chance(k, &common, &own, &stations).expect("stations");
        let b = passage.chance(k, &common, &own, &turned).expect("stations");
        prop_assert!((a - b).abs() < 1e-14);
    }

    #[test]
    fn the_unit_of_length_does_not_matter((df, common, own, stations) in case(), k in 1u32..12) {
        let f = 25.4;
        let passage = passage(df);
        let a = passage.chance(k, &common, &own, &stations).expect("stations");
        let common = CommonLoss {
            mean: common.mean * f,
            mean_variance: common.mean_variance * f * f,
            cycle_variance: common.cycle_variance * f * f,
        };
        let own = OwnLoss {
            per_cycle: own.per_cycle * f * f,
            lasting: own.lasting * f * f,
            reading: own.reading * f * f,
        };
        let scaled = |s: &Station| Station {
            margin: s.margin * f,
            offset: s.offset * f,
            carried_variance: s.carried_variance * f * f,
        };
        let stations: Vec<Station> = stations.iter().map(scaled).collect();
        let b = passage.chance(k, &common, &own, &stations).expect("stations");
        prop_assert!((a - b).abs() < 1e-10);
    }

    #[test]
    fn a_heavier_expected_loss_never_raises_the_chance(
        (df, common, own, stations) in case(), k in 1u32..12, more in 0.0..4.0f64
    ) {
        let passage = passage(df);
        let heavier = CommonLoss { mean: common.mean + more, ..common };
        let a = passage.chance(k, &common, &own, &stations).expect("stations");
        let b = passage.chance(k, &heavier, &own, &stations).expect("stations");
        prop_assert!(b <= a + TOLERANCE);
    }

    #[test]
    fn one_more_station_never_raises_the_chance((df, common, own, stations) in case(), k in 1u32..12) {
        let passage = passage(df);
        let all = passage.chance(k, &common, &own, &stations).expect("stations");
        for s in &stations {
            let one = passage.chance(k, &common, &own, &[*s]).expect("stations");
            prop_assert!(all <= one + TOLERANCE);
        }
    }
}

proptest! {
    #[test]
    fn a_heavier_own_loss_never_raises_ones_own_chance(
        losses in prop::collection::vec((0usize..6, 2.0..14.0f64), 2..30),
        ratio in 0.0..3.0f64, which in 0usize..30, more in 0.0..9.0f64, k in 1u32..8,
    ) {
        // At fixed variance components, so only the mean and one's own deviation move.
        let within = 4.0;
        let predict = |losses: &[(usize, f64)], group: usize| {
            let values: Vec<f64> = losses.iter().map(|l| l.1).collect();
            let groups: Vec<usize> = losses.iter().map(|l| l.0).collect();
            let statistics =
                GroupStatistics::new(&values, &groups, &vec![1.0; values.len()], 6).expect("losses");
            let at = statistics.at_ratio(ratio);
            let g = statistics.groups()[group];
            let own = g.weight * ratio / (1.0 + g.weight * ratio);
            CommonLoss {
                mean: at.mean + own * (g.mean - at.mean),
                mean_variance: ratio * within * (1.0 - own) + (1.0 - own).powi(2) * within / at.sum_g,
                cycle_variance: within,
            }
        };
        let index = which % losses.len();
        let group = losses[index].0;
        let mut heavier = losses.clone();
        heavier[index].1 += more;
        let stations = [station(30.0), station(35.0)];
        let own = OwnLoss { per_cycle: 1.0, lasting: 0.1, reading: 0.3 };
        let p = passage(losses.len() as f64 - 1.0);
        let before = p.chance(k, &predict(&losses, group), &own, &stations).expect("stations");
        let after = p.chance(k, &predict(&heavier, group), &own, &stations).expect("stations");
        prop_assert!(after <= before + TOLERANCE);
    }
}
