//! The template: every column of the schema is there once, what is typed is guarded, and a filled one is read as meant.

use std::collections::BTreeMap;
use std::fs;
use std::io::{Cursor, Read};
use std::path::{Path, PathBuf};
use std::process::Output;

use bladewane::onboard::template::{Cell, FILL_OR_DELETE, LengthUnit, Row, Template, example_row, heading};
use bladewane::records::schema::{Kind, TABLES, Table};
use bladewane::records::{Fleet, GUIDE_SHEET, Loaded, ReadOptions, SETTINGS_SHEET};
use bladewane::settings::{Layer, Settings};
use bladewane::trade::calendar::Day;
use calamine::{Data, DataType as _, Reader, Xlsx};

use crate::program::{bladewane, text};

const UNITS: [LengthUnit; 2] = [LengthUnit::Inches, LengthUnit::Millimetres];

fn code(output: &Output) -> i32 {
    output.status.code().expect("it ended by itself")
}

fn shown(path: &Path) -> String {
    path.display().to_string()
}

fn open(bytes: Vec<u8>) -> Xlsx<Cursor<Vec<u8>>> {
    Xlsx::new(Cursor::new(bytes)).expect("a workbook")
}

/// The parts of a workbook as text, by name. A workbook is a zip file; the program itself has no use for its parts.
fn parts(bytes: &[u8]) -> BTreeMap<String, String> {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let path = dir.path().join("book.zip");
    fs::write(&path, bytes).expect("a file");
    let mut parts = BTreeMap::new();
    let mut archive = zip::ZipArchive::new(fs::File::open(&path).expect("a file")).expect("a zip");
    for at in 0..archive.len() {
        let mut part = archive.by_index(at).expect("a part");
        let name = part.name().expect("a name").into_owned();
        let mut content = String::new();
        if part.read_to_string(&mut content).is_ok() {
            parts.insert(name, content);
        }
    }
    parts
}

#[test]
fn every_column_of_every_table_is_there_once_and_in_order() {
    for unit in UNITS {
        let mut book = open(Template::new(unit).workbook().expect("a workbook"));
        let names: Vec<String> = [GUIDE_SHEET]
            .into_iter()
            .chain(TABLES.iter().map(|schema| schema.name))
            .chain([SETTINGS_SHEET])
            .map(str::to_string)
            .collect();
        assert_eq!(book.sheet_names(), names);
        let dir = tempfile::tempdir().expect("a temporary folder");
        let folder = dir.path().join("fleet");
        Template::new(unit).write_folder(&folder).expect("a folder");
        for schema in TABLES {
            let expected: Vec<String> = schema.columns.iter().map(|c| heading(c, unit)).collect();
            let sheet = book.worksheet_range(schema.name).expect("a sheet");
            let row = |at: usize| -> Vec<Data> { sheet.rows().nth(at).expect("a row").to_vec() };
            let found: Vec<String> = row(0).iter().map(Data::to_string).collect();
            assert_eq!(found, expected, "{}", schema.name);
            // One example, with days as days and lengths in the unit of the heading.
            assert_eq!(sheet.get_size().0, 2, "{}", schema.name);
            for (column, cell) in schema.columns.iter().zip(row(1)) {
                let example = example_row(schema.table);
                let example = example.into_iter().find(|(name, _)| *name == column.name);
                match example.map(|(_, cell)| cell) {
                    None => assert!(cell.is_empty()),
                    Some(Cell::Text(text)) => assert_eq!(cell, Data::String(text)),
                    Some(Cell::Number(number)) => assert_eq!(cell, Data::Float(number)),
                    Some(Cell::Day(day)) => assert_eq!(cell.as_date(), Some(day.date())),
                    Some(Cell::Inches(inches)) => {
                        let over = if unit == LengthUnit::Inches { 1.0 } else { 25.4 };
                        let length = cell.get_float().expect("a number");
                        assert!((length - inches * over).abs() < 0.006, "{length}");
                    }
                }
            }
            let csv = fs::read_to_string(folder.join(format!("{}.csv", schema.name)));
            let csv = csv.expect("a file");
            let (headings, example) = csv.split_once('\n').expect("two lines");
            assert_eq!(headings, expected.join(","));
            assert!(example.starts_with("EXAMPLE ") && example.lines().count() == 1);
        }
    }
}

