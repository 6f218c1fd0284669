//! `run`: everything about a fleet, into one folder, and a summary a person can act on.

use std::io::Write as _;
use std::path::{Path, PathBuf};

use super::one_table::finish;
use crate::analysis::ranking::By;
use crate::backtest;
use crate::cli::args::{OutputArgs, RunArgs};
use crate::cli::destination::DestinationError;
use crate::cli::exit::Exit;
use crate::cli::failure::Failure;
use crate::cli::opened::{Opened, Surroundings, shown};
use crate::cli::output::{Wanted, print_text, write_records, write_rows};
use crate::cli::result_workbook::{AboutStands, sheets_in_order, write_workbook};
use crate::cli::summary::{fleet_name, summary};
use crate::records::schema::TABLES;
use crate::report;
use crate::results::answers::{Answers, GIVEN};
use crate::tables::formats::Format;

/// Works out and writes everything.
pub fn run(args: &RunArgs, around: &Surroundings) -> Result<Exit, Failure> {
    let out = match &args.out {
        Some(out) => out.clone(),
        None => beside(&args.records.fleet)?,
    };
    if args.for_spreadsheet && !args.format.iter().any(|&format| Format::from(format) == Format::Csv) {
        return Err(Failure::usage(DestinationError::NotCsv));
    }
    let mut folder = around.begin_folder(&out)?;
    let progress = around.progress();
    let mut opened = Opened::read(&args.records, around, &progress)?;
    let (fleet, settings, clock) = opened.fleet(&progress);
    let shown = shown(&fleet, &args.filter)?;
    let answers = Answers::new(&fleet, settings).with_backtester(backtest::of);
    let output = OutputArgs { for_spreadsheet: args.for_spreadsheet, ..OutputArgs::default() };
    let mut formats = vec![Format::Parquet];
    for &format in &args.format {
        let format = Format::from(format);
        if !formats.contains(&format) {
            formats.push(format);
        }
    }
    for name in GIVEN {
        progress.step(&format!("working out {name}"));
        clock.begin(name);
        let wanted = Wanted { name, by: By::Urgency, shown: &shown, output: &output };
        // The workbook has a sheet of each and is written at the end.
        for &format in formats.iter().filter(|&&format| format != Format::Workbook) {
            let mut file = folder.file(&format!("{name}.{}", format.ending()))?;
            write_rows(&answers, &wanted, format, &mut file)?;
            file.finish()?;
        }
    }
    progress.step("putting the page together");
    clock.begin("report");
    let page = report::page(&answers, &shown, &fleet_name(&answers))?;
    let mut file = folder.file("report.html")?;
    file.write_all(page.as_bytes())?;
    file.finish()?;
    if formats.contains(&Format::Workbook) {
        progress.step("writing the workbook");
        clock.begin("results.xlsx");
        let mut names = sheets_in_order(&GIVEN);
        names.extend(["set_aside", "cautions"]);
        let wanted: Vec<Wanted<'_>> =
            names.into_iter().map(|name| Wanted { name, by: By::Urgency, shown: &shown, output: &output }).collect();
        let mut file = folder.file("results.xlsx")?;
        write_workbook(&answers, &wanted, AboutStands::First, &mut file)?;
        file.finish()?;
    }
    progress.step("writing");
    let counts = answers.overview(&shown).counts.clone();
    write_records(&mut folder, &answers, &shown, clock, Some(counts), args.for_spreadsheet)?;
    let written = folder.commit()?;
    drop(progress);
    let text = summary(&answers, &shown, &shown_path(&out, &written), around);
    print_text(&text, around.env.styled(around.color))?;
    let unknown: usize = TABLES.iter().filter_map(|of| Some(fleet.loaded.table(of.table)?.unknown_columns.len())).sum();
    if unknown > 0 {
        let (columns, are) = if unknown == 1 { ("column", "is") } else { ("columns", "are") };
        let folder = fleet.loaded.folder.display();
        around.note(&format!(
            "{unknown} {columns} {are} not known and used for nothing; `bladewane check {folder}` lists them"
        ));
    }
    finish(&answers, &shown, args.records.strict, args.alert, around)
}

/// `FLEET-results` beside the fleet; a workbook's name without its ending.
fn beside(fleet: &Path) -> Result<PathBuf, Failure> {
    let named = match fleet.file_name() {
        Some(_) => fleet.to_path_buf(),
        None => fleet
            .canonicalize()
            .map_err(|error| Failure::records(format!("{}: cannot be read: {error}", fleet.display())))?,
    };
    let name = if named.is_file() { named.file_stem() } else { named.file_name() };
    let Some(name) = name else {
        return Err(Failure::usage("the results need a folder of their own\nhint: name one with --out"));
    };
    let mut name = name.to_os_string();
    name.push("-results");
    Ok(named.with_file_name(name))
}

fn shown_path(asked: &Path, written: &Path) -> String {
    if asked.as_os_str().is_empty() {
        return written.display().to_string();
    }
    asked.display().to_string()
}
