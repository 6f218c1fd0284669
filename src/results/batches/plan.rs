//! `budget`, `purchases`, `out_at_once`, `reserve` and `spares`.

use arrow::record_batch::RecordBatch;

use super::arrays;
use super::identity::Identity;
use crate::analysis::plan::Plan;
use crate::analysis::plan::budget::{BudgetRow, YearCost};
use crate::analysis::plan::from_records::Planned;
use crate::analysis::plan::purchases::Purchase;
use crate::analysis::plan::seat::Strength;
use crate::records::Fleet;
use crate::results::{ResultsError, batch};

/// The word for all models or both forces.
const ALL: &str = "all";

fn whole(number: u32) -> Option<i32> {
    i32::try_from(number).ok()
}

/// Rows of `budget`.
///
/// # Errors
/// [`ResultsError`] when the columns do not fit the list, which is an error of this program.
pub fn budget(plan: &Plan, planned: &Planned) -> Result<RecordBatch, ResultsError> {
    let rows = &plan.budget;
    let cost = |of: fn(&YearCost) -> f64| arrays::maybe_numbers(rows.iter().map(|r| r.cost.as_ref().map(of)));
    let model = |r: &BudgetRow| match r.model {
        Some(model) => planned.seats.shelves[model].model.as_str(),
        None => ALL,
    };
    batch(
        "budget",
        vec![
            ("year", arrays::integers(rows.iter().map(|r| Some(r.year)))),
            ("model", arrays::texts(rows.iter().map(|r| Some(model(r))))),
            ("interval_force", arrays::texts(rows.iter().map(|r| Some(r.strength.map_or(ALL, Strength::word))))),
            ("overhauls", arrays::maybe_numbers(rows.iter().map(|r| Some(r.overhauls)))),
            ("replacements", arrays::maybe_numbers(rows.iter().map(|r| Some(r.replacements)))),
            ("cost_expected", cost(|c| c.expected)),
            ("cost_p10", cost(|c| c.p10)),
            ("cost_p50", cost(|c| c.p50)),
            ("cost_p90", cost(|c| c.p90)),
        ],
    )
}

/// Rows of `purchases`.
///
/// # Errors
/// As [`budget`].
pub fn purchases(fleet: &Fleet<'_>, rows: &[Purchase]) -> Result<RecordBatch, ResultsError> {
    let who = Identity::of(fleet, rows.iter().map(|r| r.propeller).collect());
    let number = |of: fn(&Purchase) -> Option<f64>| arrays::maybe_numbers(rows.iter().map(of));
    batch(
        "purchases",
        vec![
            ("propeller", who.serial()),
            ("model", who.model()),
            ("reject_chance", number(|r| Some(r.reject_chance))),
            ("pass_chance", number(|r| Some(1.0 - r.reject_chance))),
            ("due_date", arrays::days(rows.iter().map(|r| r.due))),
            ("order_by_date", arrays::days(rows.iter().map(|r| r.order_by))),
            ("order", arrays::texts(rows.iter().map(|r| Some(r.order_in_words(fleet.as_of))))),
            ("replacement_days", number(|r| Some(r.lead.days))),
            ("replacement_days_basis", arrays::texts(rows.iter().map(|r| Some(r.lead.basis.words())))),
            ("cost", number(|r| r.cost)),
            ("expected_saving", number(|r| r.expected_saving)),
            ("buy_from_chance", number(|r| r.buy_from_chance)),
        ],
    )
}

/// Rows of `out_at_once`.
///
/// # Errors
/// As [`budget`].
pub fn out_at_once(plan: &Plan) -> Result<RecordBatch, ResultsError> {
    let rows = &plan.out_at_once;
    batch(
        "out_at_once",
        vec![
            ("month", arrays::days(rows.iter().map(|r| Some(r.month)))),
            ("propellers_out", arrays::maybe_numbers(rows.iter().map(|r| Some(r.propellers_out)))),
            ("p90", arrays::maybe_numbers(rows.iter().map(|r| Some(r.p90)))),
        ],
    )
}

/// The row of `reserve`.
///
/// # Errors
/// As [`budget`].
pub fn reserve(plan: &Plan, planned: &Planned) -> Result<RecordBatch, ResultsError> {
    let reserve = &plan.reserve;
    let one = |value: Option<f64>| arrays::maybe_numbers(std::iter::once(value));
    batch(
        "reserve",
        vec![
            ("horizon_years", one(Some(reserve.horizon_years))),
            ("long_run_per_hour", one(reserve.long_run_per_hour)),
            ("needed_today", one(reserve.needed_today)),
            ("opening_balance", one(reserve.opening_balance)),
            ("constant_per_hour", one(reserve.constant_per_hour)),
            ("catch_up_sum", one(reserve.catch_up_sum)),
            ("catch_up_replacements", one(planned.ended_cost)),
        ],
    )
}

/// Rows of `spares`.
///
/// # Errors
/// As [`budget`].
pub fn spares(plan: &Plan, planned: &Planned) -> Result<RecordBatch, ResultsError> {
    let rows = &plan.spares;
    let model = |at: usize| planned.seats.shelves[at].model.as_str();
    batch(
        "spares",
        vec![
            ("model", arrays::texts(rows.iter().map(|r| Some(model(r.model))))),
            ("needed_p50", arrays::integers(rows.iter().map(|r| whole(r.needed_p50)))),
            ("needed_p90", arrays::integers(rows.iter().map(|r| whole(r.needed_p90)))),
            ("within_days", arrays::integers(rows.iter().map(|r| whole(r.within_days?)))),
            ("on_shelf", arrays::integers(rows.iter().map(|r| whole(r.on_shelf)))),
            ("order_now", arrays::integers(rows.iter().map(|r| whole(r.order_now)))),
        ],
    )
}
