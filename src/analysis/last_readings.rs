//! The last readings of a propeller under its present designation, and what is expected of them today.

use crate::records::Fleet;
use crate::records::choice::Work;
use crate::records::measurements::Moment;
use crate::records::visits::Visit;
use crate::trade::calendar::Day;
use crate::trade::geometry::Dimension;

/// Days between a visit and the sheet that may belong to it.
const NEAR_DAYS: i32 = 30;

/// A propeller's last reading at one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LastReading {
    /// The dimension in inches.
    pub value_in: f64,
    /// Day of the visit.
    pub day: Day,
    /// Number of the visit within the propeller's visits, from 1.
    pub visit_no: u32,
}

/// The last readings of one propeller under its present designation.
#[derive(Debug, Default)]
pub struct LastReadings {
    slots: Vec<Option<LastReading>>,
    /// Smallest before reading of a later visit that has no after reading: metal does not grow.
    ceilings: Vec<f64>,
    used: Vec<usize>,
    /// Visits of the propeller.
    pub visits: u32,
    /// Days of visits whose rows could not be used and that no visit stands for.
    unseen: Vec<Day>,
    /// Such visits whose day could not be read either.
    undated: u32,
    /// Days of readings that were entered and could not be used, each that of the visit they may belong to; `None` where the
    /// day could not be read.
    spoiled: Vec<Option<Day>>,
}

const STATIONS: usize = 256;

fn slot_of(blade: u8, station: u8, dimension: Dimension) -> usize {
    (usize::from(blade) * STATIONS + usize::from(station)) * 2 + dimension as usize
}

/// A dimension as the propeller left a visit; `NaN` when not known.
pub fn as_it_left(visit: &Visit, before_in: f64, after_in: f64) -> f64 {
    if after_in.is_nan() && before_stands_in(visit) { before_in } else { after_in }
}

/// Whether a before reading tells how the propeller left: it was rejected as it stood, or only inspected.
pub fn before_stands_in(visit: &Visit) -> bool {
    visit.rejected() || matches!(visit.work, Some(Work::DimensionalInspection | Work::StrikeInspection))
}

impl LastReadings {
    fn clear(&mut self) {
        for &slot in &self.used {
            self.slots[slot] = None;
            self.ceilings[slot] = f64::INFINITY;
        }
        self.used.clear();
        self.visits = 0;
    }

    /// Goes through a propeller's visits; readings under an earlier designation are dropped.
    pub fn collect(&mut self, fleet: &Fleet<'_>, propeller: u32) {
        self.collect_under(fleet, propeller, u32::MAX);
    }

    /// As [`LastReadings::collect`], as if the designation had not changed since the last visit that was measured; the number
    /// of that designation. `None` where it did not change, where nothing was measured, and where that designation is not known.
    pub fn collect_last_known(&mut self, fleet: &Fleet<'_>, propeller: u32) -> Option<u32> {
        let visits = fleet.visits.range(propeller);
        let last = visits.clone().rfind(|&visit| !fleet.measurements.range(visit).is_empty())?;
        let model = fleet.visits.get(last).model?;
        let changed = fleet.visits.model_now(propeller) != Some(model)
            || visits.into_iter().any(|visit| visit > last && fleet.visits.get(visit).changes_model);
        changed.then(|| self.collect_under(fleet, propeller, last))?;
        Some(model)
    }

