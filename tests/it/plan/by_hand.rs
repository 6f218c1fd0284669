//! Small fleets worked out by hand.

use std::sync::Arc;

use bladewane::analysis::plan::seat::{Chances, First, Strength};
use bladewane::analysis::plan::{Plan, Question};

use super::{question, seat, seats};

/// First propeller: due in April 2026, then every 24 months; passes once with 0.75 and never again; new ones always pass.
/// Second: overdue, then every 12 months; passes with 0.5, new ones with 0.9. A pass costs 1,200, a rejection 5,500.
///
/// 2026: first 0.75 x 1,200 + 0.25 x 5,500 = 2,275; second 0.5 x 1,200 + 0.5 x 5,500 = 3,350.
/// 2027: of the second 0.5 are still the old one, 0.5 new: rejected 0.5 x 0.5 + 0.5 x 0.1 = 0.3, so 0.7 x 1,200 + 0.3 x 5,500 = 2,490.
/// 2028: the first's old one (0.75) is rejected, the new one (0.25) passes: 4,425; of the second 0.25 old and 0.75 new:
/// rejected 0.125 + 0.075 = 0.2, so 2,060.
#[test]
fn budget_of_two() {
    let mut first = seat(3, 24, 1.0);
    first.own = Chances::new(&[0.75], 0.0, 20);
    let mut second = seat(0, 12, 0.5);
    second.first = First::Overdue { month: 0 };
    second.fresh = Arc::new(Chances::always(0.9));
    second.strength = Strength::Binding;
    let plan = Plan::of(&seats(vec![first, second]), &question(3));
    let of = |year: i32, strength: Option<Strength>| {
        let row = plan.budget.iter().find(|r| r.year == year && r.model.is_none() && r.strength == strength).unwrap();
        (row.overhauls, row.replacements, row.cost.unwrap().expected)
    };
    let near = |a: (f64, f64, f64), b: (f64, f64, f64)| {
        let close = (a.0 - b.0).abs() < 1e-12 && (a.1 - b.1).abs() < 1e-12;
        assert!(close && (a.2 - b.2).abs() < 1e-9, "{a:?} {b:?}");
    };
    near(of(2026, None), (2.0, 0.75, 5_625.0));
    near(of(2027, None), (1.0, 0.3, 2_490.0));
    near(of(2028, None), (2.0, 0.95, 6_485.0));
    near(of(2028, Some(Strength::Binding)), (1.0, 0.2, 2_060.0));
    near(of(2028, Some(Strength::Recommended)), (1.0, 0.75, 4_425.0));
    assert_eq!(plan.reserve.catch_up_sum, Some(3_350.0));
    assert_eq!((plan.overdue, plan.not_dated), (1, 0));
    // A year with 0.3 chance of a rejection: nine of ten fleets spend up to 5,500, half of them 1,200.
    let cost = plan.budget.iter().find(|r| r.year == 2027 && r.model.is_none()).unwrap().cost.unwrap();
    assert_eq!((cost.p10, cost.p50, cost.p90), (1_200.0, 1_200.0, 5_500.0));
}

/// Prices of a 10 % growth a year: an overhaul 18 months away costs 1.1^1.5 as much.
#[test]
fn prices_grow() {
    let asked = Question { price_growth_pct: 10.0, ..question(2) };
    let plan = Plan::of(&seats(vec![seat(18, 60, 1.0)]), &asked);
    let cost = plan.budget.iter().rfind(|r| r.year == 2027).unwrap().cost.unwrap();
    assert!((cost.expected / (1_200.0 * 1.1f64.powf(1.5)) - 1.0).abs() < 1e-12);
    assert!((cost.p90 / cost.expected - 1.0).abs() < 1e-12);
}

/// 10 h a month, 1,200 in July and every 12 months after; looked at for two intervals, 24 months. Total 2,400 in 240 h: 10 an
/// hour. At the end of July 70 h have set 700 aside: 500 short; at the end of the next July 190 h against 2,400: 500 short.
/// From a balance of 200: (1,200 - 200)/70.
#[test]
fn reserve_of_one_that_always_passes() {
    let mut one = seat(6, 12, 1.0);
    one.hours_per_month = 10.0;
    let asked = Question { opening_balance: Some(200.0), ..question(5) };
    let reserve = Plan::of(&seats(vec![one.clone()]), &asked).reserve;
    assert_eq!(reserve.horizon_years, 2.0);
    assert!((reserve.long_run_per_hour.unwrap() - 10.0).abs() < 1e-9);
    assert!((reserve.needed_today.unwrap() - 500.0).abs() < 1e-6);
    assert!((reserve.constant_per_hour.unwrap() - 1_000.0 / 70.0).abs() < 1e-9);
    assert_eq!(reserve.catch_up_sum, Some(0.0));
    // Without prices there is no sum at all.
    one.costs = None;
    let mut unpriced = seats(vec![one]);
    unpriced.priced = false;
    let plan = Plan::of(&unpriced, &asked);
    assert_eq!(plan.reserve.long_run_per_hour, None);
    assert_eq!(plan.reserve.constant_per_hour, None);
    assert_eq!(plan.reserve.catch_up_sum, None);
    assert!(plan.budget.iter().all(|r| r.cost.is_none() && r.overhauls > 0.0));
}

