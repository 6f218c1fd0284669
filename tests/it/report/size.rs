//! The page of a fleet that the program invents: how large it is, and what it leaves out.

use bladewane::records::{Fleet, Loaded, ReadOptions};
use bladewane::report;
use bladewane::results::answers::{Answers, Shown};
use bladewane::settings::Settings;

use super::fleets::page;
use super::markup::read;
use crate::fleet_folder::{FleetFolder, day};
use crate::program::bladewane;

/// The page of an invented fleet; the forecast is not tested on the past, which takes long and adds a table of fixed length.
fn invented(propellers: u32) -> String {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let fleet = dir.path().join("fleet").display().to_string();
    let made = bladewane(&["demo", &fleet, "--propellers", &propellers.to_string()]);
    let said = String::from_utf8_lossy(&made.stderr);
    assert!(made.status.success(), "{said}");
    let folder = dir.path().join("fleet");
    let loaded = Loaded::read(&folder, &ReadOptions::default(), |_| true, |_| {}).expect("read");
    let settings = Settings::default();
    let fleet = Fleet::as_of(&loaded, day("2026-06-30"), &settings);
    let answers = Answers::new(&fleet, &settings);
    report::page(&answers, &Shown::all(), "Invented").expect("the page is put together")
}

#[test]
fn the_demo_fleet_takes_little_more_than_a_megabyte() {
    let page = invented(60);
    // 77 propellers, 13 kB of blades and history each, and the lists that are for all of them.
    assert!(page.len() < 1_100_000, "{} bytes", page.len());
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
    let rows = (0..512).fold("propeller,model".to_string(), |rows, n| rows + &format!("\nL-{n:03},M76"));
    let folder = FleetFolder::small().file("propellers.csv", rows.as_bytes());
    let page = page(&folder, "Large");
    assert!(page.contains("Not shown here: 12 less urgent"), "it says so");
    let markup = read(&page);
    let ids: std::collections::HashSet<&str> = markup.elements.iter().filter_map(|e| e.attribute("id")).collect();
    for element in &markup.elements {
        if let Some(link) = element.attribute("href").and_then(|l| l.strip_prefix('#')) {
            assert!(ids.contains(link), "{element:?}");
        }
    }
    let folds = markup.elements.iter().filter(|e| e.name == "details");
    let folds = folds.filter(|e| e.attribute("id").is_some_and(|id| id.starts_with("p-")));
    assert_eq!(folds.count(), 500);
}
