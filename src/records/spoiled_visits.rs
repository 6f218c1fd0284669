//! Rows of `overhauls` that name a propeller and could not be used: the visit took place, what it did is not known.

use super::cells::{NO_CHOICE, NO_DAY};
use super::choice::{Outcome, Work, or_absent};
use super::gate::Gate;
use super::models::Models;
use super::propellers::Propellers;
use super::reading::same_word;
use super::rule::{Doubt, Rule};
use super::visits::{PropellerOfCode, named_by_broken};
use super::words::NO_WORD;
use crate::trade::calendar::Day;

/// A row of `overhauls` that names a known propeller and could not be used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SpoiledVisit {
    /// Index of the propeller.
    pub propeller: u32,
    /// Its day, when that could be read.
    pub day: Option<Day>,
    /// Its outcome, when that could be read.
    pub outcome: Option<Outcome>,
    /// It names a designation, or work that changes it.
    pub may_change_model: bool,
}

/// Every such row, by propeller and day, with a caution on its propeller.
pub(super) fn spoiled_visits(
    gate: &mut Gate<'_>,
    index: &PropellerOfCode,
    propellers: &Propellers,
    models: &Models,
) -> Vec<SpoiledVisit> {
    let table = gate.table;
    let (Some((codes, _)), Some(days)) = (table.text("propeller"), table.days("overhaul_date")) else {
        return Vec::new();
    };
    let outcomes = table.choices("outcome");
    let works = table.choices("work");
    let designations = table.text("model_after").map(|(codes, _)| codes);
    let mut spoiled: Vec<(u32, SpoiledVisit)> = Vec::new();
    for aside in &gate.set_aside {
        if matches!(aside.rule, Rule::ConflictingRow { .. }) {
            continue;
        }
        let row = aside.row as usize;
        let Some(propeller) = index.of(codes[row]) else {
            continue;
        };
        let work = Work::of_cell(works.map_or(NO_CHOICE, |c| c[row]));
        let visit = SpoiledVisit {
            propeller,
            day: Some(days[row]).filter(|&d| d != NO_DAY).map(Day::from_number),
            outcome: or_absent(outcomes, row, Outcome::Released, Outcome::of_cell),
            may_change_model: matches!(work, Some(Work::Shorten | Work::Repitch))
                || designations.is_some_and(|c| c[row] != NO_WORD),
        };
        spoiled.push((aside.row, visit));
    }
    for (row, propeller) in named_by_broken(gate, propellers) {
        let pieces = table.broken().iter().filter(|b| b.row == row);
        let may_change_model = pieces.flat_map(|b| &b.pieces).any(|piece| {
            models.find(piece).is_some()
                || [Work::Shorten, Work::Repitch].iter().any(|work| same_word(piece, work.word()))
        });
        let visit = SpoiledVisit { propeller, day: None, outcome: None, may_change_model };
        spoiled.push((row, visit));
    }
    for (row, visit) in &spoiled {
        gate.caution(*row, "propeller", Doubt::VisitNotUsed, Some(visit.propeller), visit.day);
    }
    let mut spoiled: Vec<SpoiledVisit> = spoiled.into_iter().map(|(_, visit)| visit).collect();
    spoiled.sort_by_key(|s| (s.propeller, s.day, s.outcome, s.may_change_model));
    spoiled
}
