//! What overhauls and new propellers cost lately, from what was paid.

use crate::analysis::margins::model_now;
use crate::records::Fleet;
use crate::records::spend::Payment;
use crate::trade::calendar::DAYS_PER_YEAR;

/// Years whose payments tell a price.
const YEARS_OF_PRICES: f64 = 2.0;
/// A payment this near a visit that rejected is what the shop charged for that.
const DAYS_OF_ONE_VISIT: i32 = 30;
/// A price list that is off by more is doubted.
pub const OFF_BY: f64 = 0.1;

/// A price as it was paid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Paid {
    /// The middle of the payments.
    pub middle: f64,
    /// How many they are.
    pub payments: usize,
}

/// What an overhaul that passed (`overhaul`) or a new propeller (`replacement`) of a model cost in the last 24 months, without
/// tax; `None` without a payment.
pub fn paid(fleet: &Fleet<'_>, model: u32, kind: &str) -> Option<Paid> {
    let from = fleet.as_of + -((YEARS_OF_PRICES * DAYS_PER_YEAR) as i32);
    let of_rejection = |payment: &Payment| {
        let visits = payment.propeller.map_or(&[][..], |p| fleet.visits.of(p));
        visits.iter().any(|v| v.rejected() && (v.day - payment.day).abs() <= DAYS_OF_ONE_VISIT)
    };
    let of_model = |payment: &Payment| payment.propeller.and_then(|p| model_now(fleet, p)) == Some(model);
    let sums: Vec<f64> = fleet
        .spend
        .list()
        .iter()
        .filter(|p| p.kind == kind && p.day >= from && p.net > 0.0 && of_model(p))
        .filter(|p| kind != "overhaul" || !of_rejection(p))
        .map(|p| p.net)
        .collect();
    let payments = sums.len();
    median(sums).map(|middle| Paid { middle, payments })
}

/// The middle of some numbers; of an even count half way between the two.
fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let middle = values.len() / 2;
    match values.len() {
        0 => None,
        n if n % 2 == 1 => Some(values[middle]),
        _ => Some((values[middle - 1] + values[middle]) / 2.0),
    }
}
