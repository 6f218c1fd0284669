//! The rows of the demo fleet, one type a table, before they become Arrow columns.
//!
//! Lengths in inches, dates as days, hours of flight time. A field that is `None` is an empty cell.

use std::collections::HashMap;

use crate::trade::calendar::Day;
use crate::trade::damage::{DefectKind, Surface};

/// A row of `propellers`.
#[derive(Debug, Clone)]
pub(super) struct PropellerRow {
    pub serial: String,
    pub model: &'static str,
    pub used_for: &'static str,
    pub base: &'static str,
    pub aircraft: Option<String>,
    pub in_service: Day,
    pub acquired: &'static str,
    pub status: &'static str,
    pub end: Option<Day>,
    /// When it was sent to a shop, when it is expected back, and which shop.
    pub at_shop: Option<(Day, Day, &'static str)>,
    pub replaced_by: Option<String>,
    pub reports_kept_since: Option<Day>,
}

/// A row of `overhauls`: one shop visit.
#[derive(Debug, Clone)]
pub(super) struct VisitRow {
    pub serial: String,
    pub date: Day,
    pub work: &'static str,
    pub outcome: &'static str,
    pub reject_reason: Option<&'static str>,
    pub shop: &'static str,
    pub hours_since_new: Option<f64>,
    pub hours_since_overhaul: Option<f64>,
    pub reason: &'static str,
    pub track_in: Option<f64>,
    pub model_after: Option<&'static str>,
    pub cost: Option<f64>,
}

/// A row of `measurements`: one blade and station at one visit.
#[derive(Debug, Clone)]
pub(super) struct MeasurementRow {
    pub serial: String,
    pub date: Day,
    pub blade: i32,
    pub station_pct: f64,
    pub width_before_in: Option<f64>,
    pub width_after_in: Option<f64>,
    pub thickness_before_in: Option<f64>,
    pub thickness_after_in: Option<f64>,
    pub angle_after_deg: Option<f64>,
    pub painted: Option<&'static str>,
}

/// A row of `defects`: one damage report.
#[derive(Debug, Clone)]
pub(super) struct DefectRow {
    pub serial: String,
    /// Empty only where the telling case is an unreadable date.
    pub found: Option<Day>,
    pub blade: Option<i32>,
    pub station_pct: Option<f64>,
    pub surface: Option<Surface>,
    pub kind: DefectKind,
    pub depth_in: Option<f64>,
    pub length_in: Option<f64>,
    pub width_in: Option<f64>,
    pub action: &'static str,
    pub action_date: Option<Day>,
    pub action_by: Option<&'static str>,
    pub recheck: Option<Day>,
}

/// A row of `hours`: a reading of a propeller's own hours.
#[derive(Debug, Clone)]
pub(super) struct HoursRow {
    pub serial: String,
    pub date: Day,
    pub hours_since_new: Option<f64>,
    pub hours_since_overhaul: Option<f64>,
}

/// A row of `aircraft_hours`: what a meter showed.
#[derive(Debug, Clone)]
pub(super) struct MeterRow {
    pub aircraft: String,
    pub date: Day,
    pub hours: f64,
    pub meter: &'static str,
}

/// A row of `fitted`: a stretch of time on an aircraft.
#[derive(Debug, Clone)]
pub(super) struct FittedRow {
    pub serial: String,
    pub aircraft: String,
    pub from: Day,
    pub to: Option<Day>,
}

/// A row of `inspections`.
#[derive(Debug, Clone)]
pub(super) struct InspectionRow {
    pub serial: String,
    pub date: Day,
    pub kind: &'static str,
    pub result: &'static str,
    /// Whether what was not satisfactory is not signed off.
    pub waits: bool,
    pub by: &'static str,
    pub next_due: Option<Day>,
}

/// A row of `event_checks`.
#[derive(Debug, Clone)]
pub(super) struct EventCheckRow {
    pub serial: String,
    pub event: Day,
    pub scope: &'static str,
    pub method: &'static str,
    pub day: Day,
    pub result: &'static str,
    pub by: &'static str,
    pub reference: String,
}

/// A row of `rechecks`.
#[derive(Debug, Clone)]
pub(super) struct RecheckRow {
    pub serial: String,
    pub found: Day,
    pub blade: Option<i32>,
    pub day: Day,
    pub depth_in: Option<f64>,
    pub result: &'static str,
    pub by: &'static str,
}

/// A row of `kept_at`: where a propeller lived from a day on.
#[derive(Debug, Clone)]
pub(super) struct KeptRow {
    pub serial: String,
    pub base: &'static str,
    pub from: Day,
    pub kept: Option<&'static str>,
}

/// Every row that is not the same for every fleet (models, limits, bases and prices are in `models` and `bases`).
#[derive(Debug, Default)]
pub(super) struct Records {
    pub propellers: Vec<PropellerRow>,
    pub visits: Vec<VisitRow>,
    pub measurements: Vec<MeasurementRow>,
    pub defects: Vec<DefectRow>,
    pub hours: Vec<HoursRow>,
    pub meters: Vec<MeterRow>,
    pub fitted: Vec<FittedRow>,
    pub inspections: Vec<InspectionRow>,
    pub event_checks: Vec<EventCheckRow>,
    pub rechecks: Vec<RecheckRow>,
    pub kept: Vec<KeptRow>,
}

/// Serials in the order of their numbers: a shorter one comes first.
pub(super) fn by_number(serial: &str) -> (usize, &str) {
    (serial.len(), serial)
}

impl Records {
    /// Puts every table in the order in which a clerk would keep it: by propeller (or aircraft), then by date.
    ///
    /// The sorts are stable, so rows of one propeller and day stay in the order in which they were written.
    pub fn sort(&mut self) {
        fn order<R, K: Ord>(rows: &mut [R], name: impl Fn(&R) -> &str, then: impl Fn(&R) -> K) {
            rows.sort_by(|a, b| by_number(name(a)).cmp(&by_number(name(b))).then_with(|| then(a).cmp(&then(b))));
        }
        order(&mut self.propellers, |r| &r.serial, |_| ());
        order(&mut self.visits, |r| &r.serial, |r| r.date);
        order(&mut self.measurements, |r| &r.serial, |r| (r.date, r.blade));
        order(&mut self.defects, |r| &r.serial, |r| r.found);
        order(&mut self.hours, |r| &r.serial, |r| r.date);
        order(&mut self.meters, |r| &r.aircraft, |r| r.date);
        order(&mut self.fitted, |r| &r.serial, |r| r.from);
        order(&mut self.inspections, |r| &r.serial, |r| r.date);
        order(&mut self.event_checks, |r| &r.serial, |r| (r.event, r.day));
        order(&mut self.rechecks, |r| &r.serial, |r| (r.found, r.day));
        order(&mut self.kept, |r| &r.serial, |r| r.from);
    }

    /// Which aircraft each propeller was on, and when.
    pub fn aircraft(&self) -> AircraftOf<'_> {
        let mut fitted: HashMap<&str, Vec<&FittedRow>> = HashMap::new();
        for row in &self.fitted {
            fitted.entry(&row.serial).or_default().push(row);
        }
        AircraftOf(fitted)
    }
}

/// The fittings of each propeller.
pub(super) struct AircraftOf<'r>(HashMap<&'r str, Vec<&'r FittedRow>>);

impl<'r> AircraftOf<'r> {
    /// The aircraft a propeller was put on last by a day.
    pub fn on(&self, serial: &str, day: Day) -> Option<&'r str> {
        let fitted = self.0.get(serial)?.iter().filter(|f| f.from <= day);
        fitted.max_by_key(|f| f.from).map(|f| f.aircraft.as_str())
    }
}
