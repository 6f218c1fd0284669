//! The plan: expectation and simulation against each other, by hand, and laws.
mod by_hand;
mod laws;
mod simulated;

use std::sync::Arc;

use bladewane::analysis::plan::seat::{Chances, Costs, First, Seat, Strength};
use bladewane::analysis::plan::spares::Shelf;
use bladewane::analysis::plan::{Question, Seats};
use bladewane::trade::calendar::Day;

/// Prices of every seat.
pub const COSTS: Costs = Costs { overhaul: 1000.0, replacement: 5000.0, rejection: 300.0, removal: 200.0 };

/// A seat that is due in a month and every `interval` months after, passes with `chance` each time, and flies nothing.
pub fn seat(month: usize, interval: u32, chance: f64) -> Seat {
    Seat {
        propeller: 0,
        model: 0,
        strength: Strength::Recommended,
        spare: false,
        back: 0.0,
        own: Chances::always(chance),
        fresh: Arc::new(Chances::always(1.0)),
        first: First::Due { calendar_month: Some(month), hours_months: None },
        interval_months: Some(interval),
        interval_hours: None,
        hours_per_month: 0.0,
        use_spread: 0.0,
        unscheduled_per_hour: 0.0,
        shared: 0.0,
        costs: Some(COSTS),
        overhaul_days: None,
        replacement_days: None,
    }
}

/// Seats with nothing on the shelf, priced.
pub fn seats(list: Vec<Seat>) -> Seats {
    let models = list.iter().map(|s| s.model).max().unwrap_or(0) + 1;
    let shelves = (0..models)
        .map(|model| Shelf {
            model: format!("M-{model}"),
            spares: 0,
            replacement_days: None,
            seats: list.iter().filter(|s| s.model == model).count() as u32,
        })
        .collect();
    Seats { list, shelves, priced: true }
}

/// From 1 January 2026, nothing grows.
pub fn question(years: u32) -> Question {
    Question {
        as_of: Day::parse_iso("2026-01-01").unwrap(),
        years,
        use_growth_pct: 0.0,
        price_growth_pct: 0.0,
        opening_balance: None,
        seed: 1,
        fleets: None,
    }
}
