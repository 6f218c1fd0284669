//! The commands that print one result table.

use std::io::BufWriter;

use crate::backtest;
use crate::cli::args::TableArgs;
use crate::cli::destination::Destination;
use crate::cli::exit::Exit;
use crate::cli::failure::Failure;
use crate::cli::opened::{Opened, Surroundings, shown};
use crate::cli::output::{Wanted, print_table, write_records, write_rows};
use crate::records::Fleet;
use crate::results::CAUTION;
use crate::results::answers::Answers;
use crate::tables::atomic_folder::{AtomicFile, ResultFolder};

/// Works out a table and puts it where it is wanted.
pub fn print(name: &str, args: &TableArgs, around: &Surroundings) -> Result<Exit, Failure> {
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
    let answers = Answers::new(&fleet, settings).with_backtester(backtest::of);
    let wanted = Wanted {
        name,
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
    finish(&fleet, args.records.strict, around)
}

/// Says how many rows were set aside, and makes that a failure when asked to.
pub fn finish(fleet: &Fleet<'_>, strict: bool, around: &Surroundings) -> Result<Exit, Failure> {
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
    Ok(Exit::Done)
}
