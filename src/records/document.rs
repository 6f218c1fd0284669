//! The part of `records.md` that lists tables and columns, made from the one list of them.

use std::fmt::Write as _;

use super::schema::{Kind, TABLES};

/// Every table of a fleet folder and its columns, as Markdown.
pub fn document() -> String {
    let mut text = String::new();
    for schema in TABLES {
        let _ = write!(
            text,
            "\n## `{}`\n\nA row is {}. Without the table: {}.\n\n| column | holds | meaning |\n| --- | --- | --- |\n",
            schema.name, schema.a_row_is, schema.absent
        );
        for column in schema.columns {
            let name = match column.kind {
                Kind::Length => format!("`{0}_in`, `{0}_mm` or `{0}_thou`", column.name),
                _ => format!("`{}`", column.name),
            };
            let holds = match column.kind {
                Kind::Text => "text".to_string(),
                Kind::Word(words) => words.join(", "),
                Kind::Date => "date".to_string(),
                Kind::Number => "number".to_string(),
                Kind::NumberOrNone => "number or `none`".to_string(),
                Kind::Small => "whole number".to_string(),
                Kind::Length => "length".to_string(),
            };
            let required = if column.required { " (required)" } else { "" };
            let _ = writeln!(text, "| {name}{required} | {holds} | {} |", column.about);
        }
        for group in schema.one_of {
            let _ = writeln!(text, "\nOne of {} is required.", group.join(", "));
        }
        if let Some(own_date) = schema.own_date {
            let _ = writeln!(
                text,
                "\nA row whose `{own_date}` is after the as-of date is later: neither used nor set aside."
            );
        }
    }
    text
}
