//! A workbook in place of the fleet folder: what its sheets may hold, what is refused, and that it says what the folder says.

mod cells;
mod folder;
mod laws;
pub mod made;
mod raw;
mod refused;
mod run;
mod same_results;
mod settings;
mod sheets;
