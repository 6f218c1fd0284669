//! Rows that are used although they look wrong: each caution with its exact words.

use bladewane::results::answers::Answers;
use bladewane::settings::Settings;

use crate::fleet_folder::{FleetFolder, as_of};

const MEASURED: &str =
    "propeller,overhaul_date,blade,station_pct,width_before_in,width_after_in,thickness_before_in,thickness_after_in\n";

/// The cautions whose text starts with `rule`.
fn told(folder: &FleetFolder, rule: &str) -> Vec<String> {
    let all = folder.cautions();
    all.into_iter().filter(|c| c.contains(rule)).collect()
}

#[test]
fn a_date_before_the_first_day_on_record() {
    let folder = FleetFolder::small()
        .with("overhauls", "propeller,overhaul_date\nA1,1999-01-01\nA1,1998-01-01")
        .with("measurements", &format!("{MEASURED}A2,1999-06-01,1,60,,5.4,,"))
        .with("hours", "propeller,reading_date,hours_since_new\nA1,1999-01-01,1")
        .with("defects", "propeller,found_date,kind\nA2,1999-01-01,nick")
        .with("fitted", "propeller,aircraft,from_date\nA2,x,1999-01-01")
        .with("inspections", "propeller,inspection_date\nA1,1999-01-01");
    let rule = "a date before the propeller's in_service_date";
    let line = |place: &str, value: &str, propeller: &str, count: u32| {
        format!("{place} [{value}] {propeller} - x{count} {rule} | correct the date, or the in_service_date")
    };
    assert_eq!(
        told(&folder, rule),
        [
            line("overhauls.csv:2 overhaul_date", "1999-01-01", "A1", 2),
            line("measurements.csv:2 overhaul_date", "1999-06-01", "A2", 1),
            line("defects.csv:2 found_date", "1999-01-01", "A2", 1),
            line("hours.csv:2 reading_date", "1999-01-01", "A1", 1),
            line("fitted.csv:2 from_date", "1999-01-01", "A2", 1),
            line("inspections.csv:2 inspection_date", "1999-01-01", "A1", 1),
        ]
    );
}

/// More than 0.002 in of thickness or 0.010 in of width between two visits; a before reading over paint is thicker.
#[test]
fn metal_that_grew_between_two_visits() {
    let sheet = |painted: &str| {
        FleetFolder::small()
            .with("overhauls", "propeller,overhaul_date\nA1,2005-01-01\nA1,2010-01-01")
            .with(
                "measurements",
                &format!(
                    "propeller,overhaul_date,blade,station_pct,width_before_in,width_after_in,thickness_before_in,thickness_after_in,painted
                     A1,2005-01-01,1,60,,5.400,,0.450,no
                     A1,2005-01-01,1,90,,3.700,,0.230,no
                     A1,2010-01-01,1,60,5.410,5.400,0.452,0.440,{painted}
                     A1,2010-01-01,1,90,3.711,3.690,0.2321,0.220,{painted}"
                ),
            )
    };
    let rule = "metal grew between two visits";
    let line = |at: &str, count: u32| {
        format!(
            "measurements.csv:{at} A1 2010-01-01 x{count} {rule} | compare both sheets: a gauge, a blade or a serial may be mixed up"
        )
    };
    assert_eq!(told(&sheet("no"), rule), [line("5 width_before_in [3.711]", 2)]);
    assert_eq!(told(&sheet("yes"), rule), [""; 0]);
}

