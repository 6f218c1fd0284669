//! Where a table goes: the standard output, a file or a folder.

use std::path::{Path, PathBuf};

use super::args::OutputArgs;
use crate::tables::formats::Format;

/// Where a command's table goes, and in which form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Destination {
    /// The standard output; `None` means a table for a person to read.
    Stdout(Option<Format>),
    /// One file.
    File(PathBuf, Format),
    /// A results folder.
    Folder(PathBuf, Format),
}

/// Options that contradict each other (exit code 2).
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum DestinationError {
    /// `--format table` with `--out`.
    #[error(
        "--format table is for reading, not for a file\nhint: leave --format away, or choose csv, json, jsonl, arrow, parquet or xlsx"
    )]
    TableInFile,
    /// The file's ending and `--format` name different formats.
    #[error("{}: the ending says {ending}, --format says {asked}\nhint: leave --format away, or let the file end in .{}", path.display(), asked.ending())]
    TwoFormats {
        /// The file.
        path: PathBuf,
        /// The format of its ending.
        ending: Format,
        /// The format asked for.
        asked: Format,
    },
    /// The file's ending names no format.
    #[error("{}: the ending names no format\nhint: let the file end in one of {}; a new folder's name has no such ending", .0.display(), Format::endings())]
    UnknownEnding(PathBuf),
    /// Bytes that no person reads, for a terminal.
    #[error("--format {} is for programs, not for a terminal\nhint: write it into a file with -o NAME.{}", .0.ending(), .0.ending())]
    OnATerminal(Format),
    /// `--for-spreadsheet` without CSV.
    #[error(
        "--for-spreadsheet is about CSV, and nothing here is written as CSV\nhint: add --format csv, or let the file end in .csv"
    )]
    NotCsv,
}

impl Destination {
    /// Reads `--out` and `--format` together. Something that is a folder already is one whatever its name; else a name that
    /// ends in a known format is a file, and one that ends in a dot and a letter is neither.
    ///
    /// # Errors
    /// [`DestinationError`].
    pub fn of(output: &OutputArgs) -> Result<Destination, DestinationError> {
        let Some(path) = &output.out else {
            let format = output.format.and_then(|format| format.file_format());
            return Ok(Destination::Stdout(format));
        };
        let asked = match output.format.map(|format| format.file_format()) {
            Some(None) => return Err(DestinationError::TableInFile),
            Some(Some(format)) => Some(format),
            None => None,
        };
        if path.is_dir() || !looks_like_a_file(path) {
            return Ok(Destination::Folder(path.clone(), asked.unwrap_or(Format::Parquet)));
        }
        match (Format::from_path(path), asked) {
            (None, _) => Err(DestinationError::UnknownEnding(path.clone())),
            (Some(ending), Some(asked)) if ending != asked => {
                Err(DestinationError::TwoFormats { path: path.clone(), ending, asked })
            }
            (Some(ending), _) => Ok(Destination::File(path.clone(), ending)),
        }
    }

    /// As [`Destination::of`], with a standard output that may be a terminal: it gets no bytes that a person cannot read.
    ///
    /// # Errors
    /// [`DestinationError`].
    pub fn beside(output: &OutputArgs, stdout_is_terminal: bool) -> Result<Destination, DestinationError> {
        let destination = Destination::of(output)?;
        let format = match &destination {
            Destination::Stdout(format) => *format,
            Destination::File(_, format) | Destination::Folder(_, format) => Some(*format),
        };
        if output.for_spreadsheet && format != Some(Format::Csv) {
            return Err(DestinationError::NotCsv);
        }
        match destination {
            Destination::Stdout(Some(format)) if format.is_binary() && stdout_is_terminal => {
                Err(DestinationError::OnATerminal(format))
            }
            destination => Ok(destination),
        }
    }

    /// Whether several tables fit: a workbook has sheets, any other file or stream is one table.
    pub fn holds_several(&self) -> bool {
        match self {
            Destination::Stdout(None) | Destination::Folder(..) => true,
            Destination::Stdout(Some(format)) | Destination::File(_, format) => *format == Format::Workbook,
        }
    }
}

