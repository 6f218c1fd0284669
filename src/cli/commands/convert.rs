//! `convert`: a shop's before and after sheet added to the fleet.

use std::path::Path;

use crate::cli::args::ConvertArgs;
use crate::cli::exit::Exit;
use crate::cli::failure::Failure;
use crate::cli::opened::{Surroundings, read_options, settings};
use crate::cli::output::print_whole;
use crate::onboard::convert::map::{DEFAULT_MAP, SheetMap};
use crate::onboard::convert::{Refusal, RefusalKind, Request, VisitWords, convert as add, csv_place};
use crate::records::LoadError;
use crate::records::choice::{Outcome, Reason, RejectReason, Work};
use crate::records::schema::Table;
use crate::tables::caps::Caps;
use crate::tables::find::Container;
use crate::trade::calendar::Day;

/// Adds the sheet, or prints the map.
pub fn convert(args: &ConvertArgs, around: &Surroundings) -> Result<Exit, Failure> {
    let (map, map_text) = map(args.map.as_deref())?;
    if args.show_map {
        print_whole(map_text.as_bytes())?;
        return Ok(Exit::Done);
    }
    let (Some(sheet), Some(fleet), Some(propeller), Some(date)) =
        (&args.sheet, &args.fleet, &args.propeller, args.date)
    else {
        // The arguments are required unless the map is asked for.
        return Err(Failure::usage("SHEET, FLEET, --propeller and --date are needed"));
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
