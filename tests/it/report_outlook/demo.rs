//! On the demo fleet the sections show what the result tables hold.

use std::collections::HashMap;
use std::path::Path;
use std::sync::LazyLock;

use arrow::array::AsArray;
use arrow::datatypes::{Date32Type, Float64Type, Int32Type};
use arrow::record_batch::RecordBatch;
use bladewane::records::{Fleet, Loaded, ReadOptions};
use bladewane::report::page::main;
use bladewane::report::words::{chance, thousands};
use bladewane::results::answers::{Answers, Shown};
use bladewane::settings::Settings;
use bladewane::trade::calendar::{Day, same_day};

use super::section::Section;
use crate::fleet_folder::day;

const AS_OF: &str = "2026-06-30";

/// What the page and the tables of the demo fleet hold, worked out once.
struct Demo {
    page: String,
    tables: HashMap<&'static str, RecordBatch>,
    notes: Vec<String>,
}

static DEMO: LazyLock<Demo> = LazyLock::new(|| {
    let mut settings = Settings::default();
    settings.fleet.currency = Some("EUR".into());
    settings.budget.opening_balance = Some(5_000.0);
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("datasets/demo-fleet");
    let loaded = Loaded::read(&folder, &ReadOptions::default(), |_| true, |_| {}).expect("the demo fleet is read");
    let fleet = Fleet::as_of(&loaded, day(AS_OF), &settings);
    let answers = Answers::new(&fleet, &settings);
    let shown = Shown::all();
    let table = |name: &'static str| {
        answers.work_out_for(name);
        (name, answers.slice(name, 0, &shown).expect("the table is made"))
    };
    let names = ["due", "remaining", "budget", "reserve", "purchases", "spares", "out_at_once"];
    Demo {
        page: main(&answers, &shown).expect("the page is made"),
        tables: names.into_iter().map(table).collect(),
        notes: answers.planning(&shown).notes(),
    }
});

fn section(id: &str) -> Section {
    Section::on(&DEMO.page, id)
}

struct Table(RecordBatch);

impl Table {
    fn of(name: &str) -> Table {
        Table(DEMO.tables[name].clone())
    }

    fn rows(&self) -> std::ops::Range<usize> {
        0..self.0.num_rows()
    }

    fn column(&self, row: usize, name: &str) -> Option<&dyn arrow::array::Array> {
        let column = self.0.column_by_name(name).expect("a column of the table");
        column.is_valid(row).then_some(column.as_ref())
    }

    fn text(&self, row: usize, name: &str) -> Option<String> {
        let column = self.column(row, name)?;
        Some(arrow::util::display::array_value_to_string(column, row).expect("a cell that is text"))
    }

    fn number(&self, row: usize, name: &str) -> Option<f64> {
        Some(self.column(row, name)?.as_primitive::<Float64Type>().value(row))
    }

    fn whole(&self, row: usize, name: &str) -> Option<i32> {
        Some(self.column(row, name)?.as_primitive::<Int32Type>().value(row))
    }

    fn date(&self, row: usize, name: &str) -> Option<Day> {
        let column = self.column(row, name)?;
        Some(Day::from_number(column.as_primitive::<Date32Type>().value(row)))
    }
}

#[test]
fn due_dates_are_those_of_the_table_the_longest_overdue_first() {
    let table = Table::of("due");
    let last = same_day(day(AS_OF), 24);
    let in_service = |row: usize| {
        let state = table.text(row, "state").expect("a state");
        !state.contains("out of service")
    };
    let mut expected: Vec<(Day, String, i32)> = table
        .rows()
        .filter(|&row| in_service(row))
        .filter_map(|row| {
            let due = table.date(row, "due_date")?;
            let early = table.date(row, "due_date_p10").unwrap_or(due);
            (early <= last).then_some(())?;
            let serial = table.text(row, "propeller")?;
            Some((due, serial, table.whole(row, "days_to_due")?))
        })
        .collect();
    expected.sort();
    let section = section("due");
    let rows = section.table("Overhaul limits");
    let shown: Vec<&str> = rows.iter().map(|r| r.serial()).collect();
    let wanted: Vec<&str> = expected.iter().map(|e| e.1.as_str()).collect();
    assert_eq!(shown, wanted);
    assert!(expected.len() > 10, "the demo has enough to look at");
    for (row, (due, serial, days)) in rows.iter().zip(&expected) {
        assert!(row.cells[2].starts_with(&due.to_string()), "{row:?}");
        let when = if *days < 0 { format!("{} days past", -days) } else { format!("in {days} days") };
        assert!(row.cells[2].contains(&when), "{serial}: {row:?}");
        let at =
            table.rows().find(|&at| table.text(at, "propeller").as_ref() == Some(serial)).expect("a row of the table");
        let force = table.text(at, "interval_force").expect("a force");
        assert!(row.cells[3].starts_with(&format!("{force} limit")), "{row:?}");
        if let Some(calendar) = table.date(at, "due_date_calendar") {
            assert!(row.cells[3].contains(&format!("calendar {calendar}")), "{row:?}");
        }
        if let Some(hours) = table.number(at, "hours_to_due") {
            let left = thousands(hours.abs());
            let word = if hours < 0.0 { "over" } else { "left" };
            assert!(row.cells[3].contains(&format!("{left} h {word}")), "{row:?}");
        }
    }
    // Nobody is forgotten: on the time line, later, without a date, or out of service.
    let later = table.rows().filter(|&row| in_service(row)).filter_map(|row| table.date(row, "due_date")).count()
        - expected.len();
    let words = section.text();
    assert!(words.contains(&format!("{later} more propellers come due after {last}")), "{words}");
    for serial in ["BW-0201", "BW-0701"] {
        assert!(words.contains(serial), "{serial}");
    }
}

