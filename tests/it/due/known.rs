//! When hours are known, what they are counted from, and what they rest on.

use bladewane::analysis::due::State;
use bladewane::analysis::hours::{NotKnown, Source};

use super::fleet::{basis, hours_today, known, near, one, one_with_propeller};

#[test]
fn a_reading_on_or_after_the_overhaul_under_twelve_months_old() {
    let at = |as_of: &str| {
        one()
            .overhauls(&["2022-06-01,1000"])
            .hours(&["2022-09-01,1050", "2022-12-01,1100", "2023-03-01,1150"])
            .row(as_of)
    };
    assert!(known(&at("2024-02-27")));
    assert_eq!(at("2024-02-27").state, State::WithinLimit);
    let old = at("2024-03-01");
    assert!(!known(&old));
    assert_eq!(old.state, State::HoursNotKnown);
    assert!(basis(&old).contains("estimated from a reading over 12 months old"), "{}", basis(&old));
    // Extrapolated all the same: 150 h in 273 days, 366 days on.
    near(hours_today(&old), 150.0 + 366.0 * 150.0 / 273.0);
}

#[test]
fn no_reading_since_the_overhaul() {
    let row = one()
        .with("overhauls", "propeller,overhaul_date", &["P,2023-11-01"])
        .hours(&["2022-09-01,850", "2022-12-01,900", "2023-03-01,950"])
        .row("2024-01-01");
    assert!(!known(&row));
    assert_eq!(row.state, State::HoursNotKnown);
    // 100 h in 181 days, 61 days on from the overhaul.
    near(hours_today(&row), 61.0 * 100.0 / 181.0);
}

#[test]
fn hours_at_a_visit_are_a_reading() {
    let row = one().overhauls(&["2017-01-01,0", "2023-11-01,1400"]).row("2024-01-01");
    assert!(known(&row));
    assert_eq!(row.hours.expect("a clock").basis.source, Source::Visits);
    near(hours_today(&row), 61.0 * 1400.0 / 2495.0);
    // A repair in between gives hours and leaves the clock alone.
    let row = one()
        .with(
            "overhauls",
            "propeller,overhaul_date,work,outcome,hours_since_overhaul",
            &["P,2021-01-01,overhaul,released,", "P,2023-10-01,repair,released,731"],
        )
        .row("2023-10-01");
    near(hours_today(&row), 731.0);
    assert!(known(&row));
}

#[test]
fn hours_since_overhaul_need_no_hours_since_new() {
    let row = one()
        .with("overhauls", "propeller,overhaul_date", &["P,2023-01-01"])
        .with(
            "hours",
            "propeller,reading_date,hours_since_overhaul",
            &["P,2022-12-01,1900", "P,2023-03-01,59", "P,2023-06-01,151", "P,2024-01-01,365"],
        )
        .row("2024-01-01");
    near(hours_today(&row), 365.0);
    assert!(known(&row));
}

#[test]
fn both_scales_in_turn_are_put_on_one() {
    // The offset (1,000 h at the overhaul) comes from the one day with both.
    let row = one()
        .with("overhauls", "propeller,overhaul_date", &["P,2023-01-01"])
        .with(
            "hours",
            "propeller,reading_date,hours_since_new,hours_since_overhaul",
            &["P,2022-06-01,900,", "P,2023-03-01,1059,59", "P,2023-06-01,,151", "P,2024-01-01,1365,"],
        )
        .row("2024-01-01");
    near(hours_today(&row), 365.0);
    assert!(known(&row));
}

#[test]
fn a_scale_that_cannot_be_placed_does_not_hide_the_other() {
    // Hours since new were read once and nothing says what they were at the overhaul; hours since overhaul say it all.
    let row = one()
        .with("overhauls", "propeller,overhaul_date", &["P,2022-08-19", "P,2023-01-01"])
        .with(
            "hours",
            "propeller,reading_date,hours_since_new,hours_since_overhaul",
            &["P,2023-03-01,4059,", "P,2023-06-01,,151", "P,2024-01-01,,365"],
        )
        .row("2024-01-01");
    near(hours_today(&row), 365.0);
    assert!(known(&row));
    assert_eq!(row.rate.hours_per_day, Some(1.0));
}

#[test]
fn two_scales_that_disagree_give_the_more_hours() {
    let row = one()
        .overhauls(&["2023-01-01,1000"])
        .with(
            "hours",
            "propeller,reading_date,hours_since_new,hours_since_overhaul",
            &["P,2023-06-01,1100,100", "P,2024-01-01,1300,340"],
        )
        .row("2024-01-01");
    near(hours_today(&row), 340.0);
}

