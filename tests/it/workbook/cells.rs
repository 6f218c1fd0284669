//! What cells hold: numbers, dates, names, formulas, and what a spreadsheet makes of them.

use bladewane::records::schema::Table;
use bladewane::records::{Loaded, ReadOptions};

use super::made::{Book, Put, Saved};
use super::raw::{Raw, text, texts};
use crate::fleet_folder::{as_of, day};
use Put::{Date, Formula, Nothing, Number, Shown, Text, YesNo};

const HOURS: &str = "propeller,reading_date,hours_since_new";
const FORMAT_AS_TEXT: &str = "format the column as text and type the name again";

fn names(loaded: &Loaded, table: Table, column: &str) -> Vec<String> {
    let table = loaded.table(table).expect("the table");
    let (codes, words) = table.text(column).expect("names");
    let word = |code: &u32| words.iter().nth(*code as usize).unwrap_or("").to_string();
    codes.iter().map(word).collect()
}

#[test]
fn serials_typed_as_numbers_are_read_as_they_are_shown() {
    let book = Book::empty().rows(
        "propellers",
        "propeller,model",
        &[
            &[Number(1043.0), Text("M76")],
            &[Shown(43.0, "00000"), Number(76.5)],
            &[Shown(1043.0, "000-000"), Nothing],
            &[Shown(43.0, "\"BW-\"0000"), Nothing],
            &[Text("00044"), Nothing],
            &[Text("  A1 "), Nothing],
        ],
    );
    let loaded = book.save().load();
    let serials = names(&loaded, Table::Propellers, "propeller");
    assert_eq!(serials, ["1043", "00043", "001-043", "BW-0043", "00044", "A1"]);
    assert_eq!(&names(&loaded, Table::Propellers, "model")[..2], ["M76", "76.5"]);
}

#[test]
fn names_that_the_spreadsheet_turned_into_something_else() {
    let book = Book::small().rows(
        "hours",
        HOURS,
        &[
            &[Date("2026-03-12"), Date("2025-01-01"), Number(1.0)],
            &[Shown(12e5, "0.00E+00"), Date("2025-01-01"), Number(1.0)],
            &[Number(1_234_567_890_123_460.0), Date("2025-01-01"), Number(1.0)],
            &[YesNo(true), Date("2025-01-01"), Number(1.0)],
            &[Shown(0.5, "h:mm"), Date("2025-01-01"), Number(1.0)],
        ],
    );
    assert_eq!(
        book.save().set_aside(),
        [
            format!("fleet.xlsx!hours!A2 propeller [2026-03-12] a date where a name is expected | {FORMAT_AS_TEXT}"),
            format!("fleet.xlsx!hours!A3 propeller [1200000] a name that the spreadsheet turned into a large number | {FORMAT_AS_TEXT}"),
            format!("fleet.xlsx!hours!A4 propeller [1234567890123460] a name that the spreadsheet turned into a large number | {FORMAT_AS_TEXT}"),
            "fleet.xlsx!hours!A5 propeller [TRUE] true or false (expected a name) | type the value itself".to_string(),
            "fleet.xlsx!hours!A6 propeller [12:00] a time of day (expected a name) | type hours and minutes as a decimal: 12 hours 30 minutes are 12.5".to_string(),
        ]
    );
}

