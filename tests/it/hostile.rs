//! Files meant to break the program: each is refused by name, none ends it.

mod changed;
mod fuzzed;
mod large;
mod mutated;
mod shown;
mod stopped;
mod typed;

use std::path::Path;

use bladewane::records::{Loaded, ReadOptions};
use bladewane::tables::caps::Caps;

use crate::fleet_folder::FleetFolder;
use crate::program::{bladewane, text};

/// Files in which one byte was changed; see `damaged/README.md`.
const DAMAGED: [&str; 5] = [
    "arrow-none-1.arrow",
    "arrow-zstd-1.arrow",
    "parquet-none-1.parquet",
    "parquet-snappy-1.parquet",
    "parquet-snappy-2.parquet",
];

fn damaged(name: &str) -> FleetFolder {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/it/hostile/damaged").join(name);
    let bytes = std::fs::read(&path).expect("the damaged file is there");
    let ending = path.extension().expect("an ending").to_string_lossy().into_owned();
    FleetFolder::empty().file(&format!("propellers.{ending}"), &bytes)
}

#[test]
fn a_file_with_one_changed_byte_is_refused_by_name() {
    for name in DAMAGED {
        let folder = damaged(name);
        let output = bladewane(&["check", &folder.path().display().to_string()]);
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(3), "{name}: {said}");
        assert!(said.contains("/propellers."), "{name}: {said}");
        assert!(said.contains(": damaged, cannot be read as "), "{name}: {said}");
        assert!(!said.contains("panicked"), "{name}: {said}");
    }
}

#[test]
fn a_table_that_would_take_more_memory_than_is_allowed_is_refused_before_any_is_taken() {
    let folder = FleetFolder::small().with("hours", "propeller,reading_date,hours_since_new\nA1,2024-01-01,100");
    let caps = Caps { table_bytes: 8, ..Caps::default() };
    let options = ReadOptions { caps, ..ReadOptions::default() };
    let error = Loaded::read(folder.path(), &options, |_| true, |_| {}).err().expect("refused");
    let expected = "says that it holds 2 rows, which would take 0.0 GiB, more than `reading.table_gib` allows";
    assert!(error.to_string().contains(expected), "{error}");
}
