//! What a newcomer starts with: an invented fleet to try the program on, and empty tables for their own.

pub mod demo;
pub mod template;
