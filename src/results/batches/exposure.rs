//! `exposure`.

use arrow::record_batch::RecordBatch;

use super::arrays;
use crate::analysis::exposure::Exposure;
use crate::records::Fleet;
use crate::results::{ResultsError, batch};
use crate::trade::corrosion::Corrosivity;

/// Rows of `exposure`.
///
/// # Errors
/// [`ResultsError`] when the columns do not fit the list, which is an error of this program.
pub fn exposure(fleet: &Fleet<'_>, rows: &[Exposure]) -> Result<RecordBatch, ResultsError> {
    let propellers: Vec<u32> = rows.iter().map(|r| r.propeller).collect();
    let base = |r: &Exposure| r.base.map(|b| fleet.places.bases()[b as usize].name.as_str());
    batch(
        "exposure",
        vec![
            ("propeller", arrays::texts_by_number(&propellers, |p| fleet.propellers.serial(p))),
            ("since_date", arrays::days(rows.iter().map(|r| r.start.day()))),
            ("years", arrays::maybe_numbers(rows.iter().map(Exposure::years))),
            ("base", arrays::texts(rows.iter().map(base))),
            ("corrosivity", arrays::texts(rows.iter().map(|r| r.air.corrosivity.map(Corrosivity::word)))),
            ("rate_g_m2_year", arrays::maybe_numbers(rows.iter().map(|r| Some(r.air.rate_g_m2_year)))),
            ("exposure_index_g_m2", arrays::maybe_numbers(rows.iter().map(Exposure::known_index_g_m2))),
            ("basis", arrays::texts(rows.iter().map(|r| Some(r.basis(fleet))))),
        ],
    )
}
