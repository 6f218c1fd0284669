//! What the page may do: nothing but show itself. The browser is told so by a Content-Security-Policy in the page's head.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};

/// The policy: nothing is fetched, and only the page's own style and script are used, known by their SHA-256 (Content Security
/// Policy Level 3, section 2.3.1: a hash source is the digest of the element's text, in base64).
pub fn policy(style: &str, script: &str) -> String {
    let hash = |text: &str| format!("'sha256-{}'", STANDARD.encode(Sha256::digest(text)));
    format!(
        "default-src 'none'; style-src {}; script-src {}; base-uri 'none'; form-action 'none'",
        hash(style),
        hash(script)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hash_is_that_of_the_published_example() {
        // Content Security Policy Level 3, section 8.4: `alert('Hello, world.');`.
        let made = policy("", "alert('Hello, world.');");
        assert!(made.contains("script-src 'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='"), "{made}");
    }

    #[test]
    fn nothing_from_outside_is_allowed() {
        let made = policy("a{}", "1");
        assert!(made.starts_with("default-src 'none';"), "{made}");
        assert!(!made.contains("unsafe"), "{made}");
        assert!(!made.contains("http"), "{made}");
    }
}
