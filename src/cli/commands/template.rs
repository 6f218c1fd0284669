//! `template`: empty tables for a fleet's own records.

use crate::cli::args::TemplateArgs;
use crate::cli::chosen;
use crate::cli::destination::looks_like_a_file;
use crate::cli::exit::Exit;
use crate::cli::failure::Failure;
use crate::cli::opened::Surroundings;
use crate::onboard::template::{LengthUnit, Template};
use crate::records::GUIDE_SHEET;
use crate::tables::formats::Format;

/// Writes them.
pub fn write(args: &TemplateArgs, around: &Surroundings) -> Result<Exit, Failure> {
    let template = Template::new(match args.units {
        chosen::Units::In => LengthUnit::Inches,
        chosen::Units::Mm => LengthUnit::Millimetres,
    });
    let place = &args.place;
    let shown = place.display();
    let is_a_file = looks_like_a_file(place) && !place.is_dir();
    let begin = match Format::from_path(place) {
        Some(Format::Workbook) if is_a_file => {
            let written = template.write_workbook(place);
            written.map_err(|error| Failure::write(&error))?;
            format!("the sheet `{GUIDE_SHEET}`")
        }
        _ if is_a_file => {
            return Err(Failure::usage(format!(
                "{shown}: a template is a folder of CSV files, or a workbook\nhint: name a new folder, or let the file end in .xlsx"
            )));
        }
        _ => {
            let written = template.write_folder(place);
            written.map_err(|error| Failure::write(&error))?;
            "README.txt in it".to_string()
        }
    };
    around.note(&format!(
        "empty tables are in {shown}; begin with {begin}\nnext: fill in the serials of your propellers, then bladewane check {shown}"
    ));
    Ok(Exit::Done)
}
