//! The invented demo fleet: the same bytes from the same seed, the process it claims, records that fit together, every telling case.
mod process;
mod records;
mod table;
mod telling;

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::sync::Arc;

use arrow::csv::ReaderBuilder;
use arrow::record_batch::RecordBatch;
use bladewane::onboard::demo::telling::{ALL, UNREADABLE_CRACK};
use bladewane::onboard::demo::{BadRowPlace, DemoError, DemoFleet, DemoFormat, DemoOptions, fleet, write};
use parquet::arrow::arrow_reader::ParquetRecordBatchReaderBuilder;
use table::rows;

fn plain(propellers: usize, seed: u64) -> DemoFleet {
    fleet(&DemoOptions { propellers, seed, telling_cases: false, bad_rows: false })
}

fn files(dir: &Path) -> BTreeMap<String, Vec<u8>> {
    fs::read_dir(dir)
        .unwrap()
        .map(|entry| entry.unwrap())
        .map(|e| (e.file_name().into_string().unwrap(), fs::read(e.path()).unwrap()))
        .collect()
}

#[test]
fn the_same_seed_gives_the_same_bytes_and_another_seed_does_not() {
    let dir = tempfile::tempdir().unwrap();
    let options = DemoOptions { propellers: 25, ..DemoOptions::default() };
    for format in [DemoFormat::Csv, DemoFormat::Parquet] {
        let one = dir.path().join(format!("one-{}", format.ending()));
        let two = dir.path().join(format!("two-{}", format.ending()));
        write(&one, &fleet(&options), format).unwrap();
        write(&two, &fleet(&options), format).unwrap();
        assert_eq!(files(&one), files(&two));
        assert_eq!(files(&one).len(), 17, "sixteen tables and fleet.toml");
    }
    let other = DemoOptions { seed: 8, ..options };
    let (a, b) = (fleet(&options), fleet(&other));
    assert_ne!(rows(&a, "measurements").batch, rows(&b, "measurements").batch);
    // The telling cases stay what they are.
    let of_cases = |fleet| {
        let sheets = rows(fleet, "measurements");
        (0..sheets.len())
            .filter(|&r| sheets.text(r, "propeller").is_some_and(|p| ALL.contains(&p.as_str())))
            .map(|r| sheets.record(r))
            .collect::<Vec<_>>()
    };
    assert_eq!(of_cases(&a), of_cases(&b));
    assert!(of_cases(&a).len() > 200);
}

#[test]
fn the_committed_demo_fleet_is_what_the_default_options_write() {
    let dir = tempfile::tempdir().unwrap();
    let made = dir.path().join("demo-fleet");
    write(&made, &fleet(&DemoOptions::default()), DemoFormat::Csv).unwrap();
    let committed = Path::new(env!("CARGO_MANIFEST_DIR")).join("datasets/demo-fleet");
    let (made, committed) = (files(&made), files(&committed));
    assert_eq!(made.keys().collect::<Vec<_>>(), committed.keys().collect::<Vec<_>>());
    for (name, bytes) in &made {
        assert!(committed[name] == *bytes, "{name} is not what the program writes");
    }
}

#[test]
fn a_fleet_has_as_many_propellers_as_asked_and_a_larger_one_begins_with_the_smaller() {
    assert_eq!(rows(&plain(0, 7), "propellers").len(), 0);
    for count in [1, 5, 5_000] {
        assert_eq!(rows(&plain(count, 7), "propellers").len(), count);
    }
    let (small, large) = (plain(30, 7), plain(90, 7));
    let (small, large) = (rows(&small, "propellers"), rows(&large, "propellers"));
    // The last place of the smaller fleet may have been cut short: its last propeller names no follower.
    for row in 0..29 {
        assert_eq!(small.record(row), large.record(row));
    }
    let everything = fleet(&DemoOptions { propellers: 5, ..DemoOptions::default() });
    assert_eq!(rows(&everything, "propellers").len(), 5 + ALL.len());
    let nothing_to_spoil = fleet(&DemoOptions { propellers: 0, ..DemoOptions::default() });
    assert_eq!(nothing_to_spoil.bad_rows.len(), 1, "only the unreadable crack report");
}

/// Arrow's own CSV and Parquet readers give back every table as it was made.
#[test]
fn other_readers_read_what_was_written() {
    let dir = tempfile::tempdir().unwrap();
    let fleet = plain(40, 2);
    let (csv, parquet) = (dir.path().join("csv"), dir.path().join("parquet"));
    write(&csv, &fleet, DemoFormat::Csv).unwrap();
    write(&parquet, &fleet, DemoFormat::Parquet).unwrap();
    for table in &fleet.tables {
        let file = fs::File::open(csv.join(format!("{}.csv", table.name))).unwrap();
        let reader = ReaderBuilder::new(table.batch.schema()).with_header(true).build(file).unwrap();
        assert_same(table.name, &table.batch, reader.map(Result::unwrap));
        let file = fs::File::open(parquet.join(format!("{}.parquet", table.name))).unwrap();
        let reader = ParquetRecordBatchReaderBuilder::try_new(file).unwrap().build().unwrap();
        assert_same(table.name, &table.batch, reader.map(Result::unwrap));
    }
}

