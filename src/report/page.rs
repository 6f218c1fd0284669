//! What is on the page, and in which order.

use askama::Template;

use super::policy::policy;
use super::scene::Scene;
use super::sections::today::Today;
use crate::results::CAUTION;
use crate::results::answers::{Answers, Shown};

const STYLE: &str = concat!(
    include_str!("assets/style.css"),
    include_str!("assets/chart.css")
);
const SCRIPT: &str = include_str!("assets/script.js");

/// Why the page could not be made.
#[derive(Debug, thiserror::Error)]
#[error("the page could not be put together: {0}")]
pub struct ReportError(#[from] askama::Error);

#[derive(Template)]
#[template(path = "page.html", config = "src/report/askama.toml")]
struct Page<'p> {
    name: &'p str,
    as_of: String,
    caution: &'static str,
    version: &'static str,
    policy: String,
    style: String,
    script: &'static str,
    main: String,
}

#[derive(Template)]
#[template(path = "main.html", config = "src/report/askama.toml")]
struct Main {
    today: Today,
}

/// The page about the propellers shown.
///
/// # Errors
/// [`ReportError`]: an error of this program, whatever the records hold.
pub fn page(answers: &Answers<'_, '_>, shown: &Shown, name: &str) -> Result<String, ReportError> {
    let as_of = answers.fleet.as_of.to_string();
    let style = style(&as_of);
    let page = Page {
        name,
        caution: CAUTION,
        version: env!("CARGO_PKG_VERSION"),
        policy: policy(&style, SCRIPT),
        style,
        script: SCRIPT,
        main: main(answers, shown)?,
        as_of,
    };
    Ok(page.render()?)
}

/// The `<main>` part of the page: every section, in its order.
///
/// # Errors
/// As [`page`].
pub fn main(answers: &Answers<'_, '_>, shown: &Shown) -> Result<String, ReportError> {
    let scene = Scene::new(answers, shown);
    let main = Main {
        today: Today::of(&scene),
    };
    Ok(main.render()?)
}

/// The style sheet, with the date that print puts on every sheet of paper.
fn style(as_of: &str) -> String {
    // The date is digits and hyphens, so it cannot end the string it stands in.
    STYLE.replace("AS-OF-DATE", as_of)
}
