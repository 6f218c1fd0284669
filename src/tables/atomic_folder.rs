//! A folder of results, and single files, that appear only when they are complete.
//!
//! Everything is written beside its final place and exchanged for what lies there in one step at the end, so a run that
//! fails, or is stopped at any moment, leaves one whole set of results. This guards against a run that fails, not against a
//! power cut: nothing is forced to the disk.

mod atomic_file;
mod part;
mod result_file;

use std::collections::BTreeSet;
use std::ffi::OsString;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use serde::Deserialize;

pub use atomic_file::AtomicFile;
pub use part::{Part, abandon_all};
pub(crate) use part::{clear, hold, stem};
pub use result_file::ResultFile;

use crate::tables::write::WriteError;
use result_file::Open;

/// The file by which a results folder is known; it names the program and lists the files of the run.
pub const RUN_RECORD: &str = "run.json";

/// The program that `run.json` must name.
pub const PROGRAM: &str = env!("CARGO_PKG_NAME");

const HINT_FREE_PLACE: &str = "name a place you may write to, and that has room";

/// A results folder in the making. [`ResultFolder::commit`] puts it in its place; dropped before that, it is removed.
#[derive(Debug)]
pub struct ResultFolder {
    target: PathBuf,
    part: Part,
    names: Vec<String>,
    open: Open,
    put_back: bool,
}

/// The part of an earlier run's `run.json` that says what belongs to it.
#[derive(Deserialize)]
struct EarlierRun {
    program: String,
    #[serde(default)]
    files: Vec<String>,
}

impl ResultFolder {
    /// Makes a folder `.NAME.part-PID-START` beside `target`, so that a place that cannot be written is known at the start.
    ///
    /// `target` may be missing, empty, or hold an earlier run's files: a `run.json` that names this program, and nothing but
    /// the files it lists.
    ///
    /// # Errors
    /// [`WriteError::FileForFolder`], [`WriteError::Foreign`], [`WriteError::NotOurRecord`], [`WriteError::NoParent`],
    /// [`WriteError::NoName`], [`WriteError::Place`].
    pub fn begin(target: &Path) -> Result<ResultFolder, WriteError> {
        let target = real_place(target)?;
        let put_back = tidy(&target);
        check_replaceable(&target)?;
        let part = part_of(&target, Part::folder)?;
        Ok(ResultFolder { target, part, names: Vec::new(), open: Open::default(), put_back })
    }

    /// Whether the earlier results were found moved aside, by a run that was stopped while it put its own in their place, and
    /// were put back.
    pub fn put_back(&self) -> bool {
        self.put_back
    }

    /// Where the results will lie.
    pub fn target(&self) -> &Path {
        &self.target
    }

    /// The names of the files begun so far, in that order: what `run.json` lists (it need not list itself).
    pub fn names(&self) -> &[String] {
        &self.names
    }

    /// Begins a file of the results. Call [`ResultFile::finish`] when it is written.
    ///
    /// # Errors
    /// [`WriteError::FileName`] when the name is taken or is no plain file name; [`WriteError::Place`].
    pub fn file(&mut self, name: &str) -> Result<ResultFile, WriteError> {
        let refused = |problem| WriteError::FileName { name: name.to_string(), problem };
        if Path::new(name).file_name() != Some(name.as_ref()) {
            return Err(refused("a result file has a plain name, without a folder"));
        }
        if self.names.iter().any(|taken| taken == name) {
            return Err(refused("a result file of this name is already written"));
        }
        let path = self.part.path().join(name);
        // Where the program is about to be stopped, nothing new is begun.
        let parts = hold();
        let file = File::create_new(&path)
            .map_err(|error| WriteError::place(&self.target.join(name), "cannot be made", HINT_FREE_PLACE, error))?;
        drop(parts);
        self.names.push(name.to_string());
        // Failures name the final place: the user never sees the temporary one.
        Ok(ResultFile::new(self.target.join(name), name, file, self.open.clone()))
    }

    /// Puts the results in their place, instead of the earlier ones if there are any. Gives the place.
    ///
    /// The two folders are exchanged in one step, then the earlier one is removed. Where the file system cannot exchange, the
    /// earlier folder is renamed aside and the new one takes its name; a run that is stopped between the two leaves the
    /// earlier one to be put back by [`ResultFolder::begin`].
    ///
    /// # Errors
    /// [`WriteError::Unfinished`], [`WriteError::Place`], and those of [`ResultFolder::begin`] when the target has changed
    /// since.
    pub fn commit(self) -> Result<PathBuf, WriteError> {
        self.commit_by(exchange)
    }

    fn commit_by(self, exchange: impl Fn(&Path, &Path) -> io::Result<()>) -> Result<PathBuf, WriteError> {
        if let Some(name) = self.open.first() {
            return Err(WriteError::Unfinished(name));
        }
        let put = |error| {
            WriteError::place(
                &self.target,
                "the results cannot take their place",
                "look whether another program holds the folder, then run again",
                error,
            )
        };
        check_replaceable(&self.target)?;
        let mut parts = hold();
        let new = self.part.path();
        let earlier = if !self.target.exists() {
            fs::rename(new, &self.target).map_err(put)?;
            None
        } else if exchange(new, &self.target).is_ok() {
            Some(new.to_path_buf())
        } else {
            Some(put_in_two_steps(new, &self.target).map_err(put)?)
        };
        self.part.placed(&mut parts);
        drop(parts);
        if let Some(earlier) = earlier {
            fs::remove_dir_all(&earlier).map_err(|error| {
                WriteError::place(
                    &earlier,
                    "the new results are in place, but the earlier ones, moved here, cannot be removed",
                    "remove this folder",
                    error,
                )
            })?;
        }
        Ok(self.target.clone())
    }
}