fn assert_same(name: &str, made: &RecordBatch, read: impl Iterator<Item = RecordBatch>) {
    let schema = made.schema();
    let read = arrow::compute::concat_batches(&Arc::clone(&schema), &read.collect::<Vec<_>>()).unwrap();
    assert!(read.columns() == made.columns(), "{name}");
}

#[test]
fn the_bad_rows_stand_in_the_csv_form_only_and_each_is_bad_in_its_way() {
    let fleet = fleet(&DemoOptions::default());
    let line = |table: &str, part: &str| {
        let found = fleet.bad_rows.iter().any(|b| b.table == table && b.line_text.contains(part));
        assert!(found, "no bad row of {table} with {part}");
    };
    assert_eq!(fleet.bad_rows.len(), 13);
    line("defects", "BW-0803,2026-02-30,");
    line("propellers", ",W");
    line("overhauls", "/20");
    line("measurements", "\"0,");
    line("defects", "\",");
    line("hours", "BW-1O");
    line("fitted", "-13-");
    let fields = |b: &bladewane::onboard::demo::BadRow| b.line_text.split(',').count();
    let short = fleet.bad_rows.iter().find(|b| b.table == "inspections").unwrap();
    assert_eq!(fields(short), 2, "cut short");
    assert!(fleet.bad_rows.iter().any(|b| b.table == "hours" && fields(b) == 5), "a field too many");

    let field =
        |b: &bladewane::onboard::demo::BadRow, column: usize| b.line_text.split(',').nth(column).unwrap().to_owned();
    let column = |name: &str| rows(&fleet, "measurements").batch.schema().index_of(name).unwrap();
    let (before, after) = (column("width_before_in"), column("width_after_in"));
    let widths: Vec<(f64, f64)> = fleet
        .bad_rows
        .iter()
        .filter(|b| b.table == "measurements" && !b.line_text.contains('"'))
        .map(|b| (field(b, before).parse().unwrap_or(9.0), field(b, after).parse().unwrap()))
        .collect();
    assert_eq!(widths.len(), 2);
    assert!(widths.iter().any(|w| w.1 > w.0 + 0.010 && w.1 < 6.0), "grew in the shop");
    assert!(widths.iter().any(|w| w.1 > 50.0), "millimetres");
    let bases = rows(&fleet, "bases").all_text("base");
    let stay = fleet.bad_rows.iter().find(|b| b.table == "kept_at").unwrap();
    assert!(!bases.contains(&field(stay, 1)), "a base that is not listed");

    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().join("demo");
    write(&folder, &fleet, DemoFormat::Csv).unwrap();
    for bad in &fleet.bad_rows {
        let table = rows(&fleet, bad.table);
        let text = fs::read_to_string(folder.join(format!("{}.csv", bad.table))).unwrap();
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines.iter().filter(|l| **l == bad.line_text).count(), 1, "{}", bad.line_text);
        let extra =
            fleet.bad_rows.iter().filter(|b| b.table == bad.table && matches!(b.place, BadRowPlace::Before(_))).count();
        assert_eq!(lines.len(), 1 + table.len() + extra, "{}", bad.table);
    }
    let crack = rows(&fleet, "defects");
    let row = crack.find("propeller", UNREADABLE_CRACK);
    assert_eq!(crack.date(row, "found_date"), None, "Parquet has no 30 February");
}

#[test]
fn nothing_is_written_over_and_a_failure_leaves_nothing_behind() {
    let dir = tempfile::tempdir().unwrap();
    let fleet = plain(3, 7);
    let full = dir.path().join("full");
    fs::create_dir(&full).unwrap();
    fs::write(full.join("mine.txt"), "mine").unwrap();
    let error = write(&full, &fleet, DemoFormat::Csv).unwrap_err();
    assert!(matches!(error, DemoError::NotEmpty(_)));
    assert_eq!(
        error.to_string(),
        format!(
            "{}: this folder is not empty, and the demo fleet never writes over anything; name a new folder",
            full.display()
        )
    );
    assert_eq!(files(&full).len(), 1);

    let file = full.join("mine.txt");
    let error = write(&file, &fleet, DemoFormat::Csv).unwrap_err();
    assert_eq!(error.to_string(), format!("{}: there is a file of this name; name a new folder", file.display()));

    let nowhere = dir.path().join("missing").join("demo");
    let error = write(&nowhere, &fleet, DemoFormat::Csv).unwrap_err();
    assert!(matches!(error, DemoError::NoParent { .. }));
    assert!(!dir.path().join("missing").exists());

    let below_a_file = file.join("demo");
    assert!(write(&below_a_file, &fleet, DemoFormat::Csv).is_err());

    let empty = dir.path().join("empty");
    fs::create_dir(&empty).unwrap();
    write(&empty, &fleet, DemoFormat::Csv).unwrap();
    assert_eq!(files(&empty).len(), 17);
    let left: BTreeSet<_> =
        fs::read_dir(dir.path()).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    assert_eq!(left, BTreeSet::from(["full".to_owned(), "empty".to_owned()]));
}
