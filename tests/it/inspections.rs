//! Inspections belong to the aircraft: every sentence of the contract by its tier, reason and next step.
//! Rules of time: 14 CFR 91.409, from memory; the rest is common practice, no source.

use crate::fleet_folder::FleetFolder;
use crate::judged::{aircraft_hours, expect, in_order, said, said_with, tiers};

const HEAD: &str =
    "aircraft,propeller,inspection_date,kind,result,by,next_due_date,next_due_meter,cleared_date,cleared_by,track_in";

fn with(rows: &[&str]) -> FleetFolder {
    in_order().with("inspections", &format!("{HEAD}\n{}\n", rows.join("\n")))
}

/// Annuals of both aircraft that hold on 2026-01-01.
const HERON: &str = "Heron,,2025-06-10,annual,satisfactory,Kim,,,,,";
const ROBIN: &str = "Robin,,2025-06-10,annual,satisfactory,Kim,,,,,";

const NOTHING: &str = "nothing open on record";
const DUE: &str = "nothing now; next overhaul due 2034-06-01, to be booked by 2034-04-02";
/// What a next step in tier 6 ends with.
const AFTER: &str = "; next overhaul due 2034-06-01, to be booked by 2034-04-02";
const SIGN: &str = "do not fly: put right what the annual found and have it signed, or have a new annual made";

#[test]
fn annuals_in_force_leave_nothing_open() {
    let fleet = with(&[HERON, ROBIN]);
    for serial in ["T1", "C1", "S1"] {
        expect(&fleet, serial, 6, NOTHING, DUE);
    }
}

#[test]
fn an_annual_that_was_not_satisfactory_keeps_its_aircraft_on_the_ground() {
    let fleet = with(&[HERON, "Robin,,2025-06-10,annual,not,Kim,,,,,"]);
    expect(&fleet, "T1", 1, "annual of 2025-06-10 unsatisfactory", SIGN);
    expect(&fleet, "C1", 6, NOTHING, DUE);
}

#[test]
fn it_stands_with_whatever_propeller_is_on_the_aircraft_since() {
    let fleet = with(&[HERON, "Robin,,2025-06-10,annual,not,Kim,,,,,"]).with(
        "fitted",
        "propeller,aircraft,from_date,to_date
         T1,Robin,2024-06-01,2025-07-01
         S1,Robin,2025-07-02,
         C1,Heron,2024-06-01,",
    );
    let swapped = "
        propeller,model,use,base,in_service_date,acquired,status
        T1,M76,training,Home,2024-06-01,new,spare
        C1,M76,club,Home,2024-06-01,new,flying
        S1,M76,training,Home,2024-06-01,new,flying";
    let fleet = fleet.with("propellers", swapped);
    expect(&fleet, "S1", 1, "annual of 2025-06-10 unsatisfactory", SIGN);
    expect(&fleet, "T1", 6, NOTHING, DUE);
}

#[test]
fn signed_off_means_a_day_and_a_name() {
    let cleared = |date: &str, by: &str| {
        let row = format!("Robin,,2025-06-10,annual,not,Kim,,,{date},{by},");
        with(&[HERON, &row])
    };
    expect(&cleared("2025-06-12", "Lee"), "T1", 6, NOTHING, DUE);
    // Without the name, without the day, before the inspection, in words no calendar has, after the as-of date.
    for (date, by) in
        [("2025-06-12", ""), ("", "Lee"), ("2025-06-09", "Lee"), ("2025-02-30", "Lee"), ("2026-02-01", "Lee")]
    {
        expect(&cleared(date, by), "T1", 1, "annual of 2025-06-10 unsatisfactory", SIGN);
    }
}