#[test]
fn an_overhaul_without_hours_counts_from_the_reading_before_it() {
    let at = |before: &str| {
        one()
            .with("overhauls", "propeller,overhaul_date", &["P,2023-01-01"])
            .hours(&[before, "2023-04-01,1100", "2023-08-01,1200", "2024-01-01,1300"])
            .row("2024-01-01")
    };
    let near_by = at("2022-01-01,900");
    near(hours_today(&near_by), 400.0);
    assert!(known(&near_by));
    assert!(basis(&near_by).contains("counted from the last reading before the overhaul"));
    // Over twelve months before: what was flown since the overhaul is not recorded.
    let far = at("2021-12-31,900");
    assert!(!known(&far));
    assert_eq!(far.state, State::HoursNotKnown);
    assert!(basis(&far).contains("hours at the overhaul not recorded"), "{}", basis(&far));
}

#[test]
fn hours_that_are_not_known_still_pass_a_limit_by_what_was_read() {
    // At the overhaul nothing was read, and since the first reading after it 2,100 h are: past, whatever came before.
    let row = one()
        .with("overhauls", "propeller,overhaul_date", &["P,2020-01-01"])
        .hours(&["2020-03-01,5000", "2022-01-01,6000", "2023-12-01,7100"])
        .row("2024-01-01");
    assert!(!known(&row));
    assert_eq!(row.state, State::PastRecommendedLimit);
    // Read at 2,001 h years ago.
    let old = one().overhauls(&["2019-01-01,1000"]).hours(&["2021-01-01,3001"]).row("2024-01-01");
    assert_eq!(old.state, State::PastRecommendedLimit);
}

#[test]
fn a_limit_passed_by_estimate_is_passed() {
    // 1,000 h in 731 days, and 1,095 days more at that rate.
    let beyond = one().overhauls(&["2019-01-01,1000"]).hours(&["2021-01-01,2000"]).row("2024-01-01");
    near(hours_today(&beyond), 1000.0 + 1095.0 * 1000.0 / 731.0);
    assert_eq!(beyond.state, State::PastRecommendedByEstimate);
    assert_eq!(beyond.state.to_string(), "past recommended limit (by estimated hours)");
    assert!(beyond.state.is_past() && !known(&beyond));
    // Waiting does not take that back, and what was read is passed whatever the estimate.
    for as_of in ["2021-06-01", "2021-12-31", "2022-01-01", "2024-01-01"] {
        let at = |hours: &str| one().overhauls(&["2019-01-01,1000"]).hours(&[hours]).row(as_of).state;
        assert_eq!(at("2021-01-01,2900"), State::PastRecommendedByEstimate, "{as_of}");
        assert_eq!(at("2021-01-01,3001"), State::PastRecommendedLimit, "{as_of}");
    }
    // Hours are not known only where no estimate exceeds the limit.
    let below = one().overhauls(&["2019-01-01,1000"]).hours(&["2021-01-01,1700"]).row("2024-01-01");
    assert_eq!(below.state, State::HoursNotKnown);
}

#[test]
fn a_tenth_of_the_interval_flown_by_estimate_leaves_hours_not_known() {
    // 1 h a day of 2,000 h: known for 199 days after the last reading.
    let at = |as_of: &str| {
        one()
            .overhauls(&["2022-01-01,1000"])
            .hours(&["2022-05-01,1120", "2022-09-01,1243", "2023-01-01,1365"])
            .row(as_of)
    };
    assert!(known(&at("2023-07-19")));
    let late = at("2023-07-20");
    assert_eq!(late.state, State::HoursNotKnown);
    let why = late.hours.expect("a clock").not_known();
    assert!(matches!(why, Some(NotKnown::ByEstimate(hours, _)) if (hours - 200.0).abs() < 1e-9), "{why:?}");
    // Twelve months are named before it.
    let old = at("2024-01-01").hours.expect("a clock").not_known();
    assert!(matches!(old, Some(NotKnown::Old(Some(_)))), "{old:?}");
}

#[test]
fn a_limit_reached_between_readings_is_dated_between_them() {
    // 1,900 h on the first reading and 2,100 on the second, 200 days later: 2,000 on the hundredth day.
    let row = one()
        .overhauls(&["2019-01-01,0"])
        .hours(&["2023-01-01,1900", "2023-07-20,2100", "2023-12-01,2200"])
        .row("2024-01-01");
    assert_eq!(row.due.map(|d| d.to_string()).as_deref(), Some("2023-04-11"));
    assert_eq!(row.due_p10, row.due);
    assert_eq!(row.due_p90, row.due);
}

