//! The margins of a whole fleet, worked out once and kept in few bytes: a large fleet has millions.

use std::ops::Range;

use rayon::prelude::*;

use super::dressed::fraction_left;
use super::{Basis, DiameterLeft, Left, Margin, MarginReader, model_now};
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
    /// What few rows have, in their order.
    more: Vec<More>,
    diameters: Vec<Option<DiameterLeft>>,
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

/// What was dressed at a place, or the variance of the loss carried forward there.
#[derive(Clone, Copy, PartialEq)]
struct More {
    row: usize,
    dressed_since_in: f64,
    dressed_from: Option<Day>,
    least_at_in: Option<f64>,
    margin_worst_in: Option<f64>,
    expected_in: Option<f64>,
    carried_variance_in2: f64,
    held_low: bool,
    blended_in: [f64; 2],
    beside: Option<Left>,
}

impl More {
    /// Of a margin of which nothing was dressed or carried forward.
    fn none(row: usize, value_in: Option<f64>, margin_in: Option<f64>) -> More {
        More {
            row,
            dressed_since_in: 0.0,
            dressed_from: None,
            least_at_in: None,
            margin_worst_in: margin_in,
            expected_in: value_in,
            carried_variance_in2: 0.0,
            held_low: false,
            blended_in: [0.0; 2],
            beside: None,
        }
    }
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

    /// The diameter of one propeller; `None` without any on record.
    pub fn diameter(&self, propeller: u32) -> Option<DiameterLeft> {
        let part = self.parts.get((propeller / PROPELLERS_IN_A_PART) as usize)?;
        *part.diameters.get((propeller % PROPELLERS_IN_A_PART) as usize)?
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
        let count = propellers.len();
        let (ends, diameters) = (Vec::with_capacity(count), Vec::with_capacity(count));
        let mut part = Part { rows: Vec::new(), ends, more: Vec::new(), diameters };
        let mut margins = Vec::new();
        for propeller in propellers {
            margins.clear();
            reader.read_into(propeller, &mut margins);
            for margin in &margins {
                part.keep(margin);
            }
            part.ends.push(part.rows.len());
            part.diameters.push(reader.diameter(propeller));
        }
        part.rows.shrink_to_fit();
        part.more.shrink_to_fit();
        part
    }

    fn keep(&mut self, margin: &Margin) {
        let more = More {
            row: self.rows.len(),
            dressed_since_in: margin.dressed_since_in,
            dressed_from: margin.dressed_from,
            least_at_in: margin.least_at_in,
            margin_worst_in: margin.margin_worst_in,
            expected_in: margin.expected_in,
            carried_variance_in2: margin.carried_variance_in2,
            held_low: margin.held_low,
            blended_in: margin.blended_in,
            beside: margin.beside,
        };
        if more != More::none(more.row, margin.value_in, margin.margin_in) {
            self.more.push(more);
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
        let mut more = self.more[self.more.partition_point(|more| more.row < from)..].iter().peekable();
        margins.extend((from..to).zip(&self.rows[from..to]).map(|(row, kept)| {
            let limits = model.stations[usize::from(kept.station)].limits(kept.dimension);
            let (value_in, margin_in) = (known(kept.value_in), known(kept.margin_in));
            let more = more.next_if(|more| more.row == row).copied().unwrap_or(More::none(row, value_in, margin_in));
            Margin {
                propeller,
                blade: kept.blade,
                station: kept.station,
                dimension: kept.dimension,
                last_measured: (kept.last_measured != NO_DAY).then_some(kept.last_measured),
                value_in,
                minimum_in: limits.min_in,
                dressed_since_in: more.dressed_since_in,
                dressed_from: more.dressed_from,
                least_at_in: more.least_at_in,
                margin_in,
                margin_worst_in: more.margin_worst_in,
                margin_fraction: fraction_left(margin_in, limits),
                expected_in: more.expected_in,
                carried_variance_in2: more.carried_variance_in2,
                held_low: more.held_low,
                blended_in: more.blended_in,
                basis: kept.basis,
                beside: more.beside,
            }
        }));
    }
}
