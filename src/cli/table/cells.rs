//! The values of a column as text, wrapped to the width that the column should have.

use arrow::array::{Array, ArrayRef, AsArray};
use arrow::datatypes::{DataType, Float64Type};
use arrow::error::ArrowError;
use arrow::util::display::{ArrayFormatter, FormatOptions};

use crate::analysis::chance::chance_in_figures;
use crate::results::{CHANCE, Column};

/// Text longer than this goes on in the next line of its cell where nobody says how much room there is.
const TEXT_WIDTH: usize = 36;
/// Text is broken at this width however much room there is: longer lines are hard to follow.
const WIDEST_TEXT: usize = 60;
/// Text is not broken into columns narrower than this.
const NARROWEST_TEXT: usize = 22;
/// Columns of a row that two texts leave to everything else.
const BESIDE_TWO_TEXTS: usize = 34;

/// Width of text in a row this wide, so that two of them and a few short columns fit.
pub(super) fn text_width(row: Option<u16>) -> usize {
    row.map_or(TEXT_WIDTH, |row| {
        (usize::from(row).saturating_sub(BESIDE_TWO_TEXTS) / 2).clamp(NARROWEST_TEXT, WIDEST_TEXT)
    })
}

/// A number smaller than this, either way, is a rounding error of zero: results are kept to 1e-9.
const NOTHING: f64 = 5e-10;

/// A column, ready to be laid out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct ColumnCells {
    /// The whole name.
    pub(super) name: String,
    /// The name, wrapped after underscores.
    pub(super) header: String,
    /// One text a row.
    pub(super) cells: Vec<String>,
    /// Whether numbers stand in it.
    pub(super) right_aligned: bool,
}

pub(super) fn column_cells(
    name: &str,
    values: &ArrayRef,
    column: Option<&Column>,
    text_width: usize,
) -> Result<ColumnCells, ArrowError> {
    let is_chance = column.is_some_and(|column| column.unit == CHANCE && column.decimals == Some(2));
    let decimals = column.and_then(|column| column.decimals);
    let cells =
        texts(values, |value| if is_chance { chance_in_figures(value) } else { number(value, decimals) }, text_width)?;
    let widest = cells.iter().flat_map(|cell| cell.lines()).map(width).max();
    Ok(ColumnCells {
        name: name.to_string(),
        header: wrapped_header(name, widest.unwrap_or(0)),
        cells,
        right_aligned: values.data_type().is_numeric(),
    })
}

fn texts(values: &ArrayRef, number: impl Fn(f64) -> String, text_width: usize) -> Result<Vec<String>, ArrowError> {
    // Arrow writes days as ISO 8601 by itself.
    let options = FormatOptions::default();
    let as_is = ArrayFormatter::try_new(values, &options)?;
    let known = (0..values.len()).map(|row| {
        if values.is_null(row) {
            return Ok(String::new());
        }
        Ok(match values.data_type() {
            DataType::Float64 => number(values.as_primitive::<Float64Type>().value(row)),
            DataType::Boolean if values.as_boolean().value(row) => "yes".to_string(),
            DataType::Boolean => "no".to_string(),
            _ => wrapped(&as_is.value(row).try_to_string()?, text_width),
        })
    });
    known.collect()
}

fn number(value: f64, decimals: Option<u8>) -> String {
    // A true shortfall keeps its sign, however small: -0.0004 in is shown as -0.000, never as enough.
    let value = if value.abs() < NOTHING { 0.0 } else { value };
    match decimals {
        Some(decimals) => format!("{value:.*}", usize::from(decimals)),
        None => format!("{value}"),
    }
}

fn width(text: &str) -> usize {
    text.chars().count()
}

/// Lines of at most `room` characters, broken at spaces where there are any; line breaks in the text are kept.
fn wrapped(text: &str, room: usize) -> String {
    if width(text) <= room {
        return text.to_string();
    }
    let mut lines: Vec<String> = Vec::new();
    for paragraph in text.lines() {
        let mut line = String::new();
        for word in paragraph.split_whitespace() {
            if !line.is_empty() && width(&line) + 1 + width(word) > room {
                lines.push(std::mem::take(&mut line));
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
            while width(&line) > room {
                let rest = line.chars().skip(room).collect();
                lines.push(line.chars().take(room).collect());
                line = rest;
            }
        }
        lines.push(line);
    }
    lines.join("\n")
}

/// The name broken after underscores, as wide as the column's values or its own longest part.
fn wrapped_header(name: &str, widest_cell: usize) -> String {
    let parts: Vec<&str> = name.split_inclusive('_').collect();
    let longest = parts.iter().copied().map(width).max().unwrap_or(0);
    let room = longest.max(widest_cell);
    let mut lines: Vec<String> = Vec::new();
    for part in parts {
        match lines.last_mut() {
            Some(line) if width(line) + width(part) <= room => line.push_str(part),
            _ => lines.push(part.to_string()),
        }
    }
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_has_the_decimals_of_its_column() {
        assert_eq!(number(0.0125, Some(3)), "0.013");
        assert_eq!(number(1234567.0, Some(0)), "1234567");
        assert_eq!(number(22.8, Some(2)), "22.80");
        assert_eq!(number(0.1, None), "0.1");
    }

    #[test]
    fn nothing_has_no_sign_and_a_shortfall_keeps_it() {
        assert_eq!(number(-0.0, Some(3)), "0.000");
        assert_eq!(number(-1e-17, Some(3)), "0.000");
        assert_eq!(number(-0.0004, Some(3)), "-0.000");
        assert_eq!(number(-0.001, Some(3)), "-0.001");
    }

    #[test]
    fn long_text_is_broken_at_spaces_and_a_long_word_anywhere() {
        assert_eq!(wrapped("short", 10), "short");
        assert_eq!(wrapped("one two three four", 9), "one two\nthree\nfour");
        assert_eq!(wrapped("abcdefghijkl xy", 5), "abcde\nfghij\nkl xy");
        assert_eq!(wrapped("a first line\nb", 5), "a\nfirst\nline\nb");
        assert_eq!(wrapped("größere Lücken", 8), "größere\nLücken");
    }

    #[test]
    fn a_name_is_broken_after_underscores() {
        assert_eq!(wrapped_header("hours_since_overhaul", 5), "hours_\nsince_\noverhaul");
        assert_eq!(wrapped_header("hours_since_overhaul", 12), "hours_since_\noverhaul");
        assert_eq!(wrapped_header("hours_since_overhaul", 20), "hours_since_overhaul");
        assert_eq!(wrapped_header("rank", 1), "rank");
    }
}
