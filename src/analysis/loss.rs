//! Material loss: what each visit removed, what service took since the visit before, and what is left.
//!
//! For one blade, station and dimension with visits c = 1..n in date order: removed = before_c - after_c; lost in service =
//! after_(c-1) - before_c; loss of the visit = after_(c-1) - after_c, the sum of the two. Lengths in inches.

use crate::records::Fleet;
use crate::records::chains::Chains;
use crate::records::choice::Acquired;
use crate::records::measurements::Moment;
use crate::records::visits::Visit;
use crate::trade::geometry::Dimension;

/// A number or "not recorded" (`NaN`), in columns that are passed over by the million.
pub type Inches = f64;

/// One dimension's columns of [`Loss`]. `NaN`, 0 and [`NOT_KNOWN`] stand for nothing recorded.
#[derive(Debug, Default, Clone)]
pub struct DimensionLoss {
    /// As it came in.
    pub before_in: Vec<Inches>,
    /// As it left.
    pub after_in: Vec<Inches>,
    /// Removed at the visit.
    pub removed_in: Vec<Inches>,
    /// Lost in service since the reading before.
    pub service_loss_in: Vec<Inches>,
    /// Lost since the reading before, the visit included.
    pub loss_in: Vec<Inches>,
    /// Visits the loss spans; 0 when there is none.
    pub visits_spanned: Vec<i32>,
    /// Whether the loss starts at the new dimension: 1 yes, 0 no, [`NOT_KNOWN`] without a loss.
    pub from_drawing: Vec<u8>,
    /// Left above the minimum.
    pub margin_in: Vec<Inches>,
    /// Left above the minimum, of what a new blade has.
    pub margin_fraction: Vec<f64>,
}

/// The cell of [`DimensionLoss::from_drawing`] where there is no loss.
pub const NOT_KNOWN: u8 = 2;

/// Rows of the loss table: one a propeller, visit, blade and station, in that order.
#[derive(Debug, Default, Clone)]
pub struct Loss {
    /// Index of the propeller.
    pub propeller: Vec<u32>,
    /// Day of the visit, as days since 1970-01-01.
    pub overhaul_date: Vec<i32>,
    /// Blade, from 1.
    pub blade: Vec<i16>,
    /// Station in percent of the radius; `NaN` when not known.
    pub station_pct: Vec<f64>,
    /// Number of the visit.
    pub visit_no: Vec<i32>,
    /// Number of the overhaul; 0 when the visit is none.
    pub overhaul_no: Vec<i32>,
    /// Station in inches from the hub centre; `NaN` when not known.
    pub station_in: Vec<f64>,
    /// Thickness.
    pub thickness: DimensionLoss,
    /// Width.
    pub width: DimensionLoss,
    /// (width / new width) (thickness / new thickness)^2; `NaN` when not known.
    pub section_modulus_retained: Vec<f64>,
}

/// Rounds to 1e-9 in, far below any gauge, so that 0.352 - 0.344 reads 0.008 and equal losses are equal numbers.
///
/// Adding and taking away 1.5 x 2^52 rounds to the nearest whole number in two additions; it holds for lengths up to two
/// million inches, and `NaN` stays `NaN`.
#[inline]
pub fn round_to_nano(value: f64) -> f64 {
    const WHOLE: f64 = 6_755_399_441_055_744.0;
    ((value * 1e9 + WHOLE) - WHOLE) / 1e9
}

/// The rows of some propellers, in the order given.
pub fn of_propellers(fleet: &Fleet<'_>, propellers: impl Iterator<Item = u32> + Clone) -> Loss {
    let mut loss = Loss::default();
    let mut chains = Chains::default();
    let rows: usize = propellers
        .clone()
        .map(|p| fleet.visits.range(p).map(|v| fleet.measurements.range(v).len()).sum::<usize>())
        .sum();
    loss.reserve(rows);
    for propeller in propellers {
        of_propeller(fleet, propeller, &mut chains, &mut loss);
    }
    loss
}

impl Loss {
    fn reserve(&mut self, rows: usize) {
        self.propeller.reserve(rows);
        self.overhaul_date.reserve(rows);
        self.blade.reserve(rows);
        self.station_pct.reserve(rows);
        self.visit_no.reserve(rows);
        self.overhaul_no.reserve(rows);
        self.station_in.reserve(rows);
        self.section_modulus_retained.reserve(rows);
        for dimension in [&mut self.thickness, &mut self.width] {
            for column in [
                &mut dimension.before_in,
                &mut dimension.after_in,
                &mut dimension.removed_in,
                &mut dimension.service_loss_in,
                &mut dimension.loss_in,
                &mut dimension.margin_in,
                &mut dimension.margin_fraction,
            ] {
                column.reserve(rows);
            }
            dimension.visits_spanned.reserve(rows);
            dimension.from_drawing.reserve(rows);
        }
    }
}