/// `out/loss.csv` does; `out`, `out/`, `.hidden` and `results.2026` do not.
pub(super) fn looks_like_a_file(path: &Path) -> bool {
    let ends_in_separator = path.as_os_str().to_string_lossy().ends_with(std::path::is_separator);
    let ending = path.extension().map(|ending| ending.to_string_lossy());
    let a_letter = ending.is_some_and(|ending| ending.starts_with(|c: char| c.is_alphabetic()));
    a_letter && !ends_in_separator
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::chosen::TableFormat;

    fn of(out: Option<&str>, format: Option<TableFormat>) -> Result<Destination, DestinationError> {
        Destination::of(&OutputArgs { out: out.map(PathBuf::from), format, ..OutputArgs::default() })
    }

    #[test]
    fn without_a_place_the_table_goes_to_the_standard_output() {
        assert_eq!(of(None, None), Ok(Destination::Stdout(None)));
        assert_eq!(of(None, Some(TableFormat::Table)), Ok(Destination::Stdout(None)));
        let csv = Destination::Stdout(Some(Format::Csv));
        assert_eq!(of(None, Some(TableFormat::Csv)), Ok(csv));
    }

    #[test]
    fn the_name_tells_a_file_from_a_folder() {
        let file = |name: &str, format| Ok(Destination::File(PathBuf::from(name), format));
        let folder = |name: &str, format| Ok(Destination::Folder(PathBuf::from(name), format));
        assert_eq!(of(Some("a/due.csv"), None), file("a/due.csv", Format::Csv));
        assert_eq!(of(Some("due.JSONL"), None), file("due.JSONL", Format::JsonLines));
        let parquet = of(Some("due.parquet"), Some(TableFormat::Parquet));
        assert_eq!(parquet, file("due.parquet", Format::Parquet));
        for name in ["out", "out/", "a.b/out", ".hidden", "results.2026", "due.csv/"] {
            assert_eq!(of(Some(name), None), folder(name, Format::Parquet), "{name}");
        }
        assert_eq!(of(Some("out"), Some(TableFormat::Csv)), folder("out", Format::Csv));
        let dir = tempfile::Builder::new().suffix(".csv").tempdir().unwrap();
        let name = dir.path().to_str().unwrap();
        assert_eq!(of(Some(name), None), folder(name, Format::Parquet));
    }

    #[test]
    fn a_terminal_gets_no_bytes_for_programs_and_a_pipe_does() {
        let output = |format| OutputArgs { format: Some(format), ..OutputArgs::default() };
        for format in [TableFormat::Xlsx, TableFormat::Parquet, TableFormat::Arrow] {
            let refused = Destination::beside(&output(format), true).unwrap_err();
            assert!(matches!(refused, DestinationError::OnATerminal(_)));
            assert!(Destination::beside(&output(format), false).is_ok());
        }
        assert!(Destination::beside(&output(TableFormat::Csv), true).is_ok());
        let refused = Destination::beside(&output(TableFormat::Xlsx), true).unwrap_err();
        insta::assert_snapshot!(refused, @"
        --format xlsx is for programs, not for a terminal
        hint: write it into a file with -o NAME.xlsx
        ");
    }

    #[test]
    fn only_a_workbook_is_one_file_of_several_tables() {
        let several = |out, format| of(out, format).unwrap().holds_several();
        assert!(several(None, None));
        assert!(several(Some("plan.xlsx"), None));
        assert!(several(Some("plan"), Some(TableFormat::Csv)));
        assert!(several(None, Some(TableFormat::Xlsx)));
        assert!(!several(Some("plan.csv"), None));
        assert!(!several(None, Some(TableFormat::Parquet)));
    }

    #[test]
    fn contradictions_say_what_to_do() {
        let message = |out, format| of(Some(out), format).unwrap_err().to_string();
        insta::assert_snapshot!(message("due.csv", Some(TableFormat::Table)), @"
        --format table is for reading, not for a file
        hint: leave --format away, or choose csv, json, jsonl, arrow, parquet or xlsx
        ");
        insta::assert_snapshot!(message("due.csv", Some(TableFormat::Jsonl)), @"
        due.csv: the ending says CSV, --format says JSON lines
        hint: leave --format away, or let the file end in .jsonl
        ");
        insta::assert_snapshot!(message("due.txt", None), @"
        due.txt: the ending names no format
        hint: let the file end in one of .csv, .json, .jsonl, .arrow, .parquet, .xlsx; a new folder's name has no such ending
        ");
    }
}
