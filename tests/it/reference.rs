//! Reads the tables of reference values under `tests/reference/`: comma-separated, a header row,
//! and above it `#` lines that say where the numbers come from. A table without them is refused.

use std::collections::HashMap;
use std::fs;
use std::path::Path;

/// One row: the cell under each heading.
pub type Row = HashMap<String, String>;

/// The rows of `tests/reference/<name>`.
pub fn table(name: &str) -> Vec<Row> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference").join(name);
    let text = fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    assert!(text.starts_with('#'), "{name} does not say where its numbers come from");
    let mut lines = text.lines().filter(|l| !l.starts_with('#') && !l.is_empty());
    let headings: Vec<&str> = lines.next().expect("a header row").split(',').collect();
    let row = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        assert_eq!(cells.len(), headings.len(), "{name}: {line}");
        headings.iter().map(|h| h.to_string()).zip(cells.iter().map(|c| c.to_string())).collect()
    };
    lines.map(row).collect()
}

/// The number in one cell.
pub fn number(row: &Row, heading: &str) -> f64 {
    let cell = row.get(heading).unwrap_or_else(|| panic!("no column {heading}"));
    cell.parse().unwrap_or_else(|_| panic!("{heading}: {cell} is not a number"))
}

/// Asserts that `actual` is within a relative `tolerance` of `expected`, or within it absolutely
/// when `expected` is 0.
#[track_caller]
pub fn assert_close(actual: f64, expected: f64, tolerance: f64, what: &str) {
    let scale = if expected == 0.0 { 1.0 } else { expected.abs() };
    let error = (actual - expected).abs() / scale;
    assert!(error <= tolerance, "{what}: {actual:e}, expected {expected:e}, off by {error:e}");
}
