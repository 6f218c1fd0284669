//! A problem of the records is told with the same place, rule and remedy wherever it is told, whether the fleet is a folder or a
//! workbook, and a rule that holds by a setting names the setting in force. Invented figures.

use std::path::Path;

use crate::fleet_folder::FleetFolder;
use crate::program::{bladewane, text};
use crate::workbook::made::Book;

/// A date and a decimal that this fleet's settings do not read, an unknown heading, and hours that contradict one another.
const HOURS: &str = "
    propeller,reading_date,hours_since_new,weather
    A1,2010-01-01,100,
    A1,1.2.2012,300,
    A1,2012-03-01,\"310,5\",
    A1,2012-06-01,90,";

/// Where, what, and what to do, as the four outputs tell it.
struct Told {
    check: String,
    explain: String,
    page: String,
    set_aside: String,
    cautions: String,
}

/// Words in one line, as a browser and a wide terminal show them.
fn in_one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<&str>>().join(" ")
}

/// The text of a page, without its tags.
fn shown(page: &str) -> String {
    let body = page.split("<main").nth(1).expect("a main part");
    let text: String = body.split('<').map(|part| part.split_once('>').map_or(part, |(_, text)| text)).collect();
    in_one_line(&text.replace("&#38;", "&").replace("&#60;", "<"))
}

impl Told {
    fn of(fleet: &Path) -> Told {
        let out = tempfile::tempdir().expect("a temporary folder");
        let fleet = fleet.to_str().expect("a path in UTF-8");
        let said = |args: &[&str]| {
            let output = bladewane(&[args, &["--as-of", "2013-01-01"]].concat());
            assert!(output.status.success(), "{}", text(&output.stderr));
            text(&output.stdout)
        };
        let (results, page) = (out.path().join("results"), out.path().join("page.html"));
        said(&["run", fleet, "--out", results.to_str().expect("UTF-8")]);
        said(&["report", fleet, page.to_str().expect("UTF-8")]);
        let read = |path: &Path| std::fs::read_to_string(path).expect("written");
        Told {
            check: in_one_line(&said(&["check", fleet])),
            explain: in_one_line(&said(&["explain", fleet, "A1"])),
            page: shown(&read(&page)),
            set_aside: read(&results.join("set_aside.csv")),
            cautions: read(&results.join("cautions.csv")),
        }
    }
}

fn holds(text: &str, part: &str) {
    assert!(text.contains(part), "{part}\n--- is not in\n{text}");
}

#[test]
fn a_folder_names_lines_and_its_settings_file() {
    let told = Told::of(FleetFolder::small().with("hours", HOURS).path());
    let date = ("not a date (expected YYYY-MM-DD)", "write YYYY-MM-DD, or set date_format in fleet.toml");
    let comma = (
        "a decimal comma where a decimal point is expected",
        "write a point, or set decimal_comma = true in fleet.toml",
    );
    for (line, column, value, (rule, remedy)) in
        [(3, "reading_date", "1.2.2012", date), (4, "hours_since_new", "310,5", comma)]
    {
        holds(&told.check, &format!("hours.csv:{line}: {column}: {value}: {rule} {remedy}"));
        holds(&told.explain, &format!("Set aside (hours.csv:{line}): {rule}; {remedy}."));
        holds(&told.page, &format!("hours.csv, line {line} {column}: {value}{rule}{remedy}"));
        let cell = if value.contains(',') { format!("\"{value}\"") } else { value.to_string() };
        let written = if remedy.contains(',') { format!("\"{remedy}\"") } else { remedy.to_string() };
        holds(&told.set_aside, &format!("hours,hours.csv,{line},{column},{cell},{rule},{written},"));
    }
    holds(
        &told.check,
        "1, hours that cannot be right beside the reading before: A1 (hours.csv:5) correct the wrong one of the two; a meter that was replaced or set back gets a new name in `meter`",
    );
    holds(
        &told.explain,
        "hours that cannot be right beside the reading before (hours.csv:5): correct the wrong one of the two;",
    );
    holds(&told.page, "first: hours.csv, line 5");
    holds(&told.cautions, "hours,hours.csv,5,hours_since_new,90,hours that cannot be right beside the reading before,");
    holds(&told.check, "hours.csv:1 `weather`");
    holds(&told.page, "first: hours.csv, weather");
}

