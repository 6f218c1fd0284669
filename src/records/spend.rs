//! What was paid: invoices and credit notes, with the cost of visits where no invoice repeats it.

use std::collections::{BTreeMap, HashMap};

use super::choice::Work;
use super::gate::Gate;
use super::ledger::Caution;
use super::load::Loaded;
use super::propellers::Propellers;
use super::rule::{Doubt, Rule, offered};
use super::schema::{SPEND_KINDS, Table};
use super::visits::{PropellerOfCode, Visit, Visits};
use super::words::NO_WORD;
use crate::trade::calendar::Day;

/// An invoice this many days from a visit, either way, may be the visit's.
const DAYS_OF_ONE_VISIT: i32 = 30;

/// One payment.
#[derive(Debug, Clone, PartialEq)]
pub struct Payment {
    /// Index of the propeller; `None` when it is for the whole fleet.
    pub propeller: Option<u32>,
    /// Its day.
    pub day: Day,
    /// What it was for, a word of [`SPEND_KINDS`].
    pub kind: &'static str,
    /// Sum without tax; below zero for a credit note.
    pub net: f64,
    /// Tax.
    pub tax: Option<f64>,
    /// What insurance or warranty paid of it.
    pub recovered: Option<f64>,
    /// Who wrote it.
    pub shop: Option<Box<str>>,
    /// Its number.
    pub reference: Option<Box<str>>,
    /// Where it stands.
    pub row: (Table, u32),
}

impl Payment {
    /// What it cost the fleet: net less what was recovered.
    pub fn spent(&self) -> f64 {
        self.net - self.recovered.unwrap_or(0.0)
    }
}

/// Every payment up to the as-of date.
#[derive(Debug, Clone, Default)]
pub struct Spend {
    /// By day, then as they stand in their tables.
    list: Vec<Payment>,
}

impl Spend {
    /// Every payment, in order of day.
    pub fn list(&self) -> &[Payment] {
        &self.list
    }

    /// Reads `spend` through its gate, and adds the costs of visits that no invoice repeats.
    pub(super) fn read(
        mut gate: Option<&mut Gate<'_>>,
        loaded: &Loaded,
        propellers: &Propellers,
        visits: &Visits,
        currency: Option<&str>,
    ) -> Spend {
        let mut list = match gate.as_deref_mut() {
            Some(gate) => invoices(gate, propellers, currency),
            None => Vec::new(),
        };
        let of_visits = costs_of_visits(loaded, visits);
        let mut own: HashMap<u32, Vec<usize>> = HashMap::new();
        for (at, payment) in list.iter().enumerate() {
            if let Some(propeller) = payment.propeller {
                own.entry(propeller).or_default().push(at);
            }
        }
        let mut alone = Vec::new();
        for cost in of_visits {
            let invoices = cost.propeller.and_then(|propeller| own.get(&propeller));
            let repeated = invoices.into_iter().flatten().find(|&&at| is_of_one_visit(&list[at], &cost));
            match (repeated, gate.as_deref_mut()) {
                (Some(&at), Some(gate)) => say_both(gate, loaded, &list[at], &cost),
                _ => alone.push(cost),
            }
        }
        list.extend(alone);
        list.sort_by_key(|payment| (payment.day, payment.row));
        Spend { list }
    }
}

fn is_of_one_visit(invoice: &Payment, cost: &Payment) -> bool {
    let agree = invoice.reference.as_ref().zip(cost.reference.as_ref()).is_none_or(|(a, b)| a == b);
    let near = (invoice.day.number() - cost.day.number()).abs() <= DAYS_OF_ONE_VISIT;
    invoice.kind == cost.kind && invoice.net >= 0.0 && near && agree
}

fn say_both(gate: &mut Gate<'_>, loaded: &Loaded, invoice: &Payment, cost: &Payment) {
    let place = loaded.place_of(cost.row.0, Some(cost.row.1), "cost");
    let place = place.map_or_else(String::new, |place| format!(" ({place})"));
    let text = format!(
        "the cost of the visit of {} is in `overhauls`{place} with {} and here with {}; what is here counts",
        cost.day, cost.net, invoice.net
    );
    let remedy = Doubt::CostInBoth.remedy(gate.table.settings_stand_in());
    gate.say(Caution {
        row: Some(invoice.row.1),
        column: gate.table.head("net").into(),
        value: invoice.net.to_string().into(),
        propeller: invoice.propeller,
        visit: Some(cost.day),
        said: Some((text.into(), remedy.into_owned().into())),
        ..Caution::of_table(Table::Spend, Doubt::CostInBoth)
    });
}

