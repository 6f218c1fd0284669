use std::fs::File;
use std::io::{self, Write};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use arrow::array::{ArrayRef, BooleanArray, Date32Array, Float64Array, Int32Array, StringArray};
use arrow::compute::concat_batches;
use arrow::datatypes::{DataType, Field, Schema, SchemaRef};
use arrow::ipc::reader::FileReader;
use arrow::record_batch::RecordBatch;
use parquet::arrow::arrow_reader::ParquetRecordBatchReaderBuilder;
use parquet::basic::Encoding;
use proptest::prelude::*;

use super::*;

fn schema() -> SchemaRef {
    let field = |name: &str, data_type| {
        Field::new(name, data_type, true).with_metadata([("unit".to_string(), "in".to_string())])
    };
    Arc::new(Schema::new(vec![
        field("propeller", DataType::Utf8),
        field("overhaul_date", DataType::Date32),
        field("visit_no", DataType::Int32),
        field("margin_in", DataType::Float64),
        field("from_drawing", DataType::Boolean),
    ]))
}

/// Ugly rows: a quote and a comma in a name, missing cells, a date before 1970, a number that needs all its digits.
fn ugly() -> RecordBatch {
    let columns: Vec<ArrayRef> = vec![
        Arc::new(StringArray::from(vec![Some("0017"), Some("A \"x\", b"), None])),
        Arc::new(Date32Array::from(vec![Some(0), Some(-14_610), None])),
        Arc::new(Int32Array::from(vec![Some(-1), None, Some(3)])),
        Arc::new(Float64Array::from(vec![Some(0.1), Some(0.1 + 0.2), None])),
        Arc::new(BooleanArray::from(vec![Some(true), None, Some(false)])),
    ];
    RecordBatch::try_new(schema(), columns).unwrap()
}

/// `rows` rows that differ from slice to slice; about `1 / distinct_step` of the numbers are distinct.
fn many(slice: usize, rows: usize, distinct_step: usize) -> RecordBatch {
    let number = |row: usize| (slice * 31 + row / distinct_step) as f64 * 0.001;
    let columns: Vec<ArrayRef> = vec![
        Arc::new(StringArray::from_iter_values((0..rows).map(|row| format!("S{slice:03}-{:05}", row / 72)))),
        Arc::new(Date32Array::from_iter_values((0..rows).map(|row| row as i32 % 500))),
        Arc::new(Int32Array::from_iter((0..rows).map(|row| (row % 7 > 0).then_some(row as i32 % 7)))),
        Arc::new(Float64Array::from_iter((0..rows).map(|row| (row % 11 > 0).then(|| number(row))))),
        Arc::new(BooleanArray::from_iter((0..rows).map(|row| Some(row % 3 == 0)))),
    ];
    RecordBatch::try_new(schema(), columns).unwrap()
}

fn bytes(format: Format, batches: &[RecordBatch]) -> Vec<u8> {
    let mut out = Vec::new();
    let rows = write_table(format, &mut out, &schema(), batches).unwrap();
    assert_eq!(rows, batches.iter().map(|b| b.num_rows() as u64).sum::<u64>());
    out
}

fn text(format: Format, batches: &[RecordBatch]) -> String {
    String::from_utf8(bytes(format, batches)).unwrap()
}

fn open_parquet(bytes: &[u8]) -> ParquetRecordBatchReaderBuilder<File> {
    let mut file = tempfile::tempfile().unwrap();
    file.write_all(bytes).unwrap();
    ParquetRecordBatchReaderBuilder::try_new(file).unwrap()
}

fn read_parquet(bytes: Vec<u8>) -> RecordBatch {
    let reader = open_parquet(&bytes);
    let schema = reader.schema().clone();
    let batches: Vec<_> = reader.build().unwrap().map(Result::unwrap).collect();
    concat_batches(&schema, &batches).unwrap()
}

