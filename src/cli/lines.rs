//! Plain text for a person, broken into lines.

use std::fmt::Write as _;
use std::io::Write as _;

use crate::results::escaped::escaped_for_terminal;

/// Says something on the error stream, with nothing in it that steers a terminal. One that is full or closed takes nothing away from the work, whose exit code holds.
pub fn to_stderr(text: &str) {
    let _ = std::io::stderr().write_all(escaped_for_terminal(text, false).as_bytes());
}

/// Breaks a text into lines of at most `width` columns, each indented. A no-break space holds what it joins.
pub fn wrap(to: &mut String, text: &str, width: usize, indent: &str) {
    let mut line = String::from(indent);
    for word in text.split([' ', '\n']).filter(|word| !word.is_empty()) {
        let here = line.chars().count();
        if here > indent.len() && here + 1 + word.chars().count() > width {
            let _ = writeln!(to, "{line}");
            line.clear();
            line.push_str(indent);
        }
        if line.len() > indent.len() {
            line.push(' ');
        }
        line.push_str(word);
    }
    if line.len() > indent.len() {
        let _ = writeln!(to, "{line}");
    }
}

/// Breaks each line of a text by itself.
pub fn wrap_lines(to: &mut String, text: &str, width: usize) {
    text.lines().for_each(|line| wrap(to, line, width, ""));
}

#[cfg(test)]
mod tests {
    use super::{wrap, wrap_lines};

    #[test]
    fn a_hint_keeps_its_own_line() {
        let mut text = String::new();
        wrap_lines(&mut text, "what it is\nhint: what to do", 10);
        assert_eq!(text, "what it is\nhint: what\nto do\n");
    }

    #[test]
    fn lines_keep_to_the_width_and_what_is_joined_stays_together() {
        let mut text = String::new();
        wrap(&mut text, "a blade at 91\u{a0}% of its way, and more", 14, "  ");
        assert_eq!(text, "  a blade at\n  91\u{a0}% of its\n  way, and\n  more\n");
        let mut long = String::new();
        wrap(&mut long, "unbreakable", 4, "");
        assert_eq!(long, "unbreakable\n");
    }
}
