//! Hands the program the short hash of the commit it is built from, where there is one to be had.
//!
//! Works without git and outside a repository: the version then stands alone.

use std::path::{Path, PathBuf};
use std::process::Command;

fn main() {
    println!("cargo::rerun-if-changed=src/build.rs");
    println!("cargo::rerun-if-env-changed=BLADEWANE_COMMIT");
    let package = std::env::var("CARGO_PKG_VERSION").unwrap_or_default();
    // A package builder without a repository may name the commit itself.
    let named = std::env::var("BLADEWANE_COMMIT").ok().and_then(hash);
    let version = match named.or_else(commit) {
        Some(commit) => format!("{package} ({commit})"),
        None => package,
    };
    println!("cargo::rustc-env=BLADEWANE_VERSION={version}");
}

/// The commit of the repository that holds this very package; one around it is another project's.
fn commit() -> Option<String> {
    let here = PathBuf::from(std::env::var_os("CARGO_MANIFEST_DIR")?);
    if !here.join(".git").exists() {
        return None;
    }
    watch(&here);
    hash(git(&here, &["rev-parse", "--short=10", "HEAD"])?)
}

/// Builds again when another commit is checked out or the branch moves: only files that exist are named, since a missing one
/// would mean a build every time.
fn watch(here: &Path) {
    let branch = git(here, &["symbolic-ref", "-q", "HEAD"]);
    let places = ["HEAD".to_string(), "packed-refs".to_string()];
    for place in places.into_iter().chain(branch) {
        let path = git(here, &["rev-parse", "--git-path", &place]);
        if let Some(path) = path.map(|path| here.join(path))
            && path.exists()
        {
            println!("cargo::rerun-if-changed={}", path.display());
        }
    }
}

fn git(here: &Path, arguments: &[&str]) -> Option<String> {
    let output = Command::new("git").args(arguments).current_dir(here).output().ok()?;
    let text = String::from_utf8(output.stdout).ok()?;
    let text = text.trim();
    (output.status.success() && !text.is_empty()).then(|| text.to_string())
}

/// A text that is a hash and nothing else.
fn hash(text: String) -> Option<String> {
    let text = text.trim();
    let is_one = (4..=40).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_hexdigit());
    is_one.then(|| text.to_string())
}
