//! The state in words: each of them, and which comes first.

use bladewane::analysis::due::{DO_NOT_INSTALL, DueRow, State};
use bladewane::analysis::standing::List;
use bladewane::records::choice::{Force, InspectionKind, InspectionResult};
use bladewane::settings::Settings;

use super::fleet::{Tables, day, near, one, one_with_model, one_with_propeller};

const MODEL: &str = "interval_hours,interval_months,interval_force";

/// Overhauled on 1 January 2023, 365 h in the year since.
fn flown(tables: Tables) -> Tables {
    tables.overhauls(&["2023-01-01,1000"]).hours(&["2023-05-01,1120", "2023-09-01,1243", "2024-01-01,1365"])
}

fn with_model(cells: &str) -> DueRow {
    flown(one_with_model(MODEL, cells)).row("2024-01-01")
}

#[test]
fn every_state_has_its_words() {
    for (state, words) in [
        (State::PastBindingLimit, "past binding limit"),
        (State::PastBindingByEstimate, "past binding limit (by estimated hours)"),
        (State::PastRecommendedLimit, "past recommended limit"),
        (State::PastRecommendedByEstimate, "past recommended limit (by estimated hours)"),
        (State::NoOverhaulOnRecord, "no overhaul on record"),
        (State::HoursNotKnown, "hours not known"),
        (State::LimitWithin { days: 90 }, "limit within 90 days"),
        (State::WithinLimit, "within limit"),
        (State::NoLimitStated, "no limit stated"),
        (State::NoLimitByChoice, "no limit stated by choice"),
    ] {
        assert_eq!(state.to_string(), words);
    }
    assert_eq!(DO_NOT_INSTALL, "do not install");
}

#[test]
fn binding_or_recommended_is_what_the_records_say() {
    for (cells, state) in [
        ("300,72,binding", State::PastBindingLimit),
        ("300,72,recommended", State::PastRecommendedLimit),
        ("300,72,", State::PastBindingLimit),
        ("300,72,none", State::NoLimitByChoice),
        ("2000,6,binding", State::PastBindingLimit),
        ("2000,6,recommended", State::PastRecommendedLimit),
        ("2000,72,binding", State::WithinLimit),
        ("2000,72,none", State::NoLimitByChoice),
    ] {
        assert_eq!(with_model(cells).state, state, "{cells}");
    }
    // Without the column a limit is advice.
    let row = flown(one_with_model("interval_hours,interval_months", "300,72")).row("2024-01-01");
    assert_eq!(row.state, State::PastRecommendedLimit);
}

#[test]
fn by_choice_the_dates_are_still_shown() {
    let row = with_model("300,72,none");
    assert_eq!(row.due_calendar, Some(day("2029-01-01")));
    assert_eq!(row.due, Some(day("2023-10-28")));
    near(row.hours_to_due.expect("hours are known"), -65.0);
}

#[test]
fn the_earlier_of_both_limits_is_due() {
    // 500 h at 1 h a day from 1 January 2023; 24 months.
    let hours = with_model("500,24,binding");
    assert_eq!(hours.due, Some(day("2024-05-15")));
    assert_eq!(hours.days_to_due, Some(135));
    let months = with_model("500,14,binding");
    assert_eq!(months.due, Some(day("2024-03-01")));
    assert_eq!(months.state, State::LimitWithin { days: 90 });
}

#[test]
fn the_warning_window_is_a_setting() {
    let mut settings = Settings::default();
    let state = |settings: &Settings| {
        flown(one_with_model(MODEL, "500,24,binding")).due_with("2024-01-01", settings, |_, due| due.rows[0].state)
    };
    assert_eq!(state(&settings), State::WithinLimit);
    settings.due.warning_days = 135;
    assert_eq!(state(&settings), State::LimitWithin { days: 135 });
    settings.due.warning_days = 134;
    assert_eq!(state(&settings), State::WithinLimit);
}

#[test]
fn an_empty_limit_is_not_a_limit_of_none() {
    for (cells, state) in [
        (",72,binding", State::NoLimitStated),
        ("2000,,binding", State::NoLimitStated),
        (",,binding", State::NoLimitStated),
        // The other limit is passed.
        (",6,binding", State::PastBindingLimit),
        ("300,,recommended", State::PastRecommendedLimit),
        // The maker states no such limit.
        ("none,72,binding", State::WithinLimit),
        ("2000,none,binding", State::WithinLimit),
        ("none,none,binding", State::NoLimitStated),
    ] {
        assert_eq!(with_model(cells).state, state, "{cells}");
    }
}

#[test]
fn without_an_hour_limit_hours_need_not_be_known() {
    let row = one_with_model(MODEL, "none,72,binding")
        .with("overhauls", "propeller,overhaul_date", &["P,2023-01-01"])
        .row("2024-01-01");
    assert_eq!(row.state, State::WithinLimit);
    let row = one_with_model(MODEL, "2000,72,binding")
        .with("overhauls", "propeller,overhaul_date", &["P,2023-01-01"])
        .row("2024-01-01");
    assert_eq!(row.state, State::HoursNotKnown);
}

