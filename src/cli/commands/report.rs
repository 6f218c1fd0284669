//! `report`: the page people read, as one HTML file.

use std::io::Write;
use std::path::Path;

use super::one_table::finish;
use crate::backtest;
use crate::cli::args::ReportArgs;
use crate::cli::exit::Exit;
use crate::cli::failure::Failure;
use crate::cli::opened::{Opened, Surroundings, shown};
use crate::cli::summary::fleet_name;
use crate::questions;
use crate::report;
use crate::results::CAUTION;
use crate::results::answers::Answers;
use crate::tables::atomic_folder::AtomicFile;

/// Works out everything and writes the page.
pub fn write(args: &ReportArgs, around: &Surroundings) -> Result<Exit, Failure> {
    must_end_in_html(&args.file)?;
    let progress = around.progress();
    let mut file = AtomicFile::begin(&args.file)?;
    let mut opened = Opened::read(&args.records, around, &progress)?;
    let (fleet, settings, _) = opened.fleet(&progress);
    let shown = shown(&fleet, &args.filter)?;
    let answers = Answers::new(&fleet, settings).with_backtester(backtest::of).with_across(questions::across);
    progress.step("working out the page");
    let page = report::page(&answers, &shown, &fleet_name(&answers))?;
    file.write_all(page.as_bytes())?;
    file.commit()?;
    drop(progress);
    if let Some(filter) = shown.in_words() {
        around.note(&format!("shown are {filter}"));
    }
    around.note(CAUTION);
    finish(&answers, &shown, args.records.strict, args.alert, around)
}

/// Refuses a name for a page that a browser would not open as one.
///
/// # Errors
/// Wrong usage.
pub fn must_end_in_html(file: &Path) -> Result<(), Failure> {
    let ending = file.extension();
    if ending.is_some_and(|ending| ending.eq_ignore_ascii_case("html") || ending.eq_ignore_ascii_case("htm")) {
        return Ok(());
    }
    Err(Failure::usage(format!("{}: the page is an HTML file\nhint: let the name end in .html", file.display())))
}
