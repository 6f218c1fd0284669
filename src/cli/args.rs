//! What was typed, as plain data: the commands and their options. What it means is decided elsewhere.

use std::path::PathBuf;

use chrono::NaiveDate;
use clap::builder::{PossibleValue, PossibleValuesParser};
use clap::{Args as Group, Parser, Subcommand};
use clap_complete::Shell;

use super::chosen::{Color, DemoFormat, FileFormat, TableFormat, Units, Use};
use crate::results::{VERSION, tables};

mod asked;
mod paper;
mod typed;
pub use asked::{BudgetArgs, QueryArgs, RankArgs, TotalsArgs};
pub use paper::{ConvertArgs, SheetArgs};
use typed::{at_least_one, demo_size, iso_date};

/// Follows the wear of a fleet of fixed-pitch aluminium propellers: what to do, to which, by when, and why.
///
/// It reads a folder or a workbook of the fleet's records (overhaul sheets, hours, damage reports) and answers for one date.
/// Nothing in the records is changed.
///
/// Limits come from the maker's current manual; only a certificated shop or mechanic decides airworthiness. This is a planning
/// aid.
#[derive(Debug, Clone, PartialEq, Parser)]
#[command(
    name = "bladewane",
    version = VERSION,
    max_term_width = 100,
    arg_required_else_help = true
)]
#[command(after_help = "\
Try it on an invented fleet:
  bladewane demo demo-fleet                        write the fleet
  bladewane run demo-fleet --as-of 2026-01-01      everything about it, in demo-fleet-results

Begin with your own:
  bladewane template my-fleet.xlsx                 empty tables; the serials are enough to start

Exit codes: 0 done; 1 done, and something needs action now (with --alert); 2 wrong usage;
3 records missing or unusable; 4 could not write; 70 an error in this program;
130 stopped by SIGINT; 143 stopped by SIGTERM, nothing left behind.")]
pub struct Args {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
    /// When to use colour and bold on a terminal; NO_COLOR is honoured.
    #[arg(long, global = true, value_enum, value_name = "WHEN", default_value_t)]
    pub color: Color,
    /// Say nothing on the error stream but errors: no progress, no notes.
    #[arg(long, short, global = true)]
    pub quiet: bool,
}

