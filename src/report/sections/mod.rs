//! The sections of the page, a file each: results in, a typed view model out, and a template in `assets/` beside it.
//!
//! | file | section |
//! | --- | --- |
//! | [`today`] | what needs a hand now, and how many propellers there are |
//! | [`first`] | the ranking, list by list |
//! | [`metal`] | what is left above the minimum, station by station |
//! | [`trust`] | how well the forecast did, what became of the rows, what is assumed |

pub mod first;
pub mod metal;
pub mod today;
pub mod trust;
