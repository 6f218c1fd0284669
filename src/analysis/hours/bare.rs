//! Flights of an aircraft while no propeller is on record for it.

use super::fitting::Stretch;
use super::meters::AircraftLine;
use crate::records::Fleet;
use crate::records::choice::{Outcome, Status};
use crate::records::flying::Fitting;
use crate::trade::calendar::Day;

/// Hours an aircraft may gain without a propeller on record: rounding.
const ROUNDING_HOURS: f64 = 1.0;

/// A time in which an aircraft flew with no propeller on record.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BareFlight {
    /// The propeller last fitted before, which may have flown on.
    pub propeller: u32,
    /// Code of the aircraft in [`crate::records::flying::Flying::aircraft`].
    pub aircraft: u32,
    /// The day that propeller came off.
    pub from: Day,
    /// The day another came on; the as-of date while none has.
    pub until: Day,
    /// Hours between readings that both lie in this time.
    pub hours: f64,
    /// Until when the propeller last fitted goes on gaining the aircraft's hours: another came on, it came on another
    /// aircraft itself, or a shop released it.
    pub(super) gains_until: Day,
}

/// Every such time, by propeller and day.
pub(super) fn bare_flights(fleet: &Fleet<'_>, meters: &[AircraftLine]) -> Vec<BareFlight> {
    let flying = &fleet.flying;
    // By aircraft: first day, end, propeller.
    let mut fitted: Vec<(u32, Day, Day, u32)> = Vec::with_capacity(flying.all_fittings().len());
    for of_one in flying.all_fittings().chunk_by(|a, b| a.propeller == b.propeller) {
        let end = |at: usize, f: &Fitting| f.to.or(of_one.get(at + 1).map(|next| next.from)).unwrap_or(fleet.as_of);
        fitted.extend(of_one.iter().enumerate().map(|(at, f)| (f.aircraft, f.from, end(at, f), f.propeller)));
    }
    fitted.sort_unstable();
    let named = named_today(fleet);
    let mut list = Vec::new();
    for of_one in fitted.chunk_by(|a, b| a.0 == b.0) {
        let aircraft = of_one[0].0;
        let meter = &meters[aircraft as usize];
        let (mut until, mut last) = (of_one[0].2, of_one[0].3);
        let mut add = |from: Day, to: Day, propeller: u32| {
            if let Some(hours) = meter.surely_flown(from, to).filter(|&hours| hours > ROUNDING_HOURS) {
                let gains_until = gains_until(fleet, propeller, from, to);
                list.push(BareFlight { propeller, aircraft, from, until: to, hours, gains_until });
            }
        };
        for &(_, from, to, propeller) in &of_one[1..] {
            if from > until {
                add(until, from, last);
            }
            if to >= until {
                (until, last) = (to, propeller);
            }
        }
        if until < fleet.as_of && named.binary_search(&aircraft).is_err() {
            add(until, fleet.as_of, last);
        }
    }
    list.sort_by_key(|b| (b.propeller, b.from));
    list
}

/// Aircraft that `propellers` names for one that flies and that no fitting puts elsewhere.
fn named_today(fleet: &Fleet<'_>) -> Vec<u32> {
    let numbers = fleet.aircraft_named();
    let flies = |p: &u32| fleet.propellers.get(*p).status == Status::Flying && fleet.flying.fitted_now(*p).is_none();
    let propellers = (0..fleet.propellers.len() as u32).filter(flies);
    let mut named: Vec<u32> =
        propellers.filter_map(|p| Some(numbers[fleet.propellers.get(p).aircraft? as usize])).collect();
    named.sort_unstable();
    named.dedup();
    named
}

fn gains_until(fleet: &Fleet<'_>, propeller: u32, from: Day, to: Day) -> Day {
    let visits = fleet.visits.of(propeller).iter();
    let released = visits.filter(|v| v.outcome == Some(Outcome::Released) && v.row.is_some()).map(|v| v.day);
    let fitted = fleet.flying.fittings(propeller).iter().map(|f| f.from);
    released.filter(|&day| day > from).chain(fitted.filter(|&day| day >= from)).fold(to, Day::min)
}

/// Adds the times of bare flights to a propeller's stretches, as far as it was on no other aircraft.
pub(super) fn extend(stretches: &mut Vec<Stretch>, flights: &[BareFlight]) {
    for flight in flights {
        let (from, to) = (flight.from, flight.gains_until);
        let free = from < to && stretches.iter().all(|s| s.to <= from || s.from >= to);
        if !free {
            continue;
        }
        let at = stretches.partition_point(|s| s.to <= from);
        match at.checked_sub(1).map(|before| &mut stretches[before]) {
            Some(before) if before.aircraft == flight.aircraft && before.to == from => before.to = to,
            _ => stretches.insert(at, Stretch { from, to, aircraft: flight.aircraft }),
        }
    }
}
