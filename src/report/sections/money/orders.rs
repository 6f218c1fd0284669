//! What to order, and by when: propellers that the next overhaul will probably reject, and spares of each model.

use std::collections::HashMap;

use super::Sums;
use crate::analysis::plan::prices::LeadBasis;
use crate::analysis::plan::purchases::Purchase;
use crate::analysis::standing::List;
use crate::report::scene::{Scene, Who};
use crate::report::words::{chance, count};
use crate::results::planning::Planning;
use crate::trade::calendar::Day;

/// What to order.
pub(super) struct Orders {
    pub(super) rows: Vec<Order>,
    pub(super) left_out: usize,
    pub(super) from_chance: String,
    pub(super) lead_time_missing: bool,
    pub(super) spares: Vec<Spares>,
    pub(super) spares_words: String,
}

/// A propeller to replace.
pub(super) struct Order {
    pub(super) who: Who,
    pub(super) chance: f64,
    pub(super) rejected: String,
    pub(super) due: Option<Day>,
    pub(super) order_by: Option<Day>,
    pub(super) now: bool,
    pub(super) below_minimum: bool,
    /// What the shelf has to do with it.
    pub(super) shelf: Option<String>,
    pub(super) cost: Option<String>,
    pub(super) advice: Option<String>,
}

/// Spares of one model.
pub(super) struct Spares {
    pub(super) model: String,
    pub(super) middle: u32,
    pub(super) enough: u32,
    pub(super) within: Option<u32>,
    pub(super) on_shelf: u32,
    pub(super) order_now: u32,
}

impl Orders {
    pub(super) fn of(scene: &Scene<'_, '_, '_>, planning: &Planning, sums: &Sums) -> Orders {
        let answers = scene.answers;
        let as_of = answers.fleet.as_of;
        let purchases = answers.purchases(scene.shown);
        let below = |propeller: u32| {
            let remaining = answers.remaining();
            let at = remaining.binary_search_by_key(&propeller, |r| r.propeller);
            at.is_ok_and(|at| remaining[at].below_minimum)
        };
        let shown: HashMap<u32, Who> =
            scene.urgent.iter().map(|ranked| (ranked.propeller, scene.who(ranked))).collect();
        let rows: Vec<Order> = purchases
            .iter()
            .filter_map(|p| {
                let who = shown.get(&p.propeller)?.clone();
                let shelf = shelf(&who, planning);
                Some(Order { shelf, ..Order::of(p, who, below(p.propeller), as_of, sums) })
            })
            .collect();
        let seats = &planning.planned.seats;
        let spares: Vec<Spares> = planning
            .plan
            .spares
            .iter()
            .map(|row| Spares {
                model: seats.shelves[row.model].model.clone(),
                middle: row.needed_p50,
                enough: row.needed_p90,
                within: row.within_days,
                on_shelf: row.on_shelf,
                order_now: row.order_now,
            })
            .collect();
        Orders {
            left_out: purchases.len() - rows.len(),
            rows,
            from_chance: chance(answers.settings.ranking.reject_chance),
            lead_time_missing: purchases.iter().any(|p| p.lead.basis != LeadBasis::Recorded),
            spares_words: spares_words(&spares),
            spares,
        }
    }
}

fn spares_words(spares: &[Spares]) -> String {
    let orders: Vec<String> =
        spares.iter().filter(|s| s.order_now > 0).map(|s| format!("{} of {}", s.order_now, s.model)).collect();
    if spares.is_empty() {
        "No propeller flies, so no spares are needed.".to_string()
    } else if orders.is_empty() {
        "None to order now: what is on the shelf covers, in nine of ten cases, the replacements needed until an order would come.".to_string()
    } else {
        format!(
            "Order now: {}. With those on the shelf they cover, in nine of ten cases, the replacements needed until the order comes.",
            orders.join(", ")
        )
    }
}

/// What the shelf has to do with a propeller's replacement.
fn shelf(who: &Who, planning: &Planning) -> Option<String> {
    if who.list == List::Spare {
        return Some("a spare: only if the shelf must hold one".to_string());
    }
    let shelves = &planning.planned.seats.shelves;
    let of_model = shelves.iter().find(|s| Some(&s.model) == who.model.as_ref())?;
    let spares = of_model.spares as usize;
    (spares > 0).then(|| format!("{} of its model on the shelf", count(spares, "spare")))
}

impl Order {
    fn of(purchase: &Purchase, who: Who, below: bool, as_of: Day, sums: &Sums) -> Order {
        Order {
            who,
            chance: purchase.reject_chance,
            rejected: chance(purchase.reject_chance),
            due: purchase.due,
            order_by: purchase.order_by,
            now: below || purchase.order_by.is_none_or(|day| day <= as_of),
            below_minimum: below,
            shelf: None,
            cost: purchase.cost.map(|cost| sums.whole(cost)),
            advice: purchase.expected_saving.map(|saving| {
                let from = purchase.buy_from_chance.map_or_else(String::new, |from| {
                    format!(" Cash favours buying from a chance of rejection of {} on.", chance(from))
                });
                advice(saving, 1.0 - purchase.reject_chance, sums) + &from
            }),
        }
    }
}

/// What the expected saving means.
fn advice(saving: f64, pass_chance: f64, sums: &Sums) -> String {
    if saving.abs() < 0.5 {
        "Replacing it unseen and sending it in cost the same on average.".to_string()
    } else if saving > 0.0 {
        format!(
            "Replace it instead of sending it in: saves about {} on average, the shop's charge for a rejection.",
            sums.whole(saving)
        )
    } else {
        format!(
            "Send it in: replacing it unseen costs about {} more on average, because it would pass with a chance of {}.",
            sums.whole(-saving),
            chance(pass_chance)
        )
    }
}
