//! Questions in SQL: answers as another engine gives them, mistakes named, nothing written.

mod duckdb;
mod refused;
mod worked;

use std::path::Path;

use crate::program::{bladewane, text};

/// The demo fleet of the repository, and the day of its records.
pub fn demo() -> [String; 3] {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("datasets/demo-fleet");
    [folder.display().to_string(), "--as-of".to_string(), "2026-06-30".to_string()]
}

/// Exit code, answer and what was said beside it.
pub fn ask(words: &[&str]) -> (i32, String, String) {
    let [fleet, as_of, day] = demo();
    let output = bladewane(&[&["query", &fleet, &as_of, &day][..], words].concat());
    (output.status.code().expect("it ended by itself"), text(&output.stdout), text(&output.stderr))
}

/// The answer as CSV; the query must have one.
pub fn csv(sql: &str) -> String {
    let (code, answer, said) = ask(&[sql, "--format", "csv"]);
    assert_eq!(code, 0, "{sql}\n{said}");
    answer
}

#[test]
fn a_query_gives_the_same_rows_in_the_same_order_each_time() {
    for sql in [
        "SELECT base, count(*) AS n FROM due GROUP BY base",
        "SELECT base, count(*) AS n FROM due GROUP BY base ORDER BY n DESC",
        "SELECT DISTINCT use, model FROM due LIMIT 5",
        "SELECT due.propeller, tier FROM due JOIN ranking USING (propeller)",
        "SELECT * FROM due d JOIN records_bases b ON d.base = b.base",
        "SELECT model FROM due UNION SELECT model FROM blades",
    ] {
        let first = csv(sql);
        assert!(first.lines().count() > 1, "{sql}\n{first}");
        for _ in 0..3 {
            assert_eq!(csv(sql), first, "{sql}");
        }
    }
}

#[test]
fn rows_of_one_table_stay_in_its_order() {
    let ranking = csv("SELECT propeller FROM ranking");
    let [fleet, as_of, day] = demo();
    let shown = bladewane(&["rank", &fleet, &as_of, &day, "--columns", "propeller", "--format", "csv"]);
    assert_eq!(ranking, text(&shown.stdout));
}

#[test]
fn every_form_of_output_holds_the_answer() {
    let sql = "SELECT propeller, due_date, days_to_due, hours_per_year, use = 'rental' AS rental FROM due LIMIT 3";
    assert!(csv(sql).starts_with("propeller,due_date,days_to_due,hours_per_year,rental\nBW-0101,2023-06-15,-1111,"));
    let (_, json, _) = ask(&[sql, "--format", "json"]);
    let rows: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(rows[0]["due_date"], "2023-06-15");
    assert_eq!(rows[0]["days_to_due"], -1111);
    let dir = tempfile::tempdir().expect("a folder");
    for ending in ["csv", "json", "jsonl", "arrow", "parquet", "xlsx"] {
        let path = dir.path().join(format!("a.{ending}")).display().to_string();
        let (code, _, said) = ask(&[sql, "-o", &path]);
        assert_eq!(code, 0, "{said}");
        assert!(std::fs::metadata(&path).expect("written").len() > 50, "{ending}");
    }
    let folder = dir.path().join("out").display().to_string();
    assert_eq!(ask(&[sql, "-o", &folder]).0, 0);
    for name in ["answer.parquet", "run.json", "set_aside.csv", "settings.toml"] {
        assert!(Path::new(&folder).join(name).is_file(), "{name}");
    }
}

#[test]
fn columns_and_top_cut_the_answer() {
    let (_, answer, _) = ask(&["SELECT * FROM due", "--columns", "model,propeller", "--top", "2", "--format", "csv"]);
    assert_eq!(answer.lines().collect::<Vec<_>>(), ["model,propeller", "W76-60,BW-0101", "W74-56,BW-0102"]);
    let (code, _, said) = ask(&["SELECT model FROM due", "--columns", "modl"]);
    assert_eq!((code, said.lines().next()), (2, Some("no column `modl` here")));
}

