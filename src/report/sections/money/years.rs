//! What each year costs, and which models.

use std::collections::BTreeMap;

use chrono::Datelike;

use super::Sums;
use crate::analysis::plan::budget::BudgetRow;
use crate::analysis::plan::budget_months;
use crate::analysis::plan::seat::Strength;
use crate::report::chart::band::{Band, Step};
use crate::report::chart::{Caption, Numbers, Svg};
use crate::report::words::thousands;
use crate::results::planning::Planning;
use crate::settings::Settings;
use crate::trade::calendar::{Day, same_day};

/// The years, and the models over all of them.
pub(super) struct Years {
    pub(super) rows: Vec<Year>,
    pub(super) total: Option<Total>,
    pub(super) models: Vec<ModelYears>,
    pub(super) recommended: bool,
    pub(super) above_range: bool,
    pub(super) growth: String,
    /// Cost as a band; `None` without prices.
    pub(super) chart: Option<Svg>,
    first: Day,
    last: Day,
}

/// One calendar year of the whole fleet.
pub(super) struct Year {
    pub(super) year: i32,
    /// What of it the plan covers, where that is not all of it.
    pub(super) part: Option<String>,
    pub(super) overhauls: String,
    pub(super) replacements: String,
    pub(super) cost: Option<Cost>,
    /// Expected for limits that are only recommended: the cost, or the overhauls where there are no prices.
    pub(super) recommended: Option<String>,
}

/// A year's cost, written and to sort by.
pub(super) struct Cost {
    pub(super) expected: String,
    pub(super) low: String,
    pub(super) high: String,
    pub(super) values: [f64; 4],
}

/// All years together.
pub(super) struct Total {
    pub(super) overhauls: String,
    pub(super) replacements: String,
    pub(super) cost: Option<String>,
    pub(super) recommended: Option<String>,
    sum: Option<f64>,
}

/// A model, year by year.
pub(super) struct ModelYears {
    pub(super) model: String,
    pub(super) overhauls: String,
    pub(super) replacements: String,
    pub(super) cost: Option<String>,
    pub(super) years: Vec<ModelYear>,
}

/// A year of a model.
pub(super) struct ModelYear {
    pub(super) year: i32,
    pub(super) overhauls: String,
    pub(super) replacements: String,
    pub(super) cost: Option<Cost>,
}

fn tenths(number: f64) -> String {
    format!("{number:.1}")
}

impl Years {
    pub(super) fn of(planning: &Planning, as_of: Day, settings: &Settings, sums: &Sums) -> Years {
        let budget = &planning.plan.budget;
        let of_fleet = |strength: Option<Strength>| {
            let wanted = move |row: &&BudgetRow| row.model.is_none() && row.strength == strength;
            budget.iter().filter(wanted)
        };
        let recommended: BTreeMap<i32, &BudgetRow> =
            of_fleet(Some(Strength::Recommended)).map(|row| (row.year, row)).collect();
        let binding = of_fleet(Some(Strength::Binding)).next().is_some();
        let months_from = as_of + (1 - as_of.date().day() as i32);
        let last = same_day(months_from, budget_months(as_of, settings.budget.years) as u32) + -1;
        let rows: Vec<Year> = of_fleet(None)
            .map(|row| Year {
                year: row.year,
                part: part_of(row.year, as_of, last),
                overhauls: tenths(row.overhauls),
                replacements: tenths(row.replacements),
                cost: Cost::of(row),
                recommended: recommended.get(&row.year).map(|r| match &r.cost {
                    Some(cost) => thousands(cost.expected),
                    None => tenths(r.overhauls),
                }),
            })
            .collect();
        let total = (!rows.is_empty()).then(|| Total::of(&of_fleet(None).collect::<Vec<_>>(), &recommended));
        let above_range = rows.iter().filter_map(|r| r.cost.as_ref()).any(Cost::is_above_its_range);
        Years {
            chart: drawn(&rows, sums),
            rows,
            total,
            models: models(planning),
            recommended: !recommended.is_empty() && binding,
            above_range,
            growth: growth(settings, sums, planning.planned.seats.priced),
            first: as_of,
            last,
        }
    }

    /// The years in a few sentences.
    pub(super) fn lead(&self, sums: &Sums) -> Vec<String> {
        let Some(total) = &self.total else {
            return vec!["There is no overhaul to plan on record.".to_string()];
        };
        let mut words = vec![format!(
            "From {} to {}: about {} sent in, of which {} rejected and replaced{}.",
            self.first,
            self.last,
            rounded(&total.overhauls),
            rounded(&total.replacements),
            total.sum.map_or_else(String::new, |sum| format!(", {} expected in all", sums.whole(sum)))
        )];
        let dearest = self
            .rows
            .iter()
            .filter_map(|row| Some((row.year, row.cost.as_ref()?.values)))
            .max_by(|a, b| a.1[0].total_cmp(&b.1[0]).then(b.0.cmp(&a.0)));
        if let Some((year, [expected, _, _, high])) = dearest.filter(|_| self.rows.len() > 1) {
            words.push(format!(
                "The dearest year is probably {year}: {} expected, and with one chance in ten more than {}.",
                sums.whole(expected),
                sums.whole(high)
            ));
        }
        words
    }
}

/// A number written to tenths, without them from ten on.
fn rounded(tenths: &str) -> String {
    match tenths.parse::<f64>() {
        Ok(number) if number >= 10.0 => format!("{number:.0}"),
        _ => tenths.to_string(),
    }
}

