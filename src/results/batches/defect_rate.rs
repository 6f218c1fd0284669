//! `defect_rate` and `mean_cumulative`.

use arrow::record_batch::RecordBatch;

use super::arrays;
use crate::analysis::defect_rate::DefectRate;
use crate::analysis::mean_cumulative::{CurvePoint, Group};
use crate::records::Fleet;
use crate::results::{ResultsError, batch};

/// Rows of `defect_rate`; `open_findings` says how many findings of a propeller are open.
///
/// # Errors
/// [`ResultsError`] when the columns do not fit the list, which is an error of this program.
pub fn defect_rate(
    fleet: &Fleet<'_>,
    rows: &[&DefectRate],
    open_findings: impl Fn(u32) -> Option<u32>,
) -> Result<RecordBatch, ResultsError> {
    let propellers: Vec<u32> = rows.iter().map(|r| r.propeller).collect();
    let count = |of: fn(&DefectRate) -> u32| arrays::integers(rows.iter().map(|r| Some(of(r) as i32)));
    let rate = |of: fn(&crate::analysis::defect_rate::Rate) -> f64| {
        arrays::maybe_numbers(rows.iter().map(|r| r.rate.as_ref().map(of)))
    };
    let repeats = |r: &DefectRate| {
        let words: Vec<String> = r.repeats.iter().map(ToString::to_string).collect();
        (!words.is_empty()).then(|| words.join("; "))
    };
    batch(
        "defect_rate",
        vec![
            ("propeller", arrays::texts_by_number(&propellers, |p| fleet.propellers.serial(p))),
            ("findings_since_overhaul", count(|r| r.findings_since_overhaul)),
            ("findings_total", count(|r| r.findings_total)),
            ("hours", arrays::maybe_numbers(rows.iter().map(|r| r.watch.as_ref().ok().map(|w| w.hours)))),
            ("rate_per_100h", rate(|r| r.mean_per_100h)),
            ("rate_low", rate(|r| r.low_per_100h)),
            ("rate_high", rate(|r| r.high_per_100h)),
            ("open_findings", arrays::integers(propellers.iter().map(|&p| open_findings(p).map(|n| n as i32)))),
            ("trend_p", arrays::maybe_numbers(rows.iter().map(|r| r.trend_p))),
            ("repeats", arrays::texts(rows.iter().map(|r| repeats(r)))),
        ],
    )
}

/// Rows of `mean_cumulative`.
///
/// # Errors
/// [`ResultsError`] when the columns do not fit the list, which is an error of this program.
pub fn mean_cumulative(fleet: &Fleet<'_>, rows: &[CurvePoint]) -> Result<RecordBatch, ResultsError> {
    let mut last: Option<(Group, String)> = None;
    let groups: Vec<String> = rows
        .iter()
        .map(|r| match &last {
            Some((group, words)) if *group == r.group => words.clone(),
            _ => {
                let words = r.group.words(fleet);
                last = Some((r.group, words.clone()));
                words
            }
        })
        .collect();
    batch(
        "mean_cumulative",
        vec![
            ("group", arrays::texts(groups.iter().map(Some))),
            ("hours", arrays::numbers(rows.iter().map(|r| r.hours).collect())),
            ("mcf", arrays::numbers(rows.iter().map(|r| r.mean).collect())),
            ("low", arrays::maybe_numbers(rows.iter().map(|r| r.limits.map(|l| l.0)))),
            ("high", arrays::maybe_numbers(rows.iter().map(|r| r.limits.map(|l| l.1)))),
            ("at_risk", arrays::integers(rows.iter().map(|r| Some(r.at_risk as i32)))),
        ],
    )
}
