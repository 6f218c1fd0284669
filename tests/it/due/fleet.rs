//! Small fleets written as CSV tables and read as a user's would be.

use std::fs;

use bladewane::analysis::due::{Due, DueRow};
use bladewane::records::{Fleet, Loaded, ReadOptions};
use bladewane::settings::Settings;

pub use crate::fleet_folder::day;

/// Tables of a fleet: name and CSV text.
#[derive(Clone, Debug, Default)]
pub struct Tables(Vec<(String, String)>);

impl Tables {
    /// Sets a table from its header and rows.
    pub fn with(mut self, name: &str, header: &str, rows: &[&str]) -> Tables {
        let text = std::iter::once(header).chain(rows.iter().copied()).collect::<Vec<_>>().join("\n");
        self.0.retain(|(known, _)| known != name);
        self.0.push((name.to_string(), text + "\n"));
        self
    }

    /// Hours since new of propeller P.
    pub fn hours(self, rows: &[&str]) -> Tables {
        let rows: Vec<String> = rows.iter().map(|r| format!("P,{r}")).collect();
        let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
        self.with("hours", "propeller,reading_date,hours_since_new", &rows)
    }

    /// Released overhauls of propeller P: day and hours since new.
    pub fn overhauls(self, rows: &[&str]) -> Tables {
        let rows: Vec<String> = rows.iter().map(|r| format!("P,{r}")).collect();
        let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
        self.with("overhauls", "propeller,overhaul_date,hours_since_new", &rows)
    }

    /// Fittings of propeller P.
    pub fn fitted(self, rows: &[&str]) -> Tables {
        let rows: Vec<String> = rows.iter().map(|r| format!("P,{r}")).collect();
        let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
        self.with("fitted", "propeller,aircraft,from_date,to_date", &rows)
    }

    /// Readings of meters.
    pub fn meters(self, rows: &[&str]) -> Tables {
        self.with("aircraft_hours", "aircraft,reading_date,hours,meter", rows)
    }

    /// Reads the fleet and works out its due rows.
    pub fn due_with<T>(&self, as_of: &str, settings: &Settings, of: impl FnOnce(&Fleet<'_>, Due) -> T) -> T {
        let folder = tempfile::tempdir().expect("a temporary folder");
        for (name, text) in &self.0 {
            fs::write(folder.path().join(format!("{name}.csv")), text).expect("a table is written");
        }
        let loaded = Loaded::read(folder.path(), &ReadOptions::default(), |_| true, |_| {})
            .expect("a fleet in a test can be read");
        let fleet = Fleet::as_of(&loaded, day(as_of), settings);
        let due = Due::of_fleet(&fleet, settings);
        of(&fleet, due)
    }

    /// The due rows.
    pub fn rows(&self, as_of: &str) -> Vec<DueRow> {
        self.due_with(as_of, &Settings::default(), |_, due| due.rows)
    }

    /// The row of the propeller P.
    pub fn row(&self, as_of: &str) -> DueRow {
        self.due_with(as_of, &Settings::default(), |fleet, due| {
            let p = fleet.propellers.find("P").expect("P is listed");
            due.of(p).expect("P is on a list").clone()
        })
    }
}

/// A fleet of one propeller P (training, flying) of a model with 2,000 hours and 72 months, recommended.
pub fn one() -> Tables {
    Tables::default()
        .with("propellers", "propeller,model,use,in_service_date,acquired", &["P,M,training,2010-01-01,unknown"])
        .with("models", "model,diameter_in,interval_hours,interval_months", &["M,76,2000,72"])
}

/// The same with another row of `models`, after its header's columns.
pub fn one_with_model(columns: &str, cells: &str) -> Tables {
    one().with("models", &format!("model,{columns}"), &[&format!("M,{cells}")])
}

/// The same with another row of `propellers`, after its header's columns.
pub fn one_with_propeller(columns: &str, cells: &str) -> Tables {
    one().with("propellers", &format!("propeller,model,{columns}"), &[&format!("P,M,{cells}")])
}

/// Hours today, which must be there.
pub fn hours_today(row: &DueRow) -> f64 {
    row.hours.expect("a clock has started").today.expect("hours today are worked out")
}

/// Whether hours are known.
pub fn known(row: &DueRow) -> bool {
    row.hours.expect("a clock has started").known
}

/// What hours rest on, in words.
pub fn basis(row: &DueRow) -> String {
    row.hours.expect("a clock has started").basis.words()
}

/// Asserts that two numbers are the same but for rounding.
#[track_caller]
pub fn near(found: f64, expected: f64) {
    assert!((found - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{found} is not {expected}");
}
