//! Laws of the plan.

use bladewane::analysis::plan::seat::{Costs, Seat};
use bladewane::analysis::plan::{Plan, Question};
use proptest::prelude::*;

use super::simulated::mixed;
use super::{question, seats};

fn few(years: u32, seed: u64) -> Question {
    Question { fleets: Some(60), seed, opening_balance: Some(4_000.0), ..question(years) }
}

fn cumulative(plan: &Plan) -> Vec<f64> {
    let mut sum = 0.0;
    plan.budget
        .iter()
        .filter(|r| r.model.is_none() && r.strength.is_none())
        .map(|r| {
            sum += r.cost.unwrap().expected;
            sum
        })
        .collect()
}

#[test]
fn threads_change_nothing_and_seeds_do() {
    let of = seats(mixed(30));
    let asked = Question { fleets: Some(500), ..question(5) };
    let with = |threads: usize, seed: u64| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        // Debug text holds every digit of every number.
        format!("{:?}", pool.install(|| Plan::of(&of, &Question { seed, ..asked })))
    };
    let one = with(1, 1);
    assert_eq!(one, with(2, 1));
    assert_eq!(one, with(5, 1));
    assert_ne!(one, with(2, 2));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn a_longer_budget_never_costs_less(count in 1usize..20, years in 1u32..6, more in 1u32..4) {
        let of = seats(mixed(count));
        let short = cumulative(&Plan::of(&of, &few(years, 1)));
        let long = cumulative(&Plan::of(&of, &few(years + more, 1)));
        // Later years change nothing about earlier ones.
        prop_assert_eq!(&long[..short.len()], &short[..]);
        prop_assert!(long.windows(2).all(|w| w[0] <= w[1]));
    }

    #[test]
    fn a_dearer_overhaul_never_lowers_the_reserve(
        count in 1usize..20,
        seed in 0u64..1000,
        dearer in 0.0f64..5_000.0,
    ) {
        let mut of = seats(mixed(count));
        let before = Plan::of(&of, &few(5, seed)).reserve;
        for seat in &mut of.list {
            seat.costs = seat.costs.map(|c| Costs { overhaul: c.overhaul + dearer, ..c });
        }
        let after = Plan::of(&of, &few(5, seed)).reserve;
        prop_assert!(after.long_run_per_hour >= before.long_run_per_hour);
        prop_assert!(after.constant_per_hour.unwrap_or(f64::INFINITY) >= before.constant_per_hour.unwrap_or(f64::INFINITY));
        prop_assert!(after.catch_up_sum >= before.catch_up_sum);
    }

    #[test]
    fn more_balance_never_asks_for_a_higher_rate(count in 1usize..20, more in 0.0f64..50_000.0) {
        let of = seats(mixed(count));
        let poor = Plan::of(&of, &few(5, 3)).reserve.constant_per_hour;
        let richer = Question { opening_balance: Some(4_000.0 + more), ..few(5, 3) };
        let rich = Plan::of(&of, &richer).reserve.constant_per_hour;
        prop_assert!(rich.unwrap_or(f64::INFINITY) <= poor.unwrap_or(f64::INFINITY));
    }

    #[test]
    fn worse_chances_never_cost_less(count in 1usize..12, worse in 0.0f64..0.5) {
        let of = mixed(count);
        let weaker: Vec<Seat> = of
            .iter()
            .map(|s| Seat {
                own: bladewane::analysis::plan::seat::Chances::new(&[s.own.step(0) * (1.0 - worse)], 0.0, 20),
                ..s.clone()
            })
            .collect();
        let first_year = |list: Vec<Seat>| Plan::of(&seats(list), &few(1, 1)).budget[0].replacements;
        let same: Vec<Seat> = of
            .iter()
            .map(|s| Seat {
                own: bladewane::analysis::plan::seat::Chances::new(&[s.own.step(0)], 0.0, 20),
                ..s.clone()
            })
            .collect();
        prop_assert!(first_year(weaker) >= first_year(same) - 1e-12);
    }
}
