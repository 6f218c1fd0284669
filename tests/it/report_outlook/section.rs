//! Reading a section of the page as a reader would: its words, its tables, their rows.

use bladewane::report::page::main;
use bladewane::results::answers::{Answers, Shown};
use bladewane::settings::Settings;

use crate::fleet_folder::{FleetFolder, day};
use bladewane::records::Fleet;

/// One section.
pub struct Section(String);

/// A row: the serial in its head, and its cells as text, the head's first.
#[derive(Debug)]
pub struct Row {
    pub cells: Vec<String>,
}

/// Text of a piece of markup, white space put together, entities read.
pub fn text(markup: &str) -> String {
    let mut out = String::new();
    let mut inside = false;
    for c in markup.chars() {
        match c {
            '<' => inside = true,
            '>' if inside => {
                inside = false;
                out.push(' ');
            }
            _ if inside => {}
            c => out.push(c),
        }
    }
    let out = out.replace("&#38;", "&").replace("&#39;", "'").replace("&#60;", "<").replace("&#62;", ">");
    // No-break spaces are for the eye; spaces inside a number stay.
    out.split([' ', '\n', '\u{a0}']).filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
}

fn between<'t>(all: &'t str, from: &str, to: &str) -> Option<&'t str> {
    let rest = &all[all.find(from)? + from.len()..];
    Some(&rest[..rest.find(to)?])
}

impl Section {
    /// The section of this id on the page of a fleet folder.
    pub fn of(folder: &FleetFolder, date: &str, settings: &Settings, id: &str) -> Section {
        let loaded = folder.load();
        let fleet = Fleet::as_of(&loaded, day(date), settings);
        Section::from(&Answers::new(&fleet, settings), id)
    }

    /// The section of this id from results.
    fn from(answers: &Answers<'_, '_>, id: &str) -> Section {
        let page = main(answers, &Shown::all()).expect("the page is made");
        Section::on(&page, id)
    }

    /// The section of this id on a page.
    pub fn on(page: &str, id: &str) -> Section {
        let start = format!("<section id=\"{id}\"");
        let section = between(page, &start, "</section>").expect("the section is there");
        Section(format!("{start}{section}"))
    }

    /// All its words.
    pub fn text(&self) -> String {
        text(&self.0)
    }

    /// Its markup.
    pub fn markup(&self) -> &str {
        &self.0
    }

    /// The rows of the body of the table with these words in its caption; none when there is no such table.
    pub fn table(&self, caption: &str) -> Vec<Row> {
        let table = self
            .0
            .split("<table")
            .skip(1)
            .find(|table| between(table, "<caption>", "</caption>").is_some_and(|c| text(c).contains(caption)));
        let body = table.and_then(|t| between(t, "<tbody>", "</tbody>"));
        let rows = body.unwrap_or("").split("<tr").skip(1);
        rows.map(|row| {
            let row = row.replace("<th", "<td").replace("</th>", "</td>");
            let cells = row.split("<td").skip(1);
            Row { cells: cells.map(|cell| text(cell.split_once('>').expect("an open tag").1)).collect() }
        })
        .collect()
    }
}

impl Row {
    /// The serial, which is the first word of the row.
    pub fn serial(&self) -> &str {
        self.cells[0].split(' ').next().unwrap_or("")
    }

    /// Whether any cell has these words.
    pub fn says(&self, words: &str) -> bool {
        self.cells.iter().any(|cell| cell.contains(words))
    }
}
