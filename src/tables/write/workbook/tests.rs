use std::io::Cursor;
use std::sync::Arc;

use arrow::array::{ArrayRef, BooleanArray, Date32Array, Float64Array, Int32Array, StringArray};
use arrow::datatypes::{DataType, Field, Schema, SchemaRef};
use arrow::record_batch::RecordBatch;
use calamine::{Data, DataType as _, Reader, Xlsx};
use chrono::NaiveDate;

use super::*;
use crate::tables::write::{WriteError, write_table};

fn schema() -> SchemaRef {
    let field = |name: &str, kind, said: &[(&str, &str)]| {
        let said = said.iter().map(|(k, v)| (k.to_string(), v.to_string()));
        let said: std::collections::HashMap<String, String> = said.collect();
        Field::new(name, kind, true).with_metadata(said)
    };
    Arc::new(Schema::new(vec![
        field("propeller", DataType::Utf8, &[("about", "its serial")]),
        field("due_date", DataType::Date32, &[("unit", "date")]),
        field("margin_in", DataType::Float64, &[("unit", "in"), ("decimals", "3"), ("about", "metal left")]),
        field("findings", DataType::Int32, &[("unit", "count")]),
        field("open", DataType::Boolean, &[]),
    ]))
}

fn rows() -> RecordBatch {
    let columns: Vec<ArrayRef> = vec![
        Arc::new(StringArray::from(vec![Some("0017"), Some("=1+1"), Some("@x"), None])),
        // 2026-03-01 is 20,513 days after 1970-01-01, and a spreadsheet's day 46,082.
        Arc::new(Date32Array::from(vec![Some(20_513), Some(-30_000), None, None])),
        Arc::new(Float64Array::from(vec![Some(0.012_345_678_9), Some(-0.0004), Some(f64::NAN), None])),
        Arc::new(Int32Array::from(vec![Some(3), None, Some(-1), None])),
        Arc::new(BooleanArray::from(vec![Some(true), Some(false), None, None])),
    ];
    RecordBatch::try_new(schema(), columns).unwrap()
}

fn made(parts: &[RecordBatch]) -> Vec<u8> {
    let mut book = Book::new(NaiveDate::from_ymd_opt(2026, 6, 30).unwrap(), "due of a fleet");
    let mut sheet = TableSheet::new("due", &schema()).unwrap();
    for part in parts {
        sheet.write(part).unwrap();
    }
    let holds = Holds { sheet: "due".to_string(), a_row_is: "one propeller".to_string(), rows: sheet.rows() };
    book.push(sheet).unwrap();
    let about = About {
        title: "due of a fleet".to_string(),
        facts: vec![("Records as of".to_string(), "2026-06-30".to_string())],
        remarks: vec!["An empty cell means not known, never zero.".to_string()],
        sheets: vec![holds],
    };
    book.push_about(&about, false).unwrap();
    let mut bytes = Vec::new();
    book.finish(&mut bytes).unwrap();
    bytes
}

fn open(bytes: Vec<u8>) -> Xlsx<Cursor<Vec<u8>>> {
    Xlsx::new(Cursor::new(bytes)).unwrap()
}

