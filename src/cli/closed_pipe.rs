//! A reader that has seen enough: `bladewane rank FLEET | head`.

use std::error::Error;
use std::io;

use crate::tables::write::WriteError;

/// Whether a failure, or anything it came from, is only that the reader of the output has gone. The program then ends quietly
/// with exit code 0: it has said what was wanted.
pub fn is_closed_pipe(error: &(dyn Error + 'static)) -> bool {
    let mut next = Some(error);
    while let Some(error) = next {
        let io_error = error.downcast_ref::<io::Error>();
        if io_error.is_some_and(|error| error.kind() == io::ErrorKind::BrokenPipe) {
            return true;
        }
        let write_error = error.downcast_ref::<WriteError>();
        if write_error.is_some_and(WriteError::is_closed_pipe) {
            return true;
        }
        next = error.source();
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;
    use anyhow::Context;

    #[test]
    fn a_closed_pipe_is_found_wherever_it_is() {
        let closed = || io::Error::from(io::ErrorKind::BrokenPipe);
        assert!(is_closed_pipe(&closed()));
        assert!(is_closed_pipe(&WriteError::Stream(closed())));
        let wrapped: anyhow::Error =
            Err::<(), _>(WriteError::Stream(closed())).context("printing the table").unwrap_err();
        assert!(is_closed_pipe(wrapped.as_ref()));
        let other = || io::Error::from(io::ErrorKind::StorageFull);
        assert!(!is_closed_pipe(&other()));
        assert!(!is_closed_pipe(&WriteError::Stream(other())));
        assert!(!is_closed_pipe(anyhow::anyhow!("broken pipe").as_ref()));
    }
}