#[test]
fn an_annual_is_signed_off_by_an_annual_only_and_a_100_hour_by_either() {
    let later = |kind: &str, later: &str| {
        let first = format!("Robin,,2025-06-10,{kind},not,Kim,,,,,");
        let second = format!("Robin,,2025-08-01,{later},satisfactory,Kim,,,,,");
        with(&[HERON, "Robin,,2025-03-01,annual,satisfactory,Kim,,,,,", &first, &second])
    };
    expect(&later("annual", "annual"), "T1", 6, NOTHING, DUE);
    expect(&later("annual", "100 hour"), "T1", 1, "annual of 2025-06-10 unsatisfactory", SIGN);
    expect(&later("annual", ""), "T1", 1, "annual of 2025-06-10 unsatisfactory", SIGN);
    expect(&later("100 hour", "100 hour"), "T1", 6, NOTHING, DUE);
    expect(&later("100 hour", "annual"), "T1", 6, NOTHING, DUE);
    expect(
        &later("100 hour", ""),
        "T1",
        1,
        "100 hour of 2025-06-10 unsatisfactory",
        "do not fly: put right what was found and have it signed, or have a new inspection made",
    );
}

#[test]
fn of_two_results_on_one_day_the_unsatisfactory_counts_unless_it_was_signed_off() {
    let not = |cleared: &str| format!("Robin,,2025-06-10,annual,not,Kim,,,{cleared},");
    for rows in [[HERON, ROBIN, &not(",")], [HERON, &not(","), ROBIN]] {
        expect(&with(&rows), "T1", 1, "annual of 2025-06-10 unsatisfactory", SIGN);
    }
    expect(&with(&[HERON, ROBIN, &not("2025-06-11,Lee")]), "T1", 6, NOTHING, DUE);
}

#[test]
fn a_released_overhaul_after_it_changes_the_words_and_not_the_tier() {
    let fleet = with(&[HERON, "Robin,,2025-06-10,annual,not,Kim,,,,,"])
        .with("overhauls", "propeller,overhaul_date,work,outcome\nT1,2025-07-01,repair,released\n");
    expect(&fleet, "T1", 1, "propeller released 2025-07-01, annual of 2025-06-10 not signed", SIGN);
}

#[test]
fn a_result_in_another_word_is_read_as_not_satisfactory_and_the_allowed_words_are_offered() {
    for word in ["sat", "ok", "failed", "passed"] {
        let row = format!("Robin,,2025-06-10,annual,{word},Kim,,,,,");
        let fleet = with(&[HERON, &row]);
        expect(&fleet, "T1", 1, "annual of 2025-06-10 unsatisfactory", SIGN);
        assert_eq!(
            fleet.cautions(),
            [format!(
                "inspections.csv:3 result [{word}] - - x1 result: \"{word}\" is none of satisfactory, not; it counts as not satisfactory | write one of the words, or leave the cell empty"
            )]
        );
    }
}

#[test]
fn a_column_of_results_without_any_counts_as_absent_and_is_said_once() {
    let fleet = with(&["Heron,,2025-06-10,annual,,Kim,,,,,", "Robin,,2025-06-10,annual,,Kim,,,,,"]);
    expect(&fleet, "T1", 6, NOTHING, DUE);
    assert_eq!(fleet.cautions().len(), 1, "{:?}", fleet.cautions());
    assert!(fleet.cautions()[0].contains("no result is filled in, so every inspection counts as satisfactory"));
}

#[test]
fn an_empty_result_among_filled_ones_is_to_be_entered_and_clears_nothing() {
    let empty = "Robin,,2025-06-10,annual,,Kim,,,,,";
    expect(
        &with(&[HERON, empty]),
        "T1",
        4,
        "result of the annual of 2025-06-10 not recorded",
        "enter the result from the log",
    );
    expect(
        &with(&[HERON, "Robin,,2025-05-10,annual,not,Kim,,,,,", empty]),
        "T1",
        1,
        "annual of 2025-05-10 unsatisfactory",
        SIGN,
    );
}

const LAPSED: &str = "do not fly: have the annual made, or enter the one that was";

#[test]
fn an_annual_holds_to_the_end_of_its_twelfth_month() {
    // 2024-12-15 + 12 months, end of month: 2025-12-31.
    let fleet = with(&[HERON, "Robin,,2024-12-15,annual,satisfactory,Kim,,,,,"]);
    assert_eq!(said_with(&fleet, "2025-12-31", "", "T1").tier, 6);
    expect(
        &fleet,
        "T1",
        1,
        "annual of 2024-12-15 lapsed: it held to 2025-12-31 (an annual holds to the end of month 12; the rule differs by country)",
        LAPSED,
    );
    // Another country's rule.
    assert_eq!(said_with(&fleet, "2026-01-01", "[inspections]\nannual_months = 24", "T1").tier, 6);
}

