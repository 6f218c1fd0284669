//! Strikes, overspeeds, lightning and bends, and whether the engine was checked after each.
//!
//! The check follows the aircraft that carried the propeller that day, not the propeller: the engine stays there when the
//! propeller goes to a shop.

use std::collections::{HashMap, HashSet};

use super::standing::{List, list_of};
use crate::records::Fleet;
use crate::records::choice::{CheckResult, Method, Scope};
use crate::records::defects::Defect;
use crate::records::event_checks::{EventCheck, MATCH_DAYS};
use crate::settings::Settings;
use crate::trade::calendar::{Day, same_day};
use crate::trade::damage::DefectKind;

/// Events older than this many months that lack a check are a gap of the record, not a reason to stay on the ground.
pub const RECENT_MONTHS: u32 = 24;

/// An event, on the aircraft that carried the propeller that day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Event<'f> {
    /// Its day.
    pub day: Day,
    /// The aircraft; `None` when no record says.
    pub aircraft: Option<&'f str>,
    /// Index of the propeller that had it.
    pub propeller: u32,
    /// What it was.
    pub kind: DefectKind,
}

/// Why an event still waits for its check.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lacking {
    /// No check is on record.
    NotShown,
    /// The latest one is not satisfactory, or without a result.
    NotGood(Option<Day>),
}

/// An event without its check.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Unchecked<'f> {
    /// The event.
    pub event: Event<'f>,
    /// Engine or mount.
    pub scope: Scope,
    /// Why.
    pub lacking: Lacking,
}

impl Unchecked<'_> {
    /// It in words: `strike of 2026-03-02 (propeller A1): no engine check on record`.
    pub fn words(&self, fleet: &Fleet<'_>) -> String {
        let Event { day, propeller, kind, .. } = self.event;
        let what = self.scope.word();
        let lacking = match self.lacking {
            Lacking::NotShown => format!("no {what} check on record"),
            Lacking::NotGood(Some(on)) => format!("{what} check of {on} not satisfactory"),
            Lacking::NotGood(None) => format!("{what} check not satisfactory"),
        };
        format!("{} of {day} (propeller {}): {lacking}", kind.word(), fleet.propellers.serial(propeller))
    }

    /// What to do about it.
    pub fn next_step(&self) -> String {
        let on = self.event.aircraft.map_or_else(|| "the aircraft it was on".to_string(), str::to_string);
        let what = self.scope.word();
        format!(
            "do not fly {on}: a mechanic checks the {what} as its maker asks after such an event and enters it in `event_checks`"
        )
    }
}

/// Every event of a fleet that lacks a check.
#[derive(Debug, Clone, Default)]
pub struct EventsWithoutCheck<'f> {
    /// Those that keep an aircraft on the ground, the newest first.
    pub recent: Vec<Unchecked<'f>>,
    /// Older ones, and those from before checks were kept, the newest first.
    pub older: Vec<Unchecked<'f>>,
    /// Positions in `recent` by the propeller they stand with today.
    by_propeller: HashMap<u32, Vec<usize>>,
}

/// Whether a report is an event after which the engine is checked; a bend has no stated cause here, so it may be a strike.
fn is_event(report: &Defect) -> bool {
    matches!(report.kind, DefectKind::Strike | DefectKind::Lightning | DefectKind::Overspeed | DefectKind::Bend)
}

/// The events of a fleet, one a day and aircraft, in order of day.
fn events<'f>(fleet: &'f Fleet<'_>) -> Vec<Event<'f>> {
    let mut events: Vec<Event<'f>> = fleet
        .defects
        .list()
        .iter()
        .filter(|report| is_event(report))
        .map(|report| Event {
            day: report.found,
            aircraft: fleet.aircraft_on(report.propeller, report.found),
            propeller: report.propeller,
            kind: report.kind,
        })
        .collect();
    // A strike tells more than the bend it left.
    events.sort_by_key(|e| {
        (
            e.day,
            e.aircraft,
            e.aircraft.is_none().then_some(e.propeller),
            e.kind == DefectKind::Bend,
            e.kind,
            e.propeller,
        )
    });
    events.dedup_by(|b, a| {
        a.day == b.day && a.aircraft == b.aircraft && (a.aircraft.is_some() || a.propeller == b.propeller)
    });
    events
}

