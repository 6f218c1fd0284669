//! Since when findings of a propeller were written down, and how many hours it flew since.
//!
//! No reports is not the same as no defects: exposure counts from `reports_kept_since`, else from the later of the first day
//! in service and the fleet's first report. Hours that are not known are stood in for by calendar years and the fleet's
//! median hours a year.

use crate::analysis::exposure::last_day;
use crate::analysis::flown::Between;
use crate::records::Fleet;
use crate::records::cells::NO_DAY;
use crate::records::schema::Table;
use crate::trade::calendar::{Day, years_between};

use super::is_counted;

/// Hours that a propeller with a finding has flown at the least: a blade is nicked in use. Assumption.
const FEWEST_HOURS: f64 = 1.0;

/// Where the hours come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HoursFrom {
    /// Flown, as recorded.
    Records,
    /// Calendar years times the fleet's median hours a year.
    FleetMedian,
}

/// Why there is no exposure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoExposure {
    /// Nothing says that reports were kept: no report in the fleet, and no date for the propeller.
    #[error("no damage reports on record, and no date from which they were kept")]
    NoReports,
    /// The date from which reports were kept stands there and cannot be read.
    #[error("the date from which reports were kept could not be read")]
    SinceUnreadable,
    /// Neither its own hours are known nor those of any propeller.
    #[error("no flight hours on record in the fleet")]
    NoHours,
}

/// The time in which findings of one propeller were written down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Watch {
    /// First day.
    pub from: Day,
    /// Last day.
    pub to: Day,
    /// Findings in it without strikes; reports that could not be read count where they may lie in it.
    pub findings: u32,
    /// Those of them that could not be read.
    pub unreadable: u32,
    /// Hours flown in it.
    pub hours: f64,
    /// Where these come from.
    pub hours_from: HoursFrom,
}

impl Watch {
    /// Whether a day lies in it.
    pub fn holds(&self, day: Day) -> bool {
        self.from <= day && day <= self.to
    }
}

/// What the fleet says of everybody's exposure.
pub(super) struct Watching {
    first_report: Option<Day>,
    median_per_year: Option<f64>,
}

impl Watching {
    pub(super) fn of(fleet: &Fleet<'_>, median_per_year: Option<f64>) -> Watching {
        Watching { first_report: fleet.defects.list().iter().map(|d| d.found).min(), median_per_year }
    }

    /// First day of a propeller's exposure.
    fn start(&self, fleet: &Fleet<'_>, propeller: u32) -> Result<Day, NoExposure> {
        let of = fleet.propellers.get(propeller);
        let listed = fleet.loaded.table(Table::Propellers);
        if listed.is_some_and(|table| table.is_faulty(of.row, "reports_kept_since")) {
            return Err(NoExposure::SinceUnreadable);
        }
        if let Some(since) = of.reports_kept_since {
            return Ok(since);
        }
        let first_report = self.first_report.ok_or(NoExposure::NoReports)?;
        // Without a first day in service, the first record of the propeller shows that it was there.
        let there = of.in_service.or_else(|| first_record(fleet, propeller)).unwrap_or(fleet.as_of);
        Ok(first_report.max(there))
    }

    pub(super) fn of_propeller(
        &self,
        fleet: &Fleet<'_>,
        propeller: u32,
        between: &Between<'_>,
    ) -> Result<Watch, NoExposure> {
        let from = self.start(fleet, propeller)?;
        let to = last_day(fleet, propeller).max(from);
        let read =
            fleet.defects.of(propeller).iter().filter(|f| is_counted(f) && from <= f.found && f.found <= to).count()
                as u32;
        let unreadable = unreadable_reports(fleet, propeller, from);
        let findings = read + unreadable;
        let flown = if to > from { between(from, to) } else { Some(0.0) };
        let (hours, hours_from) = match flown {
            Some(hours) => (hours, HoursFrom::Records),
            None => {
                let per_year = self.median_per_year.ok_or(NoExposure::NoHours)?;
                let first_day = fleet.propellers.get(propeller).in_service;
                let flying_from = first_day.map_or(from, |day| day.max(from)).min(to);
                let hours = years_between(flying_from, to) * per_year;
                (hours, HoursFrom::FleetMedian)
            }
        };
        let least = if findings > 0 { FEWEST_HOURS } else { 0.0 };
        Ok(Watch { from, to, findings, unreadable, hours: hours.max(least), hours_from })
    }
}

/// The first dated record of a propeller.
fn first_record(fleet: &Fleet<'_>, propeller: u32) -> Option<Day> {
    let visit = fleet.visits.of(propeller).first().map(|v| v.day);
    let reading = fleet.flying.readings(propeller).first().map(|r| r.day);
    let fitting = fleet.flying.fittings(propeller).first().map(|f| f.from);
    let finding = fleet.defects.of(propeller).first().map(|d| d.found);
    let stay = fleet.places.stays(propeller).iter().find_map(|stay| stay.from);
    [visit, reading, fitting, finding, stay].into_iter().flatten().min()
}

/// Reports of a propeller that were set aside and are not dated before a day.
fn unreadable_reports(fleet: &Fleet<'_>, propeller: u32, from: Day) -> u32 {
    let spoiled = &fleet.defects.spoiled;
    let first = spoiled.partition_point(|&(p, _)| p < propeller);
    let days = fleet.loaded.table(Table::Defects).and_then(|table| table.days("found_date"));
    spoiled[first..]
        .iter()
        .take_while(|&&(p, _)| p == propeller)
        .filter(|&&(_, row)| {
            days.map(|days| days[row as usize])
                .filter(|&day| day != NO_DAY)
                .is_none_or(|day| Day::from_number(day) >= from)
        })
        .count() as u32
}
