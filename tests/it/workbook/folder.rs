//! A workbook as a folder of CSV tables: what each kind of cell becomes, and what a CSV file cannot hold.

use std::fs;

use super::made::{Book, Put};
use crate::fleet_folder::{MODELS, PROPELLERS};
use crate::program::bladewane;

/// The folder that `convert` makes of it: what it said, and a table's text.
fn converted(book: Book) -> (String, impl Fn(&str) -> String) {
    let saved = book.save();
    let dir = tempfile::tempdir().expect("a temporary folder");
    let folder = dir.path().join("made");
    let output = bladewane(&["convert", &saved.path.display().to_string(), &folder.display().to_string()]);
    let said = String::from_utf8_lossy(&output.stderr).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(output.status.success(), "{said}");
    (said, move |name: &str| {
        let _keep = &dir;
        fs::read_to_string(folder.join(name)).expect("a table")
    })
}

#[test]
fn cells_become_what_a_hand_would_type() {
    let book = Book::empty()
        .csv("propellers", PROPELLERS)
        .csv("models", MODELS)
        .rows(
            "limits",
            "model,station_pct,thickness_new_in,thickness_min_in,my remark",
            &[&[
                Put::Text("M76"),
                Put::Shown(0.755, "0.0%"),
                Put::Text("1 1/16"),
                Put::Number(0.903),
                Put::Text("copied, \"by hand\""),
            ]],
        )
        .rows(
            "hours",
            "propeller,reading_date,hours_since_new",
            &[
                &[Put::Text("A1"), Put::Date("2020-05-06"), Put::Shown(51.4375, "[h]:mm")],
                &[Put::Text("A1"), Put::Text("2021-05-06"), Put::Number(1_300.25)],
                // A day where hours belong: set aside, and kept as it is.
                &[Put::Text("A2"), Put::Date("2020-05-06"), Put::Date("2020-01-16")],
            ],
        );
    let (said, table) = converted(book);
    assert_eq!(
        table("limits.csv"),
        "model,station_pct,thickness_new_in,thickness_min_in,my remark\nM76,75.5,1 1/16,0.903,\"copied, \"\"by hand\"\"\"\n"
    );
    assert_eq!(
        table("hours.csv"),
        "propeller,reading_date,hours_since_new\nA1,2020-05-06,1234.5\nA1,2021-05-06,1300.25\nA2,2020-05-06,2020-01-16\n"
    );
    assert!(said.contains("hours.csv: 3 rows"), "{said}");
    assert!(!said.contains("does not read"), "{said}");
}

#[test]
fn numbers_days_and_separators_follow_the_fleet_s_settings() {
    let mut book = Book::small().rows(
        "hours",
        "propeller,reading_date,hours_since_new",
        &[
            &[Put::Text("A1"), Put::Date("2020-05-06"), Put::Number(1_300.25)],
            &[Put::Text("A1"), Put::Text("07.06.2021"), Put::Text("1400,5")],
        ],
    );
    super::made::fill(
        book.sheet("fleet"),
        "key,value\ncsv_separator,semicolon\ndecimal_comma,true\ndate_format,DD.MM.YYYY\ndue.warning_days,60",
    );
    let (said, table) = converted(book);
    assert!(!said.contains("does not read"), "{said}");
    assert_eq!(
        table("hours.csv"),
        "propeller;reading_date;hours_since_new\nA1;06.05.2020;1300,25\nA1;07.06.2021;1400,5\n"
    );
    let settings = table("fleet.toml");
    assert!(
        settings.contains("decimal_comma = true") && settings.ends_with("\n[due]\nwarning_days = 60\n"),
        "{settings}"
    );
}

/// A day for a name is no name in a workbook; a CSV file does not say that it was a day, so that is told.
#[test]
fn what_a_csv_file_cannot_hold_is_told() {
    let book = Book::small().rows(
        "hours",
        "propeller,reading_date,hours_since_new",
        &[&[Put::Text("A1"), Put::Date("2020-05-06"), Put::Number(5.0)]],
    );
    let (said, _) = converted(book.rows(
        "kept_at",
        "propeller,base,from_date",
        &[&[Put::Text("A1"), Put::Date("2020-01-16"), Put::Date("2020-05-06")]],
    ));
    let words =
        "kept_at.csv does not read as its sheet does, since a CSV file does not say of what kind a cell is: base";
    assert!(said.contains(words), "{said}");
}

#[test]
fn only_a_fleet_s_workbook_becomes_a_folder() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let place = |name: &str| dir.path().join(name).display().to_string();
    fs::write(dir.path().join("sheet.csv"), "station,before,after\n30,1,2\n").expect("written");
    for args in [vec![place("sheet.csv"), place("made")], vec![place("nothing.xlsx"), place("made")]] {
        let output = bladewane(&["convert", &args[0], &args[1]]);
        assert_eq!(output.status.code(), Some(2));
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(said.contains("--propeller and --date are needed to add a shop's sheet"), "{said}");
        assert!(!dir.path().join("made").exists());
    }
    let saved = Book::small().save();
    let book = saved.path.display().to_string();
    let output = bladewane(&["convert", &place("."), &place("made")]);
    assert_eq!(output.status.code(), Some(2), "{}", String::from_utf8_lossy(&output.stderr));
    let with_half = bladewane(&["convert", &book, &place("made"), "--propeller", "A1"]);
    assert_eq!(with_half.status.code(), Some(2));
}
