//! What comes next, the day by which someone must act for it, and whether that day is near.

use super::super::super::due::{DueRow, State};
use super::super::super::plan::purchases::{order_by, reject_chance};
use super::super::ground::Ground;
use super::{Evidence, Reason};
use crate::analysis::chance::chance_in_words;
use crate::records::written::count;
use crate::trade::calendar::{DAYS_PER_YEAR, Day};

/// The day to order a replacement is near within so many days.
const ORDER_NEAR_DAYS: i32 = 365;
/// The day to book an overhaul is near within so many days,
const BOOKING_NEAR_DAYS: f64 = 180.0;
/// and within this part of the calendar interval.
const BOOKING_NEAR_PART: f64 = 0.15;

/// What comes next.
pub(super) struct Ahead {
    what: What,
    /// The day by which someone must act; `None` where nothing dates it.
    pub(super) act_by: Option<Day>,
    is_near: bool,
}

enum What {
    /// The next overhaul will probably reject it, with this chance.
    Rejection(f64),
    /// An overhaul on this day.
    Overhaul(Day),
}

impl Evidence<'_, '_> {
    /// What comes next: a rejection where one is probable, else an overhaul; nothing where its limits are passed, not dated or
    /// not watched.
    pub(super) fn ahead(&self, reasons: &[Reason]) -> Option<Ahead> {
        let as_of = self.fleet.as_of;
        // One that is to be rejected now waits for no overhaul.
        let condemned = |r: &Reason| matches!(r.ground, Ground::BelowMinimum | Ground::RejectedYetListed);
        if reasons.iter().any(condemned) {
            return None;
        }
        if let Some(chance) = reject_chance(self.remaining).filter(|&chance| chance >= self.reject_chance) {
            let act_by = self.order_replacement_by();
            // A day that nothing dates may be tomorrow.
            let is_near = act_by.is_none_or(|day| day - as_of <= ORDER_NEAR_DAYS);
            return Some(Ahead { what: What::Rejection(chance), act_by, is_near });
        }
        let is_watched = !self.due.state.is_past() && self.due.state != State::NoLimitByChoice;
        // A limit that stands in for one that is not stated and is passed is told where it is missed.
        let due = self.due.due.filter(|&due| is_watched && due >= as_of)?;
        let act_by = due + -i32::try_from(self.booking_days).unwrap_or(i32::MAX);
        let is_near = f64::from(act_by - as_of) <= booking_near_days(self.due);
        Some(Ahead { what: What::Overhaul(due), act_by: Some(act_by), is_near })
    }

    /// The reason for tier 5, when the day to act is near. A spare that covers no aircraft waits on its shelf.
    pub(super) fn plan_now(&self, ahead: &Option<Ahead>) -> Option<Reason> {
        let ahead = ahead.as_ref().filter(|ahead| ahead.is_near && self.covers_an_aircraft)?;
        Some(match ahead.what {
            What::Rejection(chance) => Reason {
                ground: Ground::RejectNext,
                words: format!(
                    "the next overhaul will probably reject it (chance {}){}",
                    chance_in_words(chance),
                    self.limiting_in_words()
                ),
                next_step: format!("order a replacement {} ({})", self.when(ahead.act_by), self.why_order()),
            },
            What::Overhaul(due) => Reason {
                ground: Ground::LimitNear,
                words: format!("overhaul due {due}, in {}", days_in_words(due - self.fleet.as_of)),
                next_step: format!("book the overhaul {}", self.when(ahead.act_by)),
            },
        })
    }

    /// What a propeller of the last tier is told of the time to come, after its next step.
    pub(super) fn later(&self, ahead: &Option<Ahead>) -> String {
        match ahead.as_ref().map(|ahead| (&ahead.what, ahead.act_by)) {
            Some((What::Rejection(chance), act_by)) => format!(
                "; the next overhaul{} will probably reject it (chance {}): order a replacement {}",
                self.due.due.map_or_else(String::new, |due| format!(", due {due},")),
                chance_in_words(*chance),
                self.when(act_by)
            ),
            Some((What::Overhaul(due), act_by)) => {
                format!("; next overhaul due {due}, to be booked {}", self.when(act_by))
            }
            None => match self.due.due {
                Some(due) => format!("; next overhaul due {due}"),
                None => String::new(),
            },
        }
    }

    /// `by DAY`, or `now` where the day has come or is not known.
    fn when(&self, day: Option<Day>) -> String {
        match day.filter(|&day| day > self.fleet.as_of) {
            Some(day) => format!("by {day}"),
            None => "now".to_string(),
        }
    }

    /// The place that decides, with what is left there.
    fn limiting_in_words(&self) -> String {
        let Some(point) = &self.remaining.limiting else { return String::new() };
        let expected = point.expected_loss_in.map_or(String::new(), |loss| format!(", {loss:.3} in expected to go"));
        let side = if point.margin_in < 0.0 { "below" } else { "above" };
        format!(
            ": {} {:.3} in {side} minimum on blade {}{}{expected}",
            point.margin.dimension.word(),
            point.margin_in.abs(),
            point.margin.blade,
            self.station_words(&point.margin),
        )
    }

    fn why_order(&self) -> String {
        match self.due.due {
            _ if self.remaining.below_minimum => "below a minimum already".to_string(),
            None => "no due date is known".to_string(),
            Some(due) if due <= self.fleet.as_of => format!("the overhaul was due {due}"),
            Some(due) => format!("due {due}, {}", self.lead.words()),
        }
    }

    fn order_replacement_by(&self) -> Option<Day> {
        // Nothing is gained by waiting for the due date of one that is rejected whenever it is looked at.
        if self.remaining.below_minimum {
            return Some(self.fleet.as_of);
        }
        order_by(self.due.due_p10, self.due.due, self.lead)
    }
}

/// Within how many days of the day to book an overhaul is to be planned.
fn booking_near_days(due: &DueRow) -> f64 {
    let months = due.interval.months.value();
    months.map_or(BOOKING_NEAR_DAYS, |months| BOOKING_NEAR_DAYS.min(BOOKING_NEAR_PART * months * DAYS_PER_YEAR / 12.0))
}

fn days_in_words(days: i32) -> String {
    count(usize::try_from(days).unwrap_or(0), "day")
}
