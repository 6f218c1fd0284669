//! Short words for writing rows by hand.

use super::super::bases::BASES;
use super::super::metal::points;
use super::super::models::{DESIGNS, Design};
use super::super::process::{MEAN_THICKNESS_LOSS_IN, WIDTH_PER_THICKNESS};
use super::super::rows::{
    DefectRow, EventCheckRow, FittedRow, HoursRow, InspectionRow, MeasurementRow, MeterRow, PropellerRow, Records,
    VisitRow,
};
use crate::trade::calendar::{Day, month_end};
use crate::trade::damage::{DefectKind, Surface};

/// A calendar day.
pub(super) fn on(year: i32, month: u32, day: u32) -> Day {
    Day::from_ymd(year, month, day).expect("the cases are written with days that exist")
}

/// Writes rows into the records.
pub(super) struct Script<'r> {
    pub records: &'r mut Records,
}

/// Who a propeller is; what a case does not say is flying, with damage reports since it came.
pub(super) struct Who {
    pub serial: &'static str,
    /// Place of the model in the list of designs.
    pub design: usize,
    pub used_for: &'static str,
    /// Place of the base in the list of bases.
    pub base: usize,
    pub aircraft: &'static str,
    pub in_service: Day,
    pub acquired: &'static str,
}

/// A sheet to write: which cycles lie behind it, and which columns it has.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sheet {
    pub serial: &'static str,
    pub day: Day,
    pub design: usize,
    /// Mean cycles of loss behind the after readings.
    pub cycles: f64,
    pub has_before: bool,
    pub has_after: bool,
}

