//! A cell of a sheet as the spreadsheet keeps it: what kind of thing it is, and how it looks to a person.

use chrono::NaiveDate;

use super::number_format::{NumberFormat, decimals_cut};

/// Days from the first day of year 1 to 1970-01-01, counted from 1.
const DAY_OF_1970: i32 = 719_163;

/// What a cell of a sheet holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
pub enum CellKind {
    /// Nothing.
    Empty = 0,
    /// Text, as typed.
    Text = 1,
    /// A number.
    Number = 2,
    /// A number that is shown as a percentage; kept as shown: 75 for 75 %.
    Percent = 3,
    /// A number that is shown in powers of ten, which is what a spreadsheet makes of a name like `12E5`.
    Scientific = 4,
    /// A calendar day, in days since 1970-01-01; a fraction is a time of that day.
    Date = 5,
    /// A time of day without a date, in days.
    TimeOfDay = 6,
    /// A length of time, in days (`[h]:mm`).
    Duration = 7,
    /// True or false, 1 or 0.
    YesNo = 8,
    /// An error value; its name is the text.
    Error = 9,
    /// A formula whose value is not stored; the formula is the text.
    NotCalculated = 10,
}

impl CellKind {
    /// The kind with this number; a number of none is [`CellKind::Empty`].
    pub fn of(number: u8) -> CellKind {
        match number {
            1 => CellKind::Text,
            2 => CellKind::Number,
            3 => CellKind::Percent,
            4 => CellKind::Scientific,
            5 => CellKind::Date,
            6 => CellKind::TimeOfDay,
            7 => CellKind::Duration,
            8 => CellKind::YesNo,
            9 => CellKind::Error,
            10 => CellKind::NotCalculated,
            _ => CellKind::Empty,
        }
    }
}

/// A cell: its kind, its number (`NaN` when it has none), and a text where the number alone does not show it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CellView<'a> {
    /// What it holds.
    pub kind: CellKind,
    /// The number, in the unit that the kind says.
    pub number: f64,
    /// The text, or the number as it is shown when leading zeros are part of it.
    pub text: Option<&'a str>,
}

/// A cell that owns its text.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct SheetCell {
    pub kind: CellKind,
    pub number: f64,
    pub text: Option<Box<str>>,
}

impl SheetCell {
    pub fn text(text: impl Into<Box<str>>) -> SheetCell {
        SheetCell::named(CellKind::Text, text)
    }

    pub fn named(kind: CellKind, text: impl Into<Box<str>>) -> SheetCell {
        SheetCell { kind, number: f64::NAN, text: Some(text.into()) }
    }

    pub fn number(kind: CellKind, number: f64) -> SheetCell {
        SheetCell { kind, number, text: None }
    }

    /// A number in a cell with this format.
    pub fn with_format(value: f64, format: Option<&NumberFormat>) -> SheetCell {
        let Some(format) = format else {
            return SheetCell::number(CellKind::Number, value);
        };
        if format.is_percent() {
            // The stored 0.07 times 100 is 7.000000000000001; nobody typed that.
            let shown = (value * 1e11).round() / 1e9;
            return SheetCell::number(CellKind::Percent, shown);
        }
        if format.is_scientific() {
            return SheetCell::number(CellKind::Scientific, value);
        }
        SheetCell { kind: CellKind::Number, number: value, text: format.shown(value).map(String::into_boxed_str) }
    }

    pub fn view(&self) -> CellView<'_> {
        CellView { kind: self.kind, number: self.number, text: self.text.as_deref() }
    }

    /// Whether a person sees something there.
    pub fn is_filled(&self) -> bool {
        match self.kind {
            CellKind::Empty => false,
            CellKind::Text => self.text.as_deref().is_some_and(|t| !t.trim().is_empty()),
            _ => true,
        }
    }
}

impl CellView<'_> {
    /// The cell as a person sees it, dates as ISO 8601.
    pub fn shown(&self) -> String {
        match (self.kind, self.text) {
            (CellKind::Empty, _) => String::new(),
            (_, Some(text)) => text.to_string(),
            (CellKind::Percent, None) => format!("{}%", decimals_cut(self.number)),
            (CellKind::Date, None) => {
                let day = iso(self.number.floor() as i32);
                match hours_and_minutes(self.number.rem_euclid(1.0)) {
                    (0, 0) => day,
                    (hours, minutes) => format!("{day} {hours:02}:{minutes:02}"),
                }
            }
            (CellKind::TimeOfDay | CellKind::Duration, None) => {
                let (hours, minutes) = hours_and_minutes(self.number);
                format!("{hours}:{minutes:02}")
            }
            (CellKind::YesNo, None) if self.number == 0.0 => "FALSE".to_string(),
            (CellKind::YesNo, None) => "TRUE".to_string(),
            (_, None) => decimals_cut(self.number),
        }
    }
}

