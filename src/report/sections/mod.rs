//! The sections of the page, a file each: results in, a typed view model out, and a template in `assets/` beside it.
//!
//! | file | section |
//! | --- | --- |
//! | [`today`] | what needs a hand now, and how many propellers there are |
//! | [`due`] | when does each come due? |
//! | [`left`] | how many overhauls are left of each? |
//! | [`money`] | what does it cost, and what is to be ordered? |

pub mod due;
pub mod left;
pub mod money;
pub mod today;
