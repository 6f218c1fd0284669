//! The number of an overhaul within a propeller's life, which the records of a used propeller do not tell.

use crate::records::Fleet;
use crate::records::choice::Acquired;

/// How many overhauls the fleet's propellers have behind them.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Numbering {
    /// By propeller: overhauls taken to lie before the first on record, and behind it in all.
    counts: Vec<(f32, f32)>,
}

impl Numbering {
    /// Counts the overhauls of a fleet. A propeller that came used is taken to have had as many before its first on record as
    /// make its number the upper quartile of those that came new and had any.
    pub fn of(fleet: &Fleet<'_>) -> Numbering {
        let recorded: Vec<(bool, u32)> = (0..fleet.propellers.len() as u32)
            .map(|propeller| {
                let overhauls = fleet.visits.of(propeller).iter().filter(|v| v.is_overhaul()).count();
                (fleet.propellers.get(propeller).acquired == Acquired::New, overhauls as u32)
            })
            .collect();
        let mut known: Vec<u32> =
            recorded.iter().filter(|(new, count)| *new && *count > 0).map(|(_, count)| *count).collect();
        let place = (3 * known.len()).div_ceil(4).saturating_sub(1);
        let usual = if known.is_empty() { 0 } else { *known.select_nth_unstable(place).1 };
        let counted = |(new, count): (bool, u32)| {
            let before = if new { 0 } else { usual.saturating_sub(count) };
            (before as f32, (before + count) as f32)
        };
        Numbering { counts: recorded.into_iter().map(counted).collect() }
    }

    /// Overhauls a propeller is taken to have had before its first on record.
    pub fn unrecorded(&self, propeller: u32) -> f64 {
        self.counts.get(propeller as usize).map_or(0.0, |counts| f64::from(counts.0))
    }

    /// Overhauls a propeller has behind it; none for one that is not of the fleet.
    pub fn so_far(&self, propeller: u32) -> f64 {
        self.counts.get(propeller as usize).map_or(0.0, |counts| f64::from(counts.1))
    }
}
