//! The fleet's curve: how many findings a propeller has had by an age in flight hours, on average.
//!
//! Nelson's mean cumulative function ([`crate::stats::mean_cumulative`]) over the times in which findings were written
//! down, strikes apart: for all propellers, for each base while a propeller lived there, and for each runway surface. A
//! propeller whose hours since new are not known is not in it.

use rayon::prelude::*;

use super::defect_rate::watch::Watch;
use super::defect_rate::{DefectRates, is_counted};
use super::exposure::whereabouts::{Whereabouts, whereabouts_into};
use super::flown::{AgeKnown, FlownHours};
use crate::records::Fleet;
use crate::records::choice::Runway;
use crate::stats::mean_cumulative::mean_cumulative;
use crate::trade::calendar::Day;

/// Points of a curve that are kept at the most; every point kept is exact.
pub const MOST_POINTS: usize = 500;

const PROPELLERS_AT_ONCE: usize = 1024;

/// Whose curve it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Group {
    /// Every propeller.
    All,
    /// Propellers while they lived at a base, by its number.
    Base(u32),
    /// Propellers while they lived where the runway has this surface.
    Runway(Runway),
}

impl Group {
    /// The words for it.
    pub fn words(self, fleet: &Fleet<'_>) -> String {
        match self {
            Group::All => "all".to_string(),
            Group::Base(base) => format!("base {}", fleet.places.bases()[base as usize].name),
            Group::Runway(runway) => format!("runway {}", runway.word()),
        }
    }
}

/// A point of a group's curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurvePoint {
    /// Whose.
    pub group: Group,
    /// Age in flight hours since new.
    pub hours: f64,
    /// Mean findings a propeller up to that age.
    pub mean: f64,
    /// 95 % limits; `None` where only one propeller was watched at some age before.
    pub limits: Option<(f64, f64)>,
    /// Propellers watched at that age.
    pub at_risk: usize,
}

/// A time in which one propeller was watched in a group, by age in hours.
#[derive(Debug, Clone, PartialEq)]
struct Seen {
    group: Group,
    entry: f64,
    end: f64,
    findings: Vec<f64>,
}

/// The curves of a fleet: all, then bases by name, then runway surfaces; each by age.
pub fn curves(fleet: &Fleet<'_>, hours: &dyn FlownHours, rates: &DefectRates) -> Vec<CurvePoint> {
    let count = fleet.propellers.len();
    let mut seen: Vec<Seen> = (0..count.div_ceil(PROPELLERS_AT_ONCE))
        .into_par_iter()
        .flat_map_iter(|slice| {
            let from = slice * PROPELLERS_AT_ONCE;
            let to = (from + PROPELLERS_AT_ONCE).min(count);
            let mut seen = Vec::new();
            let mut places = Vec::new();
            for propeller in from..to {
                if let Ok(watch) = &rates.propellers[propeller].watch {
                    let propeller = propeller as u32;
                    see(fleet, hours, propeller, watch, &mut places, &mut seen);
                }
            }
            seen
        })
        .collect();
    seen.sort_by_key(|s| s.group);
    let groups: Vec<&[Seen]> = seen.chunk_by(|a, b| a.group == b.group).collect();
    let points: Vec<Vec<CurvePoint>> = groups.into_par_iter().map(curve).collect();
    points.concat()
}

/// Adds the times of one propeller, in every group.
fn see(
    fleet: &Fleet<'_>,
    hours: &dyn FlownHours,
    propeller: u32,
    watch: &Watch,
    places: &mut Vec<Whereabouts>,
    seen: &mut Vec<Seen>,
) {
    let Some(known) = AgeKnown::of(fleet, propeller) else {
        return;
    };
    let between = hours.of(propeller);
    let age = |day: Day| known.hours_on(day, &between);
    let findings: Option<Vec<(Day, f64)>> = fleet
        .defects
        .of(propeller)
        .iter()
        .filter(|f| is_counted(f) && watch.holds(f.found))
        .map(|f| Some((f.found, age(f.found)?)))
        .collect();
    let Some(findings) = findings else { return };
    let mut add = |group: Group, from: Day, to: Day| {
        let (Some(entry), Some(end)) = (age(from), age(to)) else {
            return;
        };
        // A finding of the day of a move belongs to the place moved to.
        let within = |day: Day| from <= day && (day < to || to == watch.to);
        seen.push(Seen {
            group,
            entry,
            end: end.max(entry),
            findings: findings
                .iter()
                .filter(|(day, _)| within(*day))
                .map(|(_, age)| age.clamp(entry, end.max(entry)))
                .collect(),
        });
    };
    add(Group::All, watch.from, watch.to);
    places.clear();
    whereabouts_into(fleet, propeller, watch.from, watch.to, places);
    let runway = |base: Option<u32>| fleet.places.bases()[base? as usize].runway;
    for stretch in places.chunk_by(|a, b| a.base == b.base) {
        if let Some(base) = stretch[0].base {
            add(Group::Base(base), stretch[0].from, stretch[stretch.len() - 1].to);
        }
    }
    for stretch in places.chunk_by(|a, b| runway(a.base) == runway(b.base)) {
        if let Some(runway) = runway(stretch[0].base) {
            add(Group::Runway(runway), stretch[0].from, stretch[stretch.len() - 1].to);
        }
    }
}

/// The curve of one group.
fn curve(seen: &[Seen]) -> Vec<CurvePoint> {
    let entry: Vec<f64> = seen.iter().map(|s| s.entry).collect();
    let end: Vec<f64> = seen.iter().map(|s| s.end).collect();
    let (system, age): (Vec<usize>, Vec<f64>) =
        seen.iter().enumerate().flat_map(|(system, s)| s.findings.iter().map(move |&age| (system, age))).unzip();
    // Ages are finite and findings lie within their times, so nothing is refused.
    let points = mean_cumulative(&entry, &end, &system, &age).unwrap_or_default();
    let kept = points.len().min(MOST_POINTS);
    (1..=kept)
        .map(|at| &points[at * points.len() / kept - 1])
        .map(|point| CurvePoint {
            group: seen[0].group,
            hours: point.age,
            mean: point.mean,
            limits: point.limits,
            at_risk: point.at_risk,
        })
        .collect()
}
