//! Records of a CSV file: one that cannot be cut or read costs one row, with its line; the others are used.

use crate::fleet_folder::{FleetFolder, as_of, check_account, set_aside};
use bladewane::records::schema::Table;

#[test]
fn a_mark_carriage_returns_quoted_breaks_and_a_last_line_without_end_are_read() {
    let folder = FleetFolder::empty()
        .file("propellers.csv", b"\xEF\xBB\xBFpropeller,base\r\n\r\nA1,\"a, \"\"b\"\"\r\nc\"\r\n A2 ,x\r\nA3,last");
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let serials: Vec<&str> = (0..3).map(|p| fleet.propellers.serial(p)).collect();
    assert_eq!(serials, ["A1", "A2", "A3"]);
    let base = fleet.propellers.get(0).base.expect("a base");
    assert_eq!(fleet.propellers.bases.get(base), "a, \"b\"\r\nc");
    let table = loaded.table(Table::Propellers).expect("propellers");
    let lines: Vec<u64> = (0..3).map(|row| table.source.place_of(Some(row), None).line).collect();
    assert_eq!(lines, [3, 5, 6]);
    assert_eq!(set_aside(&fleet), [""; 0]);
}

#[test]
fn ragged_rows_stray_quotes_and_bad_bytes_cost_their_own_row() {
    let text: &[u8] = b"propeller,reading_date,hours_since_new
A1,2020-01-01
A1,2020-02-01,10,more
A1,2020-03-01,20,
A1,\"2020-04-01,30
A1,2020-05-01,4\"0
A1,2020-0\xE9-01,50
A2,2020-07-01,60";
    let folder = FleetFolder::small().file("hours.csv", text);
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    check_account(&fleet);
    let bad_byte = text.iter().position(|&b| b == 0xE9).expect("it is there");
    assert_eq!(
        set_aside(&fleet),
        [
            "hours.csv:2  [] the row has 2 fields, the header 3 | add the missing separators; an empty field is fine".to_string(),
            "hours.csv:3  [] the row has 4 fields, the header 3 | put quotation marks around a field that holds the separator".to_string(),
            "hours.csv:4  [] the row has 4 fields, the header 3 | put quotation marks around a field that holds the separator".to_string(),
            "hours.csv:5  [] a quotation mark inside a field, or one that never closes | close the quotation mark, or double one that belongs to the text".to_string(),
            "hours.csv:6  [] a quotation mark inside a field, or one that never closes | close the quotation mark, or double one that belongs to the text".to_string(),
            format!("hours.csv:7  [] the row is not UTF-8 at byte {bad_byte} of the file | save the table as CSV in UTF-8"),
        ]
    );
    let count = fleet.ledger.counts(Table::Hours).expect("hours");
    assert_eq!((count.read, count.used, count.set_aside, count.later), (7, 1, 6, 0));
    assert_eq!(fleet.flying.readings(1)[0].hours_since_new, Some(60.0));
}

/// The row set aside stands there whole, as written.
#[test]
fn rows_are_kept_as_written() {
    let folder = FleetFolder::small().file(
        "hours.csv",
        b"propeller,reading_date,hours_since_new\r\n A1 , 2020-13-01,\"1\r\n0\"\r\nA1,2020-02-01\r\n",
    );
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let rows: Vec<u32> = fleet.ledger.set_aside.iter().map(|s| s.row).collect();
    let table = loaded.table(Table::Hours).expect("hours");
    assert_eq!(table.source.as_written(&rows).expect("read again"), [" A1 , 2020-13-01,\"1\r\n0\"", "A1,2020-02-01"]);
}

/// A broken record of a later day is later, like any other row of that day.
#[test]
fn a_broken_record_of_a_later_day_is_later() {
    let folder = FleetFolder::small().with(
        "hours",
        "propeller,reading_date,hours_since_new
         A1,2020-01-01,10,more
         A1,2030-01-01,10,more",
    );
    let loaded = folder.load();
    let count = as_of(&loaded, "2026-01-01").ledger.counts(Table::Hours).expect("hours");
    assert_eq!((count.read, count.used, count.set_aside, count.later), (2, 0, 1, 1));
    let count = as_of(&loaded, "2030-01-01").ledger.counts(Table::Hours).expect("hours");
    assert_eq!((count.set_aside, count.later), (2, 0));
}
