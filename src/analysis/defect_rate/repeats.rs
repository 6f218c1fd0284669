//! Where on a blade damage comes back.

use std::fmt;

use super::is_counted;
use crate::records::defects::Defect;

/// Findings on one blade within this much of the radius, in percent of it, are at one place.
pub const SAME_PLACE_PCT: f64 = 5.0;

/// A place on a blade with more than one finding.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repeat {
    /// Blade, from 1.
    pub blade: u8,
    /// Innermost of them, in percent of the radius.
    pub from_pct: f64,
    /// Outermost of them.
    pub to_pct: f64,
    /// Findings there.
    pub findings: u32,
}

impl fmt::Display for Repeat {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (from, to) = (self.from_pct.round(), self.to_pct.round());
        if from == to {
            write!(f, "blade {} at {from} %: {}", self.blade, self.findings)
        } else {
            write!(
                f,
                "blade {} at {from}-{to} %: {}",
                self.blade, self.findings
            )
        }
    }
}

/// The places of a propeller with more than one finding, strikes apart, by blade and distance from the hub.
///
/// A finding belongs to the place of its neighbour within [`SAME_PLACE_PCT`], so a row of them is one place however long.
pub fn repeats(findings: &[Defect]) -> Vec<Repeat> {
    if findings.len() < 2 {
        return Vec::new();
    }
    let mut places: Vec<(u8, f64)> = findings
        .iter()
        .filter(|f| is_counted(f))
        .filter_map(|f| Some((f.blade?, f.station_pct?)))
        .collect();
    places.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    places
        .chunk_by(|a, b| a.0 == b.0 && b.1 - a.1 <= SAME_PLACE_PCT + 1e-9)
        .filter(|group| group.len() > 1)
        .map(|group| Repeat {
            blade: group[0].0,
            from_pct: group[0].1,
            to_pct: group[group.len() - 1].1,
            findings: group.len() as u32,
        })
        .collect()
}
