//! bladewane follows the wear of a fleet of fixed-pitch aluminium propellers: it reads years of overhaul records, works out
//! each blade's loss of width and thickness toward the minimum, and says what comes first.
//!
//! Floors, each using only those below: [`questions`] on [`results`] on [`analysis`] on [`records`] on [`tables`], [`settings`]
//! and [`trade`].

pub mod analysis;
pub mod backtest;
pub mod cli;
pub mod onboard;
pub mod questions;
pub mod records;
pub mod report;
pub mod results;
pub mod settings;
pub mod stats;
pub mod story;
pub mod tables;
pub mod trade;
