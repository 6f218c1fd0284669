//! What each propeller's file lacks, why it matters, and where such a record usually lies: the most useful first.
//!
//! The most useful is what keeps a propeller in the upper tiers; then what makes its forecast or its dates weaker; then what only
//! weakens its score. Where a record lies is common practice, no source.

use crate::records::written::count;
use std::collections::{BTreeSet, HashMap};

use super::due::DueRow;
use super::event_checks::EventsWithoutCheck;
use super::exposure::Exposure;
use super::findings::Findings;
use super::remaining::Remaining;
use super::standing::List;
use crate::analysis::defect_rate::DefectRates;
use crate::analysis::margins::{Basis, model_now};
use crate::records::Fleet;
use crate::records::choice::{Acquired, Status};
use crate::trade::calendar::Day;
use crate::trade::damage::Surface;
use crate::trade::field_repair::FieldRepair;

/// A kind of missing thing, the most useful first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Missing {
    /// A damage report that could not be read.
    DamageReport,
    /// The outcome of a shop visit.
    Outcome,
    /// The kind of work of a shop visit.
    Work,
    /// A shop visit that could not be read.
    Visit,
    /// Depth, place or size of an open finding.
    FindingSize,
    /// The engine's check after a strike, overspeed, lightning or bend.
    EngineCheck,
    /// Any overhaul.
    Overhaul,
    /// The model.
    Model,
    /// Minimum dimensions.
    Limits,
    /// The smallest diameter.
    DiameterMinimum,
    /// The overhaul interval in months or hours.
    Interval,
    /// Any reading of the blades.
    Sheet,
    /// Readings of hours.
    Hours,
    /// Readings left out at the last visit.
    Readings,
    /// Since when damage reports were kept.
    ReportsSince,
    /// The air at its base.
    Air,
    /// The base.
    Base,
    /// The first day in service.
    InService,
    /// What it flies for.
    Use,
}

/// One thing missing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gap {
    /// Index of the propeller.
    pub propeller: u32,
    /// Its list.
    pub list: List,
    /// What kind of thing.
    pub missing: Missing,
    /// What is missing, in words.
    pub what: String,
}

impl Missing {
    /// What cannot be said without it.
    pub fn why_it_matters(self) -> &'static str {
        match self {
            Missing::DamageReport => "it may be a crack: the propeller counts as needing a mechanic before flight",
            Missing::Outcome => "it may have been rejected: the visit neither restarts the clock nor closes findings",
            Missing::Work => "the visit cannot restart the clock: only an overhaul does",
            Missing::Visit => "it may have been an overhaul, a rejection or a change of model",
            Missing::FindingSize => "whether it may be dressed in the field cannot be judged",
            Missing::EngineCheck => {
                "a strike, overspeed, lightning or bend may have hurt the engine, which stays when the propeller goes"
            }
            Missing::Overhaul => "nothing starts its clock, so no limit can be dated",
            Missing::Model => "without it there are no limits, no interval and no prices",
            Missing::DiameterMinimum => "whether the dressed tips still leave the diameter it must have is not known",
            Missing::Limits => "margins and the chance of passing are not known, or only upper bounds",
            Missing::Interval => "a limit that is not stated cannot be watched",
            Missing::Sheet => "how much metal is left is not known",
            Missing::Hours => "the hour limit cannot be checked, the calendar limit alone is",
            Missing::Readings => {
                "these places are carried forward or taken at the worst known, which makes its chance of passing smaller"
            }
            Missing::ReportsSince => "no reports is not the same as no damage: its rate is not known",
            Missing::Air => "unknown air counts as the worst",
            Missing::Base => "unknown air counts as the worst",
            Missing::InService => "exposure before the first record is not known and counts as the longest",
            Missing::Use => "a rental goes first, so an unknown use ranks almost as one",
        }
    }

    /// Where such a record usually lies.
    pub fn where_to_find_it(self) -> &'static str {
        match self {
            Missing::DamageReport => {
                "set_aside.csv names file and line; the paper is the squawk sheet or the aircraft's log"
            }
            Missing::Outcome | Missing::Work => "the shop's work order and release, or the propeller log",
            Missing::Visit => "set_aside.csv names file and line; the paper is the shop's work order",
            Missing::FindingSize => "on the blade: measure it with a depth gauge before anything is dressed",
            Missing::EngineCheck => {
                "the aircraft's and the engine's log, near the day of the event; put it into event_checks"
            }
            Missing::Overhaul => "the propeller log, the shop's release, or the shop that last had it, by serial",
            Missing::Model => "stamped on the hub beside the serial, and in the propeller log",
            Missing::DiameterMinimum => {
                "the maker's current manual, the table of diameters; put it into models as diameter_min"
            }
            Missing::Limits => "the maker's current manual, the table of dimensions by station; put it into limits",
            Missing::Interval => {
                "the maker's current overhaul bulletin; put it into models, with `none` where it states no such limit"
            }
            Missing::Sheet => "the shop's dimension sheet, in the envelope of the last overhaul; shops keep copies",
            Missing::Hours => {
                "the aircraft's tach and the propeller log: one reading today, and one at the last overhaul"
            }
            Missing::Readings => "the shop's dimension sheet of that visit; else measured at the next one",
            Missing::ReportsSince => {
                "whoever started the damage reports knows the day; put it into propellers as reports_kept_since"
            }
            Missing::Air => {
                "the weather service's annual means for the base, or a description of its air; put it into bases"
            }
            Missing::Base => "dispatch or the aircraft's hangar agreement",
            Missing::InService => "the propeller log's first entry, or the aircraft's log when it was fitted",
            Missing::Use => "dispatch, or the insurance schedule of the aircraft",
        }
    }
}

