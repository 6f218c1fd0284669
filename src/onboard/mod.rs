//! What a newcomer starts with: an invented fleet to try the program on.

pub mod demo;
