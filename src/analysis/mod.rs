//! Checked records in, one typed result out: a file each.

pub mod cycles;
pub mod forecast;
pub mod loss;
pub mod margins;
pub mod remaining;
pub mod score;
pub mod standing;
pub mod survey;
