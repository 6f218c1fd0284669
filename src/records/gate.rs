//! The gate every row passes before its table's own checks: readable, complete, not later than the as-of date.

use std::collections::HashSet;

use rayon::prelude::*;

use super::cells::{Cells, NO_CHOICE, NO_DAY, NO_SMALL, plain_number};
use super::ledger::{Caution, Fate, Ledger, SetAside};
use super::load::LoadedTable;
use super::reading::{self, Fault, Writing};
use super::rule::{Doubt, Rule, one_of};
use super::schema::{Column, Kind, Range, Table, is_free_text};
use super::words::NO_WORD;
use crate::tables::Broken;
use crate::trade::calendar::Day;

/// First day a record may carry.
pub const FIRST_DAY: i32 = -14_610; // 1930-01-01

const ROWS_AT_ONCE: usize = 1 << 18;

/// A table with the fate of each of its rows.
pub struct Gate<'a> {
    /// The table.
    pub table: &'a LoadedTable,
    /// What became of each row.
    pub fates: Vec<Fate>,
    /// Rows set aside so far.
    pub set_aside: Vec<SetAside>,
    cautions: Vec<Caution>,
    /// Row and column of each cell that could not be read.
    unreadable: HashSet<(u32, usize)>,
}

/// Whether a row's cell of a column is recorded.
pub fn is_recorded(cells: &Cells, row: usize) -> bool {
    match cells {
        Cells::Text { codes, .. } => codes[row] != NO_WORD,
        Cells::Choices(v) => v[row] != NO_CHOICE,
        Cells::Days(v) => v[row] != NO_DAY,
        Cells::Numbers(v) => !v[row].is_nan(),
        Cells::Small(v) => v[row] != NO_SMALL,
    }
}

fn expected(column: &Column, writing: &Writing) -> Box<str> {
    match column.kind {
        Kind::Word(words) => one_of(words),
        Kind::Date => match &writing.date_pattern {
            None => "YYYY-MM-DD".to_string(),
            Some(pattern) => pattern.replace("%Y", "YYYY").replace("%m", "MM").replace("%d", "DD"),
        },
        Kind::Length => "a length such as 0.352 or 1 1/16".to_string(),
        Kind::NumberOrNone => "a number, or none".to_string(),
        Kind::Text => "a name".to_string(),
        _ => "a number".to_string(),
    }
    .into_boxed_str()
}

/// What an optional cell that could not be read counts as: never what makes a propeller look safer.
fn counts_as(table: Table, column: &str) -> &'static str {
    match (table, column) {
        (Table::Propellers, "status") => "it counts as flying",
        (Table::Propellers, "use") => "it counts as rental in the order of tiers",
        (Table::Propellers, "acquired") => "it counts as unknown",
        (Table::Propellers | Table::Models, "interval_hours" | "interval_months") => "the limit it meant is not known",
        (Table::Models, "track_limit") => "track is not judged",
        (Table::Limits, "width_min" | "thickness_min") => "the tightest known of that model counts",
        (Table::Fitted, "to_date") => "it counts as not ended",
        (_, "interval_force") => "it counts as binding",
        (Table::Models, "interval_rule") => "it counts as same_day",
        (Table::Models, "interval_from") => "it counts as release",
        (Table::Bases, "corrosivity" | "air") => "without other values the air is not known and counts as the worst",
        (Table::KeptAt, "kept") => "it counts as outside",
        (Table::Inspections | Table::EventChecks, "result") => "it counts as not satisfactory",
        _ => "it counts as not recorded",
    }
}

/// Whether what cannot be read in a column spoils that cell and never its row, so that the rest of the row keeps its say.
fn spoils_the_cell_only(table: Table, column: &Column) -> bool {
    let dimension = matches!(column.name, "width_new" | "width_min" | "thickness_new" | "thickness_min");
    !column.required
        && match table {
            Table::Models => true,
            Table::Limits => dimension,
            Table::Fitted => column.name == "to_date",
            _ => false,
        }
}