#[test]
fn hours_that_run_backwards_or_too_fast() {
    let folder = FleetFolder::small()
        .with("overhauls", "propeller,overhaul_date,hours_since_new\nA1,2012-01-01,700\nA2,2012-01-01,900")
        .with(
            "hours",
            "propeller,reading_date,hours_since_new,hours_since_overhaul
             A1,2010-01-01,500,
             A1,2011-01-01,450,
             A2,2011-01-01,,100
             A2,2011-06-01,,90
             A2,2013-01-01,,30
             A2,2014-01-01,3000,",
        );
    let remedy = "correct the wrong one of the two; a meter that was replaced or set back gets a new name in `meter`. Until then hours are not known from there on";
    let beside = "hours that cannot be right beside the reading before";
    assert_eq!(
        told(&folder, beside),
        [
            format!("hours.csv:3 hours_since_new [450] A1 - x1 {beside} | {remedy}"),
            format!("hours.csv:5 hours_since_overhaul [90] A2 - x1 {beside} | {remedy}"),
        ]
    );
    // An hour back is rounding.
    let folder = FleetFolder::small()
        .with("hours", "propeller,reading_date,hours_since_new\nA1,2010-01-01,500\nA1,2011-01-01,499.2");
    let backwards = "hours run backwards";
    assert_eq!(
        told(&folder, backwards),
        [format!(
            "hours.csv:3 hours_since_new [499.2] A1 - x1 {backwards} | correct the readings; the larger count until then"
        )]
    );
    // 2,100 hours in two years are fewer than 1,200 a year; in one and a half they are more.
    let too_many = |day: &str| {
        let folder = FleetFolder::small()
            .with("hours", &format!("propeller,reading_date,hours_since_new\nA1,2010-01-01,500\nA1,{day},2600"));
        told(&folder, "1,200")
    };
    assert_eq!(too_many("2012-01-01"), [""; 0]);
    assert_eq!(
        too_many("2011-07-02"),
        [
            "hours.csv:3 hours_since_new [2600] A1 - x1 more than 1,200 hours a year | correct the readings or their dates"
        ]
    );
    // Meters are judged by the same rules.
    let folder = FleetFolder::small()
        .with("aircraft_hours", "aircraft,reading_date,hours\nx,2010-01-01,500\nx,2011-07-02,2600\nx,2011-08-02,260");
    assert_eq!(told(&folder, "1,200").len(), 1);
    assert_eq!(told(&folder, beside), [format!("aircraft_hours.csv:4 hours [260] - - x1 {beside} | {remedy}")]);
}

#[test]
fn visits_with_something_or_everything_unmeasured() {
    let folder = FleetFolder::small()
        .with("overhauls", "propeller,overhaul_date\nA1,2005-01-01\nA2,2005-01-01")
        .with("measurements", &format!("{MEASURED}A1,2005-01-01,1,60,,5.400,,0.450"));
    let some = "some blades or stations were not measured at this visit";
    assert_eq!(
        told(&folder, some),
        [format!(
            "measurements.csv:2 propeller [A1] A1 2005-01-01 x1 {some} | ask the shop for the missing readings; they are carried forward until then"
        )]
    );
    let none = "nothing was measured at this visit";
    assert_eq!(
        told(&folder, none),
        [format!(
            "overhauls.csv:3 overhaul_date [2005-01-01] A2 2005-01-01 x1 {none} | ask the shop for the sheet; older readings are carried forward until then"
        )]
    );
}

#[test]
fn blades_that_look_exchanged() {
    let folder = FleetFolder::small().with("overhauls", "propeller,overhaul_date\nA1,2005-01-01\nA1,2010-01-01").with(
        "measurements",
        &format!(
            "{MEASURED}A1,2005-01-01,1,60,,5.400,,0.450
                 A1,2005-01-01,2,60,,5.300,,0.430
                 A1,2010-01-01,1,60,5.300,5.290,0.430,0.425
                 A1,2010-01-01,2,60,5.400,5.390,0.450,0.445"
        ),
    );
    let rule = "the blades look exchanged on this sheet";
    assert_eq!(
        told(&folder, rule),
        [format!(
            "measurements.csv:4 blade [1] A1 2010-01-01 x1 {rule} | compare with the stamp: blade 1 is the blade nearest to it"
        )]
    );
}

#[test]
fn twelve_months_without_a_reading() {
    let folder = FleetFolder::small().with(
        "hours",
        "propeller,reading_date,hours_since_new
         A1,2023-01-01,10
         A1,2024-01-01,20
         A1,2025-01-03,30
         A1,2025-06-01,40
         A2,2024-12-31,40",
    );
    let rule = "twelve months or more without a reading of hours";
    assert_eq!(
        told(&folder, rule),
        [
            format!("hours.csv:4 reading_date [2025-01-03] A1 - x1 {rule} | add the readings that are missing"),
            format!("hours.csv:6 reading_date [2024-12-31] A2 - x1 {rule} | add the readings that are missing"),
        ]
    );
}

/// Track 0.062 in: common practice, no source.
#[test]
fn track_beyond_its_limit() {
    let folder = FleetFolder::small()
        .with("overhauls", "propeller,overhaul_date,track_in\nA1,2005-01-01,0.062\nA2,2005-01-01,1/16");
    let rule = "track is beyond its limit";
    // Told without any measurements too.
    assert_eq!(
        told(&folder, rule),
        [format!("overhauls.csv:3 track_in [0.0625] A2 2005-01-01 x1 {rule} | ask the shop")]
    );
}

