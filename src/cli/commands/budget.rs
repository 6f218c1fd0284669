//! `budget`: what it will cost, what to set aside, what to buy.

use super::one_table::{print_all, those_that_fit};
use crate::analysis::ranking::By;
use crate::cli::args::BudgetArgs;
use crate::cli::exit::Exit;
use crate::cli::failure::Failure;
use crate::cli::opened::Surroundings;

/// The tables of the plan, in the order a person reads them.
const TABLES: [&str; 5] = ["budget", "reserve", "purchases", "spares", "out_at_once"];

/// Works out the plan; a person, a folder and a workbook get all of its tables, any other file or stream the budget.
pub fn print(args: &BudgetArgs, around: &Surroundings) -> Result<Exit, Failure> {
    let mut given: Vec<(&str, String)> = Vec::new();
    if let Some(years) = args.years {
        given.push(("budget.years", years.to_string()));
    }
    if let Some(balance) = args.opening_balance {
        given.push(("budget.opening_balance", balance.to_string()));
    }
    if let Some(growth) = args.use_growth {
        given.push(("budget.use_growth_pct", growth.to_string()));
    }
    let names = those_that_fit(&TABLES, &args.table.output)?;
    print_all(names, By::Urgency, &args.table, &given, around)
}
