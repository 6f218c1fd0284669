//! `load`.

use arrow::record_batch::RecordBatch;

use super::arrays;
use crate::analysis::load::Load;
use crate::records::Fleet;
use crate::results::{ResultsError, batch};

/// Rows of `load`.
///
/// # Errors
/// [`ResultsError`] when the columns do not fit the list, which is an error of this program.
pub fn load(fleet: &Fleet<'_>, rows: &[Load]) -> Result<RecordBatch, ResultsError> {
    let propellers: Vec<u32> = rows.iter().map(|r| r.propeller).collect();
    let numbers = |of: fn(&Load) -> Option<f64>| arrays::maybe_numbers(rows.iter().map(of));
    batch(
        "load",
        vec![
            ("propeller", arrays::texts_by_number(&propellers, |p| fleet.propellers.serial(p))),
            ("hours_since_overhaul", numbers(|r| r.hours_since_overhaul)),
            ("equivalent_hours_since_overhaul", numbers(|r| r.equivalent_hours_since_overhaul)),
            ("equivalent_hours_since_new", numbers(|r| r.equivalent_hours_since_new)),
            ("revolutions_since_overhaul", numbers(|r| r.revolutions_since_overhaul)),
            ("worst_station_pct", numbers(|r| r.worst_station_pct)),
        ],
    )
}