/// What gaps are looked for in.
#[derive(Clone, Copy)]
pub struct Evidence<'e, 'a> {
    /// The fleet.
    pub fleet: &'e Fleet<'a>,
    /// Due rows of the listed propellers, in order of serial.
    pub due: &'e [DueRow],
    /// What is left of them, in the same order.
    pub remaining: &'e [Remaining],
    /// Every finding.
    pub findings: &'e Findings,
    /// Events without their checks.
    pub events: &'e EventsWithoutCheck<'e>,
    /// Exposures, in order of serial.
    pub exposure: &'e [Exposure],
    /// Rates of findings, one a propeller.
    pub rates: &'e DefectRates,
}

/// Every gap of the listed propellers: the most useful kind first, then flying ones first, then by serial.
pub fn gaps(evidence: &Evidence<'_, '_>) -> Vec<Gap> {
    let mut all = Vec::new();
    for (due, remaining) in evidence.due.iter().zip(evidence.remaining) {
        let mut file = File { evidence, due, remaining, gaps: &mut all };
        file.shop();
        file.damage();
        file.limits();
        file.readings();
        file.life();
    }
    engine_checks(evidence, &mut all);
    all.sort_by_key(|gap| (gap.missing, gap.list, gap.propeller));
    all
}

/// One line an aircraft whose older events have no check, or whose fleet keeps none: at the propeller that is on it today,
/// else at the one that had the newest of them, while it is listed.
fn engine_checks(evidence: &Evidence<'_, '_>, gaps: &mut Vec<Gap>) {
    let fleet = evidence.fleet;
    let older = &evidence.events.older;
    if older.is_empty() {
        return;
    }
    let mut on_it: HashMap<&str, u32> = HashMap::new();
    for due in evidence.due {
        if let Some(aircraft) = fleet.aircraft_of(due.propeller) {
            on_it.entry(aircraft).or_insert(due.propeller);
        }
    }
    let mut told: BTreeSet<(Option<&str>, Option<u32>)> = BTreeSet::new();
    for unchecked in older {
        let event = &unchecked.event;
        if !told.insert((event.aircraft, event.aircraft.is_none().then_some(event.propeller))) {
            continue;
        }
        let propeller = event.aircraft.and_then(|name| on_it.get(name).copied()).unwrap_or(event.propeller);
        let Ok(at) = evidence.due.binary_search_by_key(&propeller, |due| due.propeller) else { continue };
        let more = older.iter().filter(|o| o.event.aircraft.is_some() && o.event.aircraft == event.aircraft).count();
        let more = if more > 1 { format!(", and of {} earlier events", more - 1) } else { String::new() };
        let on = event.aircraft.map_or_else(|| "its aircraft".to_string(), str::to_string);
        let what = format!("engine check of {on} after the {} of {}{more}", event.kind.word(), event.day);
        gaps.push(Gap { propeller, list: evidence.due[at].list, missing: Missing::EngineCheck, what });
    }
}

/// The file of one propeller.
struct File<'g, 'e, 'a> {
    evidence: &'g Evidence<'e, 'a>,
    due: &'g DueRow,
    remaining: &'g Remaining,
    gaps: &'g mut Vec<Gap>,
}

fn days(of: &[Day]) -> String {
    let words: Vec<String> = of.iter().map(Day::to_string).collect();
    words.join(", ")
}

