//! The same questions asked of another engine, DuckDB, over the Parquet results.
//!
//! Run with `BLADEWANE_READERS_PYTHON=PYTHON cargo test --test it query:: -- --ignored`.

use std::process::Command;

use super::{csv, demo};
use crate::program::bladewane;

/// Joins, windows, nulls, days, sets, subqueries; each column has a name, each query an answer that does not rest on order.
const QUESTIONS: [&str; 24] = [
    "SELECT due.base AS base, count(*) AS n, avg(exposure_index_g_m2) AS x FROM due JOIN exposure USING (propeller) GROUP BY due.base",
    "SELECT use, count(*) AS n, min(due_date) AS first, max(due_date) AS last FROM due GROUP BY use",
    "SELECT propeller, tier FROM ranking WHERE tier <= 3 AND base <> 'Gullhaven'",
    "SELECT d.propeller AS p, f.depth_in AS depth, f.found_date AS found FROM due d LEFT JOIN findings f ON d.propeller = f.propeller",
    "SELECT propeller FROM due WHERE due_date IS NULL OR hours_to_due IS NULL",
    "SELECT count(*) AS a, count(hours_to_due) AS b, count(DISTINCT model) AS c, sum(days_to_due) AS d FROM due",
    "SELECT propeller, rank() OVER (PARTITION BY base ORDER BY tier) AS r FROM ranking",
    "SELECT propeller, sum(findings_total) OVER (PARTITION BY model) AS n FROM defect_rate JOIN due USING (propeller)",
    "SELECT extract(year FROM overhaul_date) AS y, count(*) AS n, avg(thickness_removed_in) AS t FROM loss GROUP BY y",
    "WITH thin AS (SELECT propeller, min(margin_in) AS m FROM margins GROUP BY propeller) SELECT tier, count(*) AS n, avg(m) AS a FROM thin JOIN ranking USING (propeller) GROUP BY tier",
    "SELECT propeller, due_date FROM due WHERE propeller IN (SELECT propeller FROM findings WHERE open)",
    "SELECT propeller FROM due WHERE propeller NOT IN (SELECT propeller FROM findings)",
    "SELECT model, CASE WHEN days_to_due < 0 THEN 'past' WHEN days_to_due < 365 THEN 'soon' ELSE 'later' END AS s, count(*) AS n FROM due GROUP BY model, s",
    "SELECT surface, kind, avg(depth_in) AS d FROM findings GROUP BY surface, kind HAVING count(*) > 3",
    "SELECT DISTINCT model, use FROM due WHERE use IS NOT NULL",
    "SELECT model FROM due UNION ALL SELECT model FROM purchases",
    "SELECT propeller FROM due WHERE due_date < DATE '2027-01-01' AND due_date >= DATE '2026-01-01'",
    "SELECT propeller, coalesce(hours_since_overhaul, -1) AS h, floor(hours_per_year) AS y FROM due",
    "SELECT upper(base) AS b, length(propeller) AS l FROM due WHERE propeller LIKE 'BW-03%' OR model LIKE '%58'",
    "SELECT year, kind, sum(spent) AS s, count(*) AS n FROM spent GROUP BY year, kind",
    "SELECT propeller, margin_in, row_number() OVER (PARTITION BY propeller ORDER BY margin_in, blade, station_pct, dimension) AS k FROM margins WHERE margin_in IS NOT NULL",
    "SELECT a.propeller AS p, b.propeller AS q FROM due a JOIN due b ON a.base = b.base WHERE a.propeller < b.propeller AND a.model = b.model",
    "SELECT \"group\" AS g, propellers, spent / overhauls AS each FROM totals WHERE grouped_by = 'model' AND overhauls > 0",
    "SELECT max(margin_fraction) - min(margin_fraction) AS spread, stddev(margin_fraction) AS sd FROM margins WHERE dimension = 'width'",
];

const SCRIPT: &str = r#"
import csv, duckdb, glob, os, sys
folder, questions, out = sys.argv[1:4]
for path in glob.glob(os.path.join(folder, "*.parquet")):
    duckdb.sql(f"CREATE VIEW \"{os.path.basename(path)[:-8]}\" AS SELECT * FROM read_parquet('{path}')")
for at, sql in enumerate(open(questions).read().splitlines()):
    answer = duckdb.sql(sql)
    with open(os.path.join(out, f"{at}.csv"), "w", newline="") as file:
        rows = csv.writer(file, lineterminator="\n")
        rows.writerow(answer.columns)
        for row in answer.fetchall():
            rows.writerow(["" if v is None else str(v).lower() if isinstance(v, bool) else str(v) for v in row])
"#;

/// Rows of a plain CSV text, in an order of their own.
fn rows(text: &str) -> Vec<Vec<String>> {
    let mut rows: Vec<Vec<String>> = text.lines().map(|line| line.split(',').map(str::to_string).collect()).collect();
    let head = rows.remove(0);
    let key = |row: &Vec<String>| -> Vec<String> {
        row.iter().map(|cell| cell.parse::<f64>().map_or(cell.clone(), |number| format!("{number:.6}"))).collect()
    };
    rows.sort_by_key(key);
    rows.insert(0, head);
    rows
}

fn equal(ours: &str, theirs: &str) -> bool {
    match (ours.parse::<f64>(), theirs.parse::<f64>()) {
        // Sums of the same numbers in another order.
        (Ok(a), Ok(b)) => (a - b).abs() <= 1e-9 * (1.0 + a.abs()),
        _ => ours == theirs,
    }
}

#[test]
#[ignore = "needs a Python with duckdb"]
fn another_engine_answers_alike() {
    let python =
        std::env::var("BLADEWANE_READERS_PYTHON").expect("BLADEWANE_READERS_PYTHON names a Python with the readers");
    let dir = tempfile::tempdir().expect("a folder");
    let results = dir.path().join("results");
    let [fleet, as_of, day] = demo();
    let run = bladewane(&["run", &fleet, &as_of, &day, "--out", &results.display().to_string()]);
    assert!(run.status.success());
    let asked = dir.path().join("questions.sql");
    std::fs::write(&asked, QUESTIONS.join("\n")).expect("written");
    let output = Command::new(python).args(["-c", SCRIPT]).arg(&results).arg(&asked).arg(dir.path()).output();
    let output = output.expect("Python starts");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    for (at, sql) in QUESTIONS.iter().enumerate() {
        let theirs = std::fs::read_to_string(dir.path().join(format!("{at}.csv"))).expect("answered");
        let (ours, theirs) = (rows(&csv(sql)), rows(&theirs));
        assert!(ours.len() > 1, "{sql}: no rows");
        assert_eq!(ours.len(), theirs.len(), "{sql}");
        for (a, b) in ours.iter().zip(&theirs) {
            assert!(a.len() == b.len() && a.iter().zip(b).all(|(a, b)| equal(a, b)), "{sql}\n{a:?}\n{b:?}");
        }
    }
}
