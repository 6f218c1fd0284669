//! Tables that someone stopped keeping, and the alarms that rest on what would have come after.

use super::due::{Due, DueRow};
use super::hours::{NotKnown, Source};
use super::ranking::Ranked;
use super::ranking::ground::Ground;
use crate::records::Fleet;
use crate::records::gate::FIRST_DAY;
use crate::records::schema::Table;
use crate::trade::calendar::Day;

/// Tables whose age raises alarms.
const TABLES: [Table; 3] = [Table::Hours, Table::AircraftHours, Table::Inspections];
/// A table is stale when its newest row is older than this many times its usual gap.
const TIMES: i32 = 3;
/// No table is stale within a month.
const FRESH_DAYS: i32 = 30;
/// Days with rows that make a usual gap.
const ENOUGH_DAYS: usize = 6;
/// Days before the newest row in which a longer gap shows that the table pauses (a winter, a season).
const PAUSES_WITHIN_DAYS: i32 = 3 * 365;

/// A table that ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stale {
    /// Which table.
    pub table: Table,
    /// The day of its newest row.
    pub ends: Day,
}

impl Stale {
    /// The line that leads.
    pub fn words(&self) -> String {
        format!("{} end on {}", self.table.name().replace('_', " "), self.ends)
    }
}

/// The tables that end: the newest row is older than three times the usual gap between days with rows, and than any gap of
/// the three years before it.
pub fn stale_tables(fleet: &Fleet<'_>) -> Vec<Stale> {
    let ended = |table: Table| Some(Stale { table, ends: ended(fleet, table)? });
    TABLES.into_iter().filter_map(ended).collect()
}

fn ended(fleet: &Fleet<'_>, table: Table) -> Option<Day> {
    let loaded = fleet.loaded.table(table)?;
    let days = loaded.days(loaded.schema.own_date?)?;
    let as_of = fleet.as_of.number();
    // One mark a day: tables have millions of rows and few days.
    let mut marks = vec![false; usize::try_from(as_of - FIRST_DAY + 1).ok()?];
    for &day in days.iter().filter(|&&day| (FIRST_DAY..=as_of).contains(&day)) {
        marks[(day - FIRST_DAY) as usize] = true;
    }
    let days: Vec<i32> = (FIRST_DAY..).zip(marks).filter_map(|(day, has_rows)| has_rows.then_some(day)).collect();
    let newest = *days.last().filter(|_| days.len() >= ENOUGH_DAYS)?;
    let mut gaps: Vec<i32> = days.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let recent = days.windows(2).filter(|pair| pair[1] > newest - PAUSES_WITHIN_DAYS);
    let longest = recent.map(|pair| pair[1] - pair[0]).max()?;
    gaps.sort_unstable();
    let usual = gaps[gaps.len() / 2];
    let age = as_of - newest;
    (age > FRESH_DAYS && age > TIMES * usual && age > longest).then(|| Day::from_number(newest))
}

/// The stale table that a propeller's gravest ground rests on: a later row of it might take the ground away.
pub fn rests_on<'s>(stale: &'s [Stale], due: &Due, ranked: &Ranked) -> Option<&'s Stale> {
    let ground = ranked.reasons.first()?.ground;
    let tables = match ground {
        Ground::HoursNotKnown | Ground::EstimateOfOthers | Ground::PastBinding | Ground::PastRecommended => {
            hours_tables(due.of(ranked.propeller)?)
        }
        _ => &[],
    };
    stale.iter().find(|s| tables.contains(&s.table))
}

/// The tables a later reading would stand in, where one would settle the matter.
fn hours_tables(due: &DueRow) -> &'static [Table] {
    let Some(hours) = due.hours.as_ref() else { return &[] };
    let aged =
        matches!(hours.not_known(), Some(NotKnown::Old(_) | NotKnown::ByEstimate(..) | NotKnown::NoneSinceStart));
    if !(aged || due.state.is_by_estimate()) || (due.state.is_past() && !due.state.is_by_estimate()) {
        return &[];
    }
    match hours.basis.source {
        Source::OwnReadings => &[Table::Hours],
        Source::AircraftReadings | Source::AircraftAsIfFitted => &[Table::AircraftHours],
        Source::Visits => &[Table::Hours, Table::AircraftHours],
        // One that was never read is not missed by a table that ends.
        Source::NoReadings => &[],
    }
}

