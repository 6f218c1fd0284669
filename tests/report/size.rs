//! The page of a fleet that the program invents: how large it is, and what it leaves out.

use std::path::Path;
use std::process::Command;

use super::markup::read;

/// The page of an invented fleet.
fn invented(propellers: u32) -> String {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let run = |args: &[&str]| {
        let made = Command::new(env!("CARGO_BIN_EXE_bladewane"))
            .current_dir(dir.path())
            .args(args)
            .output()
            .expect("it runs");
        let said = String::from_utf8_lossy(&made.stderr);
        assert!(made.status.success(), "{args:?}: {said}");
    };
    run(&["demo", "fleet", "--propellers", &propellers.to_string()]);
    run(&["report", "fleet", "page.html", "--as-of", "2026-06-30"]);
    std::fs::read_to_string(Path::new(dir.path()).join("page.html")).expect("a page")
}

#[test]
fn the_demo_fleet_takes_less_than_a_megabyte() {
    let page = invented(60);
    assert!(page.len() < 1_000_000, "{} bytes", page.len());
    read(&page);
}

#[test]
fn five_hundred_propellers_take_less_than_eight() {
    let page = invented(500);
    assert!(page.len() < 8_000_000, "{} bytes", page.len());
    read(&page);
}

/// Above 500 the sections with a line a propeller show the most urgent 500, and every link still leads somewhere.
#[test]
fn more_than_five_hundred_are_cut_and_the_page_says_so() {
    // Some of an invented fleet's propellers are scrapped or sold, so that more than 500 are listed takes more than 500.
    let page = invented(680);
    assert!(page.contains("Not shown here: "), "it says so");
    let markup = read(&page);
    let ids: std::collections::HashSet<&str> = markup
        .elements
        .iter()
        .filter_map(|e| e.attribute("id"))
        .collect();
    for element in &markup.elements {
        if let Some(link) = element.attribute("href").and_then(|l| l.strip_prefix('#')) {
            assert!(ids.contains(link), "{element:?}");
        }
    }
    let folds = markup.elements.iter().filter(|e| e.name == "details");
    let folds = folds.filter(|e| e.attribute("id").is_some_and(|id| id.starts_with("p-")));
    assert_eq!(folds.count(), 500);
}
