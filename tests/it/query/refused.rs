//! What is no question, and what is one with a mistake in it: exit code 2, the engine's text and what to do.

use super::{ask, demo};
use crate::fleet_folder::FleetFolder;
use crate::program::{bladewane, text};

fn refused(sql: &str) -> String {
    let (code, answer, said) = ask(&[sql]);
    assert_eq!((code, answer.as_str()), (2, ""), "{sql}\n{said}");
    assert!(said.contains("\nhint: "), "{said}");
    said
}

#[test]
fn only_select_and_with_are_questions() {
    for (sql, verb) in [
        ("DELETE FROM due", "DELETE"),
        ("DROP TABLE due", "DROP"),
        ("TRUNCATE TABLE due", "TRUNCATE"),
        ("UPDATE due SET base = 'x'", "UPDATE"),
        ("INSERT INTO due VALUES (1)", "INSERT"),
        ("CREATE TABLE x AS SELECT * FROM due", "CREATE"),
        ("COPY due TO 'due.csv'", "COPY"),
        ("ATTACH DATABASE 'x' AS y", "ATTACH"),
        ("EXPLAIN SELECT * FROM due", "EXPLAIN"),
        ("SHOW TABLES", "SHOW"),
        ("WITH a AS (DELETE FROM due RETURNING propeller) SELECT * FROM a", "DELETE"),
    ] {
        let said = refused(sql);
        assert!(said.starts_with(&format!("{verb} is not a question\n")), "{sql}: {said}");
    }
    assert!(refused("SELECT * INTO x FROM due").starts_with("SELECT ... INTO writes a table\n"));
    assert!(refused("SELECT 1; SELECT 2").starts_with("2 statements, expected one\n"));
    assert!(refused(" ; ").starts_with("the query is empty\n"));
}

#[test]
fn files_are_not_read() {
    for sql in [
        "SELECT * FROM read_csv('/etc/hostname')",
        "SELECT * FROM read_parquet('x.parquet')",
        "SELECT * FROM read_ipc('x.arrow')",
        "SELECT * FROM read_json('x.json')",
        "SELECT * FROM due JOIN scan_csv('x.csv') USING (propeller)",
        "SELECT propeller FROM due WHERE propeller IN (SELECT a FROM read_csv('x.csv'))",
        "WITH a AS (SELECT * FROM read_csv('x.csv')) SELECT * FROM a",
        "SELECT * FROM TABLE(read_csv('x.csv'))",
    ] {
        let said = refused(sql);
        assert!(said.contains("files are not read by a query"), "{sql}: {said}");
    }
    let dir = tempfile::tempdir().expect("a folder");
    let file = dir.path().join("due.csv");
    std::fs::write(&file, "a\n1\n").expect("written");
    for quoted in [format!("'{}'", file.display()), format!("\"{}\"", file.display())] {
        let said = refused(&format!("SELECT * FROM {quoted}"));
        assert!(said.starts_with("there is no table `"), "{said}");
    }
    assert_eq!(std::fs::read_dir(dir.path()).expect("there").count(), 1);
}

#[test]
fn an_unknown_name_is_told_with_the_nearest() {
    let said = refused("SELECT propeller FROM dues");
    assert!(said.starts_with("there is no table `dues`\nhint: the nearest there is `due`"), "{said}");
    let said = refused("SELECT * FROM record_overhauls");
    assert!(said.contains("`records_overhauls`"), "{said}");
    let said = refused("SELECT * FROM nothing_like_it_at_all");
    assert!(said.contains("--tables"), "{said}");
    let said = refused("SELECT propeler FROM due");
    assert!(
        said.starts_with("not found: unable to find column \"propeler\"\nhint: the nearest there is `propeller`"),
        "{said}"
    );
    let said = refused("SELECT d.modl FROM due d JOIN ranking r ON d.propeller = r.propeller");
    assert!(said.contains("the nearest there is `model`"), "{said}");
    let said = refused("SELECT propeller FROM due WHERE Base = 'x'");
    assert!(said.contains("`base`"), "{said}");
}

#[test]
fn a_mistake_names_its_place() {
    for (sql, place) in [
        ("SELEC propeller FROM due", "Line: 1, Column: 1"),
        ("SELECT propeller FROM due WHERE", "EOF"),
        ("SELECT propeller,\nmodel FORM due x y", "Line: 2, Column:"),
        ("SELECT (propeller FROM due", "Line: 1, Column: 19"),
        ("SELECT 'propeller FROM due", "Unterminated string literal"),
    ] {
        let said = refused(sql);
        assert!(said.contains(place), "{sql}: {said}");
    }
}

