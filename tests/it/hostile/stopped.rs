//! Runs that are stopped: by a kill at any moment, by a signal, by an error stream that takes nothing. The results folder is
//! always one whole set, and nothing is left beside it.
#![cfg(target_os = "linux")]

use std::collections::BTreeSet;
use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::fleet_folder::FleetFolder;
use crate::program::bladewane;

fn program() -> Command {
    Command::new(env!("CARGO_BIN_EXE_bladewane"))
}

fn names(folder: &Path) -> BTreeSet<String> {
    let entries = fs::read_dir(folder).expect("a folder");
    entries.map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned()).collect()
}

/// The demonstration fleet that comes with the program: a run over it takes long enough to be stopped in the middle.
fn demo_fleet() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("datasets/demo-fleet")
}

/// Checks that the folder is one run's, whole; gives its as-of date.
fn whole_set(results: &Path) -> String {
    let record = fs::read(results.join("run.json")).expect("a record of the run");
    let record: serde_json::Value = serde_json::from_slice(&record).expect("a whole record");
    let listed: BTreeSet<String> =
        record["files"].as_array().expect("a list").iter().map(|name| name.as_str().expect("a name").into()).collect();
    assert_eq!(names(results), listed);
    let as_of = record["as_of"].as_str().expect("a date").to_string();
    let page = fs::read_to_string(results.join("report.html")).expect("a page");
    assert!(
        page.contains(&as_of) && page.trim_end().ends_with("</html>"),
        "the page is of another run than its record: {as_of}"
    );
    as_of
}

fn stop(child: &Child, signal: &str) {
    let status = Command::new("kill").args([signal, &child.id().to_string()]).status().expect("kill runs");
    assert!(status.success());
}

/// `BLADEWANE_KILLS` sets how many runs are killed; the moments come from a fixed seed, as far as a machine lets them.
#[test]
fn a_run_killed_at_any_moment_leaves_one_whole_set_of_results() {
    let kills: u32 = std::env::var("BLADEWANE_KILLS").ok().and_then(|n| n.parse().ok()).unwrap_or(12);
    let fleet = FleetFolder::small().with(
        "overhauls",
        "propeller,overhaul_date,work,outcome
        A1,2015-01-01,overhaul,released",
    );
    let dir = tempfile::tempdir().expect("a temporary folder");
    let results = dir.path().join("results");
    let run = |as_of: &str| {
        let mut command = program();
        command.arg("run").arg(fleet.path()).args(["--as-of", as_of, "--quiet", "--out"]).arg(&results);
        command.stdout(Stdio::null());
        command
    };
    let start = Instant::now();
    assert!(run("2020-01-01").status().expect("it runs").success());
    let whole = start.elapsed().as_micros() as u64;
    let mut random = ChaCha8Rng::seed_from_u64(15);
    let mut replaced = 0;
    for kill in 0..kills {
        let before = whole_set(&results);
        let mut child = run(["2021-01-01", "2022-01-01"][kill as usize % 2]).spawn().expect("it starts");
        // More often near the end, where the results take their place.
        let share = random.random_range(0.0..1.0f64).powf(0.3);
        sleep(Duration::from_micros((whole as f64 * share * 1.1) as u64));
        let _ = child.kill();
        child.wait().expect("it ends");
        replaced += u32::from(whole_set(&results) != before);
    }
    eprintln!("{kills} runs killed, {replaced} after their results were in place");
    assert!(run("2023-01-01").status().expect("it runs").success());
    assert_eq!(whole_set(&results), "2023-01-01");
    assert_eq!(names(dir.path()), BTreeSet::from(["results".to_string()]), "the next run removes what is left");
}

#[test]
fn a_signal_ends_a_run_with_130_or_143_and_nothing_is_left_behind() {
    for (signal, code) in [("-INT", 130), ("-TERM", 143)] {
        let dir = tempfile::tempdir().expect("a temporary folder");
        let results = dir.path().join("results");
        let mut child = program()
            .arg("run")
            .arg(demo_fleet())
            .args(["--as-of", "2026-06-30", "--out"])
            .arg(&results)
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .expect("it starts");
        let start = Instant::now();
        while names(dir.path()).is_empty() && start.elapsed() < Duration::from_secs(60) {
            sleep(Duration::from_millis(1));
        }
        // In the middle of its work, mostly.
        sleep(Duration::from_millis(200));
        stop(&child, signal);
        let status = child.wait().expect("it ends");
        assert_eq!(status.code(), Some(code));
        assert_eq!(names(dir.path()), BTreeSet::new());
    }
}

#[test]
fn a_signal_leaves_nothing_of_demo_and_of_a_page() {
    for words in [&["demo", "--propellers", "3000"][..], &["report"]] {
        let dir = tempfile::tempdir().expect("a temporary folder");
        let mut command = program();
        command.args(words);
        match words[0] {
            "demo" => command.arg(dir.path().join("fleet")),
            _ => command.arg(demo_fleet()).arg(dir.path().join("page.html")).args(["--as-of", "2026-06-30"]),
        };
        let mut child = command.stderr(Stdio::null()).spawn().expect("it starts");
        let start = Instant::now();
        while names(dir.path()).is_empty() && start.elapsed() < Duration::from_secs(120) {
            sleep(Duration::from_millis(1));
        }
        stop(&child, "-TERM");
        assert_eq!(child.wait().expect("it ends").code(), Some(143), "{words:?}");
        assert_eq!(names(dir.path()), BTreeSet::new(), "{words:?}");
    }
}

#[test]
fn leftovers_of_demo_and_template_are_removed_at_their_next_run() {
    let mut child = Command::new("true").spawn().expect("it starts");
    child.wait().expect("it ends");
    let gone = child.id();
    let dir = tempfile::tempdir().expect("a temporary folder");
    for name in ["fleet", "empty"] {
        let left = dir.path().join(format!(".{name}.part-{gone}-1"));
        fs::create_dir(&left).expect("made");
        fs::write(left.join("hours.csv"), "half").expect("written");
    }
    let at = |name: &str| dir.path().join(name).display().to_string();
    assert!(bladewane(&["demo", &at("fleet"), "--propellers", "40"]).status.success());
    assert!(bladewane(&["template", &at("empty")]).status.success());
    assert_eq!(names(dir.path()), BTreeSet::from(["fleet".to_string(), "empty".to_string()]));
}

#[test]
fn an_error_stream_that_is_full_or_closed_takes_nothing_from_the_exit_code() {
    let fleet = FleetFolder::small();
    let dir = tempfile::tempdir().expect("a temporary folder");
    let there = fleet.path().display().to_string();
    let results = dir.path().join("results").display().to_string();
    let cases: [(&[&str], i32); 5] = [
        (&["run", &there, "--as-of", "2026-01-01", "--out", &results], 0),
        (&["due", &there, "--as-of", "2026-01-01", "--format", "csv"], 0),
        (&["due", "no-such-folder"], 3),
        (&["due", &there, "--no-such-option"], 2),
        (&["report", &there, "no/such/folder/page.html"], 4),
    ];
    for (words, code) in cases {
        let full = File::options().write(true).open("/dev/full").expect("Linux has it");
        let output = program().args(words).stderr(full).output().expect("it runs");
        assert_eq!(output.status.code(), Some(code), "full: {words:?}");
        let mut shell = Command::new("sh");
        shell.args(["-c", "exec 2>&-; exec \"$0\" \"$@\"", env!("CARGO_BIN_EXE_bladewane")]).args(words);
        let output = shell.output().expect("it runs");
        assert_eq!(output.status.code(), Some(code), "closed: {words:?}");
    }
}
