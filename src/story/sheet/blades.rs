//! The tables of the page: a blade each, a row a station.

use crate::analysis::margins::{Basis, Margin};
use crate::records::models::Model;
use crate::trade::geometry::{Dimension, USUAL_STATIONS_PCT, station_radius_in};

use super::Teller;

/// Blades of a propeller whose count is not on record: most fixed-pitch propellers have two. Common practice, no source.
const USUAL_BLADES: u8 = 2;

/// What is known of one dimension at one station.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Known {
    /// The last after reading, or what is expected of it.
    pub value: String,
    /// Whether the value is expected, not read at the last visit.
    pub is_expected: bool,
    /// The maker's minimum.
    pub minimum: String,
    /// Left above it today.
    pub margin: String,
    /// Whether the margin is used up.
    pub is_below: bool,
}

/// A row of a blade's table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StationRow {
    /// Inches from the hub centre.
    pub inches: String,
    /// Percent of the radius.
    pub pct: String,
    /// Its width.
    pub width: Known,
    /// Its thickness.
    pub thickness: Known,
}

/// The table of one blade.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BladeTable {
    /// Blade, from 1.
    pub blade: u8,
    /// Its stations from the hub outward.
    pub rows: Vec<StationRow>,
}

impl BladeTable {
    /// Whether a figure in it is expected and not read.
    pub fn has_expected(&self) -> bool {
        self.rows.iter().any(|row| row.width.is_expected || row.thickness.is_expected)
    }
}

fn inches(value: Option<f64>) -> String {
    value.map_or_else(|| "not known".to_string(), |v| format!("{v:.3}"))
}

fn place(pct: Option<f64>, station_in: Option<f64>) -> (String, String) {
    let pct = pct.map_or_else(String::new, |p| ((p * 10.0).round() / 10.0).to_string());
    let station_in = station_in.map_or_else(String::new, |v| format!("{v:.2}"));
    (station_in, pct)
}

fn known(margin: Option<&Margin>) -> Known {
    let Some(margin) = margin else {
        return Known::default();
    };
    Known {
        value: inches(margin.value_in),
        is_expected: margin.value_in.is_some() && margin.basis != Basis::Measured,
        minimum: inches(margin.minimum_in),
        margin: inches(margin.margin_in),
        is_below: margin.margin_in.is_some_and(|m| m < 0.0),
    }
}

/// The tables, and what is to be known about their figures.
pub(super) fn tables(teller: &Teller<'_, '_, '_>, model: Option<&Model>) -> (Vec<BladeTable>, Vec<String>) {
    let margins = teller.answers.margins().of(teller.propeller);
    let count = model.and_then(|m| m.blades).unwrap_or(USUAL_BLADES);
    let last = margins.iter().map(|m| m.blade).max().unwrap_or(0);
    let mut about = Vec::new();
    let stations: Vec<(Option<u8>, Option<f64>, Option<f64>)> = match model {
        Some(model) if !model.stations.is_empty() => model
            .stations
            .iter()
            .enumerate()
            .map(|(number, s)| (u8::try_from(number).ok(), s.pct, s.station_in))
            .collect(),
        _ => {
            about.push("The model's stations and limits are not on record; the stations below are the usual ones. The shop's manual decides.".to_string());
            let diameter = model.and_then(|m| m.diameter_in);
            USUAL_STATIONS_PCT
                .iter()
                .map(|&pct| (None, Some(pct), diameter.map(|d| station_radius_in(pct, d))))
                .collect()
        }
    };
    if model.is_none_or(|m| m.blades.is_none()) {
        about.push("How many blades the model has is not on record.".to_string());
    }
    let tables = (1..=count.max(last))
        .map(|blade| BladeTable {
            blade,
            rows: stations
                .iter()
                .map(|&(number, pct, station_in)| {
                    let of = |dimension: Dimension| {
                        known(
                            margins
                                .iter()
                                .find(|m| m.blade == blade && Some(m.station) == number && m.dimension == dimension),
                        )
                    };
                    let (inches, pct) = place(pct, station_in);
                    StationRow { inches, pct, width: of(Dimension::Width), thickness: of(Dimension::Thickness) }
                })
                .collect(),
        })
        .collect();
    (tables, about)
}

/// The places that are below their minimum today, in a sentence; `None` when there are none.
pub(super) fn below(tables: &[BladeTable]) -> Option<String> {
    let mut places = Vec::new();
    for table in tables {
        for row in &table.rows {
            for (known, word) in [(&row.width, "width"), (&row.thickness, "thickness")] {
                if known.is_below {
                    let at = match row.pct.as_str() {
                        "" => format!("{} in", row.inches),
                        pct => format!("{pct} %"),
                    };
                    places.push(format!("blade {} {word} at {at}", table.blade));
                }
            }
        }
    }
    match places.is_empty() {
        true => None,
        false => Some(format!("Below the minimum today: {}.", places.join(", "))),
    }
}
