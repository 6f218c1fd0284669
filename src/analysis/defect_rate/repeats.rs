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
            write!(f, "blade {} at {from}-{to} %: {}", self.blade, self.findings)
        }
    }
}

/// The places of a propeller with more than one finding, strikes apart, by blade and distance from the hub.
///
/// No place is wider than [`SAME_PLACE_PCT`], and a finding belongs to one place only: of each blade the place with the
/// most findings is taken first, the innermost of equals, then the next from what is left.
pub fn repeats(findings: &[Defect]) -> Vec<Repeat> {
    if findings.len() < 2 {
        return Vec::new();
    }
    let mut places: Vec<(u8, f64)> =
        findings.iter().filter(|f| is_counted(f)).filter_map(|f| Some((f.blade?, f.station_pct?))).collect();
    places.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut repeats: Vec<Repeat> = Vec::new();
    while let Some((from, to)) = fullest(&places) {
        repeats.push(Repeat {
            blade: places[from].0,
            from_pct: places[from].1,
            to_pct: places[to - 1].1,
            findings: (to - from) as u32,
        });
        places.drain(from..to);
    }
    repeats.sort_by(|a, b| (a.blade.cmp(&b.blade)).then(a.from_pct.total_cmp(&b.from_pct)));
    repeats
}

/// The range of sorted findings that one place holds most of; `None` when none holds two.
fn fullest(places: &[(u8, f64)]) -> Option<(usize, usize)> {
    let mut best: Option<(usize, usize)> = None;
    let mut to = 0;
    for (from, &(blade, pct)) in places.iter().enumerate() {
        to = to.max(from);
        while to < places.len() && places[to].0 == blade && places[to].1 - pct <= SAME_PLACE_PCT + 1e-9 {
            to += 1;
        }
        if to - from > best.map_or(1, |(from, to)| to - from) {
            best = Some((from, to));
        }
    }
    best
}
