//! Inspections as they stand today: what is not signed, what has lapsed, and when the next is due.
//!
//! An inspection belongs to the aircraft; a row by propeller is taken for the aircraft it was on that day, and what it made
//! good counts only while the propeller stays on it. An annual holds to the end of its months (14 CFR 91.409: the twelfth,
//! from memory; the rule differs by country), a 100 hour for its hours since it or since a later annual.

mod hundred_hour;
mod judged;
mod whose;

use std::collections::HashMap;

use rayon::prelude::*;

pub use hundred_hour::HundredHour;
pub use judged::{Annual, InspectionMatter, Standing};
pub use whose::{counting, of_its_days};

use super::hours::FleetHours;
use super::standing::{List, list_of};
use crate::records::Fleet;
use crate::records::inspections::{Inspected, Inspection};
use crate::settings::{InspectionSettings, Settings};
use crate::trade::calendar::{Day, month_end};

/// How inspections stand with one propeller.
#[derive(Debug, Clone, PartialEq)]
pub struct Inspections {
    /// Index of the propeller.
    pub propeller: u32,
    /// What is wrong with them, the gravest first.
    pub matters: Vec<InspectionMatter>,
    /// The annual in force, or the one that lapsed.
    pub annual: Option<Annual>,
    /// The 100 hour in force, or the one that lapsed.
    pub hundred_hour: Option<HundredHour>,
}

/// Inspections of every listed propeller of a fleet that keeps them.
#[derive(Debug, Clone, Default)]
pub struct FleetInspections {
    /// In order of serial; empty for a fleet without any inspection on record.
    pub rows: Vec<Inspections>,
}

/// What inspections are judged by.
pub(super) struct Basis<'b, 'a> {
    pub fleet: &'b Fleet<'a>,
    pub hours: &'b FleetHours,
    pub settings: &'b InspectionSettings,
    /// Inspections written by propeller, by the aircraft it was on that day.
    by_propeller: HashMap<&'b str, Vec<&'b Inspection>>,
    /// The first day a propeller is recorded on each aircraft.
    first_fitted: HashMap<u32, Day>,
}

impl FleetInspections {
    /// Judges the inspections of every listed propeller.
    pub fn of_fleet(fleet: &Fleet<'_>, hours: &FleetHours, settings: &Settings) -> FleetInspections {
        if fleet.inspections.is_empty() {
            return FleetInspections::default();
        }
        let basis = Basis::of(fleet, hours, &settings.inspections);
        let rows = (0..fleet.propellers.len() as u32)
            .into_par_iter()
            .with_min_len(256)
            .filter_map(|propeller| {
                let list = list_of(fleet, propeller)?;
                (list != List::AtShop).then(|| judged::judge(&basis, propeller, list))
            })
            .collect();
        FleetInspections { rows }
    }

    /// How they stand with a propeller; `None` at a shop, or in a fleet without inspections.
    pub fn of(&self, propeller: u32) -> Option<&Inspections> {
        let at = self.rows.binary_search_by_key(&propeller, |row| row.propeller).ok()?;
        self.rows.get(at)
    }
}

impl<'b, 'a> Basis<'b, 'a> {
    fn of(fleet: &'b Fleet<'a>, hours: &'b FleetHours, settings: &'b InspectionSettings) -> Basis<'b, 'a> {
        let mut by_propeller: HashMap<&str, Vec<&Inspection>> = HashMap::new();
        for inspection in fleet.inspections.list() {
            if let Inspected::Propeller(propeller) = inspection.of
                && let Some(aircraft) = fleet.aircraft_on(propeller, inspection.day)
            {
                by_propeller.entry(aircraft).or_default().push(inspection);
            }
        }
        let mut first_fitted: HashMap<u32, Day> = HashMap::new();
        for propeller in 0..fleet.propellers.len() as u32 {
            for fitting in fleet.flying.fittings(propeller) {
                let first = first_fitted.entry(fitting.aircraft).or_insert(fitting.from);
                *first = fitting.from.min(*first);
            }
        }
        Basis { fleet, hours, settings, by_propeller, first_fitted }
    }

    /// The last day an annual holds, and the later one that is written and does not count.
    pub(super) fn annual_holds_to(&self, inspection: &Inspection) -> (Day, Option<Day>) {
        let longest = month_end(inspection.day, self.settings.annual_months);
        match inspection.next_due {
            Some(next) if next > longest => (longest, Some(next)),
            Some(next) => (next, None),
            None => (longest, None),
        }
    }
}
