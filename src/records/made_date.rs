//! Dates that a spreadsheet made of a typed fraction: 1/16 became 16 January, 3/64 became March 1964.

use crate::trade::calendar::Day;
use chrono::Datelike as _;

/// Whole numbers that no length in inches or millimetres is, and that a spreadsheet shows as a day from 1940 to 2099.
const DAY_NUMBERS: std::ops::RangeInclusive<f64> = 14_611.0..=73_050.0;

/// What a date says of itself where a length is expected. The short year is the year's last two digits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MadeDate {
    day: Option<u8>,
    month: u8,
    short_year: Option<u8>,
}

/// Whether a number is one that a spreadsheet's date looks like without its format.
pub(super) fn is_day_number(value: f64) -> bool {
    value.fract() == 0.0 && DAY_NUMBERS.contains(&value)
}

/// The first three letters of the months in English, German, French, Spanish, Italian and Dutch.
const MONTHS: [&[&str]; 12] = [
    &["jan", "ene", "gen"],
    &["feb", "fev", "fév"],
    &["mar", "mär", "mrz", "maa", "mrt"],
    &["apr", "avr", "abr"],
    &["may", "mai", "mag", "mei"],
    &["jun", "giu"],
    &["jul", "lug"],
    &["aug", "aou", "aoû", "ago"],
    &["sep", "set"],
    &["oct", "okt", "ott"],
    &["nov"],
    &["dec", "dez", "dic", "déc"],
];

fn month_of(word: &str) -> Option<u8> {
    let word = word.to_lowercase();
    // French juin and juillet differ only in the fourth letter.
    if let Some(rest) = word.strip_prefix("jui") {
        return match rest.chars().next() {
            Some('n') => Some(6),
            Some('l') => Some(7),
            _ => None,
        };
    }
    let first: String = word.chars().take(3).collect();
    let at = MONTHS.iter().position(|names| names.contains(&&*first))?;
    Some(at as u8 + 1)
}

impl MadeDate {
    /// Of a whole date.
    pub fn of_day(day: Day) -> MadeDate {
        let date = day.date();
        MadeDate {
            day: Some(date.day() as u8),
            month: date.month() as u8,
            short_year: Some(date.year().rem_euclid(100) as u8),
        }
    }

    /// Of a text that is a date: `16-Jan`, `Mar-64`, `2026-01-16`, `1/16/2026`; `None` when it is none.
    pub fn of_text(text: &str) -> Option<MadeDate> {
        if text.chars().count() > 24 {
            return None;
        }
        let words: Vec<&str> = text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
        let mut numbers = Vec::new();
        let mut month = None;
        for word in &words {
            if word.bytes().all(|b| b.is_ascii_digit()) && word.len() <= 4 {
                numbers.push((word.parse::<u16>().ok()?, word.len()));
            } else if month.is_none() {
                month = Some(month_of(word)?);
            } else {
                return None;
            }
        }
        let short = |year: u16| Some((year % 100) as u8);
        let in_month = |n: u16| u8::try_from(n).ok().filter(|n| (1..=31).contains(n));
        match (month, numbers.as_slice()) {
            // One number: a day or a year, whichever it may be.
            (Some(month), &[(n, _)]) => Some(MadeDate { day: in_month(n), month, short_year: short(n) }),
            (Some(month), &[(day, _), (year, _)]) => {
                Some(MadeDate { day: Some(in_month(day)?), month, short_year: short(year) })
            }
            (None, &[(a, a_digits), (b, _), (c, c_digits)]) => {
                let (first, second, year) = match (a_digits, c_digits) {
                    (4, _) => (b, c, a),
                    (_, 4) => (a, b, c),
                    _ => return None,
                };
                let (month, day) = if first <= 12 { (first, second) } else { (second, first) };
                Some(MadeDate {
                    day: Some(in_month(day)?),
                    month: in_month(month).filter(|&month| month <= 12)?,
                    short_year: short(year),
                })
            }
            _ => None,
        }
    }

