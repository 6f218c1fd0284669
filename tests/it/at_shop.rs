//! A propeller at a shop: where it is, since when, when it comes back; and that it is away until then. Common practice, no
//! source; the arithmetic of months by hand.

use bladewane::analysis::plan::Plan;
use bladewane::analysis::plan::seat::Seat;
use bladewane::analysis::standing::List;
use bladewane::records::Fleet;
use bladewane::records::choice::Status;
use bladewane::results::answers::{Answers, Shown};
use bladewane::settings::Settings;

use crate::fleet_folder::{FleetFolder, as_of, cautions, day};
use crate::judged::{in_order, said, said_with};
use crate::plan::{question, seat, seats};
use crate::program::{bladewane, text};

/// The spare of the fleet that is in order, at a shop, with what the columns `sent_date,expected_back_date,shop` say of it.
fn at_shop(cells: &str) -> FleetFolder {
    at_shop_with("", "", cells)
}

fn at_shop_with(columns: &str, more: &str, cells: &str) -> FleetFolder {
    in_order().with(
        "propellers",
        &format!(
            "propeller,model,use,base,in_service_date,acquired,status,sent_date,expected_back_date,shop{columns}\n\
             T1,M76,training,Home,2024-06-01,new,flying,,,\nC1,M76,club,Home,2024-06-01,new,flying,,,\n\
             S1,M76,training,Home,2024-06-01,new,at shop,{cells}{more}\n"
        ),
    )
}

/// What tier 6 says of the time to come, after the next step.
const LATER: &str = "; next overhaul due 2034-06-01, to be booked by 2034-04-02";

#[test]
fn the_next_step_says_where_it_is_and_when_it_comes_back() {
    for (cells, words) in [
        ("2025-11-03,2026-02-10,Quarry Props", "at Quarry Props since 2025-11-03, expected back 2026-02-10"),
        ("2025-11-03,2026-01-01,Quarry Props", "at Quarry Props since 2025-11-03, expected back 2026-01-01"),
        ("2025-11-03,2025-12-31,Quarry Props", "overdue back since 2025-12-31 (at Quarry Props since 2025-11-03)"),
        ("2025-11-03,2026-02-10,", "at a shop since 2025-11-03, expected back 2026-02-10"),
        (",2026-02-10,Quarry Props", "at Quarry Props, expected back 2026-02-10"),
        (",2025-12-20,", "overdue back since 2025-12-20"),
        (",,", "ask the shop: no return date on record"),
        ("2025-11-03,,Quarry Props", "ask the shop: no return date on record (at Quarry Props since 2025-11-03)"),
    ] {
        let folder = at_shop(cells);
        let said = said(&folder, "S1");
        assert_eq!((said.tier, said.next_step), (6, format!("{words}{LATER}")), "{cells}");
    }
}

/// What the shop is there for gives way; what a mechanic or the office must do stands behind it.
#[test]
fn what_is_to_be_done_stands_behind_it_unless_the_shop_is_doing_it() {
    let cells = "2025-11-03,2026-02-10,Quarry Props";
    let words = "at Quarry Props since 2025-11-03, expected back 2026-02-10";
    let past = at_shop_with(",interval_months", ",12", cells);
    let of_past = said(&past, "S1");
    assert!(of_past.reason.starts_with("past recommended limit by 214 days"), "{of_past:?}");
    assert_eq!((of_past.tier, of_past.next_step.as_str()), (3, words));
    let nick = at_shop(cells).with("defects", "propeller,found_date,kind\nS1,2025-10-30,nick\n");
    let of_nick = said(&nick, "S1");
    assert_eq!(of_nick.tier, 1);
    assert_eq!(of_nick.next_step, format!("{words}; before flight a mechanic measures it and records depth and place"));
}

#[test]
fn before_it_was_sent_it_was_flying() {
    let folder = at_shop("2025-11-03,2026-02-10,Quarry Props");
    let loaded = folder.load();
    let status = |date: &str| {
        let fleet = Fleet::as_of(&loaded, day(date), &Settings::default());
        let of = fleet.propellers.get(fleet.propellers.find("S1").expect("listed"));
        (of.status, of.sent)
    };
    assert_eq!(status("2025-11-02"), (Status::Flying, None));
    assert_eq!(status("2025-11-03"), (Status::AtShop, Some(day("2025-11-03"))));
    assert_eq!(said_with(&folder, "2025-11-02", "", "S1").next_step, format!("nothing now{LATER}"));
}

