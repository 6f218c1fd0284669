//! Money: what the next years cost, what to order, what an hour must set aside, and how many propellers are away at once.
//!
//! | file | question |
//! | --- | --- |
//! | [`years`] | what does each year cost, and which models? |
//! | [`past`] | what was forecast of the years past, and what was spent? |
//! | [`fund`] | what must be set aside, and what is overdue? |
//! | [`orders`] | what to order, and by when? |
//! | [`away`] | how many propellers are away at once? |

mod away;
mod fund;
mod orders;
mod past;
mod years;

use askama::Template;

use crate::report::chart::Svg;
use crate::report::chart::marks::Key;
use crate::report::scene::Scene;
use crate::report::words::thousands;
use away::Away;
use orders::Orders;
use years::Years;

/// The section.
#[derive(Template)]
#[template(path = "money.html", config = "src/report/askama.toml")]
pub struct Money {
    priced: bool,
    lead: Vec<String>,
    years: Years,
    past: Vec<past::PastYear>,
    fund: Vec<fund::Item>,
    orders: Orders,
    away: Away,
    notes: Vec<String>,
    planned: usize,
    band: Svg,
    middle: Svg,
    dot: Svg,
}

impl Money {
    /// From the results.
    pub fn of(scene: &Scene<'_, '_, '_>) -> Money {
        let answers = scene.answers;
        let planning = answers.planning(scene.shown);
        let (plan, planned) = (&planning.plan, &planning.planned);
        let sums = Sums { currency: answers.settings.fleet.currency.clone() };
        let priced = planned.seats.priced;
        let years = Years::of(&planning, answers.fleet.as_of, answers.settings, &sums);
        Money {
            priced,
            lead: years.lead(&sums),
            fund: if priced { fund::items(plan, planned, answers.settings, &sums) } else { Vec::new() },
            orders: Orders::of(scene, &planning, &sums),
            away: Away::of(plan, answers.fleet.as_of),
            notes: planning.notes().iter().map(|note| sentence(note)).collect(),
            past: past::PastYear::all(scene, &sums),
            planned: planned.seats.list.len(),
            years,
            band: Key::Band.draw(),
            middle: Key::Middle.draw(),
            dot: Key::Dot.draw(),
        }
    }
}

/// How sums are written: in the fleet's currency, when it is stated.
pub(super) struct Sums {
    currency: Option<String>,
}

impl Sums {
    /// A sum in whole units.
    fn whole(&self, sum: f64) -> String {
        self.with_currency(thousands(sum))
    }

    /// A rate with two decimals.
    fn rate(&self, rate: f64) -> String {
        self.with_currency(format!("{rate:.2}"))
    }

    fn with_currency(&self, number: String) -> String {
        match &self.currency {
            Some(currency) => format!("{number}\u{a0}{currency}"),
            None => number,
        }
    }
}

/// A note as a sentence.
fn sentence(note: &str) -> String {
    let mut letters = note.chars();
    letters.next().map_or_else(String::new, |first| format!("{}{}.", first.to_uppercase(), letters.as_str()))
}
