//! What surrounds the program, read once at the start, so that everything after it can be tested without it.

use std::io::{self, IsTerminal};
use std::path::PathBuf;

use chrono::{Local, NaiveDate};

use super::chosen::Color;
use super::lines::{to_stderr, wrap_lines};

/// The width of a table where there is no terminal, and the widest that plain text gets anywhere: longer lines are hard to
/// follow.
const WIDEST_TEXT: u16 = 100;

/// The narrowest a table is made for: below this a terminal wraps what it must.
const NARROWEST: u16 = 20;

/// What surrounds the program.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Env {
    /// Whether the standard output is a terminal.
    pub stdout_is_terminal: bool,
    /// Whether the error stream is a terminal.
    pub stderr_is_terminal: bool,
    /// Whether colour is unwanted: `NO_COLOR` is set to anything, or `TERM` is `dumb`.
    pub no_color: bool,
    /// Columns of a table that fit: the terminal's, or 100 where there is none.
    pub width: u16,
    /// Today, in the time zone of this computer.
    pub today: NaiveDate,
    /// The current folder; `None` when it is gone or forbidden.
    pub current_dir: Option<PathBuf>,
}

impl Env {
    /// Reads it all.
    pub fn read() -> Env {
        let stdout_is_terminal = io::stdout().is_terminal();
        // The table library asks the terminal for its size, and only when the standard output is one.
        let terminal = stdout_is_terminal.then(|| comfy_table::Table::new().width()).flatten();
        Env {
            stdout_is_terminal,
            stderr_is_terminal: io::stderr().is_terminal(),
            no_color: no_color(|name| std::env::var_os(name).map(|v| v.to_string_lossy().into())),
            width: width(std::env::var("COLUMNS").ok().as_deref(), terminal),
            today: Local::now().date_naive(),
            current_dir: std::env::current_dir().ok(),
        }
    }

    /// Columns of plain text: those of a table, and at most 100.
    pub fn text_width(&self) -> usize {
        usize::from(self.width.min(WIDEST_TEXT))
    }

    /// Says something on the error stream; at a terminal no line of it is broken inside a word.
    pub fn say(&self, text: &str) {
        if !self.stderr_is_terminal {
            to_stderr(&format!("{text}\n"));
            return;
        }
        let mut broken = String::new();
        wrap_lines(&mut broken, text, self.text_width());
        to_stderr(&broken);
    }

    /// Whether to use colour and bold on the standard output.
    pub fn styled(&self, color: Color) -> bool {
        match color {
            Color::Always => true,
            Color::Never => false,
            Color::Auto => self.stdout_is_terminal && !self.no_color,
        }
    }
}

/// no-color.org: `NO_COLOR` counts "when present and not an empty string (regardless of its value)".
fn no_color(variable: impl Fn(&str) -> Option<String>) -> bool {
    variable("NO_COLOR").is_some_and(|value| !value.is_empty()) || variable("TERM").is_some_and(|term| term == "dumb")
}

/// `COLUMNS`, where it is set, is what the user says; else what the terminal says; else there is no terminal.
fn width(columns: Option<&str>, terminal: Option<u16>) -> u16 {
    let said = columns.and_then(|columns| columns.trim().parse::<u16>().ok());
    let room = said.filter(|columns| *columns > 0).or(terminal).unwrap_or(WIDEST_TEXT);
    room.max(NARROWEST)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_has_the_terminal_s_width_and_100_columns_only_where_there_is_none() {
        assert_eq!(width(None, None), 100);
        assert_eq!(width(None, Some(80)), 80);
        assert_eq!(width(None, Some(250)), 250);
        assert_eq!(width(Some("72"), Some(80)), 72);
        assert_eq!(width(Some("120"), None), 120);
        assert_eq!(width(Some("3"), None), 20);
        for not_a_width in ["", "0", "-5", "wide", "70000"] {
            assert_eq!(width(Some(not_a_width), Some(80)), 80, "{not_a_width}");
        }
    }

    #[test]
    fn plain_text_is_never_wider_than_100_columns() {
        let env = |width| Env {
            stdout_is_terminal: true,
            stderr_is_terminal: true,
            no_color: false,
            width,
            today: NaiveDate::default(),
            current_dir: None,
        };
        assert_eq!([80, 100, 250].map(|width| env(width).text_width()), [80, 100, 100]);
    }

    #[test]
    fn colour_is_used_where_it_is_wanted() {
        let with =
            |name: &'static str, value: &'static str| no_color(move |asked| (asked == name).then(|| value.to_string()));
        assert!(with("NO_COLOR", "1"));
        assert!(with("NO_COLOR", "0"));
        assert!(!with("NO_COLOR", ""));
        assert!(with("TERM", "dumb"));
        assert!(!with("TERM", "xterm"));

        let env = |stdout_is_terminal, no_color| Env {
            stdout_is_terminal,
            stderr_is_terminal: false,
            no_color,
            width: 100,
            today: NaiveDate::default(),
            current_dir: None,
        };
        assert!(env(true, false).styled(Color::Auto));
        assert!(!env(true, true).styled(Color::Auto));
        assert!(!env(false, false).styled(Color::Auto));
        assert!(env(false, true).styled(Color::Always));
        assert!(!env(true, false).styled(Color::Never));
    }
}
