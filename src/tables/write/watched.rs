//! A writer that keeps the first failure of the one below it, since the format libraries turn it into text.

use std::io::{self, Write};
use std::sync::{Arc, Mutex, PoisonError};

use super::WriteError;
use crate::tables::formats::Format;

/// The first failure of a [`Watched`] writer, readable from outside it.
#[derive(Debug, Clone, Default)]
pub(super) struct FirstFailure(Arc<Mutex<Option<io::Error>>>);

impl FirstFailure {
    /// The failure as the error to report: the stream's own if there was one, else the library's.
    pub(super) fn explain(&self, format: Format, error: impl std::error::Error + Send + Sync + 'static) -> WriteError {
        let mut first = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        match first.take() {
            Some(source) => WriteError::Stream(source),
            None => WriteError::encode(format, error),
        }
    }
}

/// Passes bytes on to `below` and keeps its first failure.
#[derive(Debug)]
pub(super) struct Watched<W> {
    below: W,
    first: FirstFailure,
}

impl<W: Write> Watched<W> {
    pub(super) fn new(below: W) -> (Watched<W>, FirstFailure) {
        let first = FirstFailure::default();
        let watched = Watched { below, first: first.clone() };
        (watched, first)
    }

    fn keep<T>(&self, result: io::Result<T>) -> io::Result<T> {
        result.map_err(|error| {
            let kind = error.kind();
            // An interrupted call is tried again by `write_all`; it is no failure.
            if kind == io::ErrorKind::Interrupted {
                return error;
            }
            let text = error.to_string();
            let mut first = self.first.0.lock().unwrap_or_else(PoisonError::into_inner);
            first.get_or_insert(error);
            io::Error::new(kind, text)
        })
    }
}

impl<W: Write> Write for Watched<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let result = self.below.write(bytes);
        self.keep(result)
    }

    fn flush(&mut self) -> io::Result<()> {
        let result = self.below.flush();
        self.keep(result)
    }
}
