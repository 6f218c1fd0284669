//! Values as they are typed: read, or refused with what is expected.

use chrono::NaiveDate;

/// Propellers of the largest invented fleet: as many as the memory of a small computer holds.
const LARGEST_DEMO: usize = 1_000_000;

/// A day as ISO 8601.
pub(super) fn iso_date(text: &str) -> Result<NaiveDate, String> {
    let wanted = "expected a day as YYYY-MM-DD, such as 2026-01-31";
    let digits_at = |range: std::ops::Range<usize>| {
        let part = text.get(range);
        part.is_some_and(|part| part.bytes().all(|byte| byte.is_ascii_digit()))
    };
    // Short forms such as 2026-1-31 are refused: the records do not take them either.
    if text.len() != 10 || !digits_at(0..4) || !digits_at(5..7) || !digits_at(8..10) {
        return Err(wanted.to_string());
    }
    NaiveDate::parse_from_str(text, "%Y-%m-%d").map_err(|_| format!("no calendar has that day; {wanted}"))
}

/// A number that is one.
pub(super) fn finite(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(number) if number.is_finite() => Ok(number),
        _ => Err("expected a number, with a decimal point and nothing between the thousands".to_string()),
    }
}

/// How many propellers an invented fleet may have.
pub(super) fn demo_size(text: &str) -> Result<usize, String> {
    match text.parse() {
        Ok(number) if (1..=LARGEST_DEMO).contains(&number) => Ok(number),
        _ => Err("expected a whole number from 1 to 1000000".to_string()),
    }
}

/// A whole number from 1.
pub(super) fn at_least_one(text: &str) -> Result<usize, String> {
    match text.parse() {
        Ok(number) if number > 0 => Ok(number),
        _ => Err("expected a whole number from 1".to_string()),
    }
}
