//! What a heading means: which column of the records, of which blade, in which unit.

/// A reading that a sheet may hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Reading {
    /// Width as it came in.
    WidthBefore,
    /// Width as it left.
    WidthAfter,
    /// Thickness as it came in.
    ThicknessBefore,
    /// Thickness as it left.
    ThicknessAfter,
    /// Blade angle as it left, in degrees.
    AngleAfter,
    /// Edge alignment.
    EdgeAlignment,
}

impl Reading {
    /// Every reading, in the order of the records' columns.
    pub const ALL: [Reading; 6] = [
        Reading::WidthBefore,
        Reading::WidthAfter,
        Reading::ThicknessBefore,
        Reading::ThicknessAfter,
        Reading::AngleAfter,
        Reading::EdgeAlignment,
    ];

    /// Its column in `measurements`, without a unit's ending.
    pub fn column(self) -> &'static str {
        match self {
            Reading::WidthBefore => "width_before",
            Reading::WidthAfter => "width_after",
            Reading::ThicknessBefore => "thickness_before",
            Reading::ThicknessAfter => "thickness_after",
            Reading::AngleAfter => "angle_after_deg",
            Reading::EdgeAlignment => "edge_alignment",
        }
    }

    /// Whether it is a length, which has a unit.
    pub fn is_length(self) -> bool {
        self != Reading::AngleAfter
    }
}

/// A unit that a heading or a station may name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Inches.
    In,
    /// Millimetres.
    Mm,
    /// Thousandths of an inch.
    Thou,
    /// Percent of the radius.
    Pct,
}

impl Unit {
    /// The unit of a word: `in`, `mm`, `thou`, `pct` and what people write for them.
    pub fn of_word(word: &str) -> Option<Unit> {
        match word {
            "in" | "ins" | "inch" | "inches" => Some(Unit::In),
            "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => Some(Unit::Mm),
            "thou" | "mil" | "mils" => Some(Unit::Thou),
            "pct" | "percent" => Some(Unit::Pct),
            _ => None,
        }
    }

    /// How many of it make an inch; `None` for percent.
    pub fn per_inch(self) -> Option<f64> {
        match self {
            Unit::In => Some(1.0),
            Unit::Mm => Some(25.4),
            Unit::Thou => Some(1000.0),
            Unit::Pct => None,
        }
    }

    /// The ending of a column in it.
    pub fn ending(self) -> &'static str {
        match self {
            Unit::In => "_in",
            Unit::Mm => "_mm",
            Unit::Thou => "_thou",
            Unit::Pct => "_pct",
        }
    }
}

/// What a column of the sheet holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Holds {
    /// The station of each row.
    Station,
    /// A reading of one blade.
    Reading(u8, Reading),
}

/// A heading that was recognised.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Heading {
    /// What its column holds.
    pub holds: Holds,
    /// The unit it names.
    pub unit: Option<Unit>,
}

/// The words of a heading in lower case, split at everything but letters and digits and between letters and digits.
pub fn words(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let mut last: Option<bool> = None;
    for c in text.to_lowercase().chars() {
        match c {
            '%' | '"' | '\u{201d}' | '\u{2033}' => {
                words.push(if c == '%' { "pct" } else { "in" }.to_string());
                last = None;
            }
            c if c.is_alphanumeric() => {
                let digit = c.is_numeric();
                match words.last_mut().filter(|_| last == Some(digit)) {
                    Some(word) => word.push(c),
                    None => words.push(c.to_string()),
                }
                last = Some(digit);
            }
            _ => last = None,
        }
    }
    // Words that people put in and leave out: "blade no. 1", "width of blade 1".
    words.retain(|word| !matches!(word.as_str(), "no" | "nr" | "number" | "of" | "the"));
    words
}

/// One way in which a heading may be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pattern {
    words: Vec<String>,
    of_blade: bool,
}

impl Pattern {
    /// Reads `blade {blade} width before`.
    pub fn read(text: &str) -> Pattern {
        let mut sorted = words(&text.replace("{blade}", " "));
        sorted.sort_unstable();
        Pattern { words: sorted, of_blade: text.contains("{blade}") }
    }

