//! Climate exposure: what the air has done since the last skin came off.
//!
//! An index for ranking, `D = (Sum r_i^(1/b) t_i)^b` over the bases where a propeller lived (see [`attack_g_m2`]), from its
//! last overhaul, else from new. It is never subtracted from a blade. What is not recorded never makes it smaller: air that
//! is not known counts at the worst rate, and a beginning that is not known at the longest time there can be.

pub mod air;
pub mod start;
pub mod whereabouts;

use self::air::{Airs, BaseAir};
use self::start::{FIRST_DAY_OF_RECORDS, Start};
use self::whereabouts::{Whereabouts, base_on, whereabouts_into};
use super::standing::is_listed;
use crate::records::Fleet;
use crate::trade::calendar::{Day, years_between};
use crate::trade::corrosion::{Growth, GrowthError, Kept, Stay, TIME_EXPONENT, attack_g_m2};

/// What the air has done to one propeller.
#[derive(Debug, Clone, PartialEq)]
pub struct Exposure {
    /// Index of the propeller.
    pub propeller: u32,
    /// When the present skin was new.
    pub start: Start,
    /// The last day counted: the as-of date, or the day it left service for good.
    pub until: Day,
    /// Number of the base where it lived on that day.
    pub base: Option<u32>,
    /// The air there.
    pub air: BaseAir,
    /// Exposure index in g/m2; at least this where [`Start::is_lower_bound`], and, where the start is not known, the most
    /// there can be: from the first day that records may carry.
    pub index_g_m2: f64,
    /// Years of it at places whose air is not known.
    pub unknown_air_years: f64,
    /// Numbers of the bases lived at whose annual means lie outside the range of the dose-response function.
    pub clamped_bases: Vec<u32>,
    /// A factor below 1 was used for time in a hangar.
    pub hangar_credit: bool,
}

impl Exposure {
    /// The index, when the start of the exposure is known; else only an upper bound stands in [`Exposure::index_g_m2`].
    pub fn known_index_g_m2(&self) -> Option<f64> {
        self.start.day().map(|_| self.index_g_m2)
    }

    /// Years of exposure, when the start is known.
    pub fn years(&self) -> Option<f64> {
        self.start.day().map(|from| years_between(from, self.until).max(0.0))
    }

    /// Where the rate comes from and what is assumed, in words.
    pub fn basis(&self, fleet: &Fleet<'_>) -> String {
        let mut words = vec![self.air.source.words().to_string()];
        if self.air.stated_milder {
            words.push("its category or words would be milder".to_string());
        }
        for &base in &self.clamped_bases {
            let of = &fleet.places.bases()[base as usize];
            words.push(format!("annual means of {} outside the function's range, held at its edge", of.name));
        }
        // Where all of it is unknown and so is the air today, the source has said so.
        if self.unknown_air_years > 0.0 && self.start.day().is_some() {
            let years = self.years().unwrap_or(0.0);
            if self.unknown_air_years < years || self.air.is_known() {
                words.push(format!(
                    "air not known for {:.1} of {years:.1} years, the worst rate taken",
                    self.unknown_air_years
                ));
            }
        }
        if self.hangar_credit {
            words.push("credit for the hangar".to_string());
        }
        words.extend(self.start.words().map(str::to_string));
        words.join("; ")
    }
}

/// Works out exposures, propeller by propeller.
pub struct ExposureReader<'f, 'a> {
    fleet: &'f Fleet<'a>,
    airs: &'f Airs,
    growth: Growth,
    places: Vec<Whereabouts>,
    stays: Vec<Stay>,
}

impl<'f, 'a> ExposureReader<'f, 'a> {
    /// A reader for a fleet and the air of its bases; `hangar_factor` is the setting.
    pub fn new(fleet: &'f Fleet<'a>, airs: &'f Airs, hangar_factor: f64) -> Self {
        ExposureReader {
            fleet,
            airs,
            growth: Growth { time_exponent: TIME_EXPONENT, hangar_factor },
            places: Vec::new(),
            stays: Vec::new(),
        }
    }

    /// The exposure of one propeller.
    ///
    /// # Errors
    /// [`GrowthError`] for a hangar factor that is no positive number, which settings never are.
    pub fn of(&mut self, propeller: u32) -> Result<Exposure, GrowthError> {
        let until = last_day(self.fleet, propeller);
        let start = Start::of(self.fleet, propeller);
        let from = start.day().unwrap_or(FIRST_DAY_OF_RECORDS);
        self.places.clear();
        whereabouts_into(self.fleet, propeller, from, until, &mut self.places);
        self.stays.clear();
        let (mut unknown_air_years, mut hangar_credit) = (0.0, false);
        let mut clamped_bases: Vec<u32> = Vec::new();
        for place in &self.places {
            let air = self.airs.of(place.base);
            let years = years_between(place.from, place.to);
            if !air.is_known() {
                unknown_air_years += years;
            }
            if let Some(base) = place.base
                && air.clamped.any()
                && !clamped_bases.contains(&base)
            {
                clamped_bases.push(base);
            }
            hangar_credit |= place.kept == Kept::Hangar && self.growth.hangar_factor < 1.0;
            self.stays.push(Stay { rate_g_m2_year: air.rate_g_m2_year, kept: place.kept, years });
        }
        let base = base_on(self.fleet, propeller, until);
        Ok(Exposure {
            propeller,
            start,
            until,
            base,
            air: *self.airs.of(base),
            index_g_m2: attack_g_m2(&self.stays, &self.growth)?,
            unknown_air_years,
            clamped_bases,
            hangar_credit,
        })
    }
}

/// The last day of a propeller's exposure: the as-of date while it stands on a list, else the day it left service; the
/// as-of date where that is not known.
pub fn last_day(fleet: &Fleet<'_>, propeller: u32) -> Day {
    if is_listed(fleet, propeller) {
        return fleet.as_of;
    }
    fleet.end_of(propeller).unwrap_or(fleet.as_of).min(fleet.as_of)
}
