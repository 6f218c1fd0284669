//! Which column of a file is which column of the records, whatever unit its length is in.

use super::book::settings_stand_in;
use super::load::LoadError;
use super::schema::{Column, Kind, Schema};
use crate::settings::{Separator, nearest};
use crate::tables::Source;

const UNITS: [(&str, f64); 3] = [("_in", 1.0), ("_mm", 25.4), ("_thou", 1000.0)];

/// Positions in the file and what a length is divided by, for each column of the schema.
pub(super) fn match_columns(schema: &'static Schema, source: &Source) -> Result<Vec<Option<(usize, f64)>>, LoadError> {
    let names = source.columns();
    let file = source.header_place().file;
    let at = |wanted: &str| names.iter().position(|n| n == wanted);
    let mut matched = Vec::with_capacity(schema.columns.len());
    for column in schema.columns {
        if column.kind != Kind::Length {
            matched.push(at(column.name).map(|p| (p, 1.0)));
            continue;
        }
        let mut found: Option<(usize, f64)> = None;
        for (ending, over) in UNITS {
            let Some(position) = at(&format!("{}{ending}", column.name)) else {
                continue;
            };
            if let Some((first, _)) = found {
                return Err(LoadError::TwoUnits { file, first: names[first].clone(), second: names[position].clone() });
            }
            found = Some((position, over));
        }
        matched.push(found);
    }
    Ok(matched)
}

/// Refuses a table with headings that look like columns it does not have: what a misspelt column says would be lost without
/// a word, and a fleet without it looks safer.
///
/// A heading looks like a column when nothing but letter case, blanks, `_`, `-` and a unit's ending stands between them, or
/// one slip where the column's name has up to seven letters, two where it has more.
pub(super) fn refuse_look_alikes(
    schema: &'static Schema,
    source: &Source,
    matched: &[Option<(usize, f64)>],
    ignored: &[String],
) -> Result<(), LoadError> {
    let absent: Vec<(&Column, String)> =
        schema.columns.iter().zip(matched).filter(|(_, m)| m.is_none()).map(|(c, _)| (c, bare(c.name))).collect();
    let file = source.header_place().file;
    let mut told = Vec::new();
    for heading in unknown_columns(schema, source, ignored) {
        // A header that was not cut has its own hint.
        if Separator::ALL.iter().any(|separator| heading.contains(char::from(separator.byte()))) {
            continue;
        }
        let typed = bare(heading);
        let likely = absent
            .iter()
            .filter_map(|(column, name)| {
                let (most, letters) = (if name.chars().count() <= 7 { 1 } else { 2 }, name.chars().count());
                // Most headings are passed over here.
                if typed.chars().count().abs_diff(letters) > most {
                    return None;
                }
                let slips = strsim::damerau_levenshtein(&typed, name);
                (slips <= most).then_some((slips, *column, name))
            })
            .min_by_key(|(slips, ..)| *slips);
        if let Some((_, column, _)) = likely {
            told.push(format!("{file}: the column `{heading}` is not known and looks like {}", shown(column)));
        }
    }
    if told.is_empty() {
        return Ok(());
    }
    let settings = settings_stand_in(matches!(source, Source::Sheet(_)));
    Err(LoadError::LooksLike { told, settings })
}

/// Headings of a file that are no column of its table and are not to be ignored.
pub(super) fn unknown_columns<'s>(
    schema: &'static Schema,
    source: &'s Source,
    ignored: &[String],
) -> impl Iterator<Item = &'s str> {
    let names = source.columns().iter().map(String::as_str);
    let is_ignored = |name: &str| ignored.iter().any(|i| i == name || *i == format!("{}.{name}", schema.name));
    names.filter(move |name| !name.is_empty() && !schema.knows(name) && !is_ignored(name))
}

/// What is left of a name without letter case, blanks, `_`, `-` and a unit's ending.
fn bare(name: &str) -> String {
    let lower = name.to_lowercase();
    let mut words: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    if words.len() > 1 && matches!(words.last(), Some(&("in" | "inch" | "inches" | "mm" | "thou"))) {
        words.pop();
    }
    words.concat()
}

/// Headings that a message lists.
const MOST_LISTED: usize = 40;

fn found_names(names: &[String]) -> String {
    let listed = names.iter().take(MOST_LISTED).map(|n| format!("`{n}`")).collect::<Vec<_>>().join(", ");
    match names.len().checked_sub(MOST_LISTED) {
        Some(more) if more > 0 => format!("{listed} and {more} more"),
        _ => listed,
    }
}

fn shown(column: &Column) -> String {
    match column.kind {
        Kind::Length => format!("`{0}_in` (or {0}_mm, {0}_thou)", column.name),
        _ => format!("`{}`", column.name),
    }
}

pub(super) fn require_columns(
    schema: &'static Schema,
    source: &Source,
    matched: &[Option<(usize, f64)>],
) -> Result<(), LoadError> {
    let there = |name: &str| schema.position(name).is_some_and(|p| matched[p].is_some());
    let mut missing: Vec<(String, Vec<&'static str>)> =
        schema.columns.iter().filter(|c| c.required && !there(c.name)).map(|c| (shown(c), vec![c.name])).collect();
    for group in schema.one_of {
        if !group.iter().any(|name| there(name)) {
            let columns: Vec<String> = schema.columns.iter().filter(|c| group.contains(&c.name)).map(shown).collect();
            missing.push((columns.join(" or "), group.to_vec()));
        }
    }
    let Some((_, wanted)) = missing.first() else {
        return Ok(());
    };
    let names = source.columns();
    // One wide column whose name holds another separator is a header that was not cut.
    let one_wide_column = Some(names).filter(|names| names.len() == 1);
    let separator = one_wide_column.and_then(|names| {
        let mut all = Separator::ALL.into_iter();
        all.find(|separator| names[0].contains(char::from(separator.byte())))
    });
    let hint = if let Some(separator) = separator {
        format!(
            "the header looks cut by another separator; set csv_separator = \"{}\" in fleet.toml (and decimal_comma = true, if decimals have commas)",
            separator.word()
        )
    } else {
        let near = wanted.iter().find_map(|name| nearest(name, names.iter().map(String::as_str)));
        match near {
            Some(near) => format!("the nearest column there is `{near}`"),
            None => "rename or add the column".to_string(),
        }
    };
    Err(LoadError::MissingColumns {
        file: source.header_place().file,
        missing: missing.into_iter().map(|(text, _)| text).collect(),
        found: found_names(names),
        hint,
    })
}