/// Exchanges two folders of one parent in one step.
#[cfg(target_os = "linux")]
fn exchange(one: &Path, other: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    Ok(renameat_with(CWD, one, CWD, other, RenameFlags::EXCHANGE)?)
}

/// Other systems have no such call.
#[cfg(not(target_os = "linux"))]
fn exchange(_: &Path, _: &Path) -> io::Result<()> {
    Err(io::ErrorKind::Unsupported.into())
}

/// Renames the target aside and `new` to its name; gives where the earlier one lies. It gets its name back when the new one
/// cannot take it.
fn put_in_two_steps(new: &Path, target: &Path) -> io::Result<PathBuf> {
    // Locked, so that nobody takes it for the leftover of a process that is gone.
    let lock = part::locked(target);
    let parent = target.parent().unwrap_or(Path::new("/"));
    let old = part::first_free(parent, &stem(target, OLD), |path| match path.symlink_metadata() {
        // A rename onto an existing empty folder would succeed and one onto a full one fail: neither is wanted.
        Ok(_) => Err(io::ErrorKind::AlreadyExists.into()),
        Err(_) => fs::rename(target, path),
    })?;
    if let Err(error) = fs::rename(new, target) {
        // Whether the earlier results could be put back or not, the first failure is the one to report.
        let _ = fs::rename(&old, target);
        return Err(error);
    }
    drop(lock);
    Ok(old)
}

/// What lies beside a target in the making, and what was moved aside for it.
const PART: &str = "part";
const OLD: &str = "old";

/// Removes what processes that are gone have left beside `target`. Where the target itself is missing and one of them had moved
/// it aside, it is put back: then this is true.
fn tidy(target: &Path) -> bool {
    let Some(parent) = target.parent() else {
        return false;
    };
    let is_missing = target.symlink_metadata().is_err();
    let moved = if is_missing { part::left_behind(parent, &stem(target, OLD)).pop() } else { None };
    let put_back = moved.is_some_and(|moved| fs::rename(moved, target).is_ok());
    if put_back || !is_missing {
        clear(parent, &stem(target, OLD));
    }
    clear(parent, &stem(target, PART));
    put_back
}

/// Makes what will become `target`, beside it.
fn part_of(target: &Path, make: impl Fn(&Path, &OsString) -> io::Result<Part>) -> Result<Part, WriteError> {
    let (Some(parent), Some(_)) = (target.parent(), target.file_name()) else {
        return Err(WriteError::NoName(target.to_path_buf()));
    };
    make(parent, &stem(target, PART))
        .map_err(|error| WriteError::place(target, "cannot be written", HINT_FREE_PLACE, error))
}

/// The absolute path without symbolic links, so that what is renamed is the folder or file itself.
fn real_place(target: &Path) -> Result<PathBuf, WriteError> {
    if let Ok(real) = target.canonicalize() {
        return Ok(real);
    }
    let Some(name) = target.file_name() else {
        return Err(WriteError::NoName(target.to_path_buf()));
    };
    let parent = match target.parent() {
        Some(parent) if parent != Path::new("") => parent,
        _ => Path::new("."),
    };
    match parent.canonicalize() {
        Ok(parent) if parent.is_dir() => Ok(parent.join(name)),
        Err(error) if error.kind() != io::ErrorKind::NotFound => {
            Err(WriteError::place(parent, "cannot be reached", HINT_FREE_PLACE, error))
        }
        _ => Err(WriteError::NoParent { parent: parent.to_path_buf(), name: name.to_string_lossy().into_owned() }),
    }
}

/// Refuses a target that holds anything but an earlier run's files.
fn check_replaceable(target: &Path) -> Result<(), WriteError> {
    let unreadable =
        |path: &Path, error| WriteError::place(path, "cannot be read", "name another folder for the results", error);
    let entries = match fs::read_dir(target) {
        Ok(entries) => entries,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(()),
        Err(error) if error.kind() == io::ErrorKind::NotADirectory => {
            return Err(WriteError::FileForFolder(target.to_path_buf()));
        }
        Err(error) => return Err(unreadable(target, error)),
    };
    let mut found = Vec::new();
    for entry in entries {
        let entry = entry.map_err(|error| unreadable(target, error))?;
        let is_file = entry.file_type().map_err(|error| unreadable(target, error))?.is_file();
        found.push((entry.file_name().to_string_lossy().into_owned(), is_file));
    }
    if found.is_empty() {
        return Ok(());
    }
    found.sort();
    let ours = match found.iter().any(|(name, is_file)| *is_file && name == RUN_RECORD) {
        true => earlier_files(&target.join(RUN_RECORD))?,
        false => BTreeSet::new(),
    };
    match found.into_iter().find(|(name, is_file)| !is_file || !ours.contains(name)) {
        None => Ok(()),
        Some((found, _)) => Err(WriteError::Foreign { path: target.to_path_buf(), found }),
    }
}

fn earlier_files(record: &Path) -> Result<BTreeSet<String>, WriteError> {
    let not_ours = |problem: String| WriteError::NotOurRecord { path: record.to_path_buf(), problem };
    let text = fs::read(record).map_err(|error| not_ours(error.to_string()))?;
    let run: EarlierRun = serde_json::from_slice(&text).map_err(|error| not_ours(error.to_string()))?;
    if run.program != PROGRAM {
        return Err(not_ours(format!("it names the program `{}`", run.program)));
    }
    let mut files = BTreeSet::from_iter(run.files);
    files.insert(RUN_RECORD.to_string());
    Ok(files)
}

#[cfg(test)]
mod tests;