/// Letters of a cell that a sentence quotes.
const MOST_QUOTED: usize = 60;

fn in_short(value: &str) -> String {
    match value.char_indices().nth(MOST_QUOTED) {
        Some((end, _)) => format!("{}...", &value[..end]),
        None => value.to_string(),
    }
}

impl<'a> Gate<'a> {
    /// Passes every row of a table through the gate.
    pub fn new(table: &'a LoadedTable, writing: &Writing, as_of: Day) -> Gate<'a> {
        let mut gate = Gate {
            table,
            fates: vec![Fate::Used; table.rows],
            set_aside: Vec::new(),
            cautions: Vec::new(),
            unreadable: table.faults.iter().map(|fault| (fault.row, fault.column as usize)).collect(),
        };
        gate.broken_records(writing, as_of);
        gate.later_rows(as_of);
        gate.unreadable_cells(writing);
        gate.missing_and_absurd();
        for name in &table.unknown_columns {
            gate.cautions.push(Caution {
                table: table.schema.table,
                row: None,
                column: name.as_str().into(),
                value: "".into(),
                doubt: Doubt::UnknownColumn,
                propeller: None,
                visit: None,
                count: 1,
                said: None,
            });
        }
        gate
    }

    /// Which table.
    pub fn which(&self) -> Table {
        self.table.schema.table
    }

    /// Whether a cell could not be read, which is said elsewhere.
    pub fn is_unreadable(&self, row: u32, column: &str) -> bool {
        let at = self.table.schema.position(column);
        at.is_some_and(|at| self.unreadable.contains(&(row, at)))
    }

    /// Sets a row aside for a cell.
    pub fn set_aside(&mut self, row: u32, column: &str, rule: Rule) {
        let value = shown_cell(self.table, column, row as usize);
        self.set_aside_with(row, column, value, rule);
    }

    fn set_aside_with(&mut self, row: u32, column: &str, value: Box<str>, rule: Rule) {
        self.fates[row as usize] = Fate::SetAside;
        self.set_aside.push(SetAside { table: self.which(), row, column: self.table.head(column).into(), value, rule });
    }

    /// Adds a caution about a row and its column.
    pub fn caution(&mut self, row: u32, column: &str, doubt: Doubt, propeller: Option<u32>, visit: Option<Day>) {
        let value = shown_cell(self.table, column, row as usize);
        self.cautions.push(Caution {
            table: self.which(),
            row: Some(row),
            column: self.table.head(column).into(),
            value,
            doubt,
            propeller,
            visit,
            count: 1,
            said: None,
        });
    }

    /// Says that an optional cell counts as not read, with what stands there, why, and what it counts as; the rule it breaks says
    /// what to do.
    pub fn cell_not_read(&mut self, row: u32, column: &str, value: Box<str>, why: &str, rule: &Rule) {
        let which = self.which();
        let head = self.table.head(column);
        let text = format!("{head}: \"{}\" is {why}; {}", in_short(&value), counts_as(which, column));
        self.cautions.push(Caution {
            table: which,
            row: Some(row),
            column: head.into(),
            value,
            doubt: Doubt::CellNotRecorded,
            propeller: None,
            visit: None,
            count: 1,
            said: Some((text.into(), rule.remedy(self.table.settings_stand_in()).into())),
        });
    }

    /// Says that a cell breaks a rule and counts as not read.
    pub fn spoil_cell(&mut self, row: u32, column: &str, rule: &Rule) {
        let value = shown_cell(self.table, column, row as usize);
        self.cell_not_read(row, column, value, &rule.text(), rule);
        self.unreadable.extend(self.table.schema.position(column).map(|at| (row, at)));
    }

    /// A number of a column where what cannot be spoils the cell only; `None` where it is not recorded or cannot be.
    pub fn number(&self, column: &str, row: usize) -> Option<f64> {
        let at = self.table.schema.position(column)?;
        let value = self.table.numbers(column).map(|c| c[row]).filter(|v| !v.is_nan())?;
        self.table.schema.columns[at].range().broken_by(value).is_none().then_some(value)
    }

    /// Adds a caution about a column as a whole.
    pub fn caution_on_column(&mut self, column: &str, doubt: Doubt) {
        let column = self.table.head(column).into();
        self.cautions.push(Caution { column, ..Caution::of_table(self.which(), doubt) });
    }

    /// Whether the row is used so far.
    pub fn is_used(&self, row: usize) -> bool {
        self.fates[row] == Fate::Used
    }

    /// Rows used so far.
    pub fn used_rows(&self) -> impl Iterator<Item = usize> + use<'_, 'a> {
        self.fates.iter().enumerate().filter(|(_, fate)| **fate == Fate::Used).map(|(row, _)| row)
    }

    /// Writes the table's account into the ledger.
    pub fn close(self, ledger: &mut Ledger) {
        ledger.count(self.which(), &self.fates);
        for row in self.set_aside {
            ledger.set_aside(row);
        }
        for caution in self.cautions {
            ledger.caution(caution);
        }
    }

    fn broken_records(&mut self, writing: &Writing, as_of: Day) {
        let table = self.table;
        let own_date = table.schema.own_date.and_then(|name| table.source.columns().iter().position(|c| c == name));
        for Broken { row, problem, pieces } in table.broken() {
            // A row of a later day is not judged by what that day's hand did to it.
            let later = own_date
                .and_then(|at| pieces.get(at))
                .and_then(|text| reading::day(text, writing).ok())
                .is_some_and(|day| day > as_of);
            if later {
                self.fates[*row as usize] = Fate::Later;
            } else {
                self.set_aside_with(*row, "", "".into(), Rule::Record(problem.clone()));
            }
        }
    }

    fn later_rows(&mut self, as_of: Day) {
        let Some(days) = self.table.schema.own_date.and_then(|n| self.table.days(n)) else {
            return;
        };
        let as_of = as_of.number();
        self.fates.par_chunks_mut(ROWS_AT_ONCE).zip(days.par_chunks(ROWS_AT_ONCE)).for_each(|(fates, days)| {
            for (fate, &day) in fates.iter_mut().zip(days) {
                if day > as_of {
                    *fate = Fate::Later;
                }
            }
        });
    }

    fn unreadable_cells(&mut self, writing: &Writing) {
        let table = self.table;
        for fault in &table.faults {
            if !self.is_used(fault.row as usize) {
                continue;
            }
            let column = &table.schema.columns[fault.column as usize];
            // A propeller is never lost for an optional cell, nor any row for a word that only sharpens it.
            let only_sharpens = matches!(column.kind, Kind::Word(_)) || is_free_text(column.name);
            // What an inspection or a check says beside its day and whom it is about only ever makes good.
            let makes_good =
                matches!(self.which(), Table::Inspections | Table::EventChecks | Table::Rechecks | Table::Decisions)
                    && matches!(column.kind, Kind::Date | Kind::Number | Kind::Length);
            let keeps_row = table.schema.table == Table::Propellers || only_sharpens || makes_good;
            let lenient = !column.required && keeps_row || spoils_the_cell_only(table.schema.table, column);
            if lenient {
                let rule = Rule::Unreadable(fault.fault, expected(column, writing));
                let why = match (fault.fault, column.kind) {
                    (Fault::Word, Kind::Word(words)) => format!("none of {}", words.join(", ")),
                    (fault, _) => fault.text(&expected(column, writing)),
                };
                self.cell_not_read(fault.row, column.name, fault.value.clone(), &why, &rule);
            } else {
                let rule = Rule::Unreadable(fault.fault, expected(column, writing));
                self.set_aside_with(fault.row, column.name, fault.value.clone(), rule);
            }
        }
    }

    fn missing_and_absurd(&mut self) {
        let table = self.table;
        let required: Vec<(&'static str, &Cells)> = table
            .schema
            .columns
            .iter()
            .filter(|c| c.required)
            .filter_map(|c| Some((c.name, table.cells(c.name)?)))
            .collect();
        type Group<'t> = (&'static [&'static str], Vec<&'t Cells>);
        let groups: Vec<Group<'_>> = table
            .schema
            .one_of
            .iter()
            .map(|&names| (names, names.iter().filter_map(|n| table.cells(n)).collect()))
            .collect();
        let dates: Vec<(&'static str, &[i32])> =
            table.schema.columns.iter().filter_map(|c| Some((c.name, table.days(c.name)?))).collect();
        // Propellers keep their row; their own reader drops what cannot be.
        let lenient = table.schema.table == Table::Propellers;
        let ranged = table.schema.columns.iter().filter(|c| !lenient && c.range() != Range::Any);
        let ranges: Vec<(&'static Column, Range, &[f64])> =
            ranged.filter_map(|c| Some((c, c.range(), table.numbers(c.name)?))).collect();
        let found: Vec<(u32, &'static str, Rule)> = self
            .fates
            .par_chunks(ROWS_AT_ONCE)
            .enumerate()
            .flat_map_iter(|(chunk, fates)| {
                let first = chunk * ROWS_AT_ONCE;
                let mut found = Vec::new();
                for (at, fate) in fates.iter().enumerate() {
                    if *fate != Fate::Used {
                        continue;
                    }
                    let row = first + at;
                    let missing = required.iter().find(|(_, cells)| !is_recorded(cells, row));
                    if let Some((name, _)) = missing {
                        found.push((row as u32, *name, Rule::NotRecorded));
                        continue;
                    }
                    let empty = groups.iter().find(|(_, cells)| !cells.iter().any(|c| is_recorded(c, row)));
                    if let Some((names, _)) = empty {
                        found.push((row as u32, names[0], Rule::NoneOfRecorded(names)));
                        continue;
                    }
                    let early = dates.iter().find(|(_, days)| days[row] < FIRST_DAY && days[row] != NO_DAY);
                    if let Some((name, _)) = early.filter(|_| !lenient) {
                        found.push((row as u32, *name, Rule::Before1930));
                        continue;
                    }
                    let absurd = ranges
                        .iter()
                        .filter_map(|(column, range, values)| Some((column.name, range.broken_by(values[row])?)));
                    found.extend(absurd.map(|(name, rule)| (row as u32, name, rule)));
                }
                found
            })
            .collect();
        for (row, name, rule) in found {
            let column = table.schema.columns.iter().find(|c| c.name == name);
            if column.is_some_and(|c| spoils_the_cell_only(table.schema.table, c)) {
                self.spoil_cell(row, name, &rule);
            } else if self.is_used(row as usize) {
                self.set_aside(row, name, rule);
            }
        }
    }
}

/// A cell as a person would write it.
pub fn shown_cell(table: &LoadedTable, column: &str, row: usize) -> Box<str> {
    let Some(cells) = table.cells(column) else {
        return "".into();
    };
    if !is_recorded(cells, row) {
        return "".into();
    }
    match cells {
        Cells::Text { codes, words } => words.get(codes[row]).into(),
        Cells::Choices(v) => match table.schema.position(column).map(|p| table.schema.columns[p].kind) {
            Some(Kind::Word(words)) => words[v[row] as usize].into(),
            _ => "".into(),
        },
        Cells::Days(v) => Day::from_number(v[row]).to_string().into(),
        Cells::Numbers(v) if v[row].is_infinite() => "none".into(),
        Cells::Numbers(v) => {
            // Shown in the file's own unit.
            let head = table.head(column);
            let over = match head.strip_prefix(column) {
                Some("_mm") => 25.4,
                Some("_thou") => 1000.0,
                _ => 1.0,
            };
            let value = v[row] * over;
            let rounded = (value * 1e9).round() / 1e9;
            plain_number(if rounded.is_finite() { rounded } else { value }).into()
        }
        Cells::Small(v) => v[row].to_string().into(),
    }
}
