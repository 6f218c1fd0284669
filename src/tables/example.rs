//! Rows that only show how a row is written.

/// The word that marks a row as an example, at the start of its first filled cell.
pub const EXAMPLE: &str = "EXAMPLE";

/// Whether the first filled cell of a row marks it as an example: the word [`EXAMPLE`], alone or followed by more.
pub fn is_example(first_cell: &str) -> bool {
    first_cell.trim_start().strip_prefix(EXAMPLE).is_some_and(|rest| !rest.starts_with(|c: char| c.is_alphanumeric()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_word_itself_marks_an_example() {
        for text in ["EXAMPLE", "EXAMPLE BW-1", " EXAMPLE: one", "EXAMPLE-1"] {
            assert!(is_example(text), "{text}");
        }
        for text in ["example", "Example 1", "EXAMPLES", "EXAMPLE1", "AN EXAMPLE", ""] {
            assert!(!is_example(text), "{text}");
        }
    }
}