/// The loss of one reading against the one before it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// The dimension before: the last after reading, or the new dimension.
    pub start_in: f64,
    /// Visits from there to here.
    pub visits_spanned: u32,
    /// Overhauls from there to here.
    pub overhauls_spanned: u32,
    /// Whether it starts at the new dimension.
    pub from_drawing: bool,
}

/// Where the loss of a reading at this visit starts; `None` when nothing is known before it.
pub fn step(
    fleet: &Fleet<'_>,
    visit: &Visit,
    chains: &Chains,
    blade: u8,
    station: u8,
    dimension: Dimension,
) -> Option<Step> {
    if visit.changes_model {
        return None;
    }
    if let Some(previous) = chains.previous(blade, station, dimension) {
        return Some(Step {
            start_in: previous.after_in,
            visits_spanned: chains.visit_no - previous.visit_no,
            overhauls_spanned: chains.overhaul_no - previous.overhaul_no,
            from_drawing: false,
        });
    }
    let new = fleet.propellers.get(visit.propeller).acquired == Acquired::New;
    if !new || chains.broken {
        return None;
    }
    let station = fleet.models.get(visit.model?).stations.get(usize::from(station))?;
    Some(Step {
        start_in: station.limits(dimension).new_in?,
        visits_spanned: chains.visit_no,
        overhauls_spanned: chains.overhaul_no,
        from_drawing: true,
    })
}

fn of_propeller(fleet: &Fleet<'_>, propeller: u32, chains: &mut Chains, out: &mut Loss) {
    let measurements = &fleet.measurements;
    chains.start();
    for number in fleet.visits.range(propeller) {
        let visit = fleet.visits.get(number);
        chains.begin(visit);
        let model = visit.model.map(|m| fleet.models.get(m));
        for position in measurements.range(number) {
            let blade = measurements.blade(position);
            let station_no = measurements.station(position);
            let station = model.and_then(|m| m.stations.get(usize::from(station_no)));
            let (pct, inches) = match station {
                Some(station) => (station.pct, station.station_in),
                None => measurements.place(position),
            };
            out.propeller.push(propeller);
            out.overhaul_date.push(visit.day.number());
            out.blade.push(i16::from(blade));
            out.station_pct.push(pct.unwrap_or(f64::NAN));
            out.visit_no.push(chains.visit_no as i32);
            out.overhaul_no.push(if visit.is_overhaul() { chains.overhaul_no as i32 } else { 0 });
            out.station_in.push(inches.map_or(f64::NAN, round_to_nano));
            let mut modulus = 1.0;
            for dimension in Dimension::ALL {
                let before = measurements.raw_reading(dimension, Moment::Before, position);
                let after = measurements.raw_reading(dimension, Moment::After, position);
                let step = step(fleet, visit, chains, blade, station_no, dimension);
                let start = step.map_or(f64::NAN, |s| s.start_in);
                let limits = station.map(|s| s.limits(dimension)).unwrap_or_default();
                let new = limits.new_in.unwrap_or(f64::NAN);
                let minimum = limits.min_in.unwrap_or(f64::NAN);
                let loss = round_to_nano(start - after);
                let power = match dimension {
                    Dimension::Width => 1,
                    Dimension::Thickness => 2,
                };
                modulus *= (after / new).powi(power);
                let columns = match dimension {
                    Dimension::Width => &mut out.width,
                    Dimension::Thickness => &mut out.thickness,
                };
                columns.before_in.push(before);
                columns.after_in.push(after);
                // Across a change of model before and after lie at different places.
                columns.removed_in.push(if visit.changes_model { f64::NAN } else { round_to_nano(before - after) });
                columns.service_loss_in.push(round_to_nano(start - before));
                columns.loss_in.push(loss);
                let step = step.filter(|_| !loss.is_nan());
                columns.visits_spanned.push(step.map_or(0, |s| s.visits_spanned as i32));
                columns.from_drawing.push(step.map_or(NOT_KNOWN, |s| u8::from(s.from_drawing)));
                columns.margin_in.push(round_to_nano(after - minimum));
                // Where a new blade has nothing to lose there is no share of it.
                columns.margin_fraction.push(if new > minimum {
                    round_to_nano((after - minimum) / (new - minimum))
                } else {
                    f64::NAN
                });
            }
            out.section_modulus_retained.push(round_to_nano(modulus));
        }
        for position in measurements.range(number) {
            chains.remember(measurements, position);
        }
    }
}
