//! Parquet (one file, a folder of files) and Arrow IPC hold the same table as CSV and give the same fleet.

use std::fs::File;
use std::path::Path;
use std::sync::Arc;

use arrow::array::{ArrayRef, Date32Array, Float64Array, Int64Array, StringArray};
use arrow::datatypes::{DataType, Field, Schema};
use arrow::ipc::writer::FileWriter;
use arrow::record_batch::RecordBatch;
use bladewane::records::Fleet;
use bladewane::records::schema::Table;
use bladewane::trade::geometry::Dimension;
use parquet::arrow::ArrowWriter;
use parquet::file::properties::WriterProperties;

use crate::fleet_folder::{FleetFolder, as_of, cautions, day, plain, set_aside};

const ROWS: &str = "
    propeller,overhaul_date,blade,station_pct,width_after_in,thickness_after_in,note
    A1,2010-01-01,1,60,5.400,0.450,x
    A1,2010-01-01,2,60,5.390,,x
    A1,2015-01-01,1,60,5.380,0.470,x
    A9,2010-01-01,1,60,5.400,0.450,x
    A1,2015-01-01,2,60,53.80,0.440,x
    A1,2030-01-01,2,60,5.380,0.440,x
    A1,2015-01-01,1,90,3.600,0.200,x";

/// The rows of [`ROWS`], typed: text, dates, whole numbers and numbers.
fn typed(rows: std::ops::Range<usize>) -> RecordBatch {
    let text = plain(ROWS);
    let table: Vec<Vec<&str>> = text.lines().skip(1).map(|l| l.split(',').collect()).collect();
    let column = |at: usize| table[rows.clone()].iter().map(move |row| row[at]);
    let numbers =
        |at: usize| -> ArrayRef { Arc::new(column(at).map(|v| v.parse::<f64>().ok()).collect::<Float64Array>()) };
    let arrays: Vec<ArrayRef> = vec![
        Arc::new(column(0).map(Some).collect::<StringArray>()),
        Arc::new(column(1).map(|v| Some(day(v).number())).collect::<Date32Array>()),
        Arc::new(column(2).map(|v| v.parse::<i64>().ok()).collect::<Int64Array>()),
        numbers(3),
        numbers(4),
        numbers(5),
        Arc::new(column(6).map(Some).collect::<StringArray>()),
    ];
    let types = [
        DataType::Utf8,
        DataType::Date32,
        DataType::Int64,
        DataType::Float64,
        DataType::Float64,
        DataType::Float64,
        DataType::Utf8,
    ];
    let names = text.lines().next().expect("a header").split(',');
    let fields: Vec<Field> = names.zip(types).map(|(n, t)| Field::new(n, t, true)).collect();
    RecordBatch::try_new(Arc::new(Schema::new(fields)), arrays).expect("a batch")
}

fn parquet(path: &Path, batch: &RecordBatch, group_rows: usize) {
    let properties = WriterProperties::builder().set_max_row_group_row_count(Some(group_rows)).build();
    let file = File::create(path).expect("created");
    let mut writer = ArrowWriter::try_new(file, batch.schema(), Some(properties)).expect("a writer");
    writer.write(batch).expect("written");
    writer.close().expect("closed");
}

fn arrow(path: &Path, batches: &[RecordBatch]) {
    let file = File::create(path).expect("created");
    let mut writer = FileWriter::try_new(file, &batches[0].schema()).expect("a writer");
    for batch in batches {
        writer.write(batch).expect("written");
    }
    writer.finish().expect("finished");
}

/// What a fleet says of its measurements, in one comparable piece.
fn told(fleet: &Fleet<'_>) -> (Vec<String>, String) {
    let loss = bladewane::analysis::loss::of_propellers(fleet, 0..fleet.propellers.len() as u32);
    let count = fleet.ledger.counts(Table::Measurements).expect("a count");
    let columns = format!("{count:?} {loss:?} {:?}", Dimension::ALL);
    let lines = set_aside(fleet).into_iter().chain(cautions(fleet));
    // Files and lines differ; everything else is the same.
    let plain = lines.map(|line| line.split_once(' ').expect("a place").1.to_string());
    (plain.collect(), columns)
}

