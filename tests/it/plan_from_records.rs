//! The plan's seats as a fleet folder gives them: what is overdue, which month it is due, prices, spares, what is stood in for.

use crate::fleet_folder::{FleetFolder, as_of};
use bladewane::analysis::plan::from_records::Planned;
use bladewane::analysis::plan::prices::LeadBasis;
use bladewane::analysis::plan::seat::{Costs, First, Seat, Strength};
use bladewane::results::answers::{Answers, Shown};
use bladewane::settings::Settings;

const MODELS: &str = "
    model,diameter_in,blades,interval_hours,interval_months,interval_force
    M76,76,2,none,72,binding
    M70,70,2,none,60,recommended";
const PROPELLERS: &str = "
    propeller,model,status,in_service_date,acquired
    A1,M76,flying,2000-01-01,new
    A2,M76,flying,2000-01-01,new
    A3,M70,flying,2000-01-01,used
    A4,M70,spare,2000-01-01,new
    A5,M70,spare,2000-01-01,new
    A6,M70,flying,2000-01-01,new";
const OVERHAULS: &str = "
    propeller,overhaul_date,work,outcome
    A1,2021-03-10,overhaul,released
    A2,2019-02-01,overhaul,released
    A4,2024-05-05,overhaul,released
    A5,2015-05-05,overhaul,released
    A6,2025-05-05,overhaul,rejected";
const PRICES: &str = "
    model,overhaul_cost,replacement_cost,rejection_cost,removal_cost,overhaul_days,replacement_days,price_date
    M76,1000,4000,250,300,30,100,2025-01-01";

fn folder() -> FleetFolder {
    FleetFolder::empty().with("propellers", PROPELLERS).with("models", MODELS).with("overhauls", OVERHAULS)
}

fn with_planned<T>(
    folder: &FleetFolder,
    settings: &Settings,
    look: impl FnOnce(&Planned, &dyn Fn(&str) -> Option<Seat>) -> T,
) -> T {
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let answers = Answers::new(&fleet, settings);
    let planning = answers.planning(&Shown::all());
    let seat = |serial: &str| {
        let propeller = fleet.propellers.find(serial)?;
        let list = &planning.planned.seats.list;
        list.iter().find(|s| s.propeller == propeller).cloned()
    };
    look(&planning.planned, &seat)
}

#[test]
fn when_each_seat_is_due() {
    with_planned(&folder(), &Settings::default(), |planned, seat| {
        // 2021-03-10 + 72 months is March 2027, 14 months after January 2026.
        let first = seat("A1").unwrap();
        assert_eq!(first.first, First::Due { calendar_month: Some(14), hours_months: None });
        assert_eq!(first.strength, Strength::Binding);
        assert_eq!(first.interval_months, Some(72));
        // Passed in February 2025; never overhauled and not new; a spare past its limit.
        for serial in ["A2", "A3", "A5"] {
            assert_eq!(seat(serial).unwrap().first, First::Overdue { month: 0 }, "{serial}");
        }
        assert_eq!(seat("A3").unwrap().strength, Strength::Recommended);
        assert!(seat("A4").unwrap().spare && !first.spare);
        // Rejected at its last visit: no seat.
        assert_eq!(seat("A6"), None);
        assert_eq!(planned.ended, 1);
        // A spare past its limit is none to install.
        let spares = |name: &str| planned.seats.shelves.iter().find(|s| s.model == name).unwrap().spares;
        assert_eq!((spares("M70"), spares("M76")), (1, 0));
        assert!(!planned.seats.priced);
        // No sheet of any propeller: nothing tells a chance.
        assert_eq!(planned.no_chances, 5);
    });
}

#[test]
fn overdue_work_is_spread_over_the_months_allowed() {
    let mut settings = Settings::default();
    settings.budget.overhauls_per_month = Some(1);
    with_planned(&folder(), &settings, |_, seat| {
        // Without any date first, then the longest overdue: A5 since 2020, A2 since 2025.
        for (serial, month) in [("A3", 0), ("A5", 1), ("A2", 2)] {
            assert_eq!(seat(serial).unwrap().first, First::Overdue { month }, "{serial}");
        }
    });
}

#[test]
fn what_is_below_a_minimum_is_not_planned_for_its_due_date() {
    // Due in 2027 by the calendar; blade 1 is 0.001 in below the minimum of 0.189 in at 90 %.
    let below = folder()
        .with(
            "limits",
            "
            model,station_pct,thickness_new_in,thickness_min_in
            M76,90,0.249,0.189",
        )
        .with(
            "measurements",
            "
            propeller,overhaul_date,blade,station_pct,thickness_before_in,thickness_after_in
            A1,2021-03-10,1,90,0.196,0.188
            A1,2021-03-10,2,90,0.206,0.198",
        )
        .with("prices", PRICES);
    let settings = Settings::default();
    with_planned(&below, &settings, |_, seat| {
        assert_eq!(seat("A1").unwrap().first, First::Overdue { month: 0 });
    });
    let loaded = below.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let answers = Answers::new(&fleet, &settings);
    let bought = answers.purchases(&Shown::all());
    let a1 = bought.iter().find(|p| Some(p.propeller) == fleet.propellers.find("A1"));
    let a1 = a1.expect("it is to be replaced");
    assert_eq!(a1.order_by, Some(fleet.as_of));
    assert_eq!(a1.due.map(|d| d.to_string()).as_deref(), Some("2027-03-10"));
    assert_eq!((a1.lead.days, a1.lead.basis), (100.0, LeadBasis::Recorded));
}

