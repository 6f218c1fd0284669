//! One thing wrong with the settings as given.

use std::fmt;

use serde::{Serialize, Serializer};

/// Where in its layer a setting stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// A place in a TOML text, both counted from 1, the column in characters.
    At {
        /// The line.
        line: usize,
        /// The column.
        column: usize,
    },
    /// The position among pairs of key and value, counted from 1: an option of the command line.
    Entry(usize),
    /// A cell of a sheet, both counted from 1.
    Cell {
        /// The row.
        row: u32,
        /// The column.
        column: u32,
    },
}

/// The letters of a sheet's column, counted from 1: `A` for 1, `AA` for 27.
fn letters(column: u32) -> String {
    let mut rest = column;
    let mut letters = Vec::new();
    while rest > 0 {
        letters.push(char::from(b'A' + ((rest - 1) % 26) as u8));
        rest = (rest - 1) / 26;
    }
    letters.iter().rev().collect()
}

/// Where the value in force was set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Origin {
    /// Nowhere: the default holds.
    Default,
    /// In a layer.
    Set {
        /// The layer's name.
        layer: String,
        /// The place in it.
        place: Place,
    },
    /// By code that changed the field itself.
    Program,
}

impl fmt::Display for Origin {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Origin::Default => out.write_str("default"),
            Origin::Set { layer, place: Place::At { line, .. } } => write!(out, "{layer}, line {line}"),
            Origin::Set { layer, place: Place::Entry(_) } => out.write_str(layer),
            Origin::Set { layer, place } => write!(out, "{layer}{}", At(place)),
            Origin::Program => out.write_str("the program"),
        }
    }
}

impl Serialize for Origin {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// One thing wrong with the settings: where, which key, what was expected, what was found, what to do.
///
/// Shown as `fleet.toml:3:15: ranking.weight_time: expected a number from 0 to 1000, found "high"`, with a line `hint: ...`
/// below.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{layer}{}: {}expected {expected}, found {found}\nhint: {remedy}", At(.place), Named(.key))]
pub struct SettingError {
    /// The name of the layer: mostly a file.
    pub layer: String,
    /// The place in it.
    pub place: Place,
    /// The key with its section, as `ranking.weight_time`; empty when the text could not be read that far.
    pub key: String,
    /// What was found, as it was written.
    pub found: String,
    /// What is allowed there.
    pub expected: String,
    /// What to do about it.
    pub remedy: String,
}

struct At<'a>(&'a Place);

impl fmt::Display for At<'_> {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            Place::At { line, column } => write!(out, ":{line}:{column}"),
            Place::Entry(_) => Ok(()),
            Place::Cell { row, column } => write!(out, "!{}{row}", letters(*column)),
        }
    }
}

struct Named<'a>(&'a str);

impl fmt::Display for Named<'_> {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.0.is_empty() { Ok(()) } else { write!(out, "{}: ", self.0) }
    }
}
