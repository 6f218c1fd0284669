//! The forecast: what the fleet's cycles say of each propeller's next ones, and the chance that its margins outlast them.
//!
//! Per dimension, over the propellers of a pool, scrapped ones included: the loss of a cycle is `y = mu + a_p + e`, `a_p` the
//! propeller's own, predicted with the ratio of the two variances integrated out ([`crate::stats::ratio`]). Given the common loss,
//! stations are independent, each with the scatter of its own ([`crate::stats::residual_variances`]), and the chance that every
//! margin survives k overhauls is an integral ([`crate::stats::first_passage`]).
//!
//! | file | question |
//! | --- | --- |
//! | [`course`] | do losses rise from one overhaul to the next? |
//! | [`fit`] | what does one pool say of one dimension? |
//! | [`pools`] | which propellers are fitted together, and what do all pools say? |
//! | [`other_causes`] | how often is a propeller rejected for something else than its dimensions? |
//! | [`missed`] | what did a place lose that was not read? |
//! | [`to_come`] | what will blends take until the next overhauls? |
//! | [`predict`] | what is left of one propeller? |
//! | [`fresh`] | what is ahead of a new one? |

pub mod course;
pub mod fit;
pub mod fresh;
pub mod missed;
pub mod other_causes;
pub mod pools;
pub mod predict;
pub mod to_come;

pub use course::Course;
pub use fit::{Estimate, Fit};
pub use pools::Fits;
pub use predict::Forecaster;
