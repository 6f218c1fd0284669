//! What became of the rows: the count of every table, the rows set aside, and the cautions rule by rule.

use std::collections::BTreeMap;

use crate::records::Fleet;
use crate::records::ledger::Caution;
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
        let of = |row: &crate::records::ledger::SetAside| Aside {
            place: fleet.loaded.table(row.table).map_or_else(
                || row.table.name().to_string(),
                |table| {
                    let place = table.place(row.row);
                    format!("{}, line {}", place.file, place.line)
                },
            ),
            column: row.column.to_string(),
            value: row.value.to_string(),
            rule: quoted(&row.rule.text()),
            remedy: quoted(&row.rule.remedy()),
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
            by_rule.into_iter().map(|(doubt, cautions)| Doubted::of(scene, doubt, &cautions)).collect();
        // Rules of one count stay in their own order.
        all.sort_by_key(|d| std::cmp::Reverse(d.cautions));
        all
    }

    fn of(scene: &Scene<'_, '_, '_>, doubt: Doubt, cautions: &[&Caution]) -> Doubted {
        let mut propellers: Vec<u32> = cautions.iter().filter_map(|c| c.propeller).collect();
        propellers.sort_unstable();
        propellers.dedup();
        let named: Vec<Who> = propellers.iter().filter_map(|&p| scene.who_is(p)).take(NAMED).collect();
        let fleet = scene.answers.fleet;
        let place = cautions.first().and_then(|first| {
            let table = fleet.loaded.table(first.table)?;
            Some(match first.row {
                Some(row) => {
                    let place = table.place(row);
                    format!("{}, line {}", place.file, place.line)
                }
                None => format!("{}, {}", table.source.header_place().file, first.column),
            })
        });
        Doubted {
            rule: quoted(doubt.text()),
            remedy: quoted(doubt.remedy()),
            cautions: cautions.len(),
            place: place.unwrap_or_default(),
            more: propellers.len() - named.len(),
            named,
        }
    }
}