#[test]
fn dates_are_dates_numbers_numbers_and_text_stays_text() {
    let mut book = open(made(&[rows()]));
    assert_eq!(book.sheet_names(), ["due", "about"]);
    let sheet = book.worksheet_range("due").unwrap();
    let at = |row, column| sheet.get_value((row, column)).cloned().unwrap_or_default();
    let headings: Vec<String> = (0..5).map(|c| at(0, c).to_string()).collect();
    assert_eq!(headings, ["propeller", "due date", "margin (inches)", "findings", "open"]);
    assert_eq!(at(1, 0), Data::String("0017".to_string()));
    assert_eq!(at(2, 0), Data::String("=1+1".to_string()));
    assert_eq!(at(3, 0), Data::String("@x".to_string()));
    assert!(at(1, 1).is_datetime());
    assert_eq!(at(1, 1).as_date(), NaiveDate::from_ymd_opt(2026, 3, 1));
    // A spreadsheet has no days before 1900-03-01 that all programs count alike.
    assert_eq!(at(2, 1), Data::String("1887-11-12".to_string()));
    assert_eq!(at(1, 2), Data::Float(0.012_345_678_9));
    assert_eq!(at(2, 2), Data::Float(-0.0004));
    assert_eq!(at(3, 2), Data::Empty);
    assert_eq!(at(1, 3), Data::Float(3.0));
    assert_eq!(at(1, 4), Data::String("yes".to_string()));
    assert_eq!(at(2, 4), Data::String("no".to_string()));
    assert_eq!(at(4, 0), Data::Empty);
    // No cell is a formula.
    assert!(book.worksheet_formula("due").unwrap().used_cells().count() == 0);
}

#[test]
fn the_sheet_about_says_what_the_others_hold() {
    let mut book = open(made(&[rows()]));
    let about = book.worksheet_range("about").unwrap();
    let text: Vec<String> = about
        .rows()
        .map(|row| row.iter().map(Data::to_string).collect::<Vec<_>>().join("|"))
        .filter(|row| row.chars().any(|c| c != '|'))
        .collect();
    assert_eq!(
        text,
        [
            "due of a fleet||",
            "Records as of|2026-06-30|",
            "An empty cell means not known, never zero.||",
            "sheet|a row is|rows",
            "due|one propeller|4",
        ]
    );
}

#[test]
fn bytes_depend_on_the_rows_alone() {
    let whole = made(&[rows()]);
    assert!(made(&[rows().slice(0, 1), rows().slice(1, 3)]) == whole);
    assert!(made(&[rows().slice(0, 3)]) != whole);
}

#[test]
fn more_rows_than_a_sheet_holds_are_refused_with_the_reason() {
    let one = Arc::new(Schema::new(vec![Field::new("n", DataType::Int32, true)]));
    let many = |count: usize| {
        let column: ArrayRef = Arc::new(Int32Array::from(vec![None; count]));
        RecordBatch::try_new(Arc::clone(&one) as SchemaRef, vec![column]).unwrap()
    };
    // 2^20 rows in all, one of them the heading (ECMA-376 names no limit; it is the spreadsheet programs').
    assert_eq!(MOST_ROWS, (1 << 20) - 1);
    let mut sheet = TableSheet::new("loss", &(Arc::clone(&one) as SchemaRef)).unwrap();
    sheet.write(&many(MOST_ROWS as usize - 1)).unwrap();
    sheet.write(&many(1)).unwrap();
    let refused = sheet.write(&many(1)).unwrap_err();
    assert!(matches!(refused, WriteError::TooManyRows { .. }));
    insta::assert_snapshot!(refused, @"
    `loss` has more than 1048575 rows, and a sheet of a workbook holds no more
    hint: write it as parquet or csv, or choose rows with --top, --use, --base or --model
    ");
}

#[test]
fn a_text_longer_than_a_cell_is_cut_and_says_so() {
    let schema = Arc::new(Schema::new(vec![Field::new("t", DataType::Utf8, true)])) as SchemaRef;
    let long: ArrayRef = Arc::new(StringArray::from(vec!["é𝄞".repeat(40_000)]));
    let batch = RecordBatch::try_new(Arc::clone(&schema), vec![long]).unwrap();
    let mut bytes = Vec::new();
    write_table(Format::Workbook, &mut bytes, &schema, &[batch]).unwrap();
    let sheet = open(bytes).worksheet_range("table").unwrap();
    let text = sheet.get_value((1, 0)).unwrap().to_string();
    assert!(text.ends_with("... (cut: a cell holds no more)"));
    let units = text.encode_utf16().count();
    assert!((32_765..=32_767).contains(&units), "{units}");
}