#[test]
fn dates_typed_written_and_bare() {
    let book = Book::small().rows(
        "hours",
        HOURS,
        &[
            &[Text("A1"), Date("2010-02-28"), Number(1.0)],
            &[Text("A1"), Text("2011-02-28"), Number(2.0)],
            &[Text("A1"), Shown(44_000.75, "d/m/yy h:mm"), Number(3.0)],
            &[Text("A1"), Number(45_307.0), Number(4.0)],
            &[Text("A1"), Number(20_240_116.0), Number(4.0)],
            &[Text("A1"), Text("16.01.2024"), Number(4.0)],
            &[Text("A1"), Shown(0.25, "h:mm"), Number(4.0)],
            &[Text("A1"), Text("45307"), Number(4.0)],
        ],
    );
    let saved = book.save();
    let day_number = "a bare number where a date is expected | as a spreadsheet's day number it would be 2024-01-16: if the paper record says that day, format the cell as a date or write it as YYYY-MM-DD";
    let no_date = "not a date (expected YYYY-MM-DD) | write YYYY-MM-DD, or set date_format in the sheet `fleet`";
    assert_eq!(
        saved.set_aside(),
        [
            format!("fleet.xlsx!hours!B5 reading_date [45307] {day_number}"),
            format!("fleet.xlsx!hours!B6 reading_date [20240116] {no_date}"),
            format!("fleet.xlsx!hours!B7 reading_date [16.01.2024] {no_date}"),
            format!("fleet.xlsx!hours!B8 reading_date [6:00] {no_date}"),
            format!("fleet.xlsx!hours!B9 reading_date [45307] {day_number}"),
        ]
    );
    let loaded = saved.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let days: Vec<String> = fleet.flying.readings(0).iter().map(|r| r.day.to_string()).collect();
    // 44000 is 2020-06-18 in the 1900 system.
    assert_eq!(days, ["2010-02-28", "2011-02-28", "2020-06-18"]);
}

#[test]
fn days_counted_from_1904() {
    let mut raw = Raw::new();
    raw.from_1904 = true;
    let date = raw.style("yyyy-mm-dd");
    // Day 43845 of the 1904 system is 2024-01-16, which is day 45307 of the other.
    let dated = format!("{}<c r=\"B2\" s=\"{date}\"><v>43845</v></c><c r=\"C2\"><v>1</v></c>", text("A2", "A1"));
    let bare = format!("{}<c r=\"B3\"><v>43845</v></c><c r=\"C3\"><v>1</v></c>", text("A3", "A1"));
    let header = texts(1, &["propeller", "reading_date", "hours_since_new"]);
    let saved = raw
        .sheet("propellers", &[&texts(1, &["propeller"]), &texts(2, &["A1"])])
        .sheet("hours", &[&header, &dated, &bare])
        .save();
    let loaded = saved.load();
    let days = loaded.table(Table::Hours).expect("hours").days("reading_date").expect("days");
    assert_eq!(days[0], day("2024-01-16").number());
    let told = saved.set_aside().join("\n");
    assert!(told.starts_with("fleet.xlsx!hours!B3 reading_date [43845] a bare number"), "{told}");
    assert!(told.contains("it would be 2024-01-16"), "{told}");
}

#[test]
fn fractions_that_became_dates_are_never_lengths() {
    let visits = "propeller,overhaul_date,track_in,cost";
    let book = Book::small().rows(
        "overhauls",
        visits,
        &[
            &[Text("A1"), Date("2010-01-01"), Date("2026-01-16")],
            &[Text("A1"), Date("2011-01-01"), Text("16-Jan")],
            &[Text("A1"), Date("2012-01-01"), Text("Mar-64")],
            &[Text("A1"), Date("2013-01-01"), Number(46_038.0)],
            &[Text("A1"), Date("2014-01-01"), Shown(0.0625, "# ??/??")],
            &[Text("A1"), Date("2015-01-01"), Text("1/16")],
            &[Text("A1"), Date("2016-01-01"), Date("2026-10-21")],
            &[Text("A1"), Date("2017-01-01"), Number(0.02), Date("2026-05-01")],
        ],
    );
    let saved = book.save();
    let a_date = "a date where a length is expected";
    let typed = |fraction: &str, decimal: &str| {
        format!(
            "it was probably typed as {fraction}, of which the spreadsheet made a date: compare with the paper record, then type {decimal}, or format the column as text and type the fraction"
        )
    };
    assert_eq!(
        saved.set_aside(),
        [
            format!("fleet.xlsx!overhauls!C2 track_in [2026-01-16] {a_date} | {}", typed("1/16", "0.0625")),
            format!("fleet.xlsx!overhauls!C3 track_in [16-Jan] {a_date} | {}", typed("1/16", "0.0625")),
            format!("fleet.xlsx!overhauls!C4 track_in [Mar-64] {a_date} | {}", typed("3/64", "0.046875")),
            format!("fleet.xlsx!overhauls!C5 track_in [46038] no length, but a spreadsheet's number for a date | {}", typed("1/16", "0.0625")),
            format!("fleet.xlsx!overhauls!C8 track_in [2026-10-21] {a_date} | a spreadsheet makes a date of a typed fraction: format the column as text and type the length again, or type a decimal such as 0.0625"),
            "fleet.xlsx!overhauls!D9 cost [2026-05-01] a date where a number is expected | a spreadsheet makes a date of what looks like one: format the column as a number and type the value again".to_string(),
        ]
    );
    let loaded = saved.load();
    let track = loaded.table(Table::Overhauls).expect("overhauls").numbers("track").expect("lengths");
    assert_eq!((track[4], track[5]), (0.0625, 0.0625));
}

