//! Cycles, fits and what is left: by hand, by law, on thin records, and against simulated fleets whose truth is known.

#[path = "forecast/calibration.rs"]
mod calibration;
#[path = "forecast/cycles.rs"]
mod cycles;
#[path = "forecast/laws.rs"]
mod laws;
#[path = "forecast/records.rs"]
mod records;
mod reference;
#[path = "forecast/thin.rs"]
mod thin;