#[test]
fn csv_has_iso_dates_and_an_empty_field_for_what_is_not_known() {
    // RFC 4180: a field with a quote or a comma is quoted, a quote in it doubled.
    insta::assert_snapshot!(text(Format::Csv, &[ugly()]), @r#"
    propeller,overhaul_date,visit_no,margin_in,from_drawing
    0017,1970-01-01,-1,0.1,true
    "A ""x"", b",1930-01-01,,0.30000000000000004,
    ,,3,,false
    "#);
}

#[test]
fn a_json_row_has_every_column() {
    insta::assert_snapshot!(text(Format::JsonLines, &[ugly()]), @r#"
    {"propeller":"0017","overhaul_date":"1970-01-01","visit_no":-1,"margin_in":0.1,"from_drawing":true}
    {"propeller":"A \"x\", b","overhaul_date":"1930-01-01","visit_no":null,"margin_in":0.30000000000000004,"from_drawing":null}
    {"propeller":null,"overhaul_date":null,"visit_no":3,"margin_in":null,"from_drawing":false}
    "#);
    insta::assert_snapshot!(text(Format::Json, &[ugly().slice(0, 1), ugly().slice(2, 1)]), @r#"
    [
    {"propeller":"0017","overhaul_date":"1970-01-01","visit_no":-1,"margin_in":0.1,"from_drawing":true},
    {"propeller":null,"overhaul_date":null,"visit_no":3,"margin_in":null,"from_drawing":false}
    ]
    "#);
}

#[test]
fn a_table_without_rows_still_says_what_it_is() {
    assert_eq!(text(Format::Csv, &[]), "propeller,overhaul_date,visit_no,margin_in,from_drawing\n");
    assert_eq!(text(Format::JsonLines, &[]), "");
    let json: serde_json::Value = serde_json::from_str(&text(Format::Json, &[])).unwrap();
    assert_eq!(json, serde_json::json!([]));
    let arrow = FileReader::try_new(io::Cursor::new(bytes(Format::Arrow, &[])), None).unwrap();
    assert_eq!(arrow.schema(), schema());
    let parquet = read_parquet(bytes(Format::Parquet, &[]));
    assert_eq!((parquet.schema(), parquet.num_rows()), (schema(), 0));
}

#[test]
fn arrow_and_parquet_give_back_the_rows_and_the_units() {
    let arrow = FileReader::try_new(io::Cursor::new(bytes(Format::Arrow, &[ugly()])), None).unwrap();
    let rows: Vec<RecordBatch> = arrow.map(Result::unwrap).collect();
    assert_eq!(rows, [ugly()]);
    let rows = read_parquet(bytes(Format::Parquet, &[ugly()]));
    assert_eq!(rows, ugly());
    assert_eq!(rows.schema().field(3).metadata().get("unit").unwrap(), "in");
}

#[test]
fn rows_of_another_table_are_refused_by_name() {
    let other = Schema::new(vec![Field::new("propeller", DataType::Utf8, true)]);
    let other = RecordBatch::new_empty(Arc::new(other));
    let shorter = write_table(Format::Csv, Vec::new(), &schema(), &[other]).unwrap_err();
    assert_eq!(shorter.to_string(), "rows with no column 2, expected column 2 `overhaul_date: Date32`");
    let mut fields: Vec<_> = schema().fields().iter().cloned().collect();
    fields[3] = Arc::new(Field::new("margin_in", DataType::Float32, true));
    let other = RecordBatch::new_empty(Arc::new(Schema::new(fields)));
    let typed = write_table(Format::Parquet, Vec::new(), &schema(), &[other]).unwrap_err();
    assert_eq!(typed.to_string(), "rows with column 4 `margin_in: Float32`, expected column 4 `margin_in: Float64`");
}

/// Takes `room` bytes, then fails.
struct Full {
    room: usize,
    kind: io::ErrorKind,
}

impl Write for Full {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.room == 0 {
            return Err(io::Error::new(self.kind, "no more"));
        }
        let taken = bytes.len().min(self.room);
        self.room -= taken;
        Ok(taken)
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[test]
fn what_the_stream_said_is_kept_in_every_format() {
    for format in Format::ALL {
        for room in [0, 1, 20, 200] {
            let to = Full { room, kind: io::ErrorKind::StorageFull };
            let error = write_table(format, to, &schema(), &[many(0, 3_000, 1)]).unwrap_err();
            assert!(matches!(&error, WriteError::Stream(_)), "{format} {room}: {error:?}");
            assert!(!error.is_closed_pipe());
            let to = Full { room, kind: io::ErrorKind::BrokenPipe };
            let error = write_table(format, to, &schema(), &[many(0, 3_000, 1)]).unwrap_err();
            assert!(error.is_closed_pipe(), "{format} {room}: {error:?}");
        }
    }
}

#[test]
fn a_full_dictionary_goes_on_as_split_bytes() {
    // 150,000 distinct numbers of 8 bytes are more than the dictionary's 1 MiB.
    let many = many(0, 165_000, 1);
    let out = bytes(Format::Parquet, std::slice::from_ref(&many));
    let reader = open_parquet(&out);
    let column = reader.metadata().row_group(0).column(3);
    let encodings: Vec<Encoding> = column.encodings().collect();
    assert!(encodings.contains(&Encoding::BYTE_STREAM_SPLIT), "{encodings:?}");
    assert!(encodings.contains(&Encoding::RLE_DICTIONARY), "{encodings:?}");
    assert_eq!(read_parquet(out), many);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(6))]

    /// How rows are cut into batches changes nothing.
    #[test]
    fn bytes_do_not_depend_on_batches(cuts in prop::collection::vec(0_usize..=300_000, 0..5)) {
        let whole = many(1, 300_000, 40);
        let mut cuts = cuts;
        cuts.extend([0, 300_000]);
        cuts.sort();
        let parts: Vec<RecordBatch> =
            cuts.windows(2).map(|w| whole.slice(w[0], w[1] - w[0])).collect();
        prop_assert!(
            bytes(Format::Parquet, &parts) == bytes(Format::Parquet, std::slice::from_ref(&whole))
        );
        let (few, parts) = (whole.slice(0, 500), [whole.slice(0, 123), whole.slice(123, 377)]);
        for format in [Format::Csv, Format::Json, Format::JsonLines] {
            prop_assert_eq!(bytes(format, &parts), bytes(format, std::slice::from_ref(&few)));
        }
    }
}

fn in_parallel(threads: usize, slices: usize) -> Vec<u8> {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
    pool.install(|| {
        let mut out = Vec::new();
        let rows = write_parquet_in_parallel(&mut out, &schema(), slices, |slice| {
            // Every fifth slice is empty, and early slices take longest, so that groups finish out of order.
            let rows = if slice % 5 == 3 { 0 } else { 2_000 * (slices - slice) };
            Ok::<_, WriteError>(vec![many(slice, rows, 3), many(slice, 10, 1)].split_off((rows == 0) as usize * 2))
        });
        let expected: usize =
            (0..slices).filter(|slice| slice % 5 != 3).map(|slice| 2_000 * (slices - slice) + 10).sum();
        assert_eq!(rows.unwrap(), expected as u64);
        out
    })
}

#[test]
fn parallel_bytes_do_not_depend_on_the_number_of_threads() {
    let one = in_parallel(1, 23);
    assert!(in_parallel(2, 23) == one);
    assert!(in_parallel(5, 23) == one);
    let rows = read_parquet(one);
    let expected: Vec<RecordBatch> = (0..23)
        .filter(|slice| slice % 5 != 3)
        .flat_map(|slice| [many(slice, 2_000 * (23 - slice), 3), many(slice, 10, 1)])
        .collect();
    assert!(rows == concat_batches(&schema(), &expected).unwrap());
}

#[test]
fn no_slices_give_a_table_without_rows() {
    let rows = read_parquet(in_parallel(2, 0));
    assert_eq!((rows.schema(), rows.num_rows()), (schema(), 0));
}

/// The first failure in slice order is the one reported, however the threads fall, and few slices are made after it.
#[test]
fn the_first_slice_that_fails_is_the_one_reported() {
    let made = AtomicUsize::new(0);
    let mut out = Vec::new();
    let error = write_parquet_in_parallel(&mut out, &schema(), 1_000, |slice| {
        made.fetch_add(1, Ordering::Relaxed);
        if slice >= 7 {
            return Err(WriteError::Unfinished(format!("slice {slice}")));
        }
        Ok(vec![many(slice, 20_000, 3)])
    })
    .unwrap_err();
    assert!(matches!(&error, WriteError::Unfinished(name) if name == "slice 7"), "{error:?}");
    assert!(made.into_inner() < 7 + 2 * (rayon::current_num_threads() + 2));
}

#[test]
fn a_full_disk_ends_a_parallel_write() {
    for room in [0, 3, 1_000, 100_000] {
        let to = Full { room, kind: io::ErrorKind::StorageFull };
        let error =
            write_parquet_in_parallel(to, &schema(), 40, |slice| Ok::<_, WriteError>(vec![many(slice, 20_000, 1)]))
                .unwrap_err();
        assert!(matches!(error, WriteError::Stream(_)), "{room}: {error:?}");
    }
}

/// Made but unwritten slices never exceed the window, also when the first slice is the slowest.
#[test]
fn few_slices_are_in_memory_at_once() {
    let threads = 4;
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
    let started = AtomicUsize::new(0);
    let most_ahead = AtomicUsize::new(0);
    pool.install(|| {
        write_parquet_in_parallel(Vec::new(), &schema(), 60, |slice| {
            started.fetch_add(1, Ordering::SeqCst);
            if slice == 0 {
                std::thread::sleep(std::time::Duration::from_millis(300));
                most_ahead.store(started.load(Ordering::SeqCst), Ordering::SeqCst);
            }
            Ok::<_, WriteError>(vec![many(slice, 100, 1)])
        })
        .unwrap();
    });
    assert!(most_ahead.into_inner() <= threads + 2);
    assert_eq!(started.into_inner(), 60);
}

/// A slice may use rayon itself: no thread waits for another, so nothing can lock up.
#[test]
fn making_a_slice_may_use_rayon() {
    use rayon::prelude::*;
    let pool = rayon::ThreadPoolBuilder::new().num_threads(2).build().unwrap();
    let rows = pool.install(|| {
        write_parquet_in_parallel(Vec::new(), &schema(), 30, |slice| {
            let sum: usize = (0..50_000_usize).into_par_iter().map(|x| x % 7).sum();
            Ok::<_, WriteError>(vec![many(slice, 50 + sum % 2, 1)])
        })
        .unwrap()
    });
    // 50,000 numbers: 7142 whole rounds of 0..6 (21 each) and six more, 0..5 (15): 149,997, which is odd.
    assert_eq!(rows, 30 * 51);
}
