//! What the files of the propellers lack, as a table.

use arrow::record_batch::RecordBatch;

use super::answers::{AnswerError, Answers, Shown};
use super::batches::gaps as batches;
use crate::analysis::gaps::{Evidence, Gap, gaps};

impl Answers<'_, '_> {
    /// What the files of the listed propellers lack, the most useful first.
    pub fn gaps(&self) -> &[Gap] {
        self.gaps.get_or_init(|| {
            gaps(&Evidence {
                fleet: self.fleet,
                due: &self.due().rows,
                remaining: self.remaining(),
                findings: self.findings(),
                events: self.events(),
                exposure: self.exposure(),
                rates: self.defect_rates(),
            })
        })
    }

    /// Rows of `gaps`, of the propellers shown.
    pub(super) fn gaps_table(&self, shown: &Shown) -> Result<RecordBatch, AnswerError> {
        let rows: Vec<&Gap> = self.gaps().iter().filter(|g| shown.shows(g.propeller)).collect();
        Ok(batches::gaps(self.fleet, &rows)?)
    }
}
