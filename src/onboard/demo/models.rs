//! The invented designs: dimensions, limits, intervals and prices.
//!
//! Nothing here is any maker's figure. New dimensions are plausible for their diameter; minimums lie so far below them
//! that about seven overhauls use up the thickness. W74-56 is the W76-60 blade cut at 37 in: its dimensions are those of the
//! longer blade at the same distance from the hub (its lines carried on inward at 20 %), so a W76-60 can be shortened to a
//! W74-58 and still lie within the limits of W74-56.

use crate::trade::calendar::Day;

/// Where the demo's limits are said to come from.
pub(super) const SOURCE: &str = "invented for the demo fleet, no maker's figure";

/// Date of the demo's prices: 2 January 2026.
pub(super) const PRICE_DATE: Day = Day::from_number(20_455);

/// New and smallest dimensions of one station.
#[derive(Debug, Clone, Copy)]
pub(super) struct Station {
    pub pct: f64,
    pub width_new_in: f64,
    pub width_min_in: f64,
    pub thickness_new_in: f64,
    pub thickness_min_in: f64,
}

/// What shop and maker ask for a model, in the fleet's currency, and how many days they take.
#[derive(Debug, Clone, Copy)]
pub(super) struct Prices {
    pub overhaul: f64,
    pub replacement: f64,
    pub rejection: f64,
    pub removal: f64,
    pub overhaul_days: i32,
    pub replacement_days: i32,
}

/// A design of the demo fleet.
#[derive(Debug, Clone, Copy)]
pub(super) struct Design {
    pub model: &'static str,
    pub diameter_in: f64,
    /// Pitch, from which the blade angles of the sheets come.
    pub pitch_in: f64,
    pub blades: i32,
    pub interval_hours: f64,
    pub interval_months: i32,
    pub interval_rule: &'static str,
    pub interval_force: &'static str,
    pub max_rpm: f64,
    pub track_limit_in: f64,
    pub limits_of: Option<&'static str>,
    pub stations: &'static [Station],
    pub prices: Prices,
}

const fn station(
    pct: f64,
    width_new_in: f64,
    width_min_in: f64,
    thickness_new_in: f64,
    thickness_min_in: f64,
) -> Station {
    Station { pct, width_new_in, width_min_in, thickness_new_in, thickness_min_in }
}

const W76: &[Station] = &[
    station(20.0, 4.880, 4.630, 1.310, 1.234),
    station(30.0, 5.410, 5.170, 0.975, 0.903),
    station(45.0, 5.700, 5.475, 0.648, 0.581),
    station(60.0, 5.440, 5.230, 0.476, 0.413),
    station(75.0, 4.830, 4.635, 0.358, 0.297),
    station(90.0, 3.750, 3.560, 0.249, 0.189),
];

const W74: &[Station] = &[
    station(20.0, 4.852, 4.602, 1.328, 1.252),
    station(30.0, 5.368, 5.128, 1.001, 0.929),
    station(45.0, 5.677, 5.452, 0.674, 0.607),
    station(60.0, 5.467, 5.257, 0.494, 0.431),
    station(75.0, 4.910, 4.715, 0.373, 0.312),
    station(90.0, 3.921, 3.731, 0.266, 0.206),
];

const L72: &[Station] = &[
    station(20.0, 4.600, 4.350, 1.220, 1.144),
    station(30.0, 5.080, 4.840, 0.905, 0.833),
    station(45.0, 5.350, 5.125, 0.602, 0.535),
    station(60.0, 5.120, 4.910, 0.441, 0.378),
    station(75.0, 4.550, 4.355, 0.331, 0.270),
    station(90.0, 3.550, 3.360, 0.231, 0.171),
    station(100.0, 2.400, 2.210, 0.160, 0.100),
];

const T70: &[Station] = &[
    station(20.0, 4.350, 4.100, 1.180, 1.104),
    station(30.0, 4.820, 4.580, 0.880, 0.808),
    station(45.0, 5.080, 4.855, 0.585, 0.518),
    station(60.0, 4.850, 4.640, 0.430, 0.367),
    station(75.0, 4.300, 4.105, 0.322, 0.261),
    station(90.0, 3.350, 3.160, 0.225, 0.165),
];

