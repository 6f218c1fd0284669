//! The page as HTML: one file, no script, nothing from outside.

use askama::Template;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};

use super::{Known, ShopSheet};
use crate::results::escaped::escaped;

const STYLE: &str = include_str!("sheet.css");

#[derive(Template)]
#[template(path = "story/sheet/sheet.html", config = "src/askama.toml")]
struct Page<'s> {
    sheet: &'s ShopSheet,
    style: &'static str,
    style_hash: String,
}

#[derive(Template)]
#[template(path = "story/sheet/known.html", config = "src/askama.toml")]
struct KnownCells<'s> {
    of: &'s Known,
}

impl Page<'_> {
    fn cells<'k>(&self, of: &'k Known) -> KnownCells<'k> {
        KnownCells { of }
    }
}

/// The page; every value is escaped, and a policy in it forbids everything but its own style.
///
/// # Errors
/// What the template engine says, which it never does for text.
pub fn html(sheet: &ShopSheet) -> Result<String, askama::Error> {
    let hash = STANDARD.encode(Sha256::digest(STYLE.as_bytes()));
    let page = Page { sheet, style: STYLE, style_hash: format!("sha256-{hash}") }.render()?;
    Ok(escaped(&page).into_owned())
}
