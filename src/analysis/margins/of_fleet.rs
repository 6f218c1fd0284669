//! The margins of a whole fleet, worked out once and kept in few bytes: a large fleet has millions.

use std::ops::Range;

use rayon::prelude::*;

use super::dressed::fraction_left;
use super::{Basis, Margin, MarginReader, model_now};
use crate::analysis::survey::Survey;
use crate::records::Fleet;
use crate::records::models::Model;
use crate::settings::ScreenSettings;
use crate::trade::calendar::Day;
use crate::trade::geometry::Dimension;

/// Propellers in one part: few enough for the threads to share the work evenly, enough that a part by itself costs nothing.
const PROPELLERS_IN_A_PART: u32 = 512;

/// The margins of every propeller, each as [`MarginReader::of`] gives them.
pub struct Margins<'f, 'a> {
    fleet: &'f Fleet<'a>,
    /// Joining the parts would for a while hold every margin twice.
    parts: Vec<Part>,
}

/// The margins of some propellers in a row.
struct Part {
    rows: Vec<Kept>,
    /// For each propeller, where its rows end.
    ends: Vec<usize>,
    /// Of the few rows that have it: the row, metal dressed since, variance of the loss carried forward.
    more: Vec<(usize, f64, f64)>,
}

/// A margin without what its model says and what few margins have; `NaN` for a length that is not known.
struct Kept {
    value_in: f64,
    margin_in: f64,
    last_measured: Day,
    blade: u8,
    station: u8,
    dimension: Dimension,
    basis: Basis,
}

/// Stands for no day; no record reaches it.
const NO_DAY: Day = Day::from_number(i32::MIN);

fn known(length_in: f64) -> Option<f64> {
    (!length_in.is_nan()).then_some(length_in)
}

impl<'f, 'a> Margins<'f, 'a> {
    /// Of a fleet, what its sheets say together, and the screen.
    pub fn of_fleet(fleet: &'f Fleet<'a>, survey: &Survey, screen: &ScreenSettings) -> Self {
        let count = fleet.propellers.len() as u32;
        let part = |part: u32| {
            let from = part * PROPELLERS_IN_A_PART;
            Part::of(MarginReader::new(fleet, survey, screen), from..(from + PROPELLERS_IN_A_PART).min(count))
        };
        Margins { fleet, parts: (0..count.div_ceil(PROPELLERS_IN_A_PART)).into_par_iter().map(part).collect() }
    }

    /// The margins of one propeller, by blade, station and dimension; empty when its model or the model's stations are not
    /// known.
    pub fn of(&self, propeller: u32) -> Vec<Margin> {
        let mut margins = Vec::new();
        self.read_into(propeller, &mut margins);
        margins
    }

    /// As [`Margins::of`], appending.
    pub fn read_into(&self, propeller: u32, margins: &mut Vec<Margin>) {
        let part = self.parts.get((propeller / PROPELLERS_IN_A_PART) as usize);
        if let (Some(part), Some(model)) = (part, model_now(self.fleet, propeller)) {
            part.read_into(propeller, self.fleet.models.get(model), margins);
        }
    }
}

impl Part {
    fn of(mut reader: MarginReader<'_, '_>, propellers: Range<u32>) -> Part {
        let mut part = Part { rows: Vec::new(), ends: Vec::with_capacity(propellers.len()), more: Vec::new() };
        let mut margins = Vec::new();
        for propeller in propellers {
            margins.clear();
            reader.read_into(propeller, &mut margins);
            for margin in &margins {
                part.keep(margin);
            }
            part.ends.push(part.rows.len());
        }
        part.rows.shrink_to_fit();
        part.more.shrink_to_fit();
        part
    }

    fn keep(&mut self, margin: &Margin) {
        if margin.dressed_since_in != 0.0 || margin.carried_variance_in2 != 0.0 {
            self.more.push((self.rows.len(), margin.dressed_since_in, margin.carried_variance_in2));
        }
        self.rows.push(Kept {
            value_in: margin.value_in.unwrap_or(f64::NAN),
            margin_in: margin.margin_in.unwrap_or(f64::NAN),
            last_measured: margin.last_measured.unwrap_or(NO_DAY),
            blade: margin.blade,
            station: margin.station,
            dimension: margin.dimension,
            basis: margin.basis,
        });
    }

    fn read_into(&self, propeller: u32, model: &Model, margins: &mut Vec<Margin>) {
        let at = (propeller % PROPELLERS_IN_A_PART) as usize;
        let end_of = |at: Option<usize>| at.and_then(|at| self.ends.get(at)).copied();
        let from = end_of(at.checked_sub(1)).unwrap_or(0);
        let to = end_of(Some(at)).unwrap_or(from);
        let mut more = self.more[self.more.partition_point(|more| more.0 < from)..].iter().peekable();
        margins.extend((from..to).zip(&self.rows[from..to]).map(|(row, kept)| {
            let limits = model.stations[usize::from(kept.station)].limits(kept.dimension);
            let (dressed_since_in, carried_variance_in2) =
                more.next_if(|more| more.0 == row).map_or((0.0, 0.0), |&(_, dressed, variance)| (dressed, variance));
            let margin_in = known(kept.margin_in);
            Margin {
                propeller,
                blade: kept.blade,
                station: kept.station,
                dimension: kept.dimension,
                last_measured: (kept.last_measured != NO_DAY).then_some(kept.last_measured),
                value_in: known(kept.value_in),
                minimum_in: limits.min_in,
                dressed_since_in,
                margin_in,
                margin_fraction: fraction_left(margin_in, limits),
                carried_variance_in2,
                basis: kept.basis,
            }
        }));
    }
}