    /// The fractions of an inch rule that a spreadsheet reads as this date: month and day in either order, or month and year.
    pub fn fractions(self) -> Vec<(u8, u8)> {
        let (day, month) = (self.day, self.month);
        let by_day = day.into_iter().flat_map(|day| [(month, day), (day, month)]);
        // A month and year is stored as the first day of the month.
        let may_be_month = day.is_none_or(|day| day == 1);
        let by_year = self.short_year.filter(|_| may_be_month).map(|year| (month, year));
        let mut found: Vec<(u8, u8)> = by_day
            .chain(by_year)
            .filter(|&(top, bottom)| top % 2 == 1 && top < bottom && matches!(bottom, 2 | 4 | 8 | 16 | 32 | 64))
            .collect();
        found.sort_unstable();
        found.dedup();
        found
    }

    /// What it probably was and what to do.
    pub fn remedy(self) -> String {
        let join = |texts: Vec<String>| texts.join(" or ");
        let fractions = self.fractions();
        if fractions.is_empty() {
            return "a spreadsheet makes a date of a typed fraction: format the column as text and type the length again, or type a decimal such as 0.0625".to_string();
        }
        let typed = join(fractions.iter().map(|(a, b)| format!("{a}/{b}")).collect());
        let decimal = |&(a, b): &(u8, u8)| (f64::from(a) / f64::from(b)).to_string();
        let decimals = join(fractions.iter().map(decimal).collect());
        format!(
            "it was probably typed as {typed}, of which the spreadsheet made a date: compare with the paper record, then type {decimals}, or format the column as text and type the fraction"
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fractions(text: &str) -> Vec<(u8, u8)> {
        MadeDate::of_text(text).expect(text).fractions()
    }

    /// What a spreadsheet set to month before day, or to day before month, shows for a typed fraction (common practice, no
    /// source).
    #[test]
    fn the_typed_fraction_is_found_again() {
        assert_eq!(fractions("16-Jan"), [(1, 16)]);
        assert_eq!(fractions("Jan 16"), [(1, 16)]);
        assert_eq!(fractions("Mar-64"), [(3, 64)]);
        assert_eq!(fractions("Mär 64"), [(3, 64)]);
        assert_eq!(fractions("8. Mai"), [(5, 8)]);
        assert_eq!(fractions("1-Apr"), [(1, 4)]);
        assert_eq!(fractions("2026-01-16"), [(1, 16)]);
        assert_eq!(fractions("1/16/2026"), [(1, 16)]);
        assert_eq!(fractions("16.01.2026"), [(1, 16)]);
        assert_eq!(fractions("1964-03-01"), [(3, 64)]);
        assert_eq!(fractions("2016-01-01"), [(1, 16)]);
        assert_eq!(fractions("26-Jan"), []);
    }

    #[test]
    fn lengths_and_words_are_no_dates() {
        for text in [
            "1 1/16",
            "1-1/16",
            "3/64",
            "0.352",
            "0.352 in",
            "5,410",
            "unknown",
            "12 34",
            "-1/16",
            "3/0",
            "Marginal 3 4 5",
            "",
        ] {
            assert_eq!(MadeDate::of_text(text), None, "{text}");
        }
    }

    #[test]
    fn every_sixteenth_and_eighth_comes_back() {
        // Typed with the month first, in 2026.
        for (top, bottom) in [(1, 2), (1, 4), (3, 4), (1, 8), (3, 8), (5, 8), (7, 8), (1, 16), (7, 16), (11, 16)] {
            let day = Day::from_ymd(2026, u32::from(top), u32::from(bottom)).expect("a day");
            assert!(MadeDate::of_day(day).fractions().contains(&(top, bottom)), "{top}/{bottom}");
        }
        // 32 and 64 are no days: the spreadsheet takes them for years of the last century.
        for (top, bottom) in [(1, 32), (11, 32), (5, 64), (9, 64)] {
            let day = Day::from_ymd(1900 + i32::from(bottom), u32::from(top), 1).expect("a day");
            assert_eq!(MadeDate::of_day(day).fractions(), [(top, bottom)]);
        }
    }
}
