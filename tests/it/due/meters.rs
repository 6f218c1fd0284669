//! Hours from an aircraft's meters while the propeller was fitted: moves, meters that are never mixed, meters replaced, two at once.

use bladewane::analysis::due::{DueRow, State};
use bladewane::analysis::hours::Source;
use bladewane::settings::Settings;

use super::fleet::{Tables, basis, hours_today, known, near, one, one_with_propeller};

/// Overhauled on 1 January 2023 and fitted from then to aircraft A, unless told otherwise.
fn fitted_to_a() -> Tables {
    one().with("overhauls", "propeller,overhaul_date", &["P,2023-01-01"]).fitted(&["A,2023-01-01,"])
}

fn source(row: &DueRow) -> Source {
    row.hours.expect("a clock has started").basis.source
}

#[test]
fn the_aircrafts_hours_while_fitted() {
    let row = fitted_to_a()
        .meters(&["A,2022-06-01,400,tach", "A,2023-01-01,500,tach", "A,2023-07-20,700,tach", "A,2023-12-31,864,tach"])
        .row("2024-01-01");
    // 500 to 864, and one day at 364 h in 364 days.
    near(hours_today(&row), 365.0);
    assert_eq!(source(&row), Source::AircraftReadings);
    assert!(known(&row));
}

#[test]
fn own_readings_come_first() {
    let row = fitted_to_a()
        .meters(&["A,2023-01-01,500,tach", "A,2023-12-31,864,tach"])
        .with(
            "hours",
            "propeller,reading_date,hours_since_overhaul",
            &["P,2023-03-01,40", "P,2023-07-01,150", "P,2023-12-31,300"],
        )
        .row("2023-12-31");
    near(hours_today(&row), 300.0);
    assert_eq!(source(&row), Source::OwnReadings);
}

#[test]
fn the_aircraft_goes_on_where_own_readings_stop() {
    let row = fitted_to_a()
        .meters(&["A,2023-01-01,500,tach", "A,2023-07-01,680,tach", "A,2023-12-31,863,tach"])
        .with("hours", "propeller,reading_date,hours_since_overhaul", &["P,2023-07-01,200"])
        .row("2023-12-31");
    near(hours_today(&row), 383.0);
    assert_eq!(source(&row), Source::AircraftReadings);
}

#[test]
fn a_move_takes_each_aircrafts_hours_for_its_time() {
    // A: 500 to 600 until 11 April; B: 7,000 at the move, 7,200 at the end. A's later hours are another propeller's.
    let meters = &[
        "A,2023-01-01,500,tach",
        "A,2023-04-11,600,tach",
        "A,2023-12-31,1500,tach",
        "B,2022-01-01,6000,tach",
        "B,2023-04-11,7000,tach",
        "B,2023-10-28,7200,tach",
    ];
    let row = fitted_to_a().meters(meters).fitted(&["A,2023-01-01,2023-04-11", "B,2023-04-11,"]).row("2023-10-28");
    near(hours_today(&row), 300.0);
    assert!(known(&row));
    // The move alone, without the first end, says the same.
    let open = fitted_to_a().meters(meters).fitted(&["A,2023-01-01,", "B,2023-04-11,"]).row("2023-10-28");
    assert_eq!(open, row);
    // On the shelf from 11 April to 20 July: half of B's 200 h.
    let shelf = fitted_to_a().meters(meters).fitted(&["A,2023-01-01,2023-04-11", "B,2023-07-20,"]).row("2023-10-28");
    near(hours_today(&shelf), 200.0);
    // A short loan to B inside a longer time on A: 50 days of A at 1 h, 20 of B at 1 h, 30 more of A.
    let loan = fitted_to_a()
        .meters(&["A,2023-01-01,500,tach", "A,2023-04-11,600,tach", "B,2023-01-01,10,tach", "B,2023-04-11,210,tach"])
        .fitted(&["A,2023-01-01,2023-04-11", "B,2023-02-20,2023-03-12"])
        .row("2023-04-11");
    near(hours_today(&loan), 50.0 + 40.0 + 30.0);
}

