//! `demo`: an invented fleet to try things on.

use crate::cli::args::DemoArgs;
use crate::cli::chosen;
use crate::cli::exit::Exit;
use crate::cli::failure::Failure;
use crate::cli::opened::Surroundings;
use crate::onboard::demo::{AS_OF, DemoFormat, DemoOptions, fleet, write as write_demo};

/// Writes it.
pub fn write(args: &DemoArgs, around: &Surroundings) -> Result<Exit, Failure> {
    let progress = around.progress();
    progress.step("inventing a fleet");
    let made =
        fleet(&DemoOptions { propellers: args.propellers, seed: args.seed, telling_cases: true, bad_rows: true });
    progress.step("writing it");
    let format = match args.format {
        chosen::DemoFormat::Csv => DemoFormat::Csv,
        chosen::DemoFormat::Parquet => DemoFormat::Parquet,
    };
    write_demo(&args.folder, &made, format).map_err(|e| Failure::write(&e))?;
    drop(progress);
    let folder = args.folder.display();
    around.note(&format!(
        "an invented fleet is in {folder}; none of it is real\nnext: bladewane run {folder} --as-of {AS_OF}"
    ));
    Ok(Exit::Done)
}