#[test]
fn parquet_and_arrow_give_the_same_fleet_as_csv() {
    let base = || FleetFolder::small().with("overhauls", "propeller,overhaul_date\nA1,2010-01-01\nA1,2015-01-01");
    let csv = base().with("measurements", ROWS);
    let one = base();
    parquet(&one.path().join("measurements.parquet"), &typed(0..7), 3);
    let several = base().folder("measurements");
    parquet(&several.path().join("measurements/b.parquet"), &typed(4..7), 2);
    parquet(&several.path().join("measurements/a.parquet"), &typed(0..4), 2);
    let ipc = base();
    arrow(&ipc.path().join("measurements.arrow"), &[typed(0..2), typed(2..7)]);

    let loaded = csv.load();
    let expected = told(&as_of(&loaded, "2026-01-01"));
    assert_eq!(expected.0.iter().filter(|l| l.contains("A9") || l.contains("53.8")).count(), 2);
    for folder in [&one, &several, &ipc] {
        let loaded = folder.load();
        assert_eq!(told(&as_of(&loaded, "2026-01-01")), expected);
    }

    // `line` is the row from 1 within its file, and the row as written is JSON.
    let place = |folder: &FleetFolder, row: u32| {
        let loaded = folder.load();
        let table = loaded.table(Table::Measurements).expect("measurements");
        let place = table.source.place_of(Some(row), None);
        (format!("{}:{}", place.file, place.line), table.source.as_written(&[row]).expect("read again"))
    };
    let json = r#"{"propeller":"A1","overhaul_date":"2015-01-01","blade":2,"station_pct":60.0,"width_after_in":53.8,"thickness_after_in":0.44,"note":"x"}"#;
    assert_eq!(place(&one, 4), ("measurements.parquet:5".into(), vec![json.to_string()]));
    assert_eq!(place(&several, 4), ("measurements/b.parquet:1".into(), vec![json.to_string()]));
    assert_eq!(place(&ipc, 4), ("measurements.arrow:5".into(), vec![json.to_string()]));
    let unmeasured = place(&one, 1).1.remove(0);
    assert!(unmeasured.ends_with(r#""thickness_after_in":null,"note":"x"}"#), "{unmeasured}");
    assert_eq!(place(&csv, 4), ("measurements.csv:6".into(), vec!["A1,2015-01-01,2,60,53.80,0.440,x".into()]));
}

#[test]
fn parquet_files_of_one_table_have_the_same_columns() {
    let folder = FleetFolder::small().folder("measurements");
    let batch = typed(0..2);
    parquet(&folder.path().join("measurements/a.parquet"), &batch, 9);
    let fewer = batch.project(&[0, 1, 2, 3]).expect("fewer columns");
    parquet(&folder.path().join("measurements/b.parquet"), &fewer, 9);
    assert_eq!(
        folder.error(),
        "FLEET/measurements/b.parquet: its columns differ from those of FLEET/measurements/a.parquet\nhint: the files of one table must have the same columns and types"
    );
}

/// A typed cell that cannot be what the column holds is set aside like a written one.
#[test]
fn typed_cells_that_cannot_be_read() {
    let fields = [
        Field::new("propeller", DataType::Int64, true),
        Field::new("reading_date", DataType::Int64, true),
        Field::new("hours_since_new", DataType::Float64, true),
    ];
    let arrays: Vec<ArrayRef> = vec![
        Arc::new(Int64Array::from(vec![Some(7), Some(7), None])),
        Arc::new(Int64Array::from(vec![Some(20100101), None, None])),
        Arc::new(Float64Array::from(vec![Some(1.0), Some(f64::INFINITY), None])),
    ];
    let batch = RecordBatch::try_new(Arc::new(Schema::new(fields.to_vec())), arrays).expect("a batch");
    let folder = FleetFolder::small().with("propellers", "propeller\n7");
    parquet(&folder.path().join("hours.parquet"), &batch, 9);
    assert_eq!(
        folder.set_aside(),
        [
            "hours.parquet:1 reading_date [20100101] not a date (expected YYYY-MM-DD) | write YYYY-MM-DD, or set date_format in fleet.toml",
            "hours.parquet:2 hours_since_new [infinite] not a number (expected a number) | write a decimal, or a fraction such as 1 1/16 for a length; leave unknown cells empty",
            "hours.parquet:3 propeller [] a required value is not recorded | fill the cell from the paper record",
        ]
    );
}

#[test]
fn numbers_that_a_library_made_of_serials_are_serials_again() {
    let fields = [
        Field::new("propeller", DataType::Float64, true),
        Field::new("reading_date", DataType::Date32, true),
        Field::new("hours_since_new", DataType::Float64, true),
    ];
    let arrays: Vec<ArrayRef> = vec![
        Arc::new(Float64Array::from(vec![Some(1043.0)])),
        Arc::new(Date32Array::from(vec![Some(day("2010-01-01").number())])),
        Arc::new(Float64Array::from(vec![Some(5.0)])),
    ];
    let batch = RecordBatch::try_new(Arc::new(Schema::new(fields.to_vec())), arrays).expect("a batch");
    let folder = FleetFolder::small().with("propellers", "propeller\n1043");
    arrow(&folder.path().join("hours.arrow"), &[batch]);
    assert_eq!(folder.set_aside(), [""; 0]);
    let loaded = folder.load();
    assert_eq!(as_of(&loaded, "2026-01-01").flying.readings(0).len(), 1);
}