#[test]
fn hours_between_readings_are_spread_evenly() {
    // Fitted half way between two readings 200 days and 300 h apart.
    let row = fitted_to_a()
        .with("overhauls", "propeller,overhaul_date", &["P,2023-04-11"])
        .fitted(&["A,2023-04-11,"])
        .meters(&["A,2023-01-01,500,tach", "A,2023-07-20,800,tach"])
        .row("2023-07-20");
    near(hours_today(&row), 150.0);
}

#[test]
fn a_new_meter_starts_a_new_series_and_the_gap_is_filled() {
    // Tach 500 to 700 in 200 days; nothing for 20; Hobbs 3 to 147 in 144 days. 344 h in 344 days fill 20 h.
    let row = fitted_to_a()
        .meters(&[
            "A,2023-01-01,500,tach",
            "A,2023-04-11,600,tach",
            "A,2023-07-20,700,tach",
            "A,2023-08-09,3,hobbs",
            "A,2023-12-31,147,hobbs",
        ])
        .row("2023-12-31");
    near(hours_today(&row), 364.0);
    assert!(known(&row));
    assert!(basis(&row).contains("gap filled at the use rate"), "{}", basis(&row));
    assert_eq!(row.state, State::WithinLimit);
}

#[test]
fn a_meter_set_back_under_its_old_name_is_a_gap_too() {
    let row = fitted_to_a()
        .meters(&[
            "A,2023-01-01,500,tach",
            "A,2023-04-11,600,tach",
            "A,2023-07-20,700,tach",
            "A,2023-08-09,3,tach",
            "A,2023-12-31,147,tach",
        ])
        .row("2023-12-31");
    near(hours_today(&row), 364.0);
    // Under its old name it cannot be told from a slip of the hand.
    assert_eq!(row.state, State::HoursNotKnown);
    assert!(basis(&row).contains("readings contradict each other"), "{}", basis(&row));
}

#[test]
fn more_than_twelve_months_without_readings_are_filled_and_not_known() {
    let at = |last: &str| {
        fitted_to_a()
            .with("overhauls", "propeller,overhaul_date", &["P,2021-01-01"])
            .fitted(&["A,2021-01-01,"])
            .meters(&["A,2021-01-01,500,tach", "A,2022-01-01,865,tach", last, "A,2023-12-31,300,hobbs"])
            .row("2024-01-01")
    };
    assert!(known(&at("A,2023-01-01,3,hobbs")));
    let long = at("A,2023-01-02,3,hobbs");
    assert!(!known(&long));
    assert!(basis(&long).contains("more than 12 months"), "{}", basis(&long));
}

#[test]
fn of_two_meters_at_once_the_longer_series_serves() {
    // The Hobbs runs faster and was read from March on; the tach covers more days.
    let row = fitted_to_a()
        .meters(&["A,2023-01-01,500,tach", "A,2023-12-31,700,tach", "A,2023-03-01,100,hobbs", "A,2023-12-31,400,hobbs"])
        .row("2023-12-31");
    near(hours_today(&row), 200.0);
    // As many days: the one that gives more hours, whatever its name.
    for (fast, slow) in [("hobbs", "tach"), ("airframe", "hobbs"), ("tach", "airframe")] {
        let row = fitted_to_a()
            .meters(&[
                &format!("A,2023-01-01,500,{slow}"),
                &format!("A,2023-12-31,700,{slow}"),
                &format!("A,2023-01-01,9000,{fast}"),
                &format!("A,2023-12-31,9300,{fast}"),
            ])
            .row("2023-12-31");
        near(hours_today(&row), 300.0);
    }
    // Where the longer one ends, the other goes on: half of the Hobbs's 200 h.
    let row = fitted_to_a()
        .meters(&[
            "A,2022-01-01,100,tach",
            "A,2023-01-01,500,tach",
            "A,2023-07-20,700,tach",
            "A,2023-04-11,50,hobbs",
            "A,2023-10-28,250,hobbs",
        ])
        .row("2023-10-28");
    near(hours_today(&row), 300.0);
}

