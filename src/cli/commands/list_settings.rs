//! `settings`: every setting with its default and meaning.

use std::fmt::Write as _;

use crate::cli::exit::Exit;
use crate::cli::failure::Failure;
use crate::cli::lines::wrap;
use crate::cli::opened::Surroundings;
use crate::cli::output::print_text;
use crate::settings::Settings;

/// Prints the list.
pub fn print(around: &Surroundings) -> Result<Exit, Failure> {
    let width = around.env.text_width().max(40);
    let mut text = String::from(
        "Settings go into fleet.toml in the fleet folder (in a workbook, into its sheet `fleet`: key, value),\nor into a file given with --settings.\n",
    );
    let mut section = None;
    for row in Settings::default().rows() {
        if section != Some(row.section) {
            section = Some(row.section);
            let heading = match row.section {
                "" => "\nat the top of the file".to_string(),
                name => format!("\n[{name}]"),
            };
            let _ = writeln!(text, "{heading}");
        }
        let unit = match row.unit {
            "" => String::new(),
            unit => format!(" {unit}"),
        };
        let _ = writeln!(text, "  {} = {}{unit}", row.key, row.default);
        let meaning = format!("{}. Give {}. Default: {}.", row.meaning, row.allowed, row.source);
        wrap(&mut text, &meaning, width, "      ");
    }
    print_text(&text, around.env.styled(around.color))?;
    Ok(Exit::Done)
}
