//! What leaves the program: nothing that steers a terminal or hides on a page, no formula where none is wanted, and no number
//! that is none.

use std::fs;

use bladewane::tables::csv::grid::grid;

use crate::fleet_folder::FleetFolder;
use crate::program::{bladewane, text};

/// A serial that clears the screen, turns the reading order round and rings the bell.
const HOSTILE: &str = "A1\u{1b}[2J\u{202e}9\u{7}\u{9b}";
const SHOWN: &str = "A1\\u{1b}[2J\\u{202e}9\\u{7}\\u{9b}";

fn fleet() -> FleetFolder {
    FleetFolder::small()
        .with("propellers", &format!("propeller,model,base,in_service_date\n{HOSTILE},M76,B\u{2067}ase,2000-01-01\nA2,M76,=1+1,2000-01-01"))
        .with("defects", &format!("propeller,found_date,blade,station_pct,surface,kind,depth_in\n{HOSTILE},2024-01-01,1,60,leading_edge,crack,0.02\nZ\u{1b}[31m,2024-01-01,1,60,leading_edge,nick,0.02"))
        .with("hours", &format!("propeller,reading_date,hours_since_new,odd\u{1b}]0;x\n{HOSTILE},2024-01-01,100,1\nA2,2024-01-01,1O0,2"))
}

fn steers(text: &str) -> Option<char> {
    let is_one = |c: char| {
        (c.is_control() && c != '\n' && c != '\t') || ('\u{202a}'..='\u{202e}').contains(&c) || c == '\u{2067}'
    };
    text.chars().find(|&c| is_one(c))
}

#[test]
fn nothing_that_steers_a_terminal_reaches_one_or_a_page() {
    let folder = fleet();
    let path = folder.path().display().to_string();
    let dir = tempfile::tempdir().expect("a temporary folder");
    let page = dir.path().join("page.html").display().to_string();
    let results = dir.path().join("results").display().to_string();
    let commands: [&[&str]; 9] = [
        &["check", &path],
        &["rank", &path],
        &["due", &path],
        &["defects", &path],
        &["margins", &path],
        &["explain", &path, HOSTILE],
        &["sheet", &path, HOSTILE],
        &["report", &path, &page],
        &["run", &path, "--out", &results],
    ];
    let mut seen = 0;
    for words in commands {
        let words = [words, &["--as-of", "2026-01-01"]].concat();
        let output = bladewane(&words);
        let said = text(&output.stdout) + &text(&output.stderr);
        assert_eq!(output.status.code(), Some(0), "{words:?}: {said}");
        assert_eq!(steers(&said), None, "{words:?}: {said}");
        seen += usize::from(said.contains(SHOWN));
    }
    assert!(seen >= 5, "the serial is shown with its characters by number: {seen}");
    for file in [&page, &format!("{results}/report.html")] {
        let page = fs::read_to_string(file).expect("a page");
        assert_eq!(steers(&page), None);
        assert!(page.contains(SHOWN));
    }
}

#[test]
fn messages_show_such_characters_by_number_too() {
    let folder = fleet();
    let path = folder.path().display().to_string();
    for words in
        [&["explain", &path, "B\u{1b}[1m"][..], &["rank", &path, "--base", "x\u{1b}[8m"], &["due", "no\u{1b}[2Jfolder"]]
    {
        let output = bladewane(words);
        let said = text(&output.stderr);
        assert_ne!(output.status.code(), Some(0));
        assert!(steers(&said).is_none() && said.contains("\\u{1b}["), "{words:?}: {said}");
    }
    let bad = FleetFolder::small().file("fleet.toml", "date_format = \"D\u{202e}\"\n".as_bytes());
    let said = text(&bladewane(&["due", &bad.path().display().to_string()]).stderr);
    assert!(steers(&said).is_none() && said.contains("\\u{202e}"), "{said}");
}

#[test]
fn texts_that_look_like_formulas_get_an_apostrophe_only_when_asked_for() {
    let folder = FleetFolder::small().with(
        "propellers",
        "propeller,model,base,in_service_date
        =A1,M76,+B,2000-01-01
        @A2,M76,-B,2000-01-01
        A-3=,M76,B,2000-01-01",
    );
    let path = folder.path().display().to_string();
    let columns = |for_spreadsheet: bool| {
        let mut words =
            vec!["due", &path, "--as-of", "2030-01-01", "--format", "csv", "--columns", "propeller,days_to_due"];
        if for_spreadsheet {
            words.push("--for-spreadsheet");
        }
        let output = bladewane(&words);
        assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
        let lines = grid(&text(&output.stdout), b',').expect("a grid");
        let mut cells: Vec<Vec<String>> = lines.into_iter().skip(1).map(|line| line.cells).collect();
        cells.sort();
        cells
    };
    let (plain, spreadsheet) = (columns(false), columns(true));
    let first = |rows: &[Vec<String>]| rows.iter().map(|row| row[0].clone()).collect::<Vec<_>>();
    assert_eq!(first(&plain), ["=A1", "@A2", "A-3="]);
    assert_eq!(first(&spreadsheet), ["'=A1", "'@A2", "A-3="]);
    // Days past are numbers below zero, and stay so.
    let days = |rows: &[Vec<String>]| rows.iter().map(|row| row[1].clone()).collect::<Vec<_>>();
    assert_eq!(days(&plain), days(&spreadsheet));
}

