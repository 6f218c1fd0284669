//! What is in the making beside its final place, and what programs that were stopped left behind there.
//!
//! Its name, `.NAME.part-PID-START`, says which process makes it: the number and, where the system tells, the start time, so
//! that a number given out again is no disguise. The process holds a lock on it too, which ends with the process, so that a
//! process that cannot be seen from here (in another container) keeps what it makes.

use std::collections::BTreeSet;
use std::ffi::OsString;
use std::fs::{self, File, TryLockError};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Everything that this process has in the making.
static UNFINISHED: Mutex<BTreeSet<PathBuf>> = Mutex::new(BTreeSet::new());

/// What is in the making stays as it is while this is held.
pub fn hold() -> MutexGuard<'static, BTreeSet<PathBuf>> {
    UNFINISHED.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Removes everything in the making, for good: from here on this process begins nothing and puts nothing in its place, and
/// whoever tries waits for the end. For a process that was told to stop.
pub fn abandon_all() {
    let parts = hold();
    parts.iter().for_each(|part| remove(part));
    std::mem::forget(parts);
}

fn remove(path: &Path) {
    let is_folder = path.symlink_metadata().is_ok_and(|data| data.is_dir());
    // What cannot be removed is hidden and harmless, and the next run tries again.
    let _ = if is_folder { fs::remove_dir_all(path) } else { fs::remove_file(path) };
}

/// A file or folder in the making; removed when dropped before it is [`Part::placed`].
#[derive(Debug)]
pub struct Part {
    path: PathBuf,
    _lock: Option<File>,
}

impl Part {
    /// Makes an empty folder `STEM-PID-START` in `parent`.
    ///
    /// # Errors
    /// The system's.
    pub fn folder(parent: &Path, stem: &OsString) -> io::Result<Part> {
        Part::make(parent, stem, |path| fs::create_dir(path))
    }

    /// Makes an empty file `STEM-PID-START` in `parent`.
    ///
    /// # Errors
    /// The system's.
    pub fn file(parent: &Path, stem: &OsString) -> io::Result<Part> {
        Part::make(parent, stem, |path| File::create_new(path).map(drop))
    }

    fn make(parent: &Path, stem: &OsString, make: impl Fn(&Path) -> io::Result<()>) -> io::Result<Part> {
        let mut parts = hold();
        let path = first_free(parent, stem, make)?;
        parts.insert(path.clone());
        Ok(Part { _lock: locked(&path), path })
    }

    /// Where it lies.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Says that it has taken its place, so that nothing is left to remove. `parts` is what [`hold`] gave.
    pub fn placed(&self, parts: &mut BTreeSet<PathBuf>) {
        parts.remove(&self.path);
    }
}

impl Drop for Part {
    fn drop(&mut self) {
        let mut parts = hold();
        if parts.remove(&self.path) {
            remove(&self.path);
        }
    }
}

/// `.NAME.KIND`, the beginning of the name of what is in the making for `target`.
pub fn stem(target: &Path, kind: &str) -> OsString {
    let mut stem = OsString::from(".");
    stem.push(target.file_name().unwrap_or_default());
    stem.push(".");
    stem.push(kind);
    stem
}

/// Makes something named `STEM-PID-START`; a number is added where that name is taken.
pub fn first_free(parent: &Path, stem: &OsString, make: impl Fn(&Path) -> io::Result<()>) -> io::Result<PathBuf> {
    let own = std::process::id();
    let start = start_of(own).unwrap_or(0);
    let mut taken = 0;
    loop {
        let mut name = stem.clone();
        name.push(format!("-{own}-{start}"));
        if taken > 0 {
            name.push(format!("-{taken}"));
        }
        let path = parent.join(name);
        match make(&path) {
            Ok(()) => return Ok(path),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists && taken < 1_000 => taken += 1,
            Err(error) => return Err(error),
        }
    }
}

/// The lock on a file or folder; `None` where the system has no such locks.
pub fn locked(path: &Path) -> Option<File> {
    let file = File::open(path).ok()?;
    file.try_lock().ok()?;
    Some(file)
}

