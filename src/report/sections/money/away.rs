//! How many propellers are away at once, month by month.

use crate::analysis::plan::Plan;
use crate::analysis::plan::out_at_once::OutRow;
use crate::report::chart::band::{Band, Step};
use crate::report::chart::{Caption, Numbers, Svg};
use crate::trade::calendar::Day;

/// Months drawn; the table behind the chart has them all.
const MONTHS_DRAWN: usize = 24;

/// The months.
pub(super) struct Away {
    pub(super) months: Vec<Month>,
    pub(super) words: String,
    /// The next months; `None` when nothing is known of them.
    pub(super) chart: Option<Svg>,
}

/// One month.
pub(super) struct Month {
    pub(super) name: String,
    pub(super) expected: String,
    pub(super) high: String,
}

/// A month by its name and year.
fn name(month: Day) -> String {
    month.date().format("%b\u{a0}%Y").to_string()
}

impl Away {
    pub(super) fn of(plan: &Plan, as_of: Day) -> Away {
        let rows = &plan.out_at_once;
        let most = |rows: &[OutRow]| {
            let by = |a: &&OutRow, b: &&OutRow| {
                // Of months alike the earlier.
                let order = a.propellers_out.total_cmp(&b.propellers_out);
                order.then(b.month.cmp(&a.month))
            };
            rows.iter().max_by(by).copied()
        };
        let soon = &rows[..rows.len().min(MONTHS_DRAWN)];
        let words = match most(soon) {
            None => "How long an overhaul keeps a propeller away is not recorded: the column overhaul_days of the table prices would bring it.".to_string(),
            Some(most) => {
                let this_month = if most.month <= as_of {
                    ", which is this month"
                } else {
                    ""
                };
                // Rare cases with many away can lift the mean above what nine of ten cases have.
                let range = if most.p90 > most.propellers_out {
                    format!(", and in nine of ten cases not more than {:.1}", most.p90)
                } else {
                    String::new()
                };
                format!(
                    "Most in the next {MONTHS_DRAWN} months: {:.1} in {}{this_month}, on average over the month{range}.",
                    most.propellers_out,
                    name(most.month)
                )
            }
        };
        Away {
            months: rows
                .iter()
                .map(|row| Month {
                    name: name(row.month),
                    expected: format!("{:.1}", row.propellers_out),
                    high: format!("{:.1}", row.p90),
                })
                .collect(),
            words,
            chart: drawn(soon),
        }
    }
}

/// The next months: from what is expected up to what is not exceeded in nine of ten cases.
fn drawn(rows: &[OutRow]) -> Option<Svg> {
    if rows.is_empty() {
        return None;
    }
    let steps: Vec<Step> = rows
        .iter()
        .map(|row| Step {
            label: row.month.date().format("%b\u{a0}\u{2019}%y").to_string(),
            low: row.propellers_out,
            middle: row.propellers_out,
            high: row.p90.max(row.propellers_out),
            expected: None,
        })
        .collect();
    let band = Band {
        caption: Caption::described(
            "money-away",
            "Propellers away, month by month",
            "Expected on average over the month, and what is not exceeded in nine of ten cases; the numbers are in the table below.",
        ),
        name: "propellers away",
        numbers: Numbers::Plain,
        steps: &steps,
    };
    Some(Svg::or_words(band.draw()))
}
