//! The page a newcomer reads first: what to fill first, what each further fact adds, and the few rules.

use super::column::LengthUnit;
use super::fill_or_delete::FILL_OR_DELETE;
use crate::records::schema::Table;
use crate::results::CAUTION;
use crate::tables::example::EXAMPLE;

/// A line of the page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Line {
    /// The heading of the page.
    Title(String),
    /// A heading in it.
    Heading(String),
    /// A paragraph.
    Text(String),
    /// What something is called, and what is said of it.
    Pair(String, String),
}

/// Where the page stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Form {
    /// The first sheet of a workbook.
    Workbook,
    /// A text file in a folder of CSV files.
    Folder,
}

/// What a table makes possible.
pub(super) fn adds(table: Table) -> &'static str {
    match table {
        Table::Propellers => {
            "The list of the fleet. A serial alone is enough: the propeller is listed, with what its record lacks."
        }
        Table::Models => {
            "Diameter, number of blades and the maker's overhaul interval. Gives due dates and the place of each station."
        }
        Table::Limits => {
            "New and smallest dimensions, copied from the maker's current manual. With measurements they give the metal left, the overhauls left and the chance that the next one rejects."
        }
        Table::Overhauls => {
            "Every visit to a shop. Gives the time since overhaul, the calendar limit, and what was rejected and why."
        }
        Table::Measurements => {
            "The before and after columns of the shop's sheets. Give the metal lost at each visit and, with limits, the metal left."
        }
        Table::Defects => {
            "Nicks, blends and other damage. Gives what is open, what may be dressed in the field, and which propellers are hit more often."
        }
        Table::Hours => "Readings of a propeller's own hours. Give hours since overhaul and the due date by hours.",
        Table::AircraftHours => {
            "Readings of the aircraft's meter. With fitted they stand in where a propeller has no readings of its own."
        }
        Table::Fitted => "Which propeller was on which aircraft, from when to when.",
        Table::Aircraft => {
            "Type, engine and highest speed of each aircraft, and how many propellers it carries: one, unless said otherwise."
        }
        Table::Inspections => {
            "Annual, 100 hour and other inspections of an aircraft. Give what is not signed, what has lapsed and when the next is due."
        }
        Table::EventChecks => {
            "Checks after a strike, overspeed or lightning, of the engine above all, and the shop's check that closes a crack."
        }
        Table::Rechecks => "Second looks at accepted and small findings. Each renews them until the next.",
        Table::Decisions => {
            "What someone has looked at and decided, until when. It is shown as seen behind the others of its tier; the tier stays."
        }
        Table::Bases => {
            "Where propellers live and what the air is like there. Without it the worst air is taken for all."
        }
        Table::KeptAt => "Where a propeller lived before, and whether outside or in a hangar.",
        Table::Prices => "What an overhaul and a new propeller cost. Turns the budget from counts into money.",
    }
}

/// Columns of `propellers` that are worth filling next, and what each adds.
pub(super) const NEXT_FACTS: [(&str, &str); 6] = [
    ("model", "with the table models: its interval, so its due dates"),
    ("in_service_date", "how long it has flown for you, also when it was never overhauled"),
    ("acquired", "new: a propeller without any sheet then starts from the dimensions of a new one"),
    ("use", "among equals a rented one comes first"),
    ("base", "with the table bases: what the air has done to it"),
    ("aircraft", "which aircraft has to stay on the ground; with its readings: hours"),
];