fn costs_of_visits(loaded: &Loaded, visits: &Visits) -> Vec<Payment> {
    let references = loaded.table(Table::Overhauls).and_then(|table| table.text("reference"));
    let reference = |row: u32| {
        let (codes, words) = references?;
        Some(codes[row as usize]).filter(|&code| code != NO_WORD).map(|code| Box::from(words.get(code)))
    };
    let of_visit = |visit: &Visit| {
        let row = visit.row?;
        Some(Payment {
            propeller: Some(visit.propeller),
            day: visit.day,
            kind: kind_of(visit.work),
            net: visit.cost?,
            tax: None,
            recovered: None,
            shop: visit.shop.map(|code| visits.shops.get(code).into()),
            reference: reference(row),
            row: (Table::Overhauls, row),
        })
    };
    visits.list().iter().filter_map(of_visit).collect()
}

fn kind_of(work: Option<Work>) -> &'static str {
    match work {
        Some(Work::Overhaul | Work::Repitch | Work::Shorten) => "overhaul",
        Some(Work::Repair) => "repair",
        Some(Work::DimensionalInspection | Work::StrikeInspection) => "inspection",
        None => "other",
    }
}

fn invoices(gate: &mut Gate<'_>, propellers: &Propellers, currency: Option<&str>) -> Vec<Payment> {
    let table = gate.table;
    let (Some(days), Some(nets), Some(kinds)) = (table.days("date"), table.numbers("net"), table.choices("kind"))
    else {
        return Vec::new();
    };
    let index = table.text("propeller").map(|(codes, words)| (codes, PropellerOfCode::new(words, propellers)));
    let text = |name: &str, row: usize| -> Option<Box<str>> {
        let (codes, words) = table.text(name)?;
        Some(codes[row]).filter(|&code| code != NO_WORD).map(|code| Box::from(words.get(code)))
    };
    let number = |name: &str, row: usize| table.numbers(name).map(|c| c[row]).filter(|v| !v.is_nan());
    let used: Vec<usize> = gate.used_rows().collect();
    let fleets =
        currency.map(str::to_string).or_else(|| most_written(used.iter().filter_map(|&row| text("currency", row))));
    let mut list: Vec<Payment> = Vec::with_capacity(used.len());
    for row in used {
        let other = text("currency", row).zip(fleets.as_deref()).filter(|(its, fleets)| &**its != *fleets);
        if let Some((_, fleets)) = other {
            gate.set_aside(row as u32, "currency", Rule::OtherCurrency { fleet: fleets.into() });
            continue;
        }
        let serial = text("propeller", row);
        let propeller = index.as_ref().and_then(|(codes, index)| index.of(codes[row]));
        if let (Some(serial), None) = (&serial, propeller) {
            let rule = match propellers.is_later(serial) {
                true => Rule::PropellerNotYetListed,
                false => Rule::UnknownPropeller { nearest: offered(&propellers.nearest(serial)) },
            };
            gate.set_aside(row as u32, "propeller", rule);
            continue;
        }
        let reference = text("reference", row);
        if nets[row] < 0.0 && reference.is_none() {
            gate.set_aside(row as u32, "net", Rule::CreditWithoutReference);
            continue;
        }
        let Some(&kind) = SPEND_KINDS.get(usize::from(kinds[row])) else { continue };
        list.push(Payment {
            propeller,
            day: Day::from_number(days[row]),
            kind,
            net: nets[row],
            tax: number("tax", row),
            recovered: number("recovered", row),
            shop: text("shop", row),
            reference,
            row: (Table::Spend, row as u32),
        });
    }
    once_each(gate, list)
}

/// The currency that most rows name; of several the first in the alphabet.
fn most_written(named: impl Iterator<Item = Box<str>>) -> Option<String> {
    let mut counts: BTreeMap<Box<str>, usize> = BTreeMap::new();
    for name in named {
        *counts.entry(name).or_default() += 1;
    }
    let most = counts.values().copied().max()?;
    counts.into_iter().find(|(_, count)| *count == most).map(|(name, _)| name.into())
}

/// Equal rows, and invoices of one number, sum, kind, propeller and shop, once; the first by day and row stays.
fn once_each(gate: &mut Gate<'_>, mut list: Vec<Payment>) -> Vec<Payment> {
    list.sort_by_key(|payment| (payment.day, payment.row));
    let mut kept: Vec<Payment> = Vec::with_capacity(list.len());
    let mut seen: HashMap<(Option<u32>, &'static str, u64), Vec<usize>> = HashMap::new();
    for payment in list {
        let alike = seen.entry((payment.propeller, payment.kind, payment.net.to_bits())).or_default();
        let is_copy = |at: &usize| Payment { row: payment.row, ..kept[*at].clone() } == payment;
        let is_again = |at: &usize| {
            let first = &kept[*at];
            payment.reference.is_some() && first.reference == payment.reference && first.shop == payment.shop
        };
        let doubt = match () {
            () if alike.iter().any(is_copy) => Doubt::IdenticalRows,
            () if alike.iter().any(is_again) => Doubt::PaidTwice,
            () => {
                alike.push(kept.len());
                kept.push(payment);
                continue;
            }
        };
        gate.caution(payment.row.1, "net", doubt, payment.propeller, Some(payment.day));
    }
    kept
}