    /// Drops what was read before a change of designation, as far as that is no later than the visit `last`.
    fn collect_under(&mut self, fleet: &Fleet<'_>, propeller: u32, last: u32) {
        self.clear();
        let measurements = &fleet.measurements;
        for number in fleet.visits.range(propeller) {
            let visit = fleet.visits.get(number);
            if visit.changes_model && number <= last {
                let visits = self.visits;
                self.clear();
                self.visits = visits;
            }
            self.visits += 1;
            for position in measurements.range(number) {
                for dimension in Dimension::ALL {
                    let before = measurements.raw_reading(dimension, Moment::Before, position);
                    let after = measurements.raw_reading(dimension, Moment::After, position);
                    let value = as_it_left(visit, before, after);
                    let slot = slot_of(measurements.blade(position), measurements.station(position), dimension);
                    if value.is_nan() && before.is_nan() {
                        continue;
                    }
                    if slot >= self.slots.len() {
                        self.slots.resize(slot + 1, None);
                        self.ceilings.resize(slot + 1, f64::INFINITY);
                    }
                    // A slot that holds neither a value nor a ceiling was not met yet.
                    if self.slots[slot].is_none() && self.ceilings[slot] == f64::INFINITY {
                        self.used.push(slot);
                    }
                    if value.is_nan() {
                        self.ceilings[slot] = self.ceilings[slot].min(before);
                    } else {
                        self.ceilings[slot] = f64::INFINITY;
                        self.slots[slot] = Some(LastReading { value_in: value, day: visit.day, visit_no: self.visits });
                    }
                }
            }
        }
        self.collect_unseen(fleet, propeller);
        let visits = fleet.visits.of(propeller);
        self.spoiled.clear();
        self.spoiled.extend(measurements.spoiled_days(propeller).map(|day| {
            let last = visits.iter().rfind(|v| day.is_some_and(|day| (v.day - day).abs() <= NEAR_DAYS));
            last.map(|v| v.day).max(day)
        }));
    }

    /// A visit whose row could not be used took metal all the same. A day of measurements that no visit explains is taken
    /// for the visit of such a row.
    fn collect_unseen(&mut self, fleet: &Fleet<'_>, propeller: u32) {
        self.unseen.clear();
        self.undated = 0;
        let spoiled = fleet.visits.spoiled_of(propeller);
        if spoiled.is_empty() {
            return;
        }
        let visits = fleet.visits.of(propeller).iter();
        let mut sheets: Vec<Day> = visits.filter(|v| v.row.is_none()).map(|v| v.day).collect();
        for day in spoiled.iter().filter_map(|s| s.day) {
            match sheets.iter().position(|&s| (s - day).abs() <= NEAR_DAYS) {
                Some(at) => drop(sheets.remove(at)),
                None => self.unseen.push(day),
            }
        }
        let undated = spoiled.iter().filter(|s| s.day.is_none()).count();
        self.undated = undated.saturating_sub(sheets.len()) as u32;
    }

    /// Visits since a reading at which its place was not read.
    pub fn missed(&self, reading: &LastReading) -> u32 {
        let unseen = self.unseen.iter().filter(|&&day| day > reading.day);
        self.visits - reading.visit_no + unseen.count() as u32 + self.undated
    }

    /// Whether a reading that was entered after a day, or at any time, could not be used, or a visit of then could not.
    pub fn was_spoiled_since(&self, day: Option<Day>) -> bool {
        let later = |of: &Day| day.is_none_or(|day| *of > day);
        self.undated > 0 || self.unseen.iter().any(later) || self.spoiled.iter().any(|of| of.as_ref().is_none_or(later))
    }

    /// The highest blade that was ever read.
    pub fn highest_blade(&self) -> u8 {
        let blades = self.iter().map(|(blade, ..)| blade);
        blades.max().unwrap_or(0)
    }

    /// The last reading at a place.
    pub fn get(&self, blade: u8, station: u8, dimension: Dimension) -> Option<LastReading> {
        self.slots.get(slot_of(blade, station, dimension)).copied().flatten()
    }

    /// The smallest later before reading that has no after reading; infinite when there is none.
    pub fn ceiling(&self, blade: u8, station: u8, dimension: Dimension) -> f64 {
        self.ceilings.get(slot_of(blade, station, dimension)).copied().unwrap_or(f64::INFINITY)
    }

    /// Whether nothing was ever read under the present designation.
    pub fn is_empty(&self) -> bool {
        !self.used.iter().any(|&slot| self.slots[slot].is_some())
    }

    /// Every reading: blade, station, dimension and value.
    pub fn iter(&self) -> impl Iterator<Item = (u8, u8, Dimension, LastReading)> + '_ {
        self.used.iter().filter_map(|&slot| {
            let reading = self.slots[slot]?;
            let dimension = Dimension::ALL[slot % 2];
            let place = slot / 2;
            Some(((place / STATIONS) as u8, (place % STATIONS) as u8, dimension, reading))
        })
    }
}
