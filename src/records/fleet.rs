//! The fleet as of a date: what the records of that day say, with every row accounted for.

use super::aboard::Crowded;
use super::aircraft::AircraftList;
use super::checks;
use super::choice::Status;
use super::decisions::Decisions;
use super::defects::Defects;
use super::event_checks::EventChecks;
use super::flying::Flying;
use super::gate::Gate;
use super::hour_series;
use super::inspection_checks;
use super::inspections::Inspections;
use super::ledger::{Caution, Ledger};
use super::load::Loaded;
use super::measurements::{Context, Measurements};
use super::models::Models;
use super::nobody::Nobody;
use super::places::Places;
use super::prices::Prices;
use super::propellers::Propellers;
use super::rechecks::Rechecks;
use super::rule::Doubt;
use super::schema::{TABLES, Table};
use super::spend::Spend;
use super::visits::{Visit, Visits};
use super::whom::Known;
use crate::settings::{CheckSettings, Settings};
use crate::trade::calendar::Day;

/// A fleet's records as they stood on a date, checked.
pub struct Fleet<'a> {
    /// The tables it was made from.
    pub loaded: &'a Loaded,
    /// The date.
    pub as_of: Day,
    /// Propellers, in order of serial.
    pub propellers: Propellers,
    /// Models and limits.
    pub models: Models,
    /// Shop visits.
    pub visits: Visits,
    /// Measurements.
    pub measurements: Measurements<'a>,
    /// Damage reports.
    pub defects: Defects,
    /// Hours and fittings.
    pub flying: Flying,
    /// What is said of aircraft.
    pub aircraft: AircraftList,
    /// Bases and stays.
    pub places: Places,
    /// Inspections.
    pub inspections: Inspections,
    /// Checks after events.
    pub event_checks: EventChecks,
    /// Second looks at findings.
    pub rechecks: Rechecks,
    /// What people decided.
    pub decisions: Decisions,
    /// Prices.
    pub prices: Prices,
    /// What was paid.
    pub spend: Spend,
    /// The settings of the checks it passed.
    pub checks: CheckSettings,
    /// Propellers that share their aircraft with more than it carries, in order of serial.
    pub(super) crowded: Vec<Crowded>,
    /// What became of every row.
    pub ledger: Ledger,
    /// Rows that name no known propeller and may be about any.
    pub nobody: Nobody,
}

impl Status {
    /// Scrapped or sold.
    pub fn is_gone(self) -> bool {
        matches!(self, Status::Scrapped | Status::Sold)
    }
}

