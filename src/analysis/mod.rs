//! Checked records in, one typed result out: a file each.

pub mod due;
pub mod findings;
pub mod hours;
pub mod last_readings;
pub mod loss;
pub mod margins;
pub mod ranking;
pub mod remaining;
pub mod standing;
pub mod survey;