#[test]
fn overhauls_left_are_those_of_the_table_the_least_first() {
    let table = Table::of("remaining");
    let rows = section("left").table("The least left first");
    let known = table.rows().filter(|&row| table.number(row, "remaining_mean").is_some());
    assert_eq!(rows.len(), known.count());
    let mut last = 0.0;
    for row in &rows {
        let at = table
            .rows()
            .find(|&at| table.text(at, "propeller").as_deref() == Some(row.serial()))
            .expect("a row of the table");
        let number = |name: &str| table.number(at, name).expect("a number");
        let mean = number("remaining_mean");
        assert!(mean >= last, "{}: {mean} after {last}", row.serial());
        last = mean;
        let (low, middle, high) = (number("remaining_p10"), number("remaining_p50"), number("remaining_p90"));
        let words = if low == high { format!("{middle}") } else { format!("{middle} ({low} to {high})") };
        assert!(row.cells[2].starts_with(&words), "{words}: {row:?}");
        let rejected = chance(number("reject_chance_next_any")).replace('\u{a0}', " ");
        assert!(row.cells[3].starts_with(&rejected), "{rejected}: {row:?}");
        let place = format!(
            "blade {} at {:.0} %, {}",
            table.text(at, "limiting_blade").expect("a blade"),
            number("limiting_station_pct"),
            table.text(at, "limiting_dimension").expect("a dimension")
        );
        assert!(row.cells[4].starts_with(&place), "{place}: {row:?}");
        let margin = number("limiting_margin_in");
        assert!(row.cells[4].contains(&format!("{:.3} in", margin.abs())), "{row:?}");
        assert_eq!(row.says("below the minimum"), margin < 0.0, "{row:?}");
    }
}

#[test]
fn the_budget_is_that_of_the_table() {
    let section = section("money");
    let table = Table::of("budget");
    let is = |row: usize, model: &str, force: &str| {
        table.text(row, "model").as_deref() == Some(model)
            && table.text(row, "interval_force").as_deref() == Some(force)
    };
    let money = |row: usize, name: &str| thousands(table.number(row, name).expect("a sum"));
    let shown = section.table("Expected cost of each year");
    let years: Vec<usize> = table.rows().filter(|&r| is(r, "all", "all")).collect();
    assert_eq!(shown.len(), years.len());
    for (row, &at) in shown.iter().zip(&years) {
        assert!(row.cells[0].starts_with(&table.text(at, "year").expect("a year")));
        let overhauls = table.number(at, "overhauls").expect("a count");
        assert!(row.cells[1].starts_with(&format!("{overhauls:.1}")), "{row:?}");
        let replacements = table.number(at, "replacements").expect("a count");
        assert_eq!(row.cells[2], format!("{replacements:.1}"));
        assert!(row.cells[3].starts_with(&money(at, "cost_expected")), "{row:?}");
        let range = format!("{} to {}", money(at, "cost_p10"), money(at, "cost_p90"));
        assert_eq!(row.cells[4], range);
        let year = table.whole(at, "year");
        let advice = table
            .rows()
            .find(|&r| is(r, "all", "recommended") && table.whole(r, "year") == year)
            .expect("a row for recommended limits");
        assert_eq!(row.cells[5], money(advice, "cost_expected"));
    }
    for row in section.table("Each model year by year") {
        let at = table
            .rows()
            .find(|&r| is(r, &row.cells[0], "all") && table.text(r, "year").as_deref() == Some(row.cells[1].as_str()))
            .expect("a row of the model and year");
        assert!(row.cells[4].starts_with(&money(at, "cost_expected")), "{row:?}");
    }
    assert!(section.text().contains("EUR"));
}

