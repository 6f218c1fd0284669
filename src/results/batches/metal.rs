//! `loss`, `blades` and `margins`.

use std::sync::Arc;

use arrow::array::{ArrayRef, BooleanArray, Date32Array, Int16Array, Int32Array};
use arrow::record_batch::RecordBatch;

use super::arrays;
use crate::analysis::loss::{DimensionLoss, Loss, NOT_KNOWN};
use crate::analysis::margins::{Margin, model_now};
use crate::records::Fleet;
use crate::results::{ResultsError, batch};

/// Rows of `loss`.
///
/// # Errors
/// [`ResultsError`] when the columns do not fit the list, which is an error of this program.
pub fn loss(fleet: &Fleet<'_>, loss: Loss) -> Result<RecordBatch, ResultsError> {
    let [thickness, width] = [loss.thickness, loss.width].map(dimension);
    let [t0, t1, t2, t3, t4, t5, t6, t7, t8] = thickness;
    let [w0, w1, w2, w3, w4, w5, w6, w7, w8] = width;
    batch(
        "loss",
        vec![
            ("propeller", arrays::texts_by_number(&loss.propeller, |p| fleet.propellers.serial(p))),
            ("overhaul_date", Arc::new(Date32Array::from(loss.overhaul_date))),
            ("blade", Arc::new(Int16Array::from(loss.blade))),
            ("station_pct", arrays::numbers(loss.station_pct)),
            ("visit_no", Arc::new(Int32Array::from(loss.visit_no))),
            ("overhaul_no", arrays::counts_from_one(loss.overhaul_no)),
            ("station_in", arrays::numbers(loss.station_in)),
            ("thickness_before_in", t0),
            ("thickness_after_in", t1),
            ("thickness_removed_in", t2),
            ("thickness_service_loss_in", t3),
            ("thickness_loss_in", t4),
            ("thickness_visits_spanned", t5),
            ("thickness_from_drawing", t6),
            ("thickness_margin_in", t7),
            ("thickness_margin_fraction", t8),
            ("width_before_in", w0),
            ("width_after_in", w1),
            ("width_removed_in", w2),
            ("width_service_loss_in", w3),
            ("width_loss_in", w4),
            ("width_visits_spanned", w5),
            ("width_from_drawing", w6),
            ("width_margin_in", w7),
            ("width_margin_fraction", w8),
            ("section_modulus_retained", arrays::numbers(loss.section_modulus_retained)),
        ],
    )
}

fn dimension(columns: DimensionLoss) -> [ArrayRef; 9] {
    let from_drawing: BooleanArray = columns.from_drawing.iter().map(|&c| (c != NOT_KNOWN).then_some(c == 1)).collect();
    [
        arrays::numbers(columns.before_in),
        arrays::numbers(columns.after_in),
        arrays::numbers(columns.removed_in),
        arrays::numbers(columns.service_loss_in),
        arrays::numbers(columns.loss_in),
        arrays::counts_from_one(columns.visits_spanned),
        Arc::new(from_drawing),
        arrays::numbers(columns.margin_in),
        arrays::numbers(columns.margin_fraction),
    ]
}

/// Rows of `blades`: every model's stations and limits.
///
/// # Errors
/// As [`loss`].
pub fn blades(fleet: &Fleet<'_>) -> Result<RecordBatch, ResultsError> {
    let rows: Vec<_> = fleet.models.list().iter().flat_map(|m| m.stations.iter().map(move |s| (m, s))).collect();
    batch(
        "blades",
        vec![
            ("model", arrays::texts(rows.iter().map(|(m, _)| Some(m.name.as_str())))),
            ("station_pct", arrays::maybe_numbers(rows.iter().map(|(_, s)| s.pct))),
            ("station_in", arrays::maybe_numbers(rows.iter().map(|(_, s)| s.station_in))),
            ("width_new_in", arrays::maybe_numbers(rows.iter().map(|(_, s)| s.width.new_in))),
            ("width_min_in", arrays::maybe_numbers(rows.iter().map(|(_, s)| s.width.min_in))),
            ("thickness_new_in", arrays::maybe_numbers(rows.iter().map(|(_, s)| s.thickness.new_in))),
            ("thickness_min_in", arrays::maybe_numbers(rows.iter().map(|(_, s)| s.thickness.min_in))),
        ],
    )
}

/// Rows of `margins`.
///
/// # Errors
/// As [`loss`].
pub fn margins(fleet: &Fleet<'_>, margins: &[Margin]) -> Result<RecordBatch, ResultsError> {
    let serials: Vec<u32> = margins.iter().map(|m| m.propeller).collect();
    let station = |m: &Margin| {
        model_now(fleet, m.propeller).and_then(|number| fleet.models.get(number).stations.get(usize::from(m.station)))
    };
    batch(
        "margins",
        vec![
            ("propeller", arrays::texts_by_number(&serials, |p| fleet.propellers.serial(p))),
            ("blade", arrays::blades(margins.iter().map(|m| Some(i16::from(m.blade))))),
            ("station_pct", arrays::maybe_numbers(margins.iter().map(|m| station(m)?.pct))),
            ("dimension", arrays::texts(margins.iter().map(|m| Some(m.dimension.word())))),
            ("last_measured_date", arrays::days(margins.iter().map(|m| m.last_measured))),
            ("value_in", arrays::maybe_numbers(margins.iter().map(|m| m.value_in))),
            ("minimum_in", arrays::maybe_numbers(margins.iter().map(|m| m.minimum_in))),
            ("dressed_since_in", arrays::maybe_numbers(margins.iter().map(|m| Some(m.dressed_since_in)))),
            ("margin_in", arrays::maybe_numbers(margins.iter().map(|m| m.margin_in))),
            ("margin_worst_in", arrays::maybe_numbers(margins.iter().map(|m| m.margin_worst_in))),
            ("margin_fraction", arrays::maybe_numbers(margins.iter().map(|m| m.margin_fraction))),
            ("least_at_in", arrays::maybe_numbers(margins.iter().map(|m| m.least_at_in))),
            ("basis", arrays::texts(margins.iter().map(|m| Some(m.basis.words())))),
        ],
    )
}
