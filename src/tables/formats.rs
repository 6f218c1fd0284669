//! The file formats a table can be written in, and how a file's ending names one.

use std::fmt;
use std::path::Path;

/// A format for a whole table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Format {
    /// Comma-separated text with a header row, ISO dates, an empty field for "not known".
    Csv,
    /// One JSON array of objects.
    Json,
    /// One JSON object a line.
    JsonLines,
    /// An Arrow IPC file.
    Arrow,
    /// A Parquet file, compressed with zstd.
    Parquet,
    /// A workbook for a spreadsheet program (Office Open XML), a sheet a table.
    Workbook,
}

impl Format {
    /// Every format, in the order in which messages list them.
    pub const ALL: [Format; 6] =
        [Format::Csv, Format::Json, Format::JsonLines, Format::Arrow, Format::Parquet, Format::Workbook];

    /// The ending of a file's name in this format, without the dot.
    pub fn ending(self) -> &'static str {
        match self {
            Format::Csv => "csv",
            Format::Json => "json",
            Format::JsonLines => "jsonl",
            Format::Arrow => "arrow",
            Format::Parquet => "parquet",
            Format::Workbook => "xlsx",
        }
    }

    /// Whether its bytes mean nothing to a person: they are not for a terminal.
    pub fn is_binary(self) -> bool {
        match self {
            Format::Csv | Format::Json | Format::JsonLines => false,
            Format::Arrow | Format::Parquet | Format::Workbook => true,
        }
    }

    /// The format that a file's ending names, whatever its case; `None` for any other ending or none.
    pub fn from_path(path: &Path) -> Option<Format> {
        let ending = path.extension()?.to_str()?;
        Format::ALL.into_iter().find(|format| format.ending().eq_ignore_ascii_case(ending))
    }

    /// Every ending with its dot, for a message: `.csv, .json, .jsonl, .arrow, .parquet, .xlsx`.
    pub fn endings() -> String {
        Format::ALL.map(|format| format!(".{}", format.ending())).join(", ")
    }
}

impl fmt::Display for Format {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Format::Csv => "CSV",
            Format::Json => "JSON",
            Format::JsonLines => "JSON lines",
            Format::Arrow => "Arrow IPC",
            Format::Parquet => "Parquet",
            Format::Workbook => "workbook",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ending_names_the_format_whatever_its_case() {
        for format in Format::ALL {
            let lower = format!("out/due.{}", format.ending());
            assert_eq!(Format::from_path(Path::new(&lower)), Some(format));
            let upper = format!("out/due.{}", format.ending().to_uppercase());
            assert_eq!(Format::from_path(Path::new(&upper)), Some(format));
        }
        for other in ["due", "due.txt", "csv", ".csv", "folder.csv/due", "due.csv.gz", ""] {
            assert_eq!(Format::from_path(Path::new(other)), None, "{other}");
        }
        assert_eq!(Format::endings(), ".csv, .json, .jsonl, .arrow, .parquet, .xlsx");
    }
}
