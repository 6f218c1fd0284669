//! Hours that cannot be, limits passed by estimate, and aircraft without or with too many propellers: small fleets with the
//! exact tier, reason and next step of each.

use bladewane::analysis::load::LoadReader;
use bladewane::analysis::ranking::Ranked;
use bladewane::analysis::recorded_hours::RecordedHours;
use bladewane::analysis::stale::{Leads, Stale, stale_tables};
use bladewane::analysis::standing::List;
use bladewane::results::answers::{Answers, Shown};
use bladewane::settings::Settings;

use crate::fleet_folder::{FleetFolder, LIMITS, as_of, day};

const AS_OF: &str = "2024-01-01";
const HOURS: &str = "propeller,reading_date,hours_since_new";
const METERS: &str = "aircraft,reading_date,hours";
const FITTED: &str = "propeller,aircraft,from_date,to_date";

/// Propellers P and N (rental), overhauled and measured in 2021, of a model with 2,000 h and 72 months, binding; four more
/// whose sheets make the forecast.
fn fleet() -> FleetFolder {
    FleetFolder::empty()
        .with("propellers", &list("", "rental,\nN,M76,rental,"))
        .with(
            "models",
            "model,diameter_in,blades,interval_hours,interval_months,interval_force\nM76,76,2,2000,72,binding",
        )
        .with("limits", LIMITS)
        .with("overhauls", &overhauls("1000"))
        .with("measurements", &sheets())
}

const OTHERS: [&str; 4] = ["X1", "X2", "X3", "X4"];

/// The table of propellers: more columns, and the cells of P behind its model with the row of N.
fn list(columns: &str, cells: &str) -> String {
    let others: String =
        OTHERS.iter().map(|name| format!("\n{name},M76,club,{}", if columns.is_empty() { "" } else { "," })).collect();
    format!("propeller,model,use,status{columns}\nP,M76,{cells}{others}")
}

/// Released overhauls of 2021, with these hours of P and N.
fn overhauls(hours: &str) -> String {
    let others: String = OTHERS.iter().map(|name| format!("\n{name},2021-03-15,\n{name},2016-03-15,")).collect();
    let others = others + "\nP,2016-03-15,\nN,2016-03-15,";
    format!("propeller,overhaul_date,hours_since_new\nP,2021-03-15,{hours}\nN,2021-03-15,{hours}{others}")
}

fn sheets() -> String {
    let mut rows = "propeller,overhaul_date,blade,station_pct,width_after_in,thickness_after_in".to_string();
    for (at, propeller) in ["P", "N"].into_iter().chain(OTHERS).enumerate() {
        for (year, lost) in [(2016, 0.0), (2021, 0.001 + 0.0002 * at as f64)] {
            for blade in [1, 2] {
                for (station, width, thickness) in [(30, 5.405, 0.972), (60, 5.435, 0.472), (90, 3.745, 0.247)] {
                    let (width, thickness) = (width - 2.0 * lost, thickness - lost);
                    rows += &format!("\n{propeller},{year}-03-15,{blade},{station},{width:.4},{thickness:.4}");
                }
            }
        }
    }
    rows
}

fn with_answers<T>(folder: &FleetFolder, of: impl FnOnce(&Answers<'_, '_>) -> T) -> T {
    let settings = Settings::default();
    let loaded = folder.load();
    let fleet = as_of(&loaded, AS_OF);
    of(&Answers::new(&fleet, &settings))
}

fn ranked(folder: &FleetFolder, serial: &str) -> Ranked {
    with_answers(folder, |answers| {
        let propeller = answers.fleet.propellers.find(serial).expect("listed");
        answers.ranking().iter().find(|r| r.propeller == propeller).expect("ranked").clone()
    })
}

/// Tier, first reason, next step.
#[track_caller]
fn judged(folder: &FleetFolder, serial: &str, tier: u8, reason: &str, next_step: &str) {
    let of = ranked(folder, serial);
    let found = (of.tier, of.reasons[0].words.as_str(), of.next_step());
    assert_eq!(found, (tier, reason, next_step));
}

fn hours(rows: &str) -> FleetFolder {
    fleet().with("hours", &format!("{HOURS}\n{rows}"))
}

fn meters(rows: &str) -> FleetFolder {
    fleet()
        .with("fitted", &format!("{FITTED}\nP,Heron,2021-03-15,"))
        .with("aircraft_hours", &format!("{METERS}\n{rows}"))
}

