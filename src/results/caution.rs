//! The caution that every output carries once.

/// One line: whose the limits are, who decides, and what this program is.
pub const CAUTION: &str = "Limits come from the maker's current manual; only a certificated shop or mechanic decides \
                           airworthiness. This is a planning aid.";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_caution_is_one_line_and_says_who_decides() {
        assert_eq!(CAUTION.lines().count(), 1);
        assert!(!CAUTION.contains("  "));
        for part in ["maker's current manual", "certificated shop or mechanic", "planning aid"] {
            assert!(CAUTION.contains(part), "{part}");
        }
    }
}
