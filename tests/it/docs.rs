//! The pages made from lists are equal to them. `UPDATE_DOCS=1 cargo test --test it docs::` writes them again.

use std::path::Path;

fn check(page: &str, expected: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks-free-docs").join(page);
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(&path, expected).expect("the page is written");
    }
    let there = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(there == expected, "{page} is not what the list says; run UPDATE_DOCS=1 cargo test --test it docs::");
}

#[test]
fn results_page_is_the_list_of_columns() {
    check("results.md", &bladewane::results::document());
}

#[test]
fn records_page_ends_with_the_list_of_tables() {
    const MARK: &str = "\n# Tables\n";
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks-free-docs/records.md");
    let there = std::fs::read_to_string(path).expect("the page is there");
    let (head, _) = there.split_once(MARK).expect("the page has a part made from the list");
    check("records.md", &format!("{head}{MARK}{}", bladewane::records::document()));
}
