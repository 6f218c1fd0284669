//! Which propellers an identifier means: a serial, else an aircraft with what is on it.

use crate::records::Fleet;
use crate::settings::nearest_there;

/// More identifiers than this are not compared one by one.
const MOST_COMPARED: usize = 50_000;

/// An identifier that means nothing here.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotFound {
    /// A serial that is listed only from a later day on.
    #[error("propeller `{0}` comes on the record after the as-of date\nhint: give a later day with --as-of")]
    Later(String),
    /// An aircraft without a propeller on that day.
    #[error(
        "aircraft `{0}` has no propeller on record on the as-of date\nhint: name a propeller by its serial, or give another day with --as-of"
    )]
    NoPropeller(String),
    /// Neither a serial nor an aircraft.
    #[error("`{name}`: no propeller and no aircraft of this fleet has that name\nhint: {hint}")]
    Unknown {
        /// What was asked for.
        name: String,
        /// Identifiers like it, or where all are listed.
        hint: String,
    },
}

/// The propellers that an identifier means, in order of serial: the one with that serial, else those on that aircraft today.
///
/// # Errors
/// [`NotFound`], with the nearest identifiers.
pub fn find(fleet: &Fleet<'_>, name: &str) -> Result<Vec<u32>, NotFound> {
    let name = name.trim();
    if let Some(propeller) = fleet.propellers.find(name) {
        return Ok(vec![propeller]);
    }
    if fleet.propellers.is_later(name) {
        return Err(NotFound::Later(name.to_string()));
    }
    let on_it: Vec<u32> = (0..fleet.propellers.len() as u32)
        .filter(|&p| fleet.aircraft_of(p) == Some(name) && fleet.end_of(p).is_none())
        .collect();
    if !on_it.is_empty() {
        return Ok(on_it);
    }
    let aircraft = || fleet.propellers.aircraft.iter().chain(fleet.flying.aircraft.iter());
    if aircraft().any(|known| known == name) {
        return Err(NotFound::NoPropeller(name.to_string()));
    }
    let count = fleet.propellers.len();
    let serials = (0..count as u32).map(|p| fleet.propellers.serial(p));
    let near = (count <= MOST_COMPARED).then(|| nearest_there(name, serials.chain(aircraft()))).flatten();
    let hint = near.unwrap_or_else(|| "`bladewane rank FLEET` lists every propeller".to_string());
    Err(NotFound::Unknown { name: name.to_string(), hint })
}
