//! Expected values of the two ways against each other, within the error that the simulation itself states.

use std::sync::Arc;

use bladewane::analysis::plan::budget::ExpectedBy;
use bladewane::analysis::plan::seat::{Chances, First, Seat, Strength};
use bladewane::analysis::plan::sums::Sums;
use bladewane::analysis::plan::timeline::Timeline;
use bladewane::analysis::plan::{Plan, Question, expectation, simulation};
use bladewane::trade::calendar::Day;

use super::{question, seat, seats};

/// Seats of every kind: hours and months, uneven use, unscheduled overhauls, much in common between them.
pub fn mixed(count: usize) -> Vec<Seat> {
    (0..count)
        .map(|i| {
            let mut s = seat(4 + i % 50, 36 + (i % 4) as u32 * 12, 1.0);
            s.propeller = i as u32;
            s.model = i % 2;
            s.own = Chances::new(&[0.95 - 0.1 * (i % 7) as f64, 0.25, 0.1], 0.02, 20);
            s.fresh = Arc::new(Chances::new(&[0.99, 0.9, 0.6, 0.3, 0.05], 0.02, 20));
            s.hours_per_month = 15.0 + (i % 9) as f64 * 6.0;
            s.use_spread = [0.0, 0.4, 0.8][i % 3];
            s.interval_hours = (i % 5 > 0).then_some(900.0 + 300.0 * (i % 3) as f64);
            s.unscheduled_per_hour = [0.0, 2e-4, 1e-3][i % 3];
            s.shared = [0.0, 0.3, 0.8][(i / 2) % 3];
            s.strength = Strength::ALL[(i / 3) % 2];
            s.overhaul_days = Some(30.0);
            s.replacement_days = Some(80.0);
            if let First::Due { hours_months, .. } = &mut s.first
                && s.interval_hours.is_some()
            {
                *hours_months = Some(3.7 + (i % 31) as f64);
            }
            if i % 11 == 0 {
                s.first = First::Overdue { month: i % 3 };
            }
            s
        })
        .collect()
}

#[test]
fn expectation_agrees_with_simulation() {
    for (as_of, growth) in [("2026-01-01", 0.0), ("2025-08-20", 12.0), ("2026-05-31", -9.0)] {
        let list = mixed(24);
        let timeline = Timeline::new(Day::parse_iso(as_of).unwrap(), 84, 100, growth, 4.0);
        let expected = expectation::expected(&list, 2, &timeline);
        let fleets = 8_000;
        let drawn = simulation::simulate(&list, 2, &timeline, fleets, 9);
        let check = |what: &str, expected: f64, of: &dyn Fn(&simulation::Drawn) -> f64| {
            let count = fleets as f64;
            let mean = drawn.iter().map(of).sum::<f64>() / count;
            let squares = drawn.iter().map(|d| (of(d) - mean).powi(2)).sum::<f64>();
            // 4.5 standard errors as this run states them: 300 comparisons are made.
            let bound = 4.5 * (squares / (count - 1.0) / count).sqrt() + 1e-9;
            let off = (mean - expected).abs();
            assert!(off <= bound, "{as_of} {what}: {expected} simulated {mean} within {bound}");
        };
        for at in 0..expected.cells.len() {
            let cell = expected.cells[at];
            check("overhauls", cell.overhauls, &|d| d.cells[at].overhauls);
            check("replacements", cell.replacements, &|d| d.cells[at].replacements);
            check("cost", cell.cost, &|d| d.cells[at].cost);
        }
        for month in [0, 5, 20, 83] {
            check("away", expected.away[month], &|d| d.away[month]);
        }
        // The cases are not all trivial.
        assert!(expected.cells.iter().any(|c| c.replacements > 1.0));
    }
}

/// Many propellers due in one year that share all but a tenth of what decides: single chances stay, the year spreads.
#[test]
fn a_shared_year_spreads_but_keeps_the_mean() {
    let due = |shared: f64| {
        let list = (0..40).map(|_| Seat { shared, ..seat(3, 60, 0.7) }).collect();
        Plan::of(&seats(list), &question(1)).budget[0].cost.unwrap()
    };
    let (alone, together) = (due(0.0), due(0.9));
    assert_eq!(alone.expected, together.expected);
    // 40 x (0.7 x 1,200 + 0.3 x 5,500)
    assert!((alone.expected - 99_600.0).abs() < 1e-6);
    assert!(together.p90 - together.p10 > 3.0 * (alone.p90 - alone.p10));
}

#[test]
fn a_large_fleet_goes_by_simulation_and_says_so() {
    let list: Vec<Seat> = (0..5_001).map(|i| seat(i % 24, 24, 0.9)).collect();
    let asked = Question { fleets: Some(300), ..question(2) };
    let plan = Plan::of(&seats(list), &asked);
    assert_eq!(plan.expected_by, ExpectedBy::Simulation);
    let row = &plan.budget[0];
    let error = row.simulated_error.unwrap();
    // By hand: 2,505 of 5,001 fall in 2026 (i mod 24 below 12), each 0.9 x 1,200 + 0.1 x 5,500 = 1,630.
    let due = (0..5_001).filter(|i| i % 24 < 12).count() as f64;
    assert!(error > 0.0);
    assert!((row.cost.unwrap().expected - due * 1_630.0).abs() < 5.0 * error);
    assert!((row.overhauls - due).abs() < 1e-9);
}

#[test]
fn fleets_are_fewer_for_huge_fleets_only() {
    let timeline = Timeline::new(Day::parse_iso("2026-01-01").unwrap(), 60, 144, 0.0, 0.0);
    let many: Vec<Seat> = (0..40_000).map(|_| seat(3, 72, 0.7)).collect();
    assert_eq!(simulation::fleets_for(&many[..200], 6, &timeline), 10_000);
    let fewer = simulation::fleets_for(&many, 6, &timeline);
    assert!((200..1_000).contains(&fewer), "{fewer}");
    assert_eq!(Sums::new(6, &timeline).cells.len(), 6 * 2 * 5);
}