/// The cost of each year as a band.
fn drawn(rows: &[Year], sums: &Sums) -> Option<Svg> {
    let steps: Option<Vec<Step>> = rows
        .iter()
        .map(|row| {
            let [expected, low, middle, high] = row.cost.as_ref()?.values;
            Some(Step {
                label: match row.part {
                    Some(_) => format!("{}*", row.year),
                    None => row.year.to_string(),
                },
                low,
                middle,
                high,
                expected: Some(expected),
            })
        })
        .collect();
    let steps = steps.filter(|steps| !steps.is_empty())?;
    let name = match &sums.currency {
        Some(currency) => format!("{currency} a year"),
        None => "cost a year".to_string(),
    };
    let band = Band {
        caption: Caption::described(
            "money-years",
            "Cost of each year",
            "The range of eight cases in ten, the middle and the expected cost; the table below has the numbers.",
        ),
        name: &name,
        numbers: Numbers::Short,
        steps: &steps,
    };
    Some(Svg::or_words(band.draw()))
}

/// Growth of prices and of use that the sums count with.
fn growth(settings: &Settings, sums: &Sums, priced: bool) -> String {
    let mut words = Vec::new();
    if priced {
        words.push(match &sums.currency {
            Some(currency) => format!("Sums are in {currency}"),
            None => "No currency is stated: sums are in that of the price list".to_string(),
        });
        words.push(match settings.fleet.price_growth_pct {
            0.0 => "prices do not grow".to_string(),
            pct => format!("prices grow by {pct}\u{a0}% a year"),
        });
    }
    match settings.budget.use_growth_pct {
        0.0 if priced => words.push("flying stays as it is".to_string()),
        0.0 => words.push("Flying stays as it is".to_string()),
        pct if priced => words.push(format!("flying changes by {pct}\u{a0}% a year")),
        pct => words.push(format!("Flying changes by {pct}\u{a0}% a year")),
    }
    format!("{}.", words.join("; "))
}

/// What of a year the plan covers; `None` when all of it.
fn part_of(year: i32, first: Day, last: Day) -> Option<String> {
    let starts = year == first.year() && Day::from_ymd(year, 1, 1) != Some(first);
    let ends = year == last.year() && Day::from_ymd(year, 12, 31) != Some(last);
    let day = |day: Day| day.date().format("%-d\u{a0}%b").to_string();
    match (starts, ends) {
        (true, true) => Some(format!("{} to {}", day(first), day(last))),
        (true, false) => Some(format!("from {}", day(first))),
        (false, true) => Some(format!("to {}", day(last))),
        (false, false) => None,
    }
}

impl Cost {
    fn of(row: &BudgetRow) -> Option<Cost> {
        let cost = row.cost.as_ref()?;
        Some(Cost {
            expected: thousands(cost.expected),
            low: thousands(cost.p10),
            high: thousands(cost.p90),
            values: [cost.expected, cost.p10, cost.p50, cost.p90],
        })
    }

    /// Whether rare dear cases pull the expected cost out of the range.
    fn is_above_its_range(&self) -> bool {
        self.values[0] > self.values[3]
    }
}

impl Total {
    fn of(rows: &[&BudgetRow], recommended: &BTreeMap<i32, &BudgetRow>) -> Total {
        let sum = |of: fn(&BudgetRow) -> f64| rows.iter().fold(0.0, |sum, row| sum + of(row));
        let cost = cost_of(rows.iter().copied());
        let advice = || recommended.values().copied();
        Total {
            overhauls: tenths(sum(|r| r.overhauls)),
            replacements: tenths(sum(|r| r.replacements)),
            cost: cost.map(thousands),
            recommended: (!recommended.is_empty()).then(|| match cost_of(advice()) {
                Some(cost) => thousands(cost),
                None => tenths(advice().fold(0.0, |sum, row| sum + row.overhauls)),
            }),
            sum: cost,
        }
    }
}

/// Expected cost of several years; `None` without prices.
fn cost_of<'r>(rows: impl Iterator<Item = &'r BudgetRow>) -> Option<f64> {
    let mut sum = None;
    for row in rows {
        sum = Some(sum.unwrap_or(0.0) + row.cost.as_ref()?.expected);
    }
    sum
}

/// Each model of the plan, when there is more than one.
fn models(planning: &Planning) -> Vec<ModelYears> {
    let shelves = &planning.planned.seats.shelves;
    if shelves.len() < 2 {
        return Vec::new();
    }
    let of_model = |at: usize| {
        let rows = planning.plan.budget.iter();
        rows.filter(move |r| r.model == Some(at) && r.strength.is_none())
    };
    shelves
        .iter()
        .enumerate()
        .map(|(at, shelf)| {
            let sum = |of: fn(&BudgetRow) -> f64| of_model(at).fold(0.0, |sum, r| sum + of(r));
            ModelYears {
                model: shelf.model.clone(),
                overhauls: tenths(sum(|r| r.overhauls)),
                replacements: tenths(sum(|r| r.replacements)),
                cost: cost_of(of_model(at)).map(thousands),
                years: of_model(at)
                    .map(|row| ModelYear {
                        year: row.year,
                        overhauls: tenths(row.overhauls),
                        replacements: tenths(row.replacements),
                        cost: Cost::of(row),
                    })
                    .collect(),
            }
        })
        .collect()
}
