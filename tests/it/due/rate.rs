//! How fast hours run: each step of the fallback, and the 10 % and 90 % dates. Dates were calculated apart.

use bladewane::analysis::due::{DueRow, State};
use bladewane::analysis::hours::{RateBasis, Reached, SpreadBasis};
use bladewane::settings::Settings;

use super::fleet::{Tables, day, hours_today, known, near, one};

fn rate(row: &DueRow) -> f64 {
    row.rate.hours_per_day.expect("a rate")
}

#[test]
fn the_last_twelve_months_with_readings() {
    // 365 h in the year before, 730 in the last: only the last counts.
    let row = one()
        .overhauls(&["2021-06-01,900"])
        .hours(&["2022-01-01,1000", "2023-01-01,1365", "2023-07-02,1729", "2024-01-01,2095"])
        .row("2024-01-11");
    assert_eq!(row.rate.basis, RateBasis::LastTwelveMonths);
    near(rate(&row), 2.0);
    near(row.rate.hours_per_year().expect("a rate"), 730.5);
    // 2,095 - 900 at the reading, ten days on at two hours a day.
    near(hours_today(&row), 1215.0);
    near(row.hours_to_due.expect("a limit"), 785.0);
    // 805 h after the reading, 402 whole days on.
    assert_eq!(row.due_hours, Some(Reached::On(day("2025-02-06"))));
    assert_eq!(row.due, row.due_hours.and_then(Reached::day));
    assert_eq!(row.state, State::WithinLimit);
}

#[test]
fn the_twelve_months_end_at_the_newest_reading() {
    // Read last in 2020: the rate is still that of the twelve months before.
    let row = one()
        .overhauls(&["2018-06-01,900"])
        .hours(&["2019-01-01,1000", "2019-07-02,1364", "2020-01-01,1730"])
        .row("2024-01-01");
    assert_eq!(row.rate.basis, RateBasis::LastTwelveMonths);
    near(rate(&row), 2.0);
    // 830 h read and 1,461 days at two hours: past 2,000 h by estimate.
    assert_eq!(row.state, State::PastRecommendedByEstimate);
}

#[test]
fn fewer_than_three_readings_or_sixty_days_take_the_whole_life() {
    // Two readings in the last twelve months: 1,095 h in 1,095 days of the whole life.
    let row = one()
        .overhauls(&["2020-06-01,"])
        .hours(&["2021-01-01,1000", "2023-06-01,1500", "2024-01-01,2095"])
        .row("2024-01-01");
    assert_eq!(row.rate.basis, RateBasis::WholeLife);
    near(rate(&row), 1.0);
    // Three readings in 59 days, then in 60.
    let within = |last: &str| {
        one()
            .overhauls(&["2020-06-01,"])
            .hours(&["2022-01-01,1000", "2024-01-01,1730", "2024-01-21,1800", last])
            .row("2024-06-01")
            .rate
            .basis
    };
    assert_eq!(within("2024-02-29,1900"), RateBasis::WholeLife);
    assert_eq!(within("2024-03-01,1900"), RateBasis::LastTwelveMonths);
}

/// P without readings among training propellers that fly 1, 2, 3, 4 and 5 h a day and a rental one that flies 8.
fn among_others(usage: &str) -> DueRow {
    let mut propellers = vec![format!("P,M,{usage}")];
    let mut hours = Vec::new();
    for (name, usage, rate) in [
        ("A", "training", 1.0),
        ("B", "training", 2.0),
        ("C", "training", 3.0),
        ("D", "training", 4.0),
        ("E", "training", 5.0),
        ("F", "rental", 8.0),
    ] {
        propellers.push(format!("{name},M,{usage}"));
        for (date, days) in [("2023-01-01", 0.0), ("2023-07-01", 181.0), ("2024-01-01", 365.0)] {
            hours.push(format!("{name},{date},{}", 1000.0 + rate * days));
        }
    }
    let rows = |list: &[String]| -> Vec<String> { list.to_vec() };
    let (propellers, hours) = (rows(&propellers), rows(&hours));
    let texts = |list: &[String]| -> Vec<&'static str> { list.iter().map(|t| &*t.clone().leak()).collect() };
    one()
        .with("propellers", "propeller,model,use", &texts(&propellers))
        .with("hours", "propeller,reading_date,hours_since_new", &texts(&hours))
        .overhauls(&["2023-12-01,1000"])
        .row("2024-01-01")
}

#[test]
fn without_own_readings_the_fleets_same_use_at_its_75th_percentile() {
    let row = among_others("training");
    assert_eq!(row.rate.basis, RateBasis::FleetSameUse);
    // The fourth of five values in order is their upper quartile.
    near(rate(&row), 4.0);
    // The visit's hours are a reading of the last twelve months, so hours are known: 31 days at 4 h.
    assert!(known(&row));
    near(hours_today(&row), 124.0);
    near(rate(&among_others("rental")), 8.0);
}

#[test]
fn an_unrecorded_use_takes_the_largest_rate() {
    let row = among_others("");
    assert_eq!(row.rate.basis, RateBasis::FleetAnyUse);
    near(rate(&row), 8.0);
}

#[test]
fn without_any_rate_hours_are_not_known() {
    let row = among_others("club");
    assert_eq!(row.rate.basis, RateBasis::NotKnown);
    assert_eq!(row.rate.hours_per_day, None);
    assert_eq!(row.due_hours, Some(Reached::NotKnown));
    assert_eq!(row.due, row.due_calendar);
    assert_eq!((row.due_p10, row.due_p90), (None, None));
    assert_eq!(row.state, State::HoursNotKnown);
}

