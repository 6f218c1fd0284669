//! The commands that print one result table, or two that belong together.

use std::io::BufWriter;

use crate::backtest;
use crate::cli::args::{AlertArgs, OutputArgs, TableArgs};
use crate::cli::destination::Destination;
use crate::cli::exit::Exit;
use crate::cli::failure::Failure;
use crate::cli::opened::{Opened, Surroundings, nothing_on_record, shown};
use crate::cli::output::{How, Wanted, print_rows, print_table, write_records, write_rows};
use crate::cli::result_workbook::{AboutStands, write_workbook};
use crate::questions;
use crate::results::CAUTION;
use crate::results::answers::{Answers, Shown};
use crate::tables::atomic_folder::AtomicFile;
use crate::tables::formats::Format;

/// Works out a table and puts it where it is wanted.
pub fn print(
    name: &str,
    how: impl Into<How<'static>>,
    args: &TableArgs,
    around: &Surroundings,
) -> Result<Exit, Failure> {
    print_all(&[name], how.into(), args, &[], around)
}

/// The tables that have room where they go: a person, a folder and a workbook get all, any other file or stream the first.
pub fn those_that_fit<'n>(names: &'n [&'n str], output: &OutputArgs) -> Result<&'n [&'n str], Failure> {
    let destination = Destination::of(output).map_err(Failure::usage)?;
    // Columns and conditions are of one table.
    let one_table = !destination.holds_several() || !output.columns.is_empty() || output.condition.is_some();
    Ok(if one_table { &names[..1] } else { names })
}

/// Works out tables and puts them where they are wanted; more than one go to a terminal or into a folder. `given`: settings
/// of the command line.
pub fn print_all(
    names: &[&str],
    how: How<'_>,
    args: &TableArgs,
    given: &[(&str, String)],
    around: &Surroundings,
) -> Result<Exit, Failure> {
    let destination = Destination::beside(&args.output, around.env.stdout_is_terminal).map_err(Failure::usage)?;
    if let ([_, second, ..], Some(_)) = (names, &args.output.condition) {
        return Err(Failure::usage(format!(
            "--where chooses rows of one table\nhint: leave it away, or use `bladewane show FLEET {second} --where ...`"
        )));
    }
    if let [_, second, ..] = names
        && !destination.holds_several()
    {
        return Err(Failure::usage(format!(
            "one file holds one table\nhint: name a folder or a workbook (FILE.xlsx) with -o, or use `bladewane show FLEET {second}`"
        )));
    }
    // Places are claimed before the work, so that a place that cannot be written costs no waiting.
    let mut file = None;
    let mut folder = None;
    match &destination {
        Destination::Stdout(_) => {}
        Destination::File(path, _) => file = Some(AtomicFile::begin(path)?),
        Destination::Folder(path, _) => folder = Some(around.begin_folder(path)?),
    }
    let progress = around.progress();
    let mut opened = Opened::read_with(&args.records, given, around, &progress)?;
    let (fleet, settings, clock) = opened.fleet(&progress);
    let shown = shown(&fleet, &args.filter)?;
    let answers = Answers::new(&fleet, settings).with_backtester(backtest::of).with_across(questions::across);
    let mut wanted: Vec<Wanted<'_>> =
        names.iter().map(|name| Wanted { name, how, shown: &shown, output: &args.output, kept: None }).collect();
    for table in &mut wanted {
        progress.step(&format!("working out {}", table.name));
        clock.begin(table.name);
        table.choose_rows(&answers, around)?;
        match &destination {
            // A workbook is written at once.
            Destination::Stdout(_) | Destination::File(_, Format::Workbook) => {}
            Destination::File(_, format) => {
                if let Some(file) = &mut file {
                    write_rows(&answers, table, *format, file)?;
                }
            }
            Destination::Folder(_, format) => {
                if let Some(folder) = &mut folder {
                    let mut file = folder.file(&format!("{}.{}", table.name, format.ending()))?;
                    write_rows(&answers, table, *format, &mut file)?;
                    file.finish()?;
                }
            }
        }
    }
    drop(progress);
    if destination != Destination::Stdout(None) {
        let said = [nothing_on_record(&fleet), shown.in_words().map(|filter| format!("shown are {filter}"))];
        said.into_iter().flatten().for_each(|line| around.note(&line));
    }
    match destination {
        Destination::Stdout(None) => {
            for (at, table) in wanted.iter().enumerate() {
                let heading = (wanted.len() > 1).then_some(table.name);
                print_table(&answers, table, heading, [at == 0, at + 1 == wanted.len()], around)?;
            }
        }
        Destination::Stdout(Some(Format::Workbook)) => {
            let out = BufWriter::new(std::io::stdout());
            write_workbook(&answers, &wanted, AboutStands::Last, out)?;
            around.note(CAUTION);
        }
        Destination::Stdout(Some(format)) => {
            for table in &wanted {
                print_rows(&answers, table, format, around)?;
            }
            around.note(CAUTION);
        }
        Destination::File(_, format) => {
            if let Some(mut file) = file {
                if format == Format::Workbook {
                    write_workbook(&answers, &wanted, AboutStands::Last, &mut file)?;
                }
                file.commit()?;
            }
            around.note(CAUTION);
        }
        Destination::Folder(..) => {
            if let Some(mut folder) = folder {
                write_records(&mut folder, &answers, &shown, clock, None, args.output.for_spreadsheet)?;
                folder.commit()?;
            }
            around.note(CAUTION);
        }
    }
    if names.contains(&"backtest")
        && let Some(backtest) = answers.backtest()
    {
        for remark in &backtest.remarks {
            around.note(remark);
        }
    }
    if names.contains(&"budget") {
        for note in answers.planning(&shown).notes() {
            around.note(&note);
        }
    }
    finish(&answers, &shown, args.records.strict, args.alert, around)
}

/// Says how many rows were set aside, and makes that a failure when asked to; and whether something needs action now.
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
    // What names nobody may be about anyone shown.
    let needs_a_hand = alert.alert
        && (fleet.nobody.is_of_many() || answers.ranking().iter().any(|r| r.tier <= 3 && shown.shows(r.propeller)));
    Ok(if needs_a_hand { Exit::NeedsAHand } else { Exit::Done })
}
