//! Typed results put into the columns of the one list, a file a group of tables.

mod arrays;
pub mod forecast;
pub mod metal;
pub mod problems;
pub mod remaining;
