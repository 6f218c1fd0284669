//! What was paid: invoices, credit notes, costs of visits, each once.

use arrow::array::{Array, AsArray};
use arrow::datatypes::{Float64Type, Int32Type};
use bladewane::questions::across;
use bladewane::results::answers::{Answers, Shown};
use bladewane::settings::Settings;

use crate::fleet_folder::{FleetFolder, as_of, cautions, check_account, set_aside};
use crate::program::{bladewane, text};

const DATE: &str = "2026-01-01";

fn fleet(spend: &str) -> FleetFolder {
    FleetFolder::small()
        .with(
            "overhauls",
            "propeller,overhaul_date,work,outcome,shop,cost,reference
             A1,2024-03-01,overhaul,released,X,1000,
             A2,2025-05-01,repair,released,Y,200,R7",
        )
        .with("spend", spend)
}

/// Day, kind and sum of every payment, as text.
fn paid(folder: &FleetFolder) -> Vec<String> {
    let loaded = folder.load();
    let fleet = as_of(&loaded, DATE);
    check_account(&fleet);
    fleet.spend.list().iter().map(|p| format!("{} {} {}", p.day, p.kind, p.spent())).collect()
}

#[test]
fn costs_of_visits_alone_are_payments() {
    let folder = fleet("date,kind,net").file("spend.csv", b"date,kind,net\n2025-01-01,freight,50\n");
    assert_eq!(paid(&folder), ["2024-03-01 overhaul 1000", "2025-01-01 freight 50", "2025-05-01 repair 200"]);
}

#[test]
fn a_cost_in_both_counts_once_and_both_are_named() {
    let folder = fleet(
        "date,kind,net,propeller,reference
         2024-03-20,overhaul,1010,A1,K1",
    );
    assert_eq!(paid(&folder), ["2024-03-20 overhaul 1010", "2025-05-01 repair 200"]);
    let loaded = folder.load();
    let said = cautions(&as_of(&loaded, DATE));
    let both: Vec<&String> = said.iter().filter(|line| line.contains("in `overhauls`")).collect();
    assert_eq!(
        both,
        [
            "spend.csv:2 net [1010] A1 2024-03-01 x1 the cost of the visit of 2024-03-01 is in `overhauls` (overhauls.csv:2) with 1000 and here with 1010; what is here counts | nothing, if both are one invoice; else give each its own reference"
        ]
    );
}

#[test]
fn another_kind_propeller_day_or_reference_is_another_payment() {
    for row in [
        "2024-03-20,repair,1010,A1,K1",
        "2024-03-20,overhaul,1010,A2,K1",
        "2024-04-05,overhaul,1010,A1,K1",
        "2025-05-02,repair,210,A2,R8",
        "2024-03-20,overhaul,1010,,K1",
    ] {
        assert_eq!(paid(&fleet(&format!("date,kind,net,propeller,reference\n{row}"))).len(), 3, "{row}");
    }
    // One reference on both sides, and 30 days apart.
    assert_eq!(paid(&fleet("date,kind,net,propeller,reference\n2025-05-31,repair,210,A2,R7")).len(), 2);
    assert_eq!(paid(&fleet("date,kind,net,propeller,reference\n2024-03-31,overhaul,210,A1,")).len(), 2);
    assert_eq!(paid(&fleet("date,kind,net,propeller,reference\n2024-04-01,overhaul,210,A1,")).len(), 3);
}

#[test]
fn an_invoice_written_twice_counts_once() {
    let folder = fleet(
        "date,kind,net,propeller,shop,reference
         2025-01-10,freight,80,A1,H,F1
         2025-01-10,freight,80,A1,H,F1
         2025-01-12,freight,80,A1,H,F1
         2025-01-12,freight,81,A1,H,F1
         2025-01-12,freight,80,A1,G,F1
         2025-01-12,freight,80,A1,H,",
    );
    let freight: Vec<String> = paid(&folder).into_iter().filter(|line| line.contains("freight")).collect();
    assert_eq!(
        freight,
        ["2025-01-10 freight 80", "2025-01-12 freight 81", "2025-01-12 freight 80", "2025-01-12 freight 80"]
    );
    let loaded = folder.load();
    let said = cautions(&as_of(&loaded, DATE)).join("\n");
    assert!(said.contains("spend.csv:3 net [80] A1 2025-01-10 x1 equal rows, kept once | remove the copies"), "{said}");
    assert!(
        said.contains("spend.csv:4 net [80] A1 2025-01-12 x1 an invoice of this number, kind and sum is there already, and counts once | remove the copy, or correct its number"),
        "{said}"
    );
}