#[test]
fn a_name_of_the_query_hides_no_table() {
    let said = refused("WITH due AS (SELECT * FROM ranking) SELECT * FROM due");
    assert!(said.starts_with("WITH due hides a table of this fleet: give it another name\n"), "{said}");
    // A column of the answer may be called as a table is.
    let (code, answer, _) = ask(&["SELECT count(*) AS due FROM due WHERE base = 'nowhere'", "--format", "csv"]);
    assert_eq!((code, answer.as_str()), (0, "due\n0\n"));
}

#[test]
fn an_ambiguous_name_is_told_with_the_tables_it_may_be_of() {
    let said = refused("SELECT base FROM due JOIN exposure USING (propeller)");
    assert!(said.contains("due.base") && said.contains("exposure.base"), "{said}");
}

#[test]
fn a_column_that_bears_a_word_of_sql_stands_in_quotes() {
    let said = refused("SELECT open group FROM findings");
    assert!(said.contains("found: group at Line: 1"), "{said}");
    assert!(said.contains("stands in double quotes: \"group\""), "{said}");
    let (code, answer, _) =
        ask(&["SELECT DISTINCT \"group\" FROM mean_cumulative ORDER BY \"group\" LIMIT 1", "--format", "csv"]);
    assert_eq!((code, answer.as_str()), (0, "group\nall\n"));
}

#[test]
fn a_table_without_records_says_which_records() {
    let folder = FleetFolder::small();
    let fleet = folder.path().display().to_string();
    let output = bladewane(&["query", &fleet, "SELECT * FROM records_bases"]);
    assert_eq!(output.status.code(), Some(3));
    let said = text(&output.stderr);
    assert!(said.starts_with("table `records_bases` has no rows to ask: no bases: the air is not known"), "{said}");
    // A result without anything to go by is there, and empty or saying so.
    let output =
        bladewane(&["query", &fleet, "SELECT count(*) AS n FROM budget WHERE cost_p50 IS NOT NULL", "--format", "csv"]);
    assert_eq!(text(&output.stdout), "n\n0\n");
}

#[test]
fn what_has_no_place_in_a_table_is_named() {
    let (code, _, said) = ask(&["SELECT base, array_agg(propeller) AS all_of_them FROM due GROUP BY base"]);
    assert_eq!(code, 2);
    assert!(said.starts_with("column `all_of_them` of the answer holds "), "{said}");
}

#[test]
fn a_table_that_memory_does_not_allow_is_refused_before_it_is_made() {
    use bladewane::questions::ask::ask;
    use bladewane::results::answers::Answers;
    use bladewane::settings::Settings;

    let mut settings = Settings::default();
    settings.reading.table_gib = 1e-7;
    let loaded = crate::damaged_fleet::folder(&crate::damaged_fleet::tables()).load();
    let fleet = crate::fleet_folder::as_of(&loaded, "2026-01-01");
    let error = ask(&Answers::new(&fleet, &settings), "SELECT * FROM loss").expect_err("too large").to_string();
    assert!(
        error.starts_with("table `loss` would take about 0.0 GiB here, and 0.0 GiB are allowed\nhint: name only"),
        "{error}"
    );
    // Fewer columns take less.
    settings.reading.table_gib = 1e-6;
    assert!(ask(&Answers::new(&fleet, &settings), "SELECT count(*) AS n FROM loss").is_ok());
}

#[test]
fn a_condition_that_is_none_is_refused() {
    let [fleet, as_of, day] = demo();
    for (condition, told) in [
        ("tier <=", "Expected: an expression"),
        ("tier <= 3; DROP TABLE due", "the condition ends before `;`"),
        ("true) FROM due --", "the condition ends before `)`"),
        ("teir <= 3", "the nearest there is `tier`"),
        ("propeller IN (SELECT propeller FROM dues)", "there is no table `dues`"),
        ("propeller IN (SELECT a FROM read_csv('x.csv'))", "files are not read by a query"),
        ("tier", "Boolean"),
        ("", "Expected: an expression"),
    ] {
        let output = bladewane(&["rank", &fleet, &as_of, &day, "--where", condition]);
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{condition}: {said}");
        assert!(said.contains(told), "{condition}: {said}");
    }
    let (code, _, said) = ask(&["SELECT 1 AS a", "--where", "a = 1"]);
    assert_eq!((code, said.as_str()), (2, "a query has its own WHERE\nhint: write the condition there\n"));
    let output = bladewane(&["check", &fleet, &as_of, &day, "--where", "true"]);
    assert_eq!(output.status.code(), Some(2));
    let output = bladewane(&["remaining", &fleet, &as_of, &day, "--backtest", "--where", "true"]);
    assert_eq!(output.status.code(), Some(2));
}
