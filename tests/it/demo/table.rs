//! Reading the demo's tables cell by cell.

use std::collections::BTreeSet;

use arrow::array::{Array, AsArray};
use arrow::datatypes::{Date32Type, Float64Type, Int32Type};
use arrow::record_batch::RecordBatch;
use arrow::util::display::array_value_to_string;
use bladewane::onboard::demo::DemoFleet;
use bladewane::trade::calendar::Day;

/// A table of the fleet.
pub struct Rows<'f> {
    pub batch: &'f RecordBatch,
}

/// The table of this name.
pub fn rows<'f>(fleet: &'f DemoFleet, name: &str) -> Rows<'f> {
    let table = fleet.tables.iter().find(|t| t.name == name);
    Rows { batch: &table.unwrap_or_else(|| panic!("no table {name}")).batch }
}

impl Rows<'_> {
    pub fn len(&self) -> usize {
        self.batch.num_rows()
    }

    fn column(&self, row: usize, name: &str) -> Option<&dyn Array> {
        let column = self.batch.column_by_name(name).unwrap_or_else(|| panic!("no column {name}"));
        column.is_valid(row).then_some(column.as_ref())
    }

    pub fn text(&self, row: usize, name: &str) -> Option<String> {
        self.column(row, name).map(|c| c.as_string::<i32>().value(row).to_owned())
    }

    pub fn number(&self, row: usize, name: &str) -> Option<f64> {
        self.column(row, name).map(|c| c.as_primitive::<Float64Type>().value(row))
    }

    pub fn whole(&self, row: usize, name: &str) -> Option<i32> {
        self.column(row, name).map(|c| c.as_primitive::<Int32Type>().value(row))
    }

    pub fn date(&self, row: usize, name: &str) -> Option<Day> {
        self.column(row, name).map(|c| Day::from_number(c.as_primitive::<Date32Type>().value(row)))
    }

    /// Several cells as one text.
    pub fn key(&self, row: usize, names: &[&str]) -> String {
        let cells: Vec<String> = names
            .iter()
            .map(|name| self.column(row, name).map_or_else(String::new, |c| array_value_to_string(c, row).unwrap()))
            .collect();
        cells.join("|")
    }

    /// A whole row as text.
    pub fn record(&self, row: usize) -> String {
        let schema = self.batch.schema();
        let names: Vec<&str> = schema.fields().iter().map(|f| f.name().as_str()).collect();
        self.key(row, &names)
    }

    /// Every text of a column.
    pub fn all_text(&self, name: &str) -> BTreeSet<String> {
        (0..self.len()).filter_map(|r| self.text(r, name)).collect()
    }

    /// The first row with this text.
    pub fn find(&self, name: &str, text: &str) -> usize {
        let mut all = 0..self.len();
        all.find(|&r| self.text(r, name).as_deref() == Some(text)).unwrap_or_else(|| panic!("no {name} {text}"))
    }

    /// Every row of a propeller.
    pub fn of(&self, serial: &str) -> Vec<usize> {
        (0..self.len()).filter(|&r| self.text(r, "propeller").as_deref() == Some(serial)).collect()
    }
}

/// The model whose limits hold for a propeller after what happened on a day.
pub fn limits_model_on(fleet: &DemoFleet, serial: &str, day: Day) -> String {
    let propellers = rows(fleet, "propellers");
    let mut model = propellers.text(propellers.find("propeller", serial), "model").unwrap();
    let visits = rows(fleet, "overhauls");
    for r in visits.of(serial) {
        if visits.date(r, "overhaul_date").is_some_and(|d| d <= day)
            && let Some(after) = visits.text(r, "model_after")
        {
            model = after;
        }
    }
    let models = rows(fleet, "models");
    models.text(models.find("model", &model), "limits_of").unwrap_or(model)
}
