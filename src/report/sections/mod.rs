//! The sections of the page, a file each: results in, a typed view model out, and a template in `assets/` beside it.
//!
//! | file | section |
//! | --- | --- |
//! | [`today`] | what needs a hand now, and how many propellers there are |

pub mod today;
