//! Checked records in, one typed result out: a file each.

pub mod due;
pub mod hours;
pub mod loss;
pub mod margins;
pub mod remaining;
pub mod standing;
pub mod survey;
