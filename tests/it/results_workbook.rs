//! Results as a workbook, read back with another library than the one that writes them.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use crate::program::{bladewane, text};
use bladewane::results::{ColumnKind, table};
use calamine::{Data, DataType as _, Range, Reader, Xlsx, open_workbook};
use chrono::NaiveDate;

fn demo_fleet() -> String {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("datasets/demo-fleet").display().to_string()
}

fn done(args: &[&str]) -> Output {
    let output = bladewane(args);
    assert!(output.status.success(), "{}", text(&output.stderr));
    output
}

fn book(path: &Path) -> Xlsx<std::io::BufReader<fs::File>> {
    open_workbook(path).expect("a workbook")
}

fn at(sheet: &Range<Data>, row: u32, column: u32) -> Data {
    sheet.get_value((row, column)).cloned().unwrap_or_default()
}

fn headings(sheet: &Range<Data>) -> Vec<String> {
    let width = sheet.get_size().1 as u32;
    (0..width).map(|c| at(sheet, 0, c).to_string()).collect()
}

fn cells_of(sheet: &Range<Data>) -> Vec<String> {
    sheet.rows().flatten().map(Data::to_string).filter(|cell| !cell.is_empty()).collect()
}

const CAUTION: &str = "This is a planning aid.";

#[test]
fn a_run_is_one_workbook_with_a_sheet_of_each_table() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let out = |name: &str| dir.path().join(name);
    for name in ["one", "two"] {
        let folder = out(name).display().to_string();
        let fleet = demo_fleet();
        done(&["run", &fleet, "--as-of", "2026-06-30", "--out", &folder, "--format", "xlsx"]);
    }
    let path = out("one").join("results.xlsx");
    let bytes = fs::read(&path).expect("the workbook");
    assert!(bytes == fs::read(out("two").join("results.xlsx")).expect("the other"));
    // The tables stay Parquet; only the workbook comes with it.
    let workbooks = |dir: PathBuf| {
        let names = fs::read_dir(dir).expect("a folder");
        let names = names.map(|e| e.expect("an entry").file_name().into_string());
        let names = names.map(|name| name.expect("a name"));
        names.filter(|n| n.ends_with(".xlsx")).count()
    };
    assert_eq!(workbooks(out("one")), 1);

    let mut book = book(&path);
    let names = book.sheet_names();
    assert_eq!(names[..3], ["about", "ranking", "open"]);
    for name in bladewane::results::answers::GIVEN {
        assert!(names.iter().any(|sheet| sheet == name), "{name}");
    }
    assert!(names.ends_with(&["set_aside".to_string(), "cautions".to_string()]));

    let about = cells_of(&book.worksheet_range("about").expect("a sheet"));
    assert!(about.iter().any(|cell| cell.ends_with(CAUTION)));
    assert!(about.iter().any(|cell| cell == "Invented demo fleet"));
    assert!(about.iter().any(|cell| cell == "2026-06-30"));
    for name in &names[1..] {
        assert!(about.contains(name), "{name}");
    }
    // Every sheet has the columns of its table, and every cell the kind of its column.
    for name in &names[1..] {
        let spec = table(name).expect("a result table");
        let sheet = book.worksheet_range(name).expect("a sheet");
        assert_eq!(headings(&sheet).len(), spec.columns.len(), "{name}");
        for (column, of) in spec.columns.iter().enumerate() {
            for row in 1..sheet.get_size().0 as u32 {
                let cell = at(&sheet, row, column as u32);
                let fits = match of.kind {
                    _ if cell.is_empty() => true,
                    ColumnKind::Date => cell.is_datetime(),
                    ColumnKind::Text => cell.is_string(),
                    ColumnKind::YesNo => matches!(cell.get_string(), Some("yes" | "no")),
                    ColumnKind::Integer | ColumnKind::Blade | ColumnKind::Number => cell.is_float(),
                };
                assert!(fits, "{name}.{} row {row}: {cell:?}", of.name);
            }
        }
    }
}

