//! How numbers and lists of words are written in a sentence.

use std::fmt::Write as _;

/// A number in whole units, the sign given between the thousands.
pub fn grouped(number: f64, between: char) -> String {
    let digits = format!("{:.0}", number.abs());
    let mut text = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at) % 3 == 0 {
            text.push(between);
        }
        text.push(digit);
    }
    if number <= -0.5 { format!("-{text}") } else { text }
}

/// A count with its noun, which takes an s unless there is one.
pub fn count(number: usize, noun: &str) -> String {
    format!("{number} {noun}{}", plural_s(number))
}

/// The s of a noun after its number.
pub fn plural_s(number: usize) -> &'static str {
    if number == 1 { "" } else { "s" }
}

/// The names that may have been meant, for a message; `None` when there are none.
pub(super) fn offered(names: &[&str]) -> Option<Box<str>> {
    (!names.is_empty()).then(|| one_of(names).into_boxed_str())
}

/// Joins words for a message: `a, b or c`.
pub fn one_of(words: &[&str]) -> String {
    let mut text = String::new();
    for (at, word) in words.iter().enumerate() {
        let joint = match at {
            0 => "",
            _ if at + 1 == words.len() => " or ",
            _ => ", ",
        };
        let _ = write!(text, "{joint}{word}");
    }
    text
}

/// Hours as a setting gives them, every digit of them.
pub(super) fn hours(hours: f64) -> String {
    let digits = hours.to_string();
    let behind_the_point = digits.split_once('.').map_or(String::new(), |(_, digits)| format!(".{digits}"));
    format!("{}{behind_the_point}", grouped(hours.trunc(), ','))
}

/// A length as a setting gives it: three digits behind the point, more where it has more.
pub(super) fn set_inches(length_in: f64) -> String {
    let digits = length_in.to_string();
    let behind_the_point = digits.split_once('.').map_or(0, |(_, digits)| digits.len());
    format!("{length_in:.*} in", behind_the_point.max(3))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_setting_keeps_every_digit() {
        assert_eq!([1200.0, 300.0, 0.5, 8784.0, 1999.75].map(hours), ["1,200", "300", "0.5", "8,784", "1,999.75"]);
        assert_eq!([0.001, 0.0, 0.01, 0.0015].map(set_inches), ["0.001 in", "0.000 in", "0.010 in", "0.0015 in"]);
    }
}
