//! Prices and lead times, by model.

use super::cells::NO_DAY;
use super::gate::Gate;
use super::models::{Models, set_conflict_aside};
use super::rule::Doubt;
use super::same_key::SameKey;
use crate::trade::calendar::Day;

/// What a model's overhaul and replacement cost, in the fleet's one currency.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Price {
    /// Number of the model.
    pub model: u32,
    /// An overhaul.
    pub overhaul_cost: f64,
    /// A new propeller.
    pub replacement_cost: f64,
    /// What a shop charges when it rejects.
    pub rejection_cost: Option<f64>,
    /// Off, on, balance and freight.
    pub removal_cost: Option<f64>,
    /// Days away for an overhaul.
    pub overhaul_days: Option<f64>,
    /// Days until a new one comes.
    pub replacement_days: Option<f64>,
    /// What a used one that still passes brings.
    pub resale: Option<f64>,
    /// Day of these prices; it may lie ahead.
    pub price_date: Option<Day>,
    /// Row of the table, from 0.
    pub row: u32,
}

/// Every model's prices.
#[derive(Debug, Clone, Default)]
pub struct Prices {
    list: Vec<Price>,
}

impl Prices {
    /// The prices of a model.
    pub fn of(&self, model: u32) -> Option<&Price> {
        self.list.iter().find(|p| p.model == model)
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// Reads `prices` through its gate.
    pub(super) fn read(gate: Option<&mut Gate<'_>>, models: &Models) -> Prices {
        let Some(gate) = gate else {
            return Prices::default();
        };
        let table = gate.table;
        let (Some((codes, words)), Some(overhaul), Some(replacement)) =
            (table.text("model"), table.numbers("overhaul_cost"), table.numbers("replacement_cost"))
        else {
            return Prices::default();
        };
        let number = |name: &str, row: usize| table.numbers(name).map(|c| c[row]).filter(|v| !v.is_nan());
        let mut list: Vec<Price> = Vec::new();
        let used: Vec<usize> = gate.used_rows().collect();
        for row in used {
            let Some(model) = models.find(words.get(codes[row])) else {
                gate.caution(row as u32, "model", Doubt::UndefinedModel, None, None);
                continue;
            };
            list.push(Price {
                model,
                overhaul_cost: overhaul[row],
                replacement_cost: replacement[row],
                rejection_cost: number("rejection_cost", row),
                removal_cost: number("removal_cost", row),
                overhaul_days: number("overhaul_days", row),
                replacement_days: number("replacement_days", row),
                resale: number("resale", row),
                price_date: table.days("price_date").map(|c| c[row]).filter(|&d| d != NO_DAY).map(Day::from_number),
                row: row as u32,
            });
        }
        list.sort_by_key(|p| (p.model, p.row));
        let more = |a: Option<f64>, b: Option<f64>| match (a, b) {
            (Some(a), Some(b)) => Some(a.max(b)),
            (a, b) => a.or(b),
        };
        let mut rows = SameKey::new();
        list.dedup_by(|other, first| {
            let same_key = other.model == first.model;
            if same_key {
                let said = |of: &Price| Price { row: 0, ..*of };
                if rows.is_copy(other.model, said(first), said(other)) {
                    gate.caution(other.row, "model", Doubt::IdenticalRows, None, None);
                } else {
                    first.overhaul_cost = first.overhaul_cost.max(other.overhaul_cost);
                    first.replacement_cost = first.replacement_cost.max(other.replacement_cost);
                    first.rejection_cost = more(first.rejection_cost, other.rejection_cost);
                    first.removal_cost = more(first.removal_cost, other.removal_cost);
                    first.overhaul_days = more(first.overhaul_days, other.overhaul_days);
                    first.replacement_days = more(first.replacement_days, other.replacement_days);
                    // What is brought in is the less the less favourable.
                    first.resale = first.resale.zip(other.resale).map(|(a, b)| a.min(b));
                    // Older prices have grown for longer.
                    first.price_date = match (first.price_date, other.price_date) {
                        (Some(a), Some(b)) => Some(a.min(b)),
                        (a, b) => a.or(b),
                    };
                    set_conflict_aside(gate, other.row, "model", first.row);
                }
            }
            same_key
        });
        Prices { list }
    }
}
