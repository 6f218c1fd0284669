//! What became of the rows: the count of every table, the rows set aside, and the cautions rule by rule.

use std::collections::BTreeMap;

use crate::records::Fleet;
use crate::records::ledger::Caution;
use crate::records::problem::Problem;
use crate::records::rule::Doubt;
use crate::records::schema::TABLES;
use crate::report::scene::{Scene, Who};
use crate::report::words::quoted;

/// Propellers a caution names.
const NAMED: usize = 6;

/// A table of the fleet folder.
pub(super) struct TableCount {
    pub(super) name: &'static str,
    /// Rows read, used, set aside and later; `None` where there is no such table.
    pub(super) counts: Option<[u32; 4]>,
    pub(super) absent: String,
}

impl TableCount {
    pub(super) fn all(fleet: &Fleet<'_>) -> Vec<TableCount> {
        let of = |schema: &&crate::records::schema::Schema| TableCount {
            name: schema.name,
            counts: fleet.ledger.counts(schema.table).map(|c| [c.read, c.used, c.set_aside, c.later]),
            absent: quoted(schema.absent),
        };
        TABLES.iter().map(of).collect()
    }
}

/// A row set aside.
pub(super) struct Aside {
    /// File and line.
    pub(super) place: String,
    pub(super) column: String,
    pub(super) value: String,
    pub(super) rule: String,
    pub(super) remedy: String,
}

impl Aside {
    pub(super) fn first(fleet: &Fleet<'_>, most: usize) -> Vec<Aside> {
        let of = |row| {
            let problem = Problem::of_row(fleet, row);
            Aside {
                place: problem.at_in_full(),
                column: problem.column.to_string(),
                value: problem.value.to_string(),
                rule: quoted(&problem.rule),
                remedy: quoted(&problem.remedy),
            }
        };
        fleet.ledger.set_aside.iter().take(most).map(of).collect()
    }
}

/// A rule that rows which are used break all the same.
pub(super) struct Doubted {
    pub(super) rule: String,
    pub(super) remedy: String,
    pub(super) cautions: usize,
    /// Where the first one stands.
    pub(super) place: String,
    pub(super) named: Vec<Who>,
    /// Propellers of which no more is said here.
    pub(super) more: usize,
}

impl Doubted {
    pub(super) fn all(scene: &Scene<'_, '_, '_>) -> Vec<Doubted> {
        let mut by_rule: BTreeMap<Doubt, Vec<&Caution>> = BTreeMap::new();
        for caution in &scene.answers.fleet.ledger.cautions {
            by_rule.entry(caution.doubt).or_default().push(caution);
        }
        let mut all: Vec<Doubted> =
            by_rule.into_values().filter_map(|cautions| Doubted::of(scene, &cautions)).collect();
        // Rules of one count stay in their own order.
        all.sort_by_key(|d| std::cmp::Reverse(d.cautions));
        all
    }

    fn of(scene: &Scene<'_, '_, '_>, cautions: &[&Caution]) -> Option<Doubted> {
        let problem = Problem::of_alike(scene.answers.fleet, cautions)?;
        let mut propellers: Vec<u32> = cautions.iter().filter_map(|c| c.propeller).collect();
        propellers.sort_unstable();
        propellers.dedup();
        let named: Vec<Who> = propellers.iter().filter_map(|&p| scene.who_is(p)).take(NAMED).collect();
        Some(Doubted {
            rule: quoted(&problem.rule),
            remedy: quoted(&problem.remedy),
            cautions: cautions.len(),
            place: problem.at_in_full(),
            more: propellers.len() - named.len(),
            named,
        })
    }
}
