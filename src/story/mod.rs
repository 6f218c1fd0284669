//! The whole story of one propeller: every number of its rows with the records and the arithmetic behind it.
//!
//! Results in, a page of plain text parts out; how wide it is printed, and where, is not decided here.
//!
//! | file | question |
//! | --- | --- |
//! | [`find`] | which propellers does an identifier mean? |
//! | [`place`] | where does it stand, and why? |
//! | [`due`] | when is it due? |
//! | [`metal`] | what is left of it, and what did each overhaul take? |
//! | [`ahead`] | how many overhauls are left? |
//! | [`damage`] | what was found on it? |
//! | [`air`] | what has the air done? |
//! | [`money`] | what will the next overhaul cost? |
//! | [`file`] | what does its file lack, and which rows look wrong? |
//! | [`sheet`] | what does the shop need to know at its next visit? |

mod ahead;
mod air;
mod damage;
mod due;
mod file;
pub mod find;
mod metal;
mod money;
mod place;
pub mod sheet;

use crate::records::Fleet;
use crate::records::schema::Table;
use crate::results::answers::Answers;

/// A part of a section.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Part {
    /// A sentence or two.
    Text(String),
    /// Rows under headings, cells as they are printed.
    Table {
        /// Headings.
        head: Vec<&'static str>,
        /// Rows, as many cells each.
        rows: Vec<Vec<String>>,
    },
}

/// A section of the story.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Section {
    /// Its heading.
    pub heading: &'static str,
    /// What it says, in order.
    pub parts: Vec<Part>,
}

impl Section {
    fn new(heading: &'static str) -> Section {
        Section { heading, parts: Vec::new() }
    }

    fn say(&mut self, text: impl Into<String>) {
        self.parts.push(Part::Text(text.into()));
    }

    fn table(&mut self, head: Vec<&'static str>, rows: Vec<Vec<String>>) {
        if !rows.is_empty() {
            self.parts.push(Part::Table { head, rows });
        }
    }
}

/// The story of one propeller.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Story {
    /// Its serial and what it is.
    pub title: String,
    /// What is said, in the order a person reads.
    pub sections: Vec<Section>,
}

/// Tells the story of one propeller.
pub fn explain(answers: &Answers<'_, '_>, propeller: u32) -> Story {
    let teller = Teller { answers, propeller };
    Story {
        title: teller.title(),
        sections: vec![
            place::section(&teller),
            due::section(&teller),
            metal::margins(&teller),
            metal::losses(&teller),
            ahead::section(&teller),
            damage::section(&teller),
            air::section(&teller),
            money::section(&teller),
            file::gaps(&teller),
            file::problems(&teller),
            file::assumptions(&teller),
        ]
        .into_iter()
        .filter(|section| !section.parts.is_empty())
        .collect(),
    }
}

/// What every section needs.
struct Teller<'t, 'f, 'a> {
    answers: &'t Answers<'f, 'a>,
    propeller: u32,
}

impl<'f, 'a> Teller<'_, 'f, 'a> {
    fn fleet(&self) -> &'f Fleet<'a> {
        self.answers.fleet
    }

    /// File and line of a row, in brackets; nothing for no row.
    fn record(&self, table: Table, row: Option<u32>) -> String {
        self.fleet().loaded.in_brackets(table, row, "")
    }

    /// File and line of a row, for a cell of a table.
    fn record_cell(&self, table: Table, row: Option<u32>) -> String {
        let record = self.record(table, row);
        record.trim_matches([' ', '(', ')']).to_string()
    }

    fn title(&self) -> String {
        let fleet = self.fleet();
        let of = fleet.propellers.get(self.propeller);
        let mut words = vec![format!("Propeller {}", fleet.propellers.serial(self.propeller))];
        if let Some(model) = crate::analysis::margins::model_now(fleet, self.propeller) {
            words.push(format!("model {}", fleet.models.get(model).name));
        }
        if let Some(aircraft) = fleet.aircraft_of(self.propeller) {
            words.push(format!("on {aircraft}"));
        }
        if let Some(usage) = of.usage {
            words.push(usage.word().to_string());
        }
        if let Some(base) = of.base {
            words.push(format!("at {}", fleet.propellers.bases.get(base)));
        }
        format!("{}, as of {}", words.join(", "), fleet.as_of)
    }
}

/// The middle of some numbers; `None` when there are none.
fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let middle = values.len() / 2;
    match values.len() {
        0 => None,
        n if n % 2 == 1 => Some(values[middle]),
        _ => Some((values[middle - 1] + values[middle]) / 2.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn middles() {
        assert_eq!(median(vec![3.0, 1.0, 2.0]), Some(2.0));
        assert_eq!(median(vec![3.0, 1.0]), Some(2.0));
        assert_eq!(median(vec![]), None);
    }
}