/// The commands.
#[derive(Debug, Clone, PartialEq, Subcommand)]
pub enum Command {
    /// Read the records and report what is wrong with them.
    ///
    /// Says how many rows of each table were read, used, set aside and later than the as-of date, and lists the rows set
    /// aside and the cautions with file, line and remedy.
    #[command(after_help = "\
Examples:
  bladewane check my-fleet
  bladewane check my-fleet --strict -o problems     set_aside.csv and cautions.csv in a folder")]
    Check(CheckArgs),
    /// Metal lost at every shop visit, by blade and station.
    ///
    /// Before, after and what went, in width and thickness, with the margin left above the minimum where the table limits gives
    /// one. A sheet's own numbers, put beside the visit before.
    #[command(after_help = "\
Examples:
  bladewane loss my-fleet --model M-76 --top 20
  bladewane loss my-fleet -o loss.xlsx              a workbook with filters
  bladewane loss my-fleet -o loss.parquet")]
    Loss(TableArgs),
    /// Metal left above the minimum today, by blade, station and dimension.
    ///
    /// The last reading less the minimum and less what was dressed out since. A thing not measured at the last visit is carried
    /// forward on the unfavourable side; the column basis says which.
    #[command(after_help = "\
Examples:
  bladewane margins my-fleet --as-of 2026-01-01
  bladewane margins my-fleet --columns propeller,blade,station_pct,margin_in")]
    Margins(TableArgs),
    /// How many overhauls each propeller has left, and which point of it decides.
    ///
    /// With the chance that the next overhaul rejects it, and the range that holds in eight of ten cases (p10 to p90). Needs
    /// measurements and limits.
    #[command(after_help = "\
Examples:
  bladewane remaining my-fleet
  bladewane remaining my-fleet --use rental -o remaining.csv
  bladewane remaining my-fleet --backtest       and how the forecast would have done in the past")]
    Remaining(RemainingArgs),
    /// When each propeller comes due, by calendar and by hours, and everything else that has a date.
    ///
    /// The earlier of the two is the due date. Where hours are not known the state says so: the calendar limit alone is never
    /// called within limit. On a terminal, in a folder and in a workbook also the table duties: overhaul limits, inspections,
    /// findings to look at again, replacements to order and returns from a shop, by date.
    #[command(after_help = "\
Examples:
  bladewane due my-fleet
  bladewane due my-fleet --base Inland --format csv
  bladewane show my-fleet duties --top 20
  bladewane due my-fleet -o due.xlsx")]
    Due(TableArgs),
    /// What the air has done since the last overhaul, as an index for ranking.
    ///
    /// From the air at the bases where a propeller lived and for how long. Unknown air counts as the worst there is.
    #[command(after_help = "\
Examples:
  bladewane exposure my-fleet
  bladewane exposure my-fleet --base Coast --format csv")]
    Exposure(TableArgs),
    /// What comes first, and the next step for each propeller.
    ///
    /// Tiers come first: 1 mechanic required before flight; 2 dress before next flight; 3 past a recommended limit or no overhaul on
    /// record; 4 record too thin; 5 plan now; 6 nothing urgent on record.
    #[command(after_help = "\
Examples:
  bladewane rank my-fleet --top 10
  bladewane rank my-fleet --by climate
  bladewane rank my-fleet --use rental -o rank.xlsx
  bladewane rank my-fleet --alert        exit code 1 when something needs action now")]
    Rank(RankArgs),
    /// What overhauls and replacements will cost, how firmly, and what an hour must set aside.
    ///
    /// On a terminal, in a folder and in a workbook also what to buy, what to set aside, which spares to order and how many propellers are
    /// away at once. Without prices overhauls and replacements are counted.
    #[command(after_help = "\
Examples:
  bladewane budget my-fleet
  bladewane budget my-fleet --years 3 --opening-balance 25000
  bladewane budget my-fleet -o plan.xlsx           a sheet for each part of the plan
  bladewane budget my-fleet --use-growth 4 -o budget.csv")]
    Budget(BudgetArgs),
    /// Findings of damage, open ones first, with what may be dressed in the field.
    ///
    /// What closes a finding is named: the blend, or the visit that released the propeller afterwards. The limits of field repair
    /// are settings; a mechanic decides.
    #[command(after_help = "\
Examples:
  bladewane defects my-fleet
  bladewane defects my-fleet --use training --format jsonl")]
    Defects(TableArgs),
    /// The whole story of one propeller, with the records and the arithmetic behind every number.
    ///
    /// Takes a serial, or an aircraft with what is fitted to it.
    #[command(after_help = "\
Examples:
  bladewane explain my-fleet BW-1004
  bladewane explain my-fleet N-201 --as-of 2026-01-01")]
    Explain(ExplainArgs),
    /// Add a shop's before and after sheet to the fleet's CSV tables, or make a folder of a fleet's workbook.
    ///
    /// The sheet has one row a station and one group of columns a blade. Its readings go to measurements.csv and the visit to
    /// overhauls.csv, after the same checks as reading does; when one fails nothing is written. Without a propeller a workbook becomes a new folder:
    /// every sheet a CSV table, values as written, rows that are set aside kept as they are.
    #[command(after_help = "\
Examples:
  bladewane convert sheet.xlsx my-fleet --propeller BW-1004 --date 2025-11-03
  bladewane convert my-fleet.xlsx my-fleet      a fleet's workbook as a new folder
  bladewane convert --show-map > shop.toml      how headings may be written; edit it for your shop
  bladewane convert sheet.csv my-fleet --propeller BW-1004 --date 2025-11-03 --map shop.toml
  bladewane convert sheet.csv my-fleet --propeller BW-1007 --date 2026-02-17 --outcome rejected --reject-reason dimension")]
    Convert(ConvertArgs),
    /// A page to print for the next shop visit of one propeller.
    ///
    /// Stations in inches and percent, last readings, minimum and margin, what was blended since, and blank columns for the
    /// shop's before and after readings.
    #[command(after_help = "\
Examples:
  bladewane sheet my-fleet BW-1004 -o BW-1004.html
  bladewane sheet my-fleet BW-1004 --as-of 2026-01-01 > BW-1004.html")]
    Sheet(SheetArgs),
    /// Write the page people read: the whole fleet in one HTML file.
    ///
    /// The file needs nothing from outside: it can go out as an attachment, and prints to A4 and Letter.
    #[command(after_help = "\
Examples:
  bladewane report my-fleet fleet.html
  bladewane report my-fleet rentals.html --use rental --as-of 2026-01-01")]
    Report(ReportArgs),
    /// Do all of this and write every result into one folder.
    ///
    /// Ends with a summary that a person can act on. The folder holds each table as Parquet, the rows set aside and the cautions
    /// as CSV, the settings in force, and run.json, which says what was read and how it was computed. An earlier run's folder is
    /// replaced when the new one is complete.
    #[command(after_help = "\
Examples:
  bladewane run my-fleet
  bladewane run my-fleet --as-of 2026-01-01 --out results --format csv
  bladewane run my-fleet --format xlsx              every table in one workbook, results.xlsx
  bladewane run my-fleet.xlsx --quiet --alert       a scheduled job: exit code 1 asks for a hand")]
    Run(RunArgs),
    /// List every setting with its default and meaning.
    ///
    /// A setting goes into fleet.toml in the fleet folder (in a workbook, into the sheet `fleet`), or into a file given with
    /// --settings.
    #[command(after_help = "\
Example:
  bladewane settings")]
    Settings,
    /// Print any one result table.
    ///
    /// Its columns, with unit and meaning, are in the page results.md and in the notes on the headings of a workbook.
    #[command(after_help = "\
Examples:
  bladewane show my-fleet blades
  bladewane show my-fleet findings --format csv")]
    Show(ShowArgs),
    /// What bases, models, uses, aircraft, shops and years add up to.
    ///
    /// Propellers and what needs action, overhauls and rejections, metal removed, findings an hour with their limits, hours, what
    /// the next twelve months will cost and what was spent. What is not known is counted apart, never as zero.
    #[command(after_help = "\
Examples:
  bladewane totals my-fleet --by base
  bladewane totals my-fleet --by shop --by year --columns group,and_group,overhauls,share_rejected,spent
  bladewane totals my-fleet -o totals.xlsx          by each in turn")]
    Totals(TotalsArgs),
    /// Ask across the whole fleet, in SQL.
    ///
    /// Over every result table and every table of the records as it was used. Only SELECT and WITH: a query reads. A column
    /// that bears a word of SQL stands in double quotes.
    #[command(after_help = "\
Examples:
  bladewane query my-fleet --tables                what can be asked
  bladewane query my-fleet \"SELECT base, count(*) AS n FROM due GROUP BY base ORDER BY n DESC\"
  bladewane query my-fleet \"SELECT propeller, cost FROM records_overhauls ORDER BY cost DESC\" -o cost.xlsx")]
    Query(QueryArgs),
    /// Write an invented fleet to try things on.
    ///
    /// Decades of overhauls, hours and damage of a fleet that never was. The same numbers and seed give the same fleet.
    #[command(after_help = "\
