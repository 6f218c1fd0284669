//! TOML text to entries: every key with its value, its line and its column.

use std::collections::BTreeMap;

use toml::de::{DeTable, DeValue};

use super::error::{Place, SettingError};
use super::given::{Entry, Given, shortened};

/// Every key of a TOML text, in the order of the text; a key outside any section has an empty section.
///
/// # Errors
/// One [`SettingError`] for each place where the text is not TOML.
pub(super) fn entries(layer: &str, text: &str) -> Result<Vec<Entry>, Vec<SettingError>> {
    // A byte-order mark is what some editors put before the first line; it is no part of the text.
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let (table, errors) = DeTable::parse_recoverable(text);
    if !errors.is_empty() {
        return Err(not_toml(layer, text, &errors));
    }
    let lines = Lines::of(text);
    let mut entries = Vec::new();
    for (key, value) in table.get_ref() {
        if let DeValue::Table(section) = value.get_ref() {
            for (inner, value) in section {
                entries.push((inner.span().start, entry(&lines, key.get_ref(), inner, value)));
            }
            // An empty section holds nothing to read, but its name may be wrong.
            if section.is_empty() {
                let mut alone = entry(&lines, "", key, value);
                alone.section = std::mem::take(&mut alone.key);
                alone.value = Given::EmptySection;
                entries.push((key.span().start, alone));
            }
        } else {
            entries.push((key.span().start, entry(&lines, "", key, value)));
        }
    }
    entries.sort_by_key(|(start, _)| *start);
    Ok(entries.into_iter().map(|(_, entry)| entry).collect())
}

fn entry(
    lines: &Lines<'_>,
    section: &str,
    key: &toml::Spanned<std::borrow::Cow<'_, str>>,
    value: &toml::Spanned<DeValue<'_>>,
) -> Entry {
    Entry {
        section: section.to_owned(),
        key: key.get_ref().to_string(),
        value: given(value.get_ref()),
        key_place: lines.place(key.span().start),
        place: lines.place(value.span().start),
        written: match value.get_ref() {
            DeValue::Table(_) => "a section".to_owned(),
            _ => format!("`{}`", shortened(lines.text.get(value.span()).unwrap_or_default())),
        },
    }
}

fn given(value: &DeValue<'_>) -> Given {
    match value {
        DeValue::String(text) => Given::Text(text.to_string()),
        DeValue::Integer(number) => {
            i64::from_str_radix(number.as_str(), number.radix()).map_or(Given::Other, Given::Whole)
        }
        DeValue::Float(number) => number.as_str().parse().map_or(Given::Other, Given::Number),
        DeValue::Boolean(yes) => Given::YesNo(*yes),
        DeValue::Array(items) => {
            let text = |item: &toml::Spanned<DeValue<'_>>| item.get_ref().as_str().map(str::to_string);
            items.iter().map(text).collect::<Option<_>>().map_or(Given::Other, Given::Texts)
        }
        DeValue::Datetime(_) | DeValue::Table(_) => Given::Other,
    }
}

/// A text and where its lines begin, so that a place in it is found at once.
struct Lines<'t> {
    text: &'t str,
    starts: Vec<usize>,
}

impl<'t> Lines<'t> {
    fn of(text: &'t str) -> Lines<'t> {
        let starts = std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect();
        Lines { text, starts }
    }

    /// Line and column, both from 1, of a byte of the text.
    fn line_and_column(&self, byte: usize) -> (usize, usize) {
        let line = self.starts.partition_point(|&start| start <= byte);
        let start = self.starts.get(line.saturating_sub(1)).copied().unwrap_or(0);
        (line, self.text.get(start..byte).unwrap_or_default().chars().count() + 1)
    }

    fn place(&self, byte: usize) -> Place {
        let (line, column) = self.line_and_column(byte);
        Place::At { line, column }
    }

    /// A line by its number, from 1.
    fn written(&self, line: usize) -> &'t str {
        let start = self.starts.get(line.saturating_sub(1)).copied().unwrap_or(self.text.len());
        self.text.get(start..).and_then(|rest| rest.lines().next()).unwrap_or_default()
    }
}

/// One error for each line that is not TOML: what follows the first slip in a line is mostly its echo.
fn not_toml(layer: &str, text: &str, errors: &[toml::de::Error]) -> Vec<SettingError> {
    let lines = Lines::of(text);
    let mut by_line = BTreeMap::new();
    for error in errors {
        let start = error.span().map_or(0, |span| span.start.min(text.len()));
        let (line, column) = lines.line_and_column(start);
        let first = by_line.entry(line).or_insert((column, error.message()));
        if column < first.0 {
            *first = (column, error.message());
        }
    }
    by_line
        .into_iter()
        .map(|(line, (column, message))| {
            let written = lines.written(line);
            // The library goes on with the tokens it expected, which help nobody who writes settings.
            let what = message.split(", expected").next().unwrap_or(message);
            SettingError {
                layer: layer.to_owned(),
                place: Place::At { line, column },
                key: String::new(),
                found: format!("`{}` ({})", shortened(written), shortened(what)),
                expected: "a line like `key = value`, `[section]` or `# remark`".to_owned(),
                remedy: line_remedy(written, message),
            }
        })
        .collect()
}

