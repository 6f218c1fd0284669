//! What a newcomer starts with: an invented fleet to try the program on, empty tables for their own, and a shop's sheet added to a
//! fleet.

pub mod book_to_folder;
pub mod convert;
pub mod demo;
pub mod template;
