//! The guide's commands, run as they stand there, in its order and in one folder.
#![cfg(unix)]

use std::path::Path;
use std::process::{Command, Output};

const GUIDE: &str = include_str!("../../notebooks-free-docs/guide.md");

/// The blocks of one language, in order.
fn blocks(language: &str) -> Vec<String> {
    let open = format!("```{language}");
    let mut found = Vec::new();
    let mut lines = GUIDE.lines();
    while let Some(line) = lines.next() {
        if line == open {
            let block: Vec<&str> = lines.by_ref().take_while(|line| *line != "```").collect();
            found.push(block.join("\n"));
        }
    }
    found
}

fn shell(block: &str, folder: &Path) -> Output {
    let program = Path::new(env!("CARGO_BIN_EXE_bladewane"));
    let beside = program.parent().expect("it lies in a folder");
    let path = std::env::var("PATH").unwrap_or_default();
    Command::new("sh")
        .args(["-euc", block])
        .current_dir(folder)
        .env("PATH", format!("{}:{path}", beside.display()))
        .env_remove("COLUMNS")
        .env_remove("NO_COLOR")
        .output()
        .expect("the shell starts")
}

fn run_all(folder: &Path) -> String {
    let mut printed = String::new();
    let blocks = blocks("sh");
    assert!(blocks.len() >= 8, "the guide has its blocks");
    for line in blocks.iter().flat_map(|block| block.lines()) {
        let output = shell(line, folder);
        let said = String::from_utf8_lossy(&output.stderr);
        let expected = line
            .rsplit_once("# exit code ")
            .map_or(0, |(_, code)| code.trim().parse().expect("the remark names a number"));
        assert_eq!(output.status.code(), Some(expected), "{line}\n{said}");
        printed.push_str(&String::from_utf8_lossy(&output.stdout));
    }
    printed
}

#[test]
fn every_command_of_the_guide_works_as_it_stands() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let printed = run_all(dir.path());
    assert!(printed.contains("BW-0301"), "the demo fleet was explained");
    for made in [
        "my-fleet.xlsx",
        "my-fleet/propellers.csv",
        "shop.toml",
        "club-results/ranking.parquet",
        "club-results/report.html",
        "BW-0301.html",
        "ranking.xlsx",
    ] {
        assert!(dir.path().join(made).is_file(), "{made}");
    }
}

#[test]
fn every_command_of_the_questions_works_on_the_demo_fleet() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let demo = shell("bladewane demo demo-fleet --seed 7", dir.path());
    assert!(demo.status.success());
    let commands: Vec<&str> = include_str!("../../notebooks-free-docs/questions.md")
        .split('`')
        .skip(1)
        .step_by(2)
        .filter(|text| text.starts_with("bladewane "))
        .collect();
    assert!(commands.len() >= 8, "{commands:?}");
    for command in commands {
        let line = command.replace("FLEET", "demo-fleet").replace("PROPELLER", "BW-0301");
        let output = shell(&line, dir.path());
        let said = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(0), "{line}\n{said}");
    }
}

/// Run with `BLADEWANE_READERS_PYTHON=PYTHON cargo test --test it guide:: -- --ignored`.
#[test]
#[ignore = "needs a Python with pandas, polars, pyarrow and duckdb"]
fn other_programs_read_the_results_as_the_guide_says() {
    let python =
        std::env::var("BLADEWANE_READERS_PYTHON").expect("BLADEWANE_READERS_PYTHON names a Python with the readers");
    let dir = tempfile::tempdir().expect("a temporary folder");
    run_all(dir.path());
    let sql = blocks("sql").concat();
    let mut script = blocks("python").concat();
    script.push_str("\nimport duckdb\n");
    script.push_str(&format!("rows = duckdb.sql({sql:?}.rstrip().rstrip(';')).fetchall()\n"));
    // Two propellers, and the same ones whoever reads them; the unit of a margin stands in its field's metadata.
    script.push_str("assert len(rows) == 2, rows\nassert [r[0] for r in rows] == list(ranking.sort_values('rank')['propeller']), rows\nassert margins.height > 0\nassert units['margin_in'][b'unit'] == b'in', units['margin_in']\n");
    let output = Command::new(python).args(["-c", &script]).current_dir(dir.path()).output().expect("Python starts");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
}
