//! The tier of a propeller, why it stands there, and the next step.

use super::super::due::{DueRow, State};
use super::super::findings::{Finding, Findings, Severity, Urgency};
use super::super::forecast::Estimate;
use super::super::margins::{Basis, Margin, model_now};
use super::super::plan::purchases::order_by;
use super::super::remaining::Remaining;
use super::super::standing::{List, list_of};
use super::ground::Ground;
use super::hours_told;
use crate::records::Fleet;
use crate::records::choice::{InspectionKind, InspectionResult, Outcome, Status};
use crate::records::schema::Table;
use crate::records::visits::Visit;
use crate::trade::calendar::{DAYS_PER_YEAR, Day};
use crate::trade::geometry::Dimension;

/// One ground with its words.
#[derive(Debug, Clone, PartialEq)]
pub struct Reason {
    /// Which ground.
    pub ground: Ground,
    /// Why, in words.
    pub words: String,
    /// What to do about it.
    pub next_step: String,
}

/// What ranking one propeller goes by.
pub struct Evidence<'e, 'a> {
    /// The fleet.
    pub fleet: &'e Fleet<'a>,
    /// The propeller.
    pub propeller: u32,
    /// Its due row.
    pub due: &'e DueRow,
    /// Its margins today.
    pub margins: &'e [Margin],
    /// What is left of it.
    pub remaining: &'e Remaining,
    /// From this chance of rejection at the next overhaul on it is time to plan.
    pub reject_chance: f64,
    /// Days until a new one of its model comes, where the prices say so.
    pub replacement_days: Option<f64>,
    /// Every finding of the fleet.
    pub findings: &'e Findings,
}

impl Evidence<'_, '_> {
    /// Every ground that holds, the gravest first; never empty.
    pub fn reasons(&self) -> Vec<Reason> {
        let mut reasons = Vec::new();
        self.findings(&mut reasons);
        self.standing(&mut reasons);
        self.outcome(&mut reasons);
        self.limits_passed(&mut reasons);
        self.below_minimum(&mut reasons);
        self.unreadable_report(&mut reasons);
        self.thin_record(&mut reasons);
        self.plan(&mut reasons);
        if reasons.is_empty() {
            reasons.push(self.nothing());
        }
        reasons.sort_by_key(|r| r.ground);
        reasons
    }

    /// The most severe open finding's place in the order of findings.
    pub fn severity(&self) -> Option<Severity> {
        self.findings.worst_of(self.fleet, self.propeller).map(|f| f.severity(self.fleet))
    }

    fn findings(&self, reasons: &mut Vec<Reason>) {
        let mut open: Vec<&Finding> = self.findings.open_of(self.propeller).collect();
        open.sort_by_key(|f| (f.severity(self.fleet), f.report));
        let mut told: Vec<(Ground, usize)> = Vec::new();
        for finding in open {
            let urgency = finding.urgency(self.fleet);
            let (ground, next_step) = match urgency {
                Urgency::RecordedScrapped => (
                    Ground::GraveFinding,
                    "do not fly: it is recorded as scrapped; a mechanic finds out which propeller is fitted".to_string(),
                ),
                Urgency::ShopOnlyKind => (
                    Ground::GraveFinding,
                    "do not fly: a mechanic looks, and a certificated shop decides".to_string(),
                ),
                Urgency::NotMeasured => (
                    Ground::ShopFinding,
                    "before flight a mechanic measures it and records depth and place".to_string(),
                ),
                Urgency::ShopOnly => (
                    Ground::ShopFinding,
                    "before flight a mechanic looks; beyond what may be dressed in the field, a certificated shop decides".to_string(),
                ),
                Urgency::Dress => (
                    Ground::Dress,
                    match finding.blend_length_in {
                        Some(length) => format!(
                            "a mechanic dresses it before the next flight, over at least {length:.2} in of the blade"
                        ),
                        None => "a mechanic dresses it before the next flight".to_string(),
                    },
                ),
                Urgency::Minor => continue,
            };
            match told.iter_mut().find(|(g, _)| *g == ground) {
                Some((_, more)) => *more += 1,
                None => {
                    told.push((ground, 0));
                    reasons.push(Reason { ground, words: finding.reason(self.fleet), next_step });
                }
            }
        }
        for (ground, more) in told.into_iter().filter(|(_, more)| *more > 0) {
            if let Some(reason) = reasons.iter_mut().find(|r| r.ground == ground) {
                reason.words.push_str(&format!(", and {more} more like it"));
            }
        }
    }

