//! Why a cell could not be read, and what to do about it.

use super::made_date::MadeDate;
use super::written::grouped;
use crate::trade::calendar::Day;

/// Why a cell could not be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fault {
    /// Not a number.
    Number,
    /// A number with a comma where a point is expected.
    DecimalComma,
    /// Not a date in the format in force.
    Date,
    /// A date in the format in force that no calendar has: 30 February.
    NoSuchDay,
    /// Larger than anything the column holds: the largest, and its unit with a space before it.
    TooLarge(u32, &'static str),
    /// Longer than anything the column holds: the most, and of what.
    TooLong(u32, &'static str),
    /// Not one of the column's words.
    Word,
    /// Not a whole number from 0 to 254.
    Small,
    /// A date where a length is expected.
    LengthDate(MadeDate),
    /// A number that is no length, but a spreadsheet's number for a date.
    LengthDayNumber(MadeDate),
    /// A bare number where a date is expected; the day it would be in a spreadsheet.
    DayNumber(Day),
    /// A date where a number is expected.
    NumberDate,
    /// A date where a name is expected.
    NameDate,
    /// A time where a number, a length or a name is expected.
    Time,
    /// A number shown as a percentage where none is expected.
    Percentage,
    /// True or false where something else is expected.
    TrueOrFalse,
    /// A name that the spreadsheet turned into a long or a scientific number.
    NameNumber,
    /// An error value of a spreadsheet.
    ErrorValue,
    /// A formula whose value is not stored.
    NoValue,
}

impl Fault {
    /// The rule in words; `expected` says what the column holds.
    pub fn text(self, expected: &str) -> String {
        match self {
            Fault::Number => format!("not a number (expected {expected})"),
            Fault::DecimalComma => "a decimal comma where a decimal point is expected".to_string(),
            Fault::Date => format!("not a date (expected {expected})"),
            Fault::NoSuchDay => "a date that no calendar has".to_string(),
            Fault::TooLarge(most, unit) => {
                format!("larger than anything this column holds (at most {}{unit})", grouped(f64::from(most), ','))
            }
            Fault::TooLong(most, of) => {
                format!("longer than anything this column holds (at most {} {of})", grouped(f64::from(most), ','))
            }
            Fault::Word => format!("not one of the column's words ({expected})"),
            Fault::Small => "not a whole number from 0 to 254".to_string(),
            Fault::LengthDate(_) => "a date where a length is expected".to_string(),
            Fault::LengthDayNumber(_) => "no length, but a spreadsheet's number for a date".to_string(),
            Fault::DayNumber(_) => "a bare number where a date is expected".to_string(),
            Fault::NumberDate => "a date where a number is expected".to_string(),
            Fault::NameDate => "a date where a name is expected".to_string(),
            Fault::Time => format!("a time of day (expected {expected})"),
            Fault::Percentage => format!("a percentage (expected {expected})"),
            Fault::TrueOrFalse => format!("true or false (expected {expected})"),
            Fault::NameNumber => "a name that the spreadsheet turned into a large number".to_string(),
            Fault::ErrorValue => "an error value of the spreadsheet".to_string(),
            Fault::NoValue => "a formula whose value is not stored in the file".to_string(),
        }
    }

    /// What to do about it; `settings` says where the fleet's settings stand.
    pub fn remedy(self, settings: &str) -> String {
        match self {
            Fault::Number => {
                "write a decimal, or a fraction such as 1 1/16 for a length; leave unknown cells empty"
            }
            Fault::DecimalComma => return format!("write a point, or set decimal_comma = true in {settings}"),
            Fault::Date => return format!("write YYYY-MM-DD, or set date_format in {settings}"),
            Fault::NoSuchDay => {
                return format!(
                    "correct it from the paper record; where day and month stand in another order, set date_format in {settings}"
                );
            }
            Fault::TooLong(..) => "shorten it",
            Fault::TooLarge(..) => "correct the value from the paper record",
            Fault::Word => "write one of the words, or leave the cell empty",
            Fault::Small => "write a whole number",
            Fault::LengthDate(made) | Fault::LengthDayNumber(made) => return made.remedy(),
            Fault::DayNumber(day) => {
                return format!(
                    "as a spreadsheet's day number it would be {day}: if the paper record says that day, format the cell as a date or write it as YYYY-MM-DD"
                );
            }
            Fault::NumberDate => {
                "a spreadsheet makes a date of what looks like one: format the column as a number and type the value again"
            }
            Fault::NameDate | Fault::NameNumber => {
                "format the column as text and type the name again"
            }
            Fault::Time => {
                "type hours and minutes as a decimal: 12 hours 30 minutes are 12.5"
            }
            Fault::Percentage => "format the cell as a number and type the value again",
            Fault::TrueOrFalse => "type the value itself",
            Fault::ErrorValue => "correct the formula, or type the value itself",
            Fault::NoValue => {
                "open the workbook in the spreadsheet program and save it there, or type the value itself"
            }
        }
        .to_string()
    }
}
