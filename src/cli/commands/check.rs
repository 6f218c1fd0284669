//! `check`: what the records hold and what is wrong with them.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt::Write as _;

use crate::analysis::ranking::By;
use crate::cli::args::CheckArgs;
use crate::cli::destination::Destination;
use crate::cli::exit::Exit;
use crate::cli::failure::Failure;
use crate::cli::lines::{wrap, wrap_lines};
use crate::cli::notes::in_short;
use crate::cli::opened::{Opened, Surroundings, nothing_on_record};
use crate::cli::output::{Wanted, print_rows, print_text, write_records, write_rows};
use crate::cli::result_workbook::{AboutStands, write_workbook};
use crate::records::Fleet;
use crate::records::ledger::Caution;
use crate::records::problem::Problem;
use crate::records::rule::Doubt;
use crate::records::schema::{TABLES, Table};
use crate::results::CAUTION;
use crate::results::answers::{Answers, Shown};
use crate::tables::atomic_folder::AtomicFile;
use crate::tables::formats::Format;

/// Rows listed of one kind; the rest is counted.
const MOST_OF_A_KIND: usize = 20;
/// Places named of one caution.
const MOST_PLACES: usize = 3;

/// Reads, checks and reports.
pub fn check(args: &CheckArgs, around: &Surroundings) -> Result<Exit, Failure> {
    let destination = Destination::beside(&args.output, around.env.stdout_is_terminal).map_err(Failure::usage)?;
    let mut folder = None;
    let mut file = None;
    match &destination {
        Destination::Folder(path, _) => folder = Some(around.begin_folder(path)?),
        Destination::File(path, _) => file = Some(AtomicFile::begin(path)?),
        Destination::Stdout(_) => {}
    }
    let progress = around.progress();
    // The report for a person has a place for what was left out; anything else has the error stream.
    let mut opened = match destination {
        Destination::Stdout(None) => Opened::read_silently(&args.records, around, &progress)?,
        _ => Opened::read(&args.records, around, &progress)?,
    };
    let (fleet, settings, clock) = opened.fleet(&progress);
    let answers = Answers::new(&fleet, settings);
    drop(progress);
    // In a form for programs, the rows set aside are the answer.
    let shown = Shown::all();
    let problems =
        ["set_aside", "cautions"].map(|name| Wanted { name, by: By::Urgency, shown: &shown, output: &args.output });
    // Columns are named of one table.
    let sheets = if args.output.columns.is_empty() { 2 } else { 1 };
    let wanted = &problems[0];
    match destination {
        Destination::Stdout(None) => {
            let text = report(&fleet, around.env.text_width());
            print_text(&text, false)?;
        }
        Destination::Stdout(Some(Format::Workbook)) => {
            let out = std::io::stdout();
            write_workbook(&answers, &problems[..sheets], AboutStands::Last, out)?;
        }
        Destination::Stdout(Some(format)) => {
            print_rows(&answers, wanted, format, around)?;
        }
        Destination::File(_, format) => {
            if let Some(mut file) = file {
                match format {
                    Format::Workbook => {
                        let sheets = &problems[..sheets];
                        write_workbook(&answers, sheets, AboutStands::Last, &mut file)?;
                    }
                    format => write_rows(&answers, wanted, format, &mut file)?,
                }
                file.commit()?;
            }
        }
        Destination::Folder(..) => {
            if let Some(mut folder) = folder {
                write_records(&mut folder, &answers, &shown, clock, None, args.output.for_spreadsheet)?;
                folder.commit()?;
            }
        }
    }
    let count = fleet.ledger.total_set_aside();
    if args.records.strict && count > 0 {
        return Err(Failure::records(format!(
            "{} set aside, and --strict takes none",
            crate::records::written::count(count, "row")
        )));
    }
    Ok(Exit::Done)
}

/// The account of every table: read = used + set aside + later.
pub fn account(fleet: &Fleet<'_>) -> String {
    let counts: Vec<(&str, [u32; 4])> = TABLES
        .iter()
        .filter_map(|schema| {
            let count = fleet.ledger.counts(schema.table)?;
            Some((schema.name, [count.read, count.used, count.set_aside, count.later]))
        })
        .collect();
    let name = counts.iter().map(|(name, _)| name.len()).max().unwrap_or(0);
    let digits = |at: usize| counts.iter().map(|(_, of)| of[at].to_string().len()).max().unwrap_or(0);
    let [r, u, s, l] = [0, 1, 2, 3].map(digits);
    let mut text = String::new();
    for (table, [read, used, set_aside, later]) in &counts {
        let _ = writeln!(
            text,
            "{table:<name$} {read:>r$} rows read = {used:>u$} used + {set_aside:>s$} set aside + {later:>l$} later"
        );
    }
    text
}

