use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use tempfile::TempDir;

use super::*;

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let mut names: Vec<String> =
        entries.map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

/// A run that writes `files`, each holding `text`, and a `run.json` that lists them.
fn run(target: &Path, files: &[&str], text: &str) -> Result<PathBuf, WriteError> {
    let mut folder = ResultFolder::begin(target)?;
    for name in files {
        let mut file = folder.file(name)?;
        file.write_all(text.as_bytes()).unwrap();
        file.finish()?;
    }
    let record = serde_json::json!({"program": "bladewane", "files": folder.names()});
    let mut file = folder.file(RUN_RECORD)?;
    file.write_all(record.to_string().as_bytes()).unwrap();
    file.finish()?;
    folder.commit()
}

fn place() -> (TempDir, PathBuf) {
    let dir = tempfile::tempdir().unwrap();
    let target = dir.path().join("results");
    (dir, target)
}

/// The message with the temporary folder's path taken out.
fn message(dir: &TempDir, error: &WriteError) -> String {
    let root = dir.path().canonicalize().unwrap();
    let text = error.to_string().replace(root.to_str().unwrap(), "DIR");
    text.replace(dir.path().to_str().unwrap(), "DIR")
}

#[test]
fn results_appear_at_the_end_and_only_then() {
    let (dir, target) = place();
    let mut folder = ResultFolder::begin(&target).unwrap();
    let mut file = folder.file("due.csv").unwrap();
    file.write_all(b"x\n").unwrap();
    file.finish().unwrap();
    assert!(!target.exists());
    folder.commit().unwrap();
    assert_eq!(names(&target), ["due.csv"]);
    assert_eq!(fs::read(target.join("due.csv")).unwrap(), b"x\n");
    assert_eq!(names(dir.path()), ["results"]);
}

#[test]
fn a_failed_run_leaves_the_earlier_results_and_nothing_else() {
    let (dir, target) = place();
    run(&target, &["due.csv"], "first").unwrap();
    let mut folder = ResultFolder::begin(&target).unwrap();
    folder.file("due.csv").unwrap().write_all(b"half").unwrap();
    drop(folder);
    assert_eq!(fs::read(target.join("due.csv")).unwrap(), b"first");
    assert_eq!(names(dir.path()), ["results"]);
}

#[test]
fn a_later_run_replaces_the_earlier_one_whole() {
    let (dir, target) = place();
    run(&target, &["due.csv", "loss.parquet"], "first").unwrap();
    run(&target, &["due.csv", "margins.csv"], "second").unwrap();
    assert_eq!(names(&target), ["due.csv", "margins.csv", "run.json"]);
    assert_eq!(fs::read(target.join("due.csv")).unwrap(), b"second");
    assert_eq!(names(dir.path()), ["results"]);
}

#[test]
fn an_empty_folder_may_be_used() {
    let (_dir, target) = place();
    fs::create_dir(&target).unwrap();
    run(&target, &["due.csv"], "first").unwrap();
    assert_eq!(names(&target), ["due.csv", "run.json"]);
}

