//! The template as a folder: a CSV file with headings and an example for each table, `README.txt` and `fleet.toml`.

use std::fmt::Write as _;

use super::column::{LengthUnit, give, heading};
use super::example::example_row;
use super::fill_or_delete::FillOrDelete;
use super::guide::{Form, Line, page};
use super::settings_rows::{common, meaning};
use super::{Cell, Row, Template};
use crate::records::schema::{Schema, TABLES};
use crate::settings::Value;

/// Width of the text file.
const WIDTH: usize = 88;
/// Where the second part of a pair begins.
const SECOND: usize = 26;

/// Name and text of every file.
pub(super) fn files(template: &Template) -> Vec<(String, String)> {
    let mut files = vec![("README.txt".to_string(), readme(template.unit)), ("fleet.toml".to_string(), fleet_toml())];
    for schema in TABLES {
        files.push((format!("{}.csv", schema.name), csv(template, schema)));
    }
    files
}

fn csv(template: &Template, schema: &Schema) -> String {
    let headings = schema.columns.iter().map(|c| heading(c, template.unit));
    let mut text = headings.collect::<Vec<_>>().join(",");
    text.push('\n');
    let example = example_row(schema.table);
    for row in std::iter::once(&example).chain(template.rows_of(schema.table)) {
        text.push_str(&line(schema, row, template.unit));
        text.push('\n');
    }
    text
}

/// A row as a line of CSV.
fn line(schema: &Schema, row: &Row, unit: LengthUnit) -> String {
    let cell = |name: &str| row.iter().find(|(column, _)| *column == name);
    let cells = schema.columns.iter().map(|column| match cell(column.name) {
        None => String::new(),
        Some((_, cell)) => written(cell, unit),
    });
    cells.collect::<Vec<_>>().join(",")
}

fn written(cell: &Cell, unit: LengthUnit) -> String {
    match cell {
        Cell::Text(text) if text.contains([',', '"', '\n', '\r']) => {
            format!("\"{}\"", text.replace('"', "\"\""))
        }
        Cell::Text(text) => text.clone(),
        Cell::Day(day) => day.to_string(),
        Cell::Number(number) => number.to_string(),
        Cell::Inches(inches) => unit.of_inches(*inches).to_string(),
    }
}

fn readme(unit: LengthUnit) -> String {
    let mut text = String::new();
    for line in page(Form::Folder, unit) {
        match line {
            Line::Title(title) => {
                let _ = writeln!(text, "{title}\n{}\n", "=".repeat(title.chars().count()));
            }
            Line::Heading(heading) => {
                let _ = writeln!(text, "\n{heading}\n{}", "-".repeat(heading.chars().count()));
            }
            Line::Text(paragraph) => wrapped(&mut text, "", &paragraph, 0),
            Line::Pair(name, said) => wrapped(&mut text, &name, &said, SECOND),
        }
    }
    for schema in TABLES {
        let title = format!("{}.csv", schema.name);
        let _ = writeln!(text, "\n{title}\n{}", "-".repeat(title.len()));
        wrapped(&mut text, "", &format!("A row is {}.", schema.a_row_is), 0);
        for column in schema.columns {
            let mut said = format!("{}. {}", column.about, give(column, unit));
            if column.required {
                said.push_str(" Needed in every row.");
            }
            if FillOrDelete::of(schema.table, column.name).is_some() {
                said.push_str(" Fill it in every row, or delete the column.");
            }
            wrapped(&mut text, &heading(column, unit), &said, SECOND);
        }
    }
    text
}

/// Adds a paragraph behind its name, each line begun at the same column.
fn wrapped(text: &mut String, name: &str, paragraph: &str, indent: usize) {
    let mut line = name.to_string();
    if indent > 0 {
        let gap = indent.saturating_sub(name.chars().count()).max(2);
        line.push_str(&" ".repeat(gap));
    }
    let mut is_empty = true;
    for word in paragraph.split_whitespace() {
        let length = line.chars().count() + 1 + word.chars().count();
        if !is_empty && length > WIDTH {
            text.push_str(line.trim_end());
            text.push('\n');
            line = " ".repeat(indent);
            is_empty = true;
        }
        if !is_empty {
            line.push(' ');
        }
        line.push_str(word);
        is_empty = false;
    }
    text.push_str(line.trim_end());
    text.push('\n');
}

fn fleet_toml() -> String {
    let mut text = String::from(
        "# Settings of this fleet. Remove the # before a line to use it.\n\
         # `bladewane settings` lists every setting there is.\n",
    );
    let mut section = "";
    for row in common(false) {
        if row.section != section {
            section = row.section;
            let _ = writeln!(text, "\n[{section}]");
        }
        let mut remark = String::new();
        wrapped(&mut remark, "", &meaning(&row), 0);
        text.push('\n');
        for line in remark.lines() {
            let _ = writeln!(text, "# {line}");
        }
        let _ = writeln!(text, "#{} = {}", row.key, toml_value(&row.default));
    }
    text
}

/// The default as TOML; a text to be replaced where there is none.
fn toml_value(value: &Value) -> String {
    match value {
        Value::Number(number) => number.to_string(),
        Value::Whole(number) => number.to_string(),
        Value::YesNo(yes) => yes.to_string(),
        Value::Text(text) => format!("\"{text}\""),
        Value::NotSet("none") => "\"none\"".to_string(),
        Value::NotSet(_) => "\"\"".to_string(),
    }
}