#[test]
fn a_reading_that_was_lost_leaves_hours_not_known() {
    let with = |lost: &str| {
        one()
            .overhauls(&["2020-01-01,1000"])
            .hours(&[
                "2020-06-01,1100",
                "2021-06-01,1200",
                "2022-12-01,1350",
                "2023-03-01,1380",
                "2023-07-01,1420",
                "2023-12-01,1450",
                lost,
            ])
            .row("2024-01-01")
    };
    // After the newest, in the twelve months of the rate, on a day that is not known.
    for lost in ["2023-12-20,15oo", "2023-12-20,", "2023-05-01,?", "2023-13-01,1390"] {
        let row = with(lost);
        assert_eq!(row.state, State::HoursNotKnown, "{lost}");
        assert!(basis(&row).contains("a record of hours could not be read"), "{lost}");
    }
    // One of 2021 changes nothing today; nor does a second, smaller figure of one day, of which the larger is kept.
    for lost in ["2021-01-01,?", "2023-12-01,1449", "2023-12-01,1450"] {
        assert_eq!(with(lost).state, State::WithinLimit, "{lost}");
    }
}

#[test]
fn a_record_that_cannot_be_cut_is_a_lost_reading_of_whom_it_names() {
    let row = one()
        .overhauls(&["2023-01-01,1000"])
        .hours(&["2023-03-01,1050", "2023-07-01,1100", "2023-12-01,1150", "2023-12-20,1170,extra"])
        .row("2024-01-01");
    assert_eq!(row.state, State::HoursNotKnown);
}

#[test]
fn a_visit_without_hours_bears_on_a_limit_it_may_have_passed() {
    let with = |hours: &str, visit_hours: &str| {
        one()
            .with(
                "overhauls",
                "propeller,overhaul_date,work,outcome,hours_since_new",
                &["P,2019-01-01,overhaul,released,1000", &format!("P,2023-12-15,repair,released,{visit_hours}")],
            )
            .hours(&["2023-01-15,2500", "2023-06-01,2600", hours])
            .row("2024-01-01")
    };
    // 1,200 h a year earn a caution: at most 102 h in the 31 days since the last reading, so 1,890 h stay below 2,000.
    assert_eq!(with("2023-12-01,2890", "").state, State::LimitWithin { days: 90 });
    let close = with("2023-12-01,2920", "");
    assert_eq!(close.state, State::HoursNotKnown);
    assert!(basis(&close).contains("a visit without hours"), "{}", basis(&close));
    assert_eq!(with("2023-12-01,2920", "3001").state, State::PastRecommendedLimit);
}

#[test]
fn hours_that_run_back_are_filled_at_the_use_rate() {
    let row = one()
        .overhauls(&["2022-12-01,1000"])
        .hours(&["2023-01-01,1031", "2023-04-11,1131", "2023-07-20,1231", "2023-08-09,731", "2023-12-07,851"])
        .row("2023-12-07");
    // 231 h, 20 days at the rate of the days between good readings (320 h in 320 days), 120 h.
    near(hours_today(&row), 371.0);
    assert!(basis(&row).contains("gap filled at the use rate"));
    // Which of 1,231 and 731 h is wrong cannot be told.
    assert_eq!(row.state, State::HoursNotKnown);
    assert!(basis(&row).contains("readings contradict each other"), "{}", basis(&row));
}

#[test]
fn a_new_propeller_counts_from_its_first_day() {
    let row = one_with_propeller("in_service_date,acquired", "2022-01-01,new")
        .hours(&["2022-07-01,181", "2023-02-01,396", "2023-12-01,699"])
        .row("2023-12-01");
    near(hours_today(&row), 699.0);
    assert_eq!(row.days_since_overhaul, Some(699));
    assert_eq!(row.last_overhaul, None);
    assert!(known(&row));
    for other in ["2022-01-01,used", "2022-01-01,overhauled", "2022-01-01,", ",new"] {
        let row = one_with_propeller("in_service_date,acquired", other)
            .hours(&["2022-07-01,181", "2023-02-01,396", "2023-12-01,699"])
            .row("2023-12-01");
        assert_eq!(row.state, State::NoOverhaulOnRecord, "{other}");
        assert_eq!((row.due, row.days_since_overhaul), (None, None));
    }
}

#[test]
fn only_a_released_overhaul_restarts_the_clock() {
    let row = one()
        .with(
            "overhauls",
            "propeller,overhaul_date,work,outcome,hours_since_new",
            &[
                "P,2018-05-01,overhaul,released,1000",
                "P,2020-05-01,repair,released,1400",
                "P,2021-05-01,overhaul,,1500",
                "P,2022-05-01,,released,1600",
                "P,2023-05-0l,overhaul,released,1700",
            ],
        )
        .row("2024-01-01");
    assert_eq!(row.last_overhaul.map(|d| d.to_string()).as_deref(), Some("2018-05-01"));
    assert_eq!(row.days_since_overhaul, Some(2071));
}
