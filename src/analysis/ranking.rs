//! What comes first: tiers with their reason and next step, and the score that orders the rest.
//!
//! Tier 1 `mechanic required before flight`; 2 `dress before next flight`; 3 `past a recommended limit, or no overhaul on record`;
//! 4 `record too thin`; 5 `plan now`; 6 `nothing urgent on record`. Flying propellers, those at a shop and spares have a list
//! each; inside a tier what nobody has seen goes first (`seen`). The order is total: what is equal in everything else goes by serial.

pub mod firmness;
pub mod ground;
pub mod score;
pub mod seen;
pub mod tiers;

use std::cmp::Ordering;
use std::collections::HashSet;

use super::due::DueRow;
use super::event_checks::EventsWithoutCheck;
use super::findings::{Findings, Severity};
use super::inspections::FleetInspections;
use super::margins::Margins;
use super::plan::prices::PlanPrices;
use super::remaining::Remaining;
use super::standing::{List, list_of};
use crate::records::Fleet;
use crate::records::choice::Use;
use crate::settings::Settings;
use crate::trade::calendar::Day;
use firmness::RankRange;
use ground::Ground;
use rayon::prelude::*;
use score::{Parts, Score, Shares, scores, time_share};
use seen::Seen;
use tiers::{Evidence, Reason};

/// What the order goes by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum By {
    /// Tiers first.
    #[default]
    Urgency,
    /// The score alone.
    Score,
    /// Days since overhaul.
    Days,
    /// Climate exposure.
    Climate,
    /// Defect history.
    Defects,
    /// Overhauls left.
    Remaining,
}

/// One propeller's place.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranked {
    /// Index of the propeller.
    pub propeller: u32,
    /// Its list.
    pub list: List,
    /// Place in its list, from 1.
    pub rank: u32,
    /// Tier, 1 to 6.
    pub tier: u8,
    /// Why, the gravest ground first.
    pub reasons: Vec<Reason>,
    /// Who has seen them, where someone has.
    pub seen: Option<Seen>,
    /// The score and its parts.
    pub score: Score,
    /// Place in its list by the score alone, from 1.
    pub score_rank: u32,
    /// How firm that place is; `None` where it was not looked into.
    pub score_rank_range: Option<RankRange>,
    /// Days since overhaul, when known.
    pub days_since_overhaul: Option<i32>,
    /// Overhauls left, when known.
    pub overhauls_left: Option<f64>,
    days_past: i32,
    severity: Option<Severity>,
    act_by: Option<Day>,
    usage: Option<Use>,
}

impl Ranked {
    /// Why it stands there: the gravest ground, and the next gravest beside it.
    pub fn reason(&self) -> String {
        let mut words = String::new();
        for reason in self.reasons.iter().take(2) {
            if !words.is_empty() {
                words.push_str("; also ");
            }
            words.push_str(&reason.words);
        }
        words
    }

    /// Whether nothing graver holds than a dressing that is not on record whole: one line tells of all of these.
    pub fn is_dressed_unmeasured(&self) -> bool {
        ground(self) == Ground::DressedUnmeasured
    }

    /// What to do next.
    pub fn next_step(&self) -> &str {
        self.reasons.first().map_or("", |r| r.next_step.as_str())
    }
}

/// Propellers whose gravest ground is a dressing that is not on record whole, in one line; `None` without any.
pub fn dressed_unmeasured<'r>(rows: impl IntoIterator<Item = &'r Ranked>) -> Option<String> {
    let count = rows.into_iter().filter(|r| r.is_dressed_unmeasured()).count();
    let propellers = if count == 1 { "propeller" } else { "propellers" };
    (count > 0).then(|| format!("{count} {propellers} dressed without depth: measure at the next inspection"))
}

/// What the climate and the defects say of each listed propeller, where they are worked out.
#[derive(Debug, Clone, Default)]
pub struct History {
    /// Exposure index over its reference, by index of the propeller; `NaN` where unknown.
    pub climate: Option<Vec<f64>>,
    /// Posterior rate over the fleet's mean rate, by index of the propeller; `NaN` where unknown.
    pub defects: Option<Vec<f64>>,
}

