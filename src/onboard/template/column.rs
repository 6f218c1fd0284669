//! One column of a template: its heading, and the note that says what goes into it.

use super::fill_or_delete::FillOrDelete;
use crate::records::schema::{Column, Kind, Range, Schema};

/// The unit of the lengths in a template.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum LengthUnit {
    /// Inches.
    #[default]
    Inches,
    /// Millimetres.
    Millimetres,
}

impl LengthUnit {
    /// The ending of a column's name.
    pub const fn ending(self) -> &'static str {
        match self {
            LengthUnit::Inches => "_in",
            LengthUnit::Millimetres => "_mm",
        }
    }

    /// The unit in words.
    pub const fn words(self) -> &'static str {
        match self {
            LengthUnit::Inches => "inches",
            LengthUnit::Millimetres => "millimetres",
        }
    }

    /// A length in this unit, as people write it: inches to a thousandth, millimetres to a hundredth.
    pub fn of_inches(self, inches: f64) -> f64 {
        match self {
            LengthUnit::Inches => (inches * 1e3).round() / 1e3,
            LengthUnit::Millimetres => (inches * 25.4 * 1e2).round() / 1e2,
        }
    }

    /// A length longer than any on a propeller. A spreadsheet that takes 1/16 for a day stores a number far above it.
    pub(super) const fn longest(self) -> f64 {
        match self {
            LengthUnit::Inches => 200.0,
            LengthUnit::Millimetres => 5_000.0,
        }
    }

    const fn such_as(self) -> &'static str {
        match self {
            LengthUnit::Inches => "0.352",
            LengthUnit::Millimetres => "8.94",
        }
    }
}

/// The heading of a column: a length's name with the unit's ending, any other as it is.
pub fn heading(column: &Column, unit: LengthUnit) -> String {
    match column.kind {
        Kind::Length => format!("{}{}", column.name, unit.ending()),
        _ => column.name.to_string(),
    }
}

/// What may be written into a cell.
pub(super) fn give(column: &Column, unit: LengthUnit) -> String {
    let bounds = match column.range() {
        Range::Between(low, high) => format!(" from {low} to {high}"),
        Range::Positive => " above 0".to_string(),
        Range::NotNegative | Range::Any => String::new(),
    };
    match column.kind {
        Kind::Text => "Text.".to_string(),
        Kind::Word(words) => format!("One of: {}.", words.join(", ")),
        Kind::Date => "A day, as 2026-01-31.".to_string(),
        Kind::Number => format!("A number{bounds}."),
        Kind::NumberOrNone => {
            format!("A number{bounds}, or the word none where the maker states no such limit.")
        }
        Kind::Small => "A whole number.".to_string(),
        Kind::Length => format!("A length in {}, as {}.", unit.words(), unit.such_as()),
    }
}

/// The note on a column.
pub(super) fn note(schema: &Schema, column: &Column, unit: LengthUnit) -> String {
    let mut text = format!("{}.\n{}", column.about, give(column, unit));
    if column.required {
        text.push_str("\nNeeded in every row.");
    }
    for group in schema.one_of {
        if group.contains(&column.name) {
            let others = schema.columns.iter().filter(|c| group.contains(&c.name));
            let names: Vec<String> = others.map(|c| heading(c, unit)).collect();
            text.push_str(&format!("\nOne of {} is needed in every row.", names.join(" and ")));
        }
    }
    if let Some(of) = FillOrDelete::of(schema.table, column.name) {
        text.push_str(&format!("\n{}", of.advice()));
    }
    text
}
