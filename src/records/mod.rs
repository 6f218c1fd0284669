//! The fleet folder: its tables, their checks, and the fleet as of a date.

pub mod cells;
pub mod chains;
mod checks;
pub mod choice;
mod columns;
pub mod defects;
mod document;
pub mod fleet;
pub mod flying;
pub mod gate;
pub mod inspections;
pub mod ledger;
mod limits;
pub mod load;
pub mod measurements;
pub mod models;
pub mod places;
pub mod prices;
pub mod propellers;
pub mod reading;
pub mod rule;
mod same_key;
pub mod schema;
mod sheet_checks;
mod sheet_days;
mod spoiled_visits;
pub mod visits;
pub mod words;

pub use document::document;
pub use fleet::Fleet;
pub use load::{LoadError, Loaded, LoadedTable, ReadOptions};
