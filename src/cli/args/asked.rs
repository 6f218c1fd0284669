//! Options of the commands that ask across the fleet.

use clap::Args as Group;

use super::{OutputArgs, RecordArgs, TableArgs};
use crate::cli::chosen::GroupBy;

/// Options of `query`.
#[derive(Debug, Clone, PartialEq, Group)]
pub struct QueryArgs {
    /// Which records.
    #[command(flatten)]
    pub records: RecordArgs,
    /// The question.
    #[arg(value_name = "SQL", required_unless_present = "tables", conflicts_with = "tables")]
    pub sql: Option<String>,
    /// List the tables and columns that can be asked, with unit and meaning.
    #[arg(long)]
    pub tables: bool,
    /// Where to.
    #[command(flatten)]
    pub output: OutputArgs,
}

/// Options of `totals`.
#[derive(Debug, Clone, PartialEq, Group)]
pub struct TotalsArgs {
    /// Those of every table.
    #[command(flatten)]
    pub table: TableArgs,
    /// What the rows are grouped by; given twice, by both together. Default: by each in turn.
    #[arg(long, value_enum, value_name = "GROUP")]
    pub by: Vec<GroupBy>,
}
