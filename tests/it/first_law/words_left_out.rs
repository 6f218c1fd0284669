//! A default holds only where the whole column is absent.

use crate::fleet_folder::{FleetFolder, as_of};
use bladewane::analysis::ranking::Ranked;
use bladewane::records::choice::{Acquired, Force, IntervalFrom, MonthRule, Outcome, Status, Use, Work};
use bladewane::records::models::Stated;
use bladewane::results::answers::Answers;
use bladewane::settings::Settings;

fn visit(header: &str, row: &str) -> (Option<Work>, Option<Outcome>, bool) {
    let folder =
        FleetFolder::small().with("overhauls", &format!("propeller,overhaul_date{header}\nA1,2010-01-01{row}"));
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let visit = &fleet.visits.of(0)[0];
    (visit.work, visit.outcome, visit.restarts_clock())
}

#[test]
fn without_the_columns_a_visit_is_an_overhaul_that_was_released() {
    assert_eq!(visit("", ""), (Some(Work::Overhaul), Some(Outcome::Released), true));
    // Unless it says why it was rejected.
    assert_eq!(visit(",reject_reason", ",crack"), (Some(Work::Overhaul), Some(Outcome::Rejected), false));
    assert_eq!(visit(",reject_reason", ","), (Some(Work::Overhaul), Some(Outcome::Released), true));
}

#[test]
fn work_that_is_empty_or_unreadable_does_not_restart_the_clock() {
    for cell in ["", "?", "overhual"] {
        assert_eq!(visit(",work", &format!(",{cell}")), (None, Some(Outcome::Released), false));
    }
}

#[test]
fn an_outcome_that_is_empty_or_unreadable_does_not_restart_the_clock() {
    for cell in ["", "n/a", "relesed"] {
        assert_eq!(visit(",outcome", &format!(",{cell}")), (Some(Work::Overhaul), None, false));
    }
    // A reason to reject beside an empty outcome leaves it not recorded.
    assert_eq!(visit(",outcome,reject_reason", ",,crack"), (Some(Work::Overhaul), None, false));
}

#[test]
fn only_an_overhaul_that_was_released_restarts_the_clock() {
    for work in ["repair", "repitch", "shorten", "dimensional inspection", "strike inspection"] {
        assert!(!visit(",work,outcome", &format!(",{work},released")).2, "{work}");
    }
    assert!(!visit(",work,outcome", ",overhaul,rejected").2);
    assert!(visit(",work,outcome,model_after", ",overhaul,released,M76").2);
}

#[test]
fn an_interval_s_force_that_is_empty_or_unreadable_binds() {
    let force = |models: &str| {
        let folder = FleetFolder::small().with("models", models);
        let loaded = folder.load();
        let fleet = as_of(&loaded, "2026-01-01");
        fleet.models.get(fleet.models.find("M76").expect("a model")).force
    };
    assert_eq!(force("model,interval_hours\nM76,2000"), Force::Recommended);
    assert_eq!(force("model,interval_force\nM76,recommended"), Force::Recommended);
    assert_eq!(force("model,interval_force\nM76,none"), Force::NoForce);
    for cell in ["", "-", "recomended"] {
        assert_eq!(force(&format!("model,interval_force\nM76,{cell}")), Force::Binding, "{cell}");
    }
    // A propeller's own that cannot be read binds too; an empty one leaves the model's.
    let own = |cell: &str| {
        let folder = FleetFolder::small().with("propellers", &format!("propeller,model,interval_force\nA1,M76,{cell}"));
        let loaded = folder.load();
        as_of(&loaded, "2026-01-01").propellers.get(0).force
    };
    assert_eq!((own("recomended"), own("")), (Some(Force::Binding), None));
}

/// `none` says that the maker states no such limit; an empty cell says nothing.
#[test]
fn none_in_an_interval_is_not_an_empty_cell() {
    let own = |cell: &str| {
        let folder = FleetFolder::small().with("propellers", &format!("propeller,model,interval_hours\nA1,M76,{cell}"));
        let loaded = folder.load();
        let fleet = as_of(&loaded, "2026-01-01");
        let of = fleet.propellers.get(0);
        (of.interval_hours, of.override_unreadable)
    };
    assert_eq!(own("none"), (Stated::NoLimit, false));
    assert_eq!(own(""), (Stated::NotRecorded, false));
    assert_eq!(own("1500"), (Stated::Value(1500.0), false));
    // An override that stands there and cannot be read: the limit it meant is not known.
    for cell in ["15OO", "0", "-1"] {
        assert_eq!(own(cell), (Stated::NotRecorded, true), "{cell}");
    }
}

#[test]
fn a_status_that_cannot_be_read_counts_as_flying() {
    let status = |cell: &str| {
        let folder =
            FleetFolder::small().with("propellers", &format!("propeller,status,end_date\nA1,{cell},2020-01-01"));
        let loaded = folder.load();
        as_of(&loaded, "2026-01-01").propellers.get(0).status
    };
    assert_eq!(status("scrapped"), Status::Scrapped);
    for cell in ["scraped", "in shop", "", "?"] {
        assert_eq!(status(cell), Status::Flying, "{cell}");
    }
}

#[test]
fn how_it_came_that_cannot_be_read_counts_as_unknown() {
    let folder = FleetFolder::small().with("propellers", "propeller,acquired\nA1,newish");
    let loaded = folder.load();
    assert_eq!(as_of(&loaded, "2026-01-01").propellers.get(0).acquired, Acquired::Unknown);
}

/// Of the two rules, and of the two days to count from, the one that comes due first.
#[test]
fn an_interval_s_rule_and_start_that_cannot_be_read_come_due_first() {
    let read = |rule: &str, from: &str| {
        let folder =
            FleetFolder::small().with("models", &format!("model,interval_rule,interval_from\nM76,{rule},{from}"));
        let loaded = folder.load();
        let fleet = as_of(&loaded, "2026-01-01");
        let model = fleet.models.get(0);
        (model.month_rule, model.interval_from)
    };
    assert_eq!(read("month_end", "installation"), (MonthRule::MonthEnd, IntervalFrom::Installation));
    for cell in ["month end of", "?", ""] {
        assert_eq!(read(cell, cell), (MonthRule::SameDay, IntervalFrom::Release), "{cell}");
    }
}

/// The serials of a fleet whose propellers differ in nothing but their use, in the order of the ranking.
fn order_of_uses(uses: [&str; 3]) -> (Vec<String>, Vec<Option<Use>>) {
    let rows: String = uses.iter().enumerate().map(|(at, word)| format!("A{at},M76,{word}\n")).collect();
    let folder = FleetFolder::small().with("propellers", &format!("propeller,model,use\n{rows}"));
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let settings = Settings::default();
    let answers = Answers::new(&fleet, &settings);
    let serial = |r: &Ranked| fleet.propellers.serial(r.propeller).to_string();
    let uses = fleet.propellers.list().iter().map(|p| p.usage).collect();
    (answers.ranking().iter().map(serial).collect(), uses)
}

#[test]
fn a_use_that_cannot_be_read_counts_as_rental_in_the_order_of_tiers() {
    assert_eq!(order_of_uses(["private", "training", "rental"]).0, ["A2", "A1", "A0"]);
    let (order, uses) = order_of_uses(["private", "training", "hire"]);
    assert_eq!(order, ["A2", "A1", "A0"]);
    // It is shown as not recorded all the same.
    assert_eq!(uses, [Some(Use::Private), Some(Use::Training), None]);
    // An empty one stands behind a rental and before the others.
    assert_eq!(order_of_uses(["private", "", "hire"]).0, ["A2", "A1", "A0"]);
}
