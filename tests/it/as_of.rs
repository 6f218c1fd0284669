//! Every row is accounted for, in any order, and a date sees exactly what the records of that day would have said.

use crate::damaged_fleet::{Table, damage, damaged, folder, said, tables, told};
use crate::fleet_folder::{FleetFolder, as_of, cautions, check_account, day, set_aside};
use bladewane::records::choice::{Action, Status};
use proptest::prelude::*;
use rand::SeedableRng;
use rand::seq::SliceRandom;
use rand_chacha::ChaCha8Rng;

const DATE: &str = "2020-06-01";

/// The tables with every row removed whose own date is after the date.
fn without_later(tables: &[Table]) -> Vec<Table> {
    let mut tables = tables.to_vec();
    for table in &mut tables {
        let all = table.clone();
        table.rows.retain(|row| !all.is_later(row, day(DATE)));
    }
    tables
}

/// Rows of later days that would be set aside, cautioned or believed if they were looked at.
fn with_absurd_later_rows(tables: &[Table]) -> Vec<Table> {
    let mut tables = tables.to_vec();
    let mut add = |name: &str, rows: &[&str]| {
        let table = tables.iter_mut().find(|t| t.name == name).expect("a table");
        for row in rows {
            table.rows.push(row.split(',').map(str::to_string).collect());
        }
    };
    add("propellers", &["A1,M76,gliding,nowhere,,2031-01-01,bought,lost,1800-01-01,nobody,,x,-1,always"]);
    add(
        "overhauls",
        &[
            "A1,2031-01-01,overhaul,released,,Shop,1e12,x,because,9,M99,free",
            "A9,2031-01-01,shorten,burnt,,,,,,,,",
            "A2,2031-01-01,overhaul,released,,,1,1,scheduled,0,M3,1",
        ],
    );
    add(
        "measurements",
        &[
            "A1,2031-01-01,7,60,,99,98,97,96,,,",
            "A1,2031-01-01,1,61,,0,-1,x,\"5,3,,,",
            "A1,2031-01-01,1,60,,5.4,5.3,0.1,0.1,,,maybe",
        ],
    );
    add("defects", &["A1,2031-01-01,9,150,,nose,ding,5,5,5,blended,2031-01-01,,", "A2,2031-01-01,1,60"]);
    add("hours", &["A1,2031-01-01,1,1", "A2,2031-01-01,90000,90000", "A9,2031-01-01,x,x"]);
    add("aircraft_hours", &["z,2031-01-01,5,tach", "x,2031-01-01,-5,tach"]);
    add("fitted", &["A2,w,2031-01-01,1800-01-01"]);
    add("inspections", &["A3,2031-01-01,weekly,great,,soon"]);
    add("kept_at", &["A1,atlantis,2031-01-01,inside"]);
    tables
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever happens to the tables: no panic, and read = used + set aside + later in every one of them.
    #[test]
    fn every_row_of_a_damaged_folder_is_accounted_for(list in damage(true)) {
        let folder = folder(&damaged(&list));
        let loaded = folder.load();
        for date in ["1990-01-01", DATE, "2035-01-01"] {
            let fleet = as_of(&loaded, date);
            check_account(&fleet);
            said(&fleet);
            set_aside(&fleet);
            cautions(&fleet);
        }
    }

    #[test]
    fn the_order_of_the_rows_changes_nothing(list in damage(false), seed in any::<u64>()) {
        let tables = damaged(&list);
        let mut shuffled = tables.clone();
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        for table in &mut shuffled {
            table.rows.shuffle(&mut random);
        }
        let (one, other) = (folder(&tables), folder(&shuffled));
        let (one, other) = (one.load(), other.load());
        for date in [DATE, "2035-01-01"] {
            let (one, other) = (as_of(&one, date), as_of(&other, date));
            prop_assert_eq!(said(&one), said(&other));
            prop_assert_eq!(told(&one), told(&other));
        }
    }

    /// As of a date = read on that date: deleting all later rows, or adding more of them, changes nothing but their count.
    #[test]
    fn a_date_sees_what_the_records_of_that_day_said(list in damage(false)) {
        let tables = damaged(&list);
        let (now, then, later) =
            (folder(&tables), folder(&without_later(&tables)), folder(&with_absurd_later_rows(&tables)));
        let (now, then, later) = (now.load(), then.load(), later.load());
        let (now, then, later) = (as_of(&now, DATE), as_of(&then, DATE), as_of(&later, DATE));
        for other in [&then, &later] {
            prop_assert_eq!(said(&now), said(other));
            prop_assert_eq!(told(&now), told(other));
        }
        for schema in bladewane::records::schema::TABLES {
            let later = |fleet: &bladewane::records::Fleet<'_>| fleet.ledger.counts(schema.table).map(|c| c.later);
            prop_assert_eq!(later(&then), Some(0));
        }
    }
}

