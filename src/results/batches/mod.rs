//! Typed results put into the columns of the one list, a file a group of tables.

pub mod arrays;
pub mod defect_rate;
pub mod due;
pub mod exposure;
pub mod findings;
pub mod forecast;
pub mod gaps;
mod identity;
pub mod load;
pub mod metal;
pub mod plan;
pub mod problems;
pub mod ranking;
pub mod remaining;
