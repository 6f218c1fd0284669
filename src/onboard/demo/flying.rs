//! Hours flown, the readings written of them, and the inspections between.

use rand_chacha::ChaCha8Rng;

use super::AS_OF;
use super::draws::{gamma, happens, pick};
use super::rows::{HoursRow, InspectionRow, MeterRow, Records};
use super::unit::Unit;
use crate::trade::calendar::{Day, month_end};

/// How an operator's hours come into the records.
#[derive(Debug, Clone, Copy)]
pub(super) enum Readings {
    /// The propeller's own hours are written down.
    Own,
    /// The aircraft's meter is read.
    Meter(&'static str),
    /// Nobody writes hours down, and the shop's sheets lack them too.
    Nobody,
}

/// The book of one aircraft: its meter and when something was last written.
#[derive(Debug)]
pub(super) struct Book {
    pub aircraft: String,
    pub readings: Readings,
    /// Days between readings in recent years; before 2020 at least 90.
    pub every_days: i32,
    /// Day after which this operator wrote nothing more.
    pub quiet_after: Option<Day>,
    pub meter_hours: f64,
    pub last_reading: Option<Day>,
    pub flown_since_check: f64,
    pub annual_due: Day,
    /// Whether there is an inspection every 100 hours.
    pub hundred_hour: bool,
}

/// Hours flown in a stretch of days: the use of the aircraft, the season and the weather.
pub(super) fn hours_flown(rng: &mut ChaCha8Rng, per_year: f64, from: Day, days: i32) -> f64 {
    // Longest days around the 200th of the year; 365 is near enough for a season.
    let of_year = f64::from(from.number().rem_euclid(365));
    let season = 1.0 + 0.35 * ((of_year - 200.0) / 365.0 * std::f64::consts::TAU).cos();
    // No month is flown faster than 1,100 hours a year: daylight and pupils run out.
    let rate = (per_year * season * gamma(rng, 7.0, 1.0)).min(1_100.0);
    rate * f64::from(days) / 365.25
}

impl Book {
    /// Writes a reading when one is due, or when `must` is set (a propeller comes off or goes on).
    pub fn read(&mut self, records: &mut Records, unit: &Unit, day: Day, must: bool) {
        let every = if day.year() < 2020 { self.every_days.max(90) } else { self.every_days };
        let due = self.last_reading.is_none_or(|last| day - last >= every - 5);
        let written_today = self.last_reading == Some(day);
        let quiet = self.quiet_after.is_some_and(|q| day > q);
        if written_today || quiet || day > AS_OF || !(due || must) {
            return;
        }
        match self.readings {
            Readings::Nobody => return,
            Readings::Meter(meter) => records.meters.push(MeterRow {
                aircraft: self.aircraft.clone(),
                date: day,
                hours: self.meter_hours,
                meter,
            }),
            Readings::Own => {
                let since_overhaul = unit.hours_since_overhaul();
                let known = unit.hours_since_new.is_some() || since_overhaul.is_some();
                if !known {
                    return;
                }
                records.hours.push(HoursRow {
                    serial: unit.serial.clone(),
                    date: day,
                    hours_since_new: unit.hours_since_new,
                    hours_since_overhaul: if unit.hours_since_new.is_some() { None } else { since_overhaul },
                });
            }
        }
        self.last_reading = Some(day);
    }

    /// Adds flown hours to the meter.
    pub fn fly(&mut self, hours: f64) {
        self.meter_hours += hours;
        self.flown_since_check += hours;
    }

    /// Writes the inspections that fall by `day`. Entries from before 2018 were not kept.
    pub fn inspect(&mut self, rng: &mut ChaCha8Rng, records: &mut Records, unit: &Unit, day: Day) {
        let by = pick(rng, &[("Mechanic A", 1.0), ("Mechanic B", 1.0), ("Mechanic C", 1.0)]);
        let (kind, next_due) = if day + 30 > self.annual_due {
            self.annual_due = month_end(day, 12);
            ("annual", Some(self.annual_due))
        } else if self.hundred_hour && self.flown_since_check >= 95.0 {
            ("100 hour", None)
        } else {
            return;
        };
        self.flown_since_check = 0.0;
        if day.year() < 2018 || day > AS_OF {
            return;
        }
        records.inspections.push(InspectionRow {
            serial: unit.serial.clone(),
            date: day,
            kind,
            result: if happens(rng, 0.01) { "not" } else { "satisfactory" },
            waits: false,
            by,
            next_due,
        });
    }
}
