//! Names and words joined for a message.

use std::fmt::Write as _;

/// The names that may have been meant, for a message; `None` when there are none.
pub(in crate::records) fn offered(names: &[&str]) -> Option<Box<str>> {
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
