//! What is shown: filters named, counts of what they leave, nothing on record, names and numbers that are refused.

use std::fs;
use std::process::Output;

use calamine::{Reader, Xlsx, open_workbook};

use crate::fleet_folder::FleetFolder;
use crate::program::{bladewane, text};

/// Five propellers: two rentals (one at each base), two in training, one spare rental.
fn fleet() -> (FleetFolder, String) {
    let folder = FleetFolder::small().with("bases", "base,air\nNorth,rural\nSouth,coast").with(
        "propellers",
        "propeller,model,use,base,in_service_date,status
         A1,M76,rental,North,2000-01-01,flying
         A2,M76,training,North,2000-01-01,flying
         A3,M76,rental,South,2000-01-01,flying
         A4,M76,training,South,2000-01-01,flying
         A5,M76,rental,South,2000-01-01,spare",
    );
    let path = folder.path().display().to_string();
    (folder, path)
}

fn run(args: &[&str]) -> (Output, String, String) {
    let output = bladewane(args);
    let (said, noted) = (text(&output.stdout), text(&output.stderr));
    (output, said, noted)
}

const DATE: [&str; 2] = ["--as-of", "2020-01-01"];

#[test]
fn a_filter_that_is_on_is_named_over_a_table() {
    let (_folder, fleet) = fleet();
    let (_, said, _) = run(&[&["due", &fleet, "--use", "rental"][..], &DATE].concat());
    assert!(said.starts_with("3 of 5 propellers, use rental\n\n"), "{said}");
    let both = ["rank", &fleet, "--use", "rental", "--use", "training", "--base", "South", "--model", "M76"];
    let (_, said, _) = run(&[&both[..], &DATE].concat());
    assert!(said.starts_with("3 of 5 propellers, use rental or training, base South, model M76\n"), "{said}");
    let (_, said, noted) = run(&[&["due", &fleet][..], &DATE].concat());
    assert!(!said.contains("propellers,") && !noted.contains("shown are"), "{said}{noted}");
}

#[test]
fn a_filter_that_is_on_is_named_beside_a_form_for_programs_and_the_page() {
    let (_folder, fleet) = fleet();
    let (_, said, noted) = run(&[&["due", &fleet, "--base", "South", "--format", "csv"][..], &DATE].concat());
    assert!(noted.contains("shown are 3 of 5 propellers, base South\n"), "{noted}");
    assert_eq!(said.lines().count(), 4, "a heading and three rows: {said}");
    let dir = tempfile::tempdir().expect("a folder");
    let page = dir.path().join("page.html").display().to_string();
    let (_, _, noted) = run(&[&["report", &fleet, &page, "--use", "rental"][..], &DATE].concat());
    assert!(noted.contains("shown are 3 of 5 propellers, use rental"), "{noted}");
    let html = fs::read_to_string(&page).expect("a page");
    assert!(html.contains("3 of 5 propellers, use rental"));
}

#[test]
fn the_summary_of_a_run_counts_what_is_shown() {
    let (_folder, fleet) = fleet();
    let dir = tempfile::tempdir().expect("a folder");
    let out = dir.path().join("out").display().to_string();
    let (_, said, _) =
        run(&[&["run", &fleet, "--use", "rental", "--format", "xlsx", "--out", &out][..], &DATE].concat());
    assert!(said.contains("\nShown are 3 of 5 propellers, use rental\n"), "{said}");
    assert!(said.contains("\n3 propellers on record (2 flying, 0 at shop, 1 spare)"), "{said}");
    let json = fs::read_to_string(dir.path().join("out/run.json")).expect("a record");
    assert!(json.contains("shown are 3 of 5 propellers, use rental"));
    let mut book: Xlsx<_> = open_workbook(dir.path().join("out/results.xlsx")).expect("a workbook");
    let about = book.worksheet_range("about").expect("a sheet");
    let cells: Vec<String> = about.used_cells().map(|(_, _, cell)| cell.to_string()).collect();
    assert!(cells.iter().any(|cell| cell == "3 of 5 propellers, use rental"), "{cells:?}");
}

#[test]
fn before_the_first_record_nothing_was_on_record_and_every_command_says_so() {
    let (_folder, fleet) = fleet();
    let expected = "nothing was on record on 1990-01-01\nhint: the first propeller comes on record on 2000-01-01; give a later day with --as-of\n";
    let (output, said, noted) = run(&["rank", &fleet, "--as-of", "1990-01-01"]);
    assert_eq!((output.status.code(), said.as_str()), (Some(0), expected), "{noted}");
    let (_, _, noted) = run(&["rank", &fleet, "--as-of", "1990-01-01", "--format", "csv"]);
    assert!(noted.starts_with(expected), "{noted}");
    let (_, said, _) = run(&["check", &fleet, "--as-of", "1990-01-01"]);
    assert!(said.contains(&expected[..35]), "{said}");
    let dir = tempfile::tempdir().expect("a folder");
    let out = dir.path().join("out").display().to_string();
    let (_, said, _) = run(&["run", &fleet, "--as-of", "1990-01-01", "--out", &out]);
    assert!(said.contains(expected.lines().next().expect("a line")), "{said}");
}

#[test]
fn a_sheet_is_refused_another_ending_as_the_page_is() {
    let (_folder, fleet) = fleet();
    for args in [["sheet", &fleet, "A1", "-o", "x.pdf"], ["report", &fleet, "x.pdf", "--use", "rental"]] {
        let (output, said, noted) = run(&args);
        assert_eq!((output.status.code(), said.as_str()), (Some(2), ""));
        assert_eq!(noted, "x.pdf: the page is an HTML file\nhint: let the name end in .html\n");
    }
    assert!(!std::path::Path::new("x.pdf").exists());
}

#[test]
fn an_invented_fleet_has_a_largest_number_of_propellers() {
    let dir = tempfile::tempdir().expect("a folder");
    let place = dir.path().join("demo").display().to_string();
    for number in ["99999999999", "1000001", "0", "-1", "many", "99999999999999999999999"] {
        let (output, _, noted) = run(&["demo", &place, &format!("--propellers={number}")]);
        assert_eq!(output.status.code(), Some(2), "{number}");
        assert!(noted.contains("expected a whole number from 1 to 1000000"), "{noted}");
    }
    assert!(!std::path::Path::new(&place).exists());
}

/// Where there is no terminal COLUMNS says the width; every line of a table, of its notes and of `check` fits.
#[test]
fn tables_and_check_fit_the_width() {
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/datasets/demo-fleet");
    for columns in [80, 120] {
        for args in [&["check", demo][..], &["due", demo, "--top", "20"], &["defects", demo, "--top", "40"]] {
            let output = std::process::Command::new(env!("CARGO_BIN_EXE_bladewane"))
                .args(args)
                .args(["--as-of", "2026-06-30", "--quiet"])
                .env("COLUMNS", columns.to_string())
                .output()
                .expect("the program starts");
            let said = text(&output.stdout);
            let widest = said.lines().map(|line| line.chars().count()).max().unwrap_or(0);
            assert!(widest <= columns, "{args:?}: {widest} of {columns} columns");
            // A wider terminal is used.
            if args[0] == "due" && columns == 120 {
                assert!(widest > 100, "{widest}");
            }
        }
    }
}