#[test]
fn a_folder_with_anything_of_someone_else_is_refused() {
    let (dir, target) = place();
    run(&target, &["due.csv"], "first").unwrap();
    fs::write(target.join("notes.txt"), "mine").unwrap();
    insta::assert_snapshot!(message(&dir, &ResultFolder::begin(&target).unwrap_err()), @"
    DIR/results: the folder holds `notes.txt`, which no earlier run has written, so it is left alone
    hint: name a new or empty folder, or move `notes.txt` away
    ");
    fs::remove_file(target.join("notes.txt")).unwrap();
    // A folder is never a run's file, also when it has the name of one.
    fs::remove_file(target.join("due.csv")).unwrap();
    fs::create_dir(target.join("due.csv")).unwrap();
    let error = ResultFolder::begin(&target).unwrap_err();
    assert!(matches!(error, WriteError::Foreign { found, .. } if found == "due.csv"));
    assert_eq!(names(dir.path()), ["results"]);
}

#[test]
fn a_run_record_of_another_program_is_refused() {
    let (dir, target) = place();
    fs::create_dir(&target).unwrap();
    fs::write(target.join("run.json"), r#"{"program": "other", "files": []}"#).unwrap();
    insta::assert_snapshot!(message(&dir, &ResultFolder::begin(&target).unwrap_err()), @"
    DIR/results/run.json: not the record of an earlier run: it names the program `other`
    hint: name a new or empty folder
    ");
    for text in ["", "{", "[]", "{}", "\u{0}"] {
        fs::write(target.join("run.json"), text).unwrap();
        let error = ResultFolder::begin(&target).unwrap_err();
        assert!(matches!(error, WriteError::NotOurRecord { .. }), "{text}");
    }
}

#[test]
fn a_stranger_that_arrives_during_the_run_is_spared() {
    let (dir, target) = place();
    let folder = ResultFolder::begin(&target).unwrap();
    fs::create_dir(&target).unwrap();
    fs::write(target.join("notes.txt"), "mine").unwrap();
    assert!(matches!(folder.commit(), Err(WriteError::Foreign { .. })));
    assert_eq!(names(&target), ["notes.txt"]);
    assert_eq!(names(dir.path()), ["results"]);
}

#[test]
fn places_that_cannot_be_written_are_known_at_the_start() {
    let (dir, target) = place();
    fs::write(&target, "a file").unwrap();
    insta::assert_snapshot!(message(&dir, &ResultFolder::begin(&target).unwrap_err()), @"
    DIR/results: expected a folder for the results, found a file
    hint: name another folder, or move the file away
    ");
    let missing = dir.path().join("no/such/results");
    insta::assert_snapshot!(message(&dir, &ResultFolder::begin(&missing).unwrap_err()), @"
    DIR/no/such: no such folder, so `results` cannot be written there
    hint: create the folder first, or name another place
    ");
    let below_a_file = target.join("results");
    let error = ResultFolder::begin(&below_a_file).unwrap_err();
    assert!(message(&dir, &error).starts_with("DIR/results"), "{error}");
    assert!(matches!(ResultFolder::begin(Path::new("")), Err(WriteError::NoName(_))));
    // A kernel file system in which nobody, root included, can make a folder.
    #[cfg(target_os = "linux")]
    assert!(matches!(ResultFolder::begin(Path::new("/proc/results")), Err(WriteError::Place { .. })));
}

#[test]
fn file_names_are_plain_and_used_once() {
    let (_dir, target) = place();
    let mut folder = ResultFolder::begin(&target).unwrap();
    folder.file("due.csv").unwrap().finish().unwrap();
    for name in ["due.csv", "a/b.csv", "../b.csv", "..", "", "/etc/b.csv", "a/"] {
        let error = folder.file(name).unwrap_err();
        assert!(matches!(error, WriteError::FileName { .. }), "{name}: {error}");
    }
    assert_eq!(folder.names(), ["due.csv"]);
}

#[test]
fn an_unfinished_file_keeps_the_results_back() {
    let (dir, target) = place();
    let mut folder = ResultFolder::begin(&target).unwrap();
    folder.file("due.csv").unwrap().write_all(b"half").unwrap();
    let error = folder.commit().unwrap_err();
    assert!(matches!(error, WriteError::Unfinished(name) if name == "due.csv"));
    assert!(names(dir.path()).is_empty());
}

#[test]
fn what_a_killed_run_left_behind_is_no_obstacle() {
    let (dir, target) = place();
    let left = format!(".results.part-{}", std::process::id());
    fs::create_dir(dir.path().join(&left)).unwrap();
    let old = format!(".results.old-{}", std::process::id());
    fs::create_dir(dir.path().join(&old)).unwrap();
    run(&target, &["due.csv"], "first").unwrap();
    run(&target, &["due.csv"], "second").unwrap();
    assert_eq!(fs::read(target.join("due.csv")).unwrap(), b"second");
    assert_eq!(names(dir.path()), [old, left, "results".to_string()]);
}

#[cfg(unix)]
#[test]
fn a_link_to_a_results_folder_stays_a_link() {
    let (dir, target) = place();
    run(&target, &["due.csv"], "first").unwrap();
    let link = dir.path().join("latest");
    std::os::unix::fs::symlink(&target, &link).unwrap();
    run(&link, &["due.csv"], "second").unwrap();
    assert!(link.symlink_metadata().unwrap().is_symlink());
    assert_eq!(fs::read(target.join("due.csv")).unwrap(), b"second");
}

#[test]
fn a_single_file_appears_at_the_end_or_not_at_all() {
    let (dir, _) = place();
    let target = dir.path().join("due.csv");
    fs::write(&target, "first").unwrap();
    let mut file = AtomicFile::begin(&target).unwrap();
    file.write_all(b"half").unwrap();
    drop(file);
    assert_eq!(fs::read(&target).unwrap(), b"first");
    let mut file = AtomicFile::begin(&target).unwrap();
    file.write_all(b"second").unwrap();
    assert_eq!(fs::read(&target).unwrap(), b"first");
    file.commit().unwrap();
    assert_eq!(fs::read(&target).unwrap(), b"second");
    assert_eq!(names(dir.path()), ["due.csv"]);
}

#[test]
fn a_folder_for_a_file_and_a_missing_folder_are_refused() {
    let (dir, target) = place();
    fs::create_dir(&target).unwrap();
    insta::assert_snapshot!(message(&dir, &AtomicFile::begin(&target).unwrap_err()), @"
    DIR/results: expected a file, found a folder
    hint: name a file in it, such as DIR/results/result.csv
    ");
    let missing = dir.path().join("no/due.csv");
    insta::assert_snapshot!(message(&dir, &AtomicFile::begin(&missing).unwrap_err()), @"
    DIR/no: no such folder, so `due.csv` cannot be written there
    hint: create the folder first, or name another place
    ");
}

#[cfg(unix)]
#[test]
fn a_device_is_written_and_never_replaced() {
    use std::os::unix::fs::FileTypeExt;
    let mut file = AtomicFile::begin(Path::new("/dev/null")).unwrap();
    file.write_all(b"gone").unwrap();
    file.commit().unwrap();
    assert!(fs::metadata("/dev/null").unwrap().file_type().is_char_device());
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_names_the_file() {
    // Linux: every write to this device fails with "no space left".
    let mut file = AtomicFile::begin(Path::new("/dev/full")).unwrap();
    file.write_all(&[0; 10]).unwrap();
    let error = file.commit().unwrap_err();
    assert!(error.to_string().starts_with("/dev/full: cannot be written: No space left"), "{error}");
}

#[cfg(unix)]
#[test]
fn a_replaced_file_keeps_its_permissions_and_a_link_stays_a_link() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let (dir, _) = place();
    let target = dir.path().join("due.csv");
    fs::write(&target, "first").unwrap();
    fs::set_permissions(&target, fs::Permissions::from_mode(0o640)).unwrap();
    let link = dir.path().join("latest.csv");
    symlink(&target, &link).unwrap();
    let mut file = AtomicFile::begin(&link).unwrap();
    file.write_all(b"second").unwrap();
    file.commit().unwrap();
    assert!(link.symlink_metadata().unwrap().is_symlink());
    assert_eq!(fs::read(&target).unwrap(), b"second");
    assert_eq!(fs::metadata(&target).unwrap().permissions().mode() & 0o777, 0o640);
}

/// A file system that cannot exchange two folders in one step.
fn cannot_exchange(_: &Path, _: &Path) -> io::Result<()> {
    Err(io::ErrorKind::Unsupported.into())
}

#[test]
fn where_folders_cannot_be_exchanged_the_later_run_still_replaces_the_earlier_one_whole() {
    let (dir, target) = place();
    run(&target, &["due.csv", "loss.csv"], "first").unwrap();
    let mut folder = ResultFolder::begin(&target).unwrap();
    for name in ["margins.csv", RUN_RECORD] {
        folder.file(name).unwrap().finish().unwrap();
    }
    folder.commit_by(cannot_exchange).unwrap();
    assert_eq!(names(&target), ["margins.csv", "run.json"]);
    assert_eq!(names(dir.path()), ["results"]);
}

/// The number of a process that is gone.
#[cfg(target_os = "linux")]
fn gone() -> u32 {
    let mut child = std::process::Command::new("true").spawn().unwrap();
    child.wait().unwrap();
    child.id()
}

#[cfg(target_os = "linux")]
#[test]
fn what_a_run_stopped_between_its_two_steps_moved_aside_is_put_back() {
    let (dir, target) = place();
    run(&target, &["due.csv"], "first").unwrap();
    let gone = gone();
    fs::rename(&target, dir.path().join(format!(".results.old-{gone}-1"))).unwrap();
    fs::create_dir(dir.path().join(format!(".results.part-{gone}-1"))).unwrap();
    let folder = ResultFolder::begin(&target).unwrap();
    assert!(folder.put_back());
    drop(folder);
    assert_eq!(fs::read(target.join("due.csv")).unwrap(), b"first");
    assert_eq!(names(dir.path()), ["results"]);
    assert!(!ResultFolder::begin(&target).unwrap().put_back());
}

#[cfg(target_os = "linux")]
#[test]
fn leftovers_of_processes_that_are_gone_are_removed_at_the_next_run() {
    let (dir, target) = place();
    run(&target, &["due.csv"], "first").unwrap();
    let gone = gone();
    for kind in ["part", "old"] {
        let left = dir.path().join(format!(".results.{kind}-{gone}-1"));
        fs::create_dir(&left).unwrap();
        fs::write(left.join("due.csv"), "half").unwrap();
    }
    fs::write(dir.path().join(format!(".due.csv.part-{gone}-1")), "half").unwrap();
    run(&target, &["due.csv"], "second").unwrap();
    let mut file = AtomicFile::begin(&dir.path().join("due.csv")).unwrap();
    file.write_all(b"alone").unwrap();
    file.commit().unwrap();
    assert_eq!(names(dir.path()), ["due.csv", "results"]);
}
