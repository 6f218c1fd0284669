//! Small fleets that lack something: the sections say what, and what would bring it.

use bladewane::settings::Settings;

use super::section::Section;
use crate::fleet_folder::{FleetFolder, LIMITS};

const DATE: &str = "2026-01-01";
const MODELS: &str = "
    model,diameter_in,blades,interval_hours,interval_months,interval_force
    M76,76,2,2000,72,binding
    M70,70,2,none,60,recommended";
const PROPELLERS: &str = "
    propeller,model,status,in_service_date,acquired
    A1,M76,flying,2000-01-01,new
    A2,M76,flying,2000-01-01,new
    A3,M70,flying,2000-01-01,used
    A4,M70,spare,2000-01-01,new
    A5,M70,flying,2000-01-01,new";
const OVERHAULS: &str = "
    propeller,overhaul_date,work,outcome
    A1,2021-03-10,overhaul,released
    A2,2019-02-01,overhaul,released
    A4,2015-05-05,overhaul,released
    A5,2025-05-05,overhaul,released";
const HOURS: &str = "
    propeller,reading_date,hours_since_overhaul
    A1,2021-03-10,0
    A1,2024-12-31,500
    A1,2025-07-01,560
    A1,2025-12-31,620";
const PRICES: &str = "
    model,overhaul_cost,replacement_cost,rejection_cost,removal_cost,overhaul_days,replacement_days,price_date
    M76,1000,4000,250,300,30,100,2026-01-01
    M70,900,3000,200,300,30,100,2026-01-01";

fn folder() -> FleetFolder {
    FleetFolder::empty()
        .with("propellers", PROPELLERS)
        .with("models", MODELS)
        .with("overhauls", OVERHAULS)
        .with("hours", HOURS)
}

fn section(folder: &FleetFolder, id: &str) -> Section {
    Section::of(folder, DATE, &Settings::default(), id)
}

#[test]
fn no_prices() {
    let section = section(&folder(), "money");
    let words = section.text();
    assert!(words.contains("There are no prices"), "{words}");
    assert!(words.contains("A table prices with what an overhaul"), "{words}");
    assert!(words.contains("the column overhaul_days of the table prices would bring it"), "{words}");
    assert!(!words.contains("An hour of flying needs"), "{words}");
    let rows = section.table("Sent in, and of these rejected and replaced, as expected each year");
    assert_eq!(rows.len(), 5, "2026 to 2030");
    // Three overdue ones in the first month (A2, A3, A4), and later what else there is.
    let first: f64 = rows[0].cells[1].split(' ').next().unwrap().parse().unwrap();
    assert!((3.0..3.2).contains(&first), "{first}");
}

#[test]
fn overdue_due_and_not_dated_by_hand() {
    let section = section(&folder(), "due");
    let words = section.text();
    // A2: 2019-02-01 + 72 months; A4, a spare: 2015-05-05 + 60 months.
    let rows = section.table("Overhaul limits");
    let serials: Vec<&str> = rows.iter().map(|r| r.serial()).collect();
    assert_eq!(serials, ["A4", "A2", "A1"]);
    assert!(rows[0].says("2020-05-05") && rows[0].says("recommended limit"));
    assert!(rows[0].says("2067 days past"), "{:?}", rows[0]);
    assert!(rows[0].says("do not install"));
    assert!(rows[1].says("2025-02-01") && rows[1].says("334 days past"));
    assert!(!rows[1].says("do not install"));
    assert!(rows[2].says("2027-03-10") && rows[2].says("in 433 days"));
    assert!(
        words.contains("2 propellers are past a limit, 1 of them past a binding one; the longest is A4, by 2067 days."),
        "{words}"
    );
    assert!(words.contains("None comes due in the next 12 months (to 2027-01-01), 1 in the next 24."), "{words}");
    assert!(words.contains("1 more propeller comes due after 2028-01-01, the next of them on 2030-05-05."), "{words}");
    assert!(words.contains("A3 : no overhaul on record, so nothing starts its clock."), "{words}");
    assert!(words.contains("Missing: date of the last overhaul."), "{words}");
    assert!(words.contains("On the shelf: do not install"), "{words}");
}