/// The page; `name` is what the user called the workbook or folder.
pub(super) fn page(form: Form, unit: LengthUnit) -> Vec<Line> {
    let (table, fleet) = match form {
        Form::Workbook => ("sheet", "FLEET.xlsx"),
        Form::Folder => ("file", "FLEET"),
    };
    let heading = |text: &str| Line::Heading(text.to_string());
    let text = |text: String| Line::Text(text);
    let pair = |name: &str, said: &str| Line::Pair(name.to_string(), said.to_string());
    let mut page = vec![
        Line::Title("The records of your propellers".to_string()),
        text(format!(
            "One {table} holds one kind of record, one row each. Fill in what you have and leave out the rest: every further {table} makes more answers possible, and nothing but a serial is needed to start. A missing record never makes a propeller look safer."
        )),
        heading("What to fill first"),
        pair(
            "1  propellers",
            "the serial of each propeller, as it is stamped. That is enough to run the program and see what is missing.",
        ),
        pair("2  overhauls", "the day of the last overhaul of each, with outcome. Older visits can follow later."),
        pair("3  models", "the interval that the maker states, in hours and months: now there are due dates."),
        pair("4  hours", "today's reading of each propeller, or aircraft_hours and fitted."),
        pair(
            "5  limits, measurements",
            "the maker's dimensions and the shop's sheets: now there is metal left, and overhauls left.",
        ),
        heading("What each further fact of a propeller adds"),
    ];
    page.extend(NEXT_FACTS.iter().map(|(name, said)| pair(name, said)));
    page.push(heading(&format!("What each {table} adds")));
    for schema in crate::records::schema::TABLES {
        page.push(pair(schema.name, adds(schema.table)));
    }
    page.push(match form {
        Form::Workbook => pair("fleet", "Name, currency and other settings; leave a value empty for the usual one."),
        Form::Folder => {
            pair("fleet.toml", "Name, currency and other settings; every line is switched off until you remove its #.")
        }
    });
    page.push(heading("How to fill it"));
    page.extend(rules(form, unit).into_iter().map(Line::Text));
    page.push(heading("Fill these columns in every row, or delete them"));
    for of in FILL_OR_DELETE {
        page.push(Line::Pair(format!("{}: {}", of.table.name(), of.column), of.advice()));
    }
    page.push(heading("Then"));
    page.push(text(format!(
        "bladewane check {fleet} says what is read and what is wrong with it, by {} and with what to do.",
        match form {
            Form::Workbook => "sheet and cell",
            Form::Folder => "file and line",
        }
    )));
    page.push(text(format!("bladewane run {fleet} gives every answer that the records allow.")));
    page.push(text(CAUTION.to_string()));
    page
}

fn rules(form: Form, unit: LengthUnit) -> Vec<String> {
    let unit_words = unit.words();
    let ending = unit.ending();
    let mut rules = Vec::new();
    match form {
        Form::Workbook => {
            rules.push("A heading in bold must be filled in every row. The note on a heading says what goes into the column. A cell that still needs something turns yellow.".to_string());
        }
        Form::Folder => {
            rules.push("Delete the files and columns that you do not need. Below, each column is listed with what goes into it.".to_string());
        }
    }
    rules.push(format!("A row whose first cell begins with {EXAMPLE} is never read: write over it or delete it."));
    rules.push(format!(
        "Lengths are in {unit_words}: the ending {ending} of a heading says so. To use the other unit, change the ending to _in, _mm or _thou (thousandths of an inch) for the whole column. Fill station_pct or station{ending}, one of the two."
    ));
    rules.push(match form {
        Form::Workbook => "A fraction is typed with a zero and a space, as 0 3/64, or with the whole inches, as 1 1/16: a bare 3/64 becomes a day of the calendar.".to_string(),
        Form::Folder => "A fraction may be written as 3/64 or 1 1/16. Beware of opening the files in a spreadsheet program: it turns 3/64 into a day of the calendar and 0017 into 17.".to_string(),
    });
    rules.push("What is not recorded stays empty. Never write 0 for it.".to_string());
    rules.push("Days are written as 2026-01-31.".to_string());
    rules.push("Blade 1 is the blade nearest the stamp, on the shop's sheets and here.".to_string());
    rules
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_facts_are_columns_of_propellers() {
        for (name, _) in NEXT_FACTS {
            assert!(Table::Propellers.schema().position(name).is_some(), "{name}");
        }
        for of in FILL_OR_DELETE {
            assert!(of.table.schema().position(of.column).is_some());
        }
    }
}
