//! What was spent, whether it was forecast, and what the shops take beside the price list.

use arrow::record_batch::RecordBatch;
use polars::prelude::{DataType, IntoLazy, SortMultipleOptions, col, len, lit, when};

use super::groups::payments;
use super::{QuestionError, frame};
use crate::analysis::flown::FlownHours;
use crate::analysis::margins::model_now;
use crate::analysis::plan::from_records::question;
use crate::analysis::plan::paid::{OFF_BY, paid};
use crate::analysis::plan::prices::PlanPrices;
use crate::analysis::plan::year_ahead;
use crate::analysis::recorded_hours::RecordedHours;
use crate::records::Fleet;
use crate::records::spend::Payment;
use crate::results::answers::{Answers, Shown};
use crate::results::batches::arrays;
use crate::trade::calendar::Day;

/// Past years that the budget is held against.
const YEARS_BACK: i32 = 5;
/// Listed propellers up to which past years are planned again.
const MOST_PLANNED_AGAIN: usize = 5_000;
/// Kinds of payments that the plan forecasts.
fn is_planned(kind: &str) -> bool {
    matches!(kind, "overhaul" | "replacement" | "removal" | "freight")
}

/// Rows of `spent`.
///
/// # Errors
/// [`QuestionError`] for an error of this program.
pub fn spent(answers: &Answers<'_, '_>, shown: &Shown) -> Result<RecordBatch, QuestionError> {
    let as_of = answers.fleet.as_of;
    let last_day = Day::from_ymd(as_of.year(), 12, 31) == Some(as_of);
    let known_sum = |name: &str| {
        when(col(name).count().gt(lit(0))).then(col(name).sum()).otherwise(lit(polars::prelude::NULL)).alias(name)
    };
    let keys = ["year", "kind", "shop", "model"];
    let by_year = payments(answers, shown)?
        .lazy()
        .with_columns([col("year").cast(DataType::Int64)])
        .group_by(keys.map(col))
        .agg([
            len().cast(DataType::Int64).alias("payments"),
            col("net").sum(),
            known_sum("tax"),
            known_sum("recovered"),
            col("spent").sum(),
        ])
        .with_columns([(col("year").eq(lit(i64::from(as_of.year()))).and(lit(!last_day))).alias("part_of_year")])
        .collect()?
        .sort(keys, SortMultipleOptions::default())?;
    frame::to_table(&by_year, "spent")
}

/// Rows of `spent_per_hour`: what each propeller cost an hour since payments for it are on record.
///
/// # Errors
/// As [`spent`].
pub fn spent_per_hour(answers: &Answers<'_, '_>, shown: &Shown) -> Result<RecordBatch, QuestionError> {
    let fleet = answers.fleet;
    let all = fleet.spend.list();
    let hours = RecordedHours::of(fleet, &answers.due().hours);
    let first = all.first().map(|payment| payment.day);
    let mut of_propeller: Vec<Vec<&Payment>> = vec![Vec::new(); fleet.propellers.len()];
    for payment in all {
        if let Some(propeller) = payment.propeller.filter(|&p| shown.shows(p)) {
            of_propeller[propeller as usize].push(payment);
        }
    }
    struct Cost {
        propeller: u32,
        since: Option<Day>,
        payments: usize,
        spent: f64,
        hours: Option<f64>,
    }
    let rows: Vec<Cost> = (0u32..)
        .zip(&of_propeller)
        .filter(|(_, payments)| !payments.is_empty())
        .map(|(propeller, payments)| {
            let in_service = fleet.propellers.get(propeller).in_service;
            let earliest = payments.first().map(|payment| payment.day);
            // An hour before payments were written down cost something too, and nobody knows what.
            let since = in_service.map(|day| first.map_or(day, |first| day.max(first))).or(earliest);
            let until = fleet.end_of(propeller).unwrap_or(fleet.as_of);
            let flown = since.filter(|&since| since < until).and_then(|since| hours.of(propeller)(since, until));
            let spent = payments.iter().map(|payment| payment.spent()).sum();
            Cost { propeller, since, payments: payments.len(), spent, hours: flown }
        })
        .collect();
    let model = |p: u32| model_now(fleet, p).map(|m| fleet.models.get(m).name.as_str());
    let per_hour = |row: &Cost| row.hours.filter(|hours| *hours > 0.0).map(|hours| row.spent / hours);
    Ok(crate::results::batch(
        "spent_per_hour",
        vec![
            ("propeller", arrays::texts(rows.iter().map(|r| Some(fleet.propellers.serial(r.propeller))))),
            ("model", arrays::texts(rows.iter().map(|r| model(r.propeller)))),
            ("paid_since_date", arrays::days(rows.iter().map(|r| r.since))),
            ("payments", arrays::integers(rows.iter().map(|r| i32::try_from(r.payments).ok()))),
            ("spent", arrays::maybe_numbers(rows.iter().map(|r| Some(r.spent)))),
            ("hours", arrays::maybe_numbers(rows.iter().map(|r| r.hours))),
            ("cost_per_hour", arrays::maybe_numbers(rows.iter().map(per_hour))),
        ],
    )?)
}

/// A past year: what the records of its first day forecast, and what came.
struct PastYear {
    year: i32,
    overhauls: Option<f64>,
    made: usize,
    cost: Option<[f64; 3]>,
    spent: Option<f64>,
}

