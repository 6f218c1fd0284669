//! The calendar limit: both rules, both starts.

use bladewane::analysis::due::State;

use super::fleet::{day, one, one_with_model};

fn due(rule: &str, months: u32, release: &str) -> String {
    one_with_model("interval_hours,interval_months,interval_rule", &format!("2000,{months},{rule}"))
        .overhauls(&[&format!("{release},100")])
        .row("2026-06-30")
        .due_calendar
        .expect("a calendar limit")
        .to_string()
}

// Month-end dates: published, read in secondary texts (discussions that quote 14 CFR 91.409), not in a document of the
// authority. Same-day dates: month arithmetic calculated apart.
#[test]
fn dates_of_both_rules() {
    for (rule, release, months, expected) in [
        ("month_end", "2020-07-22", 24, "2022-07-31"),
        ("month_end", "2006-06-06", 12, "2007-06-30"),
        ("month_end", "2017-05-29", 12, "2018-05-31"),
        ("month_end", "2018-06-01", 12, "2019-06-30"),
        ("month_end", "2018-02-28", 72, "2024-02-29"),
        ("month_end", "2020-02-29", 60, "2025-02-28"),
        ("same_day", "2023-08-31", 6, "2024-02-29"),
        ("same_day", "2018-02-28", 72, "2024-02-28"),
        ("same_day", "2020-02-29", 72, "2026-02-28"),
        ("same_day", "2024-12-31", 2, "2025-02-28"),
    ] {
        assert_eq!(due(rule, months, release), expected, "{rule} {release} + {months}");
    }
}

#[test]
fn a_part_of_a_month_does_not_lengthen_the_limit() {
    let row =
        one_with_model("interval_hours,interval_months", "2000,6.9").overhauls(&["2023-01-15,100"]).row("2024-01-01");
    assert_eq!(row.due_calendar, Some(day("2023-07-15")));
}

fn installed(fitted: &[&str]) -> String {
    one_with_model("interval_hours,interval_months,interval_from", "none,12,installation")
        .overhauls(&["2023-03-01,100"])
        .fitted(fitted)
        .row("2024-06-30")
        .due_calendar
        .expect("a calendar limit")
        .to_string()
}

#[test]
fn months_count_from_the_installation_after_the_overhaul() {
    assert_eq!(installed(&["A,2023-06-15,"]), "2024-06-15");
    assert_eq!(installed(&["A,2019-01-01,2023-01-10", "A,2023-06-15,"]), "2024-06-15");
    // Later moves are not the installation.
    assert_eq!(installed(&["A,2023-06-15,2023-08-01", "B,2023-09-01,"]), "2024-06-15");
    assert_eq!(installed(&["A,2023-03-01,"]), "2024-03-01");
}

#[test]
fn an_unknown_installation_counts_from_the_release() {
    // No fitting after the release: it may have been installed at once.
    assert_eq!(installed(&["A,2019-01-01,2023-01-10"]), "2024-03-01");
    // A fitting that runs across the release, with and without an end.
    assert_eq!(installed(&["A,2019-01-01,2023-05-01", "A,2023-06-15,"]), "2024-03-01");
    assert_eq!(installed(&["A,2019-01-01,", "B,2023-06-15,"]), "2024-03-01");
    // A fitting that cannot be read may have been the first.
    assert_eq!(installed(&["A,2023-04-31,2023-05-20", "A,2023-06-15,"]), "2024-03-01");
}

#[test]
fn hours_flown_before_the_first_fitting_show_an_earlier_installation() {
    let row = one_with_model("interval_hours,interval_months,interval_from", "none,12,installation")
        .overhauls(&["2023-03-01,100"])
        .hours(&["2023-06-01,130"])
        .fitted(&["A,2023-06-15,"])
        .row("2024-01-01");
    assert_eq!(row.due_calendar, Some(day("2024-03-01")));
    assert_eq!(row.calendar_start, Some(day("2023-03-01")));
}

#[test]
fn a_limit_is_passed_on_the_day_after() {
    let at = |as_of: &str| {
        one_with_model("interval_hours,interval_months", "none,12").overhauls(&["2023-03-01,100"]).row(as_of)
    };
    assert_eq!(at("2024-03-01").state, State::LimitWithin { days: 90 });
    assert_eq!(at("2024-03-01").days_to_due, Some(0));
    assert_eq!(at("2024-03-02").state, State::PastRecommendedLimit);
    assert_eq!(at("2024-03-02").days_to_due, Some(-1));
    assert_eq!(at("2023-12-02").state, State::LimitWithin { days: 90 });
    assert_eq!(at("2023-12-01").state, State::WithinLimit);
}

#[test]
fn a_spares_calendar_runs_on_the_shelf() {
    let spare = |as_of: &str| {
        one()
            .with("propellers", "propeller,model,status", &["P,M,spare"])
            .with("models", "model,interval_hours,interval_months", &["M,2000,12"])
            .overhauls(&["2023-03-01,1000"])
            .row(as_of)
    };
    let past = spare("2024-03-02");
    assert_eq!(past.state, State::PastRecommendedLimit);
    assert!(past.do_not_install());
    let within = spare("2023-06-01");
    assert_eq!(within.due_calendar, Some(day("2024-03-01")));
    assert!(!within.do_not_install());
}

#[test]
fn later_overhauls_follow_at_the_shorter_of_months_and_hours() {
    // 365 hours a year of 365 days, a limit of 500 hours: 500 days, sooner than 24 months.
    let tables = |hours: &str, months: &str| {
        one_with_model("interval_hours,interval_months", &format!("{hours},{months}"))
            .overhauls(&["2023-01-01,1000"])
            .hours(&["2023-05-01,1120", "2023-09-01,1243", "2024-01-01,1365"])
            .row("2024-01-01")
    };
    let dates = |row: &bladewane::analysis::due::DueRow| -> Vec<String> {
        row.overhaul_dates(day("2024-01-01")).take(3).map(|d| d.to_string()).collect()
    };
    // 2023-01-01 + 500 days, + 1000, + 1500.
    assert_eq!(dates(&tables("500", "24")), ["2024-05-15", "2025-09-27", "2027-02-09"]);
    assert_eq!(dates(&tables("5000", "24")), ["2025-01-01", "2027-01-01", "2029-01-01"]);
    assert_eq!(dates(&tables("5000", "none"))[0], "2036-09-09");
    // Past its limit: the next is today, and later ones count from there.
    assert_eq!(dates(&tables("5000", "6")), ["2024-01-01", "2024-07-01", "2025-01-01"]);
    assert!(dates(&tables("none", "none")).is_empty());
    assert_eq!(tables("500", "24").overhaul_date(day("2024-01-01"), 2), Some(day("2025-09-27")));
    assert_eq!(tables("500", "24").overhaul_date(day("2024-01-01"), 0), None);
}
