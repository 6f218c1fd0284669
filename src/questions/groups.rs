//! What the totals add up, a row a propeller, a visit, a finding or a payment, each with the base, model, use and aircraft of
//! its propeller.

use polars::prelude::{Column, DataFrame, DataType, IntoLazy, JoinArgs, JoinType, NamedFrom, Series, col};

use super::QuestionError;
use super::ask::{Slice, result};
use crate::analysis::defect_rate::is_counted;
use crate::analysis::flown::FlownHours;
use crate::analysis::margins::model_now;
use crate::analysis::plan::prices::PlanPrices;
use crate::analysis::plan::purchases::reject_chance;
use crate::analysis::recorded_hours::RecordedHours;
use crate::analysis::standing::{List, list_of};
use crate::records::choice::{Outcome, Use};
use crate::results::answers::{Answers, Shown};
use crate::trade::calendar::{Day, same_day};

/// Months looked ahead for what overhauls will cost.
const MONTHS_AHEAD: u32 = 12;
/// Days of the last twelve months.
const DAYS_BACK: i32 = 365;
/// Stands for a group that is not recorded, while rows are grouped.
pub(super) const NOT_RECORDED: &str = "";

/// The rows that totals add up, of the propellers shown.
pub(super) struct Rows {
    /// A row a listed propeller.
    pub(super) listed: DataFrame,
    /// A row a propeller whose findings and hours are known.
    pub(super) watched: DataFrame,
    /// A row a finding.
    pub(super) findings: DataFrame,
    /// A row a shop visit.
    pub(super) visits: DataFrame,
    /// A row a visit, blade and station.
    pub(super) removed: DataFrame,
    /// A row a blade, station and dimension today.
    pub(super) margins: DataFrame,
    /// A row a payment.
    pub(super) payments: DataFrame,
}

fn frame(columns: Vec<Series>) -> Result<DataFrame, QuestionError> {
    let height = columns.first().map_or(0, |column| column.len());
    Ok(DataFrame::new(height, columns.into_iter().map(Column::from).collect())?)
}

fn text(name: &str, values: impl Iterator<Item = Option<String>>) -> Series {
    Series::new(name.into(), values.collect::<Vec<Option<String>>>())
}

fn numbers(name: &str, values: impl Iterator<Item = Option<f64>>) -> Series {
    Series::new(name.into(), values.collect::<Vec<Option<f64>>>())
}

fn yes_no(name: &str, values: impl Iterator<Item = Option<bool>>) -> Series {
    Series::new(name.into(), values.collect::<Vec<Option<bool>>>())
}

fn whole(name: &str, values: impl Iterator<Item = Option<i64>>) -> Series {
    Series::new(name.into(), values.collect::<Vec<Option<i64>>>())
}

/// Base, model, use and aircraft of the propeller of each row, by its index.
fn whose(answers: &Answers<'_, '_>, propellers: &[Option<u32>]) -> Vec<Series> {
    let fleet = answers.fleet;
    let of =
        |name: &str, value: &dyn Fn(u32) -> Option<String>| text(name, propellers.iter().map(|p| p.and_then(value)));
    vec![
        of("propeller", &|p| Some(fleet.propellers.serial(p).to_string())),
        of("base", &|p| Some(fleet.propellers.bases.get(fleet.propellers.get(p).base?).to_string())),
        of("model", &|p| Some(fleet.models.get(model_now(fleet, p)?).name.to_string())),
        of("use", &|p| fleet.propellers.get(p).usage.map(|usage| Use::word(usage).to_string())),
        of("aircraft", &|p| fleet.aircraft_of(p).map(str::to_string)),
    ]
}

impl Rows {
    pub(super) fn of(answers: &Answers<'_, '_>, shown: &Shown) -> Result<Rows, QuestionError> {
        let visits = visits(answers, shown)?;
        let slice = |name: &'static str| move |at: usize| answers.slice(name, at, shown);
        let loss: &Slice<'_> = &slice("loss");
        let wanted = ["propeller", "overhaul_date", "thickness_removed_in", "width_removed_in"];
        let removed = result(answers, "loss", loss, &|name: &str| wanted.contains(&name))?;
        let at_visit = [col("propeller"), col("overhaul_date")];
        let left = JoinArgs::new(JoinType::Left);
        let removed = removed.lazy().join(visits.clone().lazy(), at_visit.clone(), at_visit, left.clone()).collect()?;
        let listed = listed(answers, shown)?;
        let margin: &Slice<'_> = &slice("margins");
        let margins =
            result(answers, "margins", margin, &|name: &str| matches!(name, "propeller" | "margin_fraction"))?;
        let names = listed.clone().lazy().select(["propeller", "base", "model", "use", "aircraft"].map(col));
        let margins = margins.lazy().join(names, [col("propeller")], [col("propeller")], left).collect()?;
        Ok(Rows {
            watched: watched(answers, shown)?,
            findings: findings(answers, shown)?,
            payments: payments(answers, shown)?,
            listed,
            visits,
            removed,
            margins,
        })
    }
}

