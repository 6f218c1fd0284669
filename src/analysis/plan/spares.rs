//! How many spares to order: the smallest number that covers the replacements needed within the lead time with 90 % chance.

use super::ordered::ordered;
use super::reserve::ENOUGH_IN;
use super::simulation::Drawn;

/// Spares of one model.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SpareRow {
    /// Number of the model among those of the plan.
    pub model: usize,
    /// Replacements needed within the lead time, middle.
    pub needed_p50: u32,
    /// The number that covers them with 90 % chance.
    pub needed_p90: u32,
    /// The lead time; `None` when it is not known: then only what falls in the first month counts.
    pub within_days: Option<u32>,
    /// Spares on the shelf that may be installed.
    pub on_shelf: u32,
    /// How many to order now.
    pub order_now: u32,
}

/// What is known of a model beside its seats.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Shelf {
    /// Its name.
    pub model: String,
    /// Spares that are not past a limit and not below a minimum.
    pub spares: u32,
    /// Lead time in days.
    pub replacement_days: Option<f64>,
    /// Seats that fly, or will again.
    pub seats: u32,
}

/// A row for each model that has seats.
pub fn rows(drawn: &[Drawn], shelves: &[Shelf]) -> Vec<SpareRow> {
    shelves
        .iter()
        .enumerate()
        .filter(|(_, shelf)| shelf.seats > 0)
        .filter_map(|(model, shelf)| {
            let mut needed: Vec<f64> = drawn.iter().map(|d| d.within_lead[model]).collect();
            let needed_p50 = ordered(&mut needed, 0.5)? as u32;
            let needed_p90 = ordered(&mut needed, ENOUGH_IN)? as u32;
            Some(SpareRow {
                model,
                needed_p50,
                needed_p90,
                within_days: shelf.replacement_days.map(|days| days.ceil() as u32),
                on_shelf: shelf.spares,
                order_now: needed_p90.saturating_sub(shelf.spares),
            })
        })
        .collect()
}
