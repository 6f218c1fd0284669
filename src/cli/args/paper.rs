//! What was typed for the commands that deal with a shop's paper: `convert` and `sheet`.

use std::path::PathBuf;

use chrono::NaiveDate;
use clap::Args as Group;
use clap::builder::PossibleValuesParser;

use super::{RecordArgs, iso_date};
use crate::records::schema::{OUTCOMES, REASONS, REJECT_REASONS, WORKS};

/// Options of `convert`.
#[derive(Debug, Clone, PartialEq, Eq, Group)]
pub struct ConvertArgs {
    /// The shop's sheet, .csv or .xlsx: one row a station, one group of columns a blade. Or a fleet's workbook.
    #[arg(value_name = "SHEET", required_unless_present = "show_map")]
    pub sheet: Option<PathBuf>,
    /// The fleet folder; its tables measurements and overhauls must be CSV, or not there yet. For a workbook, a new folder.
    #[arg(value_name = "FLEET", required_unless_present = "show_map")]
    pub fleet: Option<PathBuf>,
    /// The serial of the propeller.
    #[arg(long, value_name = "ID", requires = "date")]
    pub propeller: Option<String>,
    /// The day on which the shop released or rejected it.
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = iso_date, requires = "propeller")]
    pub date: Option<NaiveDate>,
    /// A file that says how the sheet is laid out; begin with what --show-map prints.
    #[arg(long, value_name = "FILE.toml")]
    pub map: Option<PathBuf>,
    /// Print the layout in force, to be saved and edited; with --map, that file once it is found good.
    #[arg(long)]
    pub show_map: bool,
    /// What was done. Default: overhaul.
    #[arg(long, value_name = "WORK", value_parser = PossibleValuesParser::new(WORKS))]
    pub work: Option<String>,
    /// How it ended. Default: released.
    #[arg(long, value_name = "OUTCOME", value_parser = PossibleValuesParser::new(OUTCOMES))]
    pub outcome: Option<String>,
    /// Why it was rejected. Default: not recorded.
    #[arg(long, value_name = "WHY", value_parser = PossibleValuesParser::new(REJECT_REASONS))]
    pub reject_reason: Option<String>,
    /// Why it went to the shop. Default: not recorded.
    #[arg(long, value_name = "WHY", value_parser = PossibleValuesParser::new(REASONS))]
    pub reason: Option<String>,
    /// Check everything and change nothing.
    #[arg(long)]
    pub dry_run: bool,
    /// A file of settings that wins over fleet.toml.
    #[arg(long, value_name = "FILE")]
    pub settings: Option<PathBuf>,
}

/// Options of `sheet`.
#[derive(Debug, Clone, PartialEq, Group)]
pub struct SheetArgs {
    /// Which records.
    #[command(flatten)]
    pub records: RecordArgs,
    /// The serial of a propeller, or an aircraft with one propeller.
    #[arg(value_name = "PROPELLER")]
    pub propeller: String,
    /// The page's file. Default: the standard output.
    #[arg(long, short, value_name = "FILE.html")]
    pub out: Option<PathBuf>,
}
