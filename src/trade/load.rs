//! How much of a blade's stiffness is left, and what an hour on a thinned blade counts for.

use thiserror::Error;

/// Stations from this percent of the radius outward are looked at for the worst section. Assumption.
pub const WORST_STATION_FROM_PCT: f64 = 60.0;

/// Why a load figure cannot be worked out.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[error("{quantity} of {value} is not possible")]
pub struct LoadError {
    /// Which.
    pub quantity: &'static str,
    /// What was given.
    pub value: f64,
}

/// Share of the new blade's section modulus that is left at a station, `(width/width_new) (thickness/thickness_new)^2`.
///
/// Inches, or any one unit. Exact for a section that keeps its shape as it shrinks; metal lost on one side bends it a
/// little more than this.
///
/// # Errors
/// [`LoadError`] for a dimension that is not a positive number.
pub fn section_modulus_retained(
    width: f64,
    width_new: f64,
    thickness: f64,
    thickness_new: f64,
) -> Result<f64, LoadError> {
    let width = positive("a width", width)? / positive("a new width", width_new)?;
    let thickness = positive("a thickness", thickness)? / positive("a new thickness", thickness_new)?;
    Ok(width * thickness * thickness)
}

/// The worst of a blade's stations: the least section modulus retained from [`WORST_STATION_FROM_PCT`] outward, as
/// `(station in percent, retained)`; of two equals the outer. `None` when no such station has one.
///
/// `stations` holds the same pairs, in any order and over all blades; what is not a number is passed over.
pub fn worst_station(stations: &[(f64, f64)]) -> Option<(f64, f64)> {
    stations
        .iter()
        .copied()
        // A station typed 59.99 for 60 is meant to be 60.
        .filter(|(pct, retained)| *pct >= WORST_STATION_FROM_PCT - 0.05 && retained.is_finite())
        .min_by(|a, b| a.1.total_cmp(&b.1).then(b.0.total_cmp(&a.0)))
}

/// What one hour counts for on a blade with this share of its section modulus left, `(1/retained)^m`.
///
/// Bending stress goes as 1/section modulus and fatigue damage as stress to the power m. Assumes the same vibratory moment
/// as on a new blade; a fleet view, not a life. Check: 5 % thinner at full width, `0.95^(-2 * 9.44)` = 2.6338.
///
/// # Errors
/// [`LoadError`] for a share or exponent that is not a positive number.
pub fn hour_weight(section_modulus_retained: f64, exponent: f64) -> Result<f64, LoadError> {
    let retained = positive("a section modulus retained", section_modulus_retained)?;
    let m = positive("a fatigue exponent", exponent)?;
    Ok(retained.powf(-m))
}

/// Equivalent hours of one cycle: hours flown times [`hour_weight`]. Sums over cycles.
///
/// # Errors
/// [`LoadError`] for negative hours too.
pub fn equivalent_hours(hours: f64, section_modulus_retained: f64, exponent: f64) -> Result<f64, LoadError> {
    Ok(not_negative("a number of hours", hours)? * hour_weight(section_modulus_retained, exponent)?)
}

/// Revolutions in a number of hours at the model's greatest speed, `hours * 60 * rpm`: an upper figure, as no engine turns at
/// its limit all the time.
///
/// # Errors
/// [`LoadError`] for negative hours or a speed that is not a positive number.
pub fn revolutions(hours: f64, max_rpm: f64) -> Result<f64, LoadError> {
    Ok(not_negative("a number of hours", hours)? * 60.0 * positive("a speed in revolutions per minute", max_rpm)?)
}

fn positive(quantity: &'static str, value: f64) -> Result<f64, LoadError> {
    if value > 0.0 && value.is_finite() { Ok(value) } else { Err(LoadError { quantity, value }) }
}

fn not_negative(quantity: &'static str, value: f64) -> Result<f64, LoadError> {
    if value >= 0.0 && value.is_finite() { Ok(value) } else { Err(LoadError { quantity, value }) }
}
