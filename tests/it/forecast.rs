//! Cycles, fits and what is left: by hand, by law, on thin records, and against simulated fleets whose truth is known.
mod blends;
mod calibration;
mod cycles;
mod laws;
mod missed;
mod real;
pub mod records;
mod thin;
