//! Checked records in, one typed result out: a file each.

pub mod defect_rate;
pub mod exposure;
pub mod flown;
pub mod load;
pub mod loss;
pub mod margins;
pub mod mean_cumulative;
pub mod remaining;
pub mod standing;
pub mod survey;
