//! What is near enough to plan for, and what to say where nothing is.

use super::super::super::due::State;
use super::super::super::plan::purchases::order_by;
use super::super::ground::Ground;
use super::{Evidence, Reason};
use crate::trade::calendar::Day;

impl Evidence<'_, '_> {
    pub(super) fn plan(&self, reasons: &mut Vec<Reason>) {
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

    pub(super) fn nothing(&self) -> Reason {
        let next_step = match self.due.due {
            Some(day) => format!("nothing now; next overhaul due {day}"),
            None => "nothing now".to_string(),
        };
        Reason { ground: Ground::Nothing, words: "nothing open on record".to_string(), next_step }
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