/// What ranking goes by.
pub struct Basis<'b, 'a> {
    /// The fleet.
    pub fleet: &'b Fleet<'a>,
    /// Settings in force.
    pub settings: &'b Settings,
    /// What the fleet's sheets say together.
    pub margins: &'b Margins<'b, 'a>,
    /// Due rows of the listed propellers, in order of serial.
    pub due: &'b [DueRow],
    /// What is left of the listed propellers, in order of serial.
    pub remaining: &'b [Remaining],
    /// Every finding.
    pub findings: &'b Findings,
    /// How the inspections stand.
    pub inspections: &'b FleetInspections,
    /// Events without their checks.
    pub events: &'b EventsWithoutCheck<'b>,
    /// Climate and defect history.
    pub history: &'b History,
}

const PROPELLERS_AT_ONCE: usize = 1024;

/// What the score of each listed propeller is made of, in order of serial.
pub fn shares(basis: &Basis<'_, '_>) -> Vec<Shares> {
    basis
        .due
        .iter()
        .map(|due| {
            let open = basis.findings.open_of(due.propeller).count() as f64;
            let at = due.propeller as usize;
            Shares {
                time: time_share(due),
                climate: basis.history.climate.as_ref().map(|c| c[at]).filter(|x| !x.is_nan()),
                defects: basis.history.defects.as_ref().map(|d| d[at]).filter(|x| !x.is_nan()).map(|x| x + open),
            }
        })
        .collect()
}

impl History {
    /// Which parts of the score are worked out.
    pub fn parts(&self) -> Parts {
        Parts { climate: self.climate.is_some(), defects: self.defects.is_some() }
    }
}

/// Every listed propeller in order: list by list, the most urgent first.
pub fn rank(basis: &Basis<'_, '_>, by: By) -> Vec<Ranked> {
    let shares = shares(basis);
    let prices = PlanPrices::of_fleet(basis.fleet, basis.settings.fleet.price_growth_pct);
    let parts = basis.history.parts();
    let keeps_diameters = basis.fleet.visits.keeps_diameters();
    let scores = scores(&shares, parts, &basis.settings.ranking);
    // A spare whose model is not known may fit any aircraft.
    let mut flown_models: HashSet<Option<u32>> = HashSet::from([None]);
    flown_models.extend(basis.due.iter().filter(|due| due.list != List::Spare).map(|due| due.model));
    let mut ranked: Vec<Ranked> = basis
        .due
        .par_chunks(PROPELLERS_AT_ONCE)
        .zip(basis.remaining.par_chunks(PROPELLERS_AT_ONCE))
        .zip(scores.par_chunks(PROPELLERS_AT_ONCE))
        .flat_map_iter(|((due, remaining), scores)| {
            let mut margins = Vec::new();
            due.iter()
                .zip(remaining)
                .zip(scores)
                .filter_map(|((due, remaining), score)| {
                    margins.clear();
                    basis.margins.read_into(due.propeller, &mut margins);
                    let evidence = Evidence {
                        diameter: basis.margins.diameter(due.propeller),
                        keeps_diameters,
                        fleet: basis.fleet,
                        propeller: due.propeller,
                        due,
                        margins: &margins,
                        remaining,
                        reject_chance: basis.settings.ranking.reject_chance,
                        lead: prices.lead(due.model),
                        booking_days: basis.settings.due.booking_days,
                        covers_an_aircraft: due.list != List::Spare || flown_models.contains(&due.model),
                        findings: basis.findings,
                        inspections: basis.inspections.of(due.propeller),
                        events: basis.events,
                    };
                    let (reasons, act_by) = evidence.reasons();
                    Some(Ranked {
                        propeller: due.propeller,
                        list: list_of(basis.fleet, due.propeller)?,
                        rank: 0,
                        tier: reasons.first().map_or(6, |r| r.ground.tier()),
                        seen: Seen::of(basis.fleet, due.propeller, &reasons),
                        score: *score,
                        score_rank: 0,
                        score_rank_range: None,
                        days_since_overhaul: due.days_since_overhaul,
                        overhauls_left: remaining.overhauls(),
                        days_past: evidence.days_past(),
                        severity: evidence.severity(),
                        act_by,
                        usage: basis.fleet.propellers.get(due.propeller).use_in_order(),
                        reasons,
                    })
                })
                .collect::<Vec<_>>()
        })
        .collect();
    ranked.sort_by(|a, b| a.list.cmp(&b.list).then_with(|| by_score(a, b)));
    number(&mut ranked, |r| &mut r.score_rank);
    ranked.sort_by(|a, b| {
        a.list.cmp(&b.list).then_with(|| compare(a, b, by, basis.history)).then_with(|| a.propeller.cmp(&b.propeller))
    });
    number(&mut ranked, |r| &mut r.rank);
    ranked
}