#[test]
fn the_reserve_the_orders_and_the_spares_are_those_of_the_tables() {
    let section = section("money");
    let words = section.text();
    let reserve = Table::of("reserve");
    let number = |name: &str| reserve.number(0, name).expect("a number");
    for sum in [
        format!("{:.2} EUR", number("long_run_per_hour")),
        format!("{:.2} EUR", number("constant_per_hour")),
        format!("{} EUR", thousands(number("needed_today"))),
        format!("{} EUR", thousands(number("catch_up_sum"))),
        format!("starting with {} EUR", thousands(5_000.0)),
    ] {
        assert!(words.contains(&sum), "{sum}: {words}");
    }

    let purchases = Table::of("purchases");
    let rows = section.table("The first to order first");
    assert_eq!(rows.len(), purchases.0.num_rows());
    assert!(rows.len() > 2);
    for (row, at) in rows.iter().zip(purchases.rows()) {
        assert_eq!(Some(row.serial()), purchases.text(at, "propeller").as_deref());
        let rejected = chance(purchases.number(at, "reject_chance").expect("a chance"));
        assert_eq!(row.cells[1], rejected.replace('\u{a0}', " "));
        for name in ["order_by_date", "due_date"] {
            let date = purchases.date(at, name).expect("a date").to_string();
            // What is below a minimum is ordered today, and the page says so in a word.
            let word = if date == "2026-06-30" { "now" } else { &date };
            assert!(row.cells[2].contains(word), "{name}: {row:?}");
        }
        let cost = thousands(purchases.number(at, "cost").expect("a sum"));
        assert_eq!(row.cells[3], format!("{cost} EUR"));
        let saving = purchases.number(at, "expected_saving").expect("a sum");
        assert!(row.cells[4].contains(&thousands(saving.abs())), "{row:?}");
        let advice = if saving > 0.0 { "Replace it" } else { "Send it in" };
        assert!(row.cells[4].starts_with(advice), "{row:?}");
    }
    // The shelf is named: BW-1004 is flying and a spare of its model may be installed, BW-1019 is a spare itself.
    let of = |serial: &str| rows.iter().find(|r| r.serial() == serial).expect("its row");
    assert!(of("BW-1004").says("1 spare of its model on the shelf"));
    assert!(of("BW-1019").says("a spare: only if the shelf must hold one"));
    // Below a minimum by its last sheet: not to be flown until its overhaul comes due.
    let below = rows.iter().find(|r| r.serial() == "BW-0301").expect("its row");
    assert!(below.cells[2].starts_with("now"), "{below:?}");

    let spares = Table::of("spares");
    let rows = section.table("Replacements needed until an order comes");
    assert_eq!(rows.len(), spares.0.num_rows());
    for (row, at) in rows.iter().zip(spares.rows()) {
        let names = ["model", "within_days", "needed_p50", "needed_p90", "on_shelf", "order_now"];
        for (cell, name) in row.cells.iter().zip(names) {
            assert_eq!(Some(cell), spares.text(at, name).as_ref(), "{name}");
        }
    }

    let away = Table::of("out_at_once");
    let rows = section.table("Propellers away, month by month");
    assert_eq!(rows.len(), away.0.num_rows());
    for (row, at) in rows.iter().zip(away.rows()) {
        let number = |name: &str| format!("{:.1}", away.number(at, name).expect("a number"));
        assert_eq!(row.cells[1], number("propellers_out"));
        assert_eq!(row.cells[2], number("p90"));
    }
    for note in &DEMO.notes {
        let rest: String = note.chars().skip(1).collect();
        assert!(words.contains(&rest), "{note}");
    }
}

#[test]
fn every_drawing_has_a_place_and_every_row_its_key() {
    for id in ["due", "left", "money"] {
        let section = section(id);
        let markup = section.markup();
        assert!(!markup.contains("Not drawn"), "{id}");
        assert!(!markup.contains(" style="), "{id}");
        assert!(markup.contains("<svg"), "{id}");
        assert!(!section.text().contains("NaN"), "{id}");
    }
    let due = section("due");
    let rows = due.table("Overhaul limits").len();
    let keys = due.markup().matches("<tr data-p=\"").count();
    assert_eq!(rows, keys);
}
