//! Which propellers are shown, and results kept for them.

use std::sync::{Arc, OnceLock};

use crate::records::Fleet;
use crate::records::written::count;

/// Which propellers are shown. What the fleet's statistics learn from never changes.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Shown {
    keep: Option<Vec<bool>>,
    /// What the filter that chose them says.
    filter: Option<String>,
}

impl Shown {
    /// Every propeller.
    pub fn all() -> Shown {
        Shown { keep: None, filter: None }
    }

    /// The propellers a rule keeps.
    pub fn only(fleet: &Fleet<'_>, keep: impl Fn(u32) -> bool) -> Shown {
        Shown { keep: Some((0..fleet.propellers.len() as u32).map(keep).collect()), filter: None }
    }

    /// The same propellers, with what the filter says that chose them: `use rental`.
    pub fn named(self, filter: String) -> Shown {
        Shown { filter: Some(filter), ..self }
    }

    /// How many of the propellers on record are shown, and by which filter: `10 of 58 propellers, use rental`; `None` without
    /// a filter.
    pub fn in_words(&self) -> Option<String> {
        let (keep, filter) = (self.keep.as_ref()?, self.filter.as_ref()?);
        let here = keep.iter().filter(|keep| **keep).count();
        Some(format!("{here} of {}, {filter}", count(keep.len(), "propeller")))
    }

    /// Whether a propeller is shown.
    pub fn shows(&self, propeller: u32) -> bool {
        self.keep.as_ref().is_none_or(|keep| keep.get(propeller as usize).copied().unwrap_or(false))
    }
}

/// A result of the propellers shown, kept for those it was first asked for: a run asks for one choice of them.
pub(super) struct KeptFor<T>(OnceLock<(Shown, Arc<T>)>);

impl<T> Default for KeptFor<T> {
    fn default() -> Self {
        KeptFor(OnceLock::new())
    }
}

impl<T> KeptFor<T> {
    /// What is kept, if it is of these propellers, else worked out for them.
    pub(super) fn get_or_work_out(&self, shown: &Shown, work_out: impl Fn() -> T) -> Arc<T> {
        let (kept_for, kept) = self.0.get_or_init(|| (shown.clone(), Arc::new(work_out())));
        if kept_for == shown { Arc::clone(kept) } else { Arc::new(work_out()) }
    }
}
