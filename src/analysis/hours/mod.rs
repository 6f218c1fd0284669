//! Hours flown: each propeller's hours over time, since its last overhaul, and how fast they run.
//!
//! Hours come from the propeller's own readings and the hours written at its visits; where these do not say, from the meters
//! of its aircraft while it was fitted. A propeller without own readings and without any fitting, whose aircraft
//! `propellers` names, counts as on that aircraft all the time since its clock started: its hours and dates are shown, a limit
//! may be passed by them, and they are never known.
//!
//! Hours are known when a reading lies on or after the start of the clock, the recorded hours reach to under twelve months
//! before the as-of date, less than a tenth of the hour interval is flown by estimate since, no more than twelve months
//! since the start are filled at the use rate, the hours at the start are recorded, no two readings contradict each other
//! and none that bears on them was lost. A spare or a propeller at a shop that was taken off its last aircraft flies no
//! hours from then on, which is as good as a reading. Everything else is extrapolated and says so.

mod bare;
mod doubt;
mod fitting;
mod line;
mod lost;
mod meters;
mod own;
mod rate;
mod since;

use rayon::prelude::*;

pub use bare::BareFlight;
pub use doubt::{NotKnown, contradiction_in_words};
pub use fitting::Stretch;
pub use line::{Flown, Line, Origin, Reached, Span, SpanKind};
pub use rate::{DAYS_PER_MONTH, RateBasis, SpreadBasis, UseRate, UseSpread};
pub use since::{HoursBasis, HoursSince, Source};

use crate::records::Fleet;
use crate::records::choice::Use;
use crate::settings::Settings;
use crate::trade::calendar::Day;

/// What starts a propeller's clock: its last released overhaul, else its first day in service when it came new.
///
/// `None`: no overhaul on record.
pub fn clock_start(fleet: &Fleet<'_>, propeller: u32) -> Option<Day> {
    last_overhaul(fleet, propeller).or_else(|| own::first_day_when_new(fleet, propeller))
}

/// The day of a propeller's last released overhaul.
pub fn last_overhaul(fleet: &Fleet<'_>, propeller: u32) -> Option<Day> {
    let visits = fleet.visits.of(propeller);
    visits.iter().rfind(|v| v.restarts_clock()).map(|visit| visit.day)
}

/// One propeller's use, as its own readings tell it.
#[derive(Debug, Clone, Copy)]
struct OwnUse {
    usage: Option<Use>,
    rate: Option<(f64, RateBasis)>,
    /// Relative variance of the monthly rates, and their number.
    spread: Option<rate::OwnSpread>,
    as_if_fitted: bool,
}

/// The hours of a fleet: what is worked out once for all propellers.
pub struct FleetHours {
    meters: Vec<meters::AircraftLine>,
    lost: lost::Lost,
    own: Vec<OwnUse>,
    fleet_rates: rate::FleetRates,
    /// Middle of the rates that are the propellers' own.
    median_own_rate: Option<f64>,
    /// Spread of monthly use for a propeller without one of its own.
    other_spread: UseSpread,
    most_hours_per_day: f64,
    /// The first day of any fitting on record.
    first_fitting: Option<Day>,
    /// Flights with no propeller on record, by the propeller last fitted.
    bare: Vec<BareFlight>,
}

/// A propeller's hours over time and the stretches on its aircraft.
pub struct Record {
    /// Its hours over time.
    pub line: Line,
    /// Its stretches on aircraft.
    pub stretches: Vec<Stretch>,
    /// A spare or one at a shop, and no day since when it flies nothing.
    pub off_without_date: bool,
}

impl FleetHours {
    /// Goes through every propeller once, scrapped ones included, and learns the rates and the spread of use.
    pub fn of(fleet: &Fleet<'_>, settings: &Settings) -> FleetHours {
        let meters = meters::lines(&fleet.flying);
        let mut hours = FleetHours {
            bare: bare::bare_flights(fleet, &meters),
            meters,
            lost: lost::Lost::of(fleet),
            own: Vec::new(),
            fleet_rates: rate::FleetRates::default(),
            median_own_rate: None,
            other_spread: UseSpread { cv: settings.due.monthly_use_spread, basis: SpreadBasis::Assumed },
            most_hours_per_day: settings.checks.hours_per_year / crate::trade::calendar::DAYS_PER_YEAR,
            first_fitting: fleet.flying.all_fittings().iter().map(|f| f.from).min(),
        };
        hours.own = (0..fleet.propellers.len() as u32)
            .into_par_iter()
            .with_min_len(1024)
            .map(|propeller| {
                let line = hours.record(fleet, propeller).line;
                OwnUse {
                    usage: fleet.propellers.get(propeller).usage,
                    rate: rate::own_rate(&line),
                    spread: rate::own_spread(&line),
                    as_if_fitted: line.as_if_fitted,
                }
            })
            .collect();
        hours.median_own_rate = rate::median(hours.own.iter().filter_map(|own| Some(own.rate?.0)).collect());
        // Hours that are only taken for a propeller's teach nothing: they are its aircraft's, and may count twice.
        let sure = || hours.own.iter().filter(|own| !own.as_if_fitted);
        hours.fleet_rates = rate::FleetRates::of(sure().filter_map(|own| Some((own.usage, own.rate?.0))));
        let assumed = settings.due.monthly_use_spread;
        if let Some(cv) = rate::pooled_spread(sure().filter_map(|own| own.spread), assumed) {
            hours.other_spread = UseSpread { cv, basis: SpreadBasis::Fleet };
        }
        hours
    }

