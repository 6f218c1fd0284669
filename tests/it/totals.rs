//! Totals across the fleet: by hand on six propellers, and what adds up whatever the records.

use arrow::array::{Array, AsArray};
use arrow::datatypes::{Float64Type, Int32Type};
use arrow::record_batch::RecordBatch;
use bladewane::questions::totals::{Key, every, totals};
use bladewane::questions::{across, worth};
use bladewane::records::Loaded;
use bladewane::results::answers::{Answers, Shown};
use bladewane::settings::Settings;

use crate::fleet_folder::{FleetFolder, as_of};
use crate::program::{bladewane, text};

const DATE: &str = "2026-01-01";

/// Six propellers at three bases; A6 is sold, A2 was rejected, nothing is known of A5 and little of A4.
fn six() -> FleetFolder {
    FleetFolder::small()
        .with("bases", "base,air\nWest,rural\nNorth,rural\nSouth,coast")
        .with(
            "propellers",
            "propeller,model,use,base,in_service_date,acquired,status,end_date,reports_kept_since
             A1,M76,rental,West,2000-01-01,new,flying,,2016-01-01
             A2,M76,rental,North,2000-01-01,new,flying,,
             A3,M76,training,North,2000-01-01,new,spare,,
             A4,M76,training,South,2000-01-01,new,flying,,
             A5,M76,,South,2000-01-01,new,flying,,
             A6,M76,rental,,2000-01-01,new,sold,2016-01-01,",
        )
        .with(
            "overhauls",
            "propeller,overhaul_date,work,outcome,reject_reason,shop,cost
             A1,2015-03-01,overhaul,released,,X,1000
             A2,2016-05-01,overhaul,rejected,dimension,X,300
             A3,2018-05-01,repair,released,,Y,200
             A4,2019-05-01,overhaul,released,,X,
             A4,2023-05-01,overhaul,released,,Y,1100
             A6,2014-01-01,overhaul,released,,Y,900",
        )
        .with(
            "measurements",
            "propeller,overhaul_date,blade,station_pct,thickness_before_in,thickness_after_in,width_before_in,width_after_in
             A1,2015-03-01,1,60,0.476,0.468,5.440,5.420
             A1,2015-03-01,2,60,0.474,0.470,5.430,
             A4,2019-05-01,1,60,0.470,0.460,5.430,5.400",
        )
        .with(
            "hours",
            "propeller,reading_date,hours_since_new
             A1,2016-01-01,1000
             A1,2026-01-01,2000",
        )
        .with(
            "defects",
            "propeller,found_date,kind,blade,action
             A1,2020-01-01,nick,1,blended
             A1,2020-06-01,strike,1,shop",
        )
}

fn made(loaded: &Loaded, keys: &[Key]) -> RecordBatch {
    let settings = Settings::default();
    let fleet = as_of(loaded, DATE);
    totals(&Answers::new(&fleet, &settings), &Shown::all(), keys).expect("totals")
}

/// One cell as a number; `None` when it is empty.
fn cell(table: &RecordBatch, row: usize, name: &str) -> Option<f64> {
    let values = table.column_by_name(name).unwrap_or_else(|| panic!("no column {name}"));
    values.is_valid(row).then(|| match values.as_primitive_opt::<Int32Type>() {
        Some(whole) => f64::from(whole.value(row)),
        None => values.as_primitive::<Float64Type>().value(row),
    })
}

fn row_of(table: &RecordBatch, column: &str, group: &str) -> usize {
    let groups = table.column_by_name(column).expect("a column").as_string::<i32>();
    let at = (0..table.num_rows())
        .find(|&row| if groups.is_null(row) { group.is_empty() } else { groups.value(row) == group });
    at.unwrap_or_else(|| panic!("no group {group}"))
}

fn check(table: &RecordBatch, row: usize, expected: &[(&str, Option<f64>)]) {
    for (name, value) in expected {
        let there = cell(table, row, name);
        let alike = match (there, value) {
            (Some(a), Some(b)) => (a - b).abs() < 1e-8,
            (a, b) => a.is_none() && b.is_none(),
        };
        assert!(alike, "row {row}, {name}: {there:?}, expected {value:?}");
    }
}

