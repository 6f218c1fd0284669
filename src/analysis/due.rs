//! When each propeller's next overhaul is due: by the calendar, by hours, the earlier of both, and in which state that is.
//!
//! Both limits count from the last released overhaul, or from the first day in service of a propeller that came new and was
//! never overhauled. A limit is reached on its day and passed on the day after. Whether it binds is what the records say.

mod interval;
mod state;

use rayon::prelude::*;

pub use interval::{Interval, StandsIn};
use state::Passed;
pub use state::{DO_NOT_INSTALL, State};

use super::hours::{
    BareFlight, DAYS_PER_MONTH, FleetHours, HoursSince, RateBasis, Reached, Record, UseRate, clock_start, last_overhaul,
};
use super::inspections::counting;
use super::margins::model_now;
use super::standing::{List, list_of};
use crate::records::Fleet;
use crate::records::choice::{InspectionKind, InspectionResult, IntervalFrom};
use crate::settings::Settings;
use crate::trade::calendar::Day;

/// Normal score of the 10 % and 90 % dates.
const Z_90: f64 = 1.2816;

/// The last inspection of a propeller, which stands beside its state: a recommended limit may be run on condition.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LastInspection {
    /// Its day.
    pub day: Day,
    /// Its kind.
    pub kind: Option<InspectionKind>,
    /// Its result; `None` when not recorded.
    pub result: Option<InspectionResult>,
    /// The earliest day that the last inspection of any kind gives for its next.
    pub next: Option<Day>,
}

/// When a propeller's next overhaul is due.
#[derive(Debug, Clone, PartialEq)]
pub struct DueRow {
    /// Index of the propeller.
    pub propeller: u32,
    /// The list it stands on.
    pub list: List,
    /// Number of its model today.
    pub model: Option<u32>,
    /// Day of its last released overhaul.
    pub last_overhaul: Option<Day>,
    /// What days and hours count from; `None`: no overhaul on record.
    pub clock_start: Option<Day>,
    /// What calendar months count from: the same, or the day of installation.
    pub calendar_start: Option<Day>,
    /// Days since the clock started.
    pub days_since_overhaul: Option<i32>,
    /// Hours since the clock started; `None` when nothing starts it.
    pub hours: Option<HoursSince>,
    /// Its use rate.
    pub rate: UseRate,
    /// The interval that holds for it.
    pub interval: Interval,
    /// The calendar limit.
    pub due_calendar: Option<Day>,
    /// The hour limit; `None` when none is stated or nothing starts the clock.
    pub due_hours: Option<Reached>,
    /// The earlier of both.
    pub due: Option<Day>,
    /// The day before which it is due with 10 % chance; `None` when the hour limit is not dated for want of a use rate.
    pub due_p10: Option<Day>,
    /// The day before which it is due with 90 % chance; `None` as for 10 %.
    pub due_p90: Option<Day>,
    /// Days from the as-of date to the due date, below zero when it is passed.
    pub days_to_due: Option<i32>,
    /// Hours left to the hour limit, below zero when it is passed.
    pub hours_to_due: Option<f64>,
    /// Where it stands.
    pub state: State,
    /// Its last inspection.
    pub inspection: Option<LastInspection>,
    /// Since its clock started its last aircraft flew with no propeller on record.
    pub bare_flight: Option<Box<BareFlight>>,
}

/// The fleet's hours, and a row for each propeller on a list, in the propellers' order.
pub struct Due {
    /// What was learnt of hours from the whole fleet.
    pub hours: FleetHours,
    /// The rows.
    pub rows: Vec<DueRow>,
}

impl Due {
    /// Works out hours and due dates; propellers on no list teach rates and get no row.
    pub fn of_fleet(fleet: &Fleet<'_>, settings: &Settings) -> Due {
        let hours = FleetHours::of(fleet, settings);
        let rows = (0..fleet.propellers.len() as u32)
            .into_par_iter()
            .with_min_len(1024)
            .filter_map(|propeller| {
                let list = list_of(fleet, propeller)?;
                Some(row(fleet, &hours, settings, propeller, list))
            })
            .collect();
        Due { hours, rows }
    }

    /// The row of a propeller.
    pub fn of(&self, propeller: u32) -> Option<&DueRow> {
        let at = self.rows.binary_search_by_key(&propeller, |row| row.propeller).ok()?;
        self.rows.get(at)
    }
}

impl DueRow {
    /// Whether a limit is passed by estimate only, and the estimate rests on other propellers' use.
    pub fn passed_by_others_use(&self) -> bool {
        let others = matches!(self.rate.basis, RateBasis::FleetSameUse | RateBasis::FleetAnyUse);
        self.state.is_by_estimate() && others
    }

    /// Whether it is a spare past its limit: its calendar ran on the shelf.
    pub fn do_not_install(&self) -> bool {
        self.list == List::Spare && self.state.is_past()
    }

    /// Days of the calendar limit's whole time, for comparing with days since overhaul.
    pub fn interval_days(&self) -> Option<i32> {
        Some(self.due_calendar? - self.calendar_start?)
    }

    /// The days on which its next overhauls fall, without end: the first when it is due, on the as-of date if that is
    /// passed, each later one at the shorter of the months and the hours at its use rate.
    ///
    /// Empty when no limit is dated.
    pub fn overhaul_dates(&self, as_of: Day) -> impl Iterator<Item = Day> + use<> {
        let (interval, rate) = (self.interval, self.rate.hours_per_day);
        std::iter::successors(self.due.map(|due| due.max(as_of)), move |&day| interval.next_overhaul(day, rate))
    }

