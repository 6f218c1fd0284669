//! The cells of a sheet, decoded: a spreadsheet says what kind of thing each one holds, and not every kind is what it seems.

use arrow::array::{Array, AsArray, Float64Array, StringArray, StructArray, UInt8Array};
use arrow::datatypes::{Float64Type, UInt8Type};

use super::cells::{Decoding, Faults, NO_SMALL, NONE_STATED, no_date};
use super::fault::Fault;
use super::made_date::{MadeDate, is_day_number};
use super::reading;
use super::schema::{Kind, YES_NO, holds_hours, is_free_text};
use super::words::{Code, Words};
use crate::tables::workbook::{CellKind, CellView, day_of_number};
use crate::trade::calendar::Day;

/// A whole number that a spreadsheet no longer keeps to the last digit.
const TOO_LONG: f64 = 1e15;
const HOURS_PER_DAY: f64 = 24.0;

/// A column of a sheet.
pub(super) struct SheetColumn<'a> {
    kinds: &'a UInt8Array,
    numbers: &'a Float64Array,
    texts: &'a StringArray,
}

impl<'a> SheetColumn<'a> {
    /// The column in an array; `None` when the array is no sheet's.
    pub fn of(array: &'a StructArray) -> Option<SheetColumn<'a>> {
        Some(SheetColumn {
            kinds: array.column_by_name("kind")?.as_primitive_opt::<UInt8Type>()?,
            numbers: array.column_by_name("number")?.as_primitive_opt::<Float64Type>()?,
            texts: array.column_by_name("text")?.as_string_opt::<i32>()?,
        })
    }

    /// Calls `each(row, cell)` for every recorded cell; the text of a text cell is trimmed.
    fn each(
        &self,
        how: Decoding<'_>,
        faults: &mut Faults<'_>,
        mut each: impl FnMut(usize, CellView<'a>, &mut Faults<'_>),
    ) {
        for row in 0..self.kinds.len() {
            let kind = CellKind::of(self.kinds.value(row));
            let text = self.texts.is_valid(row).then(|| self.texts.value(row));
            let cell = CellView {
                kind,
                number: if self.numbers.is_valid(row) { self.numbers.value(row) } else { f64::NAN },
                text: text.map(str::trim),
            };
            match kind {
                CellKind::Empty => {}
                CellKind::Text if cell.text.is_none_or(reading::is_not_recorded) => {}
                _ if cell.text.is_some_and(|text| faults.is_too_long(row, text, how.name)) => {}
                _ => each(row, cell, faults),
            }
        }
    }

    /// Names and free text. A name that the spreadsheet turned into something else is not read.
    pub fn text(&self, how: Decoding<'_>, out: &mut [Code], words: &mut Words, faults: &mut Faults<'_>) {
        let free = is_free_text(how.name);
        self.each(how, faults, |row, cell, faults| {
            let fault = match cell.kind {
                CellKind::Text => None,
                CellKind::Error => Some(Fault::ErrorValue),
                CellKind::NotCalculated => Some(Fault::NoValue),
                _ if free => None,
                CellKind::Number if cell.number.abs() < TOO_LONG => None,
                CellKind::Number | CellKind::Scientific => Some(Fault::NameNumber),
                CellKind::Date => Some(Fault::NameDate),
                CellKind::TimeOfDay | CellKind::Duration => Some(Fault::Time),
                CellKind::Percent => Some(Fault::Percentage),
                CellKind::YesNo => Some(Fault::TrueOrFalse),
                CellKind::Empty => return,
            };
            match (fault, cell.kind, cell.text) {
                (Some(fault), ..) => faults.add(row, &cell.shown(), fault),
                (None, CellKind::Text, Some(text)) => out[row] = words.code(text),
                (None, ..) => out[row] = words.code(&cell.shown()),
            }
        });
    }

    /// Words of a closed list; true and false where the words are yes and no.
    pub fn choices(&self, how: Decoding<'_>, out: &mut [u8], faults: &mut Faults<'_>) {
        let Kind::Word(list) = how.kind else { return };
        self.each(how, faults, |row, cell, faults| {
            let shown = cell.shown();
            let word = list.iter().position(|word| reading::same_word(&shown, word));
            match (cell.kind, word) {
                (CellKind::Error, _) => faults.add(row, &shown, Fault::ErrorValue),
                (CellKind::NotCalculated, _) => faults.add(row, &shown, Fault::NoValue),
                (CellKind::YesNo, _) if list == YES_NO => out[row] = u8::from(cell.number == 0.0),
                (_, Some(word)) => out[row] = word as u8,
                (_, None) => faults.add(row, &shown, Fault::Word),
            }
        });
    }

    /// Days: dates of the spreadsheet, or text in the format in force.
    pub fn days(&self, how: Decoding<'_>, out: &mut [i32], faults: &mut Faults<'_>) {
        self.each(how, faults, |row, cell, faults| {
            let read = match cell.kind {
                CellKind::Date => Ok(cell.number.floor() as i32),
                CellKind::Text => {
                    let text = cell.text.unwrap_or("");
                    let day = reading::day(text, how.writing).map(Day::number);
                    day.map_err(|_| no_date(text, how.writing))
                }
                CellKind::TimeOfDay | CellKind::Duration => Err(Fault::Date),
                CellKind::Number => Err(bare_number(cell.number, how.from_1904)),
                kind => Err(odd(kind, Fault::Date)),
            };
            match read {
                Ok(day) => out[row] = day,
                Err(fault) => faults.add(row, &cell.shown(), fault),
            }
        });
    }

    /// Numbers; lengths in inches.
    pub fn numbers(&self, how: Decoding<'_>, out: &mut [f64], faults: &mut Faults<'_>) {
        let length = how.kind == Kind::Length;
        self.each(how, faults, |row, cell, faults| {
            let text = cell.text.unwrap_or("");
            let none = how.kind == Kind::NumberOrNone && text.eq_ignore_ascii_case("none");
            let read = match cell.kind {
                CellKind::Text if none => Ok(NONE_STATED),
                CellKind::Text if length => how.length_of_text(text),
                CellKind::Text => reading::number(text, how.writing),
                CellKind::Number | CellKind::Scientific if length => how.length_of_number(cell.number),
                CellKind::Number | CellKind::Scientific => Ok(cell.number),
                // 75 % in a column of percent is 75, however the spreadsheet keeps it.
                CellKind::Percent if how.name.ends_with("_pct") => Ok(cell.number),
                CellKind::Date if length => {
                    let day = Day::from_number(cell.number.floor() as i32);
                    Err(Fault::LengthDate(MadeDate::of_day(day)))
                }
                CellKind::Date => Err(Fault::NumberDate),
                // 1234:30 in a column of hours are 1234.5 hours, which the spreadsheet keeps as days.
                CellKind::Duration if holds_hours(how.name) => Ok(cell.number * HOURS_PER_DAY),
                kind => Err(odd(kind, Fault::Number)),
            };
            match read {
                Ok(value) => out[row] = value,
                Err(fault) => faults.add(row, &cell.shown(), fault),
            }
        });
    }

    /// Small whole numbers.
    pub fn small(&self, how: Decoding<'_>, out: &mut [u8], faults: &mut Faults<'_>) {
        let mut read = vec![f64::NAN; out.len()];
        self.numbers(how, &mut read, faults);
        for (row, (&value, out)) in read.iter().zip(out.iter_mut()).enumerate() {
            if value.fract() == 0.0 && (0.0..f64::from(NO_SMALL)).contains(&value) {
                *out = value as u8;
            } else if !value.is_nan() {
                faults.add(row, &value.to_string(), Fault::Small);
            }
        }
    }
}

/// The fault of a cell whose kind is not what the column holds.
fn odd(kind: CellKind, otherwise: Fault) -> Fault {
    match kind {
        CellKind::Error => Fault::ErrorValue,
        CellKind::NotCalculated => Fault::NoValue,
        CellKind::TimeOfDay | CellKind::Duration => Fault::Time,
        CellKind::Percent => Fault::Percentage,
        CellKind::YesNo => Fault::TrueOrFalse,
        _ => otherwise,
    }
}

/// A bare number in a column of dates: whose calendar it counts in is never guessed, but said.
pub(super) fn bare_number(number: f64, from_1904: bool) -> Fault {
    let days = day_of_number(number, from_1904).map(Day::from_number);
    match days.filter(|day| (1930..2100).contains(&day.year())) {
        Some(day) => Fault::DayNumber(day),
        None => Fault::Date,
    }
}

impl Decoding<'_> {
    /// A typed length in inches, unless it is a number that only a date has.
    pub(super) fn length_of_number(&self, value: f64) -> Result<f64, Fault> {
        // Thousandths may well be five digits.
        if self.over != 1000.0 && is_day_number(value) {
            let days = day_of_number(value, self.from_1904).unwrap_or_default();
            let made = MadeDate::of_day(Day::from_number(days));
            return Err(Fault::LengthDayNumber(made));
        }
        Ok(value / self.over)
    }

    /// A written length in inches, unless it is a date.
    pub(super) fn length_of_text(&self, text: &str) -> Result<f64, Fault> {
        match reading::length(text, self.writing) {
            Ok(value) => self.length_of_number(value),
            Err(Fault::Number) => Err(MadeDate::of_text(text).map_or(Fault::Number, Fault::LengthDate)),
            Err(fault) => Err(fault),
        }
    }
}