    /// A propeller's hours over time, up to the as-of date at most.
    pub fn record(&self, fleet: &Fleet<'_>, propeller: u32) -> Record {
        let points = own::points(fleet, propeller);
        let last_day = fitting::last_day(fleet, propeller);
        let mut stretches = fitting::stretches(fleet.flying.fittings(propeller), last_day);
        bare::extend(&mut stretches, self.bare_flights(propeller));
        let off_since = fitting::off_since(fleet, propeller, self.first_fitting, &stretches);
        let assumed = self.as_if_fitted(fleet, propeller, off_since.map_or(last_day, |off| off.min(last_day)));
        let as_if_fitted = assumed.is_some();
        stretches.extend(assumed);
        let flight = fitting::Flight {
            stretches: &stretches,
            meters: &self.meters,
            off_since,
            most_hours_per_day: self.most_hours_per_day,
            contradictions: fleet.flying.contradictions(propeller),
        };
        let mut line = own::line(&points, &flight, last_day);
        line.as_if_fitted = as_if_fitted;
        let off_without_date = off_since.is_none() && fitting::is_off(fleet, propeller);
        Record { line, stretches, off_without_date }
    }

    /// The stretch on the aircraft that `propellers` names, of a propeller without any other word on its hours.
    fn as_if_fitted(&self, fleet: &Fleet<'_>, propeller: u32, last_day: Day) -> Option<Stretch> {
        let flying = &fleet.flying;
        if !flying.readings(propeller).is_empty() || !flying.fittings(propeller).is_empty() {
            return None;
        }
        let code = fleet.propellers.get(propeller).aircraft?;
        let aircraft = flying.aircraft.find(fleet.propellers.aircraft.get(code))?;
        let first = self.meters[aircraft as usize].first_day()?;
        let from = clock_start(fleet, propeller).or(fleet.propellers.get(propeller).in_service).unwrap_or(first);
        (from < last_day).then_some(Stretch { from, to: last_day, aircraft })
    }

    /// Flights of a propeller's aircraft with none on record, after it came off, in order of date.
    pub fn bare_flights(&self, propeller: u32) -> &[BareFlight] {
        let from = self.bare.partition_point(|b| b.propeller < propeller);
        let to = from + self.bare[from..].partition_point(|b| b.propeller == propeller);
        &self.bare[from..to]
    }

    /// Hours a day of a propeller's own readings.
    pub fn own_rate(&self, propeller: u32) -> Option<f64> {
        Some(self.own[propeller as usize].rate?.0)
    }

    /// The middle of the propellers' own rates, in hours a day; `None` when no propeller has one.
    pub fn median_own_rate(&self) -> Option<f64> {
        self.median_own_rate
    }

    /// A propeller's use rate: its own, else the 75th percentile of the fleet's propellers of the same use.
    pub fn rate(&self, propeller: u32) -> UseRate {
        let own = &self.own[propeller as usize];
        match own.rate {
            Some((rate, basis)) => UseRate { hours_per_day: Some(rate), basis },
            None => self.fleet_rates.rate(own.usage),
        }
    }

    /// The spread of a propeller's monthly use: its own, drawn towards the fleet's; without one the fleet's, else the setting.
    pub fn spread(&self, propeller: u32) -> UseSpread {
        match self.own[propeller as usize].spread {
            Some(own) => UseSpread { cv: own.shrunk(self.other_spread.cv), basis: SpreadBasis::Own },
            None => self.other_spread,
        }
    }

    /// Hours a propeller flew since a day, days without readings at its use rate; `None` without a rate for them.
    pub fn flown_since(&self, fleet: &Fleet<'_>, propeller: u32, day: Day) -> Option<f64> {
        let record = self.record(fleet, propeller);
        self.since(fleet, propeller, &record, day, None).today
    }

    /// What an aircraft flew between two days by its meters, by its code in [`crate::records::flying::Flying::aircraft`];
    /// `None` when none was ever read.
    pub fn flown_by_aircraft(&self, aircraft: u32, from: Day, to: Day) -> Option<Flown> {
        let meters = self.meters.get(aircraft as usize).filter(|line| line.first_day().is_some())?;
        let mut line = Line::default();
        meters.add_between(from, to, &mut line.spans);
        Some(line.flown(from, to))
    }

    /// The day a propeller was installed after a release; the release itself when no fitting says, when a fitting that
    /// could not be read may have come first, or when readings show hours flown before the first fitting: the earlier
    /// start is the cautious one.
    pub fn installed(&self, record: &Record, propeller: u32, release: Day) -> Day {
        if record.line.as_if_fitted || self.lost.any_fitting_of(propeller) {
            return release;
        }
        fitting::installed_after(&record.stretches, release)
            .filter(|&day| record.line.flown(release, day).read == 0.0)
            .unwrap_or(release)
    }
}
