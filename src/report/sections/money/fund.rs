//! What must be set aside, what the fund needs today, and what is overdue already.

use super::Sums;
use crate::analysis::plan::Plan;
use crate::analysis::plan::from_records::Planned;
use crate::report::words::count;
use crate::settings::Settings;

/// One thing to know about the fund.
pub(super) struct Item {
    pub(super) what: &'static str,
    pub(super) sum: Option<String>,
    pub(super) words: String,
}

/// What there is to know, the rate first; nothing without a propeller in the plan.
pub(super) fn items(plan: &Plan, planned: &Planned, settings: &Settings, sums: &Sums) -> Vec<Item> {
    let mut items = Vec::new();
    if planned.seats.list.is_empty() && planned.ended_on_aircraft == 0 {
        return items;
    }
    reserve(plan, sums, &mut items);
    let catch_up = plan.reserve.catch_up_sum;
    if let Some(catch_up) = catch_up.filter(|_| plan.overdue > 0) {
        let spread = match settings.budget.overhauls_per_month {
            Some(most) => format!("spread over months of {} at most", count(most as usize, "overhaul")),
            None => "counted in the first month".to_string(),
        };
        items.push(Item {
            what: "Overdue work alone",
            sum: Some(sums.whole(catch_up)),
            words: format!(
                "expected for {} overdue, without an overhaul on record, below a minimum or cracked; {spread}, and contained in every sum here.",
                count(plan.overdue, "propeller")
            ),
        });
    }
    if let Some(cost) = planned.ended_cost.filter(|_| planned.ended_on_aircraft > 0) {
        items.push(Item {
            what: "Replacements, up to",
            sum: Some(sums.whole(cost)),
            words: format!(
                "for {} rejected, scrapped or sold and still shown on an aircraft, if it flies with it; in no other sum here.",
                count(planned.ended_on_aircraft, "propeller")
            ),
        });
    }
    items
}

fn reserve(plan: &Plan, sums: &Sums, items: &mut Vec<Item>) {
    let reserve = &plan.reserve;
    let years = count(reserve.horizon_years.round() as usize, "year");
    match (reserve.long_run_per_hour, reserve.needed_today) {
        (Some(rate), Some(needed)) => {
            items.push(Item {
                what: "An hour of flying needs",
                sum: Some(sums.rate(rate)),
                words: format!(
                    "pays in nine of ten cases for all that falls due in {years}, if the fund starts with the next sum."
                ),
            });
            items.push(Item {
                what: "A fund that starts today needs",
                sum: Some(sums.whole(needed)),
                words:
                    "in it (needed, not a balance): at this rate it does not run dry on the way, in nine of ten cases."
                        .to_string(),
            });
        }
        _ => items.push(Item {
            what: "An hour of flying needs",
            sum: None,
            words: "Not known: too little flying is on record to pay for what comes. Readings of hours would bring it."
                .to_string(),
        }),
    }
    items.push(match (reserve.opening_balance, reserve.constant_per_hour) {
        (Some(balance), Some(rate)) => Item {
            what: "From what is in the fund today",
            sum: Some(sums.rate(rate)),
            words: format!(
                "for every flight hour, starting with {}: in nine of ten cases the fund never runs dry.",
                sums.whole(balance)
            ),
        },
        (Some(balance), None) => Item {
            what: "From what is in the fund today",
            sum: None,
            words: format!(
                "With {} no rate is enough: more than that falls due before enough is flown.",
                sums.whole(balance)
            ),
        },
        (None, _) => Item {
            what: "From what is in the fund today",
            sum: None,
            words: "Not given. With it (the option --opening-balance, or opening_balance in the settings) the rate that never runs dry from there can be told.".to_string(),
        },
    });
}
