//! One file that appears only when it is complete.

use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

use super::{HINT_FREE_PLACE, Part, hold, part_of, real_place, tidy};
use crate::tables::write::WriteError;

/// A file in the making, buffered. [`AtomicFile::commit`] puts it in its place; dropped before that, it is removed.
///
/// A place that is no plain file (a terminal, a pipe, `/dev/null`) is written directly: it must not be replaced.
#[derive(Debug)]
pub struct AtomicFile {
    target: PathBuf,
    part: Option<Part>,
    to: BufWriter<File>,
}

impl AtomicFile {
    /// Begins the file beside `target`, so that a place that cannot be written is known at the start.
    ///
    /// # Errors
    /// [`WriteError::FolderForFile`], [`WriteError::NoParent`], [`WriteError::NoName`], [`WriteError::Place`].
    pub fn begin(target: &Path) -> Result<AtomicFile, WriteError> {
        let target = real_place(target)?;
        let refused = |error| WriteError::place(&target, "cannot be written", HINT_FREE_PLACE, error);
        let earlier = match fs::metadata(&target) {
            Ok(earlier) => Some(earlier),
            Err(error) if error.kind() == io::ErrorKind::NotFound => None,
            Err(error) => return Err(refused(error)),
        };
        let (part, file) = match &earlier {
            Some(data) if data.is_dir() => {
                return Err(WriteError::FolderForFile { path: target, suggestion: "result.csv" });
            }
            Some(data) if !data.is_file() => {
                let file = File::options().write(true).open(&target);
                (None, file.map_err(refused)?)
            }
            _ => {
                tidy(&target);
                let part = part_of(&target, Part::file)?;
                let file = File::options().write(true).open(part.path()).map_err(refused)?;
                (Some(part), file)
            }
        };
        if let (Some(part), Some(earlier)) = (&part, earlier) {
            // The new file may be read by whoever could read the earlier one; where the system forbids this, it is
            // still the right file.
            let _ = fs::set_permissions(part.path(), earlier.permissions());
        }
        Ok(AtomicFile { target, part, to: BufWriter::with_capacity(1 << 18, file) })
    }

    /// Writes what is buffered and puts the file in its place, instead of an earlier one. Gives the place.
    ///
    /// # Errors
    /// [`WriteError::Place`].
    pub fn commit(mut self) -> Result<PathBuf, WriteError> {
        let refused = |error| WriteError::place(&self.target, "cannot be written", HINT_FREE_PLACE, error);
        self.to.flush().map_err(refused)?;
        if let Some(part) = &self.part {
            let mut parts = hold();
            fs::rename(part.path(), &self.target).map_err(refused)?;
            part.placed(&mut parts);
        }
        Ok(self.target.clone())
    }

    fn named(&self, error: io::Error) -> io::Error {
        io::Error::new(error.kind(), format!("{}: {error}", self.target.display()))
    }
}

impl Write for AtomicFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.to.write(bytes).map_err(|error| self.named(error))
    }

    fn flush(&mut self) -> io::Result<()> {
        self.to.flush().map_err(|error| self.named(error))
    }
}