/// Hand algebra on the six propellers above.
#[test]
fn six_propellers_by_hand_by_base() {
    let loaded = six().load();
    let table = made(&loaded, &[Key::Base]);
    assert_eq!(table.num_rows(), 4, "three bases, and none recorded");
    check(
        &table,
        row_of(&table, "group", "West"),
        &[
            ("propellers", Some(1.0)),
            ("flying", Some(1.0)),
            ("overhauls", Some(1.0)),
            ("rejected", Some(0.0)),
            ("share_rejected", Some(0.0)),
            // (0.008 + 0.004) / 2; the width after of one reading is not known.
            ("thickness_removed_in", Some(0.006)),
            ("width_removed_in", Some(0.020)),
            // The strike is no finding of the rate; 1000 h from 2016-01-01 to 2026-01-01.
            ("findings", Some(1.0)),
            ("watched_hours", Some(1000.0)),
            ("findings_per_100h", Some(0.1)),
            // 365 days of the 3653 in which it flew 1000 h.
            ("hours_12_months", Some((365.0 / 3653.0 * 1e12_f64).round() / 1e9)),
            ("hours_not_known", Some(0.0)),
            ("spent", Some(1000.0)),
        ],
    );
    check(
        &table,
        row_of(&table, "group", "North"),
        &[
            ("propellers", Some(2.0)),
            ("flying", Some(1.0)),
            ("overhauls", Some(1.0)),
            ("rejected", Some(1.0)),
            // A rejection and a repair.
            ("share_rejected", Some(0.5)),
            ("thickness_removed_in", None),
            ("hours_12_months", None),
            ("hours_not_known", Some(2.0)),
            ("spent", Some(500.0)),
        ],
    );
    check(
        &table,
        row_of(&table, "group", "South"),
        &[
            ("propellers", Some(2.0)),
            ("overhauls", Some(2.0)),
            ("thickness_removed_in", Some(0.010)),
            ("spent", Some(1100.0)),
        ],
    );
    // Sold: it counts among no propellers, and its visit and its cost stay.
    check(
        &table,
        row_of(&table, "group", ""),
        &[("propellers", None), ("overhauls", Some(1.0)), ("spent", Some(900.0))],
    );
}

#[test]
fn six_propellers_by_hand_by_shop_and_by_two_keys() {
    let loaded = six().load();
    let table = made(&loaded, &[Key::Shop]);
    assert_eq!(table.num_rows(), 2);
    check(
        &table,
        row_of(&table, "group", "X"),
        &[
            ("propellers", None),
            ("overhauls", Some(3.0)),
            ("rejected", Some(1.0)),
            ("share_rejected", Some((1e9_f64 / 3.0).round() / 1e9)),
            // (0.008 + 0.004 + 0.010) / 3.
            ("thickness_removed_in", Some((0.022_f64 / 3.0 * 1e9).round() / 1e9)),
            ("findings", None),
            ("spent", Some(1300.0)),
        ],
    );
    check(
        &table,
        row_of(&table, "group", "Y"),
        &[("overhauls", Some(2.0)), ("share_rejected", Some(0.0)), ("spent", Some(2200.0))],
    );
    let years = made(&loaded, &[Key::Year]);
    check(&years, row_of(&years, "group", "2020"), &[("findings", Some(1.0)), ("overhauls", None), ("spent", None)]);
    check(&years, row_of(&years, "group", "2019"), &[("findings", None), ("overhauls", Some(1.0)), ("spent", None)]);
    let both = made(&loaded, &[Key::Use, Key::Shop]);
    let rows: Vec<(Option<f64>, Option<f64>)> =
        (0..both.num_rows()).map(|row| (cell(&both, row, "overhauls"), cell(&both, row, "spent"))).collect();
    // rental X, rental Y, training X, training Y.
    assert_eq!(
        rows,
        [(Some(2.0), Some(1300.0)), (Some(1.0), Some(900.0)), (Some(1.0), None), (Some(1.0), Some(1300.0))]
    );
}

