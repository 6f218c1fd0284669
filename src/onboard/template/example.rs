//! One row of each table that shows how it is filled; its first cell marks it, so it is never read as a record.

use super::{Cell, Row};
use crate::records::schema::Table;
use crate::tables::example::EXAMPLE;
use crate::trade::calendar::Day;

/// A value of an example.
enum Shown {
    Text(&'static str),
    /// The marked name of something, with a letter or number behind the mark.
    Marked(&'static str),
    Day(i32, u32, u32),
    Number(f64),
    Inches(f64),
}

use Shown::{Day as On, Inches, Marked, Number, Text};

/// The values; a column that is not named stays empty, as it may.
fn shown(table: Table) -> &'static [(&'static str, Shown)] {
    match table {
        Table::Propellers => &[
            ("propeller", Marked("1")),
            ("model", Marked("M")),
            ("use", Text("rental")),
            ("base", Marked("B")),
            ("aircraft", Marked("A")),
            ("in_service_date", On(2015, 4, 20)),
            ("acquired", Text("new")),
            ("status", Text("flying")),
            ("reports_kept_since", On(2018, 1, 1)),
        ],
        Table::Models => &[
            ("model", Marked("M")),
            ("diameter", Inches(75.0)),
            ("diameter_min", Inches(73.5)),
            ("blades", Number(2.0)),
            ("interval_hours", Number(1_500.0)),
            ("interval_months", Number(60.0)),
            ("interval_rule", Text("same_day")),
            ("interval_from", Text("release")),
            ("interval_force", Text("recommended")),
            ("max_rpm", Number(2_600.0)),
            ("track_limit", Inches(0.062)),
        ],
        Table::Limits => &[
            ("model", Marked("M")),
            ("station_pct", Number(75.0)),
            ("width_new", Inches(5.0)),
            ("width_min", Inches(4.7)),
            ("thickness_new", Inches(0.36)),
            ("thickness_min", Inches(0.31)),
            ("source", Text("the maker's manual, its number and page")),
            ("revision", Text("rev. 4")),
        ],
        Table::Overhauls => &[
            ("propeller", Marked("1")),
            ("overhaul_date", On(2020, 5, 11)),
            ("work", Text("overhaul")),
            ("outcome", Text("released")),
            ("shop", Text("the shop's name")),
            ("hours_since_new", Number(1_420.5)),
            ("hours_since_overhaul", Number(1_420.5)),
            ("reason", Text("scheduled")),
            ("track", Inches(0.031)),
            ("diameter_after", Inches(74.875)),
            ("cost", Number(1_150.0)),
        ],
        Table::Measurements => &[
            ("propeller", Marked("1")),
            ("overhaul_date", On(2020, 5, 11)),
            ("blade", Number(1.0)),
            ("station_pct", Number(75.0)),
            ("width_before", Inches(4.985)),
            ("width_after", Inches(4.964)),
            ("thickness_before", Inches(0.358)),
            ("thickness_after", Inches(0.351)),
            ("painted", Text("no")),
        ],
        Table::Defects => &[
            ("propeller", Marked("1")),
            ("found_date", On(2023, 7, 2)),
            ("blade", Number(1.0)),
            ("station_pct", Number(80.0)),
            ("surface", Text("leading_edge")),
            ("kind", Text("nick")),
            ("depth", Inches(0.05)),
            ("length", Inches(0.1)),
            ("width", Inches(0.04)),
            ("action", Text("blended")),
            ("action_date", On(2023, 7, 2)),
            ("action_by", Text("who dressed it")),
            ("rework_depth", Inches(0.052)),
            ("rework_length", Inches(0.75)),
            ("refinished", Text("yes")),
        ],
        Table::Hours => &[
            ("propeller", Marked("1")),
            ("reading_date", On(2026, 1, 31)),
            ("hours_since_new", Number(2_310.4)),
            ("hours_since_overhaul", Number(889.9)),
        ],
        Table::AircraftHours => &[
            ("aircraft", Marked("A")),
            ("reading_date", On(2026, 1, 31)),
            ("hours", Number(6_412.7)),
            ("meter", Text("tach")),
        ],
        Table::Aircraft => &[
            ("aircraft", Marked("A")),
            ("aircraft_model", Text("the aircraft's type")),
            ("engine", Text("the engine's type")),
            ("max_rpm", Number(2_600.0)),
            ("positions", Number(1.0)),
        ],
        Table::Fitted => &[("propeller", Marked("1")), ("aircraft", Marked("A")), ("from_date", On(2020, 5, 18))],
        Table::Inspections => &[
            ("aircraft", Marked("A")),
            ("inspection_date", On(2025, 9, 12)),
            ("kind", Text("annual")),
            ("result", Text("not")),
            ("by", Text("who made it")),
            ("next_due_date", On(2026, 9, 30)),
            ("cleared_date", On(2025, 9, 14)),
            ("cleared_by", Text("who signed it")),
            ("track", Inches(0.028)),
        ],
        Table::EventChecks => &[
            ("propeller", Marked("1")),
            ("aircraft", Marked("A")),
            ("event_date", On(2024, 6, 3)),
            ("scope", Text("engine")),
            ("method", Text("run-out")),
            ("check_date", On(2024, 6, 9)),
            ("result", Text("satisfactory")),
            ("by", Text("who made it")),
            ("reference", Text("work order or log page")),
        ],
        Table::Rechecks => &[
            ("propeller", Marked("1")),
            ("found_date", On(2023, 7, 2)),
            ("blade", Number(1.0)),
            ("station_pct", Number(80.0)),
            ("date", On(2024, 1, 15)),
            ("depth", Inches(0.004)),
            ("result", Text("unchanged")),
            ("by", Text("who looked")),
        ],
        Table::Decisions => &[
            ("propeller", Marked("1")),
            ("date", On(2026, 1, 12)),
            ("reason", Text("past recommended limit by 40 days")),
            ("decision", Text("runs on to the annual; looked at, no findings")),
            ("until", On(2026, 4, 30)),
            ("by", Text("who decided")),
            ("reference", Text("work order or log page")),
        ],
        Table::Bases => &[("base", Marked("B")), ("air", Text("coast")), ("surface", Text("paved"))],
        Table::KeptAt => &[
            ("propeller", Marked("1")),
            ("base", Marked("B")),
            ("from_date", On(2015, 4, 20)),
            ("kept", Text("outside")),
        ],
        Table::Prices => &[
            ("model", Marked("M")),
            ("overhaul_cost", Number(1_150.0)),
            ("replacement_cost", Number(4_800.0)),
            ("rejection_cost", Number(250.0)),
            ("removal_cost", Number(300.0)),
            ("overhaul_days", Number(21.0)),
            ("replacement_days", Number(60.0)),
            ("price_date", On(2026, 1, 31)),
        ],
    }
}