fn report(fleet: &Fleet<'_>, width: usize) -> String {
    let mut text = format!("Records as of {}\n\n", fleet.as_of);
    if let Some(nothing) = nothing_on_record(fleet) {
        wrap_lines(&mut text, &nothing, width);
        text.push('\n');
    }
    text.push_str(&account(fleet));
    let absences = fleet.absences();
    if !absences.is_empty() {
        text.push_str("\nNot there:\n");
        for absence in absences {
            wrap(&mut text, absence, width, "  ");
        }
    }
    let notes = in_short(&fleet.loaded.notes);
    if !notes.is_empty() {
        text.push_str("\nLeft out:\n");
        for note in &notes {
            wrap(&mut text, note, width, "  ");
        }
    }
    set_aside(&mut text, fleet, width);
    cautions(&mut text, fleet, width);
    text.push('\n');
    wrap(&mut text, CAUTION, width, "");
    text
}

fn set_aside(text: &mut String, fleet: &Fleet<'_>, width: usize) {
    let rows = &fleet.ledger.set_aside;
    if rows.is_empty() {
        text.push_str("\nNo row was set aside.\n");
        return;
    }
    let _ = writeln!(text, "\nSet aside, {} in all:", rows.len());
    let mut kinds: BTreeMap<(Table, Cow<'_, str>), Vec<Problem<'_>>> = BTreeMap::new();
    for row in rows {
        let problem = Problem::of_row(fleet, row);
        kinds.entry((row.table, problem.rule.clone())).or_default().push(problem);
    }
    for rows in kinds.values() {
        for row in rows.iter().take(MOST_OF_A_KIND) {
            let what = match (row.column, row.value) {
                ("", _) => String::new(),
                (column, "") => format!(" {column}:"),
                (column, value) => format!(" {column}: {value}:"),
            };
            wrap(text, &format!("{}:{what} {}", row.at(), row.rule), width, "  ");
            wrap(text, &row.remedy, width, "      ");
        }
        if rows.len() > MOST_OF_A_KIND {
            let _ = writeln!(text, "  ... and {} more like it (-o FOLDER writes all)", rows.len() - MOST_OF_A_KIND);
        }
    }
}

fn cautions(text: &mut String, fleet: &Fleet<'_>, width: usize) {
    type Told<'r> = (&'r Caution, Problem<'r>);
    let rows = &fleet.ledger.cautions;
    if rows.is_empty() {
        text.push_str("\nNo cautions.\n");
        return;
    }
    let _ = writeln!(text, "\nUsed, but look at them, {} in all:", rows.len());
    let mut kinds: BTreeMap<(Doubt, Cow<'_, str>), Vec<Told<'_>>> = BTreeMap::new();
    for row in rows {
        let problem = Problem::of_caution(fleet, row);
        kinds.entry((row.doubt, problem.rule.clone())).or_default().push((row, problem));
    }
    let mut of_doubt: BTreeMap<Doubt, usize> = BTreeMap::new();
    for ((doubt, rule), rows) in &kinds {
        let doubt = *doubt;
        let listed = of_doubt.entry(doubt).or_default();
        *listed += 1;
        if *listed > MOST_OF_A_KIND {
            continue;
        }
        // Every column that is used for nothing is named: one of them may be a mistake.
        let most = if doubt == Doubt::UnknownColumn { rows.len() } else { MOST_PLACES };
        let places: Vec<String> = rows
            .iter()
            .take(most)
            .map(|(row, problem)| match row.propeller {
                Some(p) => format!("{} ({})", fleet.propellers.serial(p), problem.at()),
                None => problem.at(),
            })
            .collect();
        let more = match rows.len().saturating_sub(most) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        wrap(text, &format!("{}, {rule}: {}{more}", rows.len(), places.join(", ")), width, "  ");
        wrap(text, rows.first().map_or("", |(_, problem)| &*problem.remedy), width, "      ");
    }
    for (doubt, listed) in of_doubt.into_iter().filter(|(_, listed)| *listed > MOST_OF_A_KIND) {
        let more = listed - MOST_OF_A_KIND;
        let rule = doubt.text(&fleet.checks);
        wrap(text, &format!("... and {more} more where {rule} (-o FOLDER writes all)"), width, "  ");
    }
}
