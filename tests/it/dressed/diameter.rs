//! The tips: dressing them takes diameter.

use super::{DEFECTS, MEASURE_IT, MEASURE_THERE, NOTHING, OVERHAULS, blend};
use crate::fleet_folder::{FleetFolder, as_of};
use crate::judged::{expect, in_order, said};
use bladewane::results::answers::Answers;
use bladewane::settings::Settings;

const SHEET: &str = "
    propeller,overhaul_date,blade,station_pct,thickness_after_in
    T1,2025-03-01,1,30,0.975
    T1,2025-03-01,1,60,0.476
    T1,2025-03-01,1,90,0.249
    T1,2025-03-01,2,30,0.975
    T1,2025-03-01,2,60,0.476
    T1,2025-03-01,2,90,0.249";

/// A smallest diameter of 74.5 in, and T1 overhauled on 2025-03-01 with this diameter.
fn read(diameter: &str, reports: &str) -> FleetFolder {
    in_order()
        .with(
            "models",
            "model,diameter_in,diameter_min_in,blades,interval_hours,interval_months,track_limit_in
             M76,76,74.5,2,none,120,0.062",
        )
        .with(
            "overhauls",
            &format!("{OVERHAULS},diameter_after_in\nT1,2025-03-01,overhaul,released,Shop,90,{diameter}\nC1,2025-03-01,dimensional inspection,released,Shop,90,76"),
        )
        .with("measurements", SHEET)
        .with("defects", &format!("{DEFECTS}\n{reports}\n"))
}

/// Left = last diameter - 2 x the deepest blade's total - minimum: by hand 74.6 - 2 x (0.030 + 0.030) - 74.5 = -0.02.
#[test]
fn tips_are_dressed_out_of_the_diameter() {
    let twice = |second: &str, blade: u8| {
        let second = blend(second, "100,tip", "0.030").replace("nick,1,", &format!("nick,{blade},"));
        read("74.6", &format!("{}{second}", blend("2025-06-10", "100,tip", "0.030")))
    };
    let expected = "diameter 0.020 in below minimum counting 0.120 in dressed out since 2025 at the tips";
    expect(&twice("2025-09-10", 1), "T1", 1, expected, MEASURE_IT);
    // The deepest blade counts, and what was found on one day is no deeper: 74.6 - 0.06 - 74.5.
    assert_ne!(said(&twice("2025-09-10", 2), "T1").tier, 1);
    assert_ne!(said(&twice("2025-06-10", 1), "T1").tier, 1);
    // Beside the tip nothing is taken off the diameter.
    assert_ne!(said(&read("74.6", &blend("2025-06-10", "97,leading_edge", "0.060")), "T1").tier, 1);
    // Before the overhaul that read the diameter it is in the reading.
    let before = format!("{}{}", blend("2025-01-10", "100,tip", "0.030"), blend("2025-02-10", "100,tip", "0.030"));
    assert_ne!(said(&read("74.6", &before), "T1").tier, 1);
}

#[test]
fn below_the_smallest_diameter_by_a_sheet() {
    expect(
        &read("74.4", ""),
        "T1",
        1,
        "diameter 0.100 in below minimum by its last sheet, of 2025-03-01",
        "before flight check the sheet and the manual's revision with the shop; then reject",
    );
}

/// Dressed at the tip and the depth is not on record: at worst 1/16 in, and twice that of the diameter.
#[test]
fn a_tip_dressed_without_depth_is_measured() {
    let expected = "dressed at the tip without depth on record: diameter at worst 0.025 in below minimum";
    expect(&read("74.6", &blend("2025-06-10", "100,tip", "")), "T1", 4, expected, MEASURE_THERE);
    assert_ne!(said(&read("75.0", &blend("2025-06-10", "100,tip", "")), "T1").reason, expected);
}

/// A diameter left out by a fleet that reads them is asked for.
#[test]
fn a_diameter_that_was_not_read_is_asked_for() {
    expect(
        &read("", ""),
        "T1",
        4,
        "diameter not read at the overhaul of 2025-03-01",
        "ask the shop for the diameter it released, or measure it",
    );
}

/// In a column that is there, an empty or unreadable smallest diameter may be the one that is passed.
#[test]
fn a_smallest_diameter_that_is_left_out_is_asked_for() {
    for cell in ["", "74..5", "-1"] {
        let models = format!(
            "model,diameter_in,diameter_min_in,blades,interval_hours,interval_months,track_limit_in
             M76,76,{cell},2,none,120,0.062"
        );
        for folder in [read("74.4", ""), read("", &blend("2025-06-10", "100,tip", "0.060"))] {
            let said = said(&folder.with("models", &models), "T1");
            let reason = "the smallest diameter of its model is not on record, so its tips are not judged";
            assert!(said.tier == 4 && said.reasons.iter().any(|r| r == reason), "{cell}: {said:?}");
        }
        // No tip was damaged and no diameter read: nothing rests on it.
        let folder = in_order().with("models", &models);
        assert_eq!(said(&folder, "T1").reason, NOTHING, "{cell}");
    }
}

/// Without the maker's smallest diameter nothing is judged, and it is a gap.
#[test]
fn without_a_smallest_diameter_it_is_a_gap() {
    let gaps = |reports: &str| -> Vec<String> {
        let folder = in_order().with("defects", &format!("{DEFECTS}\n{reports}\n"));
        let loaded = folder.load();
        let settings = Settings::default();
        let fleet = as_of(&loaded, "2026-01-01");
        let answers = Answers::new(&fleet, &settings);
        answers.gaps().iter().map(|gap| gap.what.clone()).filter(|what| what.contains("diameter")).collect()
    };
    assert_eq!(gaps(&blend("2025-06-10", "100,tip", "0.060")), ["smallest diameter of M76"]);
    assert_eq!(gaps(&blend("2025-06-10", "60,face", "0.010")), [""; 0]);
    let folder = in_order().with("defects", &format!("{DEFECTS}\n{}", blend("2025-06-10", "100,tip", "0.060")));
    assert_eq!(said(&folder, "T1").reason, NOTHING);
}
