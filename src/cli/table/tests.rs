use std::sync::Arc;

use arrow::array::{
    ArrayRef, BooleanArray, Date32Array, Float64Array, Int16Array, Int32Array, StringArray, new_null_array,
};
use proptest::prelude::*;

use super::*;
use crate::results::{batch, choose, table, tables};

const PLAIN: Layout = Layout { width: Some(100), styled: false };

fn margins() -> RecordBatch {
    let text = |values: [Option<&str>; 3]| Arc::new(StringArray::from(values.to_vec())) as ArrayRef;
    let inches = |values: [Option<f64>; 3]| Arc::new(Float64Array::from(values.to_vec())) as ArrayRef;
    batch(
        "margins",
        vec![
            ("propeller", text([Some("0017"), Some("0017"), Some("B-112")])),
            ("blade", Arc::new(Int16Array::from(vec![1, 2, 1]))),
            ("station_pct", inches([Some(75.0), Some(60.0), Some(100.0)])),
            ("dimension", text([Some("thickness"), Some("width"), Some("width")])),
            ("last_measured_date", Arc::new(Date32Array::from(vec![Some(19_782), None, Some(0)]))),
            ("value_in", inches([Some(0.3125), None, Some(3.52)])),
            ("minimum_in", inches([Some(0.288), Some(5.2), None])),
            ("dressed_since_in", inches([Some(0.0), Some(0.0), Some(-0.0)])),
            ("margin_in", inches([Some(0.0245), None, Some(-0.01)])),
            ("margin_worst_in", inches([Some(0.0245), None, Some(-0.01)])),
            ("margin_fraction", inches([Some(0.35), None, Some(-0.2)])),
            ("least_at_in", inches([None, None, None])),
            (
                "basis",
                text([
                    Some("measured"),
                    Some("not known"),
                    Some("carried forward over a visit that did not measure it, and never more than its neighbours"),
                ]),
            ),
        ],
    )
    .unwrap()
}

fn text(batch: &RecordBatch, name: &str, layout: Layout) -> TableText {
    table_text(batch, table(name), layout).unwrap()
}

#[test]
fn a_table_that_is_too_wide_says_what_it_leaves_out() {
    let shown = text(&margins(), "margins", PLAIN);
    insta::assert_snapshot!(shown.text, @"
                                           last_                                            margin_
                      station_             measured_   value_  minimum_  dressed_  margin_   worst_
    propeller  blade       pct  dimension  date            in        in  since_in       in       in
    ───────────────────────────────────────────────────────────────────────────────────────────────
    0017           1        75  thickness  2024-02-29   0.312     0.288     0.000    0.025    0.025
    0017           2        60  width                             5.200     0.000
    B-112          1       100  width      1970-01-01   3.520               0.000   -0.010   -0.010
    ");
    insta::assert_snapshot!(shown.left_out_note().unwrap(), @"
    no room for: margin_fraction, least_at_in, basis
    hint: name the columns you want with --columns, or see all with --format csv
    ");
}

#[test]
fn chosen_columns_are_shown_however_wide() {
    let names = ["propeller", "last_measured_date", "margin_in", "basis"].map(String::from);
    let chosen = choose(&margins(), &names).unwrap();
    let wide = Layout { width: None, styled: false };
    let shown = text(&chosen, "margins", wide);
    insta::assert_snapshot!(shown.text, @"
               last_
               measured_   margin_
    propeller  date             in  basis
    ──────────────────────────────────────────────────────────────────
    0017       2024-02-29    0.025  measured
    0017                            not known
    B-112      1970-01-01   -0.010  carried forward over a visit that
                                    did not measure it, and never more
                                    than its neighbours
    ");
    assert_eq!(shown.left_out_note(), None);
}

#[test]
fn yes_and_no_are_words() {
    let schema = arrow::datatypes::Schema::new(vec![
        arrow::datatypes::Field::new("open", arrow::datatypes::DataType::Boolean, true),
        arrow::datatypes::Field::new("count", arrow::datatypes::DataType::Int32, true),
    ]);
    let columns: Vec<ArrayRef> = vec![
        Arc::new(BooleanArray::from(vec![Some(true), Some(false), None])),
        Arc::new(Int32Array::from(vec![Some(12_000), None, Some(7)])),
    ];
    let batch = RecordBatch::try_new(Arc::new(schema), columns).unwrap();
    let shown = table_text(&batch, None, PLAIN).unwrap();
    insta::assert_snapshot!(shown.text, @"
    open  count
    ───────────
    yes   12000
    no
              7
    ");
}

#[test]
fn a_bold_header_is_the_only_style() {
    let styled = Layout { width: Some(100), styled: true };
    let shown = text(&margins(), "margins", styled).text;
    assert!(shown.contains("\u{1b}[1m"), "{shown}");
    assert!(!text(&margins(), "margins", PLAIN).text.contains('\u{1b}'));
    // The look does not depend on where the tests run: no colour codes beside bold and its end.
    let rest = shown.replace("\u{1b}[1m", "").replace("\u{1b}[0m", "");
    assert!(!rest.contains('\u{1b}'), "{rest}");
}

#[test]
fn a_table_without_rows_shows_its_columns() {
    let shown = text(&margins().slice(0, 0), "margins", PLAIN);
    let lines: Vec<&str> = shown.text.lines().collect();
    let [.., names, rule] = lines[..] else {
        panic!("no header: {}", shown.text);
    };
    assert!(names.starts_with("propeller  blade"), "{}", shown.text);
    assert!(rule.chars().all(|c| c == '─'), "{}", shown.text);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Every table fits the room it is given (unless its first column alone does not), shows a first part of its columns and
    /// names the others.
    #[test]
    fn every_table_fits(at in 0..tables().len(), room in 20_u16..=100, words in "[a-z ]{0,90}") {
        let spec = &tables()[at];
        let columns = spec.columns.iter().map(|column| {
            let values: ArrayRef = match column.kind.data_type() {
                arrow::datatypes::DataType::Utf8 => Arc::new(StringArray::from(vec![words.as_str(), ""])),
                arrow::datatypes::DataType::Float64 => Arc::new(Float64Array::from(vec![Some(-1234.56789), None])),
                other => new_null_array(&other, 2),
            };
            (column.name, values)
        });
        let made = batch(spec.name, columns.collect()).unwrap();
        let layout = Layout { width: Some(room), styled: false };
        let shown = table_text(&made, Some(spec), layout).unwrap();
        let shown_columns = spec.columns.len() - shown.left_out.len();
        prop_assert!(shown_columns >= 1);
        let names: Vec<&str> = spec.columns[shown_columns..].iter().map(|column| column.name).collect();
        prop_assert_eq!(&shown.left_out, &names);
        for line in shown.text.lines() {
            prop_assert!(shown_columns == 1 || line.chars().count() <= usize::from(room), "{}", line);
            prop_assert_eq!(line, line.trim_end());
        }
    }
}
