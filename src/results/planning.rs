//! The plan of the propellers shown, worked out once and handed out as tables.

use std::sync::Arc;

use arrow::record_batch::RecordBatch;

use super::ResultsError;
use super::answers::{AnswerError, Answers, Shown};
use super::batches::plan as batches;
use crate::analysis::plan::Plan;
use crate::analysis::plan::from_records::{Planned, Sources, question};
use crate::analysis::plan::notes::notes;
use crate::analysis::plan::purchases::{self, Purchase};

/// A plan, and what it was made from.
pub struct Planning {
    /// The seats and what is known of them.
    pub planned: Planned,
    /// The plan.
    pub plan: Plan,
}

impl Planning {
    /// What it assumes and leaves out.
    pub fn notes(&self) -> Vec<String> {
        notes(&self.plan, &self.planned)
    }
}

impl Answers<'_, '_> {
    pub(super) fn plan_sources(&self) -> Sources<'_, '_> {
        Sources {
            fleet: self.fleet,
            settings: self.settings,
            due: self.due(),
            remaining: self.remaining(),
            fits: self.fits(),
            findings: self.findings(),
        }
    }

    /// The plan of the propellers shown; what its chances rest on is learnt from the whole fleet.
    pub fn planning(&self, shown: &Shown) -> Arc<Planning> {
        self.planning.get_or_work_out(shown, || {
            let planned = Planned::of(&self.plan_sources(), |p| shown.shows(p));
            let asked = question(self.fleet.as_of, self.settings);
            Planning { plan: Plan::of(&planned.seats, &asked), planned }
        })
    }

    /// The propellers that the next overhaul will probably reject, by the day to order.
    pub fn purchases(&self, shown: &Shown) -> Arc<Vec<Purchase>> {
        self.purchases.get_or_work_out(shown, || {
            let prices = &self.planning(shown).planned.prices;
            purchases::rows(&self.plan_sources(), prices, self.settings.ranking.reject_chance, |p| shown.shows(p))
        })
    }

    /// One of the plan's tables.
    pub(super) fn plan_table(&self, name: &str, shown: &Shown) -> Result<RecordBatch, AnswerError> {
        let planning = self.planning(shown);
        let (plan, planned) = (&planning.plan, &planning.planned);
        Ok(match name {
            "budget" => batches::budget(plan, planned)?,
            "purchases" => batches::purchases(self.fleet, &self.purchases(shown))?,
            "out_at_once" => batches::out_at_once(plan)?,
            "reserve" => batches::reserve(plan, planned)?,
            "spares" => batches::spares(plan, planned)?,
            other => {
                return Err(ResultsError::NoTable { name: other.to_string() }.into());
            }
        })
    }
}