/// The same with an hour limit and own readings up to December 2024, and without a table of fittings.
fn with_hours(cells: &str) -> FleetFolder {
    at_shop(cells)
        .with("fitted", "propeller,aircraft,from_date\n")
        .with("models", "model,diameter_in,blades,interval_hours,interval_months\nM76,76,2,2000,120\n")
        .with("hours", "propeller,reading_date,hours_since_new\nS1,2024-06-02,10\nS1,2024-12-01,70\n")
}

/// Hours since new of the one at a shop, which flew at the use rate until it was sent.
fn hours_of(cells: &str) -> Option<f64> {
    let folder = with_hours(cells);
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let settings = Settings::default();
    let answers = Answers::new(&fleet, &settings);
    let propeller = fleet.propellers.find("S1").expect("listed");
    let row = answers.due().of(propeller).expect("a row");
    assert_eq!(row.list, List::AtShop);
    row.hours.and_then(|hours| hours.today)
}

#[test]
fn it_flies_nothing_from_the_day_it_was_sent() {
    let (early, late) = (hours_of("2024-12-02,,").expect("hours"), hours_of("2025-03-02,,").expect("hours"));
    assert!((69.9..71.0).contains(&early), "{early}");
    // 60 h in 182 days before: about 30 h more in 90 days.
    assert!((25.0..36.0).contains(&(late - early)), "{early} {late}");
    // Not known since when: that is asked for, behind where it is.
    let unknown = said(&with_hours(",2026-02-10,Quarry Props"), "S1");
    assert_eq!(unknown.tier, 4, "{unknown:?}");
    assert_eq!(
        unknown.next_step,
        "at Quarry Props, expected back 2026-02-10; write the day it came off in `removed_date`, or end its fitting in `fitted`"
    );
}

/// First law: no cell of the three, emptied or spoilt, lowers the tier, shortens the time away or takes hours off.
#[test]
fn no_empty_or_spoilt_cell_looks_better() {
    let whole = ["2024-12-02", "2026-02-10", "Quarry Props"];
    let away = |folder: &FleetFolder| {
        let loaded = folder.load();
        let fleet = as_of(&loaded, "2026-01-01");
        let settings = Settings::default();
        let answers = Answers::new(&fleet, &settings);
        let list = &answers.planning(&Shown::all()).planned.seats.list;
        list.iter().map(|s| s.back).fold(0.0, f64::max)
    };
    let there = with_hours(&whole.join(","));
    let (tier, back) = (said(&there, "S1").tier, away(&there));
    // 2026-02-10: all of January and 9 of 28 days.
    assert!((back - (1.0 + 9.0 / 28.0)).abs() < 1e-12, "{back}");
    let hours = hours_of(&whole.join(",")).expect("hours");
    for at in 0..3 {
        for with in ["", "?", "2026-02-30", "soon", "#REF!"] {
            let mut cells = whole;
            cells[at] = with;
            let cells = cells.join(",");
            let folder = with_hours(&cells);
            assert!(said(&folder, "S1").tier <= tier, "{cells}");
            assert!(away(&folder) >= back, "{cells}");
            assert!(hours_of(&cells).is_none_or(|h| h >= hours), "{cells}");
        }
    }
}

#[test]
fn days_that_cannot_be_are_said() {
    let told = |folder: FleetFolder| {
        let loaded = folder.load();
        let fleet = as_of(&loaded, "2026-01-01");
        let of_table = cautions(&fleet).into_iter().filter(|c| c.starts_with("propellers.csv"));
        of_table.collect::<Vec<_>>()
    };
    assert_eq!(
        told(at_shop("2025-11-03,2025-10-10,Quarry Props")),
        [
            "propellers.csv:4 expected_back_date [2025-10-10] - - x1 expected back before it was sent, so no return date counts | correct sent_date or expected_back_date"
        ]
    );
    assert_eq!(
        said(&at_shop("2025-11-03,2025-10-10,"), "S1").next_step,
        format!("ask the shop: no return date on record (at a shop since 2025-11-03){LATER}")
    );
    assert_eq!(
        told(at_shop_with(",removed_date", ",2025-11-10", "2025-11-03,2026-02-10,")),
        [
            "propellers.csv:4 sent_date [2025-11-03] - - x1 sent to a shop before it came off its aircraft; the later day counts | correct sent_date or removed_date"
        ]
    );
    let flying = in_order()
        .with("propellers", "propeller,model,status,sent_date\nT1,M76,flying,2025-11-03\nC1,M76,flying,2025-03-03\n");
    let visit = "propeller,overhaul_date,work,outcome\nC1,2025-04-01,repair,released\n";
    let words = "propellers.csv:2 sent_date [2025-11-03] T1 - x1 sent to a shop, no visit on record since, and not at shop by its status; it counts as its status says | write at shop as its status, or empty sent_date when it is back";
    assert_eq!(told(flying.with("overhauls", visit)), [words]);
    // Unreadable: quoted, and not recorded.
    let told = told(at_shop("2025-11-03,soon,"));
    assert!(told[0].contains("expected_back_date: \"soon\" is not a date"), "{told:?}");
}

