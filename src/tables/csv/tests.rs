use super::*;
use arrow::array::{Array, AsArray};

fn open(text: &[u8]) -> Result<(tempfile::TempDir, CsvFile), TableError> {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let path = dir.path().join("t.csv");
    std::fs::write(&path, text).expect("written");
    CsvFile::open(&path, CsvOptions::default()).map(|file| (dir, file))
}

fn cells(file: &CsvFile) -> Vec<Vec<Option<String>>> {
    let wanted: Vec<usize> = (0..file.columns().len()).collect();
    let batch = file.read_chunk(0, &wanted).expect("a batch");
    (0..batch.num_rows())
        .map(|row| {
            batch
                .columns()
                .iter()
                .map(|c| {
                    let c = c.as_string::<i32>();
                    c.is_valid(row).then(|| c.value(row).to_string())
                })
                .collect()
        })
        .collect()
}

#[test]
fn a_mark_carriage_returns_quotes_and_a_last_line_without_end_are_read() {
    let (_dir, file) = open(b"\xEF\xBB\xBFa,b\r\n1,\"x,\"\"y\"\"\r\nz\"\r\n\r\n2,last").expect("opens");
    assert_eq!(file.columns(), ["a", "b"]);
    assert_eq!(
        cells(&file),
        vec![vec![Some("1".into()), Some("x,\"y\"\r\nz".into())], vec![Some("2".into()), Some("last".into())],]
    );
    assert_eq!(file.place(1).line, 5);
    assert!(file.broken().is_empty());
}

#[test]
fn a_stray_quote_costs_its_own_row_only() {
    let (_dir, file) = open(b"a,b\n1,\"never closed\n2,x\n3,\"closed\"\n4,mid\"dle\n5,y\n").expect("opens");
    let broken: Vec<(u32, &BrokenRecord)> = file.broken().iter().map(|b| (b.row, &b.problem)).collect();
    assert_eq!(broken, vec![(0, &BrokenRecord::StrayQuote), (3, &BrokenRecord::StrayQuote)]);
    let rows = cells(&file);
    assert_eq!(rows[0], vec![None, None]);
    assert_eq!(rows[1], vec![Some("2".into()), Some("x".into())]);
    assert_eq!(rows[2], vec![Some("3".into()), Some("closed".into())]);
    assert_eq!(rows[4], vec![Some("5".into()), Some("y".into())]);
    assert_eq!(file.as_written(3).expect("read again"), "4,mid\"dle");
}

#[test]
fn field_counts_and_bad_bytes_are_told_with_their_place() {
    let (_dir, file) = open(b"a,b\n1\n1,2,3\n1,2,\n\xE9,2\n7,8\n").expect("opens");
    let problems: Vec<(u32, BrokenRecord)> = file.broken().iter().map(|b| (b.row, b.problem.clone())).collect();
    assert_eq!(
        problems,
        vec![
            (0, BrokenRecord::TooFewFields { found: 1, expected: 2 }),
            (1, BrokenRecord::TooManyFields { found: 3, expected: 2 }),
            (2, BrokenRecord::TooManyFields { found: 3, expected: 2 }),
            (3, BrokenRecord::NotUtf8 { offset: 17 }),
        ]
    );
    assert_eq!(cells(&file)[4], vec![Some("7".into()), Some("8".into())]);
}

#[test]
fn files_that_are_no_table_are_refused() {
    assert!(matches!(open(b"").map(|_| ()), Err(TableError::Empty(_))));
    assert!(matches!(open(b"\n\n").map(|_| ()), Err(TableError::Empty(_))));
    assert!(matches!(open(b"a\0b\n").map(|_| ()), Err(TableError::NotText { offset: 1, .. })));
    assert!(matches!(open(b"a,a\n").map(|_| ()), Err(TableError::Header { line: 1, .. })));
}

#[test]
fn rows_longer_together_than_a_column_of_text_are_found() {
    let record = |offset| Record { offset, length: 10, line: 1 };
    assert!(!spans_too_much(&[]));
    assert!(!spans_too_much(&[record(5), record(5 + i32::MAX as u64 - 10)]));
    assert!(spans_too_much(&[record(5), record(6 + i32::MAX as u64 - 10)]));
}
