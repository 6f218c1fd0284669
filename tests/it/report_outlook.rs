//! The page's sections about what is ahead: their numbers are those of the result tables, their order is as stated, and a fleet
//! that lacks something is told so in words.
mod demo;
mod lacking;
mod section;