/// One that is rejected once with chance q in its only overhaul: below 10 % the 90 % point is a pass, above it a rejection.
/// Horizon 24 months at 10 h: 1,200/240 = 5 or 5,500/240.
#[test]
fn reserve_is_enough_in_nine_of_ten() {
    for (chance, expected) in [(0.93, 1_200.0 + 1_200.0), (0.87, 5_500.0 + 1_200.0)] {
        let mut one = seat(6, 12, 1.0);
        one.own = Chances::new(&[chance, chance], 0.0, 2);
        one.hours_per_month = 10.0;
        let reserve = Plan::of(&seats(vec![one]), &question(5)).reserve;
        let per_hour = reserve.long_run_per_hour.unwrap();
        assert!((per_hour - expected / 240.0).abs() < 1e-9, "{per_hour}");
    }
}

/// Ten propellers due at once that pass with 0.6 each: four replacements on average. Binomial: at most 5 with chance 0.8338,
/// at most 6 with 0.9452 (by hand), so six cover them with 90 % chance although no single chance is above one half.
#[test]
fn spares_for_ten() {
    let mut of = seats((0..10).map(|_| seat(0, 60, 0.6)).collect());
    of.shelves[0].spares = 2;
    let plan = Plan::of(&of, &question(1));
    let row = plan.spares[0];
    assert_eq!((row.needed_p50, row.needed_p90, row.order_now), (4, 6, 4));
    assert_eq!(row.within_days, None);
    // Later than the lead time nothing is needed yet; within it all is.
    for (days, needed) in [(30.0, 0), (31.0, 6)] {
        let mut later = seats((0..10).map(|_| seat(1, 60, 0.6)).collect());
        for seat in &mut later.list {
            seat.replacement_days = Some(days);
        }
        assert_eq!(Plan::of(&later, &question(1)).spares[0].needed_p90, needed);
    }
}

/// Two overhauls of 45 days in April, one of which rejects and waits 75 days: 2 away in April; in May the passed one half of
/// the month (45/30.4375 - 1 = 0.4784) and the rejected one all of it; in June the rejected one 75/30.4375 - 2 = 0.4641.
#[test]
fn away_by_hand() {
    let mut passes = seat(3, 60, 1.0);
    let mut rejected = seat(3, 60, 0.0);
    for seat in [&mut passes, &mut rejected] {
        seat.overhaul_days = Some(45.0);
        seat.replacement_days = Some(75.0);
    }
    let plan = Plan::of(&seats(vec![passes, rejected]), &question(1));
    let month = 365.25 / 12.0;
    let expected = [0.0, 0.0, 0.0, 2.0, 45.0 / month, 75.0 / month - 2.0, 0.0];
    assert_eq!(plan.out_at_once.len(), 12);
    for (row, expected) in plan.out_at_once.iter().zip(expected) {
        assert!((row.propellers_out - expected).abs() < 1e-12);
        assert!((row.p90 - expected).abs() < 1e-12);
    }
    assert_eq!(plan.out_at_once[3].month.to_string(), "2026-04-01");
}

/// From 16 June, half of which is left: one that is sent in at once for 30.4375 days (a month) is away for the rest of June and
/// half of July.
#[test]
fn away_from_the_middle_of_a_month() {
    let month = 365.25 / 12.0;
    let mut overdue = seat(0, 60, 1.0);
    overdue.first = First::Overdue { month: 0 };
    overdue.overhaul_days = Some(month);
    let asked = Question { as_of: bladewane::trade::calendar::Day::from_ymd(2026, 6, 16).unwrap(), ..question(1) };
    let plan = Plan::of(&seats(vec![overdue]), &asked);
    let away: Vec<f64> = plan.out_at_once.iter().map(|r| r.propellers_out).collect();
    assert_eq!(&away[..3], [1.0, 0.5, 0.0]);
}
