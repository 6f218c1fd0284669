//! What is on the page, and in which order.

use std::fmt::Write as _;

use askama::Template;

use super::chart::{Svg, marks};
use super::policy::policy;
use super::scene::Scene;
use super::sections::air::Air;
use super::sections::due::Due;
use super::sections::first::First;
use super::sections::folds::Folds;
use super::sections::left::Left;
use super::sections::metal::Metal;
use super::sections::money::Money;
use super::sections::open::Open;
use super::sections::today::Today;
use super::sections::trust::Trust;
use super::words::count;
use crate::results::CAUTION;
use crate::results::answers::{Answers, Shown};
use crate::results::escaped::{escaped, is_shown_by_number};

const STYLE: &str = concat!(
    include_str!("assets/style.css"),
    include_str!("assets/chart.css"),
    include_str!("assets/outlook.css"),
    include_str!("assets/folds.css")
);
const SCRIPT: &str = include_str!("assets/script.js");

/// Letters of the fleet's name that fit on the edge of a printed sheet.
const NAME_ON_PAPER: usize = 60;

/// Why the page could not be made.
#[derive(Debug, thiserror::Error)]
#[error("the page could not be put together: {0}")]
pub struct ReportError(#[from] askama::Error);

#[derive(Template)]
#[template(path = "page.html", config = "src/report/askama.toml")]
struct Page<'p> {
    name: &'p str,
    as_of: String,
    about: String,
    caution: &'static str,
    version: &'static str,
    policy: String,
    style: String,
    script: &'static str,
    marks: Svg,
    main: String,
}

/// A section a line; the order on the page is that of `main.html`.
#[derive(Template)]
#[template(path = "main.html", config = "src/report/askama.toml")]
struct Main {
    today: Today,
    first: First,
    open: Open,
    metal: Metal,
    trust: Trust,
    due: Due,
    left: Left,
    money: Money,
    air: Air,
    folds: Folds,
}

/// The page about the propellers shown.
///
/// # Errors
/// [`ReportError`]: an error of this program, whatever the records hold.
pub fn page(answers: &Answers<'_, '_>, shown: &Shown, name: &str) -> Result<String, ReportError> {
    let as_of = answers.fleet.as_of.to_string();
    let style = style(&as_of, name);
    let page = Page {
        name,
        about: about(answers, shown),
        caution: CAUTION,
        version: env!("CARGO_PKG_VERSION"),
        policy: policy(&style, SCRIPT),
        style,
        script: SCRIPT,
        marks: marks::shared(),
        main: main(answers, shown)?,
        as_of,
    };
    Ok(escaped(&page.render()?).into_owned())
}

/// The `<main>` part of the page: every section, in its order.
///
/// # Errors
/// As [`page`].
pub fn main(answers: &Answers<'_, '_>, shown: &Shown) -> Result<String, ReportError> {
    let scene = Scene::new(answers, shown);
    let main = Main {
        today: Today::of(&scene),
        first: First::of(&scene),
        open: Open::of(&scene),
        metal: Metal::of(&scene),
        trust: Trust::of(&scene),
        due: Due::of(&scene),
        left: Left::of(&scene),
        money: Money::of(&scene),
        air: Air::of(&scene),
        folds: Folds::of(&scene),
    };
    Ok(main.render()?)
}

/// Which propellers the page is about.
fn about(answers: &Answers<'_, '_>, shown: &Shown) -> String {
    let listed = answers.ranking().len();
    let here = answers.ranking().iter().filter(|r| shown.shows(r.propeller));
    let here = here.count();
    if let Some(filter) = shown.in_words() {
        format!("{filter}; of them {here} in service, at shop or spare")
    } else if here == listed {
        format!("{} in service, at shop or spare", count(listed, "propeller"))
    } else {
        format!("{here} of the fleet's {listed} propellers, as chosen when the page was made")
    }
}

/// The style sheet, with the date and the fleet's name that print puts on every sheet of paper.
fn style(as_of: &str, name: &str) -> String {
    // The date is digits and hyphens, so it cannot end the string it stands in.
    STYLE.replace("AS-OF-DATE", as_of).replace("FLEET-NAME", &css_text(name))
}

/// Any text as the inside of a CSS string (CSS Syntax Level 3, section 4.3.7: a backslash, the code point in hexadecimal and a
/// space stand for any character).
fn css_text(text: &str) -> String {
    let mut css = String::new();
    for c in text.chars().take(NAME_ON_PAPER) {
        if c.is_ascii_alphanumeric() || c == ' ' {
            css.push(c);
        } else if !c.is_control() && !is_shown_by_number(c) {
            // Writing to a String does not fail.
            let _ = write!(css, "\\{:x} ", u32::from(c));
        }
    }
    css
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_name_ends_the_string_it_stands_in() {
        assert_eq!(css_text("Club 7"), "Club 7");
        assert_eq!(css_text("\"}</style>\n"), "\\22 \\7d \\3c \\2f style\\3e ");
        assert_eq!(css_text("é"), "\\e9 ");
        let style = style("2026-06-30", "\"; } body { display: none } @page { x: \"");
        assert!(!style.contains("body { display: none"), "{style}");
        assert!(!style.contains("AS-OF-DATE") && !style.contains("FLEET-NAME"));
    }
}
