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
use crate::report;
use crate::results::CAUTION;
use crate::results::answers::Answers;
use crate::tables::atomic_folder::AtomicFile;

/// Works out everything and writes the page.
pub fn write(args: &ReportArgs, around: &Surroundings) -> Result<Exit, Failure> {
    if !ends_in_html(&args.file) {
        return Err(Failure::usage(format!(
            "{}: the page is an HTML file\nhint: let the name end in .html",
            args.file.display()
        )));
    }
    let progress = around.progress();
    let mut file = AtomicFile::begin(&args.file)?;
    let mut opened = Opened::read(&args.records, around, &progress)?;
    let (fleet, settings, _) = opened.fleet(&progress);
    let shown = shown(&fleet, &args.filter)?;
    let answers = Answers::new(&fleet, settings).with_backtester(backtest::of);
    progress.step("working out the page");
    let page = report::page(&answers, &shown, &fleet_name(&answers))?;
    file.write_all(page.as_bytes())?;
    file.commit()?;
    drop(progress);
    around.note(CAUTION);
    finish(&answers, &shown, args.records.strict, args.alert, around)
}

fn ends_in_html(file: &Path) -> bool {
    file.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("html") || ending.eq_ignore_ascii_case("htm"))
}
