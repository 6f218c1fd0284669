//! The program as a user meets it: exit codes, streams, and nothing half-written.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use crate::program::{bladewane, text};

fn demo_fleet() -> String {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("datasets/demo-fleet").display().to_string()
}

fn code(output: &Output) -> i32 {
    output.status.code().expect("it ended by itself")
}

fn folder_with(files: &[(&str, &str)]) -> (tempfile::TempDir, PathBuf) {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let fleet = dir.path().join("fleet");
    fs::create_dir(&fleet).expect("a folder");
    for (name, content) in files {
        fs::write(fleet.join(name), content).expect("a file");
    }
    (dir, fleet)
}

fn entries(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .expect("a folder")
        .map(|e| e.expect("an entry").file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

#[test]
fn run_gives_everything_and_equal_bytes_twice() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let out = |name: &str| dir.path().join(name);
    for name in ["one", "two"] {
        let output = bladewane(&[
            "run",
            &demo_fleet(),
            "--as-of",
            "2026-06-30",
            "--out",
            &out(name).display().to_string(),
            "--format",
            "csv",
        ]);
        assert_eq!(code(&output), 0, "{}", text(&output.stderr));
        assert!(text(&output.stdout).contains("only a certificated shop or mechanic decides"));
    }
    let names = entries(&out("one"));
    assert_eq!(names, entries(&out("two")));
    for name in [
        "loss.parquet",
        "loss.csv",
        "margins.parquet",
        "remaining.parquet",
        "blades.csv",
        "set_aside.csv",
        "cautions.csv",
        "settings.toml",
        "run.json",
    ] {
        assert!(names.iter().any(|n| n == name), "{name} in {names:?}");
    }
    for name in names.iter().filter(|n| *n != "run.json") {
        let bytes = |run: &str| fs::read(out(run).join(name)).expect("a result");
        assert!(bytes("one") == bytes("two"), "{name} differs between two runs");
    }
    // A second run into the same folder replaces the first; a folder of strangers is left alone.
    let again = bladewane(&["run", &demo_fleet(), "--as-of", "2026-06-30", "--out", &out("one").display().to_string()]);
    assert_eq!(code(&again), 0, "{}", text(&again.stderr));
    assert!(!entries(&out("one")).iter().any(|n| n == "loss.csv"));
    fs::create_dir(out("mine")).expect("a folder");
    fs::write(out("mine").join("letter.txt"), "keep me").expect("a file");
    let refused = bladewane(&["run", &demo_fleet(), "--out", &out("mine").display().to_string()]);
    assert_eq!(code(&refused), 4);
    assert!(text(&refused.stderr).contains("the folder holds `letter.txt`"));
    assert_eq!(entries(&out("mine")), ["letter.txt"]);
}

#[test]
fn the_account_of_every_table_adds_up() {
    let output = bladewane(&["check", &demo_fleet(), "--as-of", "2026-06-30"]);
    assert_eq!(code(&output), 0);
    let said = text(&output.stdout);
    let mut tables = 0;
    for line in said.lines().filter(|l| l.contains("rows read =")) {
        let numbers: Vec<u64> = line.split_whitespace().filter_map(|w| w.parse().ok()).collect();
        assert_eq!(numbers[0], numbers[1] + numbers[2] + numbers[3], "{line}");
        tables += 1;
    }
    assert_eq!(tables, 16);
    assert!(said.contains("measurements.csv:206: thickness_after_in: 3.52: larger than a new blade there"));
    assert!(said.contains("it looks like a slipped decimal point"));
}

#[test]
fn strict_makes_a_row_set_aside_a_failure() {
    let output = bladewane(&["check", &demo_fleet(), "--as-of", "2026-06-30", "--strict"]);
    assert_eq!(code(&output), 3);
    let output = bladewane(&["remaining", &demo_fleet(), "--as-of", "2026-06-30", "--strict", "--top", "1"]);
    assert_eq!(code(&output), 3);
}

#[test]
fn unusable_folders_are_refused_in_one_clear_error() {
    let cases: [(&[(&str, &str)], &str); 5] = [
        (&[], "found no table `propellers`"),
        (&[("propeler.csv", "propeller\nA\n")], "propeler.csv: the name looks like the table `propellers`"),
        (&[("propellers.csv", "")], "propellers.csv: the file is empty, expected a header row"),
        (&[("propellers.csv", "propeller\n")], "propellers.csv: the table has a header and no rows"),
        (&[("propellers.csv", "serial\nA\n")], "propellers.csv: column `propeller` is missing; found `serial`"),
    ];
    for (files, expected) in cases {
        let (_dir, fleet) = folder_with(files);
        let output = bladewane(&["run", &fleet.display().to_string()]);
        assert_eq!(code(&output), 3, "{expected}");
        assert!(text(&output.stderr).contains(expected), "{expected}\n{}", text(&output.stderr));
        assert!(output.stdout.is_empty());
        let beside = entries(fleet.parent().expect("a parent"));
        assert_eq!(beside, ["fleet"], "nothing half-written");
    }
    let missing = bladewane(&["check", "/no/such/fleet"]);
    assert_eq!(code(&missing), 3);
    assert!(text(&missing.stderr).starts_with("/no/such/fleet: no such folder"));
    let (_dir, fleet) = folder_with(&[("propellers.csv", "propeller\nA\n")]);
    fs::create_dir(fleet.join("hours.csv")).expect("a folder");
    let output = bladewane(&["check", &fleet.display().to_string()]);
    assert_eq!(code(&output), 3);
    assert!(text(&output.stderr).contains("hours.csv: expected a file, found a folder"));
    fs::remove_dir(fleet.join("hours.csv")).expect("removed");
    fs::write(fleet.join("hours.csv"), "propeller,reading_date,hours_since_new\n").expect("a file");
    fs::write(fleet.join("hours.parquet"), "PAR1").expect("a file");
    let output = bladewane(&["check", &fleet.display().to_string()]);
    assert_eq!(code(&output), 3);
    assert!(text(&output.stderr).contains("two files for one table `hours`"));
}

#[test]
fn wrong_usage_and_unknown_names_are_told_with_the_nearest() {
    assert_eq!(code(&bladewane(&["fly"])), 2);
    assert_eq!(code(&bladewane(&["loss"])), 2);
    let output = bladewane(&["loss", &demo_fleet(), "--model", "W76-6O"]);
    assert_eq!(code(&output), 2);
    assert!(text(&output.stderr).contains("the nearest there are `W76-60`, "), "{}", text(&output.stderr));
    let output = bladewane(&["loss", &demo_fleet(), "--columns", "propeler"]);
    assert_eq!(code(&output), 2);
    assert!(text(&output.stderr).contains("no column `propeler` here"));
    let (_dir, fleet) =
        folder_with(&[("propellers.csv", "propeller\nA\n"), ("fleet.toml", "[due]\nwarning_dais = 30\n")]);
    let output = bladewane(&["check", &fleet.display().to_string()]);
    assert_eq!(code(&output), 3);
    let said = text(&output.stderr);
    assert!(said.contains("fleet.toml:2"), "{said}");
    assert!(said.contains("warning_days"), "{said}");
}

#[test]
fn a_place_that_cannot_be_written_is_exit_4() {
    let output = bladewane(&["loss", &demo_fleet(), "-o", "/no/such/folder/loss.csv"]);
    assert_eq!(code(&output), 4);
    assert!(text(&output.stderr).contains("/no/such/folder: no such folder"));
    let output = bladewane(&["run", &demo_fleet(), "--out", "/dev/null/results"]);
    assert_eq!(code(&output), 4);
}

#[test]
fn data_go_to_stdout_and_words_to_stderr() {
    let output = bladewane(&["loss", &demo_fleet(), "--as-of", "2026-06-30", "--format", "csv", "--top", "3"]);
    assert_eq!(code(&output), 0);
    let said = text(&output.stdout);
    assert_eq!(said.lines().count(), 4);
    assert!(
        said.starts_with(
            "propeller,overhaul_date,blade,station_pct,visit_no,overhaul_no,station_in,thickness_before_in"
        )
    );
    let words = text(&output.stderr);
    assert!(words.contains("only a certificated shop or mechanic decides"));
    assert!(words.contains("14 rows set aside"));
    let quiet = bladewane(&["loss", &demo_fleet(), "--format", "csv", "--top", "3", "--quiet"]);
    assert!(quiet.stderr.is_empty());
}

#[test]
fn a_fleet_of_serials_alone_has_an_answer() {
    let (_dir, fleet) = folder_with(&[("propellers.csv", "propeller\n007\n42\n")]);
    let output = bladewane(&["run", &fleet.display().to_string(), "--as-of", "2026-06-30"]);
    assert_eq!(code(&output), 0, "{}", text(&output.stderr));
    let output = bladewane(&["remaining", &fleet.display().to_string(), "--format", "csv"]);
    let said = text(&output.stdout);
    assert!(said.contains("\n007,"), "{said}");
    assert!(said.lines().nth(1).is_some_and(|l| l.ends_with("not known")), "{said}");
    let output = bladewane(&["check", &fleet.display().to_string()]);
    let said = text(&output.stdout);
    assert!(said.contains("no limits: measurements give losses, but no margins"), "{said}");
}

/// A misspelt `interval_months` would make every propeller of the model look safer; the fleet's owner can say it is no column.
#[test]
fn a_heading_that_looks_like_one_of_ours_ends_with_3_until_it_is_renamed_or_ignored() {
    let models = "model,diameter_in,interval_month,colour\nM76,76,72,grey\n";
    let (_dir, fleet) = folder_with(&[("propellers.csv", "propeller,model\nA,M76\n"), ("models.csv", models)]);
    let folder = fleet.display().to_string();
    let output = bladewane(&["run", &folder]);
    assert_eq!(code(&output), 3);
    assert_eq!(
        text(&output.stderr),
        "models.csv: the column `interval_month` is not known and looks like `interval_months`\n\
         hint: rename it, or list it under ignore_columns in fleet.toml\n"
    );
    fs::write(fleet.join("fleet.toml"), "ignore_columns = [\"interval_month\"]\n").expect("written");
    let output = bladewane(&["run", &folder]);
    assert_eq!(code(&output), 0, "{}", text(&output.stderr));
    let note = format!("1 column is not known and used for nothing; `bladewane check {folder}` lists them");
    assert!(text(&output.stderr).contains(&note), "{}", text(&output.stderr));
    let listed = text(&bladewane(&["check", &folder]).stdout);
    assert!(listed.contains("1, the column is not known and is ignored: models.csv:1 `colour`"), "{listed}");
    fs::write(fleet.join("fleet.toml"), "ignore_columns = 3\n").expect("written");
    let output = bladewane(&["run", &folder]);
    assert_eq!(code(&output), 3);
    assert!(text(&output.stderr).contains("ignore_columns: expected a list of names, found `3`"));
}

#[test]
fn check_quotes_each_cell_that_it_could_not_read() {
    let rows = "propeller,status\nA,in shop\nB,in shop\nC,gone\n";
    let (_dir, fleet) = folder_with(&[("propellers.csv", rows)]);
    let output = bladewane(&["check", &fleet.display().to_string()]);
    let said = text(&output.stdout).split_whitespace().collect::<Vec<_>>().join(" ");
    let allowed = "is none of flying, spare, at shop, scrapped, sold; it counts as flying";
    assert!(said.contains(&format!("2, status: \"in shop\" {allowed}: propellers.csv:2, propellers.csv:3")), "{said}");
    assert!(said.contains(&format!("1, status: \"gone\" {allowed}: propellers.csv:4")), "{said}");
}
