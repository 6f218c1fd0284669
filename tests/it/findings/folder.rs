//! A small fleet folder, written and read back for each case.

use bladewane::analysis::findings::{Finding, Findings};
use bladewane::analysis::margins::Margins;
use bladewane::analysis::survey::Survey;
use bladewane::records::{Fleet, Loaded, ReadOptions};
use bladewane::settings::Settings;
use bladewane::trade::calendar::Day;

/// One two-bladed model of 76 in. Margins of a new blade: width 0.20, 0.20, 0.16 in, thickness 0.10 in at each station.
const MODELS: &str = "model,diameter_in,blades\nM-76,76,2\n";
const LIMITS: &str = "model,station_pct,width_new_in,width_min_in,thickness_new_in,thickness_min_in\n\
    M-76,60,5.40,5.20,0.480,0.380\nM-76,75,4.80,4.60,0.360,0.260\nM-76,90,3.80,3.64,0.250,0.150\n";

pub const DEFECT_COLUMNS: &str =
    "propeller,found_date,blade,station_pct,surface,kind,depth_in,length_in,width_in,action,action_date,recheck_date";

/// The tables of a fleet: rows without their header.
#[derive(Clone, Debug)]
pub struct Tables {
    pub propellers: Vec<String>,
    pub overhauls: Vec<String>,
    pub measurements: Vec<String>,
    pub hours: Vec<String>,
    pub defect_columns: String,
    pub defects: Vec<String>,
}

impl Tables {
    /// One propeller, P1, new in 2010 and flying.
    pub fn new() -> Tables {
        Tables {
            propellers: vec!["P1,M-76,2010-01-01,new,flying,".into()],
            overhauls: Vec::new(),
            measurements: Vec::new(),
            hours: Vec::new(),
            defect_columns: DEFECT_COLUMNS.into(),
            defects: Vec::new(),
        }
    }

    /// With a report of P1: the row behind the serial.
    pub fn report(mut self, row: &str) -> Tables {
        self.defects.push(format!("P1,{row}"));
        self
    }

    /// With a visit of P1: date, work, outcome.
    pub fn visit(mut self, row: &str) -> Tables {
        self.overhauls.push(format!("P1,{row}"));
        self
    }

    /// With a measurement of P1: date, blade, station, width after, thickness after.
    pub fn measured(mut self, row: &str) -> Tables {
        self.measurements.push(format!("P1,{row}"));
        self
    }

    /// With P1 standing like this: status, end date.
    pub fn status(mut self, row: &str) -> Tables {
        self.propellers[0] = format!("P1,M-76,2010-01-01,new,{row}");
        self
    }

    /// Reads the fleet as of a day and hands it over with its findings.
    pub fn read<R>(&self, as_of: &str, look: impl FnOnce(&Fleet<'_>, &Findings) -> R) -> R {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let write = |name: &str, text: String| {
            std::fs::write(folder.path().join(name), text).expect("a temporary file");
        };
        let table = |header: &str, rows: &[String]| format!("{header}\n{}\n", rows.join("\n"));
        write("models.csv", MODELS.into());
        write("limits.csv", LIMITS.into());
        write("propellers.csv", table("propeller,model,in_service_date,acquired,status,end_date", &self.propellers));
        write("overhauls.csv", table("propeller,overhaul_date,work,outcome", &self.overhauls));
        write(
            "measurements.csv",
            table("propeller,overhaul_date,blade,station_pct,width_after_in,thickness_after_in", &self.measurements),
        );
        write("hours.csv", table("propeller,reading_date,hours_since_new", &self.hours));
        write("defects.csv", table(&self.defect_columns, &self.defects));
        let loaded = Loaded::read(folder.path(), &ReadOptions::default(), |_| true, |_| {}).expect("a fleet folder");
        let settings = Settings::default();
        let as_of = Day::parse_iso(as_of).expect("a date in a test is written right");
        let fleet = Fleet::as_of(&loaded, as_of, &settings);
        let survey = Survey::of(&fleet, &settings.forecast);
        let margins = Margins::of_fleet(&fleet, &survey, &settings.screen);
        let findings = Findings::of_fleet(&fleet, &survey, &margins, &settings, &|_, _| None);
        assert_eq!(findings.rows.len(), fleet.defects.list().len());
        look(&fleet, &findings)
    }

    /// The only finding, as of 2026-01-01.
    pub fn only(&self) -> Finding {
        self.read("2026-01-01", |_, findings| {
            assert_eq!(findings.rows.len(), 1, "{self:?}");
            findings.rows[0]
        })
    }

    /// Whether the only finding is open, as of 2026-01-01.
    pub fn is_open(&self) -> bool {
        self.only().is_open()
    }
}
