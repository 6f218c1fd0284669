//! Numbers of the trade that belong to no single method, and the words for where a number comes from.

/// Printed beside a published number that was recalled and not read.
pub const FROM_MEMORY: &str = "from memory, verify against the current edition";

/// Printed beside a number that mechanics and shops use and that no document known to this program states.
pub const COMMON_PRACTICE: &str = "common practice, no source";

/// Printed beside a number that this program assumes and the user can set.
pub const ASSUMPTION: &str = "assumption of this program, a setting";

/// Thickness that a full skin at an overhaul takes off, in inches. Common practice, no source.
///
/// It also stands in for the thickness lost from one overhaul to the next where a fleet's own records are too few.
pub const COMMON_SKIN_THICKNESS_LOSS_IN: f64 = 0.008;

/// The same skin on one side of the blade, in inches. Common practice, no source.
pub const COMMON_SKIN_SIDE_LOSS_IN: f64 = COMMON_SKIN_THICKNESS_LOSS_IN / 2.0;

/// Width lost from one overhaul to the next where a fleet's own records are too few, in inches. Assumption.
pub const WIDTH_LOSS_ASSUMED_IN: f64 = 0.022;

/// Spread (standard deviation over mean) of the two losses above where the records are too few. Assumption.
pub const LOSS_SPREAD_ASSUMED: f64 = 0.5;

/// Largest difference of the tips' planes of rotation where a model states none, in inches (1/16 in as shops write it).
/// Common practice, no source.
pub const TRACK_LIMIT_IN: f64 = 0.062;

#[cfg(test)]
mod tests {
    use super::*;

    // Common practice, no source: a full skin is about 0.008 in of thickness, 0.004 in a side.
    #[test]
    fn a_full_skin_is_two_sides() {
        assert_eq!(COMMON_SKIN_THICKNESS_LOSS_IN, 0.008);
        assert_eq!(COMMON_SKIN_SIDE_LOSS_IN, 0.004);
    }
}