/// The events, which are in order of day, that lie near enough to the day a check names.
fn near_days<'e, 'f>(events: &'e [Event<'f>], check: &EventCheck) -> &'e [Event<'f>] {
    let Some(day) = check.event else { return events };
    let from = events.partition_point(|e| e.day < day + -MATCH_DAYS);
    let to = events.partition_point(|e| e.day <= day + MATCH_DAYS);
    &events[from..to]
}

/// Whether a check names whom an event happened to.
fn names(fleet: &Fleet<'_>, check: &EventCheck, aircraft: Option<&str>, propeller: u32) -> bool {
    match (check.aircraft.map(|code| fleet.event_checks.aircraft.get(code)), aircraft) {
        (Some(name), Some(aircraft)) => name == aircraft,
        _ => check.propeller == Some(propeller),
    }
}

/// The checks that name a report's propeller, or the aircraft it was on that day, and a day near it.
pub fn checks_of<'c>(fleet: &'c Fleet<'_>, report: &Defect) -> impl Iterator<Item = &'c EventCheck> {
    let event = event_of(fleet, report);
    fleet.event_checks.near(event.day).iter().filter(move |c| names(fleet, c, event.aircraft, event.propeller))
}

/// The latest check of a scope for an event: one that could not be read, or that is not satisfactory and has no day, counts
/// as the latest; of one day the worse.
fn latest<'c>(
    fleet: &'c Fleet<'_>,
    event: &Event<'_>,
    scope: Scope,
    is_alone: impl Fn(&EventCheck) -> bool,
) -> Option<&'c EventCheck> {
    let checks = &fleet.event_checks;
    let names = |check: &&EventCheck| names(fleet, check, event.aircraft, event.propeller);
    let spoiled =
        checks.spoiled.iter().filter(names).find(|c| c.scope.is_none_or(|s| s == scope) && c.may_be_of(event.day));
    if spoiled.is_some() {
        return spoiled;
    }
    let of_event = checks.near(event.day).iter().filter(names).filter(|c| {
        let on_day = c.event == Some(event.day);
        let counts = match c.day {
            Some(day) => day >= event.day,
            // What makes good needs a day.
            None => !c.is_good(),
        };
        c.scope == Some(scope) && counts && (on_day || (c.may_be_of(event.day) && (!c.is_good() || is_alone(c))))
    });
    of_event.max_by_key(|c| (c.day.is_none(), c.day, !c.is_good(), c.row))
}

