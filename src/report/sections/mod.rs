//! The sections of the page, a file each: results in, a typed view model out, and a template in `assets/` beside it.
//!
//! | file | section |
//! | --- | --- |
//! | [`today`] | what needs action now, and how many propellers there are |
//! | [`first`] | the ranking, list by list |
//! | [`open`] | findings, inspections and events that are open, in one list |
//! | [`metal`] | what is left above the minimum, station by station |
//! | [`due`] | when does each come due? |
//! | [`left`] | how many overhauls are left of each? |
//! | [`money`] | what does it cost, and what is to be ordered? |
//! | [`air`] | what the air has done, how often each is damaged, and how damage adds up |
//! | [`folds`] | all about one propeller, one by one |
//! | [`trust`] | how well the forecast did, what became of the rows, what is assumed |

pub mod air;
pub mod due;
mod duties;
pub mod first;
pub mod folds;
pub mod left;
pub mod metal;
pub mod money;
pub mod open;
pub mod today;
pub mod trust;