/// The slips people make when they write such a file for the first time.
fn line_remedy(line: &str, message: &str) -> String {
    if message.contains("duplicate key") {
        return "keep one of the two lines".to_owned();
    }
    if line.contains(['\u{201c}', '\u{201d}', '\u{201e}', '\u{2018}', '\u{2019}']) {
        return "write straight quotes: \"text\"".to_owned();
    }
    if line.trim_start().starts_with('[') {
        return "write the section's name alone between brackets: [section]".to_owned();
    }
    let Some((key, value)) = line.split_once('=') else {
        return "write the key, an equals sign and the value".to_owned();
    };
    let (key, value) = (key.trim(), value.split('#').next().unwrap_or("").trim());
    if value.is_empty() {
        return "write the value after the equals sign, or take the line out to get the default".to_owned();
    }
    if value.starts_with('=') {
        return "write one equals sign".to_owned();
    }
    let pointed = value.replacen(',', ".", 1);
    if value.contains(',') && pointed.parse::<f64>().is_ok() {
        return format!("write a decimal point: {key} = {pointed}");
    }
    match value.to_lowercase().as_str() {
        "yes" | "true" => return format!("write {key} = true"),
        "no" | "false" => return format!("write {key} = false"),
        _ => {}
    }
    if !value.contains(['"', '\'', '[', '{']) {
        return format!("put text in straight quotes: {key} = \"{value}\"");
    }
    "write numbers with a decimal point, text in straight quotes, yes and no as true and false".to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn entries_keep_their_places() {
        let text = "\u{feff}# ä remark\r\nname = 'Élan'\r\n\r\n[due]\r\n  warning_days = 60 # ok\r\n";
        let found = entries("fleet.toml", text).unwrap();
        assert_eq!(found.len(), 2);
        assert_eq!(found[0].path(), "name");
        assert_eq!(found[0].value, Given::Text("Élan".to_owned()));
        assert_eq!(found[0].place, Place::At { line: 2, column: 8 });
        assert_eq!(found[1].path(), "due.warning_days");
        assert_eq!(found[1].value, Given::Whole(60));
        assert_eq!(found[1].key_place, Place::At { line: 5, column: 3 });
        assert_eq!(found[1].place, Place::At { line: 5, column: 18 });
        assert_eq!(found[1].written, "`60`");
    }

    #[test]
    fn every_kind_of_value_is_told_apart() {
        let text =
            "a = 0x10\nb = 1_000.5\nc = true\nd = 2024-01-02\ne = [1]\nf = 99999999999999999999\ng.h.i = 1\nj = inf\n";
        let found = entries("f", text).unwrap();
        let values: Vec<Given> = found.iter().map(|entry| entry.value.clone()).collect();
        assert_eq!(
            values,
            [
                Given::Whole(16),
                Given::Number(1000.5),
                Given::YesNo(true),
                Given::Other,
                Given::Other,
                Given::Other,
                Given::Other,
                Given::Number(f64::INFINITY),
            ]
        );
        assert_eq!(found[6].path(), "g.h");
    }

    #[test]
    fn the_column_counts_characters() {
        // "é" is two bytes and one character.
        assert_eq!(Lines::of("é = 1\né").place(3), Place::At { line: 1, column: 3 });
        assert_eq!(Lines::of("é = 1\né").place(7), Place::At { line: 2, column: 1 });
        assert_eq!(Lines::of("").place(0), Place::At { line: 1, column: 1 });
    }

    #[test]
    fn slips_get_the_remedy_that_fits() {
        let remedy = |text: &str| -> String {
            let errors = entries("f", text).unwrap_err();
            errors[0].remedy.clone()
        };
        assert_eq!(remedy("[due"), "write the section's name alone between brackets: [section]");
        assert_eq!(remedy("a = = 2"), "write one equals sign");
        assert_eq!(remedy("weight_time = 0,4"), "write a decimal point: weight_time = 0.4");
        assert_eq!(remedy("decimal_comma = yes"), "write decimal_comma = true");
        assert_eq!(remedy("decimal_comma = No # x"), "write decimal_comma = false");
        assert_eq!(remedy("name = Kestrel Club"), "put text in straight quotes: name = \"Kestrel Club\"");
        assert_eq!(remedy("name = \u{201c}Kestrel\u{201d}"), "write straight quotes: \"text\"");
        assert_eq!(
            remedy("currency ="),
            "write the value after the equals sign, or take the line out to get the default"
        );
        assert_eq!(remedy("warning_days 60"), "write the key, an equals sign and the value");
        assert_eq!(remedy("a = 1\na = 2"), "keep one of the two lines");
        assert_eq!(remedy("[due]\na = 1\n[due]\nb = 2"), "keep one of the two lines");
        assert_eq!(
            remedy("name = \"Kestrel"),
            "write numbers with a decimal point, text in straight quotes, yes and no as true and false"
        );
    }

    #[test]
    fn each_broken_line_is_said_once_in_order() {
        let text = "name = Kestrel Club\nx = = 2\n[due\nwarning_days = 0,4\n";
        let found: Vec<String> = entries("fleet.toml", text).unwrap_err().iter().map(SettingError::to_string).collect();
        let line = "expected a line like `key = value`, `[section]` or `# remark`, found";
        assert_eq!(
            found,
            [
                format!(
                    "fleet.toml:1:8: {line} `name = Kestrel Club` (string values must be quoted)\nhint: put text in straight quotes: name = \"Kestrel Club\""
                ),
                format!("fleet.toml:2:5: {line} `x = = 2` (extra `=`)\nhint: write one equals sign"),
                format!(
                    "fleet.toml:3:5: {line} `[due` (unclosed table)\nhint: write the section's name alone between brackets: [section]"
                ),
                format!(
                    "fleet.toml:4:17: {line} `warning_days = 0,4` (unexpected key or value)\nhint: write a decimal point: warning_days = 0.4"
                ),
            ]
        );
    }
}