#[test]
fn prices_grow_from_their_date_and_the_dearest_stand_in() {
    let folder = folder().with("prices", PRICES);
    let mut settings = Settings::default();
    settings.fleet.price_growth_pct = 10.0;
    with_planned(&folder, &settings, |planned, seat| {
        // A year of 365 days, 10 % a year of 365.25 days.
        let grown = 1.1f64.powf(365.0 / 365.25);
        let Costs { overhaul, replacement, rejection, removal } = seat("A1").unwrap().costs.unwrap();
        for (cost, list) in [(overhaul, 1000.0), (replacement, 4000.0), (rejection, 250.0), (removal, 300.0)] {
            assert!((cost - list * grown).abs() < 1e-9, "{cost}");
        }
        // M70 has none of its own.
        assert_eq!(seat("A3").unwrap().costs, seat("A1").unwrap().costs);
        assert_eq!(planned.unpriced_models.len(), 1);
        assert_eq!(seat("A1").unwrap().replacement_days, Some(100.0));
    });
}

/// Two visits for damage in two propellers' 1,000 hours of 10 years each: (2 + 1/2)/2,000 an hour.
#[test]
fn unscheduled_visits_an_hour() {
    let folder = FleetFolder::empty()
        .with(
            "propellers",
            "
            propeller,model,in_service_date,acquired
            A1,M76,2016-01-01,new
            A2,M76,2016-01-01,new",
        )
        .with("models", MODELS)
        .with(
            "overhauls",
            "
            propeller,overhaul_date,work,outcome,reason
            A1,2019-01-01,repair,released,damage
            A1,2020-01-01,overhaul,released,strike
            A2,2020-01-01,overhaul,released,scheduled",
        )
        .with(
            "hours",
            "
            propeller,reading_date,hours_since_new
            A1,2016-01-01,0
            A1,2026-01-01,1000
            A2,2016-01-01,0
            A2,2026-01-01,1000",
        );
    with_planned(&folder, &Settings::default(), |planned, seat| {
        assert_eq!(planned.unscheduled.visits, 2);
        assert!((planned.unscheduled.per_hour.unwrap() - 2.5 / 2_000.0).abs() < 1e-9);
        let seat = seat("A2").unwrap();
        // 1,000 hours in 3,653 days.
        let month = 1_000.0 / 3_653.0 * 365.25 / 12.0;
        assert!((seat.hours_per_month - month).abs() < 1e-9);
    });
}

/// What is shown is planned; what is learnt from does not change with it.
#[test]
fn a_filter_narrows_the_plan_only() {
    let folder = folder().with("prices", PRICES);
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let settings = Settings::default();
    let answers = Answers::new(&fleet, &settings);
    let first = fleet.propellers.find("A1").unwrap();
    let only = answers.planning(&Shown::only(&fleet, |p| p == first));
    let all = answers.planning(&Shown::all());
    assert_eq!((only.planned.seats.list.len(), all.planned.seats.list.len()), (1, 5));
    let in_all = all.planned.seats.list.iter().find(|s| s.propeller == first).unwrap();
    let alone = &only.planned.seats.list[0];
    assert_eq!(Seat { model: 0, ..in_all.clone() }, Seat { model: 0, ..alone.clone() });
    assert_eq!(only.planned.unscheduled, all.planned.unscheduled);
}

/// A spare within its limit and above its minimum may be installed; one that its last sheet shows below may not.
#[test]
fn a_spare_below_a_minimum_is_none_on_the_shelf() {
    let on_shelf = |after: &str| {
        let folder = FleetFolder::empty()
            .with(
                "propellers",
                "propeller,model,status,in_service_date,acquired
                C1,M76,spare,2000-01-01,new
                C2,M76,flying,2000-01-01,new",
            )
            .with("models", MODELS)
            .with(
                "overhauls",
                "propeller,overhaul_date,work,outcome
                C1,2024-05-05,overhaul,released
                C2,2024-05-05,overhaul,released",
            )
            .with("limits", "model,station_pct,thickness_new_in,thickness_min_in\nM76,60,0.476,0.413")
            .with(
                "measurements",
                &format!("propeller,overhaul_date,blade,station_pct,thickness_after_in\nC1,2024-05-05,1,60,{after}"),
            );
        with_planned(&folder, &Settings::default(), |planned, _| planned.seats.shelves[0].spares)
    };
    assert_eq!(on_shelf("0.430"), 1);
    assert_eq!(on_shelf("0.410"), 0);
}

