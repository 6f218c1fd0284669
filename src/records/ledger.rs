//! The account of every row: used, set aside, or later than the as-of date.

use std::collections::HashMap;

use super::rule::{Doubt, Rule};
use super::schema::{TABLES, Table};
use crate::trade::calendar::Day;

/// What became of a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
pub enum Fate {
    /// Used.
    Used = 0,
    /// Set aside.
    SetAside = 1,
    /// Its own date is after the as-of date.
    Later = 2,
}

/// A row that could not be used.
#[derive(Debug, Clone, PartialEq)]
pub struct SetAside {
    /// Its table.
    pub table: Table,
    /// Row of the table, from 0.
    pub row: u32,
    /// The column at fault, as the file names it; empty when the whole record is.
    pub column: Box<str>,
    /// What stands there.
    pub value: Box<str>,
    /// The rule it broke.
    pub rule: Rule,
}

/// A row that is used although it looks wrong: one a propeller, visit and rule.
#[derive(Debug, Clone, PartialEq)]
pub struct Caution {
    /// The table of the first such row.
    pub table: Table,
    /// The first such row, from 0; `None` when the caution is about the header.
    pub row: Option<u32>,
    /// The column, as the file names it.
    pub column: Box<str>,
    /// What stands there.
    pub value: Box<str>,
    /// The rule.
    pub doubt: Doubt,
    /// Index of the propeller, when it is about one.
    pub propeller: Option<u32>,
    /// Day of the visit, when it is about one.
    pub visit: Option<Day>,
    /// How many rows.
    pub count: u32,
    /// What is said of this cell in particular, and what to do about it; else the doubt says it.
    pub said: Option<(Box<str>, Box<str>)>,
}

impl Caution {
    /// A caution about a table as a whole.
    pub fn of_table(table: Table, doubt: Doubt) -> Caution {
        Caution {
            table,
            row: None,
            column: "".into(),
            value: "".into(),
            doubt,
            propeller: None,
            visit: None,
            count: 1,
            said: None,
        }
    }
}

/// Rows of one table and what became of them.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Count {
    /// Rows read.
    pub read: u32,
    /// Rows used.
    pub used: u32,
    /// Rows set aside.
    pub set_aside: u32,
    /// Rows whose own date is after the as-of date.
    pub later: u32,
}

/// Every problem found, and the count of every table.
#[derive(Debug, Default, Clone)]
pub struct Ledger {
    /// Rows set aside, by table and row.
    pub set_aside: Vec<SetAside>,
    /// Cautions, by table and row.
    pub cautions: Vec<Caution>,
    counts: [Option<Count>; TABLES.len()],
    caution_index: HashMap<(Doubt, Option<u32>, Option<Day>, Table), usize>,
}

impl Ledger {
    /// Sets a row aside.
    pub fn set_aside(&mut self, row: SetAside) {
        self.set_aside.push(row);
    }

    /// Adds a caution, or counts it to the one already there for this propeller, visit and rule.
    pub fn caution(&mut self, caution: Caution) {
        let key = (caution.doubt, caution.propeller, caution.visit, caution.table);
        // Cautions about no propeller in particular stay apart: each names its own cell.
        if caution.propeller.is_none() {
            self.cautions.push(caution);
            return;
        }
        match self.caution_index.get(&key) {
            Some(&at) => {
                let known = &mut self.cautions[at];
                known.count += caution.count;
                if caution.row < known.row {
                    known.row = caution.row;
                    known.column = caution.column;
                    known.value = caution.value;
                }
            }
            None => {
                self.caution_index.insert(key, self.cautions.len());
                self.cautions.push(caution);
            }
        }
    }

    /// Records what became of a table's rows.
    pub fn count(&mut self, table: Table, fates: &[Fate]) {
        let mut count = Count { read: fates.len() as u32, ..Count::default() };
        for fate in fates {
            match fate {
                Fate::Used => count.used += 1,
                Fate::SetAside => count.set_aside += 1,
                Fate::Later => count.later += 1,
            }
        }
        self.counts[table as usize] = Some(count);
    }

    /// The counts of a table; `None` when the fleet has no such table.
    pub fn counts(&self, table: Table) -> Option<Count> {
        self.counts[table as usize]
    }

    /// Rows set aside in all tables.
    pub fn total_set_aside(&self) -> usize {
        self.set_aside.len()
    }

    /// Puts the lists in their stated order: table, row, rule.
    pub fn sort(&mut self) {
        self.set_aside.sort_by_key(|s| (s.table, s.row));
        self.cautions.sort_by_key(|c| (c.table, c.row, c.doubt, c.propeller, c.visit));
        self.caution_index.clear();
    }
}
