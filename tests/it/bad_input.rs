//! What people's tables look like, and the exact words they are answered with.

mod cautions;
mod cells;
mod duplicates;
mod duplicates_elsewhere;
mod formats;
mod header;
mod records;
mod rules;
mod whole_table;