#[test]
fn what_is_typed_is_guarded_and_explained() {
    let bytes = Template::new(LengthUnit::Inches).workbook().expect("a workbook");
    let parts = parts(&bytes);
    for (at, schema) in TABLES.iter().enumerate() {
        // The first sheet is the page to begin with.
        let sheet = &parts[&format!("xl/worksheets/sheet{}.xml", at + 2)];
        // ECMA-376, part 1, 18.3.1.66: a pane that is frozen below the first row.
        assert!(sheet.contains("ySplit=\"1\"") && sheet.contains("state=\"frozen\""), "{}", schema.name);
        for column in schema.columns {
            if let Kind::Word(words) = column.kind {
                let list = format!("<formula1>\"{}\"</formula1>", words.join(","));
                assert!(sheet.contains(&list), "{}.{}", schema.name, column.name);
            }
        }
        let count = |what: &str| sheet.matches(what).count();
        let of_kind = |kind: fn(&Kind) -> bool| schema.columns.iter().filter(|c| kind(&c.kind)).count();
        assert_eq!(count("<dataValidation "), schema.columns.len() - of_kind(|k| *k == Kind::Text));
        assert_eq!(count("type=\"date\""), of_kind(|k| *k == Kind::Date));
        assert_eq!(count("type=\"list\""), of_kind(|k| matches!(k, Kind::Word(_))));
        assert_eq!(count("type=\"whole\""), of_kind(|k| *k == Kind::Small));
        // A note on every heading.
        let notes = &parts[&format!("xl/comments{}.xml", at + 1)];
        assert_eq!(notes.matches("<comment ").count(), schema.columns.len());
        for column in schema.columns {
            let about = column.about.replace('&', "&amp;");
            assert!(notes.contains(&about), "{}.{}", schema.name, column.name);
        }
    }
    for of in FILL_OR_DELETE {
        let at = of.table as usize;
        assert!(parts[&format!("xl/comments{}.xml", at + 1)].contains("delete the whole column"));
        let sheet = &parts[&format!("xl/worksheets/sheet{}.xml", at + 2)];
        assert!(sheet.contains(&format!("Usually {}.", of.usual)));
    }
    // The same template is the same file.
    assert!(bytes == Template::new(LengthUnit::Inches).workbook().expect("a workbook"));
}

/// Three propellers: a serial and nothing else, one with a full history, one with a finding; lengths as in a shop's sheets.
fn filled() -> Vec<(Table, Row)> {
    let text = |text: &str| Cell::Text(text.to_string());
    let day = |y, m, d| Cell::Day(Day::from_ymd(y, m, d).expect("a day"));
    let serial = |serial: &str| ("propeller", text(serial));
    let station = ("station_pct", Cell::Number(75.0));
    vec![
        (Table::Propellers, vec![serial("0017")]),
        (
            Table::Propellers,
            vec![serial("T-1"), ("model", text("M-A")), ("use", text("rental")), ("in_service_date", day(2014, 3, 1))],
        ),
        (Table::Propellers, vec![serial("T-2"), ("model", text("M-A"))]),
        (
            Table::Models,
            vec![
                ("model", text("M-A")),
                ("diameter", Cell::Inches(76.0)),
                ("blades", Cell::Number(2.0)),
                ("interval_hours", text("none")),
                ("interval_months", Cell::Number(72.0)),
                ("interval_force", text("recommended")),
            ],
        ),
        (
            Table::Limits,
            vec![
                ("model", text("M-A")),
                station.clone(),
                ("thickness_new", Cell::Inches(0.36)),
                ("thickness_min", Cell::Inches(0.31)),
            ],
        ),
        (
            Table::Overhauls,
            vec![
                serial("T-1"),
                ("overhaul_date", day(2022, 6, 15)),
                ("work", text("overhaul")),
                ("outcome", text("released")),
            ],
        ),
        (
            Table::Overhauls,
            vec![
                serial("T-2"),
                ("overhaul_date", day(2023, 2, 1)),
                ("work", text("overhaul")),
                ("outcome", text("released")),
            ],
        ),
        (
            Table::Measurements,
            vec![
                serial("T-1"),
                ("overhaul_date", day(2022, 6, 15)),
                ("blade", Cell::Number(1.0)),
                station.clone(),
                ("thickness_before", Cell::Inches(0.357)),
                ("thickness_after", Cell::Inches(0.35)),
            ],
        ),
        (
            Table::Defects,
            vec![
                serial("T-2"),
                ("found_date", day(2025, 5, 5)),
                ("blade", Cell::Number(1.0)),
                station,
                ("surface", text("leading_edge")),
                ("kind", text("nick")),
                ("depth", Cell::Inches(0.04)),
                ("action", text("none")),
            ],
        ),
    ]
}

fn with_rows(unit: LengthUnit) -> Template {
    Template { unit, rows: filled() }
}

