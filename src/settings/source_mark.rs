//! Where a default value comes from.

use std::fmt;

use serde::{Serialize, Serializer};

/// What stands behind the default of a setting. The words of [`fmt::Display`] go wherever the value is explained.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SourceMark {
    /// Recalled from the publication named here and not read again.
    FromMemory(&'static str),
    /// What the trade does; nothing published stands behind it.
    CommonPractice,
    /// Assumed by this program, for want of anything better.
    Assumption,
    /// A matter of choice: no value is more right than another.
    Choice,
}

impl fmt::Display for SourceMark {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SourceMark::FromMemory(publication) => {
                write!(out, "{publication}, from memory, verify against the current edition")
            }
            SourceMark::CommonPractice => out.write_str("common practice, no source"),
            SourceMark::Assumption => out.write_str("an assumption of this program"),
            SourceMark::Choice => out.write_str("a matter of choice"),
        }
    }
}

impl Serialize for SourceMark {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}