#[test]
fn the_notes_say_what_a_treasurer_would_ask() {
    let folder = FleetFolder::empty()
        .with(
            "propellers",
            "propeller,model,status,in_service_date,acquired,interval_force
            D1,M70,spare,2000-01-01,new,
            D2,M70,flying,2000-01-01,new,none
            D3,M70,at_shop,2000-01-01,new,",
        )
        .with("models", MODELS)
        .with(
            "overhauls",
            "propeller,overhaul_date,work,outcome
            D1,2015-05-05,overhaul,released
            D2,2024-05-05,overhaul,released
            D3,2024-05-05,overhaul,released",
        )
        .with("prices", PRICES);
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let settings = Settings::default();
    let answers = Answers::new(&fleet, &settings);
    let notes = answers.planning(&Shown::all()).notes();
    for start in [
        "1 propeller overdue",
        "1 of them on the shelf",
        "1 propeller whose limits are not watched by choice",
        "1 propeller at a shop today without a return date ahead on record: counted as away in every month",
    ] {
        assert!(notes.iter().any(|n| n.starts_with(start)), "{start}: {notes:?}");
    }
}

#[test]
fn an_open_crack_is_planned_now_and_a_spare_with_an_open_nick_is_none_on_the_shelf() {
    let settings = Settings::default();
    let on_the_shelf = |folder: &FleetFolder| {
        with_planned(folder, &settings, |planned, _| {
            let shelf = planned.seats.shelves.iter().find(|s| s.model == "M70");
            shelf.map(|s| s.spares)
        })
    };
    // Of the two spares of M70, A5 is past its limit.
    assert_eq!(on_the_shelf(&folder()), Some(1));
    let found = folder().with(
        "defects",
        "
        propeller,found_date,blade,station_pct,surface,kind,depth_in
        A1,2025-06-01,1,75,leading_edge,crack,0.02
        A4,2025-06-01,1,75,leading_edge,nick,0.02",
    );
    assert_eq!(on_the_shelf(&found), Some(0));
    with_planned(&found, &settings, |_, seat| {
        // Due in 2027 by the calendar.
        assert_eq!(seat("A1").unwrap().first, First::Overdue { month: 0 });
    });
    let loaded = found.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let answers = Answers::new(&fleet, &settings);
    let bought = answers.purchases(&Shown::all());
    let a1 = fleet.propellers.find("A1");
    let a1 = bought.iter().find(|p| Some(p.propeller) == a1);
    let a1 = a1.expect("it is to be replaced");
    assert_eq!((a1.reject_chance, a1.order_by), (1.0, Some(fleet.as_of)));
}

/// Rejected and still on an aircraft: its replacement is a line of its own beside the catch-up sum, never in it.
#[test]
fn a_rejected_one_still_on_an_aircraft_may_have_to_be_replaced() {
    let of = |aircraft: &str, more: &str| {
        let propellers = format!(
            "propeller,model,status,in_service_date,acquired,aircraft,end_date
             A1,M76,flying,2000-01-01,new,Robin,
             A6,M70,flying,2000-01-01,new,{aircraft},
             A7,M70,scrapped,2000-01-01,new,,{more}"
        );
        let priced = folder().with("propellers", &propellers).with("prices", PRICES);
        let settings = Settings::default();
        let loaded = priced.load();
        let fleet = as_of(&loaded, "2026-01-01");
        let answers = Answers::new(&fleet, &settings);
        let planning = answers.planning(&Shown::all());
        let planned = &planning.planned;
        let notes = planning.notes().join("\n");
        (planned.ended_on_aircraft, planned.ended_cost, planning.plan.reserve.catch_up_sum, notes)
    };
    let (on_none, cost, catch_up, notes) = of("", "2024-01-01");
    assert_eq!((on_none, cost), (0, Some(0.0)));
    assert!(notes.contains("1 propeller rejected, scrapped or sold but still listed: not in the plan\n"), "{notes}");
    // A new one, off, on, balance and freight, of the dearest model: M70 has no prices.
    let (on_one, cost, with_it, notes) = of("Heron", "2024-01-01");
    assert_eq!((on_one, cost, with_it), (1, Some(4_300.0), catch_up));
    assert!(
        notes.contains("; 1 of them still shown on an aircraft, to be replaced now if it flies with it"),
        "{notes}"
    );
}

/// Scrapped on no known day and flown since: out of service all the same, so no seat and no purchase.
#[test]
fn one_that_is_gone_on_no_known_day_is_no_seat() {
    let gone = folder()
        .with(
            "propellers",
            "propeller,model,status,in_service_date,acquired\nA1,M76,flying,2000-01-01,new\nA6,M70,sold,2000-01-01,new",
        )
        .with("overhauls", "propeller,overhaul_date,work,outcome\nA1,2021-03-10,overhaul,released")
        .with("fitted", "propeller,aircraft,from_date\nA6,Heron,2020-01-01");
    with_planned(&gone, &Settings::default(), |planned, seat| {
        assert!(seat("A1").is_some() && seat("A6").is_none());
        assert_eq!((planned.ended, planned.ended_on_aircraft), (1, 1));
    });
}
