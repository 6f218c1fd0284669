//! Overhaul limits passed, not stated, or not to be judged.

use super::super::super::due::State;
use super::super::super::standing::{List, list_of};
use super::super::ground::Ground;
use super::{Evidence, Reason, hours};
use crate::records::choice::{InspectionKind, InspectionResult};
use crate::trade::calendar::DAYS_PER_YEAR;

impl Evidence<'_, '_> {
    pub(super) fn limits_passed(&self, reasons: &mut Vec<Reason>) {
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
                reasons.push(hours::passed_by_estimate(due, &self.passed_in_words(), &inspection));
            }
            State::HoursNotKnown => reasons.extend(hours::not_known(due)),
            State::NoLimitStated => reasons.push(Reason {
                ground: Ground::NoLimitStated,
                words: "no limit stated".to_string(),
                next_step: "copy the overhaul interval from the maker's current manual into `models`".to_string(),
            }),
            _ => {}
        }
        reasons.extend(hours::flew_bare(self.fleet, due));
        reasons.extend(hours::crowded(self.fleet, self.propeller));
        reasons.extend(hours::contradicting(self.fleet, due));
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
}