#[test]
fn a_reading_without_its_meters_name_is_in_no_series() {
    let row = fitted_to_a()
        .meters(&["A,2023-01-01,500,tach", "A,2023-04-11,600,tach", "A,2023-07-20,700,tach", "A,2023-12-01,834,"])
        .row("2023-12-31");
    assert_eq!(row.state, State::HoursNotKnown);
    assert!(basis(&row).contains("a record of hours could not be read"));
    // Without any names there is one meter.
    let row = fitted_to_a().meters(&["A,2023-01-01,500,", "A,2023-07-20,700,", "A,2023-12-31,864,"]).row("2023-12-31");
    near(hours_today(&row), 364.0);
    assert!(known(&row));
}

#[test]
fn the_first_days_on_an_aircraft_without_a_reading_are_filled() {
    // Fitted on 1 January, first read on 21 January.
    let row = fitted_to_a()
        .meters(&["A,2023-01-21,500,tach", "A,2023-07-20,680,tach", "A,2023-12-31,844,tach"])
        .row("2023-12-31");
    near(hours_today(&row), 364.0);
    assert!(known(&row));
    // First read three years after the fitting: estimated, and not known.
    let row = fitted_to_a()
        .with("overhauls", "propeller,overhaul_date", &["P,2020-01-21"])
        .fitted(&["A,2020-01-21,"])
        .meters(&["A,2023-01-21,500,tach", "A,2023-07-20,680,tach", "A,2023-12-31,844,tach"])
        .row("2023-12-31");
    near(hours_today(&row), 344.0 + 1096.0);
    assert_eq!(row.state, State::HoursNotKnown);
}

#[test]
fn fittings_begun_late_do_not_put_the_years_before_on_the_shelf() {
    let with = |release: &str| {
        fitted_to_a()
            .with("overhauls", "propeller,overhaul_date", &[&format!("P,{release}")])
            .meters(&["A,2023-01-01,500,tach", "A,2023-07-20,700,tach", "A,2023-12-31,864,tach"])
            .row("2023-12-31")
    };
    // Released within twelve months before the first fitting: on the shelf.
    near(hours_today(&with("2022-01-01")), 364.0);
    assert!(known(&with("2022-01-01")));
    let late = with("2021-12-31");
    near(hours_today(&late), 364.0 + 366.0);
    assert!(!known(&late));
}

#[test]
fn a_spare_taken_off_flies_no_hours() {
    let with = |status: &str| {
        one_with_propeller("use,status", &format!("training,{status}"))
            .with("overhauls", "propeller,overhaul_date", &["P,2021-01-01"])
            .fitted(&["A,2021-01-01,2022-01-01"])
            .meters(&[
                "A,2021-01-01,500,tach",
                "A,2021-07-01,700,tach",
                "A,2022-01-01,865,tach",
                "A,2023-12-31,3000,tach",
            ])
            .row("2024-01-01")
    };
    // The aircraft flew on with no propeller on record: it goes on gaining those hours.
    let bare = with("spare");
    near(hours_today(&bare), 365.0 + 2135.0 + bare.rate.hours_per_day.expect("a rate"));
    assert!(bare.bare_flight.is_some_and(|flight| flight.hours == 2135.0));
    let with = |status: &str| {
        one()
            .with(
                "propellers",
                "propeller,model,use,status",
                &[&format!("P,M,training,{status}"), "Q,M,training,flying"],
            )
            .with("overhauls", "propeller,overhaul_date", &["P,2021-01-01"])
            .with("fitted", "propeller,aircraft,from_date,to_date", &["P,A,2021-01-01,2022-01-01", "Q,A,2022-01-01,"])
            .meters(&[
                "A,2021-01-01,500,tach",
                "A,2021-07-01,700,tach",
                "A,2022-01-01,865,tach",
                "A,2023-12-31,3000,tach",
            ])
            .row("2024-01-01")
    };
    for status in ["spare", "at shop"] {
        let row = with(status);
        near(hours_today(&row), 365.0);
        assert!(known(&row), "{status}");
    }
    // One that flies, on nobody knows what, does not rest.
    let flying = with("flying");
    near(hours_today(&flying), 365.0 + 730.0);
    assert_eq!(flying.state, State::HoursNotKnown);
}