#[test]
fn the_list_of_tables_has_every_result_and_every_table_of_the_records() {
    let (code, listed, _) = ask(&["--tables", "--format", "csv"]);
    assert_eq!(code, 0);
    for table in bladewane::results::tables() {
        for column in table.columns {
            assert!(listed.contains(&format!("\n{},{},", table.name, column.name)), "{}.{}", table.name, column.name);
        }
    }
    assert!(listed.contains("\nrecords_measurements,width_before_in,number,in,Width as it came in\n"), "{listed}");
    assert!(listed.contains("\nmargins,margin_in,number,in,"));
}

#[test]
fn a_table_of_the_records_has_the_rows_that_were_used() {
    use bladewane::questions::ask::ask;
    use bladewane::records::schema::TABLES;
    use bladewane::results::answers::Answers;
    use bladewane::settings::Settings;

    let settings = Settings::default();
    for loaded in [
        crate::damaged_fleet::folder(&crate::damaged_fleet::tables()).load(),
        crate::fleet_folder::FleetFolder::small().load(),
    ] {
        for date in ["2010-01-01", "2026-01-01"] {
            let fleet = crate::fleet_folder::as_of(&loaded, date);
            let answers = Answers::new(&fleet, &settings);
            for schema in TABLES.iter().filter(|schema| loaded.table(schema.table).is_some()) {
                let made = ask(&answers, &format!("SELECT * FROM records_{}", schema.name)).expect("an answer");
                let used = fleet.ledger.counts(schema.table).expect("a count").used;
                assert_eq!(made.num_rows(), used as usize, "{} on {date}", schema.name);
                assert_eq!(made.num_columns(), schema.columns.len(), "{}", schema.name);
            }
        }
    }
}

#[test]
fn a_condition_chooses_rows_of_any_table() {
    let [fleet, as_of, day] = demo();
    let run = |words: &[&str]| {
        let output = bladewane(&[&words[..1], &[&fleet, &as_of, &day], &words[1..]].concat());
        (output.status.code(), text(&output.stdout), text(&output.stderr))
    };
    let columns = ["--columns", "propeller,tier", "--format", "csv"];
    let (_, all, _) = run(&[&["rank"][..], &columns].concat());
    let (code, some, _) = run(&[&["rank", "--where", "tier <= 3"][..], &columns].concat());
    assert_eq!(code, Some(0));
    let kept: Vec<&str> = all.lines().filter(|l| !matches!(l.rsplit(',').next(), Some("4" | "5" | "6"))).collect();
    assert_eq!(some.lines().collect::<Vec<_>>(), kept);
    // Another order, and a question to another table.
    let (_, scored, _) = run(&[&["rank", "--by", "score", "--where", "tier <= 3"][..], &columns].concat());
    assert_eq!(scored.lines().count(), kept.len());
    let condition = "propeller IN (SELECT propeller FROM ranking WHERE tier <= 3)";
    let (_, due, _) = run(&["due", "--where", condition, "--columns", "propeller", "--format", "csv"]);
    assert_eq!(due.lines().count(), kept.len());
    // Unknown is neither kept nor hidden without a word.
    let (_, soon, said) = run(&["due", "--where", "days_to_due < 100000", "--columns", "propeller", "--format", "csv"]);
    let (_, every, _) = run(&["due", "--columns", "propeller", "--format", "csv"]);
    assert_eq!(soon.lines().count() + 1, every.lines().count());
    assert!(said.contains("1 row of due is not shown because what --where asks is not known of them"), "{said}");
    let (_, nulls, _) = run(&["due", "--where", "due_date IS NULL", "--columns", "propeller", "--format", "csv"]);
    assert_eq!(nulls.lines().count(), 2);
    // In every form, and with the table's own types.
    let dir = tempfile::tempdir().expect("a folder");
    let path = dir.path().join("m.xlsx").display().to_string();
    assert_eq!(run(&["margins", "--where", "margin_in < 0.05", "-o", &path]).0, Some(0));
    let (code, aside, _) = run(&["check", "--where", "file = 'hours.csv'", "--format", "csv"]);
    assert_eq!(code, Some(0));
    assert!(aside.lines().skip(1).all(|line| line.contains("hours.csv")), "{aside}");
}
