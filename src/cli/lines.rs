//! Plain text for a person, broken into lines.

use std::fmt::Write as _;

/// Breaks a text into lines of at most `width` columns, each indented.
pub fn wrap(to: &mut String, text: &str, width: usize, indent: &str) {
    let mut line = String::from(indent);
    for word in text.split_whitespace() {
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