#[test]
fn a_workbook_names_cells_and_its_settings_sheet() {
    let book = Book::small()
        .csv("hours", HOURS)
        .csv("bases", "base,air")
        .csv("inspections", "propeller,inspection_date,kind,next_due_date\nA1,2012-01-01,annual,2012-01-31\nA1,2012-06-01,annual,2099-01-31")
        .save();
    let told = Told::of(&book.path);
    let date = ("not a date (expected YYYY-MM-DD)", "write YYYY-MM-DD, or set date_format in");
    let comma = ("a decimal comma where a decimal point is expected", "write a point, or set decimal_comma = true in");
    for (cell, column, value, (rule, remedy)) in
        [("B3", "reading_date", "1.2.2012", date), ("C4", "hours_since_new", "310,5", comma)]
    {
        let place = format!("fleet.xlsx!hours!{cell}");
        holds(&told.check, &format!("{place}: {column}: {value}: {rule} {remedy} the sheet `fleet`"));
        holds(&told.explain, &format!("Set aside ({place}): {rule}; {remedy} the sheet `fleet`."));
        holds(&told.page, &format!("{place} {column}: {value}{rule}{remedy} the sheet \u{201c}fleet\u{201d}"));
        holds(&told.set_aside, &format!("hours,{place},{},{column},", &cell[1..]));
        holds(&told.set_aside, &format!("{remedy} the sheet `fleet`"));
    }
    holds(&told.check, "hours that cannot be right beside the reading before: A1 (fleet.xlsx!hours!C5)");
    holds(
        &told.explain,
        "hours that cannot be right beside the reading before (fleet.xlsx!hours!C5): correct the wrong one of the two",
    );
    holds(&told.page, "first: fleet.xlsx!hours!C5");
    holds(
        &told.cautions,
        "hours,fleet.xlsx!hours!C5,5,hours_since_new,90,hours that cannot be right beside the reading before,",
    );
    holds(&told.check, "fleet.xlsx!hours!D1 `weather`");
    holds(&told.page, "first: fleet.xlsx!hours!D1, weather");
    for text in [&told.check, &told.explain, &told.cautions] {
        holds(text, "set annual_months or hundred_hours in the sheet `fleet`");
    }
    // A sheet of headings alone has a place too.
    holds(&told.page, "first: fleet.xlsx!bases!A1");
    for text in [&told.check, &told.explain, &told.page, &told.set_aside, &told.cautions] {
        assert!(!text.contains("fleet.toml"), "{text}");
        assert!(!text.contains("hours, line"), "{text}");
    }
}

/// Each setting that a rule names, changed: the rule is the changed one in every output. By hand: 400 hours in a year, a blade
/// 0.0012 in above its minimum of 0.903 in, a width 0.006 in greater after than before.
#[test]
fn a_rule_names_the_setting_in_force() {
    let fleet = |settings: &str| {
        FleetFolder::small()
            .with("hours", "propeller,reading_date,hours_since_new\nA1,2010-01-01,100\nA1,2011-01-01,500")
            .with("overhauls", "propeller,overhaul_date,work,outcome\nA1,2012-01-01,overhaul,released")
            .with(
                "measurements",
                "
                propeller,overhaul_date,blade,station_pct,width_before_in,width_after_in,thickness_before_in,thickness_after_in
                A1,2012-01-01,1,30,5.300,5.290,0.910,0.9042
                A1,2012-01-01,1,60,5.300,5.306,0.450,0.440",
            )
            .file("fleet.toml", settings.as_bytes())
    };
    let by_default = Told::of(fleet("").path());
    for rule in ["hours a year", "at the limit: a released", "metal does not grow"] {
        assert!(!by_default.check.contains(rule), "{}", by_default.check);
    }
    let changed = fleet("[checks]\nhours_per_year = 300\nat_limit_in = 0.0015\ngauge_width_in = 0.0045\n");
    let told = Told::of(changed.path());
    let cautions = ["more than 300 hours a year", "at the limit: a released dimension within 0.0015 in of its minimum"];
    let rule = "after is greater than before by more than 0.0045 in (metal does not grow)";
    for sentence in cautions.into_iter().chain([rule]) {
        for text in [&told.check, &told.explain, &told.page] {
            holds(text, sentence);
        }
    }
    for sentence in cautions {
        holds(&told.cautions, sentence);
    }
    holds(&told.set_aside, rule);
    // More than a thousand keeps its comma.
    let many = fleet("").with("hours", "propeller,reading_date,hours_since_new\nA1,2010-01-01,100\nA1,2011-01-01,1400");
    holds(&Told::of(many.path()).check, "more than 1,200 hours a year");
}