#[test]
fn a_credit_note_is_taken_off_and_needs_a_reference() {
    let folder = fleet(
        "date,kind,net,propeller,reference
         2024-03-20,overhaul,-150,A1,C1
         2024-03-21,overhaul,-150,A1,",
    );
    assert_eq!(paid(&folder), ["2024-03-01 overhaul 1000", "2024-03-20 overhaul -150", "2025-05-01 repair 200"]);
    assert_eq!(
        folder.set_aside(),
        [
            "spend.csv:3 net [-150] a credit note (net below zero) without a reference | write the number of the credit note"
        ]
    );
}

#[test]
fn another_currency_is_refused() {
    let folder = fleet(
        "date,kind,net,currency
         2025-01-10,freight,80,EUR
         2025-01-11,freight,81,
         2025-01-12,freight,82,USD
         2025-01-13,freight,83,EUR",
    );
    let refused = |fleets: &str, row: &str| {
        format!(
            "{row} another currency than the fleet's ({fleets}) | write what it was in {fleets}, and {fleets} as its currency"
        )
    };
    // Without a setting the currency of most rows is the fleet's.
    assert_eq!(folder.set_aside(), [refused("EUR", "spend.csv:4 currency [USD]")]);
    let settings = Settings::default().with_pairs("a test", [(&"currency", &"USD")]).expect("a setting");
    let loaded = folder.load();
    let fleet = bladewane::records::Fleet::as_of(&loaded, crate::fleet_folder::day(DATE), &settings);
    assert_eq!(
        set_aside(&fleet),
        [refused("USD", "spend.csv:2 currency [EUR]"), refused("USD", "spend.csv:5 currency [EUR]")]
    );
}

#[test]
fn rows_that_cannot_be_payments_are_set_aside_and_later_ones_wait() {
    let folder = fleet(
        "date,kind,net,propeller
         2025-01-10,dinner,80,A1
         2025-01-10,freight,,A1
         2025-01-10,freight,80,A9
         2026-01-10,freight,80,A1
         ,freight,80,A1
         2025-01-10,freight,2000000000,A1",
    );
    let loaded = folder.load();
    let fleet = as_of(&loaded, DATE);
    check_account(&fleet);
    let aside = set_aside(&fleet);
    assert_eq!(aside.len(), 5, "{aside:#?}");
    assert!(aside[2].starts_with("spend.csv:4 propeller [A9] the propeller is not listed"), "{aside:#?}");
    assert_eq!(fleet.spend.list().len(), 2);
    let counts = fleet.ledger.counts(bladewane::records::schema::Table::Spend).expect("counts");
    assert_eq!((counts.read, counts.used, counts.set_aside, counts.later), (6, 0, 5, 1));
}

#[test]
fn spent_by_year_kind_shop_and_model_with_the_part_of_a_year() {
    let folder = fleet(
        "date,kind,net,propeller,tax,recovered,shop,reference
         2024-06-01,freight,80,A1,15.2,,H,F1
         2024-07-01,freight,20,A1,,5,H,F2
         2025-06-01,replacement,4000,,760,1000,Z,F3",
    );
    let (loaded, settings) = (folder.load(), Settings::default());
    let fleet = as_of(&loaded, "2025-07-01");
    let answers = Answers::new(&fleet, &settings);
    let table = across(&answers, "spent", &Shown::all()).expect("made").expect("a table");
    let text = |row: usize, name: &str| {
        let values = table.column_by_name(name).expect("a column").as_string::<i32>();
        if values.is_valid(row) { values.value(row).to_string() } else { String::new() }
    };
    let number = |row: usize, name: &str| {
        let values = table.column_by_name(name).expect("a column").as_primitive::<Float64Type>();
        values.is_valid(row).then(|| values.value(row))
    };
    let years = table.column_by_name("year").expect("a column").as_primitive::<Int32Type>();
    let part = table.column_by_name("part_of_year").expect("a column").as_boolean();
    let rows: Vec<String> = (0..table.num_rows())
        .map(|r| {
            let sums = ["net", "tax", "recovered", "spent"]
                .map(|name| number(r, name).map_or("-".to_string(), |v| v.to_string()));
            let words = ["kind", "shop", "model"].map(|name| text(r, name));
            format!("{} {} {} {}", years.value(r), words.join("/"), sums.join(" "), part.value(r))
        })
        .collect();
    assert_eq!(
        rows,
        [
            "2024 freight/H/M76 100 15.2 5 95 false",
            "2024 overhaul/X/M76 1000 - - 1000 false",
            "2025 repair/Y/M76 200 - - 200 true",
            "2025 replacement/Z/ 4000 760 1000 3000 true",
        ]
    );
    // What is for the whole fleet is nobody's when only some propellers are shown.
    let some = Shown::only(&fleet, |p| p == 0);
    let of_one = across(&answers, "spent", &some).expect("made").expect("a table");
    assert_eq!(of_one.num_rows(), 2);
}

