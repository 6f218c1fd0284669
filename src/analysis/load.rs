//! Load exposure: hours counted by what they do to a thinned blade.
//!
//! Equivalent hours = sum over the times between visits of hours flown * (1/section modulus retained at the worst station
//! from 60 % out)^m. The section is the one the propeller left the last visit with. A place that was not measured there
//! carries its last value forward, less the loss usual of the visits missed, less two standard deviations of it. A new
//! blade keeps all of its section until its first visit. A fleet view of fatigue, shown and not scored.

use super::exposure::last_day;
use super::flown::{Between, FlownHours};
use super::margins::model_now;
use super::survey::Survey;
use crate::records::Fleet;
use crate::records::choice::{Acquired, Work};
use crate::records::measurements::Moment;
use crate::records::models::Model;
use crate::records::visits::Visit;
use crate::settings::FatigueSettings;
use crate::trade::calendar::Day;
use crate::trade::geometry::Dimension;
use crate::trade::load::{equivalent_hours, revolutions, section_modulus_retained, worst_station};

/// The load of one propeller; what is not known has no number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// Index of the propeller.
    pub propeller: u32,
    /// Hours flown since its last overhaul, or since new.
    pub hours_since_overhaul: Option<f64>,
    /// The same, an hour on a thinner blade counting for more.
    pub equivalent_hours_since_overhaul: Option<f64>,
    /// Equivalent hours since new; only of a propeller whose whole life is on record.
    pub equivalent_hours_since_new: Option<f64>,
    /// Hours since overhaul at the model's highest speed, in revolutions.
    pub revolutions_since_overhaul: Option<f64>,
    /// Station from 60 % out with the smallest section modulus retained, in percent of the radius.
    pub worst_station_pct: Option<f64>,
    /// Section modulus retained there, as a share of a new blade's.
    pub section_modulus_retained: Option<f64>,
}

const STATIONS: usize = 256;

/// The last reading of a place: its value in inches and the number of its visit.
#[derive(Debug, Clone, Copy)]
struct Read {
    value_in: f64,
    visit_no: u32,
}

/// The section of a propeller's blades as its visits go by.
#[derive(Debug, Default)]
struct Section {
    /// By blade and station, width and thickness.
    places: Vec<[Option<Read>; 2]>,
    used: Vec<usize>,
    visit_no: u32,
    /// The propeller came new and kept its designation: a place never read began at its new dimensions.
    from_drawing: bool,
    stations: Vec<(f64, f64)>,
}

impl Section {
    fn forget(&mut self) {
        for &slot in &self.used {
            self.places[slot] = [None; 2];
        }
        self.used.clear();
    }

    fn start(&mut self, is_new: bool) {
        self.forget();
        self.visit_no = 0;
        self.from_drawing = is_new;
    }

    fn pass(&mut self, fleet: &Fleet<'_>, number: u32) {
        let visit = fleet.visits.get(number);
        self.visit_no += 1;
        if visit.changes_model {
            self.forget();
            self.from_drawing = false;
        }
        let inspected = matches!(visit.work, Some(Work::DimensionalInspection | Work::StrikeInspection));
        let measurements = &fleet.measurements;
        for position in measurements.range(number) {
            let blade = usize::from(measurements.blade(position));
            let slot = blade * STATIONS + usize::from(measurements.station(position));
            if slot >= self.places.len() {
                self.places.resize(slot + 1, [None; 2]);
            }
            for dimension in Dimension::ALL {
                let before = measurements.raw_reading(dimension, Moment::Before, position);
                let after = measurements.raw_reading(dimension, Moment::After, position);
                // Where nothing was removed the reading before tells how it left.
                let stands = (visit.rejected() || inspected) && !measurements.painted(position);
                let value_in = if after.is_nan() && stands { before } else { after };
                if !value_in.is_nan() {
                    let visit_no = self.visit_no;
                    self.places[slot][dimension as usize] = Some(Read { value_in, visit_no });
                    if !self.used.contains(&slot) {
                        self.used.push(slot);
                    }
                }
            }
        }
    }

    /// Worst station and share of the section modulus left there; of a new blade no station is the worst.
    fn worst(&mut self, model: Option<&Model>, survey: &Survey) -> Option<(Option<f64>, f64)> {
        if self.from_drawing && self.visit_no == 0 {
            return Some((None, 1.0));
        }
        let model = model?;
        let mut stations = std::mem::take(&mut self.stations);
        stations.clear();
        if self.from_drawing {
            for blade in 1..=usize::from(model.blades.unwrap_or(2)) {
                for station in 0..model.stations.len().min(STATIONS) {
                    stations.extend(self.share(model, blade * STATIONS + station, survey));
                }
            }
        } else {
            for &slot in &self.used {
                stations.extend(self.share(model, slot, survey));
            }
        }
        let worst = worst_station(&stations).map(|(pct, share)| (Some(pct), share));
        self.stations = stations;
        worst
    }

