//! Numbers of the trade that belong to no single method.

/// Largest difference of the tips' planes of rotation where a model states none, in inches (1/16 in as shops write it).
/// Common practice, no source.
pub const TRACK_LIMIT_IN: f64 = 0.062;
