//! Checked records in, one typed result out: a file each.

pub mod chance;
pub mod cycles;
pub mod defect_rate;
pub mod due;
pub mod event_checks;
pub mod exposure;
pub mod findings;
pub mod flown;
pub mod forecast;
pub mod gaps;
pub mod hours;
pub mod inspections;
pub mod last_readings;
pub mod load;
pub mod loss;
pub mod margins;
pub mod mean_cumulative;
pub mod overview;
pub mod plan;
pub mod ranking;
pub mod recorded_hours;
pub mod remaining;
pub mod score;
pub mod stale;
pub mod standing;
pub mod survey;
