//! `gaps`.

use arrow::record_batch::RecordBatch;

use super::arrays;
use super::identity::Identity;
use crate::analysis::gaps::Gap;
use crate::records::Fleet;
use crate::results::{ResultsError, batch};

/// Rows of `gaps`.
///
/// # Errors
/// [`ResultsError`] when the columns do not fit the list, which is an error of this program.
pub fn gaps(fleet: &Fleet<'_>, rows: &[&Gap]) -> Result<RecordBatch, ResultsError> {
    let who = Identity::of(fleet, rows.iter().map(|r| r.propeller).collect());
    batch(
        "gaps",
        vec![
            ("propeller", who.serial()),
            ("what", arrays::texts(rows.iter().map(|r| Some(&r.what)))),
            ("why_it_matters", arrays::texts(rows.iter().map(|r| Some(r.missing.why_it_matters())))),
            ("where_to_find_it", arrays::texts(rows.iter().map(|r| Some(r.missing.where_to_find_it())))),
        ],
    )
}
