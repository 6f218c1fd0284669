//! One problem of the records as people read it, the same in every output: where, what stands there, what is wrong with it
//! and what to do.

use std::borrow::Cow;
use std::fmt::Write as _;

use super::fleet::Fleet;
use super::ledger::{Caution, SetAside};
use super::rule::Doubt;
use crate::tables::Place;

/// A row set aside or a caution, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem<'f> {
    /// Where it stands; `None` when its table has no file.
    pub place: Option<Place>,
    /// The column as the file names it; empty when it is about the whole row or table.
    pub column: &'f str,
    /// What stands there; empty for nothing.
    pub value: &'f str,
    /// What is wrong, with the settings in force.
    pub rule: Cow<'f, str>,
    /// What to do, with the place where this fleet's settings lie.
    pub remedy: Cow<'f, str>,
    about: About,
}

/// What a problem is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum About {
    Row,
    Heading,
    Table,
}

impl<'f> Problem<'f> {
    /// Of a row set aside.
    pub fn of_row(fleet: &Fleet<'_>, row: &'f SetAside) -> Problem<'f> {
        Problem {
            place: fleet.loaded.place_of(row.table, Some(row.row), &row.column),
            column: &row.column,
            value: &row.value,
            rule: row.rule.text().into(),
            remedy: row.rule.remedy(fleet.loaded.settings_stand_in()).into(),
            about: About::Row,
        }
    }

    /// Of a caution.
    pub fn of_caution(fleet: &Fleet<'_>, caution: &'f Caution) -> Problem<'f> {
        let (rule, remedy) = match &caution.said {
            Some((rule, remedy)) => (Cow::Borrowed(&**rule), Cow::Borrowed(&**remedy)),
            None => in_general(fleet, caution.doubt),
        };
        Problem {
            place: fleet.loaded.place_of(caution.table, caution.row, &caution.column),
            column: &caution.column,
            value: &caution.value,
            rule,
            remedy,
            about: match caution.row {
                Some(_) => About::Row,
                None if caution.column.is_empty() => About::Table,
                None => About::Heading,
            },
        }
    }

    /// Of several cautions of one doubt: where the first stands, and what holds of all of them.
    pub fn of_alike(fleet: &Fleet<'_>, cautions: &[&'f Caution]) -> Option<Problem<'f>> {
        let (first, others) = cautions.split_first()?;
        let mut problem = Problem::of_caution(fleet, first);
        // What is said of one cell in particular stands for all only where all say it.
        if others.iter().any(|other| other.said != first.said) {
            (problem.rule, problem.remedy) = in_general(fleet, first.doubt);
        }
        Some(problem)
    }

    /// Where it stands, in short: `hours.csv:17`, `fleet.xlsx!hours!C17`, of a heading with its name.
    pub fn at(&self) -> String {
        let mut at = self.place.as_ref().map_or(String::new(), Place::to_string);
        if self.about == About::Heading {
            let _ = write!(at, " `{}`", self.column);
        }
        at
    }

    /// Where a row stands, in brackets behind a space; nothing when it is about no row.
    pub fn at_in_brackets(&self) -> String {
        match &self.place {
            Some(place) if self.about == About::Row => format!(" ({place})"),
            _ => String::new(),
        }
    }

    /// Where it stands, for a page: `hours.csv, line 17`, `fleet.xlsx!hours!C17`, `hours.csv, weather`.
    pub fn at_in_full(&self) -> String {
        let Some(place) = &self.place else {
            return String::new();
        };
        let file = place.file_and_cell();
        match self.about {
            About::Row if place.cell.is_none() => format!("{file}, line {}", place.line),
            About::Heading => format!("{file}, {}", self.column),
            About::Row | About::Table => file,
        }
    }
}

/// The rule and the remedy of a doubt, whatever cell it is about.
fn in_general(fleet: &Fleet<'_>, doubt: Doubt) -> (Cow<'static, str>, Cow<'static, str>) {
    (doubt.text(&fleet.checks), doubt.remedy(fleet.loaded.settings_stand_in()))
}
