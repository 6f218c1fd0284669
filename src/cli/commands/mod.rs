//! The commands: a file each, told what was typed and what surrounds the program.

mod budget;
mod check;
mod convert;
mod demo;
mod explain;
mod list_settings;
mod manual;
mod one_table;
mod report;
mod run;
mod sheet;
mod template;

use crate::analysis::ranking::By;

use super::args::{Args, Command, TableArgs};
use super::chosen::Order;
use super::env::Env;
use super::exit::Exit;
use super::failure::Failure;
use super::opened::Surroundings;

/// Does what was typed and gives the exit code; failures are said on the error stream.
pub fn dispatch(args: Args, env: Env) -> Exit {
    let around = Surroundings { env, color: args.color, quiet: args.quiet };
    let done = match args.command {
        Command::Check(args) => check::check(&args, &around),
        Command::Loss(args) => one_table::print("loss", By::Urgency, &args, &around),
        Command::Margins(args) => one_table::print("margins", By::Urgency, &args, &around),
        Command::Remaining(args) => {
            let names: &[&str] = match args.backtest {
                true => &["remaining", "backtest"],
                false => &["remaining"],
            };
            one_table::print_all(names, By::Urgency, &args.table, &[], &around)
        }
        Command::Due(args) => one_table::those_that_fit(&["due", "duties"], &args.output)
            .and_then(|names| one_table::print_all(names, By::Urgency, &args, &[], &around)),
        Command::Exposure(args) => one_table::print("exposure", By::Urgency, &args, &around),
        Command::Budget(args) => budget::print(&args, &around),
        Command::Defects(args) => one_table::print("findings", By::Urgency, &args, &around),
        Command::Rank(args) => one_table::print("ranking", order(args.by), &args.table, &around),
        Command::Show(args) => {
            let table = args.table;
            let args = TableArgs { records: args.records, filter: args.filter, output: args.output, alert: args.alert };
            one_table::print(&table, By::Urgency, &args, &around)
        }
        Command::Explain(args) => explain::tell(&args, &around),
        Command::Convert(args) => convert::convert(&args, &around),
        Command::Sheet(args) => sheet::print(&args, &around),
        Command::Report(args) => report::write(&args, &around),
        Command::Run(args) => run::run(&args, &around),
        Command::Template(args) => template::write(&args, &around),
        Command::Completions(args) => manual::completions(args.shell),
        Command::Manual(args) => manual::manual(&args, &around),
        Command::Settings => list_settings::print(&around),
        Command::Demo(args) => demo::write(&args, &around),
    };
    match done {
        Ok(exit) => exit,
        Err(Failure { exit, message }) => {
            if !message.is_empty() {
                around.env.say(&message);
            }
            exit
        }
    }
}

fn order(by: Order) -> By {
    match by {
        Order::Urgency => By::Urgency,
        Order::Score => By::Score,
        Order::Days => By::Days,
        Order::Climate => By::Climate,
        Order::Defects => By::Defects,
        Order::Remaining => By::Remaining,
    }
}
