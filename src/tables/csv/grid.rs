//! A CSV file as a plain grid of cells, for sheets whose header is not their first row.

use super::{Stray, cut_record, field_text, is_blank, line_end};

/// One filled line of a grid.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GridLine {
    /// Its line in the file, from 1.
    pub line: u32,
    /// Its cells, trimmed.
    pub cells: Vec<String>,
}

/// Why a text is no grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoGrid {
    /// A quotation mark that never closes, or one inside a cell.
    #[error("line {0}: a quotation mark inside a cell, or one that never closes")]
    StrayQuote(u32),
}

/// Cuts a text into its filled lines; a byte-order mark, CRLF and a last line without an end are taken as they come.
///
/// # Errors
/// [`NoGrid`]: a sheet is short and typed by hand, so one bad line is told rather than left out.
pub fn grid(text: &str, separator: u8) -> Result<Vec<GridLine>, NoGrid> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let bytes = text.as_bytes();
    let (mut at, mut line) = (0, 1);
    let (mut fields, mut buffer) = (Vec::new(), String::new());
    let mut lines = Vec::new();
    while at < bytes.len() {
        let first_end = line_end(bytes, at);
        if is_blank(&bytes[at..first_end], separator) {
            (at, line) = (first_end + 1, line + 1);
            continue;
        }
        let (end, breaks) = cut_record(bytes, at, separator, &mut fields).map_err(|Stray| NoGrid::StrayQuote(line))?;
        let cells = fields.iter().map(|&field| field_text(text, field, &mut buffer).trim().to_string()).collect();
        lines.push(GridLine { line, cells });
        (at, line) = (end + 1, line + breaks + 1);
    }
    Ok(lines)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_keep_their_number_and_cells_their_text() {
        let text = "\u{feff}Title\r\n;;\r\n\"a;b\";\" c\"\"d \";\r\n1;2;3";
        let lines = grid(text, b';').expect("a grid");
        let cells: Vec<(u32, Vec<&str>)> =
            lines.iter().map(|l| (l.line, l.cells.iter().map(String::as_str).collect())).collect();
        assert_eq!(cells, [(1, vec!["Title"]), (3, vec!["a;b", "c\"d", ""]), (4, vec!["1", "2", "3"])]);
        assert_eq!(grid("a\nb,\"c\n", b','), Err(NoGrid::StrayQuote(2)));
    }
}