/// Whatever they are grouped by, groups add up to the fleet.
#[test]
fn groups_add_up_to_the_fleet() {
    let settings = Settings::default();
    let folder = crate::damaged_fleet::folder(&crate::damaged_fleet::tables());
    for loaded in [six().load(), folder.load()] {
        let fleet = as_of(&loaded, DATE);
        let answers = Answers::new(&fleet, &settings);
        let table = every(&answers, &Shown::all()).expect("totals");
        let by = table.column_by_name("grouped_by").expect("a column").as_string::<i32>();
        let sum = |key: Key, name: &str| -> f64 {
            (0..table.num_rows()).filter(|&r| by.value(r) == key.word()).filter_map(|r| cell(&table, r, name)).sum()
        };
        let overhauls = fleet.visits.list().iter().filter(|v| v.is_overhaul()).count() as f64;
        let rejected = fleet.visits.list().iter().filter(|v| v.rejected()).count() as f64;
        let spent: f64 = fleet.spend.list().iter().map(|p| p.spent()).sum();
        for key in Key::ALL {
            assert_eq!(sum(key, "overhauls"), overhauls, "{key:?}");
            assert_eq!(sum(key, "rejected"), rejected, "{key:?}");
            assert!((sum(key, "spent") - spent).abs() < 1e-6, "{key:?}");
        }
        for key in [Key::Base, Key::Model, Key::Use, Key::Aircraft] {
            assert_eq!(sum(key, "propellers"), answers.ranking().len() as f64, "{key:?}");
            let urgent = answers.ranking().iter().filter(|r| r.tier <= 3).count() as f64;
            assert_eq!(sum(key, "tier_1_to_3"), urgent, "{key:?}");
        }
    }
}

#[test]
fn the_order_of_rows_changes_nothing() {
    let settings = Settings::default();
    let table = |loaded: &Loaded| {
        let fleet = as_of(loaded, DATE);
        every(&Answers::new(&fleet, &settings), &Shown::all()).expect("totals")
    };
    let turned = six().with(
        "overhauls",
        "propeller,overhaul_date,work,outcome,reject_reason,shop,cost
         A6,2014-01-01,overhaul,released,,Y,900
         A4,2023-05-01,overhaul,released,,Y,1100
         A4,2019-05-01,overhaul,released,,X,
         A3,2018-05-01,repair,released,,Y,200
         A2,2016-05-01,overhaul,rejected,dimension,X,300
         A1,2015-03-01,overhaul,released,,X,1000",
    );
    assert_eq!(table(&six().load()), table(&turned.load()));
}

#[test]
fn the_command_groups_by_one_or_two_and_refuses_more() {
    let folder = six();
    let fleet = folder.path().display().to_string();
    let run = |words: &[&str]| bladewane(&[&["totals", &fleet, "--as-of", DATE][..], words].concat());
    let one = text(&run(&["--by", "base", "--columns", "group,propellers,spent", "--format", "csv"]).stdout);
    assert_eq!(one, "group,propellers,spent\n,,900.0\nNorth,2,500.0\nSouth,2,1100.0\nWest,1,1000.0\n");
    let two = text(&run(&["--by", "use", "--by", "shop", "--columns", "and_group,spent", "--format", "csv"]).stdout);
    assert_eq!(two, "and_group,spent\nX,1300.0\nY,900.0\nX,\nY,1300.0\n");
    let kept = text(&run(&["--by", "base", "--where", "spent > 950", "--columns", "group", "--format", "csv"]).stdout);
    assert_eq!(kept, "group\nSouth\nWest\n");
    for words in [&["--by", "base", "--by", "base"][..], &["--by", "base", "--by", "use", "--by", "shop"]] {
        assert_eq!(run(words).status.code(), Some(2));
    }
    assert_eq!(run(&["--by", "colour"]).status.code(), Some(2));
    let of_rentals =
        text(&run(&["--by", "base", "--use", "rental", "--columns", "group,propellers", "--format", "csv"]).stdout);
    assert_eq!(of_rentals, "group,propellers\n,\nNorth,1\nWest,1\n");
}

/// What the plan says of its first year, and the same year alone.
#[test]
fn a_year_ahead_is_the_first_year_of_the_plan() {
    use bladewane::analysis::plan::from_records::question;
    use bladewane::analysis::plan::{Plan, year_ahead};

    let folder = crate::damaged_fleet::folder(&crate::damaged_fleet::tables());
    let (loaded, settings) = (folder.load(), Settings::default());
    for date in ["2012-01-01", "2018-01-01", "2026-01-01"] {
        let fleet = as_of(&loaded, date);
        let planned = Answers::new(&fleet, &settings).planned(&Shown::all());
        let asked = question(fleet.as_of, &settings);
        let alone = year_ahead(&planned.seats, &asked);
        let plan = Plan::of(&planned.seats, &asked);
        let first = plan.budget.iter().find(|r| r.model.is_none() && r.strength.is_none());
        match (alone, first) {
            (Some(alone), Some(first)) => {
                assert_eq!(alone.year, first.year);
                assert!((alone.overhauls - first.overhauls).abs() < 1e-9, "{date}");
                let cost = |row: &bladewane::analysis::plan::budget::BudgetRow| row.cost.as_ref().map(|c| c.expected);
                assert!((cost(&alone).unwrap_or(0.0) - cost(first).unwrap_or(0.0)).abs() < 1e-6, "{date}");
            }
            (alone, first) => assert!(alone.is_none() == first.is_none(), "{date}"),
        }
    }
}