    /// Whether it has the placeholder of the blade.
    pub fn is_of_blade(&self) -> bool {
        self.of_blade
    }

    /// Whether it says nothing.
    pub fn is_empty(&self) -> bool {
        self.words.is_empty()
    }

    /// The blade of a heading written this way, 0 for a pattern without a blade; `None` when it is not written this way.
    fn matches(&self, heading: &[String], blade_of: &dyn Fn(&str) -> Option<u8>) -> Option<u8> {
        if !self.of_blade {
            return (sorted(heading.to_vec()) == self.words).then_some(0);
        }
        if heading.len() != self.words.len() + 1 {
            return None;
        }
        (0..heading.len()).find_map(|at| {
            let blade = blade_of(&heading[at])?;
            let mut rest = heading.to_vec();
            rest.remove(at);
            (sorted(rest) == self.words).then_some(blade)
        })
    }
}

fn sorted(mut words: Vec<String>) -> Vec<String> {
    words.sort_unstable();
    words
}

/// Recognises a heading; `None` for one that no pattern fits.
pub fn recognise<'p>(
    text: &str,
    patterns: impl Iterator<Item = (Option<Reading>, &'p Pattern)> + Clone,
    blade_of: &dyn Fn(&str) -> Option<u8>,
) -> Option<Heading> {
    let all = words(text);
    if all.is_empty() {
        return None;
    }
    let (units, rest): (Vec<String>, Vec<String>) = all.iter().cloned().partition(|word| Unit::of_word(word).is_some());
    let mut named: Vec<Unit> = units.iter().filter_map(|w| Unit::of_word(w)).collect();
    // "width in mm": the word before the unit is no unit.
    if named.iter().any(|&unit| unit != Unit::In) {
        named.retain(|&unit| unit != Unit::In);
    }
    named.dedup();
    let fits = |heading: &[String], unit: Option<Unit>| {
        patterns.clone().find_map(|(reading, pattern)| {
            let blade = pattern.matches(heading, blade_of)?;
            let holds = match reading {
                None => Holds::Station,
                Some(reading) => Holds::Reading(blade, reading),
            };
            Some(Heading { holds, unit })
        })
    };
    // As it stands first: "in" may be the shop's word for before.
    fits(&all, None).or_else(|| match named.as_slice() {
        [] => None,
        [unit] => fits(&rest, Some(*unit)),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn blade(word: &str) -> Option<u8> {
        word.parse().ok()
    }

    fn read(text: &str) -> Option<(Holds, Option<Unit>)> {
        let patterns = [
            (None, Pattern::read("station")),
            (Some(Reading::WidthBefore), Pattern::read("blade {blade} width before")),
            (Some(Reading::WidthAfter), Pattern::read("B{blade} W out (in)")),
        ];
        recognise(text, patterns.iter().map(|(r, p)| (*r, p)), &blade).map(|h| (h.holds, h.unit))
    }

    #[test]
    fn headings_are_recognised_however_they_are_typed() {
        let width = |unit| Some((Holds::Reading(2, Reading::WidthBefore), unit));
        for text in [
            "blade 2 width before",
            "BLADE 2: Width, before",
            "Blade No. 2 - before - width",
            "blade2_width_before",
            "width of blade 2 before",
        ] {
            assert_eq!(read(text), width(None), "{text}");
        }
        assert_eq!(read("Blade 2 width before (in)"), width(Some(Unit::In)));
        assert_eq!(read("blade2_width_before_mm"), width(Some(Unit::Mm)));
        assert_eq!(read("blade 2 width in mm before"), width(Some(Unit::Mm)));
        assert_eq!(read("Station %"), Some((Holds::Station, Some(Unit::Pct))));
        assert_eq!(read("Station (\")"), Some((Holds::Station, Some(Unit::In))));
        assert_eq!(read("B1 W out in"), Some((Holds::Reading(1, Reading::WidthAfter), None)));
        for text in ["", "width before", "blade 2 width", "blade 2 width before mm thou", "2"] {
            assert_eq!(read(text), None, "{text}");
        }
    }
}
