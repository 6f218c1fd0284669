//! `ranking` and `open`.

use arrow::record_batch::RecordBatch;

use super::arrays;
use super::identity::Identity;
use crate::analysis::open::Open;
use crate::analysis::ranking::Ranked;
use crate::analysis::ranking::firmness::RankRange;
use crate::records::Fleet;
use crate::results::{ResultsError, batch};

/// Rows of `ranking`, in the order given.
///
/// # Errors
/// [`ResultsError`] when the columns do not fit the list, which is an error of this program.
pub fn ranking(fleet: &Fleet<'_>, rows: &[&Ranked]) -> Result<RecordBatch, ResultsError> {
    let who = Identity::of(fleet, rows.iter().map(|r| r.propeller).collect());
    let range = |of: fn(RankRange) -> u32| arrays::integers(rows.iter().map(|r| Some(of(r.score_rank_range?) as i32)));
    batch(
        "ranking",
        vec![
            ("propeller", who.serial()),
            ("list", arrays::texts(rows.iter().map(|r| Some(r.list.word())))),
            ("model", who.model()),
            ("rank", arrays::integers(rows.iter().map(|r| Some(r.rank as i32)))),
            ("tier", arrays::integers(rows.iter().map(|r| Some(i32::from(r.tier))))),
            ("reason", arrays::texts(rows.iter().map(|r| Some(r.reason())))),
            ("score", arrays::maybe_numbers(rows.iter().map(|r| Some(r.score.score)))),
            ("time_part", arrays::maybe_numbers(rows.iter().map(|r| Some(r.score.time_part)))),
            ("climate_part", arrays::maybe_numbers(rows.iter().map(|r| r.score.climate_part))),
            ("defect_part", arrays::maybe_numbers(rows.iter().map(|r| r.score.defect_part))),
            ("score_rank", arrays::integers(rows.iter().map(|r| Some(r.score_rank as i32)))),
            ("score_rank_low", range(|r| r.low)),
            ("score_rank_high", range(|r| r.high)),
            ("aircraft", who.aircraft()),
            ("use", who.usage()),
            ("base", who.base()),
            ("next_step", arrays::texts(rows.iter().map(|r| Some(r.next_step())))),
            ("seen", arrays::texts(rows.iter().map(|r| Some(r.seen.as_ref()?.words())))),
        ],
    )
}

/// Rows of `open`, in the order given.
///
/// # Errors
/// As [`ranking`].
pub fn open(fleet: &Fleet<'_>, rows: &[&Open]) -> Result<RecordBatch, ResultsError> {
    let who = Identity::of(fleet, rows.iter().map(|r| r.propeller).collect());
    batch(
        "open",
        vec![
            ("propeller", who.serial()),
            ("matter", arrays::texts(rows.iter().map(|r| Some(r.matter.word())))),
            ("tier", arrays::integers(rows.iter().map(|r| Some(i32::from(r.tier))))),
            ("reason", arrays::texts(rows.iter().map(|r| Some(&r.reason)))),
            ("next_step", arrays::texts(rows.iter().map(|r| Some(&r.next_step)))),
            ("aircraft", who.aircraft()),
            ("use", who.usage()),
            ("base", who.base()),
        ],
    )
}
