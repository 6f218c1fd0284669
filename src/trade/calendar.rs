//! Days and calendar months, as the trade counts them.

use std::fmt;
use std::ops::{Add, Sub};

use chrono::format::ParseErrorKind;
use chrono::{Datelike, Months, NaiveDate, TimeDelta};

/// Days in a mean calendar year (Julian year, by convention), for turning a stretch of days into years.
pub const DAYS_PER_YEAR: f64 = 365.25;

/// A calendar day, stored as the number of days since 1970-01-01 (the Arrow `Date32` value).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day(i32);

impl Day {
    /// The day with this `Date32` number.
    pub const fn from_number(days_since_1970: i32) -> Day {
        Day(days_since_1970)
    }

    /// Days since 1970-01-01, the Arrow `Date32` value.
    pub const fn number(self) -> i32 {
        self.0
    }

    /// The day of this year, month (1..=12) and day of the month; `None` when there is no such day.
    pub fn from_ymd(year: i32, month: u32, day: u32) -> Option<Day> {
        NaiveDate::from_ymd_opt(year, month, day).map(Day::from)
    }

    /// Reads `YYYY-MM-DD` (ISO 8601) and nothing else; `None` for any other text.
    pub fn parse_iso(text: &str) -> Option<Day> {
        let b = text.as_bytes();
        if b.len() != 10 || b[4] != b'-' || b[7] != b'-' {
            return None;
        }
        let number = |part: &[u8]| -> Option<u32> {
            part.iter().try_fold(0u32, |n, c| c.is_ascii_digit().then(|| n * 10 + u32::from(c - b'0')))
        };
        Day::from_ymd(number(&b[0..4])? as i32, number(&b[5..7])?, number(&b[8..10])?)
    }

    /// Reads a date in a `strftime` style format such as `%d.%m.%Y`; `None` when the text does not fit it.
    pub fn parse_with(text: &str, format: &str) -> Option<Day> {
        NaiveDate::parse_from_str(text, format).ok().map(Day::from)
    }

    /// The calendar year.
    pub fn year(self) -> i32 {
        self.date().year()
    }

    /// The same day as a `chrono` date.
    pub fn date(self) -> NaiveDate {
        // Every Day comes from a table or from arithmetic on one; the clamp keeps absurd sums printable.
        let days = i64::from(self.0).clamp(-719_162, 2_932_896);
        NaiveDate::from_ymd_opt(1970, 1, 1)
            .and_then(|epoch| epoch.checked_add_signed(TimeDelta::days(days)))
            .unwrap_or(NaiveDate::MAX)
    }
}

impl From<NaiveDate> for Day {
    fn from(date: NaiveDate) -> Day {
        Day(date.num_days_from_ce() - 719_163)
    }
}

impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.date().format("%Y-%m-%d"))
    }
}

impl Add<i32> for Day {
    type Output = Day;
    fn add(self, days: i32) -> Day {
        Day(self.0.saturating_add(days))
    }
}

impl Sub<Day> for Day {
    type Output = i32;
    fn sub(self, earlier: Day) -> i32 {
        self.0.saturating_sub(earlier.0)
    }
}

/// Whether a text is a whole date in the format (`strftime`; `None` for ISO 8601) that no calendar has: 30 February, month 13.
pub fn no_calendar_has(text: &str, format: Option<&str>) -> bool {
    let bytes = text.as_bytes();
    let iso = bytes.len() == 10
        && bytes
            .iter()
            .enumerate()
            .all(|(at, byte)| if at == 4 || at == 7 { *byte == b'-' } else { byte.is_ascii_digit() });
    if format.is_none() && !iso {
        return false;
    }
    let read = NaiveDate::parse_from_str(text, format.unwrap_or("%Y-%m-%d"));
    read.is_err_and(|error| matches!(error.kind(), ParseErrorKind::OutOfRange | ParseErrorKind::Impossible))
}

/// Years from one day to a later one, as days over [`DAYS_PER_YEAR`]; negative when `to` is the earlier.
pub fn years_between(from: Day, to: Day) -> f64 {
    f64::from(to - from) / DAYS_PER_YEAR
}

/// The same day of the month `months` later, held to that month's last day: 31 Aug 2023 + 6 is 29 Feb 2024.
///
/// Calendar arithmetic, no outside number; whether a limit runs to the same day or to the month's end is a rule of each
/// limit, never of this program (see [`month_end`]).
pub fn same_day(start: Day, months: u32) -> Day {
    start.date().checked_add_months(Months::new(months)).map_or(Day(i32::MAX), Day::from)
}

