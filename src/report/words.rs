//! How sums, chances and days are written on the page.

pub use crate::analysis::chance::chance_in_words as chance;
pub use crate::records::written::{count, grouped};

/// A sum in whole units, a narrow no-break space between the thousands.
pub fn thousands(sum: f64) -> String {
    grouped(sum, '\u{202f}')
}

/// A length in inches to the thousandth, which is what the sheets support.
pub fn inches(length: f64) -> String {
    format!("{length:.3}")
}

/// Parts of a line, a semicolon between them.
pub fn joined(parts: &[String]) -> String {
    parts.join("; ")
}

/// The program's own sentences with the names of tables and columns in quotation marks, where a terminal shows them in
/// backticks. A backtick of the records stays what it is, unless a plain word stands between two of them.
pub fn quoted(sentence: &str) -> String {
    let mut text = String::with_capacity(sentence.len());
    let mut rest = sentence;
    while let Some(start) = rest.find('`') {
        let (before, after) = rest.split_at(start);
        text.push_str(before);
        let word = &after[1..];
        let end = word.find(|c: char| !(c.is_ascii_lowercase() || c == '_')).unwrap_or(word.len());
        if end > 0 && word[end..].starts_with('`') {
            text.push('\u{201c}');
            text.push_str(&word[..end]);
            text.push('\u{201d}');
            rest = &word[end + 1..];
        } else {
            text.push('`');
            rest = word;
        }
    }
    text.push_str(rest);
    text
}

/// A length in whole thousandths of an inch, which is how a shop says it.
pub fn thousandths(length_in: f64) -> String {
    // A rounded negative zero is a zero.
    let whole = (length_in * 1000.0).round() as i64;
    if whole < 0 { format!("\u{2212}{}", whole.unsigned_abs()) } else { whole.to_string() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_have_spaces_between_the_thousands() {
        assert_eq!(thousands(1_234_567.4), "1\u{202f}234\u{202f}567");
        assert_eq!(thousands(-999.6), "-1\u{202f}000");
        assert_eq!(thousands(-0.2), "0");
    }

    #[test]
    fn thousandths_are_whole() {
        assert_eq!(thousandths(0.0074), "7");
        assert_eq!(thousandths(-0.0002), "0");
        assert_eq!(thousandths(-0.0038), "\u{2212}4");
    }

    #[test]
    fn names_of_tables_are_quoted_and_other_backticks_stay() {
        assert_eq!(
            quoted("add it to `hours` or `aircraft_hours`"),
            "add it to \u{201c}hours\u{201d} or \u{201c}aircraft_hours\u{201d}"
        );
        for same in ["", "`", "``", "Wagtail `7`", "a ` b `", "`\u{e9}`"] {
            assert_eq!(quoted(same), same);
        }
    }
}