Examples:
  bladewane demo demo-fleet
  bladewane demo big-fleet --propellers 5000 --seed 7 --format parquet")]
    Demo(DemoArgs),
    /// Write empty tables for your own records, with headings, units and notes.
    ///
    /// A workbook has a sheet for each table, drop-down lists, an example row that is never read, and a first sheet that says
    /// what to fill first. A folder has a CSV file for each table, README.txt and fleet.toml. Nothing is ever written over.
    #[command(after_help = "\
Examples:
  bladewane template my-fleet.xlsx                 a workbook, lengths in inches
  bladewane template my-fleet.xlsx --units mm
  bladewane template my-fleet                      a folder of CSV files")]
    Template(TemplateArgs),
    /// Print what a shell needs to complete commands and options.
    #[command(after_help = "\
Examples (open a new shell afterwards):
  bladewane completions bash > ~/.local/share/bash-completion/completions/bladewane
  bladewane completions zsh > ~/.zfunc/_bladewane      a folder that is in fpath
  bladewane completions fish > ~/.config/fish/completions/bladewane.fish
  bladewane completions powershell >> $PROFILE")]
    Completions(CompletionsArgs),
    /// Print the manual page, or write a page for each command into a folder.
    #[command(after_help = "\
Examples:
  bladewane manual > bladewane.1                   one page with every command: man ./bladewane.1
  bladewane manual -o ~/.local/share/man/man1      a page each: man bladewane-rank")]
    Manual(ManualArgs),
}

