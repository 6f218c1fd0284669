//! A story as text for a terminal: headings, sentences broken to the width, and narrow tables.

use std::fmt::Write as _;

use super::lines::wrap;
use crate::story::{Part, Story};

const INDENT: &str = "  ";

/// The text of a story, at most `width` columns where its words allow it.
pub fn story_text(story: &Story, width: usize, styled: bool) -> String {
    let strong = |words: &str| {
        if styled { format!("\x1b[1m{words}\x1b[0m") } else { words.to_string() }
    };
    let mut text = String::new();
    let _ = writeln!(text, "{}", strong(&story.title));
    for section in &story.sections {
        let _ = writeln!(text, "\n{}", strong(section.heading));
        for part in &section.parts {
            match part {
                Part::Text(words) => wrap(&mut text, words, width, INDENT),
                Part::Table { head, rows } => table(&mut text, head, rows, width),
            }
        }
    }
    text
}

fn letters(cell: &str) -> usize {
    cell.chars().count()
}

/// Rows under headings; a table too wide for the width loses no cell: each row's last cells go on a line of their own.
fn table(text: &mut String, head: &[&str], rows: &[Vec<String>], width: usize) {
    // Columns without any cell say nothing.
    let used: Vec<usize> = (0..head.len()).filter(|&at| rows.iter().any(|row| !row[at].is_empty())).collect();
    let widths: Vec<usize> = used
        .iter()
        .map(|&at| {
            let cells = rows.iter().map(|row| letters(&row[at]));
            cells.max().unwrap_or(0).max(letters(head[at]))
        })
        .collect();
    let is_number: Vec<bool> = used
        .iter()
        .map(|&at| {
            rows.iter()
                .map(|row| row[at].as_str())
                .filter(|cell| !cell.is_empty())
                .all(|cell| cell.parse::<f64>().is_ok())
        })
        .collect();
    let mut fitting = 0;
    let mut taken = INDENT.len();
    for &wide in &widths {
        taken += wide + 2;
        if taken > width + 2 {
            break;
        }
        fitting += 1;
    }
    let fitting = fitting.max(1);
    let mut write_row = |cells: &[&str]| {
        for (from, to) in [(0, fitting), (fitting, used.len())] {
            if from >= to {
                continue;
            }
            let mut line = String::from(if from == 0 { INDENT } else { "      " });
            for at in from..to {
                let pad = widths[at].saturating_sub(letters(cells[at]));
                if is_number[at] {
                    line.push_str(&" ".repeat(pad));
                    line.push_str(cells[at]);
                } else {
                    line.push_str(cells[at]);
                    line.push_str(&" ".repeat(pad));
                }
                line.push_str("  ");
            }
            let _ = writeln!(text, "{}", line.trim_end());
        }
    };
    let heads: Vec<&str> = used.iter().map(|&at| head[at]).collect();
    write_row(&heads);
    for row in rows {
        let cells: Vec<&str> = used.iter().map(|&at| row[at].as_str()).collect();
        write_row(&cells);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::story::Section;

    fn story() -> Story {
        let cells = |row: &[&str]| row.iter().map(ToString::to_string).collect();
        Story {
            title: "Propeller A1".into(),
            sections: vec![Section {
                heading: "Metal",
                parts: vec![
                    Part::Text("Margin = value - minimum, the least left first.".into()),
                    Part::Table {
                        head: vec!["blade", "nothing", "margin", "known by"],
                        rows: vec![
                            cells(&["1", "", "0.024", "read 2020-05-01"]),
                            cells(&["2", "", "0.1", "carried forward"]),
                        ],
                    },
                ],
            }],
        }
    }

    #[test]
    fn text_and_tables() {
        insta::assert_snapshot!(story_text(&story(), 60, false), @"
        Propeller A1

        Metal
          Margin = value - minimum, the least left first.
          blade  margin  known by
              1   0.024  read 2020-05-01
              2     0.1  carried forward
        ");
    }

    #[test]
    fn a_narrow_terminal_loses_no_cell() {
        let narrow = story_text(&story(), 24, false);
        insta::assert_snapshot!(narrow, @"
        Propeller A1

        Metal
          Margin = value -
          minimum, the least
          left first.
          blade  margin
              known by
              1   0.024
              read 2020-05-01
              2     0.1
              carried forward
        ");
        assert!(narrow.lines().all(|line| line.len() <= 24));
        assert!(story_text(&story(), 60, true).contains("\x1b[1mMetal\x1b[0m"));
    }
}
