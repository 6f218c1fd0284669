//! `remaining`.

use arrow::record_batch::RecordBatch;

use super::arrays;
use super::identity::Identity;
use crate::analysis::margins::model_now;
use crate::analysis::remaining::Remaining;
use crate::records::Fleet;
use crate::results::{ResultsError, batch};

/// Rows of `remaining`.
///
/// # Errors
/// [`ResultsError`] when the columns do not fit the list, which is an error of this program.
pub fn remaining(fleet: &Fleet<'_>, rows: &[Remaining]) -> Result<RecordBatch, ResultsError> {
    let who = Identity::of(fleet, rows.iter().map(|r| r.propeller).collect());
    let none = || arrays::maybe_numbers(rows.iter().map(|_| None));
    let at = |r: &Remaining| r.limiting.map(|p| p.margin);
    batch(
        "remaining",
        vec![
            ("propeller", who.serial()),
            ("model", who.model()),
            ("aircraft", who.aircraft()),
            (
                "overhauls_recorded",
                arrays::integers(rows.iter().map(|r| Some(r.overhauls_recorded as i32))),
            ),
            (
                "limiting_blade",
                arrays::blades(rows.iter().map(|r| at(r).map(|m| i16::from(m.blade)))),
            ),
            (
                "limiting_station_pct",
                arrays::maybe_numbers(rows.iter().map(|r| {
                    let margin = at(r)?;
                    let model = fleet.models.get(model_now(fleet, r.propeller)?);
                    model.stations.get(usize::from(margin.station))?.pct
                })),
            ),
            (
                "limiting_dimension",
                arrays::texts(rows.iter().map(|r| at(r).map(|m| m.dimension.word()))),
            ),
            (
                "limiting_margin_in",
                arrays::maybe_numbers(rows.iter().map(|r| r.limiting.map(|p| p.margin_in))),
            ),
            (
                "expected_loss_in",
                arrays::maybe_numbers(rows.iter().map(|r| r.limiting.map(|p| p.expected_loss_in))),
            ),
            ("reject_chance_next", none()),
            ("reject_chance_next_any", none()),
            ("remaining_p10", none()),
            ("remaining_p50", none()),
            ("remaining_p90", none()),
            (
                "remaining_mean",
                arrays::maybe_numbers(rows.iter().map(Remaining::overhauls)),
            ),
            ("rejection_date", arrays::days(rows.iter().map(|_| None))),
            ("basis", arrays::texts(rows.iter().map(|r| Some(r.basis())))),
        ],
    )
}
