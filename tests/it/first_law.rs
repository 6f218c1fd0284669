//! The first law of the records: a missing or unreadable record never makes a propeller look safer.

mod blends;
mod carried_forward;
mod every_cell;
mod law;
mod lost_readings;
mod models;
mod nobody;
mod places;
mod spoiled_rows;
mod words_left_out;

use crate::fleet_folder::{FleetFolder, as_of};
use bladewane::analysis::margins::{Margin, MarginReader};
use bladewane::analysis::survey::Survey;
use bladewane::records::Fleet;
use bladewane::settings::Settings;
use bladewane::trade::geometry::Dimension;

/// The margins of propeller `A1` on 2026-01-01.
fn margins(folder: &FleetFolder) -> Vec<Margin> {
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    margins_of(&fleet, "A1")
}

fn margins_of(fleet: &Fleet<'_>, serial: &str) -> Vec<Margin> {
    let settings = Settings::default();
    let survey = Survey::of(fleet, &settings.forecast);
    let propeller = fleet.propellers.find(serial).expect("a propeller");
    MarginReader::new(fleet, &survey, &settings.screen).of(propeller)
}

/// One of them; stations are numbered from the hub, from 0.
fn at(margins: &[Margin], blade: u8, station: u8, dimension: Dimension) -> Margin {
    let wanted = |m: &&Margin| (m.blade, m.station, m.dimension) == (blade, station, dimension);
    *margins.iter().find(wanted).expect("a margin at this place")
}

#[track_caller]
fn close(actual: Option<f64>, expected: f64) {
    let actual = actual.expect("a number");
    assert!((actual - expected).abs() < 1e-9, "{actual}, expected {expected}");
}

const MEASURED: &str =
    "propeller,overhaul_date,blade,station_pct,width_before_in,width_after_in,thickness_before_in,thickness_after_in\n";