/// Numbers the places of each list from 1.
fn number(ranked: &mut [Ranked], place: fn(&mut Ranked) -> &mut u32) {
    let mut last: Option<(List, u32)> = None;
    for row in ranked {
        let next = match last {
            Some((list, at)) if list == row.list => at + 1,
            _ => 1,
        };
        *place(row) = next;
        last = Some((row.list, next));
    }
}

fn descending(a: f64, b: f64) -> Ordering {
    b.total_cmp(&a)
}

fn by_score(a: &Ranked, b: &Ranked) -> Ordering {
    descending(a.score.score, b.score.score).then_with(|| a.propeller.cmp(&b.propeller))
}

/// Strangers and students first.
fn use_order(usage: Option<Use>) -> u8 {
    match usage {
        Some(Use::Rental) => 0,
        // Not recorded may be a rental.
        None => 1,
        Some(Use::Training) => 2,
        Some(Use::Club) => 3,
        Some(Use::Other) => 4,
        Some(Use::Private) => 5,
    }
}

fn ground(ranked: &Ranked) -> Ground {
    ranked.reasons.first().map_or(Ground::Nothing, |r| r.ground)
}

fn by_severity(a: &Ranked, b: &Ranked) -> Ordering {
    match (&a.severity, &b.severity) {
        (Some(a), Some(b)) => a.cmp(b),
        (Some(_), None) => Ordering::Less,
        (None, Some(_)) => Ordering::Greater,
        (None, None) => Ordering::Equal,
    }
}

fn earlier(a: Option<Day>, b: Option<Day>) -> Ordering {
    match (a, b) {
        (Some(a), Some(b)) => a.cmp(&b),
        // A day not known may be tomorrow.
        (None, Some(_)) => Ordering::Less,
        (Some(_), None) => Ordering::Greater,
        (None, None) => Ordering::Equal,
    }
}

fn compare(a: &Ranked, b: &Ranked, by: By, history: &History) -> Ordering {
    let unknown_first = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) => descending(a, b),
        (None, Some(_)) => Ordering::Less,
        (Some(_), None) => Ordering::Greater,
        (None, None) => Ordering::Equal,
    };
    let of = |column: &Option<Vec<f64>>, r: &Ranked| {
        column.as_ref().map(|c| c[r.propeller as usize]).filter(|x| !x.is_nan())
    };
    match by {
        By::Urgency => urgency(a, b),
        By::Score => by_score(a, b),
        By::Days => unknown_first(a.days_since_overhaul.map(f64::from), b.days_since_overhaul.map(f64::from)),
        By::Climate => unknown_first(of(&history.climate, a), of(&history.climate, b)),
        By::Defects => unknown_first(of(&history.defects, a), of(&history.defects, b)),
        By::Remaining => unknown_first(a.overhauls_left.map(|x| -x), b.overhauls_left.map(|x| -x)),
    }
}

fn urgency(a: &Ranked, b: &Ranked) -> Ordering {
    a.tier.cmp(&b.tier).then_with(|| a.seen.is_some().cmp(&b.seen.is_some())).then_with(|| match a.tier {
        1 | 2 => ground(a)
            .cmp(&ground(b))
            .then_with(|| by_severity(a, b))
            .then_with(|| b.days_past.cmp(&a.days_past))
            .then_with(|| use_order(a.usage).cmp(&use_order(b.usage))),
        3 => use_order(a.usage).cmp(&use_order(b.usage)).then_with(|| b.days_past.cmp(&a.days_past)),
        // What only a stand-in puts there comes last.
        4 => (ground(a) == Ground::DressedUnmeasured)
            .cmp(&(ground(b) == Ground::DressedUnmeasured))
            .then_with(|| by_score(a, b)),
        5 => earlier(a.act_by, b.act_by).then_with(|| by_score(a, b)),
        _ => by_score(a, b),
    })
}
