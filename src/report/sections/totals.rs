//! Totals: what bases, models, uses and shops add up to.

use arrow::array::{Array, AsArray};
use arrow::datatypes::{Float64Type, Int32Type};
use arrow::record_batch::RecordBatch;
use askama::Template;

use crate::report::scene::Scene;
use crate::report::words::thousands;

/// The groups that the page shows, with their heading.
const SHOWN: [(&str, &str); 4] = [("base", "By base"), ("model", "By model"), ("use", "By use"), ("shop", "By shop")];

/// The section.
#[derive(Template)]
#[template(path = "totals.html", config = "src/report/askama.toml")]
pub struct Totals {
    groups: Vec<Group>,
    /// Whether anything was paid.
    spent: bool,
}

/// One table.
struct Group {
    heading: &'static str,
    /// What a row is, for its column.
    what: &'static str,
    by_shop: bool,
    rows: Vec<Row>,
}

/// A number as it is written, and to sort by; empty where it is not known.
#[derive(Default)]
struct Figure {
    words: String,
    key: String,
}

impl Figure {
    fn of(value: Option<f64>, words: impl Fn(f64) -> String) -> Figure {
        value.map_or_else(Figure::default, |value| Figure { words: words(value), key: value.to_string() })
    }
}

struct Row {
    name: Option<String>,
    propellers: Figure,
    urgent: Figure,
    overhauls: Figure,
    rejected: Figure,
    thickness: Figure,
    width: Figure,
    findings: Figure,
    /// Limits of the rate of findings.
    limits: Option<String>,
    spent: Figure,
}

/// A result table, read cell by cell.
pub(super) struct Cells(pub(super) RecordBatch);

impl Cells {
    /// The rows of a result; none where it is not worked out.
    pub(super) fn of(scene: &Scene<'_, '_, '_>, name: &str) -> Option<Cells> {
        scene.answers.slice(name, 0, scene.shown).ok().map(Cells)
    }

    pub(super) fn rows(&self) -> usize {
        self.0.num_rows()
    }

    pub(super) fn text(&self, name: &str, row: usize) -> Option<String> {
        let values = self.0.column_by_name(name)?.as_string_opt::<i32>()?;
        values.is_valid(row).then(|| values.value(row).to_string())
    }

    pub(super) fn number(&self, name: &str, row: usize) -> Option<f64> {
        let values = self.0.column_by_name(name)?;
        if values.is_null(row) {
            return None;
        }
        match values.as_primitive_opt::<Int32Type>() {
            Some(whole) => Some(f64::from(whole.value(row))),
            None => values.as_primitive_opt::<Float64Type>().map(|numbers| numbers.value(row)),
        }
    }
}

impl Totals {
    /// From the results.
    pub fn of(scene: &Scene<'_, '_, '_>) -> Totals {
        let Some(cells) = Cells::of(scene, "totals") else {
            return Totals { groups: Vec::new(), spent: false };
        };
        let groups = SHOWN.iter().map(|&(by, heading)| {
            let rows = (0..cells.rows()).filter(|&row| cells.text("grouped_by", row).as_deref() == Some(by));
            Group {
                heading,
                what: &heading[3..],
                by_shop: by == "shop",
                rows: rows.map(|row| line(&cells, row)).collect(),
            }
        });
        let groups: Vec<Group> = groups.filter(|group: &Group| !group.rows.is_empty()).collect();
        let spent = groups.iter().flat_map(|group| &group.rows).any(|row| !row.spent.key.is_empty());
        Totals { groups, spent }
    }
}

fn line(cells: &Cells, row: usize) -> Row {
    let figure = |name: &str, words: &dyn Fn(f64) -> String| Figure::of(cells.number(name, row), words);
    let whole = |value: f64| format!("{value:.0}");
    let limits = cells.number("findings_low", row).zip(cells.number("findings_high", row));
    Row {
        name: cells.text("group", row),
        propellers: figure("propellers", &whole),
        urgent: figure("tier_1_to_3", &whole),
        overhauls: figure("overhauls", &whole),
        rejected: figure("share_rejected", &|share| format!("{:.0}\u{a0}%", 100.0 * share)),
        thickness: figure("thickness_removed_in", &|inches| format!("{inches:.4}")),
        width: figure("width_removed_in", &|inches| format!("{inches:.4}")),
        findings: figure("findings_per_100h", &|rate| format!("{rate:.2}")),
        limits: limits.map(|(low, high)| format!("{low:.2} to {high:.2}")),
        spent: figure("spent", &thousands),
    }
}