impl File<'_, '_, '_> {
    fn lacks(&mut self, missing: Missing, what: String) {
        self.gaps.push(Gap { propeller: self.due.propeller, list: self.due.list, missing, what });
    }

    fn shop(&mut self) {
        let fleet = self.evidence.fleet;
        let propeller = self.due.propeller;
        // What came before the last released overhaul no longer decides anything.
        let visits = || {
            let since = self.due.last_overhaul;
            let of = fleet.visits.of(propeller).iter();
            of.filter(move |v| v.row.is_some() && since.is_none_or(|day| v.day > day))
        };
        let outcome: Vec<Day> = visits().filter(|v| v.outcome.is_none()).map(|v| v.day).collect();
        let work: Vec<Day> = visits().filter(|v| v.work.is_none()).map(|v| v.day).collect();
        let spoiled = fleet.visits.spoiled_of(propeller).len();
        if !outcome.is_empty() {
            self.lacks(Missing::Outcome, format!("outcome of the shop visit of {}", days(&outcome)));
        }
        if !work.is_empty() {
            self.lacks(Missing::Work, format!("what was done at the shop visit of {}", days(&work)));
        }
        if spoiled > 0 {
            self.lacks(
                Missing::Visit,
                match spoiled {
                    1 => "a shop visit that can be read".to_string(),
                    many => format!("{many} shop visits that can be read"),
                },
            );
        }
        if self.due.clock_start.is_none() {
            self.lacks(Missing::Overhaul, "date of the last overhaul".into());
        }
    }

    fn damage(&mut self) {
        let evidence = self.evidence;
        let (fleet, propeller) = (evidence.fleet, self.due.propeller);
        if fleet.defects.is_spoiled(propeller) {
            self.lacks(Missing::DamageReport, "a damage report that can be read".into());
        }
        let unmeasured: Vec<Day> = evidence
            .findings
            .open_of(propeller)
            .filter(|f| f.field_repair() == FieldRepair::NotMeasured)
            .map(|f| f.report(fleet).found)
            .collect();
        if !unmeasured.is_empty() {
            self.lacks(Missing::FindingSize, format!("depth, place or size of the finding of {}", days(&unmeasured)));
        }
        let rate = evidence.rates.propellers.get(propeller as usize);
        if let Some(Err(reason)) = rate.map(|r| &r.watch) {
            self.lacks(Missing::ReportsSince, format!("since when damage reports were kept ({reason})"));
        }
    }

    fn limits(&mut self) {
        let fleet = self.evidence.fleet;
        let Some(number) = model_now(fleet, self.due.propeller) else {
            self.lacks(Missing::Model, "the model, one that `models` lists".into());
            return;
        };
        let model = fleet.models.get(number);
        let no_minimum = |s: &&crate::records::models::Station| {
            !s.usable || s.stands_in || (s.width.min_in.is_none() && s.thickness.min_in.is_none())
        };
        let without = model.stations.iter().filter(no_minimum).count();
        if model.stations.is_empty() {
            self.lacks(Missing::Limits, format!("minimum dimensions of {}", model.name));
        } else if without > 0 {
            self.lacks(
                Missing::Limits,
                format!(
                    "minimum dimensions of {} at {without} of {}",
                    model.name,
                    count(model.stations.len(), "station")
                ),
            );
        }
        let tips = fleet.defects.of(self.due.propeller).iter().any(|d| d.surface == Some(Surface::Tip));
        let read = fleet.visits.of(self.due.propeller).iter().any(|v| v.diameter_after_in.is_some());
        if model.diameter_min_in.is_none() && (tips || read) {
            self.lacks(Missing::DiameterMinimum, format!("smallest diameter of {}", model.name));
        }
        let interval = &self.due.interval;
        let not_stated = interval.not_stated();
        if interval.unreadable {
            self.lacks(Missing::Interval, "its own overhaul interval, which cannot be read".into());
        } else if !not_stated.is_empty() {
            self.lacks(Missing::Interval, format!("overhaul interval in {}", not_stated.join(" and in ")));
        }
    }

    fn readings(&mut self) {
        let fleet = self.evidence.fleet;
        let places = |basis: Basis| self.remaining.places[basis as usize];
        let total: usize = self.remaining.places.iter().sum();
        let missed = places(Basis::CarriedForward) + places(Basis::WorstOfModel);
        let not_known = places(Basis::NotKnown);
        let last = fleet.last_visit(self.due.propeller).map_or_else(String::new, |v| format!(" of {}", v.day));
        if total > 0 && not_known == total {
            self.lacks(Missing::Sheet, "readings of width and thickness, any at all".into());
        } else if missed > 0 {
            self.lacks(Missing::Readings, format!("{missed} of {total} readings at the last visit{last}"));
        }
        if let Some(hours) = &self.due.hours
            && self.due.interval.hours.value().is_some()
            && !(hours.known && hours.today.is_some())
        {
            self.lacks(Missing::Hours, format!("hours since overhaul ({})", hours.basis.words()));
        }
    }

    fn life(&mut self) {
        let fleet = self.evidence.fleet;
        let of = fleet.propellers.get(self.due.propeller);
        let exposure = self
            .evidence
            .exposure
            .binary_search_by_key(&self.due.propeller, |e| e.propeller)
            .ok()
            .map(|at| &self.evidence.exposure[at]);
        if let Some(exposure) = exposure
            && !exposure.air.is_known()
        {
            match exposure.base {
                Some(base) => {
                    let name = &fleet.places.bases()[base as usize].name;
                    self.lacks(Missing::Air, format!("the air at {name} ({})", exposure.air.source.words()));
                }
                None => self.lacks(Missing::Base, "a base that `bases` lists".into()),
            }
        }
        if of.in_service.is_none() && self.due.last_overhaul.is_none() {
            self.lacks(Missing::InService, "first day in service".into());
        } else if of.acquired == Acquired::Unknown && self.due.clock_start.is_none() {
            self.lacks(Missing::InService, "whether it was acquired new, overhauled or used".into());
        }
        if of.usage.is_none() && of.status != Status::Spare {
            self.lacks(Missing::Use, "what it flies for".into());
        }
    }
}