#[test]
fn a_propeller_that_does_not_fly_never_reaches_its_hours() {
    let row = one()
        .overhauls(&["2022-12-01,1000"])
        .hours(&["2023-02-01,1000", "2023-07-01,1000", "2023-12-01,1000"])
        .row("2024-01-01");
    assert_eq!(row.due_hours, Some(Reached::Never));
    assert_eq!(row.due, Some(day("2028-12-01")));
    assert_eq!(row.due_p10, row.due);
    assert_eq!(row.state, State::WithinLimit);
}

/// Read every 30 days, 10 and 20 h in turn: twelve monthly rates with a ratio of standard deviation and mean of 0.34816.
fn uneven() -> Tables {
    one().with("models", "model,interval_hours,interval_months", &["M,500,72"]).overhauls(&["2023-01-01,1000"]).hours(
        &[
            "2023-01-31,1010",
            "2023-03-02,1030",
            "2023-04-01,1040",
            "2023-05-01,1060",
            "2023-05-31,1070",
            "2023-06-30,1090",
            "2023-07-30,1100",
            "2023-08-29,1120",
            "2023-09-28,1130",
            "2023-10-28,1150",
            "2023-11-27,1160",
            "2023-12-27,1180",
        ],
    )
}

#[test]
fn early_and_late_dates_follow_the_spread_of_monthly_use() {
    uneven().due_with("2024-01-01", &Settings::default(), |_, due| {
        let spread = due.hours.spread(0);
        assert_eq!(spread.basis, SpreadBasis::Own);
        near((spread.cv * 1e6).round(), 354_208.0);
        let row = &due.rows[0];
        // 320 h left at 0.5 h a day; 20.862 months ahead, so the rate is off by exp(1.2816 * 0.07755) either way.
        assert_eq!(row.due, Some(day("2025-09-27")));
        assert_eq!(row.due_p10, Some(day("2025-07-28")));
        assert_eq!(row.due_p90, Some(day("2025-12-02")));
    });
}

#[test]
fn the_calendar_limit_cuts_the_late_date() {
    let row = uneven().with("models", "model,interval_hours,interval_months", &["M,500,33"]).row("2024-01-01");
    assert_eq!(row.due_calendar, Some(day("2025-10-01")));
    assert_eq!(row.due_p10, Some(day("2025-07-28")));
    assert_eq!(row.due_p90, Some(day("2025-10-01")));
}

/// Twelve months of 10 and 20 h by turns: sum 300 about 15, cv^2 = 300/(11 x 225), a 30-day month being 0.98563 months. Pooled with
/// three of the setting, 0.5: (11 x 0.119470 + 0.75)/14 = 0.383980^2; the propeller's own with three of that: 0.354208. Two such
/// propellers: (22 x 0.119470 + 0.75)/25 = 0.367605^2.
#[test]
fn one_interval_takes_the_fleets_spread_and_none_the_setting() {
    let few = ["P,2023-12-27,1180"];
    let alone = one().overhauls(&["2023-07-30,1100"]).with("hours", "propeller,reading_date,hours_since_new", &few);
    alone.due_with("2024-01-01", &Settings::default(), |_, due| {
        assert_eq!(due.hours.spread(0).basis, SpreadBasis::Assumed);
        near(due.hours.spread(0).cv, 0.5);
    });
    let mut hours = few.to_vec();
    let (mut date, mut total) = (day("2023-01-01"), 0);
    let mut others = Vec::new();
    for month in 0..13 {
        others.push(format!("Q,{date},{total}"));
        others.push(format!("R,{date},{total}"));
        date = date + 30;
        total += if month % 2 == 0 { 10 } else { 20 };
    }
    hours.extend(others.iter().map(String::as_str));
    let fleet = alone.with("propellers", "propeller,model,use", &["P,M,training", "Q,M,training", "R,M,club"]).with(
        "hours",
        "propeller,reading_date,hours_since_new",
        &hours,
    );
    fleet.due_with("2024-01-01", &Settings::default(), |fleet, due| {
        let p = fleet.propellers.find("P").expect("P is listed");
        let spread = due.hours.spread(p);
        assert_eq!(spread.basis, SpreadBasis::Fleet);
        near((spread.cv * 1e6).round(), 367_605.0);
    });
    let mut settings = Settings::default();
    settings.due.monthly_use_spread = 0.7;
    one().overhauls(&["2023-07-30,1100"]).due_with("2024-01-01", &settings, |_, due| {
        near(due.hours.spread(0).cv, 0.7);
    });
}

/// Eight quarters of 100 h in the last 24 months of readings, their days uneven by a little: cv^2 = 0.00025160, with three of the
/// fleet's, itself with three of the setting's 0.5: 0.150761.
#[test]
fn readings_of_any_spacing_make_a_spread() {
    let row = |readings: &[&str]| {
        one()
            .overhauls(&["2020-06-01,900"])
            .hours(readings)
            .due_with("2024-01-01", &Settings::default(), |_, due| due.hours.spread(0))
    };
    let quarters = [
        "2021-10-01,1000",
        "2022-01-01,1100",
        "2022-04-01,1200",
        "2022-07-01,1300",
        "2022-10-01,1400",
        "2023-01-01,1500",
        "2023-04-01,1600",
        "2023-07-01,1700",
        "2023-10-01,1800",
        "2023-12-31,1900",
    ];
    assert_eq!(row(&quarters).basis, SpreadBasis::Own);
    near((row(&quarters).cv * 1e6).round(), 150_761.0);
    // Weekly readings are taken together.
    let mut weeks = Vec::new();
    for week in 0..40 {
        weeks.push(format!("{},{}", day("2023-03-01") + 7 * week, 1000 + week * 5 + week % 3));
    }
    let weeks: Vec<&str> = weeks.iter().map(String::as_str).collect();
    assert_eq!(row(&weeks).basis, SpreadBasis::Own);
}
