//! The headline counts: what needs action, what comes due, what will probably be rejected. The terminal, the page, the workbook and
//! `run.json` read them here, so that one question has one answer.
//!
//! A propeller that was rejected, scrapped or sold and is still listed stands in tier 1 and in no count of due or reject. A spare
//! is in no count of what comes due or will be rejected either: nobody flies behind it, and its tier says what is to be planned.

use serde::Serialize;

use super::due::DueRow;
use super::plan::purchases::reject_chance;
use super::ranking::Ranked;
use super::remaining::Remaining;
use super::standing::{List, list_of};
use crate::records::Fleet;
use crate::trade::calendar::{Day, same_day};

/// Months that "due soon" looks ahead.
pub const MONTHS_SOON: u32 = 12;
/// The last tier that needs action now.
pub const LAST_TIER_NOW: u8 = 4;

/// Headline counts of the propellers shown, and who they count.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Overview {
    /// Counts.
    pub counts: Counts,
    /// Past a limit, in order of serial.
    pub past_due: Vec<u32>,
    /// Due within [`MONTHS_SOON`], the earliest first.
    pub due_soon: Vec<u32>,
    /// Probably rejected at the next overhaul, with the chance, the surest first; those below a minimum already are not here.
    pub probably_rejected: Vec<(u32, f64)>,
    /// Below a minimum today, in order of serial.
    pub below_minimum: Vec<u32>,
}

/// The counts by themselves, as `run.json` has them.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Counts {
    /// Propellers on record that are shown, those out of service included.
    pub on_record: usize,
    /// Listed as flying.
    pub flying: usize,
    /// Listed as at a shop.
    pub at_shop: usize,
    /// Listed as spare.
    pub spare: usize,
    /// Listed propellers in tiers 1 to 6.
    pub tiers: [usize; 6],
    /// In tiers 1 to [`LAST_TIER_NOW`].
    pub need_action_now: usize,
    /// Past a limit.
    pub past_due: usize,
    /// Due within [`MONTHS_SOON`], today included; spares apart.
    pub due_in_12_months: usize,
    /// Without a due date on record.
    pub no_due_date: usize,
    /// Probably rejected at the next overhaul: the chance is at least the setting `reject_chance`; spares apart.
    pub probably_rejected: usize,
    /// Below a minimum today.
    pub below_minimum: usize,
    /// In service with a chance of rejection on record.
    pub reject_chance_known: usize,
    /// In service without one.
    pub reject_chance_not_known: usize,
    /// Rows set aside in all tables.
    pub rows_set_aside: usize,
}

impl Overview {
    /// Counts the propellers that `shows` keeps; `from` is the chance from which a rejection is probable.
    pub fn of(
        fleet: &Fleet<'_>,
        ranked: &[Ranked],
        due: &[DueRow],
        remaining: &[Remaining],
        from: f64,
        shows: impl Fn(u32) -> bool,
    ) -> Overview {
        let mut overview = Overview::default();
        overview.counts.on_record = (0..fleet.propellers.len() as u32).filter(|&p| shows(p)).count();
        overview.counts.rows_set_aside = fleet.ledger.total_set_aside();
        for row in ranked.iter().filter(|r| shows(r.propeller)) {
            overview.counts.add_listed(row);
        }
        let in_service = |propeller: u32| shows(propeller) && !fleet.is_ended(propeller);
        overview.add_due(due.iter().filter(|row| in_service(row.propeller)), fleet.as_of);
        overview.add_left(fleet, remaining.iter().filter(|left| in_service(left.propeller)), from);
        overview
    }

    fn add_due<'r>(&mut self, rows: impl Iterator<Item = &'r DueRow>, today: Day) {
        let soon = same_day(today, MONTHS_SOON);
        let mut ahead: Vec<(Day, u32)> = Vec::new();
        for row in rows {
            match row.due {
                None => self.counts.no_due_date += 1,
                Some(due) if due < today => self.past_due.push(row.propeller),
                Some(due) if due <= soon && row.list != List::Spare => ahead.push((due, row.propeller)),
                Some(_) => {}
            }
        }
        ahead.sort_unstable();
        self.due_soon = ahead.into_iter().map(|(_, propeller)| propeller).collect();
        self.counts.past_due = self.past_due.len();
        self.counts.due_in_12_months = self.due_soon.len();
    }

    fn add_left<'r>(&mut self, fleet: &Fleet<'_>, rows: impl Iterator<Item = &'r Remaining>, from: f64) {
        for left in rows {
            let chance = reject_chance(left);
            match chance {
                Some(_) => self.counts.reject_chance_known += 1,
                None => self.counts.reject_chance_not_known += 1,
            }
            if left.below_minimum {
                self.below_minimum.push(left.propeller);
            } else if let Some(chance) = chance.filter(|&chance| chance >= from)
                && list_of(fleet, left.propeller) != Some(List::Spare)
            {
                self.probably_rejected.push((left.propeller, chance));
            }
        }
        self.probably_rejected.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        self.counts.probably_rejected = self.probably_rejected.len();
        self.counts.below_minimum = self.below_minimum.len();
    }
}

impl Counts {
    fn add_listed(&mut self, row: &Ranked) {
        match row.list {
            List::Flying => self.flying += 1,
            List::AtShop => self.at_shop += 1,
            List::Spare => self.spare += 1,
        }
        self.tiers[usize::from(row.tier.clamp(1, 6)) - 1] += 1;
        self.need_action_now += usize::from(row.tier <= LAST_TIER_NOW);
    }

    /// Listed propellers: flying, at a shop or spare.
    pub fn listed(&self) -> usize {
        self.flying + self.at_shop + self.spare
    }

    /// The counts a person looks for first, with their names.
    pub fn headlines(&self) -> [(&'static str, usize); 7] {
        [
            ("Propellers listed", self.listed()),
            ("Need action now", self.need_action_now),
            ("Past due", self.past_due),
            ("Due in the next 12 months", self.due_in_12_months),
            ("The next overhaul will probably reject", self.probably_rejected),
            ("Below a minimum already", self.below_minimum),
            ("Rows set aside", self.rows_set_aside),
        ]
    }
}
