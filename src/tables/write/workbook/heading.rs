//! What stands over a column: its name as words, and its unit as words.

use arrow::datatypes::Field;

/// Units that a column's name ends in, as the list of columns writes them: ending, unit, and the unit in words.
const UNITS: &[(&str, &str, &str)] = &[
    ("_in", "in", "inches"),
    ("_pct", "% of radius", "percent of radius"),
    ("_mpa", "MPa", "megapascals"),
    ("_g_m2", "g/m2", "grams per square metre"),
    ("_g_m2_year", "g/(m2 year)", "grams per square metre and year"),
    ("_per_100h", "findings per 100 flight hours", ""),
    ("_per_hour", "fleet currency per flight hour", ""),
    ("_per_year", "flight hours per year", ""),
];

/// The heading of a column: `limiting_margin_in` in `in` is `limiting margin (inches)`. Dates and counts need no unit, and
/// what the name says already is not said again.
pub fn heading(field: &Field) -> String {
    let unit = field.metadata().get("unit").map_or("", String::as_str);
    let known = UNITS.iter().find(|(_, written, _)| *written == unit);
    let name = field.name();
    let stem = known.and_then(|(ending, ..)| name.strip_suffix(ending)).unwrap_or(name);
    let words = stem.replace('_', " ");
    let unit = match known {
        Some((_, _, in_words)) if !in_words.is_empty() => in_words,
        _ => unit,
    };
    let says = |word: &str| words.split(' ').any(|of_name| of_name == word);
    // Such as `chance, 0 to 1`: what it is, and between which bounds.
    let unit = match unit.split_once(", ") {
        Some((what, bounds)) if says(what) => bounds,
        _ => unit,
    };
    if matches!(unit, "" | "date" | "count") || says(unit) {
        return words;
    }
    format!("{words} ({unit})")
}

/// What the note on a heading says: meaning, source, and the column's name in the other file formats.
pub(super) fn note(field: &Field) -> Option<String> {
    let about = |key: &str| field.metadata().get(key).map_or("", String::as_str);
    let (meaning, source) = (about("about"), about("source"));
    if meaning.is_empty() {
        return None;
    }
    let mut text = meaning.to_string();
    if !source.is_empty() {
        text.push_str(&format!("\nFrom: {source}"));
    }
    text.push_str(&format!("\nIn other files: {}", field.name()));
    Some(text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use arrow::datatypes::DataType;

    #[test]
    fn a_heading_is_the_name_and_the_unit_in_words() {
        let of = |name: &str, unit: &str| {
            let unit = [("unit".to_string(), unit.to_string())];
            heading(&Field::new(name, DataType::Float64, true).with_metadata(unit))
        };
        assert_eq!(of("limiting_margin_in", "in"), "limiting margin (inches)");
        assert_eq!(of("station_pct", "% of radius"), "station (percent of radius)");
        assert_eq!(of("rate_g_m2_year", "g/(m2 year)"), "rate (grams per square metre and year)");
        assert_eq!(
            of("constant_per_hour", "fleet currency per flight hour"),
            "constant (fleet currency per flight hour)"
        );
        assert_eq!(of("days_to_due", "days"), "days to due");
        assert_eq!(of("open_findings", "count"), "open findings");
        assert_eq!(of("tier", "tier, 1 to 6"), "tier (1 to 6)");
        assert_eq!(of("reject_chance", "chance, 0 to 1"), "reject chance (0 to 1)");
        assert_eq!(of("trend_p", "chance, 0 to 1"), "trend p (chance, 0 to 1)");
        assert_eq!(of("due_date", "date"), "due date");
        assert_eq!(of("propeller", ""), "propeller");
        // An ending that is no unit stays.
        assert_eq!(of("checked_in", ""), "checked in");
    }
}
