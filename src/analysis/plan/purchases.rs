//! What to order, by when, and whether buying now beats paying for the rejection.
//!
//! A propeller likely to be rejected can be replaced without sending it in: that saves what the shop charges for a rejection if it
//! would have been rejected, and costs a new propeller in place of an overhaul if it would have passed. In cash only: the life
//! thrown away with one that would have passed is not valued. Saving = p x rejection - (1 - p) x (replacement - overhaul).

use super::seat::Costs;
use crate::analysis::remaining::Remaining;
use crate::trade::calendar::Day;

use super::from_records::Sources;
use super::prices::{LeadTime, PlanPrices};

/// One propeller that the next overhaul will probably reject.
#[derive(Debug, Clone, PartialEq)]
pub struct Purchase {
    /// Index of the propeller.
    pub propeller: u32,
    /// Chance that the next overhaul rejects it, other causes included where they are counted.
    pub reject_chance: f64,
    /// When that is due.
    pub due: Option<Day>,
    /// Last day to order; the as-of date for one that is below a minimum or has an open crack.
    pub order_by: Option<Day>,
    /// Days until a new one comes, and what they rest on.
    pub lead: LeadTime,
    /// Price of a new one today; `None` without prices.
    pub cost: Option<f64>,
    /// Expected saving of buying now; `None` without prices.
    pub expected_saving: Option<f64>,
    /// From which chance of rejection on cash favours buying now; `None` without prices.
    pub buy_from_chance: Option<f64>,
}

impl Purchase {
    /// When to order: `now` where the day has come or is not known, else `by DAY`.
    pub fn order_in_words(&self, today: Day) -> String {
        match self.order_by.filter(|&day| day > today) {
            Some(day) => format!("by {day}"),
            None => "now".to_string(),
        }
    }
}

/// From which chance of rejection on cash favours buying now: where the expected saving is nothing. 0 where a new one costs no
/// more than an overhaul, 1 where a rejection costs nothing.
pub fn buy_from_chance(costs: &Costs) -> f64 {
    let dearer = (costs.replacement - costs.overhaul).max(0.0);
    if dearer > 0.0 { dearer / (costs.rejection + dearer) } else { 0.0 }
}

/// Expected saving of buying now, in cash, at a chance of rejection.
pub fn expected_saving(reject_chance: f64, costs: &Costs) -> f64 {
    reject_chance * costs.rejection - (1.0 - reject_chance) * (costs.replacement - costs.overhaul)
}

/// Chance that the next overhaul rejects a propeller: for any cause, or by dimensions where other causes are not counted.
pub fn reject_chance(remaining: &Remaining) -> Option<f64> {
    remaining.reject_chance_next_any().or_else(|| remaining.reject_chance_next())
}

/// The last day to order a replacement that comes by the 10 % point of the due date, else by the due date.
pub fn order_by(due_p10: Option<Day>, due: Option<Day>, lead: LeadTime) -> Option<Day> {
    let days = lead.days.clamp(0.0, 36_525.0).ceil();
    Some(due_p10.or(due)? + -(days as i32))
}

/// The propellers in service that are rejected with at least this chance, by the day to order.
pub fn rows(
    sources: &Sources<'_, '_>,
    prices: &PlanPrices,
    from_chance: f64,
    shows: impl Fn(u32) -> bool,
) -> Vec<Purchase> {
    let (fleet, due) = (sources.fleet, sources.due);
    let mut rows: Vec<Purchase> = sources
        .remaining
        .iter()
        .filter(|r| shows(r.propeller) && !fleet.is_ended(r.propeller))
        .filter_map(|r| {
            let condemned = sources.is_condemned(r);
            let chance = match condemned {
                true => Some(1.0),
                false => reject_chance(r).filter(|&chance| chance >= from_chance),
            }?;
            let due = due.of(r.propeller)?;
            let price = prices.of(due.model);
            let lead = prices.lead(due.model);
            Some(Purchase {
                propeller: r.propeller,
                reject_chance: chance,
                due: due.due,
                // Nothing is gained by waiting for the due date of one that is rejected whenever it is looked at.
                order_by: match condemned {
                    true => Some(fleet.as_of),
                    false => order_by(due.due_p10, due.due, lead),
                },
                lead,
                cost: price.costs.map(|c| c.replacement),
                expected_saving: price.costs.map(|c| expected_saving(chance, &c)),
                buy_from_chance: price.costs.map(|c| buy_from_chance(&c)),
            })
        })
        .collect();
    // A day that is not known may be tomorrow.
    rows.sort_by_key(|row| (row.order_by, row.propeller));
    rows
}

#[cfg(test)]
mod tests {
    use super::super::prices::LeadBasis;
    use super::*;

    /// 0.8 x 300 - 0.2 x (5,000 - 1,000) = -560: the shop's charge alone does not pay for a blade thrown away; at 0.95 it is
    /// 285 - 200 = 85.
    #[test]
    fn saving_by_hand() {
        let costs = Costs { overhaul: 1_000.0, replacement: 5_000.0, rejection: 300.0, removal: 200.0 };
        assert!((expected_saving(0.8, &costs) + 560.0).abs() < 1e-9);
        assert!((expected_saving(0.95, &costs) - 85.0).abs() < 1e-9);
        assert_eq!(expected_saving(1.0, &costs), 300.0);
        // p x 300 = (1 - p) x 4,000: from 4,000/4,300 on.
        assert!((buy_from_chance(&costs) - 4_000.0 / 4_300.0).abs() < 1e-12);
        assert!(expected_saving(buy_from_chance(&costs), &costs).abs() < 1e-9);
        assert_eq!(buy_from_chance(&Costs { replacement: 900.0, ..costs }), 0.0);
        assert_eq!(buy_from_chance(&Costs { rejection: 0.0, ..costs }), 1.0);
    }

    #[test]
    fn order_by_hand() {
        let day = |text| Day::parse_iso(text);
        let takes = |days| LeadTime { days, basis: LeadBasis::Recorded };
        let (p10, due) = (day("2026-03-01"), day("2026-04-01"));
        assert_eq!(order_by(p10, due, takes(28.0)), day("2026-02-01"));
        assert_eq!(order_by(None, due, takes(30.5)), day("2026-03-01"));
        assert_eq!(order_by(p10, due, takes(0.0)), p10);
        assert_eq!(order_by(None, None, takes(1.0)), None);
    }
}