const READ: &str = "read the hours and add them to `hours` or `aircraft_hours`";
const COMPARE: &str = "compare both readings with the log and correct the wrong one; a meter that was replaced or set back \
                       gets a new name in `meter`";

#[test]
fn a_reading_that_disagrees_with_both_its_neighbours_is_set_aside() {
    let sound = hours("P,2022-06-01,1300\nP,2023-06-01,1500\nP,2023-12-01,1600");
    let slip = hours("P,2022-06-01,1300\nP,2023-06-01,1500\nP,2023-09-01,15500\nP,2023-12-01,1600");
    assert_eq!(slip.set_aside().len(), 1);
    assert!(slip.set_aside()[0].contains("hours that cannot be"), "{:?}", slip.set_aside());
    let (a, b) = (ranked(&sound, "P"), ranked(&slip, "P"));
    assert_eq!((a.tier, &a.reasons), (b.tier, &b.reasons));
    let meter = meters("Heron,2021-03-15,4000\nHeron,2023-06-01,42600\nHeron,2023-12-20,4400");
    assert_eq!(meter.set_aside().len(), 1);
    assert!(meter.set_aside()[0].contains("[42600]"), "{:?}", meter.set_aside());
}

#[test]
fn at_the_end_of_a_series_both_stay_and_tier_4_names_both_lines() {
    let up = hours("P,2022-06-01,1300\nP,2023-06-01,1500\nP,2023-12-01,15500");
    assert_eq!(up.set_aside(), [""; 0]);
    let words = "hours contradict: 1500 h on 2023-06-01 (hours.csv:3) and 15500 h on 2023-12-01 (hours.csv:4)";
    judged(&up, "P", 4, words, COMPARE);
    let down = hours("P,2022-06-01,1300\nP,2023-06-01,1500\nP,2023-12-01,150");
    let words = "hours contradict: 1500 h on 2023-06-01 (hours.csv:3) and 150 h on 2023-12-01 (hours.csv:4)";
    judged(&down, "P", 4, words, COMPARE);
}

#[test]
fn an_aircraft_meter_of_42600_for_4260_neither_flies_nor_costs() {
    let rows = |last: u32| {
        format!("Heron,2021-03-15,3700\nHeron,2022-06-01,3950\nHeron,2023-06-01,4160\nHeron,2023-12-01,{last}")
    };
    let (sound, slip) = (meters(&rows(4260)), meters(&rows(42600)));
    let words = "hours contradict: 4160 h on 2023-06-01 (aircraft_hours.csv:4) and 42600 h on 2023-12-01 (aircraft_hours.csv:5)";
    judged(&slip, "P", 4, words, COMPARE);
    let a_year = |folder: &FleetFolder| {
        with_answers(folder, |answers| {
            let propeller = answers.fleet.propellers.find("P").expect("listed");
            let rate = answers.due().of(propeller).expect("a row").rate.hours_per_year().expect("a rate");
            let overhauls: f64 = answers
                .planning(&Shown::all())
                .plan
                .budget
                .iter()
                .filter(|r| r.model.is_none() && r.strength.is_none())
                .map(|r| r.overhauls)
                .sum();
            (rate, overhauls)
        })
    };
    let ((right, overhauls), (slipped, with_slip)) = (a_year(&sound), a_year(&slip));
    // 210 h in the year before the last sound reading; the slip teaches nothing, where it gave 38,526 h a year.
    assert!((190.0..225.0).contains(&right) && (190.0..225.0).contains(&slipped), "{right} {slipped}");
    assert!((overhauls - with_slip).abs() <= 0.5, "{overhauls} {with_slip}");
}

#[test]
fn only_contradictions_after_the_last_overhaul_that_carries_hours_count() {
    let before = hours("P,2019-01-01,900\nP,2020-01-01,90\nP,2022-06-01,1300\nP,2023-06-01,1500\nP,2023-12-01,1600");
    assert!(ranked(&before, "P").reasons.iter().all(|r| !r.words.contains("contradict")));
    let without = before.with("overhauls", &overhauls(""));
    assert!(ranked(&without, "P").reasons.iter().any(|r| r.words.starts_with("hours contradict: 900 h on 2019-01-01")));
}