#[test]
fn headings_have_units_and_values_are_those_of_the_other_formats() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let path = dir.path().join("due.xlsx");
    let fleet = demo_fleet();
    done(&["due", &fleet, "--as-of", "2026-06-30", "-o", &path.display().to_string()]);
    let mut book = book(&path);
    assert_eq!(book.sheet_names(), ["due", "duties", "about"]);
    let sheet = book.worksheet_range("due").expect("a sheet");
    let headings = headings(&sheet);
    for wanted in ["due date", "hours since overhaul (flight hours)", "days to due"] {
        assert!(headings.iter().any(|h| h == wanted), "{wanted}: {headings:?}");
    }
    let json = done(&["due", &fleet, "--as-of", "2026-06-30", "--format", "json"]);
    let json: serde_json::Value = serde_json::from_slice(&json.stdout).expect("JSON");
    let rows = json.as_array().expect("rows");
    assert_eq!(rows.len(), sheet.get_size().0 - 1);
    let spec = table("due").expect("a table");
    for (number, row) in rows.iter().enumerate() {
        for (column, of) in spec.columns.iter().enumerate() {
            let cell = at(&sheet, number as u32 + 1, column as u32);
            match &row[of.name] {
                serde_json::Value::Null => assert!(cell.is_empty()),
                serde_json::Value::Number(n) => {
                    // The reader of JSON may miss the last bit of a number.
                    let (a, b) = (cell.get_float().expect("a number"), n.as_f64().expect("one"));
                    assert!((a - b).abs() <= 4.0 * f64::EPSILON * b.abs(), "{a} {b}");
                }
                serde_json::Value::String(s) if of.kind == ColumnKind::Date => {
                    let day = NaiveDate::parse_from_str(s, "%Y-%m-%d").expect("a day");
                    assert_eq!(cell.as_date(), Some(day));
                }
                serde_json::Value::String(s) => assert_eq!(cell.get_string(), Some(s.as_str())),
                other => panic!("{other}"),
            }
        }
    }
    let about = cells_of(&book.worksheet_range("about").expect("a sheet"));
    assert!(about.iter().any(|cell| cell.ends_with(CAUTION)));
}

#[test]
fn a_name_that_looks_like_a_formula_stays_a_name() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let fleet = dir.path().join("fleet");
    fs::create_dir(&fleet).expect("a folder");
    fs::write(fleet.join("propellers.csv"), "propeller,aircraft\n=1+1,+A\n-2,@B\n0017,\"=HYPERLINK(\"\"x\"\")\"\n")
        .expect("a file");
    let path = dir.path().join("rank.xlsx");
    let fleet = fleet.display().to_string();
    done(&["rank", &fleet, "--as-of", "2026-06-30", "-o", &path.display().to_string()]);
    let mut book = book(&path);
    let sheet = book.worksheet_range("ranking").expect("a sheet");
    let mut serials: Vec<Data> = (1..=3).map(|row| at(&sheet, row, 0)).collect();
    serials.sort_by_key(Data::to_string);
    let expected = ["-2", "0017", "=1+1"].map(|s| Data::String(s.to_string()));
    assert_eq!(serials, expected);
    let formulas = book.worksheet_formula("ranking").expect("a sheet");
    assert_eq!(formulas.used_cells().count(), 0);
}

#[test]
fn a_workbook_of_several_tables_has_them_all_and_a_pipe_gets_the_bytes() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let fleet = demo_fleet();
    let path = dir.path().join("plan.xlsx");
    done(&["budget", &fleet, "--as-of", "2026-06-30", "-o", &path.display().to_string()]);
    assert_eq!(book(&path).sheet_names(), ["budget", "reserve", "purchases", "spares", "out_at_once", "about"]);
    let path = dir.path().join("problems.xlsx");
    done(&["check", &fleet, "-o", &path.display().to_string()]);
    assert_eq!(book(&path).sheet_names(), ["set_aside", "cautions", "about"]);
    let folder = dir.path().join("folder");
    done(&["loss", &fleet, "--format", "xlsx", "-o", &folder.display().to_string()]);
    assert_eq!(book(&folder.join("loss.xlsx")).sheet_names(), ["loss", "about"]);
    // A pipe is no terminal: it gets the file's bytes, whose first two are those of every zip file.
    let piped = done(&["rank", &fleet, "--format", "xlsx", "--top", "3"]);
    assert!(piped.stdout.starts_with(b"PK"));
    let path = dir.path().join("piped.xlsx");
    fs::write(&path, &piped.stdout).expect("a file");
    let mut book = book(&path);
    let sheet = book.worksheet_range("ranking").expect("a sheet");
    assert_eq!(sheet.get_size().0, 4);
    let about = cells_of(&book.worksheet_range("about").expect("a sheet"));
    assert!(about.contains(&"Not the whole table: the first 3 rows.".to_string()));
}