#[test]
fn repairs_that_line_up_across_the_blade() {
    let folder = FleetFolder::small().with(
        "defects",
        "propeller,found_date,kind,blade,station_in,surface,depth_in,action
         A1,2020-01-01,nick,1,22.8,face,0.01,blended
         A1,2020-02-01,nick,1,23.7,camber,0.01,blended
         A1,2020-03-01,nick,2,22.8,camber,0.01,blended
         A2,2020-01-01,nick,1,22.8,leading_edge,0.01,blended
         A2,2020-02-01,nick,1,24.0,trailing_edge,0.01,blended",
    );
    let rule = "repairs line up across the blade";
    assert_eq!(
        told(&folder, rule),
        [format!("defects.csv:3 surface [camber] A1 - x1 {rule} | show the blade to a certificated shop")]
    );
}

/// The caution and the findings go by one rule: only blends since the last released overhaul line up.
#[test]
fn repairs_before_the_last_released_overhaul_line_up_with_none() {
    for (outcome, lines_up) in [("released", false), ("rejected", true)] {
        let folder = FleetFolder::small()
            .with("overhauls", &format!("propeller,overhaul_date,work,outcome\nA1,2020-06-01,overhaul,{outcome}"))
            .with(
                "defects",
                "propeller,found_date,kind,blade,station_in,surface,depth_in,action,action_date
                 A1,2020-01-01,nick,1,22.8,face,0.01,blended,2020-01-02
                 A1,2020-07-01,nick,1,23.7,camber,0.01,blended,2020-07-02",
            );
        assert_eq!(!told(&folder, "repairs line up across the blade").is_empty(), lines_up, "{outcome}");
        let loaded = folder.load();
        let fleet = as_of(&loaded, "2026-01-01");
        let settings = Settings::default();
        let answers = Answers::new(&fleet, &settings);
        assert_eq!(answers.findings().rows.iter().any(|f| f.lines_up), lines_up, "{outcome}");
    }
}

#[test]
fn a_released_dimension_at_its_minimum() {
    let folder = FleetFolder::small()
        .with("overhauls", "propeller,overhaul_date,outcome\nA1,2005-01-01,released\nA2,2005-01-01,rejected")
        .with(
            "measurements",
            &format!(
                "{MEASURED}A1,2005-01-01,1,60,,5.231,,0.4145
                 A2,2005-01-01,1,60,,5.231,,0.413
                 A1,2005-01-01,1,90,,3.559,,0.2"
            ),
        );
    let rule = "at the limit: a released dimension within 0.001 in of its minimum";
    assert_eq!(
        told(&folder, rule),
        [format!(
            "measurements.csv:2 width_after_in [5.231] A1 2005-01-01 x1 {rule} | expect the next overhaul to reject this blade"
        )]
    );
}

#[test]
fn scrapped_or_rejected_and_flying_on() {
    let folder = FleetFolder::small()
        .with(
            "propellers",
            "propeller,status,end_date,replaced_by
             A1,scrapped,2010-01-01,A2
             A2,flying,,
             A3,flying,,
             A4,scrapped,2010-01-01,A9",
        )
        .with("overhauls", "propeller,overhaul_date,outcome\nA3,2012-01-01,rejected")
        .with(
            "hours",
            "propeller,reading_date,hours_since_new
             A1,2009-12-01,500
             A1,2010-06-01,510
             A4,2009-12-01,500
             A4,2010-06-01,500",
        )
        .with("fitted", "propeller,aircraft,from_date\nA3,x,2013-01-01");
    let rule = "scrapped or rejected, with later hours or a later fitting";
    let remedy = "find out which propeller is flying; a mechanic looks before the next flight";
    assert_eq!(
        told(&folder, rule),
        [
            format!("hours.csv:3 reading_date [2010-06-01] A1 - x1 {rule} | {remedy}"),
            format!("fitted.csv:2 from_date [2013-01-01] A3 - x1 {rule} | {remedy}"),
        ]
    );
    assert_eq!(
        told(&folder, "replacement"),
        [
            "propellers.csv:5 replaced_by [A9] A4 - x1 the propeller named as replacement is not listed | add it to `propellers`, or correct the serial"
        ]
    );
}