impl<'a> Fleet<'a> {
    /// The fleet as the records of `as_of` say: rows of a later day are neither used nor judged.
    pub fn as_of(loaded: &'a Loaded, as_of: Day, settings: &Settings) -> Fleet<'a> {
        let writing = &loaded.options.writing;
        let mut gates: [Option<Gate<'a>>; TABLES.len()] =
            TABLES.map(|schema| loaded.table(schema.table).map(|table| Gate::new(table, writing, as_of)));
        let mut take = |table: Table| gates[table as usize].take();
        let mut g_propellers = take(Table::Propellers);
        let mut g_models = take(Table::Models);
        let mut g_limits = take(Table::Limits);
        let mut g_overhauls = take(Table::Overhauls);
        let mut g_measurements = take(Table::Measurements);
        let mut g_defects = take(Table::Defects);
        let mut g_hours = take(Table::Hours);
        let mut g_aircraft_hours = take(Table::AircraftHours);
        let mut g_fitted = take(Table::Fitted);
        let mut g_aircraft = take(Table::Aircraft);
        let mut g_inspections = take(Table::Inspections);
        let mut g_event_checks = take(Table::EventChecks);
        let mut g_rechecks = take(Table::Rechecks);
        let mut g_decisions = take(Table::Decisions);
        let mut g_bases = take(Table::Bases);
        let mut g_kept_at = take(Table::KeptAt);
        let mut g_prices = take(Table::Prices);
        let mut g_spend = take(Table::Spend);

        let designations = |table: Table, column: &str| loaded.table(table).and_then(|t| t.text(column));
        let flown: Vec<&str> = [(Table::Propellers, "model"), (Table::Overhauls, "model_after")]
            .into_iter()
            .filter_map(|(table, column)| designations(table, column))
            .flat_map(|(_, words)| words.iter())
            .collect();
        let mut models = Models::read(g_models.as_mut(), g_limits.as_mut(), &flown, settings.checks.track_limit_in);
        let propellers = g_propellers.as_mut().map(|gate| Propellers::read(gate, &models, as_of)).unwrap_or_default();
        let mut visits = Visits::read(g_overhauls.as_mut(), &propellers, &models);
        let measurements = match g_measurements.as_mut() {
            Some(gate) => Measurements::read(
                gate,
                Context { propellers: &propellers, models: &mut models, visits: &mut visits, checks: &settings.checks },
            ),
            None => {
                visits.follow_models(&propellers);
                Measurements::none(&visits)
            }
        };
        let defects = Defects::read(g_defects.as_mut(), &propellers, &models, &visits, as_of);
        let flying = Flying::read(
            g_hours.as_mut(),
            g_overhauls.as_mut(),
            g_aircraft_hours.as_mut(),
            g_fitted.as_mut(),
            &hour_series::Context {
                propellers: &propellers,
                visits: &visits,
                as_of,
                caution_per_year: settings.checks.hours_per_year,
            },
        );
        let aircraft = AircraftList::read(g_aircraft.as_mut());
        let (inspections, event_checks) = if g_inspections.is_some() || g_event_checks.is_some() {
            let known = Known::of(&propellers, &flying);
            let inspections = Inspections::read(g_inspections.as_mut(), &known, writing, as_of);
            (inspections, EventChecks::read(g_event_checks.as_mut(), &known, as_of))
        } else {
            (Inspections::default(), EventChecks::default())
        };
        let rechecks = Rechecks::read(g_rechecks.as_mut(), &propellers, &models, &visits, &defects);
        let decisions = Decisions::read(g_decisions.as_mut(), &propellers);
        let places = match g_propellers.as_mut() {
            Some(gate) => Places::read(g_bases.as_mut(), g_kept_at.as_mut(), gate, &propellers),
            None => Places::default(),
        };
        let prices = Prices::read(g_prices.as_mut(), &models);
        let currency = settings.fleet.currency.as_deref();
        let spend = Spend::read(g_spend.as_mut(), loaded, &propellers, &visits, currency);

        let mut ledger = Ledger::default();
        for gate in [
            g_propellers,
            g_models,
            g_limits,
            g_overhauls,
            g_measurements,
            g_defects,
            g_hours,
            g_aircraft_hours,
            g_fitted,
            g_aircraft,
            g_inspections,
            g_event_checks,
            g_rechecks,
            g_decisions,
            g_bases,
            g_kept_at,
            g_prices,
            g_spend,
        ]
        .into_iter()
        .flatten()
        {
            gate.close(&mut ledger);
        }
        let mut fleet = Fleet {
            loaded,
            as_of,
            propellers,
            models,
            visits,
            measurements,
            defects,
            flying,
            aircraft,
            places,
            inspections,
            event_checks,
            rechecks,
            decisions,
            prices,
            spend,
            checks: settings.checks.clone(),
            crowded: Vec::new(),
            ledger,
            nobody: Nobody::default(),
        };
        fleet.crowded = fleet.find_crowded();
        for caution in checks::cautions(&fleet, &settings.checks) {
            fleet.ledger.caution(caution);
        }
        for caution in inspection_checks::cautions(&fleet, &settings.inspections) {
            fleet.ledger.caution(caution);
        }
        for &(table, _) in &loaded.without_rows {
            fleet.ledger.caution(Caution::of_table(table, Doubt::NoRows));
        }
        fleet.ledger.sort();
        fleet.nobody = Nobody::of(&fleet, &settings.fleet.known_elsewhere);
        fleet
    }

    /// What each missing table means, in plain words; one without a row up to the as-of date says as little.
    pub fn absences(&self) -> Vec<&'static str> {
        let missing = |table: Table| {
            let counts = self.ledger.counts(table);
            self.loaded.table(table).is_none() || counts.is_some_and(|of| of.read == of.later)
        };
        let mut words: Vec<&'static str> = Vec::new();
        if missing(Table::Hours) && missing(Table::AircraftHours) {
            words.push("no hours and no aircraft hours: hours since overhaul are known only from visits, so often only the calendar limit is checked");
        }
        for schema in TABLES {
            let told_above = matches!(
                schema.table,
                Table::Hours | Table::AircraftHours | Table::Fitted | Table::Aircraft | Table::KeptAt
                    // Missed only where there is something to check, and said there.
                    | Table::EventChecks | Table::Rechecks | Table::Decisions | Table::Spend
            );
            if missing(schema.table) && !told_above {
                words.push(schema.absent);
            }
        }
        words
    }

    /// The day a propeller left service for good: scrapped, sold, or rejected at its last visit.
    pub fn end_of(&self, propeller: u32) -> Option<Day> {
        let of = self.propellers.get(propeller);
        let rejected =
            self.visits.of(propeller).iter().rfind(|v| v.outcome.is_some()).filter(|v| v.rejected()).map(|v| v.day);
        let gone = of.status.is_gone().then_some(of.end_date).flatten();
        match (rejected, gone) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        }
    }

