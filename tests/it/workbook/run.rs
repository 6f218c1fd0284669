//! The program with a workbook: where results go, what is said, and what the record of the run holds.

use std::fs;
use std::path::Path;
use std::process::Output;

use super::made::{Book, Saved};
use crate::program::{bladewane, text};

fn with_workbook(args: &[&str], path: &Path) -> Output {
    bladewane(&[args, &[path.to_str().expect("a path in UTF-8")]].concat())
}

fn fleet() -> Saved {
    let mut book = Book::small().csv(
        "hours",
        "propeller,reading_date,hours_since_new\nEXAMPLE,2010-01-01,5\nA1,2010-01-01,5\nA9,2011-01-01,6\nA1,1.2.2012,7",
    );
    book.sheet("lists").set_hidden(true);
    book.save()
}

#[test]
fn results_lie_beside_the_workbook_and_the_record_names_it() {
    let saved = fleet();
    let output = with_workbook(&["run", "--as-of", "2026-01-01"], &saved.path);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    // Without a name in the settings the workbook's own is taken.
    assert!(text(&output.stdout).starts_with("fleet, as of 2026-01-01"), "{}", text(&output.stdout));
    let notes = ["fleet.xlsx!lists: the sheet is hidden and ignored", "fleet.xlsx!hours: 1 example row is ignored"];
    for note in notes {
        assert_eq!(text(&output.stderr).matches(note).count(), 1, "{}", text(&output.stderr));
    }
    let results = saved.folder().join("fleet-results");
    let record = fs::read_to_string(results.join("run.json")).expect("a record");
    let record: serde_json::Value = serde_json::from_str(&record).expect("JSON");
    let bytes = fs::read(&saved.path).expect("bytes");
    assert_eq!(
        record["inputs"],
        serde_json::json!([{
            "path": "fleet.xlsx",
            "bytes": bytes.len(),
            "blake3": blake3::hash(&bytes).to_hex().to_string(),
        }])
    );
    assert_eq!(record["notes"], serde_json::json!(notes));
    let hours = record["tables"].as_array().expect("tables").iter().find(|t| t["table"] == "hours");
    assert_eq!(hours, Some(&serde_json::json!({"table": "hours", "read": 3, "used": 1, "set_aside": 2, "later": 0})));
    let aside = fs::read_to_string(results.join("set_aside.csv")).expect("set aside");
    let mut lines = aside.lines();
    assert_eq!(lines.next(), Some("table,file,line,column,value,rule,remedy,row_as_written"));
    let row = lines.next().expect("a row");
    assert!(row.starts_with("hours,fleet.xlsx!hours!A4,4,propeller,A9,"), "{row}");
    assert!(row.ends_with("\"A9,2011-01-01,6\""), "{row}");
    let row = lines.next().expect("a row");
    assert!(row.contains("write YYYY-MM-DD, or set date_format in the sheet `fleet`"), "{row}");
}

#[test]
fn check_tells_what_was_left_out_and_names_cells() {
    let saved = fleet();
    let output = with_workbook(&["check", "--as-of", "2026-01-01"], &saved.path);
    let told = text(&output.stdout);
    assert!(told.contains("Left out:\n  fleet.xlsx!lists: the sheet is hidden and ignored\n"), "{told}");
    assert!(told.contains("  fleet.xlsx!hours!A4: propeller: A9: "), "{told}");
    assert_eq!(text(&output.stderr), "");
}

#[test]
fn every_command_takes_a_workbook() {
    let saved = fleet();
    for args in
        [&["rank"][..], &["due"], &["loss"], &["margins"], &["remaining"], &["exposure"], &["defects"], &["budget"]]
    {
        let mut args = args.to_vec();
        args.extend(["--as-of", "2026-01-01", "--quiet"]);
        let output = with_workbook(&args, &saved.path);
        assert_eq!(output.status.code(), Some(0), "{args:?}: {}", text(&output.stderr));
    }
    let workbook = saved.path.to_str().expect("a path in UTF-8");
    let output = bladewane(&["explain", "--as-of", "2026-01-01", workbook, "A1"]);
    assert_eq!(output.status.code(), Some(0));
    assert!(text(&output.stdout).contains("fleet.xlsx!hours!A3"), "{}", text(&output.stdout));
}

#[test]
fn a_workbook_that_cannot_be_read_is_exit_code_3() {
    let saved = Saved::bytes("fleet.xlsx", b"PK\x03\x04");
    let output = with_workbook(&["check"], &saved.path);
    assert_eq!(output.status.code(), Some(3));
    assert!(text(&output.stderr).contains("the workbook is damaged"), "{}", text(&output.stderr));
    assert!(!saved.folder().join("fleet-results").exists());
}
