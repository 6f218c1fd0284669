//! `cycles`, `fits` and `backtest`.

use arrow::record_batch::RecordBatch;

use super::arrays;
use crate::analysis::forecast::{Estimate, Fit, Fits};
use crate::analysis::score::Score;
use crate::records::Fleet;
use crate::results::{ResultsError, batch};
use crate::trade::geometry::Dimension;

/// Rows of `cycles` of some propellers, by propeller, date and dimension.
///
/// # Errors
/// [`ResultsError`] when the columns do not fit the list, which is an error of this program.
pub fn cycles(
    fleet: &Fleet<'_>,
    fits: &Fits,
    propellers: std::ops::Range<u32>,
    shows: impl Fn(u32) -> bool,
) -> Result<RecordBatch, ResultsError> {
    let of = |d: Dimension| {
        let list = fits.cycles.of_propellers(d, propellers.clone());
        list.iter().map(move |cycle| (cycle, d))
    };
    let mut rows: Vec<_> =
        Dimension::ALL.into_iter().flat_map(of).filter(|(cycle, _)| shows(cycle.propeller)).collect();
    // Visits are numbered by propeller and date.
    rows.sort_by_key(|(cycle, dimension)| (cycle.visit, *dimension as u8));
    let serials: Vec<u32> = rows.iter().map(|(cycle, _)| cycle.propeller).collect();
    let numbers = |of: &dyn Fn(&(_, Dimension)) -> f64| arrays::maybe_numbers(rows.iter().map(|row| Some(of(row))));
    batch(
        "cycles",
        vec![
            ("propeller", arrays::texts_by_number(&serials, |p| fleet.propellers.serial(p))),
            ("overhaul_date", arrays::days(rows.iter().map(|(cycle, _)| Some(fleet.visits.get(cycle.visit).day)))),
            ("dimension", arrays::texts(rows.iter().map(|(_, d)| Some(d.word())))),
            ("mean_loss_in", numbers(&|(cycle, _)| cycle.lost_in())),
            ("blended_in", numbers(&|(cycle, _)| cycle.blended_in)),
            ("overhauls_spanned", arrays::integers(rows.iter().map(|(c, _)| Some(i32::from(c.spanned))))),
            ("from_drawing", arrays::yes_no(rows.iter().map(|(c, _)| Some(c.from_drawing)))),
            ("readings", arrays::integers(rows.iter().map(|(c, _)| Some(i32::from(c.readings))))),
            ("weight", numbers(&|(cycle, dimension)| fits.weight(fleet, *dimension, cycle))),
        ],
    )
}

/// Rows of `fits`: the fleet first, then models, width before thickness.
///
/// # Errors
/// As [`cycles`].
pub fn fits(fits: &Fits) -> Result<RecordBatch, ResultsError> {
    let mut rows: Vec<&Fit> = fits.pools.iter().flatten().collect();
    rows.sort_by_key(|fit| (fit.model, fit.dimension as u8));
    let numbers = |of: &dyn Fn(&Fit) -> Option<f64>| arrays::maybe_numbers(rows.iter().map(|fit| of(fit)));
    // Without a fit there is no spread to report, and none is put in its place.
    let fitted = |fit: &Fit, value: f64| (fit.estimate == Estimate::Fitted).then_some(value);
    // Without any blend on record there is nothing to be felt.
    let felt = |fit: &Fit, which: usize| fits.to_come.as_ref().map(|_| fits.cycles.felt[fit.dimension as usize][which]);
    batch(
        "fits",
        vec![
            ("pool", arrays::texts(rows.iter().map(|f| Some(&f.name)))),
            ("dimension", arrays::texts(rows.iter().map(|f| Some(f.dimension.word())))),
            ("mean_loss_in", numbers(&Fit::mean_loss_in)),
            ("between_sd_in", numbers(&|f| Some(f.reml.as_ref()?.between_variance.sqrt()))),
            ("within_sd_in", numbers(&|f| Some(f.reml.as_ref()?.within_variance.sqrt()))),
            ("station_sd_in", numbers(&|f| fitted(f, f.own.per_cycle.sqrt()))),
            ("gauge_sd_in", numbers(&|f| fitted(f, f.own.reading.sqrt()))),
            ("lasting_sd_in", numbers(&|f| fitted(f, f.own.lasting.sqrt()))),
            ("first_cycle_shift_in", numbers(&|f| f.first.map(|first| first.shift_in))),
            ("slope_in", numbers(&|f| f.growth.measured.map(|m| m.slope))),
            ("slope_se_in", numbers(&|f| f.growth.measured.and_then(|m| m.standard_error()))),
            ("slope_used_in", numbers(&|f| fitted(f, f.growth.rise.mean))),
            ("blend_felt", numbers(&|f| Some(felt(f, 0)?.mean))),
            ("blend_felt_sd", numbers(&|f| Some(felt(f, 0)?.sd))),
            ("blend_felt_far", numbers(&|f| Some(felt(f, 1)?.mean))),
            ("blend_felt_far_sd", numbers(&|f| Some(felt(f, 1)?.sd))),
            ("held_to_raw_in", numbers(&|f| felt(f, 0).map(|_| f.held_in()))),
            ("cycles", arrays::integers(rows.iter().map(|f| Some(f.cycles as i32)))),
            ("propellers", arrays::integers(rows.iter().map(|f| Some(f.propellers as i32)))),
            ("other_chance", numbers(&|_| fits.other_chance)),
            ("correlation", numbers(&|f| f.correlation)),
        ],
    )
}

/// Rows of `backtest`.
///
/// # Errors
/// As [`cycles`].
pub fn backtest(scores: &[Score]) -> Result<RecordBatch, ResultsError> {
    let numbers = |of: &dyn Fn(&Score) -> Option<f64>| arrays::maybe_numbers(scores.iter().map(of));
    batch(
        "backtest",
        vec![
            ("kind", arrays::texts(scores.iter().map(|s| Some(s.kind.words())))),
            ("group", arrays::texts(scores.iter().map(|s| Some(&s.group)))),
            ("level", numbers(&|s| s.level)),
            ("count", arrays::integers(scores.iter().map(|s| Some(s.count as i32)))),
            ("expected", numbers(&|s| s.expected)),
            ("expected_sd", numbers(&|s| s.expected_sd)),
            ("observed", numbers(&|s| s.observed)),
        ],
    )
}