    fn standing(&self, reasons: &mut Vec<Reason>) {
        let fleet = self.fleet;
        let Some(end) = fleet.end_of(self.propeller).or_else(|| {
            // Gone without a known day, and still on a list because of later records.
            fleet.propellers.get(self.propeller).status.is_gone().then_some(fleet.as_of)
        }) else {
            return;
        };
        let status = fleet.propellers.get(self.propeller).status;
        let rejected = self.last_told().is_some_and(Visit::rejected);
        let what = match (rejected, status) {
            (true, _) => format!("rejected on {end}"),
            (false, Status::Sold) => format!("sold on {end}"),
            (false, _) => format!("scrapped on {end}"),
        };
        let since = match fleet.flown_after_end(self.propeller) {
            Some((Table::Fitted, _)) => "fitted to an aircraft since",
            Some((Table::Overhauls, _)) => "at a shop since",
            Some(_) => "with hours since",
            None => match status {
                Status::Spare => "and still listed as spare",
                Status::AtShop => "and still listed as at shop",
                _ => "and still listed as flying",
            },
        };
        let on = match fleet.aircraft_of(self.propeller) {
            Some(aircraft) => format!(" on {aircraft}"),
            None => String::new(),
        };
        reasons.push(Reason {
            ground: Ground::RejectedYetListed,
            words: format!("{what}, {since}"),
            next_step: format!("do not fly: a mechanic reads the serial of the propeller{on}"),
        });
    }

    /// The last visit on record that is more than a day of measurements.
    fn last_told(&self) -> Option<&Visit> {
        self.fleet.visits.of(self.propeller).iter().rfind(|v| v.row.is_some())
    }

    fn outcome(&self, reasons: &mut Vec<Reason>) {
        let last = self.last_told();
        if let Some(visit) = last.filter(|v| v.outcome.is_none()) {
            reasons.push(Reason {
                ground: Ground::OutcomeNotRecorded,
                words: format!("outcome not recorded of the shop visit on {}", visit.day),
                next_step: "before flight ask the shop how the visit ended".to_string(),
            });
            return;
        }
        // A visit that could not be read may have been the one that rejected it.
        let unread = self.fleet.visits.spoiled.iter().find(|s| {
            s.propeller == self.propeller
                && s.outcome != Some(Outcome::Released)
                && match (s.day, last.map(|v| v.day)) {
                    (Some(day), Some(last)) => day >= last,
                    _ => true,
                }
        });
        if let Some(visit) = unread {
            let day = match visit.day {
                Some(day) => format!(" on {day}"),
                None => String::new(),
            };
            let what = match visit.outcome {
                Some(Outcome::Rejected) => "a visit that rejected it could not be read",
                _ => "a shop visit could not be read, outcome not recorded",
            };
            reasons.push(Reason {
                ground: Ground::OutcomeNotRecorded,
                words: format!("{what}{day}"),
                next_step: "before flight read the shop's paper and correct the row".to_string(),
            });
        }
    }

    fn limits_passed(&self, reasons: &mut Vec<Reason>) {
        let due = self.due;
        let spare = list_of(self.fleet, self.propeller) == Some(List::Spare);
        let inspection = match due.inspection {
            Some(last) => {
                let kind = last.kind.map_or("inspection", InspectionKind::word);
                let result = last.result.map_or("result not recorded", InspectionResult::word);
                format!("; last {kind} inspection {}, {result}", last.day)
            }
            None => String::new(),
        };
        match due.state {
            State::PastBindingLimit => reasons.push(Reason {
                ground: Ground::PastBinding,
                words: format!("past binding limit {}{inspection}", self.passed_in_words()),
                next_step: if spare {
                    "do not install; send it for overhaul".to_string()
                } else {
                    "do not fly: send it for overhaul".to_string()
                },
            }),
            State::PastRecommendedLimit => reasons.push(Reason {
                ground: Ground::PastRecommended,
                words: format!("past recommended limit {}{inspection}", self.passed_in_words()),
                next_step: if spare {
                    "do not install; book the overhaul".to_string()
                } else {
                    "book the overhaul, or let a mechanic decide and record why it runs on".to_string()
                },
            }),
            State::NoOverhaulOnRecord => reasons.push(Reason {
                ground: Ground::NoOverhaul,
                words: format!("no overhaul on record{inspection}"),
                next_step: "find the record of its last overhaul, or book one".to_string(),
            }),
            State::PastBindingByEstimate | State::PastRecommendedByEstimate => {
                reasons.push(hours_told::passed_by_estimate(due, &self.passed_in_words(), &inspection));
            }
            State::HoursNotKnown => reasons.extend(hours_told::not_known(due)),
            State::NoLimitStated => reasons.push(Reason {
                ground: Ground::NoLimitStated,
                words: "no limit stated".to_string(),
                next_step: "copy the overhaul interval from the maker's current manual into `models`".to_string(),
            }),
            _ => {}
        }
        reasons.extend(hours_told::contradicting(self.fleet, due));
    }

