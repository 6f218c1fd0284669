//! The steady pull of the blade's own rotation, as information beside a finding.

use thiserror::Error;

use super::geometry::{MM_PER_IN, STATION_SNAP_IN};

/// Width and thickness at one station, inches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Radius from the hub centre.
    pub station_in: f64,
    /// Width there.
    pub width_in: f64,
    /// Thickness there.
    pub thickness_in: f64,
}

/// Steady stress at one radius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpinStress {
    /// MPa, the mean over the section.
    pub stress_mpa: f64,
    /// The radius lies beyond the first or last station by more than 0.1 in, so its own section is that station's.
    pub outside_listed: bool,
}

/// Why a steady stress cannot be worked out.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum SpinError {
    /// No station is known.
    #[error("no station with width and thickness")]
    NoStation,
    /// Stations not in rising order, or a station that is not a number.
    #[error("stations must rise from the hub to the tip, found {0} in out of order")]
    Order(f64),
    /// A station outside the blade: a wrong diameter.
    #[error("a station at {station_in} in lies beyond the tip at {tip_in} in")]
    BeyondTip {
        /// The station.
        station_in: f64,
        /// Half the diameter.
        tip_in: f64,
    },
    /// A dimension that is negative or not a number, or no metal at the radius asked for.
    #[error("no section at {0} in")]
    NoMetal(f64),
    /// A radius, speed or density that cannot be one.
    #[error("{quantity} of {value} is not possible")]
    Impossible {
        /// Which.
        quantity: &'static str,
        /// What was given.
        value: f64,
    },
}

/// Angular speed in rad/s of a speed in revolutions per minute.
pub fn angular_speed_rad_s(rpm: f64) -> f64 {
    std::f64::consts::TAU * rpm / 60.0
}

/// Steady stress in MPa at a radius, `sigma(r) = rho omega^2 / A(r) Int_r^R A(x) x dx`.
///
/// `sections` rise from hub to tip (inches); width and thickness are linear between them, each held at the nearest listed
/// station outside them, so the area `kA width thickness` is quadratic between stations and the integral exact (kA
/// cancels). `radius_in` and `tip_in` (half the diameter) in inches, `rpm` revolutions per minute, density kg/m3. At
/// the tip the stress is 0.
///
/// Mechanics of a straight bar turning about its end, exact: axial load only, no bending, no twist.
///
/// # Errors
/// [`SpinError`]; nothing is assumed in place of a value that cannot be used.
pub fn steady_stress(
    sections: &[Section],
    radius_in: f64,
    tip_in: f64,
    rpm: f64,
    density_kg_m3: f64,
) -> Result<SpinStress, SpinError> {
    check_positive("a tip radius in inches", tip_in)?;
    check_positive("a speed in revolutions per minute", rpm)?;
    check_positive("a density in kg/m3", density_kg_m3)?;
    if !(radius_in >= 0.0 && radius_in <= tip_in + STATION_SNAP_IN + 1e-9) {
        return Err(SpinError::Impossible { quantity: "a radius in inches", value: radius_in });
    }
    let (first, last) = check_sections(sections, tip_in)?;
    let outside_listed =
        radius_in < first.station_in - STATION_SNAP_IN - 1e-9 || radius_in > last.station_in + STATION_SNAP_IN + 1e-9;
    if radius_in >= tip_in {
        return Ok(SpinStress { stress_mpa: 0.0, outside_listed });
    }

    let own = section_at(sections, radius_in);
    let area = own.width_in * own.thickness_in;
    if area <= 0.0 {
        return Err(SpinError::NoMetal(radius_in));
    }
    // From the radius over every station beyond it to the tip.
    let mut from = own;
    let mut moment = 0.0;
    let beyond = sections.iter().copied().filter(|s| s.station_in > radius_in && s.station_in < tip_in);
    for to in beyond.chain(std::iter::once(section_at(sections, tip_in))) {
        moment += first_moment_in4(from, to);
        from = to;
    }
    let omega = angular_speed_rad_s(rpm);
    let metres = MM_PER_IN / 1000.0;
    let stress_pa = density_kg_m3 * omega * omega * moment / area * metres * metres;
    Ok(SpinStress { stress_mpa: stress_pa / 1e6, outside_listed })
}

fn check_positive(quantity: &'static str, value: f64) -> Result<(), SpinError> {
    if value > 0.0 && value.is_finite() { Ok(()) } else { Err(SpinError::Impossible { quantity, value }) }
}

/// First and last section of a list in rising order, inside the tip, with dimensions that can be some.
fn check_sections(sections: &[Section], tip_in: f64) -> Result<(Section, Section), SpinError> {
    let (Some(&first), Some(&last)) = (sections.first(), sections.last()) else {
        return Err(SpinError::NoStation);
    };
    let mut previous = f64::NEG_INFINITY;
    for s in sections {
        // Written so that what is not a number fails.
        if !(s.station_in > previous && s.station_in.is_finite()) {
            return Err(SpinError::Order(s.station_in));
        }
        let possible = |x: f64| x >= 0.0 && x.is_finite();
        if !possible(s.width_in) || !possible(s.thickness_in) {
            return Err(SpinError::NoMetal(s.station_in));
        }
        previous = s.station_in;
    }
    if last.station_in > tip_in + STATION_SNAP_IN + 1e-9 {
        return Err(SpinError::BeyondTip { station_in: last.station_in, tip_in });
    }
    Ok((first, last))
}

/// Width and thickness at a radius, moved there. `sections` is checked: rising, not empty.
fn section_at(sections: &[Section], radius_in: f64) -> Section {
    let after = sections.partition_point(|s| s.station_in <= radius_in);
    let low = sections[after.saturating_sub(1)];
    let high = sections[after.min(sections.len() - 1)];
    let span = high.station_in - low.station_in;
    let share = if span > 0.0 { (radius_in - low.station_in) / span } else { 0.0 };
    Section {
        station_in: radius_in,
        width_in: low.width_in + share * (high.width_in - low.width_in),
        thickness_in: low.thickness_in + share * (high.thickness_in - low.thickness_in),
    }
}

/// `Int width thickness x dx` between two sections, in^4. The integrand is a cubic, which two Gauss nodes integrate exactly.
fn first_moment_in4(from: Section, to: Section) -> f64 {
    let half = (to.station_in - from.station_in) / 2.0;
    let at = |t: f64| {
        let mix = |a: f64, b: f64| a + (b - a) * (1.0 + t) / 2.0;
        mix(from.width_in, to.width_in) * mix(from.thickness_in, to.thickness_in) * mix(from.station_in, to.station_in)
    };
    let node = 1.0 / 3.0f64.sqrt();
    half * (at(-node) + at(node))
}
