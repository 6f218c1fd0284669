//! A value as it was given, before anything is known about what it should be.

/// A value from a TOML text, a cell or an option.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Given {
    /// Text in quotes.
    Text(String),
    /// A number with a decimal point or an exponent.
    Number(f64),
    /// A whole number.
    Whole(i64),
    /// `true` or `false`.
    YesNo(bool),
    /// Text that may stand for any of these: a cell of a sheet, an option of the command line.
    Plain(String),
    /// A list of texts.
    Texts(Vec<String>),
    /// Something no setting takes (another list, a table, a date, a whole number of more than 18 digits).
    Other,
    /// The heading of a section without keys; the key of such an entry is empty.
    EmptySection,
}

/// One key with its value, where it stands and how it was written.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Entry {
    /// The section; empty for a key at the top.
    pub section: String,
    /// The key inside its section.
    pub key: String,
    /// The value.
    pub value: Given,
    /// Where the key stands.
    pub key_place: super::Place,
    /// Where the value stands.
    pub place: super::Place,
    /// The value as it was written, shortened.
    pub written: String,
}

impl Entry {
    /// The key with its section: `ranking.weight_time`, or `name` at the top.
    pub fn path(&self) -> String {
        path(&self.section, &self.key)
    }
}

/// `section.key`, or the one of them that is not empty.
pub(super) fn path(section: &str, key: &str) -> String {
    let dot = if section.is_empty() || key.is_empty() { "" } else { "." };
    format!("{section}{dot}{key}")
}

/// At most 60 characters of a text on one line, for a message.
pub(super) fn shortened(text: &str) -> String {
    let mut line: String = text.trim().chars().map(|c| if c.is_control() { ' ' } else { c }).take(61).collect();
    if line.chars().count() > 60 {
        line = line.chars().take(57).collect::<String>() + "...";
    }
    line
}
