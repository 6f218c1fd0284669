//! What is open and what has a date, worked out once and handed out as tables.

use arrow::record_batch::RecordBatch;

use super::ResultsError;
use super::answers::{Answers, Shown};
use super::batches::{due, ranking};
use crate::analysis::duties::{Duty, Sources, duties};
use crate::analysis::open::{Open, open};
use crate::analysis::plan::prices::PlanPrices;
use crate::analysis::plan::purchases;

impl Answers<'_, '_> {
    /// What is open on the propellers shown.
    pub fn open(&self, shown: &Shown) -> Vec<&Open> {
        let all = self.open.get_or_init(|| open(self.fleet, self.findings(), self.ranking(), self.events()));
        all.iter().filter(|open| shown.shows(open.propeller)).collect()
    }

    /// Every dated duty, the earliest first.
    pub fn duties(&self) -> &[Duty] {
        self.duties.get_or_init(|| {
            let prices = PlanPrices::of_fleet(self.fleet, self.settings.fleet.price_growth_pct);
            let from = self.settings.ranking.reject_chance;
            duties(&Sources {
                fleet: self.fleet,
                due: self.due(),
                inspections: self.inspections(),
                findings: self.findings(),
                purchases: &purchases::rows(&self.plan_sources(), &prices, from, |_| true),
            })
        })
    }

    /// `open` or `duties`.
    pub(super) fn to_do_table(&self, name: &str, shown: &Shown) -> Result<RecordBatch, ResultsError> {
        match name {
            "open" => ranking::open(self.fleet, &self.open(shown)),
            _ => {
                let rows: Vec<&Duty> = self.duties().iter().filter(|duty| shown.shows(duty.propeller)).collect();
                due::duties(self.fleet, self.findings(), &rows)
            }
        }
    }
}