/// Every row was used but the examples, and the lengths are those that were meant.
fn check_read(path: &Path) {
    let loaded = Loaded::read(path, &ReadOptions::default(), |_| true, |_| {}).expect("a fleet");
    let as_of = Day::from_ymd(2026, 1, 1).expect("a day");
    let fleet = Fleet::as_of(&loaded, as_of, &Settings::default());
    assert_eq!(fleet.ledger.total_set_aside(), 0);
    let serials: Vec<&str> = (0..3).map(|p| fleet.propellers.serial(p)).collect();
    assert_eq!((fleet.propellers.len(), serials), (3, vec!["0017", "T-1", "T-2"]));
    for schema in TABLES {
        let rows = filled().iter().filter(|(of, _)| *of == schema.table).count();
        let counts = fleet.ledger.counts(schema.table);
        assert_eq!(counts.map_or(0, |c| c.used) as usize, rows, "{}", schema.name);
    }
    let model = fleet.models.get(fleet.models.find("M-A").expect("a model"));
    let near = |found: Option<f64>, inches: f64| found.is_some_and(|f| (f - inches).abs() < 5e-4);
    assert!(near(model.diameter_in, 76.0));
    assert!(near(fleet.defects.list()[0].depth_in, 0.04));
}

/// The table a command prints, as JSON rows.
fn rows(args: &[&str]) -> Vec<serde_json::Value> {
    let mut args = args.to_vec();
    args.extend(["--as-of", "2026-01-01", "--format", "json"]);
    let output = bladewane(&args);
    assert_eq!(code(&output), 0, "{}", text(&output.stderr));
    serde_json::from_slice(&output.stdout).expect("JSON rows")
}

fn of<'r>(rows: &'r [serde_json::Value], serial: &str) -> &'r serde_json::Value {
    let row = rows.iter().find(|row| row["propeller"] == serial);
    row.expect("the propeller is listed")
}

#[test]
fn a_filled_template_is_read_as_meant_in_both_units_and_both_forms() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    for unit in UNITS {
        let name = unit.words();
        let book = dir.path().join(format!("{name}.xlsx"));
        with_rows(unit).write_workbook(&book).expect("a workbook");
        check_read(&book);
        let folder = dir.path().join(name);
        with_rows(unit).write_folder(&folder).expect("a folder");
        check_read(&folder);
        let answers = [&book, &folder]
            .map(|path| ["rank", "due", "defects", "loss"].map(|command| rows(&[command, &shown(path)])));
        // A name of a file stands in some reasons; nothing else differs between the two.
        let said = |answer: &[Vec<serde_json::Value>; 4]| {
            let text = serde_json::to_string(answer).expect("text");
            assert!(!text.contains("EXAMPLE"));
            text
        };
        if unit == LengthUnit::Inches {
            assert_eq!(said(&answers[0]), said(&answers[1]));
        }
        let [rank, due, defects, loss] = &answers[0];
        assert_eq!(rank.len(), 3);
        // A serial alone: listed, in tier 4 at the most, and never looking safe (the records' first law).
        assert!(of(rank, "0017")["tier"].as_i64().expect("a tier") <= 4);
        // 72 months on from 2022-06-15.
        assert_eq!(of(due, "T-1")["due_date"], "2028-06-15");
        assert_eq!(defects.len(), 1);
        let removed = of(loss, "T-1")["thickness_removed_in"].as_f64().expect("a loss");
        assert!((removed - 0.007).abs() < 5e-4, "{removed}");
    }
}

#[test]
fn an_empty_outcome_is_not_a_missing_column() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let tier = |name: &str, rows_of: Vec<(Table, Row)>, edit: fn(String) -> String| {
        let folder = dir.path().join(name);
        let template = Template { unit: LengthUnit::Inches, rows: rows_of };
        template.write_folder(&folder).expect("a folder");
        let path = folder.join("overhauls.csv");
        let csv = edit(fs::read_to_string(&path).expect("a file"));
        fs::write(&path, csv).expect("a file");
        let rank = rows(&["rank", &shown(&folder)]);
        let row = of(&rank, "T-1");
        (row["tier"].as_i64().expect("a tier"), row["reason"].as_str().expect("a reason").to_string())
    };
    let without = |column: &'static str| {
        let mut rows = filled();
        for (table, row) in &mut rows {
            if *table == Table::Overhauls {
                row.retain(|(name, _)| *name != column);
            }
        }
        rows
    };
    let (as_filled, _) = tier("filled", filled(), |csv| csv);
    assert!(as_filled > 1);
    let (empty, reason) = tier("empty", without("outcome"), |csv| csv);
    assert_eq!(empty, 1);
    assert!(reason.contains("outcome not recorded"), "{reason}");
    // The fourth column deleted, as the template advises.
    let (deleted, _) = tier("deleted", without("outcome"), |csv| {
        let line = |line: &str| {
            let mut cells: Vec<&str> = line.split(',').collect();
            cells.remove(3);
            cells.join(",")
        };
        csv.lines().map(line).collect::<Vec<_>>().join("\n")
    });
    assert_eq!(deleted, as_filled);
}