#[test]
fn a_propeller_row_is_never_lost_for_an_optional_cell() {
    let folder = FleetFolder::small().with("bases", "base,air\nnorth,rural").with(
        "propellers",
        "propeller,model,use,base,in_service_date,status,interval_hours
             A1,M77,hire,south,31.12.2000,gone,-5",
    );
    assert_eq!(folder.set_aside(), [""; 0]);
    let mut cautions = folder.cautions();
    cautions.sort();
    let word = "write one of the words, or leave the cell empty";
    assert_eq!(
        cautions,
        [
            "propellers.csv:2 base [south] A1 - x1 the base is not defined, so it counts as not known | add the base to `bases`, or correct the name".to_string(),
            "propellers.csv:2 in_service_date [31.12.2000] - - x1 in_service_date: \"31.12.2000\" is not a date (expected YYYY-MM-DD); it counts as not recorded | write YYYY-MM-DD, or set date_format in fleet.toml".to_string(),
            "propellers.csv:2 interval_hours [-5] - - x1 interval_hours: \"-5\" is zero or negative; the limit it meant is not known | correct the value, or leave it empty when it was not measured".to_string(),
            "propellers.csv:2 model [M77] - - x1 the model is not defined, so it counts as not known | add the model to `models`, or correct the designation".to_string(),
            format!("propellers.csv:2 status [gone] - - x1 status: \"gone\" is none of flying, spare, at shop, scrapped, sold; it counts as flying | {word}"),
            format!("propellers.csv:2 use [hire] - - x1 use: \"hire\" is none of training, rental, club, private, other; it counts as rental in the order of tiers | {word}"),
        ]
    );
}

#[test]
fn names_that_lead_nowhere() {
    let folder = FleetFolder::small()
        .with("models", "model,limits_of\nM76,\nN,M67")
        .with("overhauls", "propeller,overhaul_date,model_after\nA1,2010-01-01,M99")
        .with("aircraft_hours", "aircraft,reading_date,hours\nx,2010-01-01,5\nz,2030-01-01,5")
        .with("fitted", "propeller,aircraft,from_date\nA1,y,2010-01-01\nA2,x,2010-01-01\nA2,z,2011-01-01")
        .with("prices", "model,overhaul_cost,replacement_cost\nM99,1,2");
    let model =
        "the model is not defined, so it counts as not known | add the model to `models`, or correct the designation";
    let aircraft = "the aircraft has no readings, so it counts as not known | add readings to `aircraft_hours`, or correct the name";
    assert_eq!(
        folder.cautions(),
        [
            format!("models.csv:3 limits_of [M67] - - x1 {model}"),
            format!("overhauls.csv:2 model_after [M99] A1 2010-01-01 x1 {model}"),
            format!("fitted.csv:2 aircraft [y] A1 - x1 {aircraft}"),
            // The readings of z are later than the date, so they are not there yet.
            format!("fitted.csv:4 aircraft [z] A2 - x1 {aircraft}"),
            format!("prices.csv:2 model [M99] - - x1 {model}"),
        ]
    );
}

#[test]
fn measurements_near_a_visit_or_without_one() {
    let folder = FleetFolder::small()
        .with("overhauls", "propeller,overhaul_date\nA1,2010-01-31\nA2,2010-01-01\nA2,2010-02-01")
        .with(
            "measurements",
            &format!(
                "{MEASURED}A1,2010-01-01,1,60,,5.400,,0.450
                 A1,2010-01-01,2,60,,5.400,,0.450
                 A1,2009-12-31,1,60,,5.400,,0.450
                 A2,2010-01-15,1,60,,5.400,,0.450"
            ),
        );
    let near = "the measurements' date is near the visit's, not equal | write the visit's own date";
    let without = "measurements without a shop visit | add the visit to `overhauls`; until then these readings never restart the clock";
    assert_eq!(
        told(&folder, "measurements' date"),
        [format!("measurements.csv:2 overhaul_date [2010-01-01] A1 2010-01-31 x2 {near}")]
    );
    // Two visits within 30 days: which one it belongs to is not guessed.
    assert_eq!(
        told(&folder, "without a shop visit"),
        [
            format!("measurements.csv:4 overhaul_date [2009-12-31] A1 2009-12-31 x1 {without}"),
            format!("measurements.csv:5 overhaul_date [2010-01-15] A2 2010-01-15 x1 {without}"),
        ]
    );
}

#[test]
fn visits_reports_and_limits_that_could_not_be_used() {
    let folder = FleetFolder::small()
        .with("overhauls", "propeller,overhaul_date,cost\nA1,2010-01-01,a lot\nA2,2010-01-01,5,6")
        .with("defects", "propeller,found_date,kind\nA1,2010-01-01,ding\nA2,2010-01-01,nick,x")
        .with(
            "limits",
            "model,station_pct,width_new_in,width_min_in
             M76,60,5.44,5.2x
             M76,30x,5.41,5.17",
        );
    let visit = "a shop visit of this propeller could not be used | correct the row in `overhauls`; it does not restart the clock";
    let report = "a damage report of this propeller could not be read | correct the row in `defects`; a mechanic looks before the next flight";
    assert_eq!(
        folder.cautions(),
        [
            "limits.csv:2 width_min_in [5.2x] - - x1 width_min_in: \"5.2x\" is not a number (expected a length such as 0.352 or 1 1/16); the tightest known of that model counts | write a decimal, or a fraction such as 1 1/16 for a length; leave unknown cells empty".to_string(),
            "limits.csv:3 model [M76] - - x1 limits of this model could not be used | correct the row in `limits`; margins are not known there".to_string(),
            format!("overhauls.csv:2 propeller [A1] A1 2010-01-01 x1 {visit}"),
            format!("overhauls.csv:3 propeller [] A2 - x1 {visit}"),
            format!("defects.csv:2 propeller [A1] A1 - x1 {report}"),
            format!("defects.csv:3 propeller [] A2 - x1 {report}"),
        ]
    );
}