#[test]
fn an_hour_costs_what_was_spent_over_the_hours_flown() {
    let folder = fleet("date,kind,net,propeller\n2024-03-05,freight,80,A1").with(
        "hours",
        "propeller,reading_date,hours_since_new
         A1,2024-03-01,1000
         A1,2026-01-01,1540",
    );
    let (loaded, settings) = (folder.load(), Settings::default());
    let fleet = as_of(&loaded, DATE);
    let table =
        across(&Answers::new(&fleet, &settings), "spent_per_hour", &Shown::all()).expect("made").expect("a table");
    let number = |row: usize, name: &str| {
        let values = table.column_by_name(name).expect("a column").as_primitive::<Float64Type>();
        values.is_valid(row).then(|| values.value(row))
    };
    // Payments are on record from 2024-03-01 on; A1 flew 540 h since, of A2 nothing is known.
    assert_eq!((number(0, "spent"), number(0, "hours")), (Some(1080.0), Some(540.0)));
    assert_eq!(number(0, "cost_per_hour"), Some(2.0));
    assert_eq!((number(1, "spent"), number(1, "cost_per_hour")), (Some(200.0), None));
}

#[test]
fn invoices_stand_beside_the_price_list_and_take_its_place_when_asked() {
    let folder = fleet(
        "date,kind,net,propeller,reference
         2025-02-01,overhaul,1400,A1,K1
         2025-03-01,overhaul,1500,A2,K2
         2025-04-01,overhaul,1700,A2,K3
         2025-06-01,replacement,4100,A2,K4
         2020-06-01,replacement,9000,A2,K5",
    )
    .with("prices", "model,overhaul_cost,replacement_cost\nM76,1200,4000");
    let path = folder.path().display().to_string();
    let run = |words: &[&str]| {
        let output = bladewane(&[&words[..1], &[&path, "--as-of", DATE], &words[1..]].concat());
        assert!(output.status.success(), "{}", text(&output.stderr));
        (text(&output.stdout), text(&output.stderr))
    };
    let (paid, _) = run(&["show", "prices_paid", "--format", "csv"]);
    // The middle of 1000, 1400, 1500 and 1700, and 4100: the cost of the visit in 2024 is within the 24 months too.
    let (middle, off) = (1450.0, 1450.0 / 1200.0 - 1.0);
    assert_eq!(
        paid,
        format!(
            "model,price,listed,paid_p50,payments,difference_fraction,off_by_more_than_10_pct\nM76,overhaul,1200.0,{middle:.1},4,{off},true\nM76,replacement,4000.0,4100.0,1,{},false\n",
            4100.0 / 4000.0 - 1.0
        )
    );
    let (_, said) = run(&["budget"]);
    assert!(
        said.contains("off the price list by more than a tenth: overhaul of M76; --prices invoices counts with it"),
        "{said}"
    );
    let cost = |words: &[&str]| {
        let (table, _) = run(&[&["budget", "--columns", "cost_expected", "--format", "csv"][..], words].concat());
        table.lines().nth(1).and_then(|cell| cell.parse::<f64>().ok()).expect("a sum")
    };
    let (listed, invoiced) = (cost(&[]), cost(&["--prices", "invoices"]));
    assert_eq!(listed, cost(&["--prices", "list"]));
    assert!(invoiced > listed, "{invoiced} {listed}");
    let refused = bladewane(&["budget", &path, "--prices", "guess"]);
    assert_eq!(refused.status.code(), Some(2));
}
