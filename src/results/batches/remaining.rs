//! `remaining` and `outlook`.

use arrow::record_batch::RecordBatch;

use super::arrays;
use super::identity::Identity;
use crate::analysis::margins::model_now;
use crate::analysis::remaining::{OUTLOOK_OVERHAULS, Remaining};
use crate::records::Fleet;
use crate::results::{ResultsError, batch};
use crate::trade::calendar::Day;

/// Rows of `remaining`; `overhaul_date` gives the date of a propeller's k-th overhaul from now.
///
/// # Errors
/// [`ResultsError`] when the columns do not fit the list, which is an error of this program.
pub fn remaining(
    fleet: &Fleet<'_>,
    rows: &[Remaining],
    overhaul_date: impl Fn(u32, u32) -> Option<Day>,
) -> Result<RecordBatch, ResultsError> {
    let who = Identity::of(fleet, rows.iter().map(|r| r.propeller).collect());
    let numbers = |of: &dyn Fn(&Remaining) -> Option<f64>| arrays::maybe_numbers(rows.iter().map(of));
    let quantile = |chance: f64| arrays::maybe_numbers(rows.iter().map(|r| r.quantile(chance).map(f64::from)));
    let at = |r: &Remaining| r.limiting.map(|p| p.margin);
    batch(
        "remaining",
        vec![
            ("propeller", who.serial()),
            ("model", who.model()),
            ("aircraft", who.aircraft()),
            ("overhauls_recorded", arrays::integers(rows.iter().map(|r| Some(r.overhauls_recorded as i32)))),
            ("limiting_blade", arrays::blades(rows.iter().map(|r| at(r).map(|m| i16::from(m.blade))))),
            (
                "limiting_station_pct",
                arrays::maybe_numbers(rows.iter().map(|r| {
                    let margin = at(r)?;
                    let model = fleet.models.get(model_now(fleet, r.propeller)?);
                    model.stations.get(usize::from(margin.station))?.pct
                })),
            ),
            ("limiting_dimension", arrays::texts(rows.iter().map(|r| at(r).map(|m| m.dimension.word())))),
            ("limiting_margin_in", arrays::maybe_numbers(rows.iter().map(|r| r.limiting.map(|p| p.margin_in)))),
            ("expected_loss_in", numbers(&|r| r.limiting?.expected_loss_in)),
            ("reject_chance_next", numbers(&Remaining::reject_chance_next)),
            ("reject_chance_next_any", numbers(&Remaining::reject_chance_next_any)),
            ("remaining_p10", quantile(0.1)),
            ("remaining_p50", quantile(0.5)),
            ("remaining_p90", quantile(0.9)),
            ("remaining_mean", numbers(&Remaining::mean)),
            ("rejection_date", arrays::days(rows.iter().map(|r| overhaul_date(r.propeller, r.rejection_overhaul()?)))),
            ("basis", arrays::texts(rows.iter().map(|r| Some(r.basis())))),
        ],
    )
}

/// Rows of `outlook`; a propeller whose chances are not known has them all null. `overhaul_dates` gives the dates of a
/// propeller's next overhauls, as many as are dated.
///
/// # Errors
/// As [`remaining`].
pub fn outlook(
    fleet: &Fleet<'_>,
    rows: &[&Remaining],
    overhaul_dates: impl Fn(u32) -> Vec<Day>,
) -> Result<RecordBatch, ResultsError> {
    let each = || rows.iter().flat_map(|r| (1..=OUTLOOK_OVERHAULS).map(move |k| (*r, k)));
    let dates = rows.iter().flat_map(|r| {
        let dates = overhaul_dates(r.propeller);
        (0..OUTLOOK_OVERHAULS as usize).map(move |at| dates.get(at).copied())
    });
    let who = Identity::of(fleet, each().map(|(r, _)| r.propeller).collect());
    batch(
        "outlook",
        vec![
            ("propeller", who.serial()),
            ("overhauls_ahead", arrays::integers(each().map(|(_, k)| Some(k as i32)))),
            ("pass_chance", arrays::maybe_numbers(each().map(|(r, k)| r.pass_chance(k)))),
            ("pass_chance_any", arrays::maybe_numbers(each().map(|(r, k)| r.pass_chance_any(k)))),
            ("overhaul_date", arrays::days(dates)),
        ],
    )
}