/// A seat that is never due within the plan, at a shop until a place in months.
fn away_by_month(back: f64, first: Seat) -> Vec<f64> {
    let plan = Plan::of(&seats(vec![Seat { back, ..first }]), &question(1));
    plan.out_at_once.iter().map(|row| row.propellers_out).collect()
}

#[test]
fn it_is_away_until_it_comes_back() {
    let never = || Seat { overhaul_days: Some(30.0), ..seat(600, 600, 1.0) };
    assert_eq!(away_by_month(0.0, never())[..3], [0.0, 0.0, 0.0]);
    assert_eq!(away_by_month(2.25, never())[..4], [1.0, 1.0, 0.25, 0.0]);
    // Without a return date ahead it counts as away in every month.
    assert_eq!(away_by_month(f64::INFINITY, never()), [1.0; 12]);
}

/// 45.65625 days are a month and a half: due in February, it is away for February and half of March.
#[test]
fn an_overhaul_while_it_is_there_is_that_stay() {
    let due = || Seat { overhaul_days: Some(365.25 / 8.0), ..seat(1, 600, 1.0) };
    assert_eq!(away_by_month(0.0, due())[..4], [0.0, 1.0, 0.5, 0.0]);
    // There until a quarter of April: nothing is added.
    assert_eq!(away_by_month(3.25, due())[..5], [1.0, 1.0, 1.0, 0.25, 0.0]);
    // Back in the middle of February by its date: the rest is, and no month counts it twice.
    assert_eq!(away_by_month(1.5, due())[..4], [1.0, 1.0, 0.5, 0.0]);
}

const PRICES: &str = "model,overhaul_cost,replacement_cost,overhaul_days,replacement_days\nM76,1000,5000,30,90\n";

#[test]
fn explain_sheet_and_plan_tell_it() {
    let folder = at_shop("2025-11-03,2026-02-10,Quarry Props")
        .with("prices", "model,overhaul_cost,replacement_cost,overhaul_days,replacement_days\nM76,1000,5000,30,90\n");
    let fleet = folder.path().display().to_string();
    let out = |args: &[&str]| {
        let args: Vec<&str> = args.iter().copied().chain(["--as-of", "2026-01-01"]).collect();
        text(&bladewane(&args).stdout).split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let words = "t Quarry Props since 2025-11-03, expected back 2026-02-10";
    assert!(out(&["explain", &fleet, "S1"]).contains(&format!("A{words}.")));
    assert!(out(&["sheet", &fleet, "S1"]).contains(&format!("a{words}")));
    let away_in_may = |cells: &str| {
        let priced = at_shop(cells).with("prices", PRICES);
        let fleet = priced.path().display().to_string();
        let months = out(&["show", &fleet, "out_at_once", "--format", "csv", "--columns", "month,propellers_out"]);
        let may = months.split_whitespace().find_map(|line| line.strip_prefix("2026-05-01,"));
        may.and_then(|away| away.parse::<f64>().ok()).expect("a number")
    };
    // The rest are unscheduled visits.
    assert!((0.0..0.1).contains(&away_in_may("2025-11-03,2026-02-10,Quarry Props")));
    assert!((1.0..1.1).contains(&away_in_may("2025-11-03,,Quarry Props")));
    let page_of = |cells: &str| out(&["budget", &at_shop(cells).with("prices", PRICES).path().display().to_string()]);
    assert!(!page_of("2025-11-03,2026-02-10,Quarry Props").contains("at a shop today"));
}