/// An annual of Robin with a next date as written.
fn next(date: &str) -> FleetFolder {
    let row = format!("Robin,,2024-12-15,annual,satisfactory,Kim,{date},,,,");
    with(&[HERON, &row])
}

#[test]
fn a_next_date_counts_where_it_is_earlier() {
    let rule = "(an annual holds to the end of month 12; the rule differs by country)";
    expect(&next("2025-12-15"), "T1", 1, &format!("annual of 2024-12-15 lapsed: it held to 2025-12-15 {rule}"), LAPSED);
}

#[test]
fn a_next_date_in_2099_counts_as_the_longest_interval_with_a_caution() {
    let rule = "(an annual holds to the end of month 12; the rule differs by country)";
    expect(
        &next("2099-12-15"),
        "T1",
        1,
        &format!("annual of 2024-12-15 lapsed: it held to 2025-12-31, not to 2099-12-15 as written {rule}"),
        LAPSED,
    );
    assert_eq!(
        next("2099-12-15").cautions(),
        [
            "inspections.csv:3 next_due_date [2099-12-15] - - x1 the next date or reading lies beyond the longest interval of its kind, which counts | correct it, or set annual_months or hundred_hours in fleet.toml"
        ]
    );
}

/// Robin flies 10 h a month: 2024-06-01 reads 1000, 2025-12-01 reads 1180.
const HUNDRED: &str = "do not fly for hire or training: have the 100 hour made, or enter the one that was";

#[test]
fn a_100_hour_lapses_by_the_hours_flown_since_for_training_and_is_a_note_for_a_club() {
    let rows = |aircraft: &str| {
        let annual = format!("{aircraft},,2025-04-01,annual,satisfactory,Kim,,,,,");
        let hundred = format!("{aircraft},,2024-09-01,100 hour,satisfactory,Kim,,,,,");
        (annual, hundred)
    };
    // An annual starts 100 h anew: 1100 on 2025-04-01, 80 h read since.
    let (annual, hundred) = rows("Robin");
    expect(&with(&[HERON, &annual, &hundred]), "T1", 6, NOTHING, DUE);
    // Without it 150 h were read since 2024-09-01 (1030 to 1180), and a month is filled at the use.
    let fleet = with(&[HERON, "Robin,,2024-08-01,annual,satisfactory,Kim,2026-06-01,,,,", &hundred]);
    let fleet = said_with(&fleet, "2026-01-01", "[inspections]\nannual_months = 24", "T1");
    assert_eq!((fleet.tier, fleet.next_step.as_str()), (1, HUNDRED));
    assert_eq!(
        fleet.reason,
        "100 hour lapsed: the last 100 hour, of 2024-09-01, 160 h flown since, it holds for 100 h (the rule differs by country)"
    );
    let (_, hundred) = rows("Heron");
    let fleet = with(&[ROBIN, "Heron,,2024-08-01,annual,satisfactory,Kim,2026-06-01,,,,", &hundred]);
    let fleet = said_with(&fleet, "2026-01-01", "[inspections]\nannual_months = 24", "C1");
    let next = format!("needed before it flies for hire or training{AFTER}");
    assert_eq!((fleet.tier, fleet.next_step), (6, next));
}

#[test]
fn a_100_hour_lapses_by_its_next_reading_or_date() {
    let next = |date: &str, meter: &str| {
        let row = format!("Robin,,2025-08-01,100 hour,satisfactory,Kim,{date},{meter},,,");
        with(&[HERON, ROBIN, &row])
    };
    // 1140 on 2025-08-01, 1180 on 2025-12-01: 40 h read.
    expect(&next("", ""), "T1", 6, NOTHING, DUE);
    expect(
        &next("", "1185"),
        "T1",
        4,
        "100 hour probably lapsed: the last 100 hour, of 2025-08-01, 50 h flown since, by estimate (the rule differs by country)",
        "enter the reading of the aircraft's meter",
    );
    expect(
        &next("", "1179"),
        "T1",
        1,
        "100 hour lapsed: the last 100 hour, of 2025-08-01, 50 h flown since, it holds for 39 h (the rule differs by country)",
        HUNDRED,
    );
    expect(
        &next("2025-12-31", ""),
        "T1",
        1,
        "100 hour lapsed: the last 100 hour, of 2025-08-01, it was due 2025-12-31 (the rule differs by country)",
        HUNDRED,
    );
    // Beyond 100 h counts as 100 h, with a caution.
    expect(&next("", "9999"), "T1", 6, NOTHING, DUE);
    assert!(next("", "9999").cautions()[0].contains("next_due_meter [9999]"));
}