#[test]
fn numbers_shown_as_percentages_times_and_truth() {
    let book = Book::small()
        .rows(
            "measurements",
            "propeller,overhaul_date,blade,station_pct,width_after_in",
            &[
                &[Text("A1"), Date("2010-01-01"), Number(1.0), Shown(0.6, "0%"), Number(5.4)],
                &[Text("A1"), Date("2010-01-01"), Number(2.0), Number(60.0), Shown(0.05, "0%")],
                &[Text("A1"), Date("2010-01-01"), YesNo(true), Number(60.0), Number(5.4)],
                &[Text("A1"), Date("2010-01-01"), Number(1.5), Number(60.0), Number(5.4)],
            ],
        )
        .rows(
            "hours",
            HOURS,
            &[
                &[Text("A1"), Date("2010-01-01"), Shown(51.4375, "[h]:mm")],
                &[Text("A1"), Date("2011-01-01"), Shown(0.979_166_666_7, "h:mm")],
                &[Text("A1"), Date("2012-01-01"), YesNo(false)],
            ],
        );
    let saved = book.save();
    assert_eq!(
        saved.set_aside(),
        [
            "fleet.xlsx!measurements!E3 width_after_in [5%] a percentage (expected a length such as 0.352 or 1 1/16) | format the cell as a number and type the value again",
            "fleet.xlsx!measurements!C4 blade [TRUE] true or false (expected a number) | type the value itself",
            "fleet.xlsx!measurements!C5 blade [1.5] not a whole number from 0 to 254 | write a whole number",
            "fleet.xlsx!hours!C3 hours_since_new [23:30] a time of day (expected a number) | type hours and minutes as a decimal: 12 hours 30 minutes are 12.5",
            "fleet.xlsx!hours!C4 hours_since_new [FALSE] true or false (expected a number) | type the value itself",
        ]
    );
    let loaded = saved.load();
    let station = loaded.table(Table::Measurements).expect("measurements").numbers("station_pct").expect("numbers");
    assert_eq!(station[0], 60.0);
    // 1234:30 hours, which the spreadsheet keeps as days.
    let hours = loaded.table(Table::Hours).expect("hours").numbers("hours_since_new").expect("numbers");
    assert_eq!(hours[0], 1234.5);
}

#[test]
fn words_and_truth() {
    let book = Book::small().rows(
        "inspections",
        "propeller,inspection_date,kind,result,by",
        &[
            &[Text("A1"), Date("2010-01-01"), Text("100 HOUR"), Text("satisfactory"), Date("2010-01-02")],
            &[Text("A1"), Date("2011-01-01"), Number(100.0), Text("satisfactory"), Number(7.0)],
        ],
    );
    let saved = book.save();
    assert_eq!(saved.set_aside(), [""; 0]);
    let told = saved.cautions().join("\n");
    assert!(
        told.contains(
            "fleet.xlsx!inspections!C3 kind [100] - - x1 kind: \"100\" is none of annual, 100 hour, condition, other; it counts as not recorded | write one of the words, or leave the cell empty"
        ),
        "{told}"
    );
    // Free text takes whatever stands there, dates as days.
    assert_eq!(names(&saved.load(), Table::Inspections, "by"), ["2010-01-02", "7"]);
}

