//! `findings`.

use arrow::record_batch::RecordBatch;

use super::arrays;
use super::identity::Identity;
use crate::analysis::findings::Finding;
use crate::records::Fleet;
use crate::records::defects::Defect;
use crate::results::{ResultsError, batch};

/// Rows of `findings`, in the order given.
///
/// # Errors
/// [`ResultsError`] when the columns do not fit the list, which is an error of this program.
pub fn findings(fleet: &Fleet<'_>, rows: &[&Finding]) -> Result<RecordBatch, ResultsError> {
    let who = Identity::of(fleet, rows.iter().map(|r| r.propeller).collect());
    let reports: Vec<&Defect> = rows.iter().map(|r| r.report(fleet)).collect();
    let number = |of: fn(&Defect) -> Option<f64>| arrays::maybe_numbers(reports.iter().map(|d| of(d)));
    batch(
        "findings",
        vec![
            ("propeller", who.serial()),
            ("found_date", arrays::days(reports.iter().map(|d| Some(d.found)))),
            ("blade", arrays::blades(reports.iter().map(|d| d.blade.map(i16::from)))),
            ("station_pct", number(|d| d.station_pct)),
            ("surface", arrays::texts(reports.iter().map(|d| d.surface.map(|s| s.word())))),
            ("kind", arrays::texts(reports.iter().map(|d| Some(d.kind.word())))),
            ("depth_in", number(|d| d.depth_in)),
            ("length_in", number(|d| d.length_in)),
            ("width_in", number(|d| d.width_in)),
            ("action", arrays::texts(reports.iter().map(|d| Some(d.action.word())))),
            ("action_date", arrays::days(reports.iter().map(|d| d.action_date))),
            (
                "action_by",
                arrays::texts(reports.iter().map(|d| d.action_by.map(|code| fleet.defects.people.get(code)))),
            ),
            ("recheck_date", arrays::days(reports.iter().map(|d| d.recheck))),
            ("rework_depth_in", number(|d| d.rework_depth_in)),
            ("rework_length_in", number(|d| d.rework_length_in)),
            ("refinished", arrays::yes_no(reports.iter().map(|d| d.refinished))),
            ("station_in", arrays::maybe_numbers(rows.iter().map(|r| r.station_in))),
            ("field_repair", arrays::texts(rows.iter().map(|r| Some(r.field_repair().words())))),
            ("blend_length_in", arrays::maybe_numbers(rows.iter().map(|r| r.blend_length_in))),
            ("margin_left_in", arrays::maybe_numbers(rows.iter().map(|r| r.margin_left_in))),
            ("stress_mpa", arrays::maybe_numbers(rows.iter().map(|r| r.stress_mpa))),
            ("strength_retained", arrays::maybe_numbers(rows.iter().map(|r| r.strength_retained))),
            ("open", arrays::yes_no(rows.iter().map(|r| Some(r.is_open())))),
            ("closed_by", arrays::texts(rows.iter().map(|r| r.closed_by(fleet)))),
        ],
    )
}