#[test]
fn a_meter_that_was_exchanged_is_not_compared_with_the_reading_written_before() {
    let next = |meter: &str, name: &str| {
        let mut hours = "aircraft,reading_date,hours,meter\n".to_string();
        for line in aircraft_hours().lines().skip(1) {
            hours += &format!("{line},old\n");
        }
        // Another meter was put in on 2025-10-01 and shows little.
        for (date, old, new) in [("2025-10-01", 1160, 5), ("2025-11-01", 1170, 15), ("2025-12-01", 1180, 25)] {
            hours = hours.replace(&format!("Robin,{date},{old},old"), &format!("Robin,{date},{new},{name}"));
        }
        let row = format!("Robin,,2025-08-01,100 hour,satisfactory,Kim,,{meter},,,");
        with(&[HERON, ROBIN, &row]).with("aircraft_hours", &hours)
    };
    // 1140 on 2025-08-01: it holds for 15 h; 10 h were read by the old meter, 20 h by the new one.
    for name in ["new", "old"] {
        let said = said(&next("1155", name), "T1");
        assert_eq!((said.tier, said.next_step.as_str()), (1, HUNDRED), "{said:?}");
        // It holds for 60 h: 30 h read, and the month between the meters and the last one filled at the use.
        let reasons = crate::judged::said(&next("1200", name), "T1").reasons;
        assert!(!reasons.iter().any(|words| words.contains("100 hour")), "{reasons:?}");
    }
}

#[test]
fn an_aircraft_without_any_inspection_is_named_twelve_months_after_its_first_fitting() {
    let fleet = with(&[HERON]);
    expect(
        &fleet,
        "T1",
        4,
        "no inspection of Robin on record",
        "enter the last annual from the log into `inspections`",
    );
    assert_eq!(said_with(&fleet, "2025-05-31", "", "T1").tier, 6);
    // A fleet without the table: nothing is judged, and that is said once.
    expect(&in_order(), "T1", 6, NOTHING, DUE);
    let loaded = in_order().load();
    let absences = crate::fleet_folder::as_of(&loaded, "2026-01-01").absences();
    assert!(absences.iter().any(|words| words.starts_with("no inspections:")), "{absences:?}");
}

#[test]
fn a_spare_gets_a_note_and_one_at_a_shop_nothing() {
    let fleet = with(&[HERON, ROBIN, ",S1,2025-06-10,annual,not,Kim,,,,,"]);
    let spare = said(&fleet, "S1");
    assert_eq!(
        (spare.tier, spare.reason.as_str(), spare.next_step),
        (6, "annual of 2025-06-10 unsatisfactory", format!("before installation: {SIGN}{AFTER}"))
    );
    let fleet = fleet.with("propellers", &crate::judged::PROPELLERS.replace("spare", "at shop"));
    assert_eq!(said(&fleet, "S1").reason, NOTHING);
}

#[test]
fn a_row_by_propeller_counts_while_the_propeller_stays_on_the_aircraft() {
    let moved = "
        propeller,aircraft,from_date,to_date
        T1,Robin,2024-06-01,2025-07-01
        C1,Heron,2024-06-01,2025-07-01
        T1,Heron,2025-07-02,
        C1,Robin,2025-07-02,";
    let by_propeller = [",T1,2025-06-10,annual,satisfactory,Kim,,,,,", ",C1,2025-06-10,annual,satisfactory,Kim,,,,,"];
    expect(&with(&by_propeller), "T1", 6, NOTHING, DUE);
    let fleet = with(&by_propeller).with("fitted", moved);
    assert_eq!(said(&fleet, "T1").reason, "no inspection of Heron on record");
    // What was not satisfactory stays with the aircraft and with the propeller.
    let fleet = with(&[",T1,2025-06-10,annual,not,Kim,,,,,", HERON]).with("fitted", moved);
    for serial in ["T1", "C1"] {
        assert_eq!(said(&fleet, serial).reason, "annual of 2025-06-10 unsatisfactory", "{serial}");
    }
}

