//! Whether a file is still the one that was read: its size and its time stamp.

use std::fs::{self, Metadata};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// A file to be read, with its size and time stamp of before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InputPath {
    /// Where it lies.
    pub path: PathBuf,
    before: Option<Stamp>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Stamp {
    bytes: u64,
    modified: Option<SystemTime>,
    /// Which file of the disk it is, where the system tells: a new one may have the size and time of the old.
    number: u64,
}

impl Stamp {
    fn of(path: &Path) -> Option<Stamp> {
        // A pipe has neither size nor time of its own.
        let data = fs::metadata(path).ok().filter(Metadata::is_file)?;
        Some(Stamp { bytes: data.len(), modified: data.modified().ok(), number: number(&data) })
    }
}

#[cfg(unix)]
fn number(data: &Metadata) -> u64 {
    use std::os::unix::fs::MetadataExt as _;
    data.ino()
}

#[cfg(not(unix))]
fn number(_: &Metadata) -> u64 {
    0
}

impl InputPath {
    /// Looks at a file before it is read.
    pub fn seen(path: &Path) -> InputPath {
        InputPath { path: path.to_path_buf(), before: Stamp::of(path) }
    }

    /// Whether it is another now.
    pub fn has_changed(&self) -> bool {
        Stamp::of(&self.path) != self.before
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn another_size_time_or_file_is_a_change() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("hours.csv");
        fs::write(&path, "a").unwrap();
        let seen = InputPath::seen(&path);
        assert!(!seen.has_changed());
        let time = SystemTime::UNIX_EPOCH + std::time::Duration::from_secs(1_000_000_000);
        fs::File::options().write(true).open(&path).unwrap().set_modified(time).unwrap();
        assert!(seen.has_changed());
        let seen = InputPath::seen(&path);
        fs::write(&path, "ab").unwrap();
        fs::File::options().write(true).open(&path).unwrap().set_modified(time).unwrap();
        assert!(seen.has_changed());
        fs::remove_file(&path).unwrap();
        assert!(seen.has_changed());
        assert!(!InputPath::seen(&path).has_changed());
    }
}
