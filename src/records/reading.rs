//! Reading what a person typed into a cell: numbers, lengths and dates.

pub use super::fault::Fault;
use crate::trade::calendar::Day;

/// How numbers and dates are written in this fleet's text files.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Writing {
    /// Whether a comma separates the decimals.
    pub decimal_comma: bool,
    /// `strftime` pattern of dates; `None` for ISO 8601.
    pub date_pattern: Option<String>,
}

impl Writing {
    /// Points for decimals and ISO 8601 dates.
    pub const PLAIN: Writing = Writing { decimal_comma: false, date_pattern: None };
}

/// Whether a trimmed cell says "not recorded". That is never zero.
pub fn is_not_recorded(text: &str) -> bool {
    matches!(text, "" | "NA" | "n/a" | "N/A" | "na" | "-" | "?")
}

fn plain_number(text: &str, writing: &Writing) -> Result<f64, Fault> {
    let bad = |c: char| !(c.is_ascii_digit() || matches!(c, '+' | '-' | '.' | ',' | 'e' | 'E'));
    if text.is_empty() || text.contains(bad) {
        return Err(Fault::Number);
    }
    let value = match (text.contains(','), writing.decimal_comma) {
        (false, false) => text.parse::<f64>(),
        // With decimal commas a point would have to mean thousands; that is never guessed.
        (false, true) if text.contains('.') => return Err(Fault::Number),
        (false, true) => text.parse::<f64>(),
        (true, true) if text.matches(',').count() == 1 && !text.contains('.') => text.replace(',', ".").parse::<f64>(),
        (true, true) => return Err(Fault::Number),
        (true, false) => return Err(Fault::DecimalComma),
    };
    match value {
        Ok(value) if value.is_finite() => Ok(value),
        _ => Err(Fault::Number),
    }
}

/// A number: digits, a decimal point (or comma when set), a sign, an exponent.
///
/// # Errors
/// [`Fault::Number`], or [`Fault::DecimalComma`] when a comma stands where a point is expected.
pub fn number(text: &str, writing: &Writing) -> Result<f64, Fault> {
    plain_number(text, writing)
}

/// A length: a decimal (`0.352`), a fraction (`3/64`) or a mixed number (`1 1/16`), in the column's unit.
///
/// # Errors
/// As [`number`].
pub fn length(text: &str, writing: &Writing) -> Result<f64, Fault> {
    let Some((top, bottom)) = text.split_once('/') else {
        return plain_number(text, writing);
    };
    let whole_number = |part: &str| -> Result<f64, Fault> {
        if part.is_empty() || part.len() > 6 || !part.bytes().all(|b| b.is_ascii_digit()) {
            return Err(Fault::Number);
        }
        part.parse::<f64>().map_err(|_| Fault::Number)
    };
    let (whole, top) = match top.trim().split_once(char::is_whitespace) {
        Some((whole, top)) => (whole_number(whole.trim())?, whole_number(top.trim())?),
        None => (0.0, whole_number(top.trim())?),
    };
    let bottom = whole_number(bottom.trim())?;
    if bottom == 0.0 || (whole > 0.0 && top >= bottom) {
        return Err(Fault::Number);
    }
    Ok(whole + top / bottom)
}

/// A calendar day in the format in force.
///
/// # Errors
/// [`Fault::Date`].
pub fn day(text: &str, writing: &Writing) -> Result<Day, Fault> {
    match &writing.date_pattern {
        None => Day::parse_iso(text),
        // `%Y` takes two digits for a year of the first century; a short year is never guessed.
        Some(pattern) => Day::parse_with(text, pattern).filter(|day| day.year() >= 1000),
    }
    .ok_or(Fault::Date)
}

/// Whether a typed word is this word of a closed list: letter case and the underscore do not matter.
pub fn same_word(typed: &str, word: &str) -> bool {
    typed.len() == word.len()
        && typed.bytes().zip(word.bytes()).all(|(a, b)| {
            let plain = |c: u8| {
                if c == b'_' { b' ' } else { c.to_ascii_lowercase() }
            };
            plain(a) == plain(b)
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn lengths_as_people_write_them() {
        let read = |text| length(text, &Writing::PLAIN);
        assert_eq!(read("0.352"), Ok(0.352));
        assert_eq!(read(".352"), Ok(0.352));
        assert_eq!(read("3/64"), Ok(3.0 / 64.0));
        assert_eq!(read("1 1/16"), Ok(1.0625));
        assert_eq!(read("1 16/16"), Err(Fault::Number));
        assert_eq!(read("3/0"), Err(Fault::Number));
        assert_eq!(read("-1/16"), Err(Fault::Number));
        assert_eq!(read("0,352"), Err(Fault::DecimalComma));
        assert_eq!(read("0.352 in"), Err(Fault::Number));
        assert_eq!(read("inf"), Err(Fault::Number));
        assert_eq!(read("1e999"), Err(Fault::Number));
    }

    #[test]
    fn decimal_commas_only_when_they_are_set() {
        let comma = Writing { decimal_comma: true, ..Writing::PLAIN };
        assert_eq!(number("0,352", &comma), Ok(0.352));
        assert_eq!(number("1.234,5", &comma), Err(Fault::Number));
        assert_eq!(number("1.234", &comma), Err(Fault::Number));
        assert_eq!(number("12", &comma), Ok(12.0));
    }

    #[test]
    fn dates_are_read_in_one_format_only() {
        assert_eq!(day("2024-02-29", &Writing::PLAIN), Ok(Day::from_ymd(2024, 2, 29).expect("a day")));
        for text in ["2023-02-29", "24-02-29", "03/04/2020", "2024-2-9", "20240229"] {
            assert_eq!(day(text, &Writing::PLAIN), Err(Fault::Date), "{text}");
        }
        let european = Writing { date_pattern: Some("%d.%m.%Y".to_string()), ..Writing::PLAIN };
        assert_eq!(day("29.02.2024", &european), day("2024-02-29", &Writing::PLAIN));
        assert_eq!(day("2024-02-29", &european), Err(Fault::Date));
        assert_eq!(day("29.02.24", &european), Err(Fault::Date));
    }

    #[test]
    fn not_recorded_is_not_zero() {
        for text in ["", "NA", "n/a", "-", "?"] {
            assert!(is_not_recorded(text));
        }
        assert!(!is_not_recorded("0"));
        assert!(same_word("Leading Edge", "leading_edge"));
        assert!(!same_word("edge", "leading_edge"));
    }

    proptest! {
        // Reading is the inverse of writing, for decimals and for sixty-fourths.
        #[test]
        fn a_written_length_is_read_back(thou in 0u32..20_000, whole in 0u32..100, top in 1u32..64) {
            let value = f64::from(thou) / 1000.0;
            prop_assert_eq!(length(&format!("{value:.3}"), &Writing::PLAIN), Ok(value));
            let mixed = length(&format!("{whole} {top}/64"), &Writing::PLAIN);
            prop_assert_eq!(mixed, Ok(f64::from(whole) + f64::from(top) / 64.0));
        }
    }
}
