//! One file of a results folder.

use std::collections::BTreeSet;
use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};

use super::HINT_FREE_PLACE;
use crate::tables::write::WriteError;

/// The files of a results folder that are not finished yet.
#[derive(Debug, Clone, Default)]
pub(super) struct Open(Arc<Mutex<BTreeSet<String>>>);

impl Open {
    pub(super) fn first(&self) -> Option<String> {
        let names = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        names.first().cloned()
    }
}

/// One file of a results folder, buffered. Its failures name the place where the file would have come to lie.
#[derive(Debug)]
pub struct ResultFile {
    place: PathBuf,
    name: String,
    to: BufWriter<File>,
    open: Open,
}

impl ResultFile {
    pub(super) fn new(place: PathBuf, name: &str, file: File, open: Open) -> ResultFile {
        let mut names = open.0.lock().unwrap_or_else(PoisonError::into_inner);
        names.insert(name.to_string());
        drop(names);
        ResultFile { place, name: name.to_string(), to: BufWriter::with_capacity(1 << 18, file), open }
    }

    /// Writes what is buffered and closes the file.
    ///
    /// # Errors
    /// [`WriteError::Place`].
    pub fn finish(mut self) -> Result<(), WriteError> {
        self.to.flush().map_err(|error| WriteError::place(&self.place, "cannot be written", HINT_FREE_PLACE, error))?;
        let mut names = self.open.0.lock().unwrap_or_else(PoisonError::into_inner);
        names.remove(&self.name);
        Ok(())
    }

    fn named(&self, error: io::Error) -> io::Error {
        io::Error::new(error.kind(), format!("{}: {error}", self.place.display()))
    }
}

impl Write for ResultFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.to.write(bytes).map_err(|error| self.named(error))
    }

    fn flush(&mut self) -> io::Result<()> {
        self.to.flush().map_err(|error| self.named(error))
    }
}
