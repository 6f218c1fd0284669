//! Writes small fleets as folders of CSV tables and reads them back as the program does.

use std::fs;
use std::path::Path;

use bladewane::analysis::forecast::Forecaster;
use bladewane::analysis::margins::MarginReader;
use bladewane::analysis::remaining::Remaining;
use bladewane::analysis::standing::is_listed;
use bladewane::analysis::survey::Survey;
use bladewane::records::{Fleet, Loaded, ReadOptions};
use bladewane::settings::Settings;

pub use crate::fleet_folder::day;

/// The tables of a fleet: a header and rows each.
#[derive(Debug, Clone, Default)]
pub struct Tables {
    pub propellers: Vec<String>,
    pub models: Vec<String>,
    pub limits: Vec<String>,
    pub overhauls: Vec<String>,
    pub measurements: Vec<String>,
    pub defects: Vec<String>,
    /// Header of the measurements; inches unless set otherwise.
    pub measurements_header: Option<String>,
}

pub const MEASUREMENTS: &str = "propeller,overhaul_date,blade,station_pct,width_before_in,width_after_in,thickness_before_in,thickness_after_in,painted";

impl Tables {
    /// Writes the tables that have rows into a folder.
    pub fn write(&self, folder: &Path) {
        let measurements = self.measurements_header.as_deref().unwrap_or(MEASUREMENTS);
        for (name, header, rows) in [
            ("propellers", "propeller,model,use,base,acquired,status,end_date", &self.propellers),
            ("models", "model,diameter_in,blades", &self.models),
            ("limits", "model,station_pct,width_new_in,width_min_in,thickness_new_in,thickness_min_in", &self.limits),
            (
                "overhauls",
                "propeller,overhaul_date,work,outcome,reject_reason,shop,hours_since_new,model_after",
                &self.overhauls,
            ),
            ("measurements", measurements, &self.measurements),
            (
                "defects",
                "propeller,found_date,blade,station_pct,surface,kind,depth_in,action,action_date",
                &self.defects,
            ),
        ] {
            if rows.is_empty() {
                continue;
            }
            let mut text = format!("{header}\n");
            for row in rows {
                text.push_str(row);
                text.push('\n');
            }
            fs::write(folder.join(format!("{name}.csv")), text).unwrap();
        }
    }

    /// Reads the tables back.
    pub fn load(&self) -> Loaded {
        let folder = tempfile::tempdir().unwrap();
        self.write(folder.path());
        load(folder.path())
    }
}

/// Reads a fleet folder.
pub fn load(folder: &Path) -> Loaded {
    Loaded::read(folder, &ReadOptions::default(), |_| true, |_| {}).unwrap()
}

/// Every listed propeller with its serial, by the fleet's own fits.
pub fn all_remaining(loaded: &Loaded, as_of: &str) -> Vec<(String, Remaining)> {
    let settings = Settings::default();
    let fleet = Fleet::as_of(loaded, day(as_of), &settings);
    let survey = Survey::of(&fleet, &settings.forecast);
    let mut reader = MarginReader::new(&fleet, &survey, &settings.screen);
    let forecaster = Forecaster::new(&fleet, survey.fits());
    (0..fleet.propellers.len() as u32)
        .filter(|&p| is_listed(&fleet, p))
        .map(|p| {
            let remaining = forecaster.remaining(p, &reader.of(p));
            (fleet.propellers.serial(p).to_string(), remaining)
        })
        .collect()
}