    /// The day of the `k`-th overhaul from now, from 1; `None` when no limit dates it.
    pub fn overhaul_date(&self, as_of: Day, k: u32) -> Option<Day> {
        self.overhaul_dates(as_of).nth(k.checked_sub(1)? as usize)
    }
}

fn earlier(a: Option<Day>, b: Option<Day>) -> Option<Day> {
    match (a, b) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}

fn row(fleet: &Fleet<'_>, hours: &FleetHours, settings: &Settings, propeller: u32, list: List) -> DueRow {
    let model = model_now(fleet, propeller);
    let interval = Interval::of(fleet, propeller, model);
    let mut row = DueRow {
        propeller,
        list,
        model,
        last_overhaul: last_overhaul(fleet, propeller),
        clock_start: clock_start(fleet, propeller),
        calendar_start: None,
        days_since_overhaul: None,
        hours: None,
        rate: hours.rate(propeller),
        interval,
        due_calendar: None,
        due_hours: None,
        due: None,
        due_p10: None,
        due_p90: None,
        days_to_due: None,
        hours_to_due: None,
        state: State::NoOverhaulOnRecord,
        inspection: last_inspection(fleet, propeller),
        bare_flight: None,
    };
    let counted = |flight: &&BareFlight| row.clock_start.is_none_or(|start| flight.until > start);
    row.bare_flight = hours.bare_flights(propeller).iter().rfind(counted).map(|flight| Box::new(*flight));
    if let Some(start) = row.clock_start {
        let record = hours.record(fleet, propeller);
        let calendar_start = match (interval.from, row.last_overhaul) {
            (IntervalFrom::Installation, Some(release)) => hours.installed(&record, propeller, release),
            _ => start,
        };
        row.days_since_overhaul = Some(fleet.as_of - start);
        row.calendar_start = Some(calendar_start);
        row.due_calendar = interval.calendar_limit(calendar_start);
        row.hours = Some(hours.since(fleet, propeller, &record, start, interval.hours.value()));
        date(&mut row, fleet.as_of, hours, &record, start);
    }
    row.state = state_of(&mut row, fleet.as_of, settings.due.warning_days);
    row
}

/// Fills in the dates.
fn date(row: &mut DueRow, as_of: Day, hours: &FleetHours, record: &Record, start: Day) {
    let calendar = row.due_calendar;
    let Some(limit) = row.interval.hours.value() else {
        row.due = calendar;
        (row.due_p10, row.due_p90) = (calendar, calendar);
        row.days_to_due = calendar.map(|due| due - as_of);
        return;
    };
    let at = |factor: f64| hours.reached(row.propeller, record, start, limit, factor);
    let reached = at(1.0);
    let due = earlier(calendar, reached.day());
    let (p10, p90) = match reached {
        Reached::NotKnown => (None, None),
        Reached::Never => (calendar, calendar),
        Reached::On(day) => {
            let months = f64::from(day - as_of) / DAYS_PER_MONTH;
            let spread = hours.spread(row.propeller).cv / months.max(1.0).sqrt();
            let by = |factor: f64| earlier(calendar, at(factor).day());
            (by((Z_90 * spread).exp()), by((-Z_90 * spread).exp()))
        }
    };
    row.due_hours = Some(reached);
    row.due = due;
    (row.due_p10, row.due_p90) = (p10, p90);
    row.days_to_due = due.map(|due| due - as_of);
    row.hours_to_due = row.hours.and_then(|hours| hours.today).map(|today| limit - today);
}

fn state_of(row: &mut DueRow, as_of: Day, warning_days: u32) -> State {
    // What stands in for a limit that nobody states is shown, and passed by nobody.
    let stands_in = row.interval.stands_in;
    let calendar = row.due_calendar.filter(|_| !stands_in.months);
    let mut passed = calendar.is_some_and(|day| day < as_of).then_some(Passed::Surely);
    let mut hours_known = true;
    let hour_limit = row.interval.hours.value().filter(|_| !stands_in.hours);
    if let (Some(limit), Some(hours)) = (hour_limit, row.hours.as_mut()) {
        let may_be_past = hours.today_at_most.is_none_or(|most| most >= limit);
        hours.basis.silent_visit = hours.silent_visit && may_be_past;
        hours_known = hours.known && hours.today.is_some() && !hours.basis.silent_visit;
        if hours.read > limit && !hours.basis.as_if_fitted {
            passed = Some(Passed::Surely);
        } else if hours.today.is_some_and(|today| today > limit) || hours.read > limit {
            passed = passed.or(Some(Passed::ByEstimate));
        }
    }
    let facts =
        state::Facts { has_start: row.clock_start.is_some(), passed, hours_known, days_to_due: row.days_to_due };
    state::state(&row.interval, facts, warning_days)
}

fn last_inspection(fleet: &Fleet<'_>, propeller: u32) -> Option<LastInspection> {
    let inspections = counting(fleet, propeller);
    let last = inspections.last()?;
    let mut kinds: Vec<Option<InspectionKind>> = Vec::new();
    let mut next: Option<Day> = None;
    for inspection in inspections.iter().rev() {
        if !kinds.contains(&inspection.kind) {
            kinds.push(inspection.kind);
            next = earlier(next, inspection.next_due);
        }
    }
    Some(LastInspection { day: last.day, kind: last.kind, result: last.result, next })
}
