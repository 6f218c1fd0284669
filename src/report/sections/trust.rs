//! How far to trust this: how the forecast would have done on the fleet's own past, what became of every row, what is assumed, and
//! what each method rests on.

mod accuracy;
mod rows;

use askama::Template;

use crate::report::scene::Scene;
use crate::results::METHODS;
use crate::settings::{Origin, SettingRow, SourceMark};
use accuracy::Accuracy;
use rows::{Aside, Doubted, TableCount};

/// Rows set aside that the page lists; the rest stands in `set_aside.csv`.
const ROWS_LISTED: usize = 100;

/// The section.
#[derive(Template)]
#[template(path = "trust.html", config = "src/report/askama.toml")]
pub struct Trust {
    accuracy: Option<Accuracy>,
    tables: Vec<TableCount>,
    set_aside: usize,
    asides: Vec<Aside>,
    cautions: usize,
    doubted: Vec<Doubted>,
    changed: Vec<Assumption>,
    assumed: Vec<Assumption>,
    methods: &'static [(&'static str, &'static str)],
}

/// A setting in force.
struct Assumption {
    name: String,
    value: String,
    default: String,
    where_set: String,
    meaning: &'static str,
}

impl Assumption {
    fn of(row: &SettingRow) -> Assumption {
        let with_unit = |value: &dyn std::fmt::Display| match row.unit {
            "" => value.to_string(),
            unit => format!("{value} {unit}"),
        };
        Assumption {
            name: match row.section {
                "" => row.key.to_string(),
                section => format!("{section}.{}", row.key),
            },
            value: with_unit(&row.value),
            default: with_unit(&row.default),
            where_set: row.where_set.to_string(),
            meaning: row.meaning,
        }
    }
}

impl Trust {
    /// From the results.
    pub fn of(scene: &Scene<'_, '_, '_>) -> Trust {
        let ledger = &scene.answers.fleet.ledger;
        let settings = scene.answers.settings.rows();
        let changed = settings.iter().filter(|s| s.where_set != Origin::Default);
        let assumed = settings.iter().filter(|s| s.where_set == Origin::Default && s.source == SourceMark::Assumption);
        Trust {
            accuracy: scene.answers.backtest().map(Accuracy::of),
            tables: TableCount::all(scene.answers.fleet),
            set_aside: ledger.total_set_aside(),
            asides: Aside::first(scene.answers.fleet, ROWS_LISTED),
            cautions: ledger.cautions.len(),
            doubted: Doubted::all(scene),
            changed: changed.map(Assumption::of).collect(),
            assumed: assumed.map(Assumption::of).collect(),
            methods: METHODS,
        }
    }

    fn not_listed(&self) -> usize {
        self.set_aside - self.asides.len()
    }
}