#[test]
fn the_apostrophe_is_refused_where_nothing_is_csv_and_reaches_every_csv_of_a_folder() {
    let folder = FleetFolder::small().with("hours", "propeller,reading_date,hours_since_new\n=A9,2024-01-01,100");
    let path = folder.path().display().to_string();
    let expected = "--for-spreadsheet is about CSV, and nothing here is written as CSV\nhint: add --format csv, or let the file end in .csv\n";
    for words in [&["due", &path, "--for-spreadsheet"][..], &["run", &path, "--for-spreadsheet"]] {
        let output = bladewane(words);
        assert_eq!((output.status.code(), text(&output.stderr).as_str()), (Some(2), expected));
    }
    let dir = tempfile::tempdir().expect("a temporary folder");
    let results = dir.path().join("results");
    let to = results.display().to_string();
    let words = ["run", &path, "--as-of", "2026-01-01", "--format", "csv", "--for-spreadsheet", "--out", &to];
    assert_eq!(bladewane(&words).status.code(), Some(0));
    let set_aside = fs::read_to_string(results.join("set_aside.csv")).expect("there");
    assert!(set_aside.contains(",'=A9,"), "{set_aside}");
}

/// Words of a page, without its own script and style, that are what a number that is none is written as.
pub(super) fn not_numbers(page: &str) -> Vec<String> {
    let mut text = page.to_string();
    for part in ["script", "style"] {
        while let Some(from) = text.find(&format!("<{part}")) {
            let end = text[from..].find(&format!("</{part}>")).map_or(text.len(), |at| from + at);
            text.replace_range(from..end, "");
        }
    }
    let words = text.split(|c: char| !c.is_alphanumeric());
    words
        .filter(|word| matches!(*word, "NaN" | "nan" | "inf" | "Inf" | "Infinity" | "infinity"))
        .map(str::to_string)
        .collect()
}

#[test]
fn no_page_of_a_hostile_fleet_shows_a_number_that_is_none() {
    let extremes = "propeller,found_date,blade,station_pct,surface,kind,depth_in,length_in,width_in
        A1,2024-01-01,1,0,leading_edge,nick,0,0,0
        A1,2024-01-02,1,100,face,nick,1e-300,1e-300,1e-300
        A2,2024-01-03,2,60,face,nick,1e300,1e300,1e300";
    let cases: Vec<FleetFolder> = vec![
        fleet(),
        FleetFolder::empty().with("propellers", "propeller\nA1"),
        FleetFolder::small().with("defects", extremes),
        FleetFolder::small()
            .with("models", "model,diameter_in,blades,interval_hours,interval_months\nM76,1e-300,2,1e-300,0")
            .with("overhauls", "propeller,overhaul_date,work,outcome\nA1,2015-01-01,overhaul,released"),
        FleetFolder::small()
            .with("limits", "model,station_pct,width_new_in,width_min_in,thickness_new_in,thickness_min_in\nM76,60,5,5,0.4,0.4\nM76,0,0,0,0,0")
            .with(
                "measurements",
                "propeller,overhaul_date,blade,station_pct,thickness_before_in,thickness_after_in,width_before_in,width_after_in
                A1,2015-01-01,1,60,0.4,0.4,5,5
                A1,2016-01-01,1,60,0.4,0.4,5,5
                A1,2017-01-01,1,60,0,0,0,0",
            ),
        FleetFolder::small()
            .with("hours", "propeller,reading_date,hours_since_new\nA1,2024-01-01,1e300\nA1,2024-01-01,0\nA2,2024-01-01,0\nA2,2024-01-02,0")
            .with("prices", "model,overhaul,replacement\nM76,1e300,1e300"),
        FleetFolder::small().with("bases", "base,corrosivity,air\nB,,") ,
    ];
    for (number, folder) in cases.iter().enumerate() {
        let page = folder.path().join("page.html").display().to_string();
        let output = bladewane(&["report", &folder.path().display().to_string(), &page, "--as-of", "2026-01-01"]);
        let said = text(&output.stderr);
        match output.status.code() {
            Some(0) => {
                let page = fs::read_to_string(&page).expect("a page");
                assert_eq!(not_numbers(&page), [""; 0], "fleet {number}");
            }
            // Refused as a whole, by name.
            code => assert_eq!(code, Some(3), "fleet {number}: {said}"),
        }
    }
}