    fn below_minimum(&self, reasons: &mut Vec<Reason>) {
        let lowest = self
            .margins
            .iter()
            .filter(|m| m.basis == Basis::Measured && m.margin_in.is_some_and(|x| x < 0.0))
            .min_by(|a, b| a.margin_in.partial_cmp(&b.margin_in).unwrap_or(std::cmp::Ordering::Equal));
        let Some(margin) = lowest else { return };
        let below = -margin.margin_in.unwrap_or_default();
        let dressed = if margin.dressed_since_in > 0.0 { ", metal dressed out since included" } else { "" };
        reasons.push(Reason {
            ground: Ground::BelowMinimum,
            words: format!(
                "{} {:.3} in below minimum on blade {}{}{dressed}",
                margin.dimension.word(),
                below,
                margin.blade,
                self.station_words(margin)
            ),
            next_step: "before flight check the sheet and the manual's revision with the shop; then reject".to_string(),
        });
    }

    fn station_words(&self, margin: &Margin) -> String {
        let station = model_now(self.fleet, self.propeller)
            .and_then(|m| self.fleet.models.get(m).stations.get(usize::from(margin.station)));
        match station.map(|s| (s.pct, s.station_in)) {
            Some((Some(pct), _)) => format!(" at {pct:.0} %"),
            Some((None, Some(inches))) => format!(" at {inches:.2} in"),
            _ => String::new(),
        }
    }

    fn unreadable_report(&self, reasons: &mut Vec<Reason>) {
        let defects = &self.fleet.defects;
        if !defects.is_spoiled(self.propeller) {
            return;
        }
        let place = defects
            .spoiled
            .iter()
            .find(|&&(p, _)| p == self.propeller)
            .map(|&(_, row)| self.fleet.loaded.in_brackets(Table::Defects, Some(row), ""))
            .unwrap_or_default();
        reasons.push(Reason {
            ground: Ground::UnreadableReport,
            words: format!("a damage report could not be read{place}"),
            next_step: "before flight a mechanic looks; correct the row from the paper report".to_string(),
        });
    }

    fn thin_record(&self, reasons: &mut Vec<Reason>) {
        let model = model_now(self.fleet, self.propeller).map(|m| self.fleet.models.get(m));
        let has_limits =
            model.is_some_and(|m| m.stations.iter().any(|s| s.width.min_in.is_some() || s.thickness.min_in.is_some()));
        if !has_limits {
            reasons.push(Reason {
                ground: Ground::NoDimensionLimits,
                words: match model {
                    Some(model) => format!("no dimension limits for model {}", model.name),
                    None => "its model is not known, so no dimension limits".to_string(),
                },
                next_step: "copy the limits from the maker's current manual into `limits`".to_string(),
            });
            return;
        }
        if model.is_some_and(|m| m.limits_unusable) {
            reasons.push(Reason {
                ground: Ground::NoDimensionLimits,
                words: "limits of its model could not be used".to_string(),
                next_step: "correct the rows of `limits` that `check` names".to_string(),
            });
        }
        if self.margins.iter().all(|m| m.basis == Basis::NotKnown) {
            reasons.push(Reason {
                ground: Ground::NeverMeasured,
                words: "never measured".to_string(),
                next_step: "ask the shop for its sheets, or have it measured".to_string(),
            });
        } else if self.remaining.upper_bound {
            reasons.push(self.thin_forecast());
        }
    }