/// What leads a summary before any propeller: rows that name none, aircraft that flew with none on record, what is true of many,
/// and tables that end with the alarms
/// that rest on them, by tier.
pub struct Leads<'r> {
    /// Rows that name no known propeller and may be about any, one line a table.
    pub nobody: Vec<String>,
    /// Flights with no propeller on record, one line each, the most hours first.
    pub bare: Vec<String>,
    /// What is true of many aircraft at once, with the propellers whose gravest ground it is.
    pub many: Vec<(String, Vec<&'r Ranked>)>,
    /// Each stale table with the propellers whose gravest ground rests on it, in their order.
    pub stale: Vec<(Stale, Vec<&'r Ranked>)>,
}

/// Tiers that name an alarm.
const LAST_ALARM: u8 = 4;

impl<'r> Leads<'r> {
    /// Of the propellers shown, in order of urgency.
    pub fn of(fleet: &Fleet<'_>, due: &Due, urgent: &[&'r Ranked]) -> Leads<'r> {
        let mut flights: Vec<(f64, String)> = urgent
            .iter()
            .filter_map(|r| due.of(r.propeller)?.bare_flight.as_deref())
            .map(|flight| {
                let aircraft = fleet.flying.aircraft.get(flight.aircraft);
                (flight.hours, format!("{aircraft} flew {:.0} h with no propeller on record", flight.hours))
            })
            .collect();
        flights.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
        let tables = stale_tables(fleet);
        let mut stale: Vec<(Stale, Vec<&Ranked>)> = tables.iter().map(|table| (*table, Vec::new())).collect();
        for row in urgent.iter().filter(|r| r.tier <= LAST_ALARM) {
            if let Some(table) = rests_on(&tables, due, row)
                && let Some((_, rows)) = stale.iter_mut().find(|(s, _)| s == table)
            {
                rows.push(row);
            }
        }
        Leads {
            nobody: fleet.nobody.lines(),
            bare: flights.into_iter().map(|(_, words)| words).collect(),
            many: uninspected(fleet, urgent),
            stale,
        }
    }

    /// Whether a propeller stands under one of these lines.
    pub fn groups(&self, propeller: u32) -> bool {
        let mut rows = self.many.iter().map(|(_, rows)| rows).chain(self.stale.iter().map(|(_, rows)| rows));
        rows.any(|rows| rows.iter().any(|r| r.propeller == propeller))
    }

    /// The alarms under such a line, tier by tier: `tier 1: A, B; tier 4: C and 3 more`.
    pub fn in_tiers(fleet: &Fleet<'_>, rows: &[&Ranked], most: usize) -> String {
        let of_tier = |tier: u8| {
            let of_one: Vec<&str> =
                rows.iter().filter(|r| r.tier == tier).map(|r| fleet.propellers.serial(r.propeller)).collect();
            let named = of_one.iter().take(most).copied().collect::<Vec<_>>().join(", ");
            let more = match of_one.len().saturating_sub(most) {
                0 => String::new(),
                more => format!(" and {more} more"),
            };
            (!of_one.is_empty()).then(|| format!("tier {tier}: {named}{more}"))
        };
        (1..=LAST_ALARM).filter_map(of_tier).collect::<Vec<_>>().join("; ")
    }
}

/// Aircraft without any inspection on record are one line, from two of them on.
fn uninspected<'r>(fleet: &Fleet<'_>, rows: &[&'r Ranked]) -> Vec<(String, Vec<&'r Ranked>)> {
    let without = || rows.iter().filter(|r| r.reasons.iter().any(|reason| reason.ground == Ground::NoInspection));
    let mut aircraft: Vec<(Option<&str>, Option<u32>)> = without()
        .map(|r| fleet.aircraft_of(r.propeller).map_or((None, Some(r.propeller)), |name| (Some(name), None)))
        .collect();
    aircraft.sort_unstable();
    aircraft.dedup();
    if aircraft.len() < 2 {
        return Vec::new();
    }
    let first = |r: &&&Ranked| r.reasons.first().is_some_and(|reason| reason.ground == Ground::NoInspection);
    let words = format!("no inspection on record for {} aircraft", aircraft.len());
    vec![(words, without().filter(first).copied().collect())]
}
