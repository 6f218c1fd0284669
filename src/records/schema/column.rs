//! A column of a table: what its cells hold and may be.

use crate::records::rule::Rule;

/// What the cells of a column hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// An identifier or free text, trimmed, otherwise as written.
    Text,
    /// One of a closed list of words.
    Word(&'static [&'static str]),
    /// A calendar day.
    Date,
    /// A number (hours, money, percent, degrees).
    Number,
    /// A number, or the word `none`: the maker states no such limit.
    NumberOrNone,
    /// A whole number from 0 to 254.
    Small,
    /// A length; the file's column ends in `_in`, `_mm` or `_thou` (0.001 in), the name here has no ending.
    Length,
}

/// What a number may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Range {
    /// Anything.
    Any,
    /// Above zero.
    Positive,
    /// Zero or above.
    NotNegative,
    /// From low to high.
    Between(f64, f64),
}

impl Range {
    /// The rule a value breaks, if it breaks one; a value that is not recorded breaks none.
    pub fn broken_by(self, value: f64) -> Option<Rule> {
        match self {
            Range::Positive if value <= 0.0 => Some(Rule::NotPositive),
            Range::NotNegative if value < 0.0 => Some(Rule::Negative),
            Range::Between(low, high) if value < low || value > high => Some(Rule::OutOfRange { low, high }),
            _ => None,
        }
    }
}

/// A column of a table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Column {
    /// Name; for a length without the unit's ending.
    pub name: &'static str,
    /// What its cells hold.
    pub kind: Kind,
    /// Whether the table cannot be used without the column, nor a row without its cell.
    pub required: bool,
    /// What it means, in one sentence.
    pub about: &'static str,
}

impl Column {
    /// The largest number a cell may hold, and its unit: what lies beyond is a slip of the hand, not a value. `None` where
    /// other rules judge the number.
    ///
    /// The values are assumptions, each far beyond what a fleet of such propellers has.
    pub fn largest(&self) -> Option<(u32, &'static str)> {
        match self.name {
            "overhaul_cost" | "replacement_cost" | "rejection_cost" | "removal_cost" | "cost" => {
                Some((1_000_000_000, ""))
            }
            "hours" | "hours_since_new" | "hours_since_overhaul" => Some((200_000, " h")),
            "interval_hours" => Some((50_000, " h")),
            "interval_months" => Some((1_200, " months")),
            "max_rpm" => Some((10_000, " a minute")),
            "so2_deposition_mg_m2_day" | "chloride_deposition_mg_m2_day" => Some((10_000, " mg/(m2 day)")),
            "overhaul_days" | "replacement_days" => Some((3_650, " days")),
            _ if self.kind == Kind::Length => Some((10_000, " in")),
            _ => None,
        }
    }

    /// What its numbers may be.
    pub fn range(&self) -> Range {
        match (self.name, self.kind) {
            ("station_pct" | "relative_humidity_pct", _) => Range::Between(0.0, 100.0),
            ("temperature_c", _) => Range::Between(-90.0, 60.0),
            ("angle_after_deg" | "edge_alignment", _) => Range::Any,
            ("station" | "track" | "next_due_meter", _) => Range::NotNegative,
            ("interval_hours" | "interval_months" | "max_rpm", _) => Range::Positive,
            (_, Kind::Length) => Range::Positive,
            (_, Kind::Number | Kind::NumberOrNone) => Range::NotNegative,
            _ => Range::Any,
        }
    }
}