#[test]
fn an_empty_template_says_what_to_write_and_its_settings_can_be_read() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let place = |name: &str| -> PathBuf { dir.path().join(name) };
    for name in ["fleet", "fleet.xlsx"] {
        let output = bladewane(&["template", &shown(&place(name)), "--units", "mm"]);
        assert_eq!(code(&output), 0, "{}", text(&output.stderr));
        assert!(output.stdout.is_empty());
        let output = bladewane(&["check", &shown(&place(name))]);
        assert_eq!(code(&output), 3);
        let said = text(&output.stderr);
        assert!(said.contains("a serial is enough to start"), "{said}");
    }
    // A serial is enough, and what the empty tables would add is said.
    let path = place("fleet").join("propellers.csv");
    let headings = fs::read_to_string(&path).expect("a file");
    let cells = ",".repeat(headings.matches(',').count());
    fs::write(&path, format!("{headings}0017{cells}\n")).expect("a file");
    let checked = bladewane(&["check", &shown(&place("fleet"))]);
    assert_eq!(code(&checked), 0);
    let said = text(&checked.stdout);
    for wanted in ["Not there:", "no overhauls: time since overhaul is not known", "no prices"] {
        assert!(said.contains(wanted), "{said}");
    }
    let toml = fs::read_to_string(place("fleet").join("fleet.toml")).expect("a file");
    let layer = |text: String| Layer { name: "fleet.toml".to_string(), text };
    assert_eq!(Settings::default().with_layers(&[layer(toml.clone())]), Ok(Settings::default()));
    // Each line is a setting once its # is gone; a text to fill in is filled in.
    let switched_on: String = toml
        .lines()
        .map(|line| {
            let line = match line.strip_prefix('#') {
                Some(rest) if !rest.starts_with(' ') => rest.replace("\"\"", "\"a name\""),
                _ => line.to_string(),
            };
            line + "\n"
        })
        .collect();
    let settings = Settings::default().with_layers(&[layer(switched_on)]).expect("settings");
    assert_eq!(settings.fleet.name.as_deref(), Some("a name"));
    assert_eq!(settings.due, Settings::default().due);
    assert_eq!(settings.budget, Settings::default().budget);
    // The page says of every column what goes into it.
    let readme = fs::read_to_string(place("fleet").join("README.txt")).expect("a file");
    for schema in TABLES {
        for column in schema.columns {
            let name = heading(column, LengthUnit::Millimetres);
            let told = readme.lines().any(|line| line.split("  ").next() == Some(name.as_str()));
            assert!(told, "{}.{name}", schema.name);
        }
    }
    assert!(readme.lines().all(|line| line.chars().count() <= 100 || line.contains(',')));
}

#[test]
fn nothing_is_ever_written_over() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let place = |name: &str| -> PathBuf { dir.path().join(name) };
    let template = |name: &str| bladewane(&["template", &shown(&place(name))]);
    fs::create_dir(place("mine")).expect("a folder");
    fs::write(place("mine").join("propellers.csv"), "propeller\n1\n").expect("a file");
    fs::write(place("mine.xlsx"), "mine").expect("a file");
    fs::write(place("named"), "mine").expect("a file");
    for name in ["mine", "mine.xlsx", "named"] {
        let output = template(name);
        assert_eq!(code(&output), 4, "{name}");
        assert!(!text(&output.stderr).is_empty());
    }
    assert_eq!(fs::read(place("mine.xlsx")).expect("a file"), b"mine");
    assert_eq!(fs::read_dir(place("mine")).expect("a folder").count(), 1);
    // An earlier run's results are nobody's template.
    for (name, expected) in [("fleet.csv", 2), ("none/fleet.xlsx", 4), ("none/fleet", 4)] {
        assert_eq!(code(&template(name)), expected, "{name}");
    }
    // An empty folder may take it; and nothing half-written stays behind.
    fs::create_dir(place("empty")).expect("a folder");
    assert_eq!(code(&template("empty")), 0);
    let mut left: Vec<String> = fs::read_dir(dir.path())
        .expect("a folder")
        .map(|e| e.expect("an entry").file_name().to_string_lossy().into_owned())
        .collect();
    left.sort();
    assert_eq!(left, ["empty", "mine", "mine.xlsx", "named"]);
}
