//! The dimensions of a propeller's blades: the true ones, and those of its last sheet.

use rand_chacha::ChaCha8Rng;

use super::draws::normal;
use super::models::Design;
use crate::trade::damage::Surface;
use crate::trade::field_repair::{takes_thickness, takes_width};

/// Width and thickness of every blade and station, blade after blade, in inches.
#[derive(Debug, Clone)]
pub(super) struct Metal {
    pub stations: usize,
    pub width_in: Vec<f64>,
    pub thickness_in: Vec<f64>,
}

/// One blade and station.
#[derive(Debug, Clone, Copy)]
pub(super) struct Point {
    /// Counted from 1.
    pub blade: i32,
    /// Place of the station in the design's list.
    pub station: usize,
    /// Place in the columns of [`Metal`].
    pub place: usize,
}

/// Every blade and station of a design.
pub(super) fn points(design: &Design) -> impl Iterator<Item = Point> + use<> {
    let stations = design.stations.len();
    (1..=design.blades).flat_map(move |blade| {
        (0..stations).map(move |station| Point { blade, station, place: (blade as usize - 1) * stations + station })
    })
}

impl Metal {
    /// The new dimensions of the drawing.
    pub fn drawing(design: &Design) -> Metal {
        let all = |value: fn(&super::models::Station) -> f64| {
            points(design).map(|p| value(&design.stations[p.station])).collect()
        };
        Metal {
            stations: design.stations.len(),
            width_in: all(|s| s.width_new_in),
            thickness_in: all(|s| s.thickness_new_in),
        }
    }

    /// A blade as the maker delivers it: within his tolerance of the drawing (invented: 0.0015 in of thickness, 0.004 in of
    /// width, never more than three times that).
    pub fn made(design: &Design, rng: &mut ChaCha8Rng) -> Metal {
        let mut metal = Metal::drawing(design);
        for value in &mut metal.thickness_in {
            *value += 0.0015 * normal(rng, 0.0, 1.0).clamp(-3.0, 3.0);
        }
        for value in &mut metal.width_in {
            *value += 0.004 * normal(rng, 0.0, 1.0).clamp(-3.0, 3.0);
        }
        metal
    }

    /// Takes a blend's depth off at the nearest listed station of a blade: edges and the tip cost width, face and
    /// camber thickness.
    pub fn dress(&mut self, blade: i32, station: usize, surface: Surface, depth_in: f64) {
        let place = (blade as usize - 1) * self.stations + station;
        if takes_width(Some(surface)) {
            self.width_in[place] -= depth_in;
        }
        if takes_thickness(Some(surface)) {
            self.thickness_in[place] -= depth_in;
        }
    }

    /// Smallest margin above the minimum at a blade and station that a blend on this surface would take from, in inches;
    /// `None` where a blend takes neither dimension.
    pub fn margin_in(&self, design: &Design, blade: i32, station: usize, surface: Surface) -> Option<f64> {
        let place = (blade as usize - 1) * self.stations + station;
        let limit = &design.stations[station];
        let width = self.width_in[place] - limit.width_min_in;
        let thickness = self.thickness_in[place] - limit.thickness_min_in;
        match (takes_width(Some(surface)), takes_thickness(Some(surface))) {
            (true, true) => Some(width.min(thickness)),
            (true, false) => Some(width),
            (false, true) => Some(thickness),
            (false, false) => None,
        }
    }

    /// Whether any dimension lies below its minimum.
    pub fn below_minimum(&self, design: &Design) -> bool {
        points(design).any(|p| {
            let limit = &design.stations[p.station];
            self.width_in[p.place] < limit.width_min_in || self.thickness_in[p.place] < limit.thickness_min_in
        })
    }
}