#[test]
fn hours_not_known_are_said_before_a_near_limit_and_after_a_passed_one() {
    let with = |months: u32| {
        one_with_model(MODEL, &format!("2000,{months},binding"))
            .with("overhauls", "propeller,overhaul_date", &["P,2023-01-01"])
            .row("2024-01-01")
            .state
    };
    assert_eq!(with(13), State::HoursNotKnown);
    assert_eq!(with(12), State::HoursNotKnown);
    assert_eq!(with(11), State::PastBindingLimit);
}

#[test]
fn a_propellers_own_interval_stands_before_its_models() {
    let with = |cells: &str| {
        flown(one_with_propeller("interval_hours,interval_months,interval_force", cells)).row("2024-01-01")
    };
    for (cells, state) in [
        (",,", State::WithinLimit),
        ("300,,", State::PastRecommendedLimit),
        (",6,", State::PastRecommendedLimit),
        (",6,binding", State::PastBindingLimit),
        (",6,none", State::NoLimitByChoice),
        (",6,advice", State::PastBindingLimit),
        ("none,6,", State::PastRecommendedLimit),
        ("none,,", State::WithinLimit),
        // An own interval that cannot be read may be shorter than the model's.
        ("15oo,,", State::NoLimitStated),
        ("-5,,", State::NoLimitStated),
        (",6o,", State::NoLimitStated),
        ("15oo,6,", State::PastRecommendedLimit),
        ("300,6o,", State::PastRecommendedLimit),
    ] {
        assert_eq!(with(cells).state, state, "{cells}");
    }
    assert_eq!(with("300,,").interval.force, Force::Recommended);
}

#[test]
fn an_undefined_model_states_nothing_and_binds() {
    let with = |cells: &str| {
        flown(one_with_propeller("use", "training").with(
            "propellers",
            "propeller,model,interval_hours,interval_months",
            &[cells],
        ))
    };
    assert_eq!(with("P,X,,").row("2024-01-01").state, State::NoLimitStated);
    assert_eq!(with("P,X,,6").row("2024-01-01").state, State::PastBindingLimit);
    assert_eq!(with("P,X,2000,72").row("2024-01-01").state, State::WithinLimit);
}

#[test]
fn a_changed_model_brings_its_own_interval() {
    let row = one_with_model(MODEL, "2000,72,binding")
        .with("models", &format!("model,{MODEL}"), &["M,2000,72,recommended", "N,300,72,binding"])
        .with("overhauls", "propeller,overhaul_date,hours_since_new,model_after", &["P,2023-01-01,1000,N"])
        .hours(&["2023-05-01,1120", "2023-09-01,1243", "2024-01-01,1365"])
        .row("2024-01-01");
    assert_eq!(row.state, State::PastBindingLimit);
}

#[test]
fn no_overhaul_on_record() {
    let row = one().hours(&["2023-05-01,1120", "2023-09-01,1243", "2024-01-01,1365"]).row("2024-01-01");
    assert_eq!(row.state, State::NoOverhaulOnRecord);
    assert_eq!((row.due, row.due_calendar, row.due_hours), (None, None, None));
    assert_eq!((row.days_to_due, row.hours), (None, None));
    assert!(row.rate.hours_per_day.is_some());
}

#[test]
fn propellers_on_no_list_have_no_row_and_teach_the_rate() {
    let tables = one()
        .with(
            "propellers",
            "propeller,model,use,status,end_date",
            &["A,M,club,scrapped,2024-01-01", "P,M,club,spare,", "Q,M,club,at shop,"],
        )
        .with("overhauls", "propeller,overhaul_date", &["P,2023-01-01"])
        .with(
            "hours",
            "propeller,reading_date,hours_since_new",
            &["A,2023-01-01,0", "A,2023-07-01,362", "A,2024-01-01,730"],
        );
    let rows = tables.rows("2024-01-01");
    let lists: Vec<List> = rows.iter().map(|r| r.list).collect();
    assert_eq!(lists, [List::Spare, List::AtShop]);
    near(rows[0].rate.hours_per_day.expect("the fleet's rate"), 2.0);
}

#[test]
fn the_last_inspection_stands_beside_the_state() {
    let row = one()
        .with(
            "inspections",
            "propeller,inspection_date,kind,result,next_due_date",
            &[
                "P,2022-06-01,annual,satisfactory,2023-06-30",
                "P,2023-06-05,annual,satisfactory,2024-06-30",
                "P,2023-11-02,100 hour,not,",
                "P,2024-02-01,condition,satisfactory,2024-08-01",
            ],
        )
        .row("2024-01-01");
    let last = row.inspection.expect("an inspection");
    assert_eq!(last.day, day("2023-11-02"));
    assert_eq!(last.kind, Some(InspectionKind::HundredHour));
    assert_eq!(last.result, Some(InspectionResult::NotSatisfactory));
    // The annual that still stands; the one of 2022 was followed by another.
    assert_eq!(last.next, Some(day("2024-06-30")));
    assert_eq!(one().row("2024-01-01").inspection, None);
}
