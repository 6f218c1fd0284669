//! The text `run` ends with: what there is, what comes first, and where the files are.

use std::fmt::Write as _;

use super::lines::wrap;
use super::opened::Surroundings;
use crate::records::schema::Table;
use crate::results::CAUTION;
use crate::results::answers::{Answers, Shown};

/// The summary.
pub fn summary(
    answers: &Answers<'_, '_>,
    shown: &Shown,
    folder: &str,
    around: &Surroundings,
) -> String {
    let width = usize::from(around.env.width);
    let fleet = answers.fleet;
    let mut text = String::new();
    let name = answers
        .settings
        .fleet
        .name
        .clone()
        .unwrap_or_else(|| fleet_name(&fleet.loaded.folder));
    let _ = writeln!(text, "{name}, as of {}", fleet.as_of);
    let count = |table: Table| fleet.ledger.counts(table).map_or(0, |c| c.used);
    wrap(
        &mut text,
        &format!(
            "{} propellers, {} overhauls, {} measurements, {} rows set aside",
            fleet.propellers.len(),
            count(Table::Overhauls),
            count(Table::Measurements),
            fleet.ledger.total_set_aside()
        ),
        width,
        "",
    );
    let _ = shown;
    let _ = writeln!(text, "\nEverything is in {folder}");
    wrap(&mut text, CAUTION, width, "");
    text
}

fn fleet_name(folder: &std::path::Path) -> String {
    folder
        .canonicalize()
        .unwrap_or_else(|_| folder.to_path_buf())
        .file_name()
        .map_or_else(|| "Fleet".to_string(), |n| n.to_string_lossy().into_owned())
}
