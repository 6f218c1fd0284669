//! The program described: manual, completions, version, and the help of every command.

use std::process::Command;

use bladewane::cli::args::Args;
use clap::CommandFactory;

use crate::program::{bladewane, text};

fn said(args: &[&str]) -> String {
    let output = bladewane(args);
    assert!(output.status.success(), "{args:?}");
    text(&output.stdout)
}

fn commands() -> Vec<String> {
    let program = Args::command();
    let names = program.get_subcommands().map(|c| c.get_name().to_string());
    names.collect()
}

#[test]
fn the_manual_has_every_command_with_its_options_and_examples() {
    let page = said(&["manual"]);
    assert!(page.lines().any(|line| line.starts_with(".TH bladewane 1")));
    assert!(page.contains("This is a planning aid"));
    for name in commands() {
        let heading = format!(".SH \"BLADEWANE {}\"", name.to_uppercase());
        let (_, part) = page.split_once(&heading).expect(&name);
        let part = part.split("\n.SH ").next().unwrap_or(part);
        for wanted in [".SS SYNOPSIS", ".SS DESCRIPTION", "Example"] {
            assert!(part.contains(wanted), "{name}: {wanted}");
        }
        assert!(part.contains(&format!("bladewane {name}")), "{name}");
    }
    assert_eq!(page, said(&["manual"]));
}

#[test]
fn a_folder_gets_a_page_each_and_keeps_its_other_pages() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    std::fs::write(dir.path().join("other.1"), "another program's").expect("a file");
    let folder = dir.path().display().to_string();
    said(&["manual", "-o", &folder]);
    said(&["manual", "-o", &folder]);
    for name in commands() {
        let page = std::fs::read_to_string(dir.path().join(format!("bladewane-{name}.1")));
        let page = page.expect("a page");
        let title = format!(".TH bladewane-{name} 1");
        assert!(page.lines().any(|line| line.starts_with(&title)), "{title}");
    }
    assert!(dir.path().join("bladewane.1").is_file());
    assert!(dir.path().join("other.1").is_file());
    let count = std::fs::read_dir(dir.path()).expect("a folder").count();
    assert_eq!(count, commands().len() + 2);
}

#[test]
fn completions_know_every_command_in_every_shell() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let script = said(&["completions", shell]);
        for name in commands() {
            assert!(script.contains(&name), "{shell}: {name}");
        }
        assert!(script.contains("--as-of") || script.contains("as-of"), "{shell}");
    }
    let output = bladewane(&["completions", "cmd"]);
    assert_eq!(output.status.code(), Some(2));
}

/// The scripts are run by the shells themselves where these are there to be asked.
#[test]
fn bash_takes_the_completions() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let path = dir.path().join("bladewane.bash");
    std::fs::write(&path, said(&["completions", "bash"])).expect("a file");
    let checked = Command::new("bash").arg("-n").arg(&path).output();
    if let Ok(checked) = checked {
        assert!(checked.status.success(), "{checked:?}");
    }
}

#[test]
fn the_version_is_said_with_the_commit_where_there_is_one() {
    let version = said(&["--version"]);
    let expected = format!("bladewane {}\n", bladewane::results::VERSION);
    assert_eq!(version, expected);
    assert!(version.starts_with(&format!("bladewane {}", env!("CARGO_PKG_VERSION"))));
}

#[test]
fn the_help_of_every_command_says_what_it_does_and_gives_an_example() {
    for name in commands() {
        let help = said(&[&name, "--help"]);
        assert!(help.contains("Usage: bladewane"), "{name}");
        assert!(help.contains("\nExample"), "{name} has no example");
        assert!(help.contains(&format!("  bladewane {name}")), "{name}");
        let first = help.lines().next().unwrap_or_default();
        assert!(first.ends_with(['.', ')']) || first.len() > 20, "{name}: {first}");
        assert!(help.lines().all(|line| line.chars().count() <= 110), "{name}");
    }
}