/// A day, in days since 1970-01-01, as ISO 8601.
fn iso(day: i32) -> String {
    day.checked_add(DAY_OF_1970)
        .and_then(NaiveDate::from_num_days_from_ce_opt)
        .map_or_else(String::new, |date| date.to_string())
}

fn hours_and_minutes(days: f64) -> (i64, i64) {
    let minutes = (days * 1440.0).round() as i64;
    (minutes / 60, minutes % 60)
}

/// The day that a spreadsheet's day number stands for, in days since 1970-01-01; `None` for a number that is no day there.
///
/// In the 1900 system number 1 is 1900-01-01 and 60 is a day that never was (ECMA-376 part 1, 18.17.4.1: 1900 counts as a
/// leap year); in the 1904 system number 0 is 1904-01-01.
pub fn day_of_number(number: f64, system_1904: bool) -> Option<i32> {
    if !(0.0..2_958_466.0).contains(&number) {
        return None;
    }
    let whole = number.floor() as i32;
    match (system_1904, whole) {
        (true, _) => Some(whole - 24_107),
        (false, 1..=59) => Some(whole - 25_568),
        (false, 61..) => Some(whole - 25_569),
        (false, _) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1900-01-01 is day 1, 2000-01-01 day 36526 and 2008-01-01 day 39448 of the 1900 system; 1904-01-01 is day 0 and
    /// 2008-01-01 day 37986 of the 1904 system (ECMA-376 part 1, 18.17.4.1, and the maker's published difference of 1,462
    /// days between the systems; from memory).
    #[test]
    fn day_numbers_of_both_systems() {
        let day = |text: &str| Some(text.to_string());
        let day_of_number = |number, system_1904| day_of_number(number, system_1904).map(iso);
        assert_eq!(day_of_number(1.0, false), day("1900-01-01"));
        assert_eq!(day_of_number(59.0, false), day("1900-02-28"));
        assert_eq!(day_of_number(60.0, false), None);
        assert_eq!(day_of_number(61.0, false), day("1900-03-01"));
        assert_eq!(day_of_number(36_526.0, false), day("2000-01-01"));
        assert_eq!(day_of_number(39_448.75, false), day("2008-01-01"));
        assert_eq!(day_of_number(0.0, true), day("1904-01-01"));
        assert_eq!(day_of_number(37_986.0, true), day("2008-01-01"));
        assert_eq!(day_of_number(0.5, false), None);
        assert_eq!(day_of_number(-1.0, true), None);
        assert_eq!(day_of_number(3e6, false), None);
        assert_eq!(day_of_number(f64::NAN, false), None);
    }

    #[test]
    fn numbers_by_their_format() {
        let with = |value, code| {
            let cell = SheetCell::with_format(value, Some(&NumberFormat::new(code)));
            (cell.kind, cell.view().shown())
        };
        let number = |text: &str| (CellKind::Number, text.to_string());
        assert_eq!(with(1043.0, "General"), number("1043"));
        assert_eq!(with(43.0, "00000"), number("00043"));
        assert_eq!(with(43.0, "\"BW-\"0000"), number("BW-0043"));
        assert_eq!(with(0.352, "0.000"), number("0.352"));
        assert_eq!(with(0.0625, "# ?/?"), number("0.0625"));
        assert_eq!(with(0.07, "0%"), (CellKind::Percent, "7%".to_string()));
        assert_eq!(with(0.755, "0.0%"), (CellKind::Percent, "75.5%".to_string()));
        assert_eq!(with(12e5, "0.00E+00").0, CellKind::Scientific);
    }

    #[test]
    fn cells_as_a_person_sees_them() {
        let shown = |kind, number| SheetCell::number(kind, number).view().shown();
        // 2024-01-16 is day 45307 of the 1900 system.
        let day = f64::from(day_of_number(45_307.0, false).unwrap());
        assert_eq!(shown(CellKind::Date, day), "2024-01-16");
        assert_eq!(shown(CellKind::Date, day + 0.604_166_666_7), "2024-01-16 14:30");
        assert_eq!(shown(CellKind::Duration, 51.4375), "1234:30");
        assert_eq!(shown(CellKind::YesNo, 1.0), "TRUE");
        assert_eq!(shown(CellKind::Number, 0.1 + 0.2), "0.3");
        for kind in (0..=10).map(CellKind::of) {
            assert_eq!(CellKind::of(kind as u8), kind);
        }
    }
}
