//! The one boundary where a panic is caught: the libraries that decode Parquet and Arrow panic on some damaged files.
//!
//! What can be checked before is checked before (`arrow_file/`, `parquet_file/`); this is what is left.

use std::any::Any;
use std::cell::Cell;
use std::panic::{self, AssertUnwindSafe};
use std::sync::Once;

use super::TableError;

thread_local! {
    static GUARDED: Cell<bool> = const { Cell::new(false) };
}

static HOOK: Once = Once::new();

/// Runs the decoding of a file; a panic in it becomes the error that `refused` makes of its words, and is not printed.
pub(super) fn guarded<T>(
    refused: impl Fn(String) -> TableError,
    decode: impl FnOnce() -> Result<T, TableError>,
) -> Result<T, TableError> {
    HOOK.call_once(|| {
        let before = panic::take_hook();
        panic::set_hook(Box::new(move |info| {
            if !GUARDED.get() {
                before(info);
            }
        }));
    });
    let outer = GUARDED.replace(true);
    let done = panic::catch_unwind(AssertUnwindSafe(decode));
    GUARDED.set(outer);
    done.unwrap_or_else(|panic| Err(refused(words(panic.as_ref()))))
}

fn words(panic: &(dyn Any + Send)) -> String {
    let text = panic.downcast_ref::<&str>().copied().or_else(|| panic.downcast_ref::<String>().map(String::as_str));
    text.unwrap_or("its parts contradict each other").to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(problem: String) -> TableError {
        TableError::Broken { path: "hours.arrow".into(), format: "Arrow IPC", problem }
    }

    #[test]
    fn a_panic_in_a_decoder_is_an_error_that_names_the_file() {
        let at = usize::MAX;
        let done: Result<u8, TableError> = guarded(refused, || Ok([1u8, 2][at.min(7)]));
        let text = done.unwrap_err().to_string();
        assert!(text.starts_with("hours.arrow: damaged, cannot be read as Arrow IPC: index out of bounds"), "{text}");
        assert_eq!(guarded(refused, || Ok(5)).unwrap(), 5);
        assert!(!GUARDED.get());
    }
}
