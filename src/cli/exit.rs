//! How the program ends: its exit codes, each with its meaning.

use std::panic::{self, UnwindSafe};
use std::process::ExitCode;

use super::lines::to_stderr;

/// An exit code.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Exit {
    /// Done.
    Done,
    /// Done, and something is in tiers 1 to 3 (only with `--alert`).
    NeedsAHand,
    /// Wrong usage.
    Usage,
    /// Records missing or unusable, or rows set aside with `--strict`.
    Records,
    /// Could not write.
    CouldNotWrite,
    /// An error in this program.
    Bug,
    /// Stopped by SIGINT (Ctrl-C).
    Interrupted,
    /// Stopped by SIGTERM.
    Terminated,
}

impl Exit {
    /// Every exit code, in rising order.
    pub const ALL: [Exit; 8] = [
        Exit::Done,
        Exit::NeedsAHand,
        Exit::Usage,
        Exit::Records,
        Exit::CouldNotWrite,
        Exit::Bug,
        Exit::Interrupted,
        Exit::Terminated,
    ];

    /// The number.
    pub const fn code(self) -> u8 {
        match self {
            Exit::Done => 0,
            Exit::NeedsAHand => 1,
            Exit::Usage => 2,
            Exit::Records => 3,
            Exit::CouldNotWrite => 4,
            // EX_SOFTWARE of sysexits.h: "an internal software error has been detected" (from memory).
            Exit::Bug => 70,
            // 128 and the number of the signal, as shells say it (common practice, no source).
            Exit::Interrupted => 130,
            Exit::Terminated => 143,
        }
    }

    /// What it means.
    pub const fn meaning(self) -> &'static str {
        match self {
            Exit::Done => "done",
            Exit::NeedsAHand => "done, and something is in tiers 1 to 3 (only with --alert)",
            Exit::Usage => "wrong usage",
            Exit::Records => "records missing or unusable, or rows set aside with --strict",
            Exit::CouldNotWrite => "could not write",
            Exit::Bug => "an error in this program",
            Exit::Interrupted => "stopped by SIGINT, nothing left behind",
            Exit::Terminated => "stopped by SIGTERM, nothing left behind",
        }
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> ExitCode {
        ExitCode::from(exit.code())
    }
}

/// Runs `program`; if it panics, says so on the error stream, whatever the panic's own message was, and ends with
/// [`Exit::Bug`].
pub fn or_bug(program: impl FnOnce() -> Exit + UnwindSafe) -> Exit {
    panic::catch_unwind(program).unwrap_or_else(|_| {
        to_stderr(
            "this is an error in the program, not in your records; earlier results are as they were\n\
             hint: please report it with the lines above and the command\n",
        );
        Exit::Bug
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_codes_are_these() {
        let codes = Exit::ALL.map(Exit::code);
        assert_eq!(codes, [0, 1, 2, 3, 4, 70, 130, 143]);
        assert!(Exit::ALL.iter().all(|exit| !exit.meaning().is_empty()));
    }

    #[test]
    fn a_panic_is_a_bug_and_nothing_else_is() {
        assert_eq!(or_bug(|| Exit::Records), Exit::Records);
        assert_eq!(or_bug(|| panic!("a test of what happens on a panic")), Exit::Bug);
    }
}
