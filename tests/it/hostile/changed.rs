//! Files that are written to while they are read: refused, and nothing is written.

use std::fs;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::{scope, sleep};
use std::time::Duration;

use bladewane::records::{Loaded, ReadOptions};

use crate::fleet_folder::FleetFolder;
use crate::program::{bladewane, text};

#[test]
fn a_table_that_changes_while_the_others_are_read_is_refused() {
    let folder = FleetFolder::small();
    let propellers = folder.path().join("propellers.csv");
    let change_it = |table: &str| {
        if table == "limits" {
            fs::write(&propellers, "propeller\nA1\nA2\nA3\n").expect("written");
        }
    };
    let error = Loaded::read(folder.path(), &ReadOptions::default(), |_| true, change_it).err().expect("refused");
    let said = error.to_string().replace(&folder.path().display().to_string(), "FLEET");
    assert_eq!(
        said,
        "FLEET/propellers.csv: changed while read\nhint: run again when nobody writes to it, or on a copy"
    );
}

#[test]
fn a_file_that_changed_after_it_was_read_is_known_when_it_is_hashed() {
    let folder = FleetFolder::small();
    let loaded = folder.load();
    assert!(loaded.refuse_changed().is_ok());
    fs::write(folder.path().join("models.csv"), "model\nM76\n").expect("written");
    assert!(loaded.refuse_changed().is_err());
}

#[test]
fn a_run_over_a_fleet_that_is_written_to_all_the_time_ends_with_3_and_writes_nothing() {
    let folder = FleetFolder::small();
    let dir = tempfile::tempdir().expect("a temporary folder");
    let results = dir.path().join("results");
    let done = AtomicBool::new(false);
    let models = folder.path().join("models.csv");
    let whole = fs::read(&models).expect("there");
    let output = scope(|threads| {
        threads.spawn(|| {
            let beside = dir.path().join("models.csv");
            while !done.load(Ordering::Relaxed) {
                // Each time a new file of the same content, as programs save.
                fs::write(&beside, &whole).expect("written");
                fs::rename(&beside, &models).expect("renamed");
                sleep(Duration::from_millis(1));
            }
            let _ = fs::remove_file(&beside);
        });
        let fleet = folder.path().display().to_string();
        let output = bladewane(&["run", &fleet, "--as-of", "2026-01-01", "--out", &results.display().to_string()]);
        done.store(true, Ordering::Relaxed);
        output
    });
    let said = text(&output.stderr);
    assert_eq!(output.status.code(), Some(3), "{said}");
    assert!(said.contains("models.csv: changed while read\n"), "{said}");
    assert_eq!(fs::read_dir(dir.path()).expect("a folder").count(), 0);
}
