//! What is wrong with the inspections of a propeller's aircraft, in words.

use super::hundred_hour::{HundredHour, HundredHourState, hundred_hour};
use super::whose::counting;
use super::{Basis, Inspections};
use crate::analysis::standing::List;
use crate::records::choice::{InspectionKind, Outcome, Use, Work};
use crate::records::inspections::{Inspected, Inspection, SpoiledInspection};
use crate::records::schema::Table;
use crate::trade::calendar::{Day, same_day};

/// An annual inspection and the day it holds to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Annual {
    /// Its day.
    pub day: Day,
    /// The last day it holds.
    pub holds_to: Day,
    /// Whether that day is written in the records.
    pub is_recorded: bool,
}

/// How something wrong with an inspection stands, the gravest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Standing {
    /// Not satisfactory and not signed off, or one that may be so and could not be read.
    Unsatisfactory,
    /// Lapsed by a date or a reading on record.
    Lapsed,
    /// Lapsed by estimated hours only, or nothing says how much was flown.
    ProbablyLapsed,
    /// Its result is not recorded.
    NoResult,
    /// No annual on record, or one of a kind that is not recorded.
    NoAnnual,
    /// No inspection on record at all.
    NoneOnRecord,
    /// A lapse that binds nobody here: flown neither for training nor for hire.
    Note,
    /// A spare's, to be put right before it is installed.
    BeforeInstallation,
}

/// Something wrong with an inspection.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InspectionMatter {
    /// How it stands.
    pub standing: Standing,
    /// Kind of the inspection; `None` when not recorded.
    pub kind: Option<InspectionKind>,
    /// What it is, in words.
    pub words: String,
    /// What to do about it.
    pub next_step: String,
}

fn name_of(kind: Option<InspectionKind>) -> &'static str {
    match kind {
        Some(InspectionKind::Annual) => "annual",
        Some(InspectionKind::HundredHour) => "100 hour",
        Some(InspectionKind::Condition) => "condition inspection",
        Some(InspectionKind::Other) | None => "inspection",
    }
}

/// Whether a satisfactory inspection of one kind signs off an earlier one of another: an annual only an annual, a 100 hour
/// either, any other its own kind or an annual. A kind that is not recorded signs off nothing.
fn signs_off(kind: Option<InspectionKind>, earlier: Option<InspectionKind>) -> bool {
    match (kind, earlier) {
        (Some(InspectionKind::Annual), _) => true,
        (Some(kind), Some(earlier)) => kind == earlier,
        _ => false,
    }
}

/// One propeller's inspections under judgement.
struct Judged<'j, 'b, 'a> {
    basis: &'j Basis<'b, 'a>,
    propeller: u32,
    /// Those that count today, in order of date.
    counting: Vec<&'b Inspection>,
    matters: Vec<InspectionMatter>,
}

/// Judges one propeller's inspections.
pub(super) fn judge(basis: &Basis<'_, '_>, propeller: u32, list: List) -> Inspections {
    let mut judged = Judged { basis, propeller, counting: counting(basis.fleet, propeller), matters: Vec::new() };
    judged.unsatisfactory();
    if list == List::Spare {
        for matter in &mut judged.matters {
            matter.standing = Standing::BeforeInstallation;
            matter.next_step = format!("before installation: {}", matter.next_step);
        }
        return Inspections { propeller, matters: judged.matters, annual: None, hundred_hour: None };
    }
    let annual = judged.annual();
    let hundred_hour = judged.hundred_hour();
    judged.matters.sort_by_key(|matter| matter.standing);
    Inspections { propeller, matters: judged.matters, annual, hundred_hour }
}

impl<'b> Judged<'_, 'b, '_> {
    fn say(&mut self, standing: Standing, kind: Option<InspectionKind>, words: String, next_step: &str) {
        self.matters.push(InspectionMatter { standing, kind, words, next_step: next_step.to_string() });
    }

