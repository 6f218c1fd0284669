//! Numerics on slices: numbers in, structs out. Nothing here reads a file, knows a table or knows
//! what the numbers describe; lengths may be in any one unit as long as it is the same throughout.
//!
//! | file | question |
//! | --- | --- |
//! | [`groups`] | what does each group say, and all together at one variance ratio? |
//! | [`reml`] | how large are the variances between and within groups? |
//! | [`ratio`] | what is a group's next mean, with the variance ratio itself uncertain? |
//! | [`residual_variances`] | how much of the residual variance is gauge error, how much lasts? |
//! | [`losses`] | what is lost per step, in common and apart? |
//! | [`first_passage`] | what is the chance that every margin survives k steps? |
//! | [`compound`] | what is the chance where random amounts are taken besides? |
//! | [`simulation`] | does drawing the steps one by one confirm that chance? |
//! | [`gamma_poisson`] | how much do event rates differ between units? |
//! | [`rate_posterior`] | what is known of one unit's event rate? |
//! | [`mean_cumulative`] | how many events has a system had by an age, on average? |
//! | [`slope`] | do values rise from one number to the next? |
//! | [`trend`] | are events becoming more frequent? |
//! | [`normal`], [`student_score`], [`gauss_legendre`], [`root`] | the functions these rest on |

pub mod compound;
pub mod first_passage;
pub mod gamma_poisson;
pub mod gauss_legendre;
pub mod groups;
pub mod losses;
pub mod mean_cumulative;
pub mod normal;
pub mod rate_posterior;
pub mod ratio;
pub mod reml;
pub mod residual_variances;
pub mod root;
pub mod slope;
pub mod student_score;
pub mod trend;
