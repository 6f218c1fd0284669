//! The years past: what was forecast on the first day of each, and what was spent.

use super::Sums;
use crate::report::scene::Scene;
use crate::report::sections::totals::Cells;

/// One past year.
pub(super) struct PastYear {
    pub(super) year: String,
    pub(super) forecast: String,
    pub(super) made: String,
    pub(super) expected: String,
    pub(super) range: String,
    pub(super) spent: String,
    pub(super) against: String,
}

impl PastYear {
    /// The last years, earliest first; none where nothing was forecast or spent.
    pub(super) fn all(scene: &Scene<'_, '_, '_>, sums: &Sums) -> Vec<PastYear> {
        let Some(cells) = Cells::of(scene, "budget_past") else {
            return Vec::new();
        };
        let one = |row: usize| {
            let number = |name: &str| cells.number(name, row);
            let sum = |name: &str| number(name).map_or_else(String::new, |value| sums.whole(value));
            let count =
                |name: &str, decimals: usize| number(name).map_or_else(String::new, |v| format!("{v:.decimals$}"));
            let range = number("cost_p10").zip(number("cost_p90"));
            PastYear {
                year: count("year", 0),
                forecast: count("overhauls", 1),
                made: count("overhauls_made", 0),
                expected: sum("cost_expected"),
                range: range
                    .map_or_else(String::new, |(low, high)| format!("{} to {}", sums.whole(low), sums.whole(high))),
                spent: sum("spent"),
                against: cells.text("against_range", row).unwrap_or_default(),
            }
        };
        (0..cells.rows()).map(one).collect()
    }
}
