//! Overhaul limits passed, not stated, or not to be judged.

use super::super::super::due::State;
use super::super::super::standing::{List, list_of};
use super::super::ground::Ground;
use super::{Evidence, Reason, hours};
use crate::records::choice::{InspectionKind, InspectionResult};
use crate::records::models::Stated;
use crate::records::written::count;
use crate::trade::calendar::DAYS_PER_YEAR;

impl Evidence<'_, '_> {
    pub(super) fn limits_passed(&self, reasons: &mut Vec<Reason>) {
        let due = self.due;
        let spare = list_of(self.fleet, self.propeller) == Some(List::Spare);
        let inspection = match due.inspection {
            Some(last) => {
                let result = last.result.map_or("result not recorded", InspectionResult::in_words);
                format!("; last {} {}, {result}", InspectionKind::in_words(last.kind), last.day)
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
                words: self.not_stated_in_words(),
                next_step: "copy the overhaul interval from the maker's current manual into `models`".to_string(),
            }),
            _ => {}
        }
        reasons.extend(hours::flew_bare(self.fleet, due));
        reasons.extend(hours::crowded(self.fleet, self.propeller));
        reasons.extend(hours::contradicting(self.fleet, due));
    }

    /// Which limit is not stated, and what stands in for it at worst.
    fn not_stated_in_words(&self) -> String {
        let interval = &self.due.interval;
        let mut words = match interval.not_stated().as_slice() {
            [one] => format!("one limit not stated: {one}"),
            _ => "no limit stated".to_string(),
        };
        let at_worst = |stands_in: bool, limit: Stated, unit: &str| {
            limit.value().filter(|_| stands_in).map(|limit| format!("{limit} {unit}"))
        };
        let worst: Vec<String> = [
            at_worst(interval.stands_in.hours, interval.hours, "h"),
            at_worst(interval.stands_in.months, interval.months, "months"),
        ]
        .into_iter()
        .flatten()
        .collect();
        if !worst.is_empty() {
            words.push_str(&format!("; at worst {}, the shortest of the fleet", worst.join(" and ")));
            if let Some(passed) = self.passed_by(true) {
                words.push_str(&format!(", passed {passed}"));
            }
        }
        words
    }

    /// By how much the limits are passed that are stated, or that stand in for others: `by 412 days and 3 h` of what is known.
    fn passed_by(&self, that_stand_in: bool) -> Option<String> {
        let due = self.due;
        let stands_in = due.interval.stands_in;
        let mut parts = Vec::new();
        let calendar = due.due_calendar.filter(|&day| day < self.fleet.as_of && stands_in.months == that_stand_in);
        if let Some(days) = calendar.map(|day| self.fleet.as_of - day) {
            let years = f64::from(days) / DAYS_PER_YEAR;
            parts.push(if years >= 1.0 { format!("{years:.1} years") } else { count(days as usize, "day") });
        }
        if let Some(hours) = due.hours_to_due.filter(|&h| h < 0.0 && stands_in.hours == that_stand_in) {
            parts.push(format!("{:.0} h", -hours));
        }
        (!parts.is_empty()).then(|| format!("by {}", parts.join(" and ")))
    }

    /// By how much the limit is passed.
    fn passed_in_words(&self) -> String {
        self.passed_by(false).unwrap_or_else(|| "by its hours".to_string())
    }
}
