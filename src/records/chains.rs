//! What the previous reading of the same blade, station and dimension was.

use super::measurements::{Measurements, Moment};
use super::visits::Visit;
use crate::trade::geometry::Dimension;

/// The last reading before a visit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Previous {
    /// The dimension as the propeller left that visit, in inches.
    pub after_in: f64,
    /// Number of that visit within the propeller's visits, from 1.
    pub visit_no: u32,
    /// Number of overhauls up to and with that visit.
    pub overhaul_no: u32,
}

/// Walks one propeller's visits and knows, at each measurement, the reading before it.
///
/// A change of model ends every chain: percent stations have moved, and no loss is computed across it.
#[derive(Debug, Default)]
pub struct Chains {
    /// By blade, station and dimension.
    last: Vec<[Option<Previous>; 2]>,
    /// Visits begun, the present one included.
    pub visit_no: u32,
    /// Overhauls begun, the present one included.
    pub overhaul_no: u32,
    /// Whether a change of model has ended the chains that began at the propeller's first day.
    pub broken: bool,
}

const STATIONS: usize = 256;

impl Chains {
    /// Forgets everything: the next visit is another propeller's first.
    pub fn start(&mut self) {
        self.last.fill([None; 2]);
        self.visit_no = 0;
        self.overhaul_no = 0;
        self.broken = false;
    }

    /// Begins a visit.
    pub fn begin(&mut self, visit: &Visit) {
        self.visit_no += 1;
        self.overhaul_no += u32::from(visit.is_overhaul());
        if visit.changes_model {
            self.last.fill([None; 2]);
            self.broken = true;
        }
    }

    fn slot(blade: u8, station: u8) -> usize {
        usize::from(blade) * STATIONS + usize::from(station)
    }

    /// The reading before, of a blade, station and dimension.
    pub fn previous(&self, blade: u8, station: u8, dimension: Dimension) -> Option<Previous> {
        self.last.get(Self::slot(blade, station)).and_then(|of| of[dimension as usize])
    }

    /// Remembers what a measurement of the present visit leaves behind.
    pub fn remember(&mut self, measurements: &Measurements<'_>, position: usize) {
        let slot = Self::slot(measurements.blade(position), measurements.station(position));
        if slot >= self.last.len() {
            self.last.resize(slot + 1, [None; 2]);
        }
        for dimension in Dimension::ALL {
            let after_in = measurements.raw_reading(dimension, Moment::After, position);
            if !after_in.is_nan() {
                self.last[slot][dimension as usize] =
                    Some(Previous { after_in, visit_no: self.visit_no, overhaul_no: self.overhaul_no });
            }
        }
    }
}