#[test]
fn one_324_h_past_a_binding_limit_by_estimate_is_tier_1() {
    // 1,278 h read, 730 h in the 365 days to the last reading, 523 days on at 2 h: 2,324 h.
    let folder = hours("P,2021-07-27,1548\nP,2022-01-25,1912\nP,2022-07-27,2278");
    let of = ranked(&folder, "P");
    assert_eq!(of.tier, 1);
    assert_eq!(of.reasons[0].words, "past binding limit by 324 h (by estimated hours, last read 2022-07-27)");
    let next = "do not fly before its hours are read from the log; past 2000 h send it for overhaul";
    assert_eq!(of.next_step(), next);
    let state = with_answers(&folder, |answers| {
        let propeller = answers.fleet.propellers.find("P").expect("listed");
        answers.due().of(propeller).expect("a row").state.to_string()
    });
    assert_eq!(state, "past binding limit (by estimated hours)");
    // Recommended: tier 3.
    let advice = folder.with("models", "model,diameter_in,blades,interval_hours,interval_months\nM76,76,2,2000,72");
    let of = ranked(&advice, "P");
    assert_eq!((of.tier, of.next_step()), (3, "read its hours from the log; past 2000 h book the overhaul"));
}

#[test]
fn an_estimate_from_other_propellers_use_is_tier_4_at_most() {
    // N flies 730 h a year; P was never read since its overhaul.
    let folder = hours("N,2023-01-01,1500\nN,2023-07-01,1862\nN,2024-01-01,2230");
    let of = ranked(&folder, "P");
    assert_eq!(of.tier, 4);
    assert!(of.reasons[0].words.starts_with("past binding limit by "), "{}", of.reasons[0].words);
    assert!(of.reasons[0].words.ends_with("by an estimate based on other propellers' use"), "{}", of.reasons[0].words);
    assert_eq!(of.next_step(), format!("{READ}; past 2000 h send it for overhaul"));
}

#[test]
fn the_reason_and_the_next_step_name_what_keeps_hours_from_being_known() {
    let none = hours("P,2020-01-01,900\nP,2020-06-01,950\nP,2021-01-01,1000").with("overhauls", &overhauls(""));
    let words = "hours not known: no reading since the overhaul of 2021-03-15, so only the calendar limit is checked";
    judged(&none, "P", 4, words, READ);
    let old = hours("P,2021-09-01,1040\nP,2022-03-01,1080\nP,2022-12-01,1140");
    let words = "hours not known: the newest reading, of 2022-12-01, is 12 months old or older, so only the calendar limit is \
                 checked";
    judged(&old, "P", 4, words, READ);
    let estimate = hours("P,2021-09-01,1200\nP,2022-09-01,1600\nP,2023-03-01,1800");
    let of = ranked(&estimate, "P");
    assert_eq!(of.tier, 4);
    let words = &of.reasons[0].words;
    // Two readings in the last twelve months, so the whole life: 800 h in 716 days, 306 days on.
    assert_eq!(
        words,
        "hours not known: 342 h of 2000 h are flown by estimate since the reading of 2023-03-01, so only the calendar limit is checked"
    );
}

fn spare(columns: &str, cells: &str) -> FleetFolder {
    hours("P,2021-09-01,1200\nP,2022-09-01,1300")
        .with("propellers", &list(&format!(",{columns}"), &format!("rental,spare,{cells}\nN,M76,rental,flying,")))
}

#[test]
fn a_spare_flies_nothing_from_its_removed_date() {
    let off = spare("removed_date", "2022-09-15");
    let of = ranked(&off, "P");
    assert_eq!((of.list, of.tier), (List::Spare, 6), "{:?}", of.reasons);
    // Before it the use rate: removed eleven months after its last reading.
    let later = spare("removed_date", "2023-08-01");
    let today = |folder: &FleetFolder| {
        with_answers(folder, |answers| {
            let row = answers.due().rows.iter().find(|r| r.list == List::Spare).expect("a spare").clone();
            row.hours.expect("a clock").today.expect("hours")
        })
    };
    assert!(today(&later) > today(&off) + 80.0, "{} {}", today(&later), today(&off));
}

#[test]
fn neither_date_known_is_tier_4() {
    let words = "hours not known: it is off its aircraft and since when is not on record, so only the calendar limit is checked";
    let next = "write the day it came off in `removed_date`, or end its fitting in `fitted`";
    judged(&spare("removed_date", ""), "P", 4, words, next);
    // An unreadable day is none.
    judged(&spare("removed_date", "2022-09-31"), "P", 4, words, next);
}