/// The last day of the `months`-th calendar month after `start`: 22 Jul 2020 + 24 is 31 Jul 2022.
///
/// Source: how "calendar months" is commonly read for 14 CFR 91.409 (secondary texts, not the authority's own words).
pub fn month_end(start: Day, months: u32) -> Day {
    let date = same_day(start, months).date();
    let first = date.with_day(1).unwrap_or(date);
    first.checked_add_months(Months::new(1)).and_then(|next| next.pred_opt()).map_or(Day(i32::MAX), Day::from)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn day(text: &str) -> Day {
        Day::parse_iso(text).expect("a date in a test is written right")
    }

    // Published, read in secondary texts (discussions that quote 14 CFR 91.409), not in a document of the authority: the
    // limit runs to the last day of the month. The 2020 row is an opinion in a forum; the year of the 2006 row is
    // a reading of its thread.
    #[test]
    fn month_end_dates_from_secondary_texts() {
        for (start, months, due) in [
            ("2006-06-06", 12, "2007-06-30"),
            ("2017-05-29", 12, "2018-05-31"),
            ("2018-06-01", 12, "2019-06-30"),
            ("2020-07-22", 24, "2022-07-31"),
        ] {
            assert_eq!(month_end(day(start), months), day(due), "{start} + {months}");
        }
    }

    // Month arithmetic calculated apart (exact): end of month, then same day clamped.
    #[test]
    fn both_rules_at_the_ends_of_months() {
        for (start, months, end, same) in [
            ("2019-01-31", 72, "2025-01-31", "2025-01-31"),
            ("2018-02-28", 72, "2024-02-29", "2024-02-28"),
            ("2020-02-29", 60, "2025-02-28", "2025-02-28"),
            ("2020-02-29", 72, "2026-02-28", "2026-02-28"),
            ("2023-08-31", 6, "2024-02-29", "2024-02-29"),
            ("2024-12-31", 2, "2025-02-28", "2025-02-28"),
            ("2023-12-31", 2, "2024-02-29", "2024-02-29"),
        ] {
            assert_eq!(month_end(day(start), months), day(end), "{start} + {months}");
            assert_eq!(same_day(day(start), months), day(same), "{start} + {months}");
        }
    }

    // Exact: 1970-01-01 is day 0 of Arrow's Date32. By hand for 2000-03-01: 30 years of 365 days and 7 leap days make
    // 10,957, January and February 2000 another 60.
    #[test]
    fn day_numbers() {
        assert_eq!(day("1970-01-01").number(), 0);
        assert_eq!(day("1969-12-31").number(), -1);
        assert_eq!(day("2000-03-01").number(), 11_017);
        assert_eq!(Day::from_number(11_017).to_string(), "2000-03-01");
        assert_eq!(Day::from_ymd(2023, 2, 29), None);
        assert_eq!(day("2024-02-29").year(), 2024);
    }

    #[test]
    fn only_iso_dates_are_iso_dates() {
        for text in [
            "2024-2-29",
            "2024/02/29",
            "29.02.2024",
            "2023-02-29",
            "2024-13-01",
            "2024-00-10",
            "2024-01-00",
            "",
            "2024-02-29 ",
            "+024-02-29",
            "20a4-02-29",
            "2024-02-2é",
        ] {
            assert_eq!(Day::parse_iso(text), None, "{text}");
        }
        assert_eq!(Day::parse_with("29.02.2024", "%d.%m.%Y"), Some(day("2024-02-29")));
        assert_eq!(Day::parse_with("2024-02-29", "%d.%m.%Y"), None);
    }

    #[test]
    fn dates_beyond_every_calendar_do_not_stop_the_program() {
        let last = Day::from_number(i32::MAX);
        let _ = last.to_string();
        assert_eq!(last + 1, last);
        assert_eq!(same_day(day("2024-01-31"), u32::MAX), last);
        assert!(month_end(last, 1) >= day("9999-12-31"));
        assert_eq!(Day::from_number(i32::MIN) - last, i32::MIN);
    }

    #[test]
    fn years_are_days_over_the_mean_year() {
        assert_eq!(years_between(day("2000-01-01"), day("2004-01-01")), 4.0);
        assert_eq!(years_between(day("2004-01-01"), day("2000-01-01")), -4.0);
    }

    proptest! {
        #[test]
        fn a_date_reads_back_as_written(number in -30_000i32..60_000) {
            let d = Day::from_number(number);
            prop_assert_eq!(Day::parse_iso(&d.to_string()), Some(d));
        }

        #[test]
        fn month_laws(number in -10_000i32..40_000, months in 0u32..600) {
            let d = Day::from_number(number);
            let (same, end) = (same_day(d, months), month_end(d, months));
            prop_assert_eq!(same_day(d, 0), d);
            // The rules agree on the month, and the month's end is never the earlier.
            prop_assert!(same <= end);
            prop_assert_eq!(&same.to_string()[..7], &end.to_string()[..7]);
            prop_assert_eq!(same.date().day(), d.date().day().min(end.date().day()));
            let count = |x: Day| x.year() * 12 + x.date().month0() as i32;
            prop_assert_eq!(count(same) - count(d), months as i32);
            // The day after the month's end is the first of a month.
            prop_assert_eq!((end + 1).date().day(), 1);
            // More months are never earlier.
            prop_assert!(same_day(d, months + 1) > same);
        }
    }
}
