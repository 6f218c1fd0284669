//! `sheet`: a page to print for the next shop visit of one propeller.

use std::io::Write;

use crate::cli::args::{AlertArgs, SheetArgs};
use crate::cli::commands::one_table::finish;
use crate::cli::commands::report::must_end_in_html;
use crate::cli::exit::Exit;
use crate::cli::failure::Failure;
use crate::cli::opened::{Opened, Surroundings};
use crate::cli::output::print_whole;
use crate::results::answers::{Answers, Shown};
use crate::story::find::find;
use crate::story::sheet::{page, shop_sheet};
use crate::tables::atomic_folder::AtomicFile;

/// Finds the propeller and writes its page.
pub fn print(args: &SheetArgs, around: &Surroundings) -> Result<Exit, Failure> {
    if let Some(path) = &args.out {
        must_end_in_html(path)?;
    }
    let progress = around.progress();
    let mut opened = Opened::read(&args.records, around, &progress)?;
    let (fleet, settings, _) = opened.fleet(&progress);
    let found = find(&fleet, &args.propeller).map_err(|not_found| Failure::usage(not_found.to_string()))?;
    let [propeller] = found.as_slice() else {
        let serials: Vec<&str> = found.iter().map(|&p| fleet.propellers.serial(p)).collect();
        return Err(Failure::usage(format!(
            "`{}`: several propellers are on that aircraft: {}\nhint: name one by its serial",
            args.propeller,
            serials.join(", ")
        )));
    };
    progress.step("writing the page");
    let answers = Answers::new(&fleet, settings);
    let text = page::html(&shop_sheet(&answers, *propeller))
        .map_err(|error| Failure { exit: Exit::Bug, message: error.to_string() })?;
    drop(progress);
    match &args.out {
        Some(path) => {
            let mut file = AtomicFile::begin(path)?;
            file.write_all(text.as_bytes())?;
            let place = file.commit()?;
            around.note(&format!("the page is in {}; open it in a browser and print it", place.display()));
        }
        None => {
            print_whole(text.as_bytes())?;
        }
    }
    finish(&answers, &Shown::all(), args.records.strict, AlertArgs::default(), around)
}
