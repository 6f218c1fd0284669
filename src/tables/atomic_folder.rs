//! A folder of results, and single files, that appear only when they are complete.
//!
//! Everything is written beside its final place and renamed at the end, so a run that fails leaves the earlier results as
//! they were. This guards against a run that fails, not against a power cut: nothing is forced to the disk.

mod atomic_file;
mod result_file;

use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use serde::Deserialize;

pub use atomic_file::AtomicFile;
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
    part: PathBuf,
    names: Vec<String>,
    open: Open,
    committed: bool,
}

/// The part of an earlier run's `run.json` that says what belongs to it.
#[derive(Deserialize)]
struct EarlierRun {
    program: String,
    #[serde(default)]
    files: Vec<String>,
}

impl ResultFolder {
    /// Makes a folder `.NAME.part-PID` beside `target`, so that a place that cannot be written is known at the start.
    ///
    /// `target` may be missing, empty, or hold an earlier run's files: a `run.json` that names this program, and nothing but
    /// the files it lists.
    ///
    /// # Errors
    /// [`WriteError::FileForFolder`], [`WriteError::Foreign`], [`WriteError::NotOurRecord`], [`WriteError::NoParent`],
    /// [`WriteError::NoName`], [`WriteError::Place`].
    pub fn begin(target: &Path) -> Result<ResultFolder, WriteError> {
        let target = real_place(target)?;
        check_replaceable(&target)?;
        let part = beside(&target, "part", |path| fs::create_dir(path))?;
        Ok(ResultFolder { target, part, names: Vec::new(), open: Open::default(), committed: false })
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
        let path = self.part.join(name);
        let file = File::create_new(&path)
            .map_err(|error| WriteError::place(&self.target.join(name), "cannot be made", HINT_FREE_PLACE, error))?;
        self.names.push(name.to_string());
        // Failures name the final place: the user never sees the temporary one.
        Ok(ResultFile::new(self.target.join(name), name, file, self.open.clone()))
    }

    /// Puts the results in their place, instead of the earlier ones if there are any. Gives the place.
    ///
    /// The earlier folder is renamed aside, the new one takes its name, then the earlier one is removed; if the new one
    /// cannot take the name, the earlier one gets it back.
    ///
    /// # Errors
    /// [`WriteError::Unfinished`], [`WriteError::Place`], and those of [`ResultFolder::begin`] when the target has changed
    /// since.
    pub fn commit(mut self) -> Result<PathBuf, WriteError> {
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
        if !self.target.exists() {
            fs::rename(&self.part, &self.target).map_err(put)?;
            self.committed = true;
            return Ok(self.target.clone());
        }
        let old = beside(&self.target, "old", |path| {
            // A rename onto an existing empty folder would succeed and one onto a full one fail: neither is wanted.
            match path.symlink_metadata() {
                Ok(_) => Err(io::ErrorKind::AlreadyExists.into()),
                Err(_) => fs::rename(&self.target, path),
            }
        })?;
        if let Err(error) = fs::rename(&self.part, &self.target) {
            // Whether the earlier results could be put back or not, the first failure is the one to report.
            let _ = fs::rename(&old, &self.target);
            return Err(put(error));
        }
        self.committed = true;
        fs::remove_dir_all(&old).map_err(|error| {
            WriteError::place(
                &old,
                "the new results are in place, but the earlier ones, moved here, cannot be removed",
                "remove this folder",
                error,
            )
        })?;
        Ok(self.target.clone())
    }
}

impl Drop for ResultFolder {
    fn drop(&mut self) {
        if !self.committed {
            // The run has failed for a reason already reported; a folder that stays behind is hidden and harmless.
            let _ = fs::remove_dir_all(&self.part);
        }
    }
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

/// Makes something named `.NAME.KIND-PID` beside `target`; a number is added when an earlier program left that name.
fn beside(target: &Path, kind: &str, make: impl Fn(&Path) -> io::Result<()>) -> Result<PathBuf, WriteError> {
    let (Some(parent), Some(name)) = (target.parent(), target.file_name()) else {
        return Err(WriteError::NoName(target.to_path_buf()));
    };
    let name = name.to_string_lossy();
    let mut left_behind = 0;
    loop {
        let mut beside = format!(".{name}.{kind}-{}", std::process::id());
        if left_behind > 0 {
            beside = format!("{beside}-{left_behind}");
        }
        let path = parent.join(beside);
        match make(&path) {
            Ok(()) => return Ok(path),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists && left_behind < 1_000 => {
                left_behind += 1;
            }
            Err(error) => {
                let doing = "cannot be written";
                return Err(WriteError::place(target, doing, HINT_FREE_PLACE, error));
            }
        }
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
