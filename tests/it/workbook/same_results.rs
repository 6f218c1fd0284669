//! The demo fleet as CSV, Parquet, Arrow and workbook: one fleet, one set of results.

use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use arrow::array::{ArrayRef, Date32Array, Float64Array, StringArray};
use arrow::datatypes::{Field, Schema};
use arrow::ipc::writer::FileWriter;
use arrow::record_batch::RecordBatch;
use bladewane::records::ledger::Count;
use bladewane::records::schema::TABLES;
use bladewane::records::{Loaded, ReadOptions};
use bladewane::trade::calendar::Day;
use parquet::arrow::ArrowWriter;
use rust_xlsxwriter::Workbook;

use super::made::{fields, fill};
use crate::fleet_folder::{as_of, cautions, check_account, set_aside};
use crate::program::bladewane;

const AS_OF: &str = "2026-06-30";

fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("datasets/demo-fleet")
}

/// A table of the demo fleet without the three records that only a CSV file can have: a stray quotation mark, a field too many
/// and fields too few.
fn table(name: &str) -> String {
    let text = fs::read_to_string(demo().join(format!("{name}.csv"))).expect("the demo fleet");
    let mut lines = text.lines();
    let header = lines.next().expect("a header");
    let width = fields(header).len();
    let whole = lines.filter(|line| fields(line).len() == width && line.matches('"').count() % 2 == 0);
    whole.fold(format!("{header}\n"), |text, line| text + line + "\n")
}

/// The table typed as far as every cell of a column allows: days, numbers, else text.
fn batch(csv: &str) -> RecordBatch {
    let lines: Vec<Vec<String>> = csv.lines().map(fields).collect();
    let mut arrays: Vec<ArrayRef> = Vec::new();
    for column in 0..lines[0].len() {
        let cells = || lines[1..].iter().map(|row| row[column].as_str());
        let filled = || cells().filter(|cell| !cell.is_empty());
        arrays.push(if filled().all(|cell| Day::parse_iso(cell).is_some()) {
            let days = cells().map(|cell| Day::parse_iso(cell).map(Day::number));
            Arc::new(days.collect::<Date32Array>())
        } else if filled().all(|cell| cell.parse::<f64>().is_ok()) {
            Arc::new(cells().map(|cell| cell.parse().ok()).collect::<Float64Array>())
        } else {
            let texts = cells().map(|cell| Some(cell).filter(|c| !c.is_empty()));
            Arc::new(texts.collect::<StringArray>())
        });
    }
    let named = lines[0].iter().zip(&arrays);
    let fields: Vec<Field> = named.map(|(n, a)| Field::new(n, a.data_type().clone(), true)).collect();
    RecordBatch::try_new(Arc::new(Schema::new(fields)), arrays).expect("a batch")
}

/// The demo fleet four times, under `csv`, `parquet`, `arrow` and `fleet.xlsx`.
fn four(folder: &Path) -> [PathBuf; 4] {
    let paths = ["csv", "parquet", "arrow", "fleet.xlsx"].map(|name| folder.join(name));
    for path in &paths[..3] {
        fs::create_dir(path).expect("made");
        fs::copy(demo().join("fleet.toml"), path.join("fleet.toml")).expect("copied");
    }
    let mut workbook = Workbook::new();
    for schema in TABLES.iter().filter(|s| demo().join(format!("{}.csv", s.name)).exists()) {
        let text = table(schema.name);
        fs::write(paths[0].join(format!("{}.csv", schema.name)), &text).expect("written");
        let batch = batch(&text);
        let file = File::create(paths[1].join(format!("{}.parquet", schema.name))).expect("made");
        let mut writer = ArrowWriter::try_new(file, batch.schema(), None).expect("a writer");
        writer.write(&batch).expect("written");
        writer.close().expect("closed");
        let file = File::create(paths[2].join(format!("{}.arrow", schema.name))).expect("made");
        let mut writer = FileWriter::try_new(file, &batch.schema()).expect("a writer");
        writer.write(&batch).expect("written");
        writer.finish().expect("finished");
        let sheet = workbook.add_worksheet();
        sheet.set_name(schema.name).expect("a name");
        fill(sheet, &text);
    }
    let settings = "key,value\nname,Invented demo fleet\ncurrency,EUR\nprice_growth_pct,2.5";
    let sheet = workbook.add_worksheet();
    fill(sheet.set_name("Fleet").expect("a name"), settings);
    workbook.save(&paths[3]).expect("saved");
    paths
}

