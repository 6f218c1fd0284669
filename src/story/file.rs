//! What a propeller's file lacks, which of its rows look wrong, and what its story assumes.

use super::{Section, Teller};
use crate::records::problem::Problem;
use crate::records::schema::{TABLES, Table};

pub(super) fn gaps(teller: &Teller<'_, '_, '_>) -> Section {
    let mut section = Section::new("What its file lacks");
    for gap in teller.answers.gaps() {
        if gap.propeller == teller.propeller {
            section.say(format!(
                "{}: {}. Look in: {}.",
                gap.what,
                gap.missing.why_it_matters(),
                gap.missing.where_to_find_it()
            ));
        }
    }
    section
}

pub(super) fn problems(teller: &Teller<'_, '_, '_>) -> Section {
    let mut section = Section::new("Rows about it that could not be used or look wrong");
    let fleet = teller.fleet();
    let serial = fleet.propellers.serial(teller.propeller);
    for row in &fleet.ledger.set_aside {
        if names(teller, row.table, row.row, serial) {
            let problem = Problem::of_row(fleet, row);
            section.say(format!("Set aside{}: {}; {}.", problem.at_in_brackets(), problem.rule, problem.remedy));
        }
    }
    for caution in &fleet.ledger.cautions {
        if caution.propeller == Some(teller.propeller) {
            let times = match caution.count {
                1 => String::new(),
                count => format!(", {count} rows"),
            };
            let problem = Problem::of_caution(fleet, caution);
            section.say(format!("{}{}{times}: {}.", problem.rule, problem.at_in_brackets(), problem.remedy));
        }
    }
    section
}

/// Whether a row of a table names this propeller.
fn names(teller: &Teller<'_, '_, '_>, table: Table, row: u32, serial: &str) -> bool {
    let named = teller.fleet().loaded.table(table).and_then(|loaded| {
        let (codes, words) = loaded.text("propeller")?;
        Some(words.get(*codes.get(row as usize)?) == serial)
    });
    named == Some(true)
}

pub(super) fn assumptions(teller: &Teller<'_, '_, '_>) -> Section {
    let mut section = Section::new("What this assumes");
    let fleet = teller.fleet();
    section.say(
        "Limits and intervals are those the user copied from the maker's manual and bulletins; prices are the user's.",
    );
    let defaults: Vec<String> = teller
        .answers
        .settings
        .rows()
        .into_iter()
        .filter(|row| row.where_set.to_string() != "default")
        .map(|row| match row.section {
            "" => format!("{} = {}", row.key, row.value),
            section => format!("{section}.{} = {}", row.key, row.value),
        })
        .collect();
    if defaults.is_empty() {
        section.say("Every setting has its default; `bladewane settings` lists them with their sources.");
    } else {
        section.say(format!(
            "Settings of this fleet that are not the default: {}. `bladewane settings` lists all with their sources.",
            defaults.join(", ")
        ));
    }
    let absent: Vec<&str> =
        TABLES.iter().filter(|schema| fleet.loaded.table(schema.table).is_none()).map(|schema| schema.name).collect();
    if !absent.is_empty() {
        section.say(format!("Tables this fleet does not have: {}.", absent.join(", ")));
    }
    section.say("Chances come from this fleet's own overhauls and are averages over propellers like this one; the backtest says how well they would have done.");
    section
}