    /// Station in percent and share of the section modulus left at a place.
    fn share(&self, model: &Model, slot: usize, survey: &Survey) -> Option<(f64, f64)> {
        let station = model.stations.get(slot % STATIONS)?;
        let value = |dimension: Dimension| {
            let new_in = station.limits(dimension).new_in?;
            let read = self
                .places
                .get(slot)
                .and_then(|of| of[dimension as usize])
                .or(self.from_drawing.then_some(Read { value_in: new_in, visit_no: 0 }))?;
            Some((self.carried(read, new_in, dimension, survey), new_in))
        };
        let (width, thickness) = (value(Dimension::Width)?, value(Dimension::Thickness)?);
        let share = section_modulus_retained(width.0, width.1, thickness.0, thickness.1).ok()?;
        Some((station.pct?, share))
    }

    /// A reading less the loss usual of the visits since it, less two standard deviations; never under half of new, where
    /// no blade was ever released.
    fn carried(&self, read: Read, new_in: f64, dimension: Dimension, survey: &Survey) -> f64 {
        let missed = f64::from(self.visit_no - read.visit_no);
        let usual = survey.usual(dimension);
        let value_in = read.value_in - missed * usual.mean_in - 2.0 * missed.sqrt() * usual.sd_in;
        value_in.max(0.5 * new_in)
    }
}

/// Works out loads, propeller by propeller.
pub struct LoadReader<'f, 'a> {
    fleet: &'f Fleet<'a>,
    survey: &'f Survey,
    hours: &'f dyn FlownHours,
    exponent: f64,
    section: Section,
}

impl<'f, 'a> LoadReader<'f, 'a> {
    /// A reader for a fleet, what its sheets say together, and its hours.
    pub fn new(fleet: &'f Fleet<'a>, survey: &'f Survey, hours: &'f dyn FlownHours, fatigue: &FatigueSettings) -> Self {
        LoadReader { fleet, survey, hours, exponent: fatigue.stress_exponent, section: Section::default() }
    }

    /// The load of one propeller.
    pub fn of(&mut self, propeller: u32) -> Load {
        let fleet = self.fleet;
        let of = fleet.propellers.get(propeller);
        let until = last_day(fleet, propeller);
        let visits = fleet.visits.of(propeller);
        let is_new = of.acquired == Acquired::New;
        let first_day = of.in_service.filter(|_| is_new);
        let hours_of = self.hours.of(propeller);
        self.section.start(is_new);

        let first_model = of.model.map(|m| fleet.models.get(m));
        let mut worst = self.section.worst(first_model, self.survey);
        let mut at = first_day;
        // `None` once something that belongs to the sum is not known.
        let mut since_new = first_day.map(|_| 0.0);
        let mut since_overhaul = since_new;
        let mut overhauled = first_day;
        for (number, visit) in fleet.visits.range(propeller).zip(visits) {
            let day = visit.day.min(until);
            let flown = at.and_then(|from| self.counted(&hours_of, from, day, worst));
            since_new = sum(since_new, flown);
            since_overhaul = sum(since_overhaul, flown);
            self.section.pass(fleet, number);
            worst = self.section.worst(model_after(fleet, visit), self.survey);
            at = Some(day);
            if visit.restarts_clock() {
                since_overhaul = Some(0.0);
                overhauled = Some(day);
            }
        }
        let flown = at.and_then(|from| self.counted(&hours_of, from, until, worst));
        let hours = overhauled.and_then(|from| hours_between(&hours_of, from, until));
        let max_rpm = max_rpm_of(fleet, propeller);
        Load {
            propeller,
            hours_since_overhaul: hours,
            equivalent_hours_since_overhaul: sum(since_overhaul, flown),
            equivalent_hours_since_new: sum(since_new, flown),
            revolutions_since_overhaul: hours.zip(max_rpm).and_then(|(hours, rpm)| revolutions(hours, rpm).ok()),
            worst_station_pct: worst.and_then(|(pct, _)| pct),
            section_modulus_retained: worst.map(|(_, share)| share),
        }
    }

    /// Equivalent hours between two days on one section.
    fn counted(&self, hours_of: &Between<'_>, from: Day, to: Day, worst: Option<(Option<f64>, f64)>) -> Option<f64> {
        let hours = hours_between(hours_of, from, to)?;
        equivalent_hours(hours, worst?.1, self.exponent).ok()
    }
}

/// The highest speed a propeller turns at: the larger of its model's and its aircraft's.
fn max_rpm_of(fleet: &Fleet<'_>, propeller: u32) -> Option<f64> {
    let of_model = model_now(fleet, propeller).and_then(|m| fleet.models.get(m).max_rpm);
    let of_aircraft = fleet.aircraft_of(propeller).and_then(|name| fleet.aircraft.find(name)?.max_rpm);
    of_model.into_iter().chain(of_aircraft).reduce(f64::max)
}

fn hours_between(between: &Between<'_>, from: Day, to: Day) -> Option<f64> {
    if to <= from {
        return Some(0.0);
    }
    between(from, to)
}

fn model_after<'f>(fleet: &'f Fleet<'_>, visit: &Visit) -> Option<&'f Model> {
    visit.model.map(|m| fleet.models.get(m))
}

fn sum(a: Option<f64>, b: Option<f64>) -> Option<f64> {
    Some(a? + b?)
}