/// The text with every place of a record replaced by its table's name.
fn without_places(text: &str) -> String {
    let mut text = text.to_string();
    for schema in TABLES {
        for ending in ["csv:", "parquet:", "arrow:", "sheet!"] {
            let mark = match ending {
                "sheet!" => format!("fleet.xlsx!{}!", schema.name),
                ending => format!("{}.{ending}", schema.name),
            };
            let mut pieces = text.split(&mark);
            let mut kept = pieces.next().unwrap_or_default().to_string();
            for piece in pieces {
                kept += schema.name;
                kept += piece.trim_start_matches(|c: char| c.is_ascii_alphanumeric());
            }
            text = kept;
        }
    }
    text
}

/// What is said of a fleet's rows, places left out, and the count of each table.
fn told(path: &Path) -> (Vec<String>, Vec<Option<Count>>) {
    let loaded = Loaded::read(path, &ReadOptions::default(), |_| true, |_| {});
    let loaded = loaded.unwrap_or_else(|error| panic!("{error}"));
    let fleet = as_of(&loaded, AS_OF);
    check_account(&fleet);
    let lines = set_aside(&fleet).into_iter().chain(cautions(&fleet));
    let plain: Vec<String> = lines
        .map(|line| line.split_once(' ').expect("a place").1.to_string())
        .map(|line| without_places(&line))
        // A remedy says where this fleet's settings stand.
        .map(|line| line.replace("the sheet `fleet`", "fleet.toml"))
        .collect();
    (plain, TABLES.iter().map(|s| fleet.ledger.counts(s.table)).collect())
}

#[test]
fn bad_rows_are_set_aside_alike() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let told = four(dir.path()).map(|path| told(&path));
    // The CSV file has 14 rows set aside; the three that no other kind of file can hold are left out here.
    let spoiled = |line: &&String| line.starts_with("thickness_after_in [0,238] a decimal comma");
    assert_eq!(told[0].0.iter().filter(spoiled).count(), 1);
    assert_eq!(told[0].1.iter().flatten().map(|c| c.set_aside).sum::<u32>(), 11);
    for other in &told[1..] {
        assert_eq!(other, &told[0]);
    }
}

/// Every result of a run as CSV, places left out; the two files that name lines in columns of their own are compared elsewhere.
fn results(path: &Path) -> Vec<(String, String)> {
    let out = path.with_extension("results");
    let (to, from) = (out.display().to_string(), path.display().to_string());
    let output = bladewane(&["run", "--as-of", AS_OF, "--format", "csv", "--quiet", "--out", &to, &from]);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let mut files: Vec<(String, String)> = fs::read_dir(&out)
        .expect("results")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == "csv"))
        .map(|path| {
            let name = path.file_name().expect("a name").to_string_lossy().into_owned();
            (name, fs::read_to_string(&path).expect("text"))
        })
        .filter(|(name, _)| name != "set_aside.csv" && name != "cautions.csv")
        .map(|(name, text)| (name, without_places(&text)))
        .collect();
    files.sort();
    files
}

#[test]
fn a_workbook_becomes_a_folder_with_equal_results_and_the_same_problems() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let [.., book] = four(dir.path());
    let folder = dir.path().join("made");
    let convert = || bladewane(&["convert", &book.display().to_string(), &folder.display().to_string()]);
    let output = convert();
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{said}");
    assert!(!said.contains("does not read"), "{said}");
    assert_eq!(told(&folder), told(&book));
    // A line of a CSV file names itself; the rest is equal, byte for byte.
    for (one, other) in results(&folder).iter().zip(&results(&book)) {
        assert_eq!(one, other);
    }
    let settings = fs::read_to_string(folder.join("fleet.toml")).expect("the settings");
    assert_eq!(settings, "name = \"Invented demo fleet\"\ncurrency = \"EUR\"\nprice_growth_pct = 2.5\n");
    // Nothing is written over.
    let before = fs::read_to_string(folder.join("hours.csv")).expect("a table");
    let again = convert();
    assert_eq!(again.status.code(), Some(2));
    assert!(
        String::from_utf8_lossy(&again.stderr).contains("this folder is not empty, and nothing is ever written over")
    );
    assert_eq!(fs::read_to_string(folder.join("hours.csv")).expect("a table"), before);
}

#[test]
fn all_results_are_equal() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let results = four(dir.path()).map(|path| results(&path));
    assert!(results[0].len() >= 20);
    for other in &results[1..] {
        assert_eq!(other.len(), results[0].len());
        for (one, csv) in other.iter().zip(&results[0]) {
            assert_eq!(one, csv);
        }
    }
    // Places are named the sheet's way.
    let findings = fs::read_to_string(dir.path().join("fleet.results/findings.csv")).expect("text");
    assert!(findings.contains("(fleet.xlsx!overhauls!A"), "places are cells");
}
