//! What a plan assumes and leaves out, in words.

use super::budget::ExpectedBy;
use super::from_records::Planned;
use super::seat::{First, Seat};
use super::simulation::FLEETS;
use super::{MOST_EXPECTED, Plan};
use crate::records::written::count;
use crate::trade::calendar::Day;

fn propellers(count: usize) -> String {
    match count {
        1 => "1 propeller".to_string(),
        many => format!("{many} propellers"),
    }
}

/// A sentence each, what matters most first.
pub fn notes(plan: &Plan, planned: &Planned) -> Vec<String> {
    let mut notes = Vec::new();
    if !planned.seats.priced {
        notes.push("no prices on record: overhauls and replacements are counted, no sums".into());
    }
    if Day::from_ymd(planned.starts.year(), 1, 1) != Some(planned.starts) {
        let starts = planned.starts;
        notes.push(match plan.years() {
            0 | 1 => format!("the plan starts on {starts}: {} is the rest of that year", starts.year()),
            years => format!(
                "the plan starts on {starts}: the rest of {}, and {} after it",
                starts.year(),
                count(years - 1, "calendar year")
            ),
        });
    }
    if plan.overdue > 0 {
        notes.push(format!(
            "{} overdue, without an overhaul on record, below a minimum or cracked: done first and contained in every sum; their cost is also shown apart as the catch-up sum",
            propellers(plan.overdue)
        ));
    }
    let shelved = |seat: &&Seat| seat.spare && matches!(seat.first, First::Overdue { .. });
    let shelved = planned.seats.list.iter().filter(shelved).count();
    if shelved > 0 {
        notes.push(format!(
            "{shelved} of them on the shelf: overhauled with the others here, although that can wait until one is to be installed"
        ));
    }
    if planned.not_watched > 0 {
        notes.push(format!(
            "{} whose limits are not watched by choice: planned as if the limits were recommended",
            propellers(planned.not_watched)
        ));
    }
    if planned.not_back > 0 && !plan.out_at_once.is_empty() {
        notes.push(format!(
            "{} at a shop today without a return date ahead on record: counted as away in every month",
            propellers(planned.not_back)
        ));
    }
    if plan.not_dated > 0 {
        notes.push(format!(
            "{} without a dated limit: only unscheduled overhauls are planned for them",
            propellers(plan.not_dated)
        ));
    }
    if planned.ended > 0 {
        let shown = match planned.ended_on_aircraft {
            0 => String::new(),
            many => format!("; {many} of them still shown on an aircraft, to be replaced now if it flies with it"),
        };
        notes.push(format!(
            "{} rejected, scrapped or sold but still listed: not in the plan{shown}",
            propellers(planned.ended)
        ));
    }
    if planned.stand_in_chances > 0 {
        notes.push(format!(
            "{} of which no margin is known: the mean chance of their model or of the fleet stands in",
            propellers(planned.stand_in_chances)
        ));
    }
    if planned.upper_bounds > 0 {
        notes.push(format!(
            "{} whose chances of passing are upper bounds, since something of them is not measured: replacements may be too few",
            propellers(planned.upper_bounds)
        ));
    }
    if planned.seats.priced && planned.no_lead_time > 0 {
        notes.push(format!(
            "{} without a lead time on record: order-by dates and spares count the fleet's longest, else 180 days",
            match planned.no_lead_time {
                1 => "1 model".to_string(),
                many => format!("{many} models"),
            }
        ));
    }
    if planned.no_chances > 0 {
        notes.push(format!(
            "{} whose chance of passing nothing tells: counted as rejected for other causes only, so replacements are too few",
            propellers(planned.no_chances)
        ));
    }
    if !planned.unpriced_models.is_empty() {
        notes.push(format!(
            "{} without prices: the dearest of the others stand in",
            match planned.unpriced_models.len() {
                1 => "1 model".to_string(),
                many => format!("{many} models"),
            }
        ));
    }
    if planned.seats.priced && planned.prices.rejection_missing {
        notes.push(
            "what a shop charges when it rejects is not recorded of every model and counts as nothing there".into(),
        );
    }
    if planned.seats.priced && planned.prices.removal_missing {
        notes.push("removal and freight are not recorded of every model and count as nothing there".into());
    }
    if planned.prices.from_invoices {
        notes.push(
            "overhauls and new propellers at the middle of what was paid in the last 24 months, where something was"
                .into(),
        );
    } else if !planned.prices.off.is_empty() {
        notes.push(format!(
            "what was paid in the last 24 months is off the price list by more than a tenth: {}; --prices invoices counts with it",
            planned.prices.off.join(", ")
        ));
    }
    if planned.unscheduled.per_hour.is_none() {
        notes.push("no flight hours on record: no unscheduled overhauls are planned".into());
    }
    if plan.fleets < FLEETS {
        notes.push(format!("simulation scaled down to {} fleets, because this fleet is large", plan.fleets));
    }
    if plan.expected_by == ExpectedBy::Simulation {
        let error = plan
            .budget
            .first()
            .and_then(|row| row.simulated_error)
            .map_or_else(String::new, |error| format!("; standard error of the first year's cost {error:.0}"));
        notes.push(format!(
            "more than {MOST_EXPECTED} propellers: expected values are means of the simulated fleets{error}"
        ));
    }
    notes
}