#[test]
fn an_aircraft_that_flies_with_no_propeller_on_record_comes_first() {
    let folder = spare("removed_date", "").with("fitted", &format!("{FITTED}\nP,Heron,2021-03-15,2022-09-10")).with(
        "aircraft_hours",
        &format!("{METERS}\nHeron,2022-09-01,4000\nHeron,2022-10-01,4020\nHeron,2023-10-01,4062"),
    );
    let words = "Heron flew 42 h with no propeller on record, after this one came off (2022-09-10)";
    judged(&folder, "P", 4, words, "have a mechanic check the serial number on Heron and enter it in `fitted`");
    // It goes on gaining those hours.
    let since = |folder: &FleetFolder| {
        with_answers(folder, |answers| {
            let propeller = answers.fleet.propellers.find("P").expect("listed");
            answers.due().of(propeller).expect("a row").hours.expect("a clock").today.expect("hours")
        })
    };
    assert!(since(&folder) > 350.0, "{}", since(&folder));
    // Another is fitted, or the hour is rounding: nothing to say.
    let other = fleet()
        .with("propellers", &list("", "rental,spare\nN,M76,rental,flying"))
        .with("fitted", &format!("{FITTED}\nP,Heron,2021-03-15,2022-09-10\nN,Heron,2022-09-12,"))
        .with(
            "aircraft_hours",
            &format!("{METERS}\nHeron,2021-03-15,3600\nHeron,2022-09-10,4000\nHeron,2023-12-01,4900"),
        );
    assert!(ranked(&other, "P").reasons.iter().all(|r| !r.words.contains("no propeller on record")));
    assert!((since(&other) - 400.0).abs() < 1.0, "{}", since(&other));
}

fn two(fittings: &str) -> FleetFolder {
    hours("P,2023-06-01,1300\nP,2023-12-20,1400\nN,2023-06-01,1300\nN,2023-12-20,1400")
        .with("fitted", &format!("{FITTED},position\n{fittings}"))
}

#[test]
fn an_older_open_fitting_overtaken_by_a_newer_one_is_to_be_ended() {
    let folder = two("P,Heron,2021-03-15,,\nN,Heron,2023-03-01,,");
    let words = "on Heron since 2021-03-15 by its fitting, and N is on it by a newer one";
    judged(&folder, "P", 4, words, "end its fitting on Heron");
    assert_eq!(ranked(&folder, "N").tier, 6);
    let told = folder.cautions();
    let of_n: Vec<&String> =
        told.iter().filter(|c| c.contains("the fitting of another propeller on this aircraft")).collect();
    assert_eq!(of_n.len(), 1, "{told:?}");
    assert!(of_n[0].starts_with("fitted.csv:3 aircraft [Heron] N"), "{of_n:?}");
    // It came off on the day the other came on: [from, to).
    assert_eq!(ranked(&two("P,Heron,2021-03-15,2023-03-01,\nN,Heron,2023-03-01,,"), "N").tier, 6);
}

#[test]
fn two_that_began_on_one_day_are_both_tier_4() {
    let folder = two("P,Heron,2023-03-01,,\nN,Heron,2023-03-01,,");
    let next = "have a mechanic check the serial number on Heron and end the other's fitting";
    judged(&folder, "P", 4, "on Heron since 2023-03-01 by its fitting, and N since the same day", next);
    judged(&folder, "N", 4, "on Heron since 2023-03-01 by its fitting, and P since the same day", next);
}

#[test]
fn two_flying_ones_that_name_one_aircraft_are_both_tier_4() {
    let folder = hours("P,2023-06-01,1300\nP,2023-12-20,1400\nN,2023-06-01,1300\nN,2023-12-20,1400")
        .with("propellers", &list(",aircraft", "rental,,Heron\nN,M76,rental,,Heron"));
    let next = "have a mechanic check the serial number on Heron and correct `propellers`";
    judged(&folder, "P", 4, "on Heron by the records, and N too", next);
    judged(&folder, "N", 4, "on Heron by the records, and P too", next);
}

