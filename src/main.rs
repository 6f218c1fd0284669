//! The program `bladewane`: reads what was typed, does it, and ends with a documented exit code.

use std::process::ExitCode;

use bladewane::cli::args::Args;
use bladewane::cli::commands::dispatch;
use bladewane::cli::env::Env;
use bladewane::cli::exit::{Exit, or_bug};
use bladewane::cli::signals;
use clap::Parser;

fn main() -> ExitCode {
    let args = match Args::try_parse() {
        Ok(args) => args,
        Err(error) => {
            // Help and version are answers, everything else is wrong usage; a reader that has gone needs neither.
            let _ = error.print();
            let exit = if error.use_stderr() { Exit::Usage } else { Exit::Done };
            return exit.into();
        }
    };
    signals::listen();
    or_bug(|| dispatch(args, Env::read())).into()
}
