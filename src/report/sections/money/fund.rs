//! What must be set aside, what the fund needs today, and what is overdue already.

use super::Sums;
use crate::analysis::plan::Plan;
use crate::analysis::plan::from_records::Planned;
use crate::report::words::count;
use crate::settings::Settings;

/// A sentence each.
pub(super) fn words(
    plan: &Plan,
    planned: &Planned,
    settings: &Settings,
    sums: &Sums,
) -> Vec<String> {
    let reserve = &plan.reserve;
    let mut words = Vec::new();
    if planned.seats.list.is_empty() {
        return words;
    }
    let years = format!("{:.0} years", reserve.horizon_years);
    match (reserve.long_run_per_hour, reserve.needed_today) {
        (Some(rate), Some(needed)) => words.push(format!(
            "Set aside {} for every flight hour, with {} in the fund today: in nine of ten cases that pays for everything over the next {years}.",
            sums.rate(rate),
            sums.whole(needed)
        )),
        _ => words.push(
            "There is no reserve for a flight hour, because too little flying is on record to pay for what comes: readings of hours would bring it."
                .to_string(),
        ),
    }
    if let Some(balance) = reserve.opening_balance {
        words.push(match reserve.constant_per_hour {
            Some(rate) => format!(
                "With the {} that are in the fund today it takes {} for every flight hour, so that in nine of ten cases the fund never runs dry.",
                sums.whole(balance),
                sums.rate(rate)
            ),
            None => format!(
                "With the {} that are in the fund today no rate is enough: more than that falls due before any hour is flown.",
                sums.whole(balance)
            ),
        });
    } else {
        words.push("What is in the fund today was not given; with it (--opening-balance, or opening_balance in the settings) the rate that never runs dry can be told.".to_string());
    }
    if let Some(catch_up) = reserve.catch_up_sum.filter(|_| plan.overdue > 0) {
        let spread = match settings.budget.overhauls_per_month {
            Some(most) => format!(
                "spread over months of {} at most",
                count(most as usize, "overhaul")
            ),
            None => "counted in the first month".to_string(),
        };
        words.push(format!(
            "Overdue work alone ({}) is expected to cost {}; it is {spread} and contained in every sum here.",
            count(plan.overdue, "propeller"),
            sums.whole(catch_up)
        ));
    }
    words
}
