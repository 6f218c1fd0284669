//! Being told to stop: Ctrl-C, or a scheduler that ends its job.

/// From here on SIGINT and SIGTERM end the program with exit code 130 or 143, after everything in the making is removed.
/// Earlier results are as they were.
#[cfg(unix)]
pub fn listen() {
    use signal_hook::consts::{SIGINT, SIGTERM};
    use signal_hook::iterator::Signals;

    use crate::tables::atomic_folder::abandon_all;

    // Where signals cannot be listened to, they end the program as they always did.
    let Ok(mut signals) = Signals::new([SIGINT, SIGTERM]) else {
        return;
    };
    let wait = move || {
        if let Some(signal) = signals.forever().next() {
            abandon_all();
            std::process::exit(128 + signal);
        }
    };
    let _ = std::thread::Builder::new().name("signals".to_string()).spawn(wait);
}

/// Elsewhere the system ends the program, and the next run removes what is left.
#[cfg(not(unix))]
pub fn listen() {}
