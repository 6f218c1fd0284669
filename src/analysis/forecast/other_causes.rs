//! How often an overhaul rejects a propeller for something else than its dimensions.

use crate::records::Fleet;
use crate::records::choice::RejectReason;
use crate::records::measurements::Moment;
use crate::records::schema::Table;
use crate::records::visits::Visit;
use crate::trade::geometry::Dimension;

/// How an overhaul ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Released.
    Passed,
    /// Rejected because a dimension was below its minimum.
    Dimension,
    /// Rejected for anything else.
    Other,
}

/// Whether the records state outcomes at all: where the column is absent every visit counts as released, and that is no record.
pub fn outcomes_kept(fleet: &Fleet<'_>) -> bool {
    fleet.loaded.table(Table::Overhauls).is_some_and(|table| table.choices("outcome").is_some())
}

/// The verdict of a visit by its number; `None` when it is no overhaul or its outcome is not recorded.
///
/// A rejection without a reason is one for its dimensions when a reading lies below its minimum, else for another cause.
pub fn verdict(fleet: &Fleet<'_>, number: u32) -> Option<Verdict> {
    let visit = fleet.visits.get(number);
    visit.outcome.filter(|_| visit.is_overhaul())?;
    if !visit.rejected() {
        return Some(Verdict::Passed);
    }
    Some(match visit.reject_reason {
        Some(RejectReason::Dimension) => Verdict::Dimension,
        Some(_) => Verdict::Other,
        None if below_minimum(fleet, number, visit) => Verdict::Dimension,
        None => Verdict::Other,
    })
}

fn below_minimum(fleet: &Fleet<'_>, number: u32, visit: &Visit) -> bool {
    let Some(model) = visit.model.map(|m| fleet.models.get(m)) else {
        return false;
    };
    let measurements = &fleet.measurements;
    measurements.range(number).any(|position| {
        let station = model.stations.get(usize::from(measurements.station(position)));
        station.is_some_and(|station| {
            Dimension::ALL.into_iter().any(|dimension| {
                let reading = |moment| measurements.reading(dimension, moment, position);
                let last = reading(Moment::After).or_else(|| reading(Moment::Before));
                matches!((last, station.limits(dimension).min_in), (Some(v), Some(min)) if v < min)
            })
        })
    })
}

/// Chance of such a rejection at one overhaul, `(rejections + 0.5)/(outcomes recorded + 1)`, over the whole fleet: they are
/// too rare to be told apart by pool. `None` when no outcome is recorded.
pub fn chance(fleet: &Fleet<'_>) -> Option<f64> {
    if !outcomes_kept(fleet) {
        return None;
    }
    let (mut rejections, mut outcomes) = (0u32, 0u32);
    for number in 0..fleet.visits.len() as u32 {
        if let Some(verdict) = verdict(fleet, number) {
            outcomes += 1;
            rejections += u32::from(verdict == Verdict::Other);
        }
    }
    (outcomes > 0).then(|| (f64::from(rejections) + 0.5) / (f64::from(outcomes) + 1.0))
}
