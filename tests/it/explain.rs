//! `explain` on the demo fleet: it cites its records, answers to an aircraft's name, and has an answer for every propeller.

use std::path::Path;
use std::process::Output;

use crate::program::{bladewane, text};

fn demo() -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    root.join("datasets/demo-fleet").display().to_string()
}

fn explain(name: &str) -> Output {
    bladewane(&["explain", &demo(), name, "--as-of", "2026-06-30"])
}

fn said(output: &Output) -> String {
    text(&output.stdout)
}

/// The line of a table that a place such as `overhauls.csv:5` names.
fn cited(place: &str) -> String {
    let (file, line) = place.split_once(':').expect("a file and a line");
    let text = std::fs::read_to_string(Path::new(&demo()).join(file)).expect("the table");
    let line: usize = line.parse().expect("a number");
    text.lines().nth(line - 1).expect("the line").to_string()
}

#[test]
fn it_cites_the_records_behind_its_numbers() {
    let text = said(&explain("BW-0301"));
    // The last released overhaul and the propeller's own row, looked up where it says they stand.
    let overhaul = text.split("last released overhaul, 2023-05-11 (").nth(1);
    let place = overhaul.and_then(|rest| rest.split(')').next());
    let row = cited(place.expect("the overhaul is cited"));
    assert!(row.starts_with("BW-0301,2023-05-11"), "{row}");
    let own = text.split("(propellers.csv:").nth(1);
    let line = own.and_then(|rest| rest.split(')').next()).expect("cited");
    assert!(cited(&format!("propellers.csv:{line}")).starts_with("BW-0301,"));
    assert!(text.contains("only a certificated shop or mechanic"));
}

#[test]
fn an_aircraft_names_the_propeller_on_it_and_a_slip_the_nearest() {
    let text = said(&explain("Trainer 901"));
    assert!(text.starts_with("Propeller BW-0301"), "{text}");
    let unknown = explain("BW-03O1");
    assert_eq!(unknown.status.code(), Some(2));
    let words = String::from_utf8(unknown.stderr).expect("it speaks UTF-8");
    assert!(words.contains("the nearest there are `BW-0301`"), "{words}");
}

#[test]
fn propellers_of_every_kind_have_a_story() {
    let table = std::fs::read_to_string(Path::new(&demo()).join("propellers.csv")).expect("read");
    let mut told = 0;
    let serials = table.lines().skip(1).filter_map(|l| l.split(',').next());
    // Each run reads the whole fleet; every sixth propeller meets telling cases, scrapped ones, spares and plain ones.
    for serial in serials.filter(|s| !s.is_empty()).step_by(6) {
        let output = explain(serial);
        assert_eq!(output.status.code(), Some(0), "{serial}");
        let text = said(&output);
        assert!(text.starts_with(&format!("Propeller {serial}")), "{text}");
        assert!(!text.contains("NaN"), "{serial}: {text}");
        told += 1;
    }
    assert_eq!(told, 13);
}