/// The example row of a table.
pub fn example_row(table: Table) -> Row {
    let cell = |shown: &Shown| {
        Some(match *shown {
            Text(text) => Cell::Text(text.to_string()),
            Marked(name) => Cell::Text(format!("{EXAMPLE} {name}")),
            On(year, month, day) => Cell::Day(Day::from_ymd(year, month, day)?),
            Number(number) => Cell::Number(number),
            Inches(inches) => Cell::Inches(inches),
        })
    };
    let values = shown(table).iter();
    values.filter_map(|(column, value)| Some((*column, cell(value)?))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::schema::{Kind, TABLES};
    use crate::tables::example::is_example;

    #[test]
    fn every_example_is_marked_complete_and_right() {
        for schema in TABLES {
            let row = example_row(schema.table);
            assert_eq!(row.len(), shown(schema.table).len(), "{}", schema.name);
            let first = &row[0];
            assert_eq!(first.0, schema.columns[0].name);
            assert!(matches!(&first.1, Cell::Text(text) if is_example(text)));
            for (name, cell) in &row {
                let column = &schema.columns[schema.position(name).expect("a column")];
                let fits = match (column.kind, cell) {
                    (Kind::Text, Cell::Text(_)) => true,
                    (Kind::Word(words), Cell::Text(word)) => words.contains(&word.as_str()),
                    (Kind::Date, Cell::Day(_)) => true,
                    (Kind::Number | Kind::NumberOrNone | Kind::Small, Cell::Number(number)) => {
                        column.range().broken_by(*number).is_none()
                    }
                    (Kind::Length, Cell::Inches(_)) => true,
                    _ => false,
                };
                assert!(fits, "{}.{name}: {cell:?}", schema.name);
            }
            let has = |name: &str| row.iter().any(|(column, _)| *column == name);
            for column in schema.columns.iter().filter(|c| c.required) {
                assert!(has(column.name), "{}.{}", schema.name, column.name);
            }
            for group in schema.one_of {
                assert!(group.iter().any(|name| has(name)), "{}", schema.name);
            }
        }
    }
}