/// Which records are read, and how strictly.
#[derive(Debug, Clone, PartialEq, Group)]
pub struct RecordArgs {
    /// The fleet folder (propellers.csv and what else is known, as CSV, Parquet or Arrow), or a workbook (.xlsx) with a sheet
    /// a table.
    #[arg(value_name = "FLEET")]
    pub fleet: PathBuf,
    /// Answer as of this day, with the records of that day: later rows are not used. Default: today.
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = iso_date)]
    pub as_of: Option<NaiveDate>,
    /// A file of settings that wins over fleet.toml.
    #[arg(long, value_name = "FILE")]
    pub settings: Option<PathBuf>,
    /// Take any row set aside for a failure (exit code 3).
    #[arg(long)]
    pub strict: bool,
}

/// Which propellers are shown. What the fleet's statistics learn from never changes.
#[derive(Debug, Clone, PartialEq, Default, Group)]
pub struct FilterArgs {
    /// Show only propellers in this use; may be given more than once.
    #[arg(long = "use", value_enum, value_name = "USE")]
    pub uses: Vec<Use>,
    /// Show only propellers at this base; may be given more than once.
    #[arg(long = "base", value_name = "BASE")]
    pub bases: Vec<String>,
    /// Show only propellers of this model; may be given more than once.
    #[arg(long = "model", value_name = "MODEL")]
    pub models: Vec<String>,
}

/// Where a table goes, and in which form.
#[derive(Debug, Clone, PartialEq, Default, Group)]
pub struct OutputArgs {
    /// Form of the output. Default: table on a terminal and in a pipe; by its ending in a file; parquet in a folder.
    #[arg(long, value_enum, value_name = "FORMAT")]
    pub format: Option<TableFormat>,
    /// Only these columns, in this order, however wide: names with commas between them.
    #[arg(long, value_name = "A,B,...", value_delimiter = ',')]
    pub columns: Vec<String>,
    /// Only the rows of which this holds, in the words of SQL: "tier <= 3 AND base = 'Coast'".
    #[arg(long = "where", value_name = "CONDITION")]
    pub condition: Option<String>,
    /// Only the first N rows.
    #[arg(long, value_name = "N", value_parser = at_least_one)]
    pub top: Option<usize>,
    /// A file, in the format its ending names, or a folder, with set_aside.csv, cautions.csv, settings.toml and run.json
    /// beside the table. Default: the standard output.
    #[arg(long, short, value_name = "FILE|FOLDER")]
    pub out: Option<PathBuf>,
    /// In CSV, put an apostrophe before a text that a spreadsheet would take for a formula: one that begins with =, +, - or @.
    #[arg(long)]
    pub for_spreadsheet: bool,
}

/// Whether urgent things show in the exit code.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Group)]
pub struct AlertArgs {
    /// End with exit code 1 when a propeller is in tiers 1 to 3: a mechanic before flight, dress before next flight, past a
    /// recommended limit or no overhaul on record.
    #[arg(long)]
    pub alert: bool,
}

/// Options of `check`.
#[derive(Debug, Clone, PartialEq, Group)]
pub struct CheckArgs {
    /// Which records.
    #[command(flatten)]
    pub records: RecordArgs,
    /// Where to.
    #[command(flatten)]
    pub output: OutputArgs,
}

/// Options of every command that prints one table.
#[derive(Debug, Clone, PartialEq, Group)]
pub struct TableArgs {
    /// Which records.
    #[command(flatten)]
    pub records: RecordArgs,
    /// Which propellers.
    #[command(flatten)]
    pub filter: FilterArgs,
    /// Where to.
    #[command(flatten)]
    pub output: OutputArgs,
    /// The exit code.
    #[command(flatten)]
    pub alert: AlertArgs,
}

/// Options of `remaining`.
#[derive(Debug, Clone, PartialEq, Group)]
pub struct RemainingArgs {
    /// Those of every table.
    #[command(flatten)]
    pub table: TableArgs,
    /// Show also how the same method would have forecast this fleet's own past overhauls: on a terminal, or in a folder.
    #[arg(long)]
    pub backtest: bool,
}