impl Script<'_> {
    /// A row of `propellers`.
    pub fn propeller(&mut self, who: &Who) -> &mut PropellerRow {
        self.records.propellers.push(PropellerRow {
            serial: who.serial.to_owned(),
            model: DESIGNS[who.design].model,
            used_for: who.used_for,
            base: BASES[who.base].name,
            aircraft: Some(who.aircraft.to_owned()),
            in_service: who.in_service,
            acquired: who.acquired,
            status: "flying",
            end: None,
            at_shop: None,
            replaced_by: None,
            reports_kept_since: Some(who.in_service),
        });
        last(&mut self.records.propellers)
    }

    /// A scheduled overhaul that ended in release.
    pub fn overhaul(
        &mut self,
        serial: &str,
        day: Day,
        hours_since_new: f64,
        hours_since_overhaul: Option<f64>,
    ) -> &mut VisitRow {
        self.records.visits.push(VisitRow {
            serial: serial.to_owned(),
            date: day,
            work: "overhaul",
            outcome: "released",
            reject_reason: None,
            shop: "Shop North",
            hours_since_new: Some(hours_since_new),
            hours_since_overhaul,
            reason: "scheduled",
            track_in: Some(0.021),
            model_after: None,
            cost: (day.year() >= 2010).then_some(980.0),
        });
        last(&mut self.records.visits)
    }

    /// A sheet with every blade and station: each cycle behind it has cost the mean loss of the fleet, give or take 0.001 in by a
    /// fixed pattern; the before readings lie 0.0075 in of thickness and 0.018 in of width above the after readings.
    pub fn sheet(&mut self, sheet: &Sheet) {
        let design: &Design = &DESIGNS[sheet.design];
        for p in points(design) {
            let station = &design.stations[p.station];
            let pattern = (p.blade * 5 + p.station as i32 * 3 + sheet.cycles as i32 * 7) % 5 - 2;
            let lost = MEAN_THICKNESS_LOSS_IN * sheet.cycles;
            let thickness = station.thickness_new_in - lost + 0.0005 * f64::from(pattern);
            let width = station.width_new_in - WIDTH_PER_THICKNESS * lost + 0.0005 * f64::from(pattern);
            let before = |value: f64| sheet.has_before.then_some(value);
            let after = |value: f64| sheet.has_after.then_some(value);
            self.records.measurements.push(MeasurementRow {
                serial: sheet.serial.to_owned(),
                date: sheet.day,
                blade: p.blade,
                station_pct: station.pct,
                width_before_in: before(width + 0.018),
                width_after_in: after(width),
                thickness_before_in: before(thickness + 0.0075),
                thickness_after_in: after(thickness),
                angle_after_deg: after(design.angle_deg(station.pct)),
                painted: before(0.0).map(|_| "no"),
            });
        }
    }

    /// A released overhaul with a full sheet.
    pub fn overhaul_with_sheet(
        &mut self,
        (serial, design): (&'static str, usize),
        day: Day,
        (hours_since_new, hours_since_overhaul): (f64, Option<f64>),
        cycles: f64,
    ) {
        self.overhaul(serial, day, hours_since_new, hours_since_overhaul);
        self.sheet(&Sheet { serial, day, design, cycles, has_before: true, has_after: true });
    }

    /// A damage report, blended the day after it was found.
    pub fn blended(
        &mut self,
        serial: &str,
        found: Day,
        (blade, station_pct, surface): (i32, f64, Surface),
        kind: DefectKind,
        (depth_in, length_in, width_in): (f64, f64, f64),
    ) -> &mut DefectRow {
        self.records.defects.push(DefectRow {
            serial: serial.to_owned(),
            found: Some(found),
            blade: Some(blade),
            station_pct: Some(station_pct),
            surface: Some(surface),
            kind,
            depth_in: Some(depth_in),
            length_in: Some(length_in),
            width_in: Some(width_in),
            action: "blended",
            action_date: Some(found + 1),
            action_by: Some("Mechanic A"),
            recheck: None,
        });
        last(&mut self.records.defects)
    }

    /// A satisfactory check of the engine, four days after an event.
    pub fn engine_checked(&mut self, serial: &str, event: Day) {
        self.records.event_checks.push(EventCheckRow {
            serial: serial.to_owned(),
            event,
            scope: "engine",
            method: "run-out",
            day: event + 4,
            result: "satisfactory",
            by: "Mechanic A",
            reference: format!("W{}", event.number()),
        });
    }

    /// Readings of a propeller's own hours since new, every 61 days, evenly from one day and count to another.
    pub fn own_hours(&mut self, serial: &str, from: (Day, f64), to: (Day, f64)) {
        for (date, hours) in evenly(from, to) {
            self.records.hours.push(HoursRow {
                serial: serial.to_owned(),
                date,
                hours_since_new: Some(hours),
                hours_since_overhaul: None,
            });
        }
    }

    /// Readings of an aircraft's meter, every 61 days, evenly from one day and count to another.
    pub fn meter(&mut self, aircraft: &str, meter: &'static str, from: (Day, f64), to: (Day, f64)) {
        for (date, hours) in evenly(from, to) {
            self.records.meters.push(MeterRow { aircraft: aircraft.to_owned(), date, hours, meter });
        }
    }

    /// A stretch of time on an aircraft.
    pub fn fitted(&mut self, serial: &str, aircraft: &str, from: Day, to: Option<Day>) {
        self.records.fitted.push(FittedRow { serial: serial.to_owned(), aircraft: aircraft.to_owned(), from, to });
    }

    /// Satisfactory annual inspections on this day of these years.
    pub fn annuals(&mut self, serial: &str, years: &[i32], (month, day): (u32, u32)) {
        for &year in years {
            let date = on(year, month, day);
            self.records.inspections.push(InspectionRow {
                serial: serial.to_owned(),
                date,
                kind: "annual",
                result: "satisfactory",
                waits: false,
                by: "Mechanic B",
                next_due: Some(month_end(date, 12)),
            });
        }
    }
}

/// Days and counts 61 days apart, both ends included.
fn evenly(from: (Day, f64), to: (Day, f64)) -> Vec<(Day, f64)> {
    let span = (to.0 - from.0).max(1);
    let mut readings: Vec<(Day, f64)> = (0..span)
        .step_by(61)
        .map(|day| {
            let share = f64::from(day) / f64::from(span);
            (from.0 + day, from.1 + (to.1 - from.1) * share)
        })
        .collect();
    readings.push(to);
    readings
}

/// The row just written.
fn last<R>(rows: &mut [R]) -> &mut R {
    rows.last_mut().expect("a row was just written")
}
