//! The commands that print one result table.

use std::io::BufWriter;

use crate::analysis::ranking::By;
use crate::cli::args::{AlertArgs, TableArgs};
use crate::cli::destination::Destination;
use crate::cli::exit::Exit;
use crate::cli::failure::Failure;
use crate::cli::opened::{Opened, Surroundings, shown};
use crate::cli::output::{Wanted, print_table, write_records, write_rows};
use crate::results::CAUTION;
use crate::results::answers::{Answers, Shown};
use crate::tables::atomic_folder::{AtomicFile, ResultFolder};

/// Works out a table and puts it where it is wanted.
pub fn print(name: &str, by: By, args: &TableArgs, around: &Surroundings) -> Result<Exit, Failure> {
    let destination = Destination::of(&args.output).map_err(Failure::usage)?;
    // Places are claimed before the work, so that a place that cannot be written costs no waiting.
    let mut file = None;
    let mut folder = None;
    match &destination {
        Destination::Stdout(_) => {}
        Destination::File(path, _) => file = Some(AtomicFile::begin(path)?),
        Destination::Folder(path, _) => folder = Some(ResultFolder::begin(path)?),
    }
    let progress = around.progress();
    let mut opened = Opened::read(&args.records, around, &progress)?;
    let (fleet, settings, clock) = opened.fleet(&progress);
    let shown = shown(&fleet, &args.filter)?;
    let answers = Answers::new(&fleet, settings);
    let wanted = Wanted {
        name,
        by,
        shown: &shown,
        output: &args.output,
    };
    progress.step(&format!("working out {name}"));
    clock.begin(name);
    match destination {
        Destination::Stdout(None) => {
            drop(progress);
            print_table(&answers, &wanted, around)?;
        }
        Destination::Stdout(Some(format)) => {
            drop(progress);
            let out = BufWriter::new(std::io::stdout());
            write_rows(&answers, &wanted, format, out)?;
            around.note(CAUTION);
        }
        Destination::File(_, format) => {
            if let Some(mut file) = file {
                write_rows(&answers, &wanted, format, &mut file)?;
                file.commit()?;
            }
            drop(progress);
            around.note(CAUTION);
        }
        Destination::Folder(_, format) => {
            if let Some(mut folder) = folder {
                let mut file = folder.file(&format!("{name}.{}", format.ending()))?;
                write_rows(&answers, &wanted, format, &mut file)?;
                file.finish()?;
                write_records(&mut folder, &answers, clock)?;
                folder.commit()?;
            }
            drop(progress);
            around.note(CAUTION);
        }
    }
    finish(&answers, &shown, args.records.strict, args.alert, around)
}

/// Says how many rows were set aside, and makes that a failure when asked to; and whether something needs a hand now.
pub fn finish(
    answers: &Answers<'_, '_>,
    shown: &Shown,
    strict: bool,
    alert: AlertArgs,
    around: &Surroundings,
) -> Result<Exit, Failure> {
    let fleet = answers.fleet;
    let count = fleet.ledger.total_set_aside();
    if count > 0 {
        let text = format!(
            "{count} {} set aside; `bladewane check {}` lists {}",
            if count == 1 { "row" } else { "rows" },
            fleet.loaded.folder.display(),
            if count == 1 { "it" } else { "them" },
        );
        if strict {
            return Err(Failure::records(text));
        }
        around.note(&text);
    }
    let needs_a_hand = alert.alert
        && answers
            .ranking()
            .iter()
            .any(|r| r.tier <= 3 && shown.shows(r.propeller));
    Ok(if needs_a_hand {
        Exit::NeedsAHand
    } else {
        Exit::Done
    })
}