/// Options of `explain`.
#[derive(Debug, Clone, PartialEq, Group)]
pub struct ExplainArgs {
    /// Which records.
    #[command(flatten)]
    pub records: RecordArgs,
    /// The serial of a propeller, or an aircraft.
    #[arg(value_name = "PROPELLER|AIRCRAFT")]
    pub name: String,
}

/// Options of `report`.
#[derive(Debug, Clone, PartialEq, Group)]
pub struct ReportArgs {
    /// Which records.
    #[command(flatten)]
    pub records: RecordArgs,
    /// The file to write; its name ends in .html.
    #[arg(value_name = "FILE.html")]
    pub file: PathBuf,
    /// Which propellers.
    #[command(flatten)]
    pub filter: FilterArgs,
    /// The exit code.
    #[command(flatten)]
    pub alert: AlertArgs,
}

/// Options of `run`.
#[derive(Debug, Clone, PartialEq, Group)]
pub struct RunArgs {
    /// Which records.
    #[command(flatten)]
    pub records: RecordArgs,
    /// Which propellers.
    #[command(flatten)]
    pub filter: FilterArgs,
    /// Write every table in this form too, beside Parquet; may be given more than once.
    #[arg(long, value_enum, value_name = "FORMAT")]
    pub format: Vec<FileFormat>,
    /// In CSV, put an apostrophe before a text that a spreadsheet would take for a formula: one that begins with =, +, - or @.
    #[arg(long)]
    pub for_spreadsheet: bool,
    /// The results folder; an earlier run's is replaced, any other is left alone. Default: FLEET-results beside the fleet.
    #[arg(long, short, value_name = "FOLDER")]
    pub out: Option<PathBuf>,
    /// The exit code.
    #[command(flatten)]
    pub alert: AlertArgs,
}

/// Options of `show`.
#[derive(Debug, Clone, PartialEq, Group)]
pub struct ShowArgs {
    /// Which records.
    #[command(flatten)]
    pub records: RecordArgs,
    /// The result table.
    #[arg(value_name = "TABLE", value_parser = table_names())]
    pub table: String,
    /// Which propellers.
    #[command(flatten)]
    pub filter: FilterArgs,
    /// Where to.
    #[command(flatten)]
    pub output: OutputArgs,
    /// The exit code.
    #[command(flatten)]
    pub alert: AlertArgs,
}

/// Options of `demo`.
#[derive(Debug, Clone, PartialEq, Eq, Group)]
pub struct DemoArgs {
    /// The folder to write; it must not exist yet.
    #[arg(value_name = "FOLDER")]
    pub folder: PathBuf,
    /// How many propellers.
    #[arg(long, value_name = "N", default_value_t = 60, value_parser = demo_size)]
    pub propellers: usize,
    /// Start of the random numbers.
    #[arg(long, value_name = "S", default_value_t = 1)]
    pub seed: u64,
    /// Form of the tables.
    #[arg(long, value_enum, value_name = "FORMAT", default_value_t)]
    pub format: DemoFormat,
}

/// Options of `template`.
#[derive(Debug, Clone, PartialEq, Eq, Group)]
pub struct TemplateArgs {
    /// The workbook or folder to write; it must not exist yet.
    #[arg(value_name = "FILE.xlsx|FOLDER")]
    pub place: PathBuf,
    /// Unit of the lengths.
    #[arg(long, value_enum, value_name = "UNIT", default_value_t)]
    pub units: Units,
}

/// Options of `completions`.
#[derive(Debug, Clone, PartialEq, Eq, Group)]
pub struct CompletionsArgs {
    /// The shell.
    #[arg(value_enum, value_name = "SHELL")]
    pub shell: Shell,
}

/// Options of `manual`.
#[derive(Debug, Clone, PartialEq, Eq, Group)]
pub struct ManualArgs {
    /// A folder for the pages, made where it is missing; pages of the same name are replaced. Default: one page to the standard
    /// output.
    #[arg(long, short, value_name = "FOLDER")]
    pub out: Option<PathBuf>,
}

fn table_names() -> PossibleValuesParser {
    let tables = tables().iter();
    PossibleValuesParser::new(
        tables.map(|table| PossibleValue::new(table.name).help(format!("a row is {}", table.a_row_is))),
    )
}

#[cfg(test)]
mod tests;