const TWO_BLADES: Prices = Prices {
    overhaul: 1_150.0,
    replacement: 4_600.0,
    rejection: 260.0,
    removal: 320.0,
    overhaul_days: 35,
    replacement_days: 120,
};

const SHORTER: Prices = Prices { overhaul: 1_100.0, replacement: 4_350.0, ..TWO_BLADES };

const SHORTEST: Prices = Prices { overhaul: 1_040.0, replacement: 3_950.0, replacement_days: 90, ..TWO_BLADES };

const THREE_BLADES: Prices = Prices {
    overhaul: 1_680.0,
    replacement: 7_900.0,
    rejection: 340.0,
    removal: 380.0,
    overhaul_days: 42,
    replacement_days: 180,
};

/// Everything the designs share; each states what differs.
const BASIC: Design = Design {
    model: "W76-60",
    diameter_in: 76.0,
    pitch_in: 60.0,
    blades: 2,
    interval_hours: 2_000.0,
    interval_months: 72,
    interval_rule: "same_day",
    interval_force: "recommended",
    max_rpm: 2_700.0,
    track_limit_in: 0.062,
    limits_of: None,
    stations: W76,
    prices: TWO_BLADES,
};

/// The designs: four blades of their own and two that share the limits of another.
pub(super) static DESIGNS: [Design; 6] = [
    Design { interval_force: "binding", ..BASIC },
    Design { model: "W76-58", pitch_in: 58.0, interval_force: "binding", limits_of: Some("W76-60"), ..BASIC },
    Design {
        model: "W74-56",
        diameter_in: 74.0,
        pitch_in: 56.0,
        interval_rule: "month_end",
        stations: W74,
        prices: SHORTER,
        ..BASIC
    },
    Design {
        model: "W74-58",
        diameter_in: 74.0,
        pitch_in: 58.0,
        interval_rule: "month_end",
        limits_of: Some("W74-56"),
        stations: W74,
        prices: SHORTER,
        ..BASIC
    },
    Design { model: "L72-48", diameter_in: 72.0, pitch_in: 48.0, stations: L72, prices: SHORTEST, ..BASIC },
    Design {
        model: "T70-54",
        diameter_in: 70.0,
        pitch_in: 54.0,
        blades: 3,
        interval_hours: 2_400.0,
        stations: T70,
        prices: THREE_BLADES,
        ..BASIC
    },
];

/// Place of W76-60 in [`DESIGNS`].
pub(super) const W76_60: usize = 0;
/// Place of W76-58 in [`DESIGNS`]: a re-pitched W76-60.
pub(super) const W76_58: usize = 1;
/// Place of W74-56 in [`DESIGNS`].
pub(super) const W74_56: usize = 2;
/// Place of W74-58 in [`DESIGNS`]: a shortened and re-pitched W76-60.
pub(super) const W74_58: usize = 3;
/// Place of L72-48 in [`DESIGNS`].
pub(super) const L72_48: usize = 4;
/// Place of T70-54 in [`DESIGNS`]: three blades.
pub(super) const T70_54: usize = 5;

impl Design {
    /// Blade angle at a station in degrees: the helix of the nominal pitch.
    pub fn angle_deg(&self, station_pct: f64) -> f64 {
        let radius_in = station_pct / 100.0 * self.diameter_in / 2.0;
        (self.pitch_in / (std::f64::consts::TAU * radius_in)).atan().to_degrees()
    }

    /// Place of the listed station nearest to a percent of the radius.
    pub fn nearest_station(&self, pct: f64) -> usize {
        let distance = |s: &Station| (s.pct - pct).abs();
        let mut nearest = 0;
        for (place, station) in self.stations.iter().enumerate() {
            if distance(station) < distance(&self.stations[nearest]) {
                nearest = place;
            }
        }
        nearest
    }
}
