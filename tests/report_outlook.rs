//! The page's sections about what is ahead: their numbers are those of the result tables, their order is as stated, and a fleet
//! that lacks something is told so in words.

mod fleet_folder;

#[path = "report_outlook/demo.rs"]
mod demo;
#[path = "report_outlook/lacking.rs"]
mod lacking;
#[path = "report_outlook/section.rs"]
mod section;
