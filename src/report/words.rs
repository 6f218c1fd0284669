//! How sums, chances and days are written on the page.

/// A sum in whole units, a narrow no-break space between the thousands.
pub fn thousands(sum: f64) -> String {
    let digits = format!("{:.0}", sum.abs());
    let mut text = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at) % 3 == 0 {
            text.push('\u{202f}');
        }
        text.push(digit);
    }
    if sum <= -0.5 {
        format!("-{text}")
    } else {
        text
    }
}

/// A chance as a percentage with two figures. It is never shown as a certainty.
pub fn chance(chance: f64) -> String {
    let percent = chance * 100.0;
    if percent < 1.0 {
        "under 1\u{a0}%".to_string()
    } else if percent > 99.0 {
        "over 99\u{a0}%".to_string()
    } else {
        format!("{percent:.0}\u{a0}%")
    }
}

/// A length in inches to the thousandth, which is what the sheets support.
pub fn inches(length: f64) -> String {
    format!("{length:.3}")
}

/// A count with its noun, which takes an s unless there is one.
pub fn count(number: usize, noun: &str) -> String {
    if number == 1 {
        format!("1 {noun}")
    } else {
        format!("{number} {noun}s")
    }
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
    fn no_chance_is_a_certainty() {
        assert_eq!(chance(0.0), "under 1\u{a0}%");
        assert_eq!(chance(1.0), "over 99\u{a0}%");
        assert_eq!(chance(0.345), "34\u{a0}%");
    }
}
