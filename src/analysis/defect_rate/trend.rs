//! Whether a propeller's findings come closer together or further apart.

use super::is_counted;
use super::watch::{HoursFrom, Watch};
use crate::analysis::flown::Between;
use crate::records::defects::Defect;
use crate::stats::trend::{FEWEST_EVENTS, laplace};

/// Two-sided p-value of the Laplace test on the findings of a propeller while they were written down; `None` with fewer
/// than [`FEWEST_EVENTS`], or no time to test.
///
/// By flight hours where they are recorded, else by the calendar.
pub(super) fn trend_of(watch: &Watch, findings: &[Defect], between: &Between<'_>) -> Option<f64> {
    let counted = || findings.iter().filter(|f| is_counted(f) && watch.holds(f.found));
    if counted().count() < FEWEST_EVENTS {
        return None;
    }
    let by_hours = || -> Option<(Vec<f64>, f64)> {
        if watch.hours_from != HoursFrom::Records {
            return None;
        }
        let at = |day| {
            if day > watch.from { between(watch.from, day) } else { Some(0.0) }
        };
        let end = at(watch.to).filter(|end| *end > 0.0)?;
        // Rounding may carry a finding of the last day a little over the end.
        let times: Option<Vec<f64>> = counted().map(|f| at(f.found).map(|t| t.clamp(0.0, end))).collect();
        Some((times?, end))
    };
    let (times, end) = by_hours().unwrap_or_else(|| {
        let days = |f: &Defect| f64::from(f.found - watch.from);
        (counted().map(days).collect(), f64::from(watch.to - watch.from))
    });
    laplace(&times, 0.0, end).ok().map(|test| test.p_value)
}
