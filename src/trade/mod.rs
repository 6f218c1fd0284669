//! Facts of the trade as small pure functions: no files, no tables.
//!
//! Every outside number says where it comes from. Four standings occur: *published* (and read), *from memory* (published,
//! recalled, to be verified against the current edition), *common practice, no source*, and *assumption* (of this
//! program, a setting the user can change). The words are in [`constants`].

pub mod calendar;
pub mod constants;
pub mod corrosion;
pub mod damage;
pub mod field_repair;
pub mod geometry;
pub mod load;
pub mod notch;
pub mod profile;
pub mod spin;