#[test]
fn years_past_are_forecast_from_the_records_of_their_first_day() {
    let settings = Settings::default();
    let loaded = six().with("prices", "model,overhaul_cost,replacement_cost,rejection_cost\nM76,1000,4000,250").load();
    let fleet = as_of(&loaded, "2024-06-30");
    let answers = Answers::new(&fleet, &settings);
    let table = across(&answers, "budget_past", &Shown::all()).expect("made").expect("a table");
    let years: Vec<f64> = (0..table.num_rows()).filter_map(|row| cell(&table, row, "year")).collect();
    assert_eq!(years, [2019.0, 2020.0, 2021.0, 2022.0, 2023.0, 2024.0]);
    check(&table, 0, &[("overhauls_made", Some(1.0)), ("spent", None)]);
    check(&table, 4, &[("overhauls_made", Some(1.0)), ("spent", Some(1100.0))]);
    let against = table.column_by_name("against_range").expect("a column").as_string::<i32>();
    assert_eq!((against.value(0), against.value(5)), ("not known", "year not over"));
    // What came later than a year's first day changes nothing of its forecast.
    let without = six()
        .with("prices", "model,overhaul_cost,replacement_cost,rejection_cost\nM76,1000,4000,250")
        .with(
            "overhauls",
            "propeller,overhaul_date,work,outcome,reject_reason,shop,cost
             A1,2015-03-01,overhaul,released,,X,1000
             A2,2016-05-01,overhaul,rejected,dimension,X,300
             A3,2018-05-01,repair,released,,Y,200
             A4,2019-05-01,overhaul,released,,X,
             A6,2014-01-01,overhaul,released,,Y,900",
        )
        .load();
    let fleet = as_of(&without, "2024-06-30");
    let other = across(&Answers::new(&fleet, &settings), "budget_past", &Shown::all()).expect("made").expect("a table");
    for row in 0..5 {
        assert_eq!(cell(&table, row, "cost_expected"), cell(&other, row, "cost_expected"), "row {row}");
    }
}

/// (n C + R)/(n H) and (P - S + m C + R)/((m + 1) H) with C = 1000 + 100, R = 200, P = 4000 + 100, H = 500.
#[test]
fn an_hour_of_either_by_hand() {
    use bladewane::analysis::plan::seat::{Chances, Costs};

    let costs = Costs { overhaul: 1000.0, replacement: 4000.0, rejection: 200.0, removal: 100.0 };
    // Passing 1, 2, 3, 4 overhauls: 0.5, 0.25, 0.125, 0.0625; so one in ten passes 3, half pass 1, nine in ten pass none.
    let half = Chances::always(0.5);
    let [cheap, middle, dear] = worth::overhauled(&half, &costs, 500.0);
    assert_eq!((cheap, middle, dear), (Some(3500.0 / 1500.0), Some(1300.0 / 500.0), None));
    let [cheap, middle, dear] = worth::replaced(&half, &costs, 300.0, 500.0);
    let hour = |m: f64| Some((4100.0 - 300.0 + m * 1100.0 + 200.0) / ((m + 1.0) * 500.0));
    assert_eq!((cheap, middle, dear), (hour(3.0), hour(1.0), hour(0.0)));
    // One that never passes gives no hour at all.
    let never = Chances::always(0.0);
    assert_eq!(worth::overhauled(&never, &costs, 500.0), [None; 3]);
    assert_eq!(worth::dearer(&[None; 3], &[Some(1.0), Some(2.0), Some(3.0)]), "overhaul");
    let is = |a: [f64; 3], b: [f64; 3]| worth::dearer(&a.map(Some), &b.map(Some));
    assert_eq!(is([1.0, 1.1, 1.2], [2.0, 2.1, 2.2]), "replace");
    assert_eq!(is([2.0, 2.1, 2.2], [1.0, 1.1, 1.2]), "overhaul");
    assert_eq!(is([1.0, 1.5, 2.0], [1.4, 1.9, 2.4]), "no clear difference");
    assert_eq!(is([1.0, 1.5, 2.0], [1.6, 2.1, 2.6]), "replace");
    // A dearer worst case never makes the overhaul look cheaper than it did.
    assert_eq!(worth::dearer(&[Some(1.0), Some(1.5), None], &[Some(1.4), Some(1.9), Some(2.4)]), "no clear difference");
}