#[test]
fn the_undamaged_fleet_has_rows_of_every_fate() {
    let folder = folder(&tables());
    let loaded = folder.load();
    let fleet = as_of(&loaded, DATE);
    check_account(&fleet);
    let later: u32 =
        bladewane::records::schema::TABLES.iter().filter_map(|s| fleet.ledger.counts(s.table)).map(|c| c.later).sum();
    // Counted by hand: A5; two visits; three sheets; one report; two readings of hours and two of aircraft; one fitting;
    // one inspection; one check after an event; one second look; one decision; one stay.
    assert_eq!(later, 1 + 2 + 3 + 1 + 2 + 2 + 1 + 1 + 1 + 1 + 1 + 1);
    assert_eq!(set_aside(&fleet), [""; 0]);
}

#[test]
fn what_is_dated_later_in_a_row_of_today_is_not_yet_recorded() {
    let folder = folder(&tables());
    let loaded = folder.load();
    let then = as_of(&loaded, DATE);
    let now = as_of(&loaded, "2026-01-01");
    let of = |fleet: &bladewane::records::Fleet<'_>, serial: &str| fleet.propellers.find(serial).expect("a propeller");
    // Scrapped in 2025, so flying in 2020; scrapped in 2019, so scrapped.
    let a3 = of(&then, "A3");
    assert_eq!(then.propellers.get(a3).status, Status::Flying);
    assert_eq!(then.propellers.get(a3).end_date, None);
    assert_eq!(now.propellers.get(of(&now, "A3")).status, Status::Scrapped);
    let a2 = of(&then, "A2");
    assert_eq!(then.propellers.get(a2).status, Status::Scrapped);
    // Blended in 2023, so open in 2020.
    assert_eq!(then.defects.of(a2)[0].action, Action::NoAction);
    assert_eq!(then.defects.of(a2)[0].action_date, None);
    assert_eq!(now.defects.of(of(&now, "A2"))[0].action, Action::Blended);
    // Taken off in 2021, so on it in 2020.
    let a1 = of(&then, "A1");
    assert_eq!(then.flying.fittings(a1)[1].to, None);
    assert_eq!(now.flying.fittings(of(&now, "A1"))[1].to.map(|d| d.to_string()).as_deref(), Some("2021-01-01"));
    // Recheck, next due and price dates may lie ahead.
    assert_eq!(then.defects.of(a3)[0].recheck.map(|d| d.to_string()).as_deref(), Some("2030-01-01"));
    let m74 = then.models.find("M74").expect("a model");
    assert_eq!(then.prices.of(m74).and_then(|p| p.price_date).map(|d| d.to_string()).as_deref(), Some("2021-01-01"));
}

/// On its own day a row is there; the day before it is later.
#[test]
fn a_row_is_later_until_its_own_day() {
    let folder = FleetFolder::small().with("hours", "propeller,reading_date,hours_since_new\nA1,2020-06-01,5");
    let loaded = folder.load();
    let used = |date: &str| as_of(&loaded, date).flying.readings(0).len();
    assert_eq!((used("2020-05-31"), used("2020-06-01")), (0, 1));
}
