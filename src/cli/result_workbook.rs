//! Result tables as one workbook for a person, with a sheet that says what it is.

use std::io::Write;

use super::failure::Failure;
use super::output::Wanted;
use super::summary::fleet_name;
use crate::results::answers::Answers;
use crate::results::{CAUTION, VERSION, table};
use crate::settings::Settings;
use crate::tables::write::workbook::{About, Book, Holds, TableSheet};

/// Where the sheet `about` stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AboutStands {
    /// Before the tables: a workbook of many.
    First,
    /// After them: a workbook of one.
    Last,
}

/// Sheets of a whole run, in the order in which a person reads them; the other tables follow.
const READ_FIRST: [&str; 10] =
    ["ranking", "open", "due", "duties", "remaining", "findings", "budget", "purchases", "spares", "reserve"];

/// The tables of a run in the order of a workbook's sheets.
pub fn sheets_in_order<'n>(names: &[&'n str]) -> Vec<&'n str> {
    let place = |name: &str| READ_FIRST.iter().position(|first| *first == name).unwrap_or(READ_FIRST.len());
    let mut sorted = names.to_vec();
    // Stable: the others keep their order.
    sorted.sort_by_key(|name| place(name));
    sorted
}

/// Writes tables as one workbook.
pub fn write_workbook<W: Write>(
    answers: &Answers<'_, '_>,
    wanted: &[Wanted<'_>],
    about_stands: AboutStands,
    to: W,
) -> Result<(), Failure> {
    let title = match wanted {
        [only] => format!("{} of {}", only.name, fleet_name(answers)),
        _ => format!("Results of {}", fleet_name(answers)),
    };
    let mut book = Book::new(answers.fleet.as_of.date(), &title);
    let mut sheets = Vec::new();
    for table in wanted {
        let mut sheet = TableSheet::new(table.name, &table.empty()?.schema())?;
        let most = table.output.top.unwrap_or(usize::MAX);
        table.first(answers, most, |batch| Ok(sheet.write(&batch)?))?;
        sheets.push(Holds { sheet: table.name.to_string(), a_row_is: a_row_is(table.name), rows: sheet.rows() });
        book.push(sheet)?;
    }
    let about = About { title, facts: facts(answers, wanted), remarks: remarks(wanted), sheets };
    book.push_about(&about, about_stands == AboutStands::First)?;
    book.finish(to)?;
    Ok(())
}

fn a_row_is(name: &str) -> String {
    table(name).map_or(String::new(), |spec| spec.a_row_is.to_string())
}

fn facts(answers: &Answers<'_, '_>, wanted: &[Wanted<'_>]) -> Vec<(String, String)> {
    let fleet = answers.fleet;
    let all = fleet.propellers.len();
    let mut facts =
        vec![("Fleet".to_string(), fleet_name(answers)), ("Records as of".to_string(), fleet.as_of.to_string())];
    if let Some(first) = wanted.first() {
        let shown = (0..all as u32).filter(|&p| first.shown.shows(p)).count();
        facts.push((
            "Propellers shown".to_string(),
            match first.shown.in_words() {
                Some(filter) => filter,
                None if shown == all => format!("all {all}"),
                None => format!("{shown} of {all}"),
            },
        ));
    }
    // A book of one other table does not need everything worked out for its first page.
    if let Some(first) = wanted.iter().find(|table| table.name == "ranking") {
        let headlines = answers.overview(first.shown).counts.headlines();
        facts.extend(headlines.map(|(name, number)| (name.to_string(), number.to_string())));
    }
    facts.push(("Money in".to_string(), currency(answers.settings)));
    facts.push(("Made by".to_string(), format!("{} {VERSION}", env!("CARGO_PKG_NAME"))));
    facts
}

fn currency(settings: &Settings) -> String {
    let said = settings.fleet.currency.as_deref();
    said.unwrap_or("the fleet's currency, which its settings do not name").to_string()
}

fn remarks(wanted: &[Wanted<'_>]) -> Vec<String> {
    let mut remarks = vec![
        CAUTION.to_string(),
        "An empty cell means not known, never zero.".to_string(),
        "The note on a heading says what the column means, where it comes from and what it is called in the other file formats."
            .to_string(),
    ];
    if let Some(top) = wanted.iter().find_map(|table| table.output.top) {
        remarks.push(format!("Not the whole table: the first {top} rows."));
    }
    remarks
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_comes_first_is_the_first_sheet_and_no_table_is_lost() {
        use crate::results::answers::GIVEN;
        let sheets = sheets_in_order(&GIVEN);
        assert_eq!(sheets[..4], ["ranking", "open", "due", "duties"]);
        let mut sorted = (sheets.clone(), GIVEN.to_vec());
        sorted.0.sort_unstable();
        sorted.1.sort_unstable();
        assert_eq!(sorted.0, sorted.1);
    }
}
