//! How a chance is written, wherever words show one.

/// A chance in two figures of a percent. It is never shown as a certainty.
pub fn chance_in_words(chance: f64) -> String {
    let percent = chance * 100.0;
    if percent < 1.0 {
        "under 1\u{a0}%".to_string()
    } else if percent > 99.0 {
        "over 99\u{a0}%".to_string()
    } else {
        format!("{percent:.0}\u{a0}%")
    }
}

/// A chance in a column of numbers, two figures. It is never shown as a certainty.
pub fn chance_in_figures(chance: f64) -> String {
    if chance < 0.01 {
        "<0.01".to_string()
    } else if chance > 0.99 {
        ">0.99".to_string()
    } else {
        format!("{chance:.2}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_chance_is_a_certainty() {
        for (chance, words, figures) in [
            (0.0, "under 1\u{a0}%", "<0.01"),
            (0.004, "under 1\u{a0}%", "<0.01"),
            (0.01, "1\u{a0}%", "0.01"),
            (0.345, "34\u{a0}%", "0.34"),
            (0.456, "46\u{a0}%", "0.46"),
            (0.99, "99\u{a0}%", "0.99"),
            (0.995, "over 99\u{a0}%", ">0.99"),
            (1.0, "over 99\u{a0}%", ">0.99"),
        ] {
            assert_eq!(chance_in_words(chance), words);
            assert_eq!(chance_in_figures(chance), figures);
        }
    }
}