#[test]
fn no_hours() {
    let without = FleetFolder::empty()
        .with("propellers", PROPELLERS)
        .with("models", MODELS)
        .with("overhauls", OVERHAULS)
        .with("prices", PRICES);
    let due = section(&without, "due");
    let row = &due.table("Overhaul limits")[2];
    assert_eq!(row.serial(), "A1");
    assert!(row.says("hours: use not known") && row.says("hours not known: may be due earlier"), "{row:?}");
    let money = section(&without, "money").text();
    assert!(money.contains("Not known: too little flying is on record"), "{money}");
    assert!(money.contains("Readings of hours would bring it"), "{money}");
    assert!(money.contains("No currency is stated"), "{money}");
}

#[test]
fn no_measurements() {
    let section = section(&folder().with("limits", LIMITS), "left");
    let words = section.text();
    assert!(section.table("The least left first").is_empty(), "{words}");
    assert!(words.contains("Of 5 propellers it is not known how much is left."), "{words}");
    assert!(words.contains("readings of width and thickness, any at all"), "{words}");
    assert!(words.contains("minimum dimensions of M70"), "{words}");
    assert!(!words.contains("will probably reject"), "{words}");
}

#[test]
fn one_propeller_nothing_due() {
    let one = FleetFolder::empty()
        .with("propellers", "propeller,model,status,in_service_date,acquired\nA5,M70,flying,2000-01-01,new")
        .with("models", MODELS)
        .with("overhauls", "propeller,overhaul_date,work,outcome\nA5,2025-05-05,overhaul,released");
    let due = section(&one, "due");
    assert!(due.table("Overhaul limits").is_empty());
    let words = due.text();
    assert!(words.contains("None comes due from today to 2028-01-01."), "{words}");
    assert!(words.contains("1 more propeller comes due after 2028-01-01, the next of them on 2030-05-05."), "{words}");
    let money = section(&one, "money");
    assert!(money.table("All years together").is_empty(), "one model has no table of models");
    assert!(money.text().contains("whatever the filter shows"));
}

#[test]
fn none_flying() {
    let spare = FleetFolder::empty()
        .with("propellers", "propeller,model,status,in_service_date,acquired\nA4,M70,spare,2000-01-01,new")
        .with("models", MODELS)
        .with("overhauls", "propeller,overhaul_date,work,outcome\nA4,2024-05-05,overhaul,released")
        .with("prices", PRICES);
    let words = section(&spare, "money").text();
    assert!(words.contains("No propeller flies, so no spares are needed."), "{words}");
    assert!(!words.contains("NaN") && !words.contains("inf"), "{words}");
}

#[test]
fn everything_overdue() {
    let all = FleetFolder::empty()
        .with("propellers", "propeller,model,status,in_service_date,acquired\nA1,M76,flying,2000-01-01,new\nA2,M76,flying,2000-01-01,new")
        .with("models", MODELS)
        .with("overhauls", "propeller,overhaul_date,work,outcome\nA1,2010-01-01,overhaul,released\nA2,2011-01-01,overhaul,released")
        .with("prices", PRICES);
    let words = section(&all, "due").text();
    assert!(words.contains("2 propellers are past a limit, 2 of them past a binding one"), "{words}");
    assert!(words.contains("None comes due from today to 2028-01-01."), "{words}");
    let mut settings = Settings::default();
    settings.budget.overhauls_per_month = Some(1);
    let money = Section::of(&all, DATE, &settings, "money").text();
    assert!(money.contains("spread over months of 1 overhaul at most"), "{money}");
}

#[test]
fn an_empty_fleet() {
    let empty = FleetFolder::empty().with("propellers", "propeller,model,status\nA1,M76,scrapped");
    for id in ["due", "left", "money"] {
        let section = section(&empty, id);
        assert!(!section.text().contains("NaN"), "{id}");
    }
    assert!(section(&empty, "money").text().contains("There is no overhaul to plan on record."));
    assert!(section(&empty, "due").text().contains("None comes due from today"));
}

/// A hand-made sheet far below its minimum, and hostile names.
#[test]
fn names_are_text() {
    let hostile = FleetFolder::empty()
        .with(
            "propellers",
            "propeller,model,status,in_service_date,acquired\n<script>alert(1)</script>,M70,flying,2000-01-01,new",
        )
        .with("models", MODELS)
        .with(
            "overhauls",
            "propeller,overhaul_date,work,outcome\n<script>alert(1)</script>,2015-05-05,overhaul,released",
        );
    let due = section(&hostile, "due");
    assert!(!due.markup().contains("<script"), "{}", due.markup());
    assert!(due.text().contains("<script>alert(1)</script>"), "{}", due.text());
}
