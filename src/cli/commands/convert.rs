//! `convert`: a shop's before and after sheet added to the fleet, or a fleet's workbook as a folder.

use std::path::Path;

use crate::cli::args::ConvertArgs;
use crate::cli::exit::Exit;
use crate::cli::failure::Failure;
use crate::cli::opened::{Surroundings, read_options, settings};
use crate::cli::output::print_whole;
use crate::onboard::book_to_folder::{BookError, write_folder};
use crate::onboard::convert::map::{DEFAULT_MAP, SheetMap};
use crate::onboard::convert::{Refusal, RefusalKind, Request, VisitWords, convert as add, csv_place};
use crate::records::LoadError;
use crate::records::choice::{Outcome, Reason, RejectReason, Work};
use crate::records::schema::Table;
use crate::records::written::count;
use crate::tables::caps::Caps;
use crate::tables::find::Container;
use crate::tables::workbook::Workbook;
use crate::trade::calendar::Day;

/// Adds the sheet, or prints the map.
pub fn convert(args: &ConvertArgs, around: &Surroundings) -> Result<Exit, Failure> {
    let (map, map_text) = map(args.map.as_deref())?;
    if args.show_map {
        print_whole(map_text.as_bytes())?;
        return Ok(Exit::Done);
    }
    let (Some(sheet), Some(fleet)) = (&args.sheet, &args.fleet) else {
        // The arguments are required unless the map is asked for.
        return Err(Failure::usage("SHEET and FLEET are needed"));
    };
    let (Some(propeller), Some(date)) = (&args.propeller, args.date) else {
        return workbook_to_folder(sheet, fleet, args, around);
    };
    let progress = around.progress();
    progress.step("reading the sheet and the fleet");
    // A workbook is refused with its reason before its settings are asked for.
    csv_place(fleet, Table::Measurements).map_err(Failure::from)?;
    let mut container = Container::open(fleet, &Caps::default()).map_err(LoadError::from)?;
    let (settings, _) = settings(&mut container, args.settings.as_deref())?;
    let options = read_options(&settings);
    let request = Request {
        sheet,
        map: &map,
        fleet,
        settings: &settings,
        options: &options,
        propeller,
        date: Day::from(date),
        today: Day::from(around.env.today),
        words: VisitWords {
            work: word(Work::named, args.work.as_deref()),
            outcome: word(Outcome::named, args.outcome.as_deref()),
            reject_reason: word(RejectReason::named, args.reject_reason.as_deref()),
            reason: word(Reason::named, args.reason.as_deref()),
        },
        dry_run: args.dry_run,
    };
    let added = add(&request).map_err(Failure::from)?;
    drop(progress);
    for line in added.notes.iter().chain(&added.said) {
        around.note(line);
    }
    if args.dry_run {
        around.note("every check holds; nothing was changed, as asked");
    } else if added.measurements + added.overhauls > 0 {
        around.note(&format!(
            "next: bladewane explain {} {}",
            quoted(&fleet.display().to_string()),
            quoted(propeller.trim())
        ));
    }
    Ok(Exit::Done)
}

/// Makes a new folder of a fleet's workbook.
fn workbook_to_folder(book: &Path, folder: &Path, args: &ConvertArgs, around: &Surroundings) -> Result<Exit, Failure> {
    let is_book = Workbook::open(book, &Caps::default())
        .is_ok_and(|opened| opened.is_some_and(|opened| opened.sheet("propellers").is_ok_and(|sheet| sheet.is_some())));
    let others = [&args.work, &args.outcome, &args.reject_reason, &args.reason];
    if args.dry_run || args.map.is_some() || others.iter().any(|given| given.is_some()) || !(is_book || book.is_dir()) {
        return Err(Failure::usage(format!(
            "--propeller and --date are needed to add a shop's sheet\nhint: without them convert makes a new folder of a fleet's workbook, and {} is none with a sheet `propellers`",
            book.display()
        )));
    }
    let progress = around.progress();
    progress.step("reading the workbook");
    let mut container = Container::open(book, &Caps::default()).map_err(LoadError::from)?;
    let (settings, _) = settings(&mut container, args.settings.as_deref())?;
    let options = read_options(&settings);
    let today = Day::from(around.env.today);
    let written = write_folder(book, folder, &settings, &options, today).map_err(|error| Failure {
        exit: match &error {
            BookError::NoWorkbook(_) | BookError::NotEmpty(_) => Exit::Usage,
            BookError::Load(_) | BookError::Table(_) => Exit::Records,
            _ => Exit::CouldNotWrite,
        },
        message: error.to_string(),
    })?;
    drop(progress);
    for (name, rows) in &written.tables {
        around.note(&format!("{name}.csv: {}", count(*rows, "row")));
    }
    written.notes.iter().for_each(|note| around.note(note));
    around.note(&format!("next: bladewane check {}", quoted(&folder.display().to_string())));
    Ok(Exit::Done)
}

fn word<T>(named: fn(&str) -> Option<T>, typed: Option<&str>) -> Option<T> {
    typed.and_then(named)
}

/// As it is typed again at a shell.
fn quoted(text: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || matches!(c, '/' | '.' | '-' | '_' | '\\' | ':');
    match !text.is_empty() && text.chars().all(plain) {
        true => text.to_string(),
        false => format!("'{}'", text.replace('\'', "'\\''")),
    }
}

/// The layout in force and its text.
fn map(file: Option<&Path>) -> Result<(SheetMap, String), Failure> {
    let Some(path) = file else {
        let usual = SheetMap::usual().map_err(|error| Failure { exit: Exit::Bug, message: error })?;
        return Ok((usual, DEFAULT_MAP.to_string()));
    };
    let text = std::fs::read_to_string(path).map_err(|error| {
        Failure::usage(format!(
            "{}: cannot be read: {error}\nhint: save what `bladewane convert --show-map` prints there",
            path.display()
        ))
    })?;
    let map = SheetMap::read(&text).map_err(|error| Failure::usage(format!("{}: {error}", path.display())))?;
    Ok((map, text))
}

impl From<Refusal> for Failure {
    fn from(refusal: Refusal) -> Failure {
        let exit = match refusal.kind {
            RefusalKind::Usage => Exit::Usage,
            RefusalKind::Records => Exit::Records,
            RefusalKind::Write => Exit::CouldNotWrite,
        };
        Failure { exit, message: format!("{}\nnothing was added", refusal.message) }
    }
}