    /// Those that count, those of the propeller on other aircraft, and those by other propellers on its aircraft: what was
    /// not satisfactory stays with both until it is signed off.
    fn all(&self) -> Vec<&'b Inspection> {
        let fleet = self.basis.fleet;
        let mut all = self.counting.clone();
        all.extend(fleet.inspections.of(Inspected::Propeller(self.propeller)));
        if let Some(name) = fleet.aircraft_of(self.propeller) {
            all.extend(self.basis.by_propeller.get(name).into_iter().flatten());
        }
        all.sort_by_key(|i| (i.day, i.kind, i.row));
        all.dedup_by_key(|i| i.row);
        all
    }

    /// Rows about it or its aircraft that could not be used.
    fn spoiled(&self) -> impl Iterator<Item = &'b SpoiledInspection> {
        let (fleet, own) = (self.basis.fleet, self.propeller);
        fleet.inspections.spoiled.iter().filter(move |s| match s.of {
            Inspected::Propeller(propeller) => propeller == own,
            Inspected::Aircraft(code) => fleet.aircraft_of(own) == Some(fleet.inspections.aircraft.get(code)),
        })
    }

    fn is_signed_off(&self, kind: Option<InspectionKind>, day: Day) -> bool {
        self.counting.iter().any(|later| later.is_in_order() && later.day > day && signs_off(later.kind, kind))
    }

    fn unsatisfactory(&mut self) {
        let fleet = self.basis.fleet;
        let open: Vec<&Inspection> = self
            .all()
            .into_iter()
            .filter(|i| (i.is_unsatisfactory() || i.has_no_result()) && !self.is_signed_off(i.kind, i.day))
            .collect();
        let failed: Vec<&&Inspection> = open.iter().filter(|i| i.is_unsatisfactory()).collect();
        if let Some(last) = failed.last() {
            let name = name_of(last.kind);
            let released = fleet.visits.of(self.propeller).iter().rev().find(|v| {
                v.outcome == Some(Outcome::Released)
                    && v.day >= last.day
                    && matches!(v.work, Some(Work::Overhaul | Work::Repair))
            });
            let mut words = match released {
                Some(visit) => format!("propeller released {}, {name} of {} not signed", visit.day, last.day),
                None => format!("{name} of {} unsatisfactory", last.day),
            };
            if failed.len() > 1 {
                words.push_str(&format!(", and {} more", failed.len() - 1));
            }
            let next_step = match last.kind {
                Some(InspectionKind::Annual) | None => {
                    "do not fly: put right what the annual found and have it signed, or have a new annual made"
                }
                _ => "do not fly: put right what was found and have it signed, or have a new inspection made",
            };
            self.say(Standing::Unsatisfactory, last.kind, words, next_step);
        }
        let unread = self.spoiled().find(|s| !s.is_good && !s.day.is_some_and(|day| self.is_signed_off(None, day)));
        if let Some(spoiled) = unread {
            let place = fleet.loaded.in_brackets(Table::Inspections, Some(spoiled.row), "");
            self.say(
                Standing::Unsatisfactory,
                None,
                format!("an inspection could not be read and may not be satisfactory{place}"),
                "before flight read the log and correct the row",
            );
        }
        if let Some(last) = open.iter().rfind(|i| i.has_no_result()) {
            let words = format!("result of the {} of {} not recorded", name_of(last.kind), last.day);
            self.say(Standing::NoResult, last.kind, words, "enter the result from the log");
        }
    }

    /// Those that count as made: satisfactory, signed off, or without a word on the result, which is told by itself.
    fn holding(&self) -> Vec<&'b Inspection> {
        self.counting.iter().copied().filter(|i| i.is_in_order() || i.result.is_none()).collect()
    }

    fn annual(&mut self) -> Option<Annual> {
        let as_of = self.basis.fleet.as_of;
        let rule = format!(
            "an annual holds to the end of month {}; the rule differs by country",
            self.basis.settings.annual_months
        );
        let holding = self.holding();
        let of_kind = |kind| holding.iter().rev().find(move |i| i.kind == kind).copied();
        let (last, is_sure) = match (of_kind(Some(InspectionKind::Annual)), of_kind(None)) {
            (Some(annual), _) => (annual, true),
            (None, Some(unsaid)) => (unsaid, false),
            (None, None) => {
                self.no_annual();
                return None;
            }
        };
        // One of a kind not recorded clears nothing, and may be the annual whose day has passed.
        let unsaid = of_kind(None).filter(|unsaid| {
            unsaid.day > last.day
                && self.basis.annual_holds_to(unsaid).0 < as_of.min(self.basis.annual_holds_to(last).0)
        });
        let (last, is_sure) = unsaid.map_or((last, is_sure), |unsaid| (unsaid, false));
        let (holds_to, written) = self.basis.annual_holds_to(last);
        let written = written.map_or_else(String::new, |next| format!(", not to {next} as written"));
        if holds_to < as_of {
            let what = if is_sure { "annual" } else { "inspection of a kind not recorded" };
            let words = format!("{what} of {} lapsed: it held to {holds_to}{written} ({rule})", last.day);
            self.say(Standing::Lapsed, last.kind, words, "do not fly: have the annual made, or enter the one that was");
        } else if !is_sure {
            let words = format!("no annual on record: the kind of the inspection of {} is not recorded", last.day);
            self.say(Standing::NoAnnual, None, words, "enter the kind from the log");
        }
        is_sure.then_some(Annual { day: last.day, holds_to, is_recorded: last.next_due == Some(holds_to) })
    }

    /// Nothing says that an annual was ever made.
    fn no_annual(&mut self) {
        let fleet = self.basis.fleet;
        // One that is not satisfactory is told already.
        if self.counting.iter().any(|i| i.is_unsatisfactory() && matches!(i.kind, Some(InspectionKind::Annual) | None))
        {
            return;
        }
        let unread = self.spoiled().next();
        if let Some(spoiled) = unread {
            let place = fleet.loaded.in_brackets(Table::Inspections, Some(spoiled.row), "");
            self.say(
                Standing::NoAnnual,
                Some(InspectionKind::Annual),
                format!("no annual on record that can be read{place}"),
                "read the log and correct the row",
            );
            return;
        }
        let aircraft = fleet.aircraft_of(self.propeller);
        let code = aircraft.and_then(|name| fleet.flying.aircraft.find(name));
        let first = code
            .and_then(|code| self.basis.first_fitted.get(&code).copied())
            .or(fleet.propellers.get(self.propeller).in_service);
        if first.is_some_and(|day| same_day(day, self.basis.settings.annual_months) >= fleet.as_of) {
            return;
        }
        let on = aircraft.map_or_else(String::new, |name| format!(" of {name}"));
        let (standing, words) = if self.counting.is_empty() {
            (Standing::NoneOnRecord, format!("no inspection{on} on record"))
        } else {
            (Standing::NoAnnual, format!("no annual{on} on record"))
        };
        self.say(
            standing,
            Some(InspectionKind::Annual),
            words,
            "enter the last annual from the log into `inspections`",
        );
    }

    fn hundred_hour(&mut self) -> Option<HundredHour> {
        let fleet = self.basis.fleet;
        // Judged where they are made; one of a kind not recorded may have been one.
        let made = |i: &&Inspection| matches!(i.kind, Some(InspectionKind::HundredHour) | None);
        if !self.counting.iter().any(made) {
            return None;
        }
        let hundred = hundred_hour(self.basis, self.propeller, &self.holding())?;
        let binds = matches!(fleet.propellers.get(self.propeller).usage, Some(Use::Training | Use::Rental) | None);
        let flown = hundred.flown.map_or_else(String::new, |flown| format!("{flown:.0} h flown since, "));
        let rule = "the rule differs by country";
        let last = format!("the last {}, of {}", name_of(hundred.kind), hundred.from);
        let kind = Some(InspectionKind::HundredHour);
        match hundred.state {
            HundredHourState::InForce => {}
            HundredHourState::Lapsed => {
                let by = match hundred.due.filter(|_| hundred.due_is_recorded) {
                    Some(day) => format!("it was due {day}"),
                    None => format!("{flown}it holds for {:.0} h", hundred.holds_for),
                };
                let words = format!("100 hour lapsed: {last}, {by} ({rule})");
                match binds {
                    true => self.say(
                        Standing::Lapsed,
                        kind,
                        words,
                        "do not fly for hire or training: have the 100 hour made, or enter the one that was",
                    ),
                    false => self.say(Standing::Note, kind, words, "needed before it flies for hire or training"),
                }
            }
            HundredHourState::ProbablyLapsed if binds => {
                let words = format!("100 hour probably lapsed: {last}, {flown}by estimate ({rule})");
                self.say(Standing::ProbablyLapsed, kind, words, "enter the reading of the aircraft's meter");
            }
            HundredHourState::NotKnown if binds => {
                let words = format!("100 hour may have lapsed: no reading since {last}");
                self.say(Standing::ProbablyLapsed, kind, words, "enter the reading of the aircraft's meter");
            }
            HundredHourState::ProbablyLapsed | HundredHourState::NotKnown => {}
        }
        Some(hundred)
    }
}
