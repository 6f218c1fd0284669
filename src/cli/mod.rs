//! The command line: what was typed, what surrounds the program, and how results are put on a terminal. Nothing is computed
//! here.

pub mod args;
pub mod chosen;
pub mod closed_pipe;
pub mod commands;
pub mod destination;
pub mod env;
pub mod exit;
pub mod failure;
mod first_columns;
pub mod lines;
pub mod notes;
pub mod opened;
pub mod output;
pub mod progress;
pub mod result_workbook;
pub mod signals;
pub mod story_text;
pub mod summary;
pub mod table;