fn listed(answers: &Answers<'_, '_>, shown: &Shown) -> Result<DataFrame, QuestionError> {
    let fleet = answers.fleet;
    let all: Vec<u32> =
        (0..fleet.propellers.len() as u32).filter(|&p| shown.shows(p) && list_of(fleet, p).is_some()).collect();
    let mut tier = vec![0_u8; fleet.propellers.len()];
    for row in answers.ranking() {
        tier[row.propeller as usize] = row.tier;
    }
    let overview = answers.overview(shown);
    let hours = RecordedHours::of(fleet, &answers.due().hours);
    let last_year = |p: u32| hours.of(p)(fleet.as_of + -DAYS_BACK, fleet.as_of);
    let prices = PlanPrices::of_fleet(fleet, answers.settings);
    let ahead: Vec<Option<(f64, Option<f64>)>> = all.iter().map(|&p| expected(answers, &prices, p)).collect();
    let each = || all.iter().copied();
    let mut columns = whose(answers, &each().map(Some).collect::<Vec<_>>());
    columns.extend([
        yes_no("flying", each().map(|p| Some(list_of(fleet, p) == Some(List::Flying)))),
        yes_no("tier_1_to_3", each().map(|p| Some((1..=3).contains(&tier[p as usize])))),
        yes_no("overdue", each().map(|p| Some(overview.past_due.binary_search(&p).is_ok()))),
        numbers("hours_12_months", each().map(last_year)),
        numbers("expected_rejections", ahead.iter().map(|of| of.map(|(rejections, _)| rejections))),
        numbers("expected_cost", ahead.iter().map(|of| of.and_then(|(_, cost)| cost))),
    ]);
    frame(columns)
}

/// Rejections and cost expected of a propeller's overhaul when it is due within [`MONTHS_AHEAD`]; zero when it is due later;
/// `None` when its chance or its due date is not known.
fn expected(answers: &Answers<'_, '_>, prices: &PlanPrices, propeller: u32) -> Option<(f64, Option<f64>)> {
    let fleet = answers.fleet;
    let costs = || prices.of(model_now(fleet, propeller)).costs;
    if fleet.end_of(propeller).is_some() {
        return Some((0.0, costs().map(|_| 0.0)));
    }
    if answers.due().of(propeller)?.due? > same_day(fleet.as_of, MONTHS_AHEAD) {
        return Some((0.0, costs().map(|_| 0.0)));
    }
    let remaining = answers.remaining();
    let at = remaining.binary_search_by_key(&propeller, |r| r.propeller).ok()?;
    let reject = if remaining[at].below_minimum { 1.0 } else { reject_chance(&remaining[at])? };
    let cost = costs().map(|costs| (1.0 - reject) * costs.of_passing() + reject * costs.of_rejection());
    Some((reject, cost))
}

fn watched(answers: &Answers<'_, '_>, shown: &Shown) -> Result<DataFrame, QuestionError> {
    let rates = answers.defect_rates();
    let rows: Vec<_> = rates
        .propellers
        .iter()
        .filter(|rate| shown.shows(rate.propeller))
        .filter_map(|rate| Some((rate.propeller, rate.watch.as_ref().ok()?)))
        .collect();
    let mut columns = whose(answers, &rows.iter().map(|(p, _)| Some(*p)).collect::<Vec<_>>());
    columns.push(whole("findings", rows.iter().map(|(_, watch)| Some(i64::from(watch.findings)))));
    columns.push(numbers("watched_hours", rows.iter().map(|(_, watch)| Some(watch.hours))));
    frame(columns)
}

fn year(day: Day) -> Option<String> {
    Some(day.year().to_string())
}

fn findings(answers: &Answers<'_, '_>, shown: &Shown) -> Result<DataFrame, QuestionError> {
    let rows: Vec<_> =
        answers.fleet.defects.list().iter().filter(|d| shown.shows(d.propeller) && is_counted(d)).collect();
    let mut columns = whose(answers, &rows.iter().map(|d| Some(d.propeller)).collect::<Vec<_>>());
    columns.push(text("year", rows.iter().map(|d| year(d.found))));
    frame(columns)
}

fn visits(answers: &Answers<'_, '_>, shown: &Shown) -> Result<DataFrame, QuestionError> {
    let fleet = answers.fleet;
    let rows: Vec<_> = fleet.visits.list().iter().filter(|v| shown.shows(v.propeller)).collect();
    let mut columns = whose(answers, &rows.iter().map(|v| Some(v.propeller)).collect::<Vec<_>>());
    let day: Vec<i32> = rows.iter().map(|v| v.day.number()).collect();
    columns.extend([
        Series::new("overhaul_date".into(), day).cast(&DataType::Date)?,
        text("year", rows.iter().map(|v| year(v.day))),
        text("shop", rows.iter().map(|v| v.shop.map(|code| fleet.visits.shops.get(code).to_string()))),
        yes_no("overhaul", rows.iter().map(|v| Some(v.is_overhaul()))),
        yes_no("rejected", rows.iter().map(|v| v.outcome.map(|outcome| outcome == Outcome::Rejected))),
    ]);
    frame(columns)
}

/// A row a payment for a propeller that is shown; those for the whole fleet only where every propeller is.
pub(super) fn payments(answers: &Answers<'_, '_>, shown: &Shown) -> Result<DataFrame, QuestionError> {
    let of_fleet = *shown == Shown::all();
    let rows: Vec<_> = answers
        .fleet
        .spend
        .list()
        .iter()
        .filter(|payment| payment.propeller.map_or(of_fleet, |p| shown.shows(p)))
        .collect();
    let mut columns = whose(answers, &rows.iter().map(|p| p.propeller).collect::<Vec<_>>());
    columns.extend([
        text("year", rows.iter().map(|p| year(p.day))),
        text("kind", rows.iter().map(|p| Some(p.kind.to_string()))),
        text("shop", rows.iter().map(|p| p.shop.as_deref().map(str::to_string))),
        numbers("net", rows.iter().map(|p| Some(p.net))),
        numbers("tax", rows.iter().map(|p| p.tax)),
        numbers("recovered", rows.iter().map(|p| p.recovered)),
        numbers("spent", rows.iter().map(|p| Some(p.spent()))),
    ]);
    frame(columns)
}
