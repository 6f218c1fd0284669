//! Options of the commands that order, plan and ask across the fleet.

use clap::Args as Group;

use super::typed::finite;
use super::{OutputArgs, RecordArgs, TableArgs};
use crate::cli::chosen::{GroupBy, Order, PricesFrom};

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

/// Options of `rank`.
#[derive(Debug, Clone, PartialEq, Group)]
pub struct RankArgs {
    /// Those of every table.
    #[command(flatten)]
    pub table: TableArgs,
    /// What the order goes by.
    #[arg(long, value_enum, value_name = "ORDER", default_value_t)]
    pub by: Order,
}

/// Options of `budget`; each wins over the settings.
#[derive(Debug, Clone, PartialEq, Group)]
pub struct BudgetArgs {
    /// Those of every table.
    #[command(flatten)]
    pub table: TableArgs,
    /// How many calendar years ahead, after the rest of this one.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=50))]
    pub years: Option<u32>,
    /// Money in the overhaul fund on the as-of date: asks for the smallest constant rate an hour that never falls short.
    #[arg(long, value_name = "SUM", allow_negative_numbers = true, value_parser = finite)]
    pub opening_balance: Option<f64>,
    /// By how much the hours flown grow, in percent a year.
    #[arg(long, value_name = "PERCENT", allow_negative_numbers = true, value_parser = finite)]
    pub use_growth: Option<f64>,
    /// Count with the table prices, or with what was paid in the last 24 months.
    #[arg(long, value_enum, value_name = "WHICH")]
    pub prices: Option<PricesFrom>,
}