impl PastYear {
    fn of(answers: &Answers<'_, '_>, shown: &Shown, year: i32) -> Option<PastYear> {
        let now = answers.fleet;
        let first = Day::from_ymd(year, 1, 1)?;
        let is_of_year = |day: Day| day.year() == year;
        let of_fleet = *shown == Shown::all();
        let paid: Vec<f64> = now
            .spend
            .list()
            .iter()
            .filter(|p| is_of_year(p.day) && is_planned(p.kind) && p.propeller.map_or(of_fleet, |p| shown.shows(p)))
            .map(Payment::spent)
            .collect();
        let visits = now.visits.list().iter();
        let made = visits.filter(|v| is_of_year(v.day) && v.is_overhaul() && shown.shows(v.propeller)).count();
        let before = Fleet::as_of(now.loaded, first, answers.settings);
        if before.propellers.is_empty() {
            return None;
        }
        let then = Answers::new(&before, answers.settings);
        // The propellers of that day that are shown today.
        let shown_then = match of_fleet {
            true => Shown::all(),
            false => Shown::only(&before, |propeller| {
                let today = now.propellers.find(before.propellers.serial(propeller));
                today.is_some_and(|today| shown.shows(today))
            }),
        };
        let planned = then.planned(&shown_then);
        let row = year_ahead(&planned.seats, &question(first, answers.settings));
        Some(PastYear {
            year,
            overhauls: row.as_ref().map(|row| row.overhauls),
            made,
            cost: row.as_ref().and_then(|row| row.cost.as_ref()).map(|cost| [cost.expected, cost.p10, cost.p90]),
            spent: (!paid.is_empty()).then(|| paid.iter().sum()),
        })
    }

    fn against_range(&self, as_of: Day) -> &'static str {
        match (self.cost, self.spent) {
            _ if self.year == as_of.year() => "year not over",
            (Some([_, low, _]), Some(spent)) if spent < low => "below the range",
            (Some([_, _, high]), Some(spent)) if spent > high => "above the range",
            (Some(_), Some(_)) => "within the range",
            _ => "not known",
        }
    }
}

/// Rows of `budget_past`: the last years as they were forecast on their first day, and what came. None of a fleet so large that
/// planning it again takes too long.
///
/// # Errors
/// As [`spent`].
pub fn budget_past(answers: &Answers<'_, '_>, shown: &Shown) -> Result<RecordBatch, QuestionError> {
    let as_of = answers.fleet.as_of;
    let is_small = answers.fleet.propellers.len() <= MOST_PLANNED_AGAIN;
    let years = as_of.year() - YEARS_BACK..=as_of.year();
    let rows: Vec<PastYear> =
        years.filter(|_| is_small).filter_map(|year| PastYear::of(answers, shown, year)).collect();
    let cost = |at: usize| arrays::maybe_numbers(rows.iter().map(move |r| r.cost.map(|cost| cost[at])));
    Ok(crate::results::batch(
        "budget_past",
        vec![
            ("year", arrays::integers(rows.iter().map(|r| Some(r.year)))),
            ("overhauls", arrays::maybe_numbers(rows.iter().map(|r| r.overhauls))),
            ("overhauls_made", arrays::maybe_numbers(rows.iter().map(|r| Some(r.made as f64)))),
            ("cost_expected", cost(0)),
            ("cost_p10", cost(1)),
            ("cost_p90", cost(2)),
            ("spent", arrays::maybe_numbers(rows.iter().map(|r| r.spent))),
            ("against_range", arrays::texts(rows.iter().map(|r| Some(r.against_range(as_of))))),
        ],
    )?)
}

/// Rows of `prices_paid`: what overhauls that passed and new propellers cost in the last 24 months, beside the price list.
///
/// # Errors
/// As [`spent`].
pub fn prices_paid(answers: &Answers<'_, '_>) -> Result<RecordBatch, QuestionError> {
    let fleet = answers.fleet;
    let prices = PlanPrices::listed(fleet, answers.settings.fleet.price_growth_pct);
    let mut rows = Vec::new();
    for model in 0..fleet.models.list().len() as u32 {
        for kind in ["overhaul", "replacement"] {
            let Some(paid) = paid(fleet, model, kind) else { continue };
            let price = prices.of(Some(model));
            let listed = price.costs.filter(|_| !price.stand_in).map(|costs| match kind {
                "overhaul" => costs.overhaul,
                _ => costs.replacement,
            });
            let off = listed.filter(|listed| *listed > 0.0).map(|listed| paid.middle / listed - 1.0);
            rows.push((fleet.models.get(model).name.to_string(), kind, listed, paid.middle, paid.payments, off));
        }
    }
    Ok(crate::results::batch(
        "prices_paid",
        vec![
            ("model", arrays::texts(rows.iter().map(|r| Some(&r.0)))),
            ("price", arrays::texts(rows.iter().map(|r| Some(r.1)))),
            ("listed", arrays::maybe_numbers(rows.iter().map(|r| r.2))),
            ("paid_p50", arrays::maybe_numbers(rows.iter().map(|r| Some(r.3)))),
            ("payments", arrays::integers(rows.iter().map(|r| i32::try_from(r.4).ok()))),
            ("difference_fraction", arrays::maybe_numbers(rows.iter().map(|r| r.5))),
            ("off_by_more_than_10_pct", arrays::yes_no(rows.iter().map(|r| r.5.map(|off| off.abs() > OFF_BY)))),
        ],
    )?)
}