#[test]
fn an_inspection_of_an_unknown_aircraft_is_set_aside_with_the_nearest_name() {
    let fleet = with(&[HERON, ROBIN, "Robbin,,2025-09-10,annual,satisfactory,Kim,,,,,"]);
    assert_eq!(
        fleet.set_aside(),
        [
            "inspections.csv:4 aircraft [Robbin] no propeller is recorded on this aircraft, and it has no readings | correct the name, or write it in `fitted`; the nearest named is Robin"
        ]
    );
}

#[test]
fn a_row_that_cannot_be_used_and_may_not_be_satisfactory_counts_against_its_aircraft() {
    let fleet = with(&[HERON, ROBIN, "Robin,,2025-13-10,annual,not,Kim,,,,,"]);
    expect(
        &fleet,
        "T1",
        1,
        "an inspection could not be read and may not be satisfactory (inspections.csv:4)",
        "before flight read the log and correct the row",
    );
    // One that says satisfactory only loses what it made good.
    let fleet = with(&[HERON, ROBIN, "Robin,,2025-13-10,annual,satisfactory,Kim,,,,,"]);
    expect(&fleet, "T1", 6, NOTHING, DUE);
}

const ROWS: [&str; 6] = [
    HERON,
    "Robin,,2024-06-10,annual,satisfactory,Kim,2025-06-30,,,,",
    "Robin,,2025-02-10,100 hour,satisfactory,Kim,2026-02-01,1180,,,",
    "Robin,,2025-05-20,annual,not,Kim,2026-05-31,,2025-05-22,Lee,0.031",
    ",T1,2025-09-10,100 hour,satisfactory,Kim,,1240,,,",
    ",C1,2025-09-12,condition,satisfactory,Kim,,,,,",
];

#[test]
fn blanking_a_cell_never_makes_a_tier_milder() {
    let before = tiers(&with(&ROWS));
    let heads: Vec<&str> = HEAD.split(',').collect();
    for (row, line) in ROWS.iter().enumerate() {
        for (column, head) in heads.iter().enumerate() {
            let mut cells: Vec<&str> = line.split(',').collect();
            if cells[column].is_empty() {
                continue;
            }
            // Listed exceptions: whom the row is about; a next date or reading nearer than the longest interval; and the
            // result, which moves tier 1 to 4 at the most.
            if ["aircraft", "propeller", "next_due_date", "next_due_meter"].contains(head) {
                continue;
            }
            cells[column] = "";
            let mut rows = ROWS.map(str::to_string);
            rows[row] = cells.join(",");
            let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
            let after = tiers(&with(&rows));
            for (a, b) in before.iter().zip(&after) {
                assert!(b <= a || (*head == "result" && *b <= 4), "{line}, {head}: {before:?} to {after:?}");
            }
        }
    }
}

#[test]
fn a_worse_result_or_an_earlier_lapse_never_makes_a_tier_milder_and_the_order_of_rows_changes_nothing() {
    let before = tiers(&with(&ROWS));
    for row in 0..ROWS.len() {
        for (from, to) in [
            (",satisfactory,", ",not,"),
            (",satisfactory,", ",sat,"),
            ("2026-", "2025-"),
            ("1240", "1150"),
            ("2025-05-22,Lee", ","),
        ] {
            let mut rows = ROWS.map(str::to_string);
            rows[row] = rows[row].replace(from, to);
            let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
            let after = tiers(&with(&rows));
            assert!(before.iter().zip(&after).all(|(a, b)| b <= a), "{rows:?}: {before:?} to {after:?}");
        }
    }
    let mut turned = ROWS;
    turned.reverse();
    assert_eq!(tiers(&with(&turned)), before);
}
