//! Reads `models`: what the maker states, row by row. A cell that cannot be read spoils that cell and never its row.

use std::collections::{BTreeSet, HashMap};

use super::cells::NO_SMALL;
use super::choice::{Force, IntervalFrom, MonthRule, or_absent};
use super::gate::Gate;
use super::ledger::Fate;
use super::models::{Model, Stated, set_conflict_aside};
use super::rule::{Doubt, Rule};
use super::words::NO_WORD;

/// What a row of `models` says, and whose limits it points at.
type Said = (Model, Option<String>);

/// The models that `models` names.
#[derive(Default)]
pub(super) struct ModelRows {
    /// In order of their first rows.
    pub list: Vec<Model>,
    /// Number of each name in the list.
    pub index: HashMap<String, u32>,
    /// Models that point at the limits of another, its name, and the row that says so.
    pub shared: Vec<(u32, String, u32)>,
    /// The shortest hours and months that any row states.
    pub shortest_interval: [Option<f64>; 2],
    /// What the rows of each model say.
    said: Vec<Vec<Said>>,
    /// What rows say whose name is not recorded.
    nameless: Vec<Said>,
}

impl ModelRows {
    /// Reads the table; `named` are the designations that the rest of the records names.
    pub(super) fn read(&mut self, gate: &mut Gate<'_>, named: &[&str], track_limit_in: f64) {
        let table = gate.table;
        let Some((codes, words)) = table.text("model") else {
            return;
        };
        for (row, &code) in codes.iter().enumerate() {
            let is_named = code != NO_WORD;
            // A record that was not cut has no cells.
            if !is_named && gate.fates[row] == Fate::SetAside && !table.broken().iter().any(|b| b.row == row as u32) {
                self.nameless.push(row_of(gate, row, "", track_limit_in));
            } else if is_named && gate.is_used(row) {
                let said = row_of(gate, row, words.get(code), track_limit_in);
                self.add(gate, row as u32, said);
            }
        }
        for (_, of, row) in &self.shared {
            if !self.index.contains_key(of) {
                gate.caution(*row, "limits_of", Doubt::UndefinedModel, None, None);
            }
        }
        for (model, _) in self.said.iter().flatten().chain(&self.nameless) {
            for (shortest, stated) in
                self.shortest_interval.iter_mut().zip([model.interval_hours, model.interval_months])
            {
                *shortest = [*shortest, stated.value()].into_iter().flatten().reduce(f64::min);
            }
        }
        self.lend(named);
    }

    fn add(&mut self, gate: &mut Gate<'_>, row: u32, (model, limits_of): Said) {
        let Some(&known) = self.index.get(&model.name) else {
            let number = self.list.len() as u32;
            self.index.insert(model.name.clone(), number);
            self.list.push(model.clone());
            if let Some(of) = &limits_of {
                self.shared.push((number, of.clone(), row));
            }
            self.said.push(vec![(model, limits_of)]);
            return;
        };
        let first_row = self.list[known as usize].row.unwrap_or(0);
        let rows = &mut self.said[known as usize];
        let same = |(other, of): &Said| *of == limits_of && Model { row: other.row, ..model.clone() } == *other;
        if rows.iter().any(same) {
            gate.caution(row, "model", Doubt::IdenticalRows, None, None);
            return;
        }
        less_favourable(&mut self.list[known as usize], &model);
        // Whose limits hold is not known when two rows say different things.
        if rows.iter().any(|(_, of)| *of != limits_of) {
            self.shared.retain(|(of, ..)| *of != known);
        }
        rows.push((model, limits_of));
        set_conflict_aside(gate, row, "model", first_row);
    }

