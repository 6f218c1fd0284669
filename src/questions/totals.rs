//! What bases, models, uses, aircraft, shops and years add up to.

use std::sync::Arc;

use arrow::array::{Array, ArrayRef, AsArray, Float64Array};
use arrow::datatypes::{Float64Type, Int32Type};
use arrow::record_batch::RecordBatch;
use polars::prelude::{
    DataFrame, DataType, Expr, IntoLazy, JoinArgs, JoinCoalesce, JoinType, LazyFrame, SortMultipleOptions, col, len,
    lit, when,
};

use super::groups::{NOT_RECORDED, Rows};
use super::{QuestionError, frame};
use crate::analysis::defect_rate::PER_HOURS;
use crate::results::answers::{Answers, Shown};
use crate::stats::poisson_limits::poisson_limits;

/// Chance between the limits of a rate of findings.
const LIMITS: f64 = 0.95;

/// What rows are grouped by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Key {
    /// Home base today.
    Base,
    /// Model today.
    Model,
    /// Use.
    Use,
    /// Aircraft today.
    Aircraft,
    /// Shop of a visit or payment.
    Shop,
    /// Calendar year of a visit, finding or payment.
    Year,
}

impl Key {
    /// Every one, in the order of the table.
    pub const ALL: [Key; 6] = [Key::Base, Key::Model, Key::Use, Key::Aircraft, Key::Shop, Key::Year];

    /// The word for it, which is the column's name too.
    pub fn word(self) -> &'static str {
        match self {
            Key::Base => "base",
            Key::Model => "model",
            Key::Use => "use",
            Key::Aircraft => "aircraft",
            Key::Shop => "shop",
            Key::Year => "year",
        }
    }

    fn is_of_a_propeller(self) -> bool {
        !matches!(self, Key::Shop | Key::Year)
    }
}

/// Totals by each single key, one after the other.
///
/// # Errors
/// [`QuestionError`] for an error of this program.
pub fn every(answers: &Answers<'_, '_>, shown: &Shown) -> Result<RecordBatch, QuestionError> {
    let rows = Rows::of(answers, shown)?;
    let each = Key::ALL.iter().map(|&key| by(&rows, &[key])).collect::<Result<Vec<_>, _>>()?;
    let schema = each[0].schema();
    arrow::compute::concat_batches(&schema, &each)
        .map_err(|error| QuestionError::Engine { said: error.to_string(), hint: "please report it".into() })
}

/// Totals by one key, or by two together.
///
/// # Errors
/// As [`every`].
pub fn totals(answers: &Answers<'_, '_>, shown: &Shown, keys: &[Key]) -> Result<RecordBatch, QuestionError> {
    by(&Rows::of(answers, shown)?, keys)
}

/// The sum of what is known; nothing is known of a group without any.
fn known_sum(name: &str) -> Expr {
    when(col(name).count().gt(lit(0))).then(col(name).sum()).otherwise(lit(polars::prelude::NULL)).alias(name)
}

fn how_many(name: &str) -> Expr {
    col(name).cast(DataType::Int64).sum().alias(name)
}

fn not_known(name: &str, called: &str) -> Expr {
    col(name).is_null().cast(DataType::Int64).sum().alias(called)
}

