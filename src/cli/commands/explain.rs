//! `explain`: the whole story of one propeller.

use crate::backtest;
use crate::cli::args::{AlertArgs, ExplainArgs};
use crate::cli::commands::one_table::finish;
use crate::cli::exit::Exit;
use crate::cli::failure::Failure;
use crate::cli::lines::wrap;
use crate::cli::opened::{Opened, Surroundings};
use crate::cli::output::print_text;
use crate::cli::story_text::story_text;
use crate::results::CAUTION;
use crate::results::answers::{Answers, Shown};
use crate::story::explain;
use crate::story::find::find;

/// Finds the propellers that the name means and tells the story of each.
pub fn tell(args: &ExplainArgs, around: &Surroundings) -> Result<Exit, Failure> {
    let progress = around.progress();
    let mut opened = Opened::read(&args.records, around, &progress)?;
    let (fleet, settings, _) = opened.fleet(&progress);
    let propellers = find(&fleet, &args.name).map_err(|not_found| Failure::usage(not_found.to_string()))?;
    let answers = Answers::new(&fleet, settings).with_backtester(backtest::of);
    let width = around.env.text_width();
    let styled = around.env.styled(around.color);
    let mut text = String::new();
    for propeller in propellers {
        progress.step(&format!("explaining {}", fleet.propellers.serial(propeller)));
        text.push_str(&story_text(&explain(&answers, propeller), width, styled));
        text.push('\n');
    }
    drop(progress);
    wrap(&mut text, CAUTION, width, "");
    print_text(&text, around.env.styled(around.color))?;
    finish(&answers, &Shown::all(), args.records.strict, AlertArgs::default(), around)
}
