//! Overhaul a propeller as long as it passes, or replace it now: what an hour of either costs.
//!
//! With n overhauls still passed, each at C and each good for H hours, and the charge R of the shop that rejects at last:
//! (n C + R)/(n H). A new one bought now for P (with off and on), with S for the old one when it still passes, and m overhauls of
//! its own: (P - S + m C + R)/((m + 1) H). n and m are the 90 %, 50 % and 10 % points of their forecasts; the more overhauls,
//! the cheaper an hour.

use arrow::record_batch::RecordBatch;

use super::QuestionError;
use crate::analysis::margins::model_now;
use crate::analysis::plan::seat::{Chances, Costs, Seat};
use crate::results::answers::{Answers, Shown};
use crate::results::batches::arrays;

/// Overhauls looked at, at the most.
const MOST_OVERHAULS: usize = 40;
/// Chances of passing fewer overhauls than a cheap, a middle and a dear course.
const POINTS: [f64; 3] = [0.9, 0.5, 0.1];

/// What an hour costs: cheap, middle and dear; `None` where nothing is flown for the money.
type PerHour = [Option<f64>; 3];

/// Overhauls passed in a course at the point `q` of the forecast: the largest n of which at least `1 - q` pass that many.
fn passed(chances: &Chances, q: f64) -> usize {
    let mut still = 1.0;
    (0..MOST_OVERHAULS)
        .take_while(|&n| {
            still *= chances.step(n);
            still >= 1.0 - q - 1e-12
        })
        .count()
}

/// An hour of the life left, overhauled as long as it passes.
pub fn overhauled(own: &Chances, costs: &Costs, hours: f64) -> PerHour {
    POINTS.map(|q| {
        let n = passed(own, q) as f64;
        (n > 0.0).then(|| (n * costs.of_passing() + costs.rejection) / (n * hours))
    })
}

/// An hour of a new one's life, bought now.
pub fn replaced(fresh: &Chances, costs: &Costs, resale: f64, hours: f64) -> PerHour {
    POINTS.map(|q| {
        let m = passed(fresh, q) as f64;
        let sum = costs.replacement + costs.removal - resale + m * costs.of_passing() + costs.rejection;
        Some(sum / ((m + 1.0) * hours))
    })
}

/// Which of both is dearer, or that it cannot be told: their ranges overlap by more than half of the shorter one.
pub fn dearer(overhaul: &PerHour, replace: &PerHour) -> &'static str {
    let [Some(low), Some(middle), high] = *overhaul else {
        return "overhaul";
    };
    let [Some(new_low), Some(new_middle), Some(new_high)] = *replace else {
        return "not known";
    };
    let high = high.unwrap_or(f64::INFINITY);
    let overlap = high.min(new_high) - low.max(new_low);
    let shorter = (high - low).min(new_high - new_low);
    match () {
        () if overlap > 0.5 * shorter || (overlap >= 0.0 && shorter == 0.0) => "no clear difference",
        () if middle > new_middle => "overhaul",
        () => "replace",
    }
}

/// Hours between two overhauls: the earlier of the limits in hours and in months at its use rate; `None` when neither is known.
fn hours_a_cycle(seat: &Seat) -> Option<f64> {
    let by_months = seat.interval_months.map(|months| f64::from(months) * seat.hours_per_month).filter(|h| *h > 0.0);
    match (seat.interval_hours, by_months) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}

/// Rows of `replace_or_overhaul`.
///
/// # Errors
/// [`QuestionError`] for an error of this program.
pub fn replace_or_overhaul(answers: &Answers<'_, '_>, shown: &Shown) -> Result<RecordBatch, QuestionError> {
    let fleet = answers.fleet;
    let planned = answers.planned(shown);
    let none: PerHour = [None; 3];
    let rows: Vec<(u32, PerHour, PerHour, &'static str)> = planned
        .seats
        .list
        .iter()
        .map(|seat| {
            let (Some(costs), Some(hours)) = (&seat.costs, hours_a_cycle(seat)) else {
                let what = if seat.costs.is_none() { "prices not known" } else { "hours not known" };
                return (seat.propeller, none, none, what);
            };
            let passes = seat.own.step(0) > 0.0;
            let price = model_now(fleet, seat.propeller).and_then(|model| fleet.prices.of(model));
            let resale = price.and_then(|price| price.resale).filter(|_| passes).unwrap_or(0.0);
            let overhaul = overhauled(&seat.own, costs, hours);
            let replace = replaced(&seat.fresh, costs, resale, hours);
            (seat.propeller, overhaul, replace, dearer(&overhaul, &replace))
        })
        .collect();
    let model = |p: u32| model_now(fleet, p).map(|m| fleet.models.get(m).name.as_str());
    let overhaul = |at: usize| arrays::maybe_numbers(rows.iter().map(move |r| r.1[at]));
    let replace = |at: usize| arrays::maybe_numbers(rows.iter().map(move |r| r.2[at]));
    Ok(crate::results::batch(
        "replace_or_overhaul",
        vec![
            ("propeller", arrays::texts(rows.iter().map(|r| Some(fleet.propellers.serial(r.0))))),
            ("model", arrays::texts(rows.iter().map(|r| model(r.0)))),
            ("dearer", arrays::texts(rows.iter().map(|r| Some(r.3)))),
            ("overhaul_per_hour_p10", overhaul(0)),
            ("overhaul_per_hour_p50", overhaul(1)),
            ("overhaul_per_hour_p90", overhaul(2)),
            ("replace_per_hour_p10", replace(0)),
            ("replace_per_hour_p50", replace(1)),
            ("replace_per_hour_p90", replace(2)),
        ],
    )?)
}