impl<'f> EventsWithoutCheck<'f> {
    /// Looks for the check of every event.
    pub fn of_fleet(fleet: &'f Fleet<'_>, settings: &Settings) -> EventsWithoutCheck<'f> {
        let mut found = EventsWithoutCheck::default();
        let events = events(fleet);
        if events.is_empty() {
            return found;
        }
        let set = settings.inspections.event_checks_since;
        let kept = fleet.event_checks.kept || set.is_some();
        let since = set.or(fleet.event_checks.earliest);
        for event in events.iter().rev() {
            let is_alone = |check: &EventCheck| {
                let near = |other: &&Event<'_>| {
                    check.may_be_of(other.day) && names(fleet, check, other.aircraft, other.propeller)
                };
                near_days(&events, check).iter().filter(near).count() == 1
            };
            for scope in [Scope::Engine, Scope::Mount] {
                let lacking = match latest(fleet, event, scope, is_alone) {
                    None if scope == Scope::Engine => Lacking::NotShown,
                    Some(check) if !check.is_good() => Lacking::NotGood(check.day),
                    _ => continue,
                };
                let is_recent = same_day(event.day, RECENT_MONTHS) > fleet.as_of;
                // A check that is on record and not satisfactory is no gap of old records.
                let counts = kept && (since.is_none_or(|since| event.day >= since) || lacking != Lacking::NotShown);
                let unchecked = Unchecked { event: *event, scope, lacking };
                if counts && is_recent { &mut found.recent } else { &mut found.older }.push(unchecked);
            }
        }
        found.find_propellers(fleet);
        found
    }

    /// With which propellers the recent ones stand today: those on the aircraft; where no record says which aircraft it
    /// was, the one that had the event.
    fn find_propellers(&mut self, fleet: &Fleet<'_>) {
        if self.recent.is_empty() {
            return;
        }
        let mut of_aircraft: HashMap<&str, Vec<usize>> = HashMap::new();
        let mut of_propeller: HashMap<u32, Vec<usize>> = HashMap::new();
        for (at, unchecked) in self.recent.iter().enumerate() {
            match unchecked.event.aircraft {
                Some(name) => of_aircraft.entry(name).or_default().push(at),
                None => of_propeller.entry(unchecked.event.propeller).or_default().push(at),
            }
        }
        for propeller in 0..fleet.propellers.len() as u32 {
            if list_of(fleet, propeller) != Some(List::Flying) {
                continue;
            }
            let on_it = fleet.aircraft_of(propeller).and_then(|name| of_aircraft.get(name));
            let mut all: Vec<usize> =
                on_it.into_iter().chain(of_propeller.get(&propeller)).flatten().copied().collect();
            if !all.is_empty() {
                all.sort_unstable();
                self.by_propeller.insert(propeller, all);
            }
        }
    }

    /// The recent ones that stand with no flying propeller today: none is on the aircraft.
    pub fn with_none(&self) -> impl Iterator<Item = &Unchecked<'f>> {
        let stands: HashSet<usize> = self.by_propeller.values().flatten().copied().collect();
        (0..self.recent.len()).filter(move |at| !stands.contains(at)).map(|at| &self.recent[at])
    }

    /// Those that stand with a propeller today, the newest first.
    pub fn of(&self, propeller: u32) -> impl Iterator<Item = &Unchecked<'f>> {
        self.by_propeller.get(&propeller).into_iter().flatten().map(|&at| &self.recent[at])
    }
}

/// The check that closes a crack: a shop's, by penetrant or eddy current, that found none, with name and reference, on or
/// after the report, and no later one that is not so; `None` while it is open.
pub fn crack_check<'c>(fleet: &'c Fleet<'_>, report: &Defect) -> Option<&'c EventCheck> {
    let event = event_of(fleet, report);
    let check = latest(fleet, &event, Scope::Crack, |check| {
        let near = |other: &&Defect| other.kind == DefectKind::Crack && check.may_be_of(other.found);
        fleet.defects.of(report.propeller).iter().filter(near).count() == 1
    })?;
    let closes = check.result == Some(CheckResult::NoneFound)
        && matches!(check.method, Some(Method::Penetrant | Method::EddyCurrent))
        && check.is_signed;
    closes.then_some(check)
}

fn event_of<'f>(fleet: &'f Fleet<'_>, report: &Defect) -> Event<'f> {
    Event {
        day: report.found,
        aircraft: fleet.aircraft_on(report.propeller, report.found),
        propeller: report.propeller,
        kind: report.kind,
    }
}

/// Whether a check of the propeller itself after an event, on or after a day, is not satisfactory.
pub fn propeller_check_failed(fleet: &Fleet<'_>, report: &Defect, from: Day) -> bool {
    if !fleet.event_checks.kept {
        return false;
    }
    let event = event_of(fleet, report);
    latest(fleet, &event, Scope::Propeller, |_| true)
        .is_some_and(|check| !check.is_good() && check.day.is_none_or(|day| day >= from))
}