#[test]
fn shortened_without_a_new_designation() {
    let folder = FleetFolder::small()
        .with("overhauls", "propeller,overhaul_date,work,model_after\nA1,2010-01-01,shorten,\nA2,2010-01-01,overhaul,");
    let rule = "shortened or re-pitched, but the designation did not change";
    assert_eq!(
        told(&folder, rule),
        [format!(
            "overhauls.csv:2 work [shorten] A1 2010-01-01 x1 {rule} | write the new designation in model_after, and the one before in `propellers`"
        )]
    );
}

/// One line a propeller, visit and rule, with a count and the first line.
#[test]
fn cautions_are_counted_not_repeated() {
    let folder = FleetFolder::small().with("overhauls", "propeller,overhaul_date\nA1,2010-01-01").with(
        "measurements",
        &format!(
            "{MEASURED}A1,2010-01-01,2,90,,3.560,,
                 A1,2010-01-01,2,60,,5.230,,
                 A1,2010-01-01,1,60,,5.230,,"
        ),
    );
    let rule = "at the limit";
    let lines = told(&folder, rule);
    assert_eq!(lines.len(), 1);
    assert!(lines[0].starts_with("measurements.csv:2 width_after_in [3.56] A1 2010-01-01 x3 "), "{lines:?}");
}

#[test]
fn a_visit_that_leaves_work_or_outcome_empty() {
    let folder = FleetFolder::small().with(
        "overhauls",
        "propeller,overhaul_date,work,outcome
         A1,2010-05-04,overhaul,
         A2,2011-05-04,,released
         A2,2016-05-04,overhaul,let go",
    );
    let cautions = folder.cautions();
    let said = |start: &str| cautions.iter().filter(|line| line.starts_with(start)).count();
    let outcome = "overhauls.csv:2 outcome [] A1 2010-05-04 x1 the outcome of this visit is not recorded | write released or rejected; until then it restarts no clock and a mechanic looks before flight. A fleet that keeps no outcomes deletes the column";
    let work = "overhauls.csv:3 work [] A2 2011-05-04 x1 the work of this visit is not recorded | write overhaul or what else was done; until then it restarts no clock. A fleet that keeps only overhauls deletes the column";
    assert_eq!((said(outcome), said(work)), (1, 1), "{cautions:#?}");
    // A word that could not be read is said once, as such.
    assert_eq!(said("overhauls.csv:4 outcome"), 1, "{cautions:#?}");
    // Where the whole column is absent its default holds, and nothing is said.
    let absent = FleetFolder::small().with("overhauls", "propeller,overhaul_date\nA1,2010-05-04");
    let other: Vec<String> = absent.cautions();
    assert!(!other.iter().any(|line| line.contains("not recorded")), "{other:#?}");
}

/// Cells that count as different things have one sentence that holds of all, on the page; each is quoted by `check`.
#[test]
fn unreadable_cells_have_one_general_sentence_on_the_page() {
    let page = |propellers: &str| {
        let folder = FleetFolder::small().with("propellers", propellers);
        let loaded = folder.load();
        let fleet = as_of(&loaded, "2026-01-01");
        let settings = Settings::default();
        let answers = Answers::new(&fleet, &settings);
        bladewane::report::page(&answers, &bladewane::results::answers::Shown::all(), "F").expect("a page")
    };
    let general = "a cell could not be read; it counts as not recorded, or as the word that looks less safe";
    let two = page("propeller,model,status,use\nA1,M76,in shop,rental\nA2,M76,flying,hire");
    assert!(two.contains(general));
    // One alone is told by its own words.
    let one = page("propeller,model,status,use\nA1,M76,in shop,rental\nA2,M76,flying,rental");
    assert!(!one.contains(general));
    assert!(one.contains("is none of flying, spare, at shop, scrapped, sold; it counts as flying"));
}
