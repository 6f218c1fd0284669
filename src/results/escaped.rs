//! Characters that a person must not meet as they are: they steer a terminal, turn the order of a line round, or stand for
//! nothing that can be seen. They are shown as `\\u{1b}`.

use std::borrow::Cow;
use std::fmt::Write as _;

/// Bold and its end, the only two sequences by which this program steers a terminal.
const STYLES: [&str; 2] = ["\x1b[1m", "\x1b[0m"];

/// Whether a character is shown by its number: control characters but line feed and tab, the marks, embeddings, overrides and
/// isolates of bidirectional text (Unicode Standard Annex 9), line and paragraph separators, and the byte-order mark.
pub(crate) fn is_shown_by_number(c: char) -> bool {
    match c {
        '\n' | '\t' => false,
        '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}' => true,
        c => c.is_control(),
    }
}

/// A text as a page may show it.
pub fn escaped(text: &str) -> Cow<'_, str> {
    escape(text, &[])
}

/// A text as a terminal may show it: bold stays bold where `styled` says that the text has it.
pub fn escaped_for_terminal(text: &str, styled: bool) -> Cow<'_, str> {
    escape(text, if styled { &STYLES } else { &[] })
}

fn escape<'t>(text: &'t str, kept: &[&str]) -> Cow<'t, str> {
    if !text.contains(is_shown_by_number) {
        return Cow::Borrowed(text);
    }
    let mut safe = String::with_capacity(text.len() + 16);
    let mut rest = text;
    while let Some(at) = rest.find(is_shown_by_number) {
        safe.push_str(&rest[..at]);
        rest = &rest[at..];
        if let Some(style) = kept.iter().find(|style| rest.starts_with(**style)) {
            safe.push_str(style);
            rest = &rest[style.len()..];
        } else if let Some(c) = rest.chars().next() {
            let _ = write!(safe, "\\u{{{:x}}}", u32::from(c));
            rest = &rest[c.len_utf8()..];
        }
    }
    safe.push_str(rest);
    Cow::Owned(safe)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_steers_or_hides_is_shown_by_its_number() {
        assert_eq!(
            escaped("A\x1b[31m\u{202e}1\u{0}\u{9b}\r\u{7f}"),
            "A\\u{1b}[31m\\u{202e}1\\u{0}\\u{9b}\\u{d}\\u{7f}"
        );
        assert_eq!(escaped("Zürich\tØ 76\u{a0}in\nline 2"), "Zürich\tØ 76\u{a0}in\nline 2");
        assert!(matches!(escaped("plain"), Cow::Borrowed("plain")));
    }

    #[test]
    fn bold_stays_bold_where_it_is_ours() {
        let text = "\x1b[1mBW-1\x1b[0m \x1b[8mhidden";
        assert_eq!(escaped_for_terminal(text, true), "\x1b[1mBW-1\x1b[0m \\u{1b}[8mhidden");
        assert_eq!(escaped_for_terminal(text, false), "\\u{1b}[1mBW-1\\u{1b}[0m \\u{1b}[8mhidden");
    }

    proptest! {
        #[test]
        fn nothing_that_steers_is_left_and_nothing_else_is_lost(text in any::<String>()) {
            let safe = escaped(&text);
            prop_assert!(!safe.contains(is_shown_by_number));
            let plain = |text: &str| text.chars().filter(|&c| !is_shown_by_number(c)).collect::<String>();
            if plain(&text) == text {
                prop_assert_eq!(safe.as_ref(), text.as_str());
            }
            prop_assert_eq!(escaped(&safe), safe.as_ref());
        }
    }
}
