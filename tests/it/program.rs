//! The built program, run as a user runs it.

use std::process::{Command, Output};

/// Runs it with these words, whatever the terminal around the test is like.
pub fn bladewane(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_bladewane"))
        .args(args)
        .env_remove("COLUMNS")
        .env_remove("NO_COLOR")
        .output()
        .expect("the program starts")
}

/// What it said.
pub fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("it speaks UTF-8")
}
