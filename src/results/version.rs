//! The version of the program, as every output names it.

/// The version, with the commit it was built from in brackets where that is known: `0.1.0 (1a2b3c4d5e)`.
pub const VERSION: &str = env!("BLADEWANE_VERSION");

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_version_is_the_package_s_with_or_without_a_commit() {
        let rest = VERSION.strip_prefix(env!("CARGO_PKG_VERSION")).expect("it begins with it");
        let commit = rest.strip_prefix(" (").and_then(|rest| rest.strip_suffix(')'));
        assert!(rest.is_empty() || commit.is_some_and(|c| c.bytes().all(|b| b.is_ascii_hexdigit())));
    }
}