#[test]
fn formulas_give_their_values() {
    let book = Book::small().rows(
        "hours",
        HOURS,
        &[&[
            Formula("=\"A\"&1", "A1"),
            Formula("=TEXT(DATE(2010,1,1),\"yyyy-mm-dd\")", "2010-01-01"),
            Formula("=5*2", "10"),
        ]],
    );
    let saved = book.save();
    assert_eq!(saved.set_aside(), [""; 0]);
    let loaded = saved.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let readings = fleet.flying.readings(0);
    assert_eq!(readings.len(), 1);
    assert_eq!(readings[0].hours_since_new, Some(10.0));
    // A formula that gives an empty text leaves its cell empty: nothing is recorded there.
    let empty = r#"<c r="C2" t="str"><f>IF(D2,D2,"")</f><v></v></c>"#;
    let typed = r#"<c r="C3"><v>5</v></c>"#;
    assert_eq!(
        raw_hours([empty, typed, r#"<c r="C4"><v>6</v></c>"#]).set_aside(),
        [
            "fleet.xlsx!hours!C2 hours_since_new [] none of hours_since_new, hours_since_overhaul is recorded | fill one of them from the paper record"
        ]
    );
}

fn raw_hours(cells: [&str; 3]) -> Saved {
    let row = |at: usize, cell: &str| {
        let before = texts(at as u32 + 2, &["A1", &format!("201{at}-01-01")]);
        format!("{before}{cell}")
    };
    let rows: Vec<String> = cells.iter().enumerate().map(|(at, cell)| row(at, cell)).collect();
    let header = texts(1, &["propeller", "reading_date", "hours_since_new"]);
    Raw::new()
        .sheet("propellers", &[&texts(1, &["propeller"]), &texts(2, &["A1"])])
        .sheet("hours", &[&header, &rows[0], &rows[1], &rows[2]])
        .save()
}

#[test]
fn formulas_without_a_stored_value_are_said_never_empty() {
    let saved = raw_hours([
        r#"<c r="C2"><f>SUM(D2:D9)</f></c>"#,
        r#"<c r="C3"><f>D3*2</f><v></v></c>"#,
        r#"<c r="C4"><f t="shared" si="0" ref="C4:C9">D4+1</f></c>"#,
    ]);
    let told = |cell: &str, formula: &str| {
        format!(
            "fleet.xlsx!hours!{cell} hours_since_new [{formula}] a formula whose value is not stored in the file | open the workbook in the spreadsheet program and save it there, or type the value itself"
        )
    };
    assert_eq!(saved.set_aside(), [told("C2", "=SUM(D2:D9)"), told("C3", "=D3*2"), told("C4", "=D4+1")]);
}

#[test]
fn error_values_are_unreadable_even_new_ones() {
    let saved = raw_hours([
        r##"<c r="C2" t="e"><f>VLOOKUP(1,D:E,2)</f><v>#N/A</v></c>"##,
        r##"<c r="C3" t="e"><v>#REF!</v></c>"##,
        r##"<c r="C4" t="e"><f>D4#</f><v>#SPILL!</v></c>"##,
    ]);
    let told = |cell: &str, error: &str| {
        format!(
            "fleet.xlsx!hours!{cell} hours_since_new [{error}] an error value of the spreadsheet | correct the formula, or type the value itself"
        )
    };
    assert_eq!(saved.set_aside(), [told("C2", "#N/A"), told("C3", "#REF!"), told("C4", "#SPILL!")]);
}

#[test]
fn text_cells_follow_the_settings_of_text_and_typed_ones_need_none() {
    let book = Book::small().rows(
        "hours",
        HOURS,
        &[&[Text("A1"), Text("28.02.2010"), Text("10,5")], &[Text("A1"), Date("2011-02-28"), Number(20.5)]],
    );
    let saved = book.save();
    let mut options = ReadOptions::default();
    options.writing.decimal_comma = true;
    options.writing.date_pattern = Some("%d.%m.%Y".to_string());
    let loaded = saved.read(&options).expect("read");
    let table = loaded.table(Table::Hours).expect("hours");
    assert!(table.faults.is_empty());
    assert_eq!(table.numbers("hours_since_new"), Some(&[10.5, 20.5][..]));
}
