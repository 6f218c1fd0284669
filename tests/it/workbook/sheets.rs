//! Which sheet is which table, where its headings are, and which rows are records.

use bladewane::records::problem::Problem;
use bladewane::records::schema::Table;
use rust_xlsxwriter::Format;

use super::made::{Book, Put, Saved, fill, put};
use crate::fleet_folder::as_of;
use Put::{Number, Text};

#[test]
fn headings_are_found_below_titles_and_names_in_any_case() {
    let mut book = Book::small();
    let sheet = book.sheet("Aircraft Hours ");
    sheet.merge_range(0, 0, 0, 3, "Hours of the fleet's aircraft", &Format::new()).expect("merged");
    // A row that names one column is not the headings when a later one names more.
    put(sheet, 2, 1, &Text("hours"));
    for (column, heading) in ["aircraft", "reading_date", "hours", "pilot's note"].iter().enumerate() {
        sheet.write_string(4, column as u16 + 1, *heading).expect("written");
    }
    for (column, cell) in [Text("N-1"), Text("2010-01-01"), Number(5.0), Text("fine")].iter().enumerate() {
        put(sheet, 6, column as u16 + 1, cell);
    }
    put(sheet, 8, 1, &Text("N-1"));
    let saved = book.save();
    let loaded = saved.load();
    let table = loaded.table(Table::AircraftHours).expect("aircraft hours");
    assert_eq!(table.rows, 2);
    assert_eq!(table.unknown_columns, ["pilot's note"]);
    let place = |row, column: &str| table.place_of(row, column).to_string();
    assert_eq!(place(Some(0), "hours"), "fleet.xlsx!Aircraft Hours!D7");
    assert_eq!(place(Some(0), ""), "fleet.xlsx!Aircraft Hours!B7");
    assert_eq!(place(None, "pilot's note"), "fleet.xlsx!Aircraft Hours!E5");
    assert_eq!(
        saved.set_aside(),
        [
            "fleet.xlsx!Aircraft Hours!C9 reading_date [] a required value is not recorded | fill the cell from the paper record"
        ]
    );
    // The row as written: its cells as they are shown.
    assert_eq!(table.as_written(&[0, 1]).expect("written"), ["N-1,2010-01-01,5,fine", "N-1,,,"]);
    assert!(saved.cautions().iter().any(|c| c.starts_with("fleet.xlsx!Aircraft Hours!E5 pilot's note")));
}

#[test]
fn the_first_of_two_equal_heading_rows_counts() {
    let saved = Book::empty().csv("propellers", "propeller,model\nA1,M76\npropeller,model\nA2,M76").save();
    let loaded = saved.load();
    assert_eq!(loaded.table(Table::Propellers).expect("propellers").rows, 3);
}

#[test]
fn hidden_sheets_are_ignored_and_said() {
    let mut book = Book::small();
    let sheet = book.sheet("hours");
    fill(sheet, "propeller,reading_date,hours_since_new\nA1,2010-01-01,5\n");
    sheet.set_hidden(true);
    let lists = book.sheet("lists");
    lists.write_string(0, 0, "yes").expect("written");
    lists.set_very_hidden(true);
    let loaded = book.save().load();
    assert!(loaded.table(Table::Hours).is_none());
    assert_eq!(
        loaded.notes,
        [
            "fleet.xlsx!hours: the sheet is hidden and ignored; show it in the spreadsheet program to have it read",
            "fleet.xlsx!lists: the sheet is hidden and ignored",
        ]
    );
}

#[test]
fn sheets_that_are_no_table_are_said_with_the_nearest_name() {
    let loaded = Book::small()
        .csv("Start here", "words")
        .csv("Measurments", "propeller\nA1")
        .csv("shopping list", "eggs")
        .save()
        .load();
    assert_eq!(
        loaded.notes,
        [
            "fleet.xlsx!Measurments: the sheet is no table and is ignored; the nearest name of one is `measurements`",
            "fleet.xlsx!shopping list: the sheet is no table and is ignored",
        ]
    );
}

#[test]
fn example_rows_are_ignored_and_said() {
    let saved = Book::small()
        .csv(
            "hours",
            "propeller,reading_date,hours_since_new\nEXAMPLE A1,2010-01-01,5\nA1,2011-01-01,6\nEXAMPLES,2011-01-01,6",
        )
        .csv("bases", "base,air\nEXAMPLE Coast,coast")
        .save();
    let loaded = saved.load();
    assert_eq!(loaded.table(Table::Hours).expect("hours").rows, 2);
    assert_eq!(
        loaded.notes,
        [
            "fleet.xlsx!hours: 1 example row is ignored",
            "fleet.xlsx!bases: 1 example row is ignored",
            "fleet.xlsx!bases: headings and no rows, so it counts as no table",
        ]
    );
    let told = saved.set_aside();
    assert_eq!(told.len(), 1);
    assert!(told[0].starts_with("fleet.xlsx!hours!A4 propeller [EXAMPLES]"), "{told:?}");
}

#[test]
fn a_sheet_without_rows_counts_as_absent_with_a_caution() {
    let mut book = Book::small();
    book.sheet("hours");
    let saved = book.csv("bases", "base,air").save();
    let loaded = saved.load();
    let fleet = as_of(&loaded, "2026-01-01");
    assert!(loaded.table(Table::Hours).is_none() && loaded.table(Table::Bases).is_none());
    assert!(fleet.absences().iter().any(|a| a.starts_with("no bases")));
    assert_eq!(
        loaded.notes,
        [
            "fleet.xlsx!hours: the sheet is empty and counts as no table",
            "fleet.xlsx!bases: headings and no rows, so it counts as no table",
        ]
    );
    let places: Vec<String> = fleet
        .ledger
        .cautions
        .iter()
        .map(|c| Problem::of_caution(&fleet, c))
        .filter(|p| p.rule == "no rows, so it counts as a table that is not there")
        .map(|p| p.place.expect("a place").to_string())
        .collect();
    assert_eq!(places, ["fleet.xlsx!hours!A1", "fleet.xlsx!bases!A1"]);
}

/// A workbook that another program wrote; see files/README.md.
#[test]
fn a_workbook_by_another_program() {
    let saved = Saved::bytes("fleet.xlsx", include_bytes!("files/openpyxl-1904.xlsx"));
    let loaded = saved.load();
    assert_eq!(
        loaded.notes,
        [
            "fleet.xlsx!hidden: the sheet is hidden and ignored",
            "fleet.xlsx!Hours: 1 row has nothing under the headings and is ignored",
        ]
    );
    assert_eq!(
        saved.set_aside(),
        [
            "fleet.xlsx!Hours!C4 hours_since_new [=1+1] a formula whose value is not stored in the file | open the workbook in the spreadsheet program and save it there, or type the value itself"
        ]
    );
    let fleet = as_of(&loaded, "2026-01-01");
    let reading = |serial: &str| {
        let propeller = fleet.propellers.find(serial).expect("listed");
        let reading = fleet.flying.readings(propeller)[0];
        (reading.day.to_string(), reading.hours_since_new)
    };
    assert_eq!(reading("1043"), ("2011-01-01".to_string(), Some(1234.5)));
    assert_eq!(reading("00043"), ("2011-01-01".to_string(), Some(12.5)));
}