    /// Gives the designations that have no row what the rows without a name say: it may be theirs, so it never makes one look
    /// safer.
    fn lend(&mut self, named: &[&str]) {
        let Some(((first, _), others)) = self.nameless.split_first() else {
            return;
        };
        let lacking: BTreeSet<&str> = named.iter().copied().filter(|name| !self.index.contains_key(*name)).collect();
        let mut merged = Model { borrowed: true, row: None, ..first.clone() };
        for (other, _) in others {
            less_favourable(&mut merged, other);
        }
        let limits_of = self.nameless.iter().find_map(|(model, of)| Some((of.clone()?, model.row?)));
        for name in lacking {
            let number = self.list.len() as u32;
            if let Some((of, row)) = &limits_of {
                merged.limits_unusable = true;
                self.shared.push((number, of.clone(), *row));
            }
            self.index.insert(name.to_string(), number);
            self.list.push(Model { name: name.to_string(), ..merged.clone() });
        }
    }
}

fn row_of(gate: &mut Gate<'_>, row: usize, name: &str, track_limit_in: f64) -> Said {
    let table = gate.table;
    let mut model = Model::named(name);
    model.row = Some(row as u32);
    model.blades = table.small("blades").map(|c| c[row]).filter(|&blades| blades != NO_SMALL);
    if model.blades.is_some_and(|blades| !(2..=3).contains(&blades)) {
        gate.spoil_cell(row as u32, "blades", &Rule::OutOfRange { low: 2.0, high: 3.0 });
        model.blades = None;
    }
    model.diameter_in = gate.number("diameter", row);
    model.diameter_min_in = gate.number("diameter_min", row);
    model.diameter_min_blank = table.numbers("diameter_min").is_some() && model.diameter_min_in.is_none();
    let stated = |name| gate.number(name, row).map_or(Stated::NotRecorded, Stated::of_cell);
    model.interval_hours = stated("interval_hours");
    model.interval_months = stated("interval_months");
    model.max_rpm = gate.number("max_rpm", row);
    let track_limit = gate.number("track_limit", row);
    model.track_limit_in = track_limit.unwrap_or(track_limit_in);
    model.track_limit_stated = match table.numbers("track_limit") {
        None => Some(false),
        Some(_) => track_limit.map(|_| true),
    };
    let choices = |name| table.choices(name);
    // Where the cell is empty the choice that comes due earlier holds.
    model.month_rule =
        or_absent(choices("interval_rule"), row, MonthRule::SameDay, MonthRule::of_cell).unwrap_or(MonthRule::SameDay);
    model.interval_from = or_absent(choices("interval_from"), row, IntervalFrom::Release, IntervalFrom::of_cell)
        .unwrap_or(IntervalFrom::Release);
    model.force =
        or_absent(choices("interval_force"), row, Force::Recommended, Force::of_cell).unwrap_or(Force::Binding);
    let limits_of = table
        .text("limits_of")
        .filter(|(codes, _)| codes[row] != NO_WORD)
        .map(|(codes, words)| words.get(codes[row]).to_string());
    (model, limits_of)
}

/// Two different rows for one model: cell by cell the one that makes a propeller of it look less safe.
fn less_favourable(first: &mut Model, other: &Model) {
    let pick = |a: Option<f64>, b: Option<f64>, of: fn(f64, f64) -> f64| match (a, b) {
        (Some(a), Some(b)) => Some(of(a, b)),
        (a, b) => a.or(b),
    };
    first.interval_hours = first.interval_hours.shorter(other.interval_hours);
    first.interval_months = first.interval_months.shorter(other.interval_months);
    first.force = first.force.min(other.force);
    first.month_rule = first.month_rule.min(other.month_rule);
    first.interval_from = first.interval_from.min(other.interval_from);
    first.blades = first.blades.max(other.blades);
    first.track_limit_in = first.track_limit_in.min(other.track_limit_in);
    first.track_limit_stated = first.track_limit_stated.max(other.track_limit_stated);
    first.max_rpm = pick(first.max_rpm, other.max_rpm, f64::max);
    first.diameter_in = pick(first.diameter_in, other.diameter_in, f64::min);
    first.diameter_min_in = pick(first.diameter_min_in, other.diameter_min_in, f64::max);
    first.diameter_min_blank &= other.diameter_min_blank;
}
