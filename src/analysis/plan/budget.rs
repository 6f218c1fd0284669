//! What overhauls and replacements cost each year: expected, and how far a year may lie from that.

use super::ordered::{mean_and_error, ordered};
use super::seat::Strength;
use super::simulation::Drawn;
use super::sums::{Cell, Sums};
use super::timeline::Timeline;

/// Cost of a year, in the fleet's currency.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct YearCost {
    /// Expected.
    pub expected: f64,
    /// 10 % point of the simulated fleets.
    pub p10: f64,
    /// Middle.
    pub p50: f64,
    /// 90 % point.
    pub p90: f64,
}

/// One year of one model, or of all, by force of the interval, or of both.
#[derive(Debug, Clone, PartialEq)]
pub struct BudgetRow {
    /// Calendar year.
    pub year: i32,
    /// Number of the model among those of the plan; `None` for all.
    pub model: Option<usize>,
    /// Force; `None` for both.
    pub strength: Option<Strength>,
    /// Overhauls expected, those that reject included.
    pub overhauls: f64,
    /// Replacements expected.
    pub replacements: f64,
    /// Cost; `None` without prices.
    pub cost: Option<YearCost>,
    /// Standard error of the mean cost of the simulated fleets; `None` without prices.
    pub simulated_error: Option<f64>,
}

/// Where expected values come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ExpectedBy {
    /// Dynamic programming: no error of simulation.
    Months,
    /// The mean of the simulated fleets.
    Simulation,
}

/// Rows by year; in each year all models first, then each model; in each both forces first.
///
/// `present[model][force]`: whether there are seats. `sums` are expected ones; without them the simulated mean stands.
pub fn rows(
    sums: &Sums,
    by: ExpectedBy,
    drawn: &[Drawn],
    present: &[[bool; 2]],
    priced: bool,
    timeline: &Timeline,
) -> Vec<BudgetRow> {
    let models = present.len();
    let mut rows = Vec::new();
    for year in 0..timeline.budget_years() {
        for model in std::iter::once(None).chain((0..models).map(Some)) {
            for strength in [None, Some(Strength::Binding), Some(Strength::Recommended)] {
                let cells: Vec<usize> = (0..models)
                    .filter(|&m| model.is_none_or(|only| only == m))
                    .flat_map(|m| Strength::ALL.map(|s| (m, s)))
                    .filter(|&(m, s)| present[m][s as usize] && strength.is_none_or(|only| only == s))
                    .map(|(m, s)| sums.at(m, s, year))
                    .collect();
                if cells.is_empty() {
                    continue;
                }
                let sum = |of: &[Cell]| {
                    let mut sum = Cell::default();
                    for &at in &cells {
                        sum.join(&of[at]);
                    }
                    sum
                };
                let fleets: Vec<Cell> = drawn.iter().map(|d| sum(&d.cells)).collect();
                let expected = match by {
                    ExpectedBy::Months => sum(&sums.cells),
                    ExpectedBy::Simulation => mean(&fleets),
                };
                let mut costs: Vec<f64> = fleets.iter().map(|f| f.cost).collect();
                let error = mean_and_error(&costs).map(|m| m.1);
                rows.push(BudgetRow {
                    year: timeline.first_year() + year as i32,
                    model,
                    strength,
                    overhauls: expected.overhauls,
                    replacements: expected.replacements,
                    cost: year_cost(expected.cost, &mut costs).filter(|_| priced),
                    simulated_error: error.filter(|_| priced),
                });
            }
        }
    }
    rows
}

fn mean(fleets: &[Cell]) -> Cell {
    let mut sum = Cell::default();
    for fleet in fleets {
        sum.join(fleet);
    }
    let count = fleets.len().max(1) as f64;
    Cell { overhauls: sum.overhauls / count, replacements: sum.replacements / count, cost: sum.cost / count }
}

fn year_cost(expected: f64, costs: &mut [f64]) -> Option<YearCost> {
    Some(YearCost { expected, p10: ordered(costs, 0.1)?, p50: ordered(costs, 0.5)?, p90: ordered(costs, 0.9)? })
}