    /// Whether a propeller left service for good, on a known day or not.
    pub fn is_ended(&self, propeller: u32) -> bool {
        self.end_of(propeller).is_some() || self.propellers.get(propeller).status.is_gone()
    }

    /// The first record of hours or of a fitting after a propeller left service for good: its table and row.
    ///
    /// A propeller that is gone without a known day cannot be found out this way.
    pub fn flown_after_end(&self, propeller: u32) -> Option<(Table, u32)> {
        let end = self.end_of(propeller)?;
        let last_hours = |day: Day| {
            self.flying
                .readings(propeller)
                .iter()
                .rfind(|r| r.day <= day)
                .and_then(|r| r.hours_since_new.or(r.hours_since_overhaul))
        };
        let reading = self
            .flying
            .readings(propeller)
            .iter()
            .filter(|r| r.day > end)
            .find(|r| {
                // A reading after the end that adds no hours is a note, not a flight.
                let hours = r.hours_since_new.or(r.hours_since_overhaul);
                last_hours(end).is_none_or(|before| hours.is_some_and(|h| h > before))
            })
            .map(|r| (Table::Hours, r.row));
        let fitting = self.flying.fittings(propeller).iter().find(|f| f.from > end).map(|f| (Table::Fitted, f.row));
        let visit = self
            .visits
            .of(propeller)
            .iter()
            .find(|v| v.day > end && v.outcome.is_some())
            .and_then(|v| Some((Table::Overhauls, v.row?)));
        reading.or(fitting).or(visit)
    }

    /// The name of the aircraft a propeller is on: where it is fitted on the as-of date, else what `propellers` says.
    pub fn aircraft_of(&self, propeller: u32) -> Option<&str> {
        let fitted = self.flying.fittings(propeller).last();
        match fitted {
            Some(fitting) if fitting.to.is_none() => Some(self.flying.aircraft.get(fitting.aircraft)),
            Some(_) => None,
            None => {
                let code = self.propellers.get(propeller).aircraft?;
                Some(self.propellers.aircraft.get(code))
            }
        }
    }

    /// The name of the aircraft a propeller was on that day, or last before it; what `propellers` says where no fitting of
    /// it is recorded.
    pub fn aircraft_on(&self, propeller: u32, day: Day) -> Option<&str> {
        let fittings = self.flying.fittings(propeller);
        if fittings.is_empty() {
            let code = self.propellers.get(propeller).aircraft?;
            return Some(self.propellers.aircraft.get(code));
        }
        let fitting = fittings.iter().rfind(|f| f.from <= day)?;
        Some(self.flying.aircraft.get(fitting.aircraft))
    }

    /// The last visit with a recorded date, whatever was done.
    pub fn last_visit(&self, propeller: u32) -> Option<&Visit> {
        self.visits.of(propeller).last()
    }
}