#[test]
fn without_any_fitting_the_named_aircraft_is_taken_and_never_known() {
    let with = |meters: &[&str]| {
        one_with_propeller("use,aircraft", "training,A")
            .with("overhauls", "propeller,overhaul_date", &["P,2023-01-01"])
            .meters(meters)
            .row("2023-12-31")
    };
    let row =
        with(&["A,2022-01-01,100,tach", "A,2023-01-01,500,tach", "A,2023-07-20,700,tach", "A,2023-12-31,864,tach"]);
    near(hours_today(&row), 364.0);
    assert_eq!(row.state, State::HoursNotKnown);
    assert!(basis(&row).contains("fitting not recorded"));
    let past = with(&["A,2023-01-01,500,tach", "A,2023-12-31,2501,tach"]);
    // Which aircraft it was on is not on record, so its hours are an estimate.
    assert_eq!(past.state, State::PastRecommendedByEstimate);
    // It teaches the fleet no rate.
    one_with_propeller("use,aircraft", "training,A")
        .with("propellers", "propeller,model,use,aircraft", &["P,M,training,A", "Q,M,training,"])
        .with("overhauls", "propeller,overhaul_date", &["P,2023-01-01"])
        .meters(&["A,2023-01-01,500,tach", "A,2023-07-20,700,tach", "A,2023-12-31,864,tach"])
        .due_with("2023-12-31", &Settings::default(), |_, due| {
            assert!(due.hours.rate(0).hours_per_day.is_some());
            assert_eq!(due.hours.rate(1).hours_per_day, None);
        });
}

#[test]
fn a_lost_reading_of_the_aircraft_bears_on_whom_it_carried() {
    let with = |lost: &str| {
        fitted_to_a()
            .with("overhauls", "propeller,overhaul_date", &["P,2021-01-11"])
            .fitted(&["A,2021-01-11,"])
            .meters(&[
                "A,2020-07-01,300,tach",
                "A,2021-01-01,500,tach",
                "A,2021-07-20,700,tach",
                "A,2022-12-31,1200,tach",
                "A,2023-02-01,1240,tach",
                "A,2023-07-20,1400,tach",
                "A,2023-12-01,1500,tach",
                lost,
            ])
            .row("2023-12-31")
            .state
    };
    // After the last; beside the release, where hours are read between two readings; in the rate's twelve months.
    for lost in ["A,2023-12-20,15l0,tach", "A,2021-01-09,,tach", "A,2023-05-01,?,tach", "A,2023-15-01,1,tach"] {
        assert_eq!(with(lost), State::HoursNotKnown, "{lost}");
    }
    // Before it came, between readings long ago, on another aircraft.
    for lost in ["A,2020-09-01,?,tach", "A,2021-12-01,?,tach", "B,2023-12-20,?,tach"] {
        assert_eq!(with(lost), State::WithinLimit, "{lost}");
    }
}

#[test]
fn a_lost_fitting_leaves_hours_not_known() {
    let row = fitted_to_a()
        .meters(&["A,2023-01-01,500,tach", "A,2023-07-20,700,tach", "A,2023-12-31,864,tach"])
        .fitted(&["A,2023-01-01,", "B,2023-02-30,"])
        .row("2023-12-31");
    assert_eq!(row.state, State::HoursNotKnown);
}

#[test]
fn the_aircraft_it_is_on() {
    let now = |tables: Tables| {
        tables.due_with("2024-01-01", &Settings::default(), |fleet, _| fleet.aircraft_of(0).map(str::to_string))
    };
    let named = || one_with_propeller("aircraft,status", "N,flying");
    assert_eq!(now(named()).as_deref(), Some("N"));
    assert_eq!(now(named().fitted(&["A,2023-01-01,", "B,2023-04-11,"])).as_deref(), Some("B"));
    // It came off: on which it flies on is not known.
    assert_eq!(now(named().fitted(&["A,2023-01-01,2023-02-01"])).as_deref(), None);
    let spare = one_with_propeller("aircraft,status", "N,spare");
    assert_eq!(now(spare.fitted(&["A,2023-01-01,2023-02-01"])), None);
}