/// What is named after `stem` in `parent` and was made by a process that is gone, in order of its last change.
pub fn left_behind(parent: &Path, stem: &OsString) -> Vec<PathBuf> {
    let Some(stem) = stem.to_str() else {
        return Vec::new();
    };
    let entries = fs::read_dir(parent).into_iter().flatten().flatten();
    let mut found: Vec<_> = entries
        .filter_map(|entry| {
            let name = entry.file_name();
            let (pid, start) = maker(name.to_str()?.strip_prefix(stem)?)?;
            let path = entry.path();
            is_gone(pid, start, &path).then(|| (entry.metadata().and_then(|data| data.modified()).ok(), path))
        })
        .collect();
    found.sort();
    found.into_iter().map(|(_, path)| path).collect()
}

/// Removes what processes that are gone have left behind.
pub fn clear(parent: &Path, stem: &OsString) {
    left_behind(parent, stem).iter().for_each(|path| remove(path));
}

/// Number and start time of the process in `-PID-START` or `-PID-START-N`; earlier versions wrote `-PID` alone.
fn maker(ending: &str) -> Option<(u32, Option<u64>)> {
    let mut parts = ending.strip_prefix('-')?.split('-');
    let pid = parts.next()?.parse().ok()?;
    let start = parts.next().map(str::parse).transpose().ok()?;
    Some((pid, start))
}

/// Whether the process that made something is gone. Where that cannot be told it counts as there.
fn is_gone(pid: u32, start: Option<u64>, path: &Path) -> bool {
    // Where this process cannot see itself, it sees no other.
    if start_of(std::process::id()).is_none() {
        return false;
    }
    let runs = start_of(pid).is_some_and(|since| start.is_none_or(|start| start == since));
    if runs {
        return false;
    }
    match File::open(path).map(|file| file.try_lock()) {
        Ok(Err(TryLockError::WouldBlock)) => false,
        Ok(_) | Err(_) => true,
    }
}

/// When a process started, in the system's own count; `None` when there is no such process, or the system does not tell.
fn start_of(pid: u32) -> Option<u64> {
    let stat = fs::read_to_string(format!("/proc/{pid}/stat")).ok()?;
    // Behind the name in brackets, which may hold anything, the state is the first field and the start the 20th: proc(5).
    let (_, fields) = stat.rsplit_once(')')?;
    fields.split_whitespace().nth(19)?.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_maker_stands_in_the_name() {
        assert_eq!(maker("-17-4000"), Some((17, Some(4000))));
        assert_eq!(maker("-17-4000-2"), Some((17, Some(4000))));
        assert_eq!(maker("-17"), Some((17, None)));
        assert_eq!(maker("-x"), None);
        assert_eq!(maker("-17-x"), None);
        assert_eq!(maker(""), None);
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn only_what_a_process_that_is_gone_has_made_is_removed() {
        let dir = tempfile::tempdir().unwrap();
        let stem = OsString::from(".results.part");
        let mut child = std::process::Command::new("true").spawn().unwrap();
        let gone = child.id();
        child.wait().unwrap();
        let own = std::process::id();
        let start = start_of(own).unwrap();
        let names = [
            format!(".results.part-{gone}-1"),
            format!(".results.part-{gone}"),
            // The number was given out again.
            format!(".results.part-{own}-{}", start + 1),
        ];
        for name in &names {
            fs::create_dir(dir.path().join(name)).unwrap();
            fs::write(dir.path().join(name).join("due.csv"), "half").unwrap();
        }
        let part = Part::folder(dir.path(), &stem).unwrap();
        let elsewhere = dir.path().join(format!(".results.part-{gone}-2"));
        fs::create_dir(&elsewhere).unwrap();
        let lock = locked(&elsewhere).unwrap();
        fs::write(dir.path().join(".results.part-of-mine"), "mine").unwrap();
        fs::create_dir(dir.path().join(".results2.part-1-1")).unwrap();
        assert_eq!(left_behind(dir.path(), &stem).len(), 3);
        clear(dir.path(), &stem);
        let mut left: Vec<_> = fs::read_dir(dir.path()).unwrap().map(|entry| entry.unwrap().path()).collect();
        left.sort();
        let mut kept = vec![
            part.path().to_path_buf(),
            elsewhere.clone(),
            dir.path().join(".results.part-of-mine"),
            dir.path().join(".results2.part-1-1"),
        ];
        kept.sort();
        assert_eq!(left, kept);
        drop(lock);
        clear(dir.path(), &stem);
        assert!(!elsewhere.exists());
        let path = part.path().to_path_buf();
        drop(part);
        assert!(!path.exists());
    }
}