#[test]
fn an_aircraft_with_two_positions_carries_two() {
    let both = "P,Heron,2021-03-15,,\nN,Heron,2023-03-01,,";
    let twin = |fittings: &str, positions: &str| {
        let of = two(fittings).with("aircraft", &format!("aircraft,positions\nHeron,{positions}"));
        [ranked(&of, "P").tier, ranked(&of, "N").tier]
    };
    assert_eq!(twin(both, "2"), [6, 6]);
    assert_eq!(twin("P,Heron,2021-03-15,,left\nN,Heron,2023-03-01,,right", "1"), [6, 6]);
    assert_eq!(twin("P,Heron,2021-03-15,,left\nN,Heron,2023-03-01,,left", "2"), [4, 6]);
    // Blank or spoilt cells of the new columns never make one look safer.
    assert_eq!(twin(both, ""), [4, 6]);
    for spoilt in ["0", "x", "-1"] {
        assert_eq!(twin(both, spoilt), [4, 6], "{spoilt}");
    }
    assert_eq!(twin("P,Heron,2021-03-15,,left\nN,Heron,2023-03-01,,", "2"), [4, 4]);
    assert_eq!(twin("P,Heron,2021-03-15,,left\nN,Heron,2023-03-01,,", "1"), [4, 6]);
}

#[test]
fn a_spare_that_a_fitting_shows_on_an_aircraft_today_is_judged_as_flying() {
    for status in ["spare", "at shop", "scrapped", "sold"] {
        let folder =
            two("P,Heron,2021-03-15,,").with("propellers", &list("", &format!("rental,{status}\nN,M76,rental,flying")));
        assert_eq!(ranked(&folder, "P").list, List::Flying, "{status}");
        assert!(folder.cautions().iter().any(|c| c.contains("on an aircraft today, but not flying by its status")));
    }
}

#[test]
fn the_larger_of_the_models_and_the_aircrafts_speed_counts() {
    let load = |model: &str, aircraft: &str| {
        let folder = two("P,Heron,2021-03-15,,")
            .with("models", &format!("model,diameter_in,blades,max_rpm\nM76,76,2,{model}"))
            .with("aircraft", &format!("aircraft,aircraft_model,engine,max_rpm,positions\nHeron,H,E,{aircraft},1"));
        with_answers(&folder, |answers| {
            let propeller = answers.fleet.propellers.find("P").expect("listed");
            let hours = RecordedHours::of(answers.fleet, &answers.due().hours);
            let fatigue = &answers.settings.fatigue;
            LoadReader::new(answers.fleet, answers.survey(), &hours, fatigue).of(propeller).revolutions_since_overhaul
        })
    };
    assert!(load("2500", "2700") > load("2500", ""));
    assert_eq!(load("2700", "2500"), load("2700", ""));
    assert_eq!(load("", "2700"), load("2700", ""));
}

#[test]
fn the_summary_and_the_page_lead_with_flights_without_a_propeller_and_tables_that_end() {
    let rows: String = (0..18)
        .map(|month| {
            let day = day("2021-04-01") + 30 * month;
            format!("\nP,{day},{0}\nN,{day},{0}", 1010 + 25 * month)
        })
        .collect();
    let folder = fleet()
        .with("hours", &format!("{HOURS}{rows}"))
        .with("fitted", &format!("{FITTED}\nX1,Heron,2021-03-15,2023-02-01"))
        .with("aircraft_hours", &format!("{METERS}\nHeron,2023-02-05,4020\nHeron,2023-12-01,4062"));
    with_answers(&folder, |answers| {
        let stale = stale_tables(answers.fleet);
        assert_eq!(stale.iter().map(Stale::words).collect::<Vec<_>>(), ["hours end on 2022-08-24"]);
        let urgent: Vec<&Ranked> = answers.ranking().iter().collect();
        let leads = Leads::of(answers.fleet, answers.due(), &urgent);
        assert_eq!(leads.bare, ["Heron flew 42 h with no propeller on record"]);
        let [(_, under)] = leads.stale.as_slice() else { panic!("one table ends") };
        assert_eq!(Leads::in_tiers(answers.fleet, under, 1), "tier 4: N and 1 more");
    });
    let path = folder.path().display().to_string();
    let out = folder.path().join("results").display().to_string();
    let output = crate::program::bladewane(&["run", &path, "--as-of", AS_OF, "-o", &out]);
    let said = crate::program::text(&output.stdout);
    let first = said.find("Heron flew 42 h with no propeller on record").expect("it leads");
    let ends = said.find("hours end on 2022-08-24: what comes after would settle tier 4: N, P").expect("it follows");
    let numbered = said.find("  1. ").unwrap_or(said.len());
    assert!(first < ends && ends < numbered, "{said}");
    // A table that is kept has no such line.
    let kept = hours("P,2023-06-01,1300\nP,2023-12-20,1400");
    with_answers(&kept, |answers| assert_eq!(stale_tables(answers.fleet), []));
}
