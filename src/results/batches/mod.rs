//! Typed results put into the columns of the one list, a file a group of tables.

mod arrays;
pub mod due;
pub mod findings;
mod identity;
pub mod metal;
pub mod problems;
pub mod ranking;
pub mod remaining;