fn by(rows: &Rows, keys: &[Key]) -> Result<RecordBatch, QuestionError> {
    let grouped = |rows: &DataFrame, sums: Vec<Expr>| -> LazyFrame {
        let names: Vec<Expr> = keys.iter().map(|key| col(key.word()).fill_null(lit(NOT_RECORDED))).collect();
        rows.clone().lazy().group_by(names).agg(sums)
    };
    let mut parts = vec![
        grouped(
            &rows.visits,
            vec![
                col("overhaul").cast(DataType::Float64).sum().alias("overhauls"),
                how_many("rejected"),
                col("rejected").cast(DataType::Float64).mean().alias("share_rejected"),
            ],
        ),
        grouped(&rows.removed, vec![col("thickness_removed_in").mean(), col("width_removed_in").mean()]),
        grouped(&rows.payments, vec![known_sum("spent")]),
    ];
    if keys.iter().all(|key| key.is_of_a_propeller()) {
        parts.insert(
            0,
            grouped(
                &rows.listed,
                vec![
                    len().cast(DataType::Int64).alias("propellers"),
                    how_many("flying"),
                    how_many("tier_1_to_3"),
                    how_many("overdue"),
                    known_sum("hours_12_months"),
                    not_known("hours_12_months", "hours_not_known"),
                    known_sum("expected_rejections"),
                    known_sum("expected_cost"),
                    not_known("expected_rejections", "chance_not_known"),
                ],
            ),
        );
        parts.push(grouped(&rows.margins, vec![col("margin_fraction").mean()]));
        parts.push(grouped(&rows.watched, vec![known_sum("findings"), known_sum("watched_hours")]));
    } else if !keys.contains(&Key::Shop) {
        parts.push(grouped(&rows.findings, vec![len().cast(DataType::Int64).alias("findings")]));
    }
    let on: Vec<Expr> = keys.iter().map(|key| col(key.word())).collect();
    let both = || JoinArgs::new(JoinType::Full).with_coalesce(JoinCoalesce::CoalesceColumns);
    let joined = parts.into_iter().reduce(|all, part| all.join(part, on.clone(), on.clone(), both()));
    let Some(joined) = joined else {
        return frame::to_table(&DataFrame::empty(), "totals");
    };
    let names: Vec<&str> = keys.iter().map(|key| key.word()).collect();
    let joined = joined.collect()?.sort(names, SortMultipleOptions::default())?;
    let joined = named(joined, keys)?;
    with_rates(frame::to_table(&joined, "totals")?)
}

/// Puts the groups under the names of the table.
fn named(frame: DataFrame, keys: &[Key]) -> Result<DataFrame, QuestionError> {
    let mut named = frame.lazy();
    for (key, [by, group]) in keys.iter().zip([["grouped_by", "group"], ["and_by", "and_group"]]) {
        let recorded = when(col(key.word()).eq(lit(NOT_RECORDED)))
            .then(lit(polars::prelude::NULL))
            .otherwise(col(key.word()))
            .cast(DataType::String);
        named = named.with_columns([lit(key.word()).alias(by), recorded.alias(group)]);
    }
    Ok(named.collect()?)
}

/// Findings per 100 hours with their limits. Sums are put to 1e-9, so that the order in which they were added does not show.
fn with_rates(table: RecordBatch) -> Result<RecordBatch, QuestionError> {
    let column = |name: &str| table.column_by_name(name);
    let findings = column("findings").and_then(|values| values.as_primitive_opt::<Int32Type>());
    let hours = column("watched_hours").and_then(|values| values.as_primitive_opt::<Float64Type>());
    let rates: Vec<Option<[f64; 3]>> = (0..table.num_rows())
        .map(|row| {
            let findings = findings.filter(|values| values.is_valid(row))?.value(row);
            let hours = hours.filter(|values| values.is_valid(row))?.value(row);
            let (low, high) = poisson_limits(u64::try_from(findings).ok()?, LIMITS)?;
            (hours > 0.0).then(|| [f64::from(findings), low, high].map(|count| count * PER_HOURS / hours))
        })
        .collect();
    let rate = |at: usize| Arc::new(Float64Array::from_iter(rates.iter().map(|r| r.map(|r| r[at])))) as ArrayRef;
    let schema = table.schema();
    let spec = crate::results::table("totals").map_or(&[][..], |spec| spec.columns);
    let columns = spec.iter().zip(table.columns()).zip(schema.fields()).map(|((column, values), _)| {
        let values = match column.name {
            "findings_per_100h" => rate(0),
            "findings_low" => rate(1),
            "findings_high" => rate(2),
            _ => Arc::clone(values),
        };
        let rounded = values.as_primitive_opt::<Float64Type>().map(|numbers| {
            let rounded = numbers.iter().map(|v| v.map(|v| (v * 1e9).round() / 1e9));
            Arc::new(Float64Array::from_iter(rounded)) as ArrayRef
        });
        (column.name, rounded.unwrap_or(values))
    });
    Ok(crate::results::batch("totals", columns.collect())?)
}