    /// Something that could fail is not in the forecast, which makes its chances upper bounds.
    fn thin_forecast(&self) -> Reason {
        let lacking: Vec<&str> = Dimension::ALL
            .into_iter()
            .filter(|&d| {
                let support = self.remaining.support[d as usize].as_ref();
                support.is_some_and(|s| s.estimate == Estimate::NotEstimable)
            })
            .map(Dimension::word)
            .collect();
        let words = match lacking.as_slice() {
            [] => format!("margin not known at {} places", self.remaining.not_known()),
            lacking => format!("too few losses of {} on record", lacking.join(" and ")),
        };
        Reason {
            ground: Ground::ForecastTooThin,
            words: format!("{words}, so the forecast is an upper bound"),
            next_step: "ask the shops for their sheets of earlier overhauls".to_string(),
        }
    }

    fn plan(&self, reasons: &mut Vec<Reason>) {
        let by = match self.due.due {
            Some(day) if day > self.fleet.as_of => format!("before it comes due on {day}"),
            _ => "now".to_string(),
        };
        let reject_chance = self.remaining.reject_chance_next();
        if let Some(chance) = reject_chance.filter(|&chance| chance >= self.reject_chance)
            && let Some(point) = &self.remaining.limiting
        {
            let expected =
                point.expected_loss_in.map_or(String::new(), |loss| format!(", {loss:.3} in expected to go"));
            let side = if point.margin_in < 0.0 { "below" } else { "above" };
            reasons.push(Reason {
                ground: Ground::RejectNext,
                words: format!(
                    "the next overhaul will probably reject it (chance {:.2}): {} {:.3} in {side} minimum on blade {}{}{expected}",
                    // A chance is never shown as a certainty.
                    chance.min(0.99),
                    point.margin.dimension.word(),
                    point.margin_in.abs(),
                    point.margin.blade,
                    self.station_words(&point.margin),
                ),
                next_step: self.order_in_words(),
            });
        }
        if matches!(self.due.state, State::LimitWithin { .. }) {
            let days = self.due.days_to_due.unwrap_or_default();
            reasons.push(Reason {
                ground: Ground::LimitNear,
                words: format!("limit within {days} days"),
                next_step: format!("book the overhaul {by}"),
            });
        }
    }

    /// When to order a replacement, and why then.
    fn order_in_words(&self) -> String {
        let as_of = self.fleet.as_of;
        let Some((due, order)) = self.due.due.zip(self.order_replacement_by()) else {
            return "order a replacement now: no due date is known".to_string();
        };
        let when = match order > as_of {
            true => format!("by {order}"),
            false => "now".to_string(),
        };
        let why = match (due > as_of, self.replacement_days) {
            (false, _) => format!("the overhaul was due {due}"),
            (true, Some(days)) => format!("due {due}, a new one takes {days:.0} days"),
            (true, None) => format!("due {due}, lead time not on record"),
        };
        format!("order a replacement {when} ({why})")
    }

    fn order_replacement_by(&self) -> Option<Day> {
        order_by(self.due.due_p10, self.due.due, self.replacement_days)
    }

    fn nothing(&self) -> Reason {
        let next_step = match self.due.due {
            Some(day) => format!("nothing now; next overhaul due {day}"),
            None => "nothing now".to_string(),
        };
        Reason { ground: Ground::Nothing, words: "nothing open on record".to_string(), next_step }
    }

    /// By how much the limit is passed: `412 days, 3 hours` of what is known.
    fn passed_in_words(&self) -> String {
        let due = self.due;
        let mut parts = Vec::new();
        let calendar = due.due_calendar.filter(|&day| day < self.fleet.as_of).map(|day| self.fleet.as_of - day);
        if let Some(days) = calendar {
            let years = f64::from(days) / DAYS_PER_YEAR;
            parts.push(if years >= 1.0 { format!("{years:.1} years") } else { format!("{days} days") });
        }
        if let Some(hours) = due.hours_to_due.filter(|&h| h < 0.0) {
            parts.push(format!("{:.0} h", -hours));
        }
        if parts.is_empty() {
            return "by its hours".to_string();
        }
        format!("by {}", parts.join(" and "))
    }

    /// Days past the limit that is passed, 0 when none is.
    pub fn days_past(&self) -> i32 {
        self.due.days_to_due.map_or(0, |d| (-d).max(0))
    }

    /// Day by which to order a replacement, or to book the overhaul where none is to be ordered, for tier 5.
    pub fn act_by(&self, reasons: &[Reason]) -> Option<Day> {
        let to_order = reasons.iter().any(|r| r.ground == Ground::RejectNext);
        match to_order {
            true => self.order_replacement_by(),
            false => self.due.due,
        }
    }
}
