//! Tables across the fleet: a floor above this one groups and joins other results, and hands them in.

use std::sync::PoisonError;

use arrow::record_batch::RecordBatch;

use super::answers::{AnswerError, Answers, GIVEN, Shown};

/// Works out a table across the fleet from other results, by its name; `None` for a name it does not know.
pub type Across = fn(&Answers<'_, '_>, &str, &Shown) -> Result<Option<RecordBatch>, AnswerError>;

impl Answers<'_, '_> {
    /// Takes in who works out the tables across the fleet.
    pub fn with_across(mut self, across: Across) -> Self {
        self.across = Some(across);
        self
    }

    /// A table across the fleet, worked out once.
    pub(super) fn made_across(&self, across: Across, name: &str, shown: &Shown) -> Result<RecordBatch, AnswerError> {
        let kept = || self.across_made.lock().unwrap_or_else(PoisonError::into_inner);
        let there = kept().iter().find(|(of, by, _)| of == name && by == shown).map(|(_, _, made)| made.clone());
        if let Some(made) = there {
            return Ok(made);
        }
        let made = across(self, name, shown)?.ok_or_else(|| AnswerError::NotYet(name.to_string(), GIVEN.join(", ")))?;
        kept().push((name.to_string(), shown.clone(), made.clone()));
        Ok(made)
    }
}
