//! What a number format says of a number: a percentage, a power of ten, leading zeros that belong to an identifier.

/// One sign of a format code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Sign {
    /// A place for a digit; `true` when it is filled with a zero.
    Place(bool),
    /// A character that is shown as it stands.
    Shown(char),
    /// Anything else: points, commas, letters, percent signs.
    Other(char),
}

/// A format code as far as it concerns whole numbers above zero: its first section, without colours and widths.
pub(super) struct NumberFormat {
    signs: Vec<Sign>,
}

impl NumberFormat {
    pub fn new(code: &str) -> NumberFormat {
        let mut signs = Vec::with_capacity(code.len());
        let mut chars = code.chars();
        while let Some(c) = chars.next() {
            match c {
                '"' => {
                    let quoted = chars.by_ref().take_while(|&c| c != '"');
                    signs.extend(quoted.map(Sign::Shown));
                }
                '[' => chars.by_ref().take_while(|&c| c != ']').for_each(drop),
                '_' | '*' => {
                    chars.next();
                }
                '\\' => signs.extend(chars.next().map(Sign::Shown)),
                ';' => break,
                '0' => signs.push(Sign::Place(true)),
                '#' | '?' => signs.push(Sign::Place(false)),
                '-' | ' ' | '/' | '(' | ')' | ':' => signs.push(Sign::Shown(c)),
                _ => signs.push(Sign::Other(c)),
            }
        }
        if code.eq_ignore_ascii_case("general") {
            signs.clear();
        }
        NumberFormat { signs }
    }

    /// Whether it changes nothing about what a number means or which digits it has.
    pub fn is_plain(&self) -> bool {
        !self.is_percent() && !self.is_scientific() && !self.adds_to_digits()
    }

    fn adds_to_digits(&self) -> bool {
        let zeros = self.signs.iter().filter(|s| **s == Sign::Place(true)).count();
        let only_digits = !self.signs.iter().any(|s| matches!(s, Sign::Other(_)));
        let shows_signs = self.signs.iter().any(|s| matches!(s, Sign::Shown(_)));
        only_digits && (zeros > 1 || shows_signs)
    }

    pub fn is_percent(&self) -> bool {
        self.signs.contains(&Sign::Other('%'))
    }

    pub fn is_scientific(&self) -> bool {
        self.signs.contains(&Sign::Other('E')) || self.signs.contains(&Sign::Other('e'))
    }

    /// A whole number as the format shows it, when that is more than its plain digits: 43 with `00000` is `00043`.
    pub fn shown(&self, value: f64) -> Option<String> {
        let zeros = self.signs.iter().filter(|s| **s == Sign::Place(true)).count();
        let first_place = self.signs.iter().position(|s| matches!(s, Sign::Place(_)))?;
        if !self.adds_to_digits() || value.fract() != 0.0 || !(0.0..1e15).contains(&value) {
            return None;
        }
        let mut digits: Vec<char> = format!("{value:0zeros$}").chars().collect();
        // Filled from the right; what is left goes to the first place.
        let mut shown = Vec::new();
        for (at, sign) in self.signs.iter().enumerate().rev() {
            match *sign {
                Sign::Place(_) => {
                    shown.extend(digits.pop());
                    if at == first_place {
                        shown.extend(digits.drain(..).rev());
                    }
                }
                Sign::Shown(c) | Sign::Other(c) => shown.push(c),
            }
        }
        let text: String = shown.into_iter().rev().collect();
        Some(text.trim().to_string())
    }
}

/// A number without the digits that only binary fractions have: at most 15 significant ones, as a spreadsheet keeps them.
pub(super) fn decimals_cut(value: f64) -> String {
    let short: f64 = format!("{value:.14e}").parse().unwrap_or(value);
    short.to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn leading_zeros_and_prefixes_are_kept_as_shown() {
        let shown = |value, code| NumberFormat::new(code).shown(value);
        assert_eq!(shown(43.0, "00000").as_deref(), Some("00043"));
        assert_eq!(shown(123_456.0, "00000").as_deref(), Some("123456"));
        assert_eq!(shown(1043.0, "000-000").as_deref(), Some("001-043"));
        assert_eq!(shown(12_001_043.0, "000-000").as_deref(), Some("12001-043"));
        assert_eq!(shown(43.0, "\"BW-\"0000;[Red]-0").as_deref(), Some("BW-0043"));
        assert_eq!(shown(43.0, "\\B0000").as_deref(), Some("B0043"));
        for code in ["0", "0.00", "General", "#,##0", "@", "0%"] {
            assert_eq!(shown(43.0, code), None, "{code}");
        }
        assert_eq!(shown(43.5, "00000"), None);
        assert_eq!(shown(-43.0, "00000"), None);
    }

    #[test]
    fn only_a_bare_percent_sign_multiplies() {
        assert!(NumberFormat::new("0.0%").is_percent());
        assert!(!NumberFormat::new("0\" %\"").is_percent());
        assert!(!NumberFormat::new("0\\%").is_percent());
        assert!(NumberFormat::new("0.00E+00").is_scientific());
        assert!(!NumberFormat::new("General").is_scientific());
        assert!(!NumberFormat::new("[$EUR] 0.00").is_scientific());
    }

    #[test]
    fn binary_fractions_are_not_shown() {
        assert_eq!(decimals_cut(0.1 + 0.2), "0.3");
        assert_eq!(decimals_cut(1043.0), "1043");
        assert_eq!(decimals_cut(5.38), "5.38");
        assert_eq!(decimals_cut(0.0), "0");
    }
}
