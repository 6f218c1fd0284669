//! `due` and `duties`.

use arrow::record_batch::RecordBatch;

use super::arrays;
use super::identity::Identity;
use crate::analysis::due::{DO_NOT_INSTALL, DueRow};
use crate::analysis::duties::Duty;
use crate::analysis::findings::Findings;
use crate::analysis::hours::Reached;
use crate::records::Fleet;
use crate::records::choice::{Force, InspectionKind, InspectionResult};
use crate::results::{ResultsError, batch};

/// Rows of `due`.
///
/// # Errors
/// [`ResultsError`] when the columns do not fit the list, which is an error of this program.
pub fn due(fleet: &Fleet<'_>, rows: &[&DueRow]) -> Result<RecordBatch, ResultsError> {
    let who = Identity::of(fleet, rows.iter().map(|r| r.propeller).collect());
    let day = |of: fn(&DueRow) -> Option<crate::trade::calendar::Day>| arrays::days(rows.iter().map(|r| of(r)));
    let number = |of: fn(&DueRow) -> Option<f64>| arrays::maybe_numbers(rows.iter().map(|r| of(r)));
    batch(
        "due",
        vec![
            ("propeller", who.serial()),
            ("aircraft", who.aircraft()),
            ("model", who.model()),
            ("use", who.usage()),
            ("base", who.base()),
            ("last_overhaul_date", day(|r| r.last_overhaul.or(r.clock_start))),
            ("days_since_overhaul", arrays::integers(rows.iter().map(|r| r.days_since_overhaul))),
            ("hours_since_overhaul", number(|r| r.hours.and_then(|h| h.today))),
            ("hours_per_year", number(|r| r.rate.hours_per_year())),
            ("hours_basis", arrays::texts(rows.iter().map(|r| Some(r.hours?.basis.words())))),
            ("due_date_calendar", day(|r| r.due_calendar)),
            ("due_date_hours", day(|r| r.due_hours.and_then(Reached::day))),
            ("due_date", day(|r| r.due)),
            ("due_date_p10", day(|r| r.due_p10)),
            ("due_date_p90", day(|r| r.due_p90)),
            ("days_to_due", arrays::integers(rows.iter().map(|r| r.days_to_due))),
            ("hours_to_due", number(|r| r.hours_to_due)),
            ("interval_force", arrays::texts(rows.iter().map(|r| Some(r.interval.force.word())))),
            ("state", arrays::texts(rows.iter().map(|r| Some(state(fleet, r))))),
            ("last_inspection_date", day(|r| r.inspection.map(|i| i.day))),
            ("last_inspection_kind", arrays::texts(rows.iter().map(|r| r.inspection?.kind.map(InspectionKind::word)))),
            (
                "last_inspection_result",
                arrays::texts(rows.iter().map(|r| r.inspection?.result.map(InspectionResult::in_words))),
            ),
            ("next_inspection_date", day(|r| r.inspection.and_then(|i| i.next))),
        ],
    )
}

/// Rows of `duties`, in the order given.
///
/// # Errors
/// As [`due`].
pub fn duties(fleet: &Fleet<'_>, findings: &Findings, rows: &[&Duty]) -> Result<RecordBatch, ResultsError> {
    let who = Identity::of(fleet, rows.iter().map(|r| r.propeller).collect());
    let basis = |r: &&Duty| if r.is_estimated { "estimated" } else { "recorded" };
    batch(
        "duties",
        vec![
            ("propeller", who.serial()),
            ("what", arrays::texts(rows.iter().map(|r| Some(r.words(fleet, findings))))),
            ("date", arrays::days(rows.iter().map(|r| Some(r.date)))),
            ("basis", arrays::texts(rows.iter().map(|r| Some(basis(r))))),
            ("force", arrays::texts(rows.iter().map(|r| r.force.map(Force::word)))),
            ("days", arrays::integers(rows.iter().map(|r| Some(r.date - fleet.as_of)))),
            ("aircraft", who.aircraft()),
        ],
    )
}

/// The state in words; a spare past its limit is not to be installed, and one that was rejected or scrapped is within no
/// limit that would let it fly.
fn state(fleet: &Fleet<'_>, row: &DueRow) -> String {
    if let Some(end) = fleet.end_of(row.propeller) {
        format!("{}, but out of service since {end}", row.state)
    } else if row.do_not_install() {
        format!("{}, {DO_NOT_INSTALL}", row.state)
    } else {
        row.state.to_string()
    }
}
