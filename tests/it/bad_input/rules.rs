//! Rows that can be read and still cannot be used: each rule with its exact words.

use crate::fleet_folder::{FleetFolder, as_of, check_account};
use bladewane::records::schema::Table;

const MEASURED: &str =
    "propeller,overhaul_date,blade,station_pct,width_before_in,width_after_in,thickness_before_in,thickness_after_in\n";

fn measured(rows: &str) -> Vec<String> {
    let folder = FleetFolder::small()
        .with("overhauls", "propeller,overhaul_date\nA1,2010-01-01\nA2,2010-01-01")
        .with("measurements", &format!("{MEASURED}{rows}"));
    let loaded = folder.load();
    check_account(&as_of(&loaded, "2026-01-01"));
    folder.set_aside()
}

#[test]
fn a_required_value_that_is_not_recorded() {
    let folder = FleetFolder::small()
        .with("propellers", "propeller,model\n,M76\nA1,M76\n?,M76")
        .with("kept_at", "propeller,base,from_date\nA1,,2020-01-01\nA1,north,")
        .with("prices", "model,overhaul_cost,replacement_cost\nM76,,5000");
    let told = "a required value is not recorded | fill the cell from the paper record";
    assert_eq!(
        folder.set_aside(),
        [
            format!("propellers.csv:2 propeller [] {told}"),
            format!("propellers.csv:4 propeller [] {told}"),
            format!("kept_at.csv:2 base [] {told}"),
            format!("kept_at.csv:3 from_date [] {told}"),
            format!("prices.csv:2 overhaul_cost [] {told}"),
        ]
    );
}

#[test]
fn one_of_a_group_must_be_recorded() {
    let folder = FleetFolder::small()
        .with("hours", "propeller,reading_date,hours_since_new\nA1,2020-01-01,")
        .with("limits", "model,station_pct,station_mm\nM76,-,");
    assert_eq!(
        folder.set_aside(),
        [
            "limits.csv:2 station_pct [] none of station_pct, station is recorded | fill one of them from the paper record",
            "hours.csv:2 hours_since_new [] none of hours_since_new, hours_since_overhaul is recorded | fill one of them from the paper record",
        ]
    );
}

#[test]
fn a_propeller_that_is_not_on_record_yet() {
    let folder = FleetFolder::small()
        .with("propellers", "propeller,in_service_date\nA1,2000-01-01\nA2,2025-01-01")
        .with("hours", "propeller,reading_date,hours_since_new\nA2,2020-01-01,5");
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2024-01-01");
    check_account(&fleet);
    assert_eq!(
        crate::fleet_folder::set_aside(&fleet),
        [
            "hours.csv:2 propeller [A2] the propeller is not on record yet at the as-of date | nothing, if its in_service_date is right"
        ]
    );
    assert_eq!(folder.set_aside(), [""; 0]);
}

#[test]
fn a_base_that_is_not_listed() {
    let folder = FleetFolder::small()
        .with("bases", "base,air\nnorth field,rural")
        .with("kept_at", "propeller,base,from_date\nA1,noth field,2020-01-01\nA2,x,2020-01-01");
    let told = "the base is not listed in `bases` | add it to `bases`, or correct the name";
    assert_eq!(
        folder.set_aside(),
        [
            format!("kept_at.csv:2 base [noth field] {told}; the nearest listed is north field"),
            format!("kept_at.csv:3 base [x] {told}"),
        ]
    );
    // Without a table of bases a base is a name like any other.
    let folder = FleetFolder::small().with("kept_at", "propeller,base,from_date\nA1,north,2020-01-01");
    assert_eq!(folder.set_aside(), [""; 0]);
}

/// Gauge error 0.002 in of thickness and 0.010 in of width is let pass.
#[test]
fn metal_does_not_grow_at_a_visit() {
    let told = |column: &str, line: u32, value: &str, by: &str| {
        format!(
            "measurements.csv:{line} {column} [{value}] after is greater than before by more than {by} in (metal does not grow) | compare both readings with the shop's sheet"
        )
    };
    assert_eq!(
        measured(
            "A1,2010-01-01,1,60,5.300,5.310,0.440,0.442
             A1,2010-01-01,1,30,5.300,5.311,0.950,0.940
             A1,2010-01-01,1,90,3.700,3.690,0.220,0.2221"
        ),
        [told("width_after_in", 3, "5.311", "0.010"), told("thickness_after_in", 4, "0.2221", "0.002"),]
    );
}

#[test]
fn a_blade_the_model_does_not_have() {
    let told = "the model has 2 blades | correct the blade number, or the model's blade count";
    assert_eq!(
        measured("A1,2010-01-01,3,60,,5.3,,\nA1,2010-01-01,0,60,,5.3,,"),
        [format!("measurements.csv:2 blade [3] {told}"), format!("measurements.csv:3 blade [0] {told}"),]
    );
    let folder = FleetFolder::small().with("defects", "propeller,found_date,kind,blade\nA1,2010-01-01,nick,3");
    assert_eq!(folder.set_aside(), [format!("defects.csv:2 blade [3] {told}")]);
}

/// Within 0.1 in of a listed station is that station: 0.26 % of 76 in. What lies between two stations is kept, with a caution,
/// and held against a new blade there: 5.440 - (5.440 - 3.750) / 30 = 5.3837 in at 61 %.
#[test]
fn a_station_that_limits_does_not_list() {
    let told = "measured at a place that `limits` does not list: held against limits between its neighbours, and in no loss | nothing, if the station is right; else correct it";
    let folder = FleetFolder::small()
        .with("overhauls", "propeller,overhaul_date\nA1,2010-01-01")
        .with("measurements", &format!("{MEASURED}A1,2010-01-01,1,60.2,,5.3,,\nA1,2010-01-01,1,61,,5.3,,"));
    assert_eq!(folder.set_aside(), [""; 0]);
    assert!(
        folder.cautions().contains(&format!("measurements.csv:3 station_pct [61] A1 2010-01-01 x1 {told}")),
        "{:?}",
        folder.cautions()
    );
    let beyond = "larger than a new blade there (5.384 in) | compare with the shop's sheet and the model's limits";
    assert_eq!(
        measured("A1,2010-01-01,1,61,,5.40,,\nA1,2010-01-01,2,61,,5.45,,"),
        [format!("measurements.csv:3 width_after_in [5.45] {beyond}")]
    );
    let folder = FleetFolder::small().with(
        "measurements",
        "propeller,overhaul_date,blade,station_in,width_after_in
         A1,2010-01-01,1,22.80,5.3
         A1,2010-01-01,2,22.89,5.3
         A2,2010-01-01,1,22.91,5.3",
    );
    assert_eq!(folder.set_aside(), [""; 0]);
    let kept: Vec<String> = folder.cautions().into_iter().filter(|c| c.ends_with(told)).collect();
    assert_eq!(kept, [format!("measurements.csv:4 station_in [22.91] A2 2010-01-01 x1 {told}")]);
    // Only where the model has limits.
    let folder = FleetFolder::empty()
        .with("propellers", "propeller,model\nA1,M76")
        .with("models", "model\nM76")
        .with("measurements", "propeller,overhaul_date,blade,station_pct,width_after_in\nA1,2010-01-01,1,61.5,5.3");
    assert_eq!(folder.set_aside(), [""; 0]);
    assert!(!folder.cautions().iter().any(|c| c.ends_with(told)));
}

/// A place that cannot be told against the stations, which the model's diameter would tell, is set aside as before.
#[test]
fn a_station_in_inches_of_a_model_whose_stations_are_percents() {
    let folder = FleetFolder::small()
        .with("models", "model,blades\nM76,2")
        .with("measurements", "propeller,overhaul_date,blade,station_in,width_after_in\nA1,2010-01-01,1,22.80,5.3");
    assert_eq!(
        folder.set_aside(),
        [
            "measurements.csv:2 station_in [22.8] `limits` does not list this station for the model | correct the station, or add its limits; listed are 30 %, 60 %, 90 %"
        ]
    );
}

#[test]
fn percent_and_distance_that_name_two_places() {
    let told = "station_pct and station name two different places | keep the one the sheet gives and empty the other";
    let folder = FleetFolder::small()
        .with(
            "measurements",
            "propeller,overhaul_date,blade,station_pct,station_in,width_after_in
             A1,2010-01-01,1,60,22.8,5.3
             A1,2010-01-01,2,60,11.4,5.3",
        )
        .with(
            "defects",
            "propeller,found_date,kind,station_pct,station_in
             A1,2010-01-01,nick,60,22.8
             A1,2010-01-01,nick,60,24",
        );
    assert_eq!(
        folder.set_aside(),
        [format!("measurements.csv:3 station_in [11.4] {told}"), format!("defects.csv:3 station_in [24] {told}"),]
    );
}

#[test]
fn a_place_beyond_the_blade() {
    let folder = FleetFolder::small()
        .with("defects", "propeller,found_date,kind,station_in\nA1,2010-01-01,nick,38\nA1,2010-01-01,nick,39");
    assert_eq!(
        folder.set_aside(),
        [
            "defects.csv:3 station_in [39] the station lies beyond the blade | give the percent of the radius, 0 to 100, or the distance from the hub centre"
        ]
    );
}

#[test]
fn a_date_before_1930() {
    let told = "a date before 1930 | correct the year";
    let folder = FleetFolder::small()
        .with("hours", "propeller,reading_date,hours_since_new\nA1,1929-12-31,1\nA1,1930-01-01,1")
        .with("fitted", "propeller,aircraft,from_date,to_date\nA1,x,2010-01-01,1910-01-01");
    assert_eq!(folder.set_aside(), [format!("hours.csv:2 reading_date [1929-12-31] {told}")]);
    // A fitting keeps its row, and goes on.
    assert_eq!(
        folder.cautions().into_iter().find(|line| line.starts_with("fitted")).expect("a caution"),
        "fitted.csv:2 to_date [1910-01-01] - - x1 to_date: \"1910-01-01\" is a date before 1930; it counts as not ended | correct the year"
    );
    // A propeller keeps its row.
    let folder = FleetFolder::empty().with("propellers", "propeller,in_service_date\nA1,1899-01-01");
    assert_eq!(folder.set_aside(), [""; 0]);
    assert_eq!(
        folder.cautions(),
        [
            "propellers.csv:2 in_service_date [1899-01-01] - - x1 in_service_date: \"1899-01-01\" is a date before 1930; it counts as not recorded | correct the year"
        ]
    );
}

#[test]
fn dimensions_above_zero_and_counts_not_below() {
    let correct = "correct the value, or leave it empty when it was not measured";
    assert_eq!(
        measured("A1,2010-01-01,1,60,,0,,\nA1,2010-01-01,1,30,,,,-0.9"),
        [
            format!("measurements.csv:2 width_after_in [0] zero or negative | {correct}"),
            format!("measurements.csv:3 thickness_after_in [-0.9] zero or negative | {correct}"),
        ]
    );
    let folder = FleetFolder::small()
        .with("models", "model,diameter_in,interval_hours\nM76,-76,2000\nN,76,0")
        .with("hours", "propeller,reading_date,hours_since_new\nA1,2010-01-01,-5\nA1,2011-01-01,0");
    assert_eq!(folder.set_aside(), [format!("hours.csv:2 hours_since_new [-5] below zero | {correct}")]);
    // A model keeps its row, and what else it says.
    assert_eq!(
        folder.cautions()[..2],
        [
            format!(
                "models.csv:2 diameter_in [-76] - - x1 diameter_in: \"-76\" is zero or negative; it counts as not recorded | {correct}"
            ),
            format!(
                "models.csv:3 interval_hours [0] - - x1 interval_hours: \"0\" is zero or negative; the limit it meant is not known | {correct}"
            ),
        ]
    );
}

#[test]
fn numbers_outside_what_can_be() {
    let folder = FleetFolder::small()
        .with("models", "model,blades\nM76,4\nN,1")
        .with("bases", "base,temperature_c,relative_humidity_pct\na,15,101\nb,100,50")
        .with("limits", "model,station_pct,width_new_in\nM76,100.5,5");
    assert_eq!(
        folder.set_aside(),
        [
            "limits.csv:2 station_pct [100.5] outside 0 to 100 | correct the value",
            "bases.csv:2 relative_humidity_pct [101] outside 0 to 100 | correct the value",
            "bases.csv:3 temperature_c [100] outside -90 to 60 | correct the value",
        ]
    );
    let told = |line: u32, blades: u8| {
        format!(
            "models.csv:{line} blades [{blades}] - - x1 blades: \"{blades}\" is outside 2 to 3; it counts as not recorded | correct the value"
        )
    };
    assert_eq!(folder.cautions()[..2], [told(2, 4), told(3, 1)]);
}

#[test]
fn a_minimum_above_new() {
    let folder = FleetFolder::small().with(
        "limits",
        "model,station_pct,width_new_mm,width_min_mm,thickness_new_mm,thickness_min_mm
         M76,60,138,138,12.1,10.5
         M76,30,137,131,22.9,24.8
         M76,90,90,95,6.3,4.8",
    );
    let told = "the minimum is above the new dimension | compare both figures with the maker's current manual";
    assert_eq!(
        folder.set_aside(),
        [format!("limits.csv:3 thickness_min_mm [24.8] {told}"), format!("limits.csv:4 width_min_mm [95] {told}"),]
    );
}

/// Above new by more than 0.010 in of thickness or 0.060 in of width, or under half of new.
#[test]
fn dimensions_that_cannot_be_right_and_what_they_look_like() {
    let slipped = "it looks like a slipped decimal point; compare with the shop's sheet";
    let above = "larger than a new blade there (0.476 in)";
    let below = "under half of a new blade there (0.476 in)";
    assert_eq!(
        measured(
            "A1,2010-01-01,1,60,5.500,5.400,0.486,0.470
             A1,2010-01-01,1,30,5.471,5.400,,
             A2,2010-01-01,1,60,,,4.41,
             A2,2010-01-01,2,60,,,,11.2
             A1,2010-01-01,2,60,,,441,
             A1,2010-01-01,2,90,,,0.52,
             A2,2010-01-01,1,30,,,,0.095
             A2,2010-01-01,2,30,,,,0.4874"
        ),
        [
            "measurements.csv:3 width_before_in [5.471] larger than a new blade there (5.410 in) | compare with the shop's sheet and the model's limits".to_string(),
            format!("measurements.csv:4 thickness_before_in [4.41] {above} | {slipped}"),
            format!("measurements.csv:5 thickness_after_in [11.2] {above} | it looks like millimetres in an inch column; name the column _mm or convert"),
            format!("measurements.csv:6 thickness_before_in [441] {above} | it looks like thousandths in an inch column; name the column _thou or convert"),
            "measurements.csv:7 thickness_before_in [0.52] larger than a new blade there (0.249 in) | compare with the shop's sheet and the model's limits".to_string(),
            format!("measurements.csv:8 thickness_after_in [0.095] {} | {slipped}", below.replace("0.476", "0.975")),
            format!("measurements.csv:9 thickness_after_in [0.4874] {} | compare with the shop's sheet and the model's limits", below.replace("0.476", "0.975")),
        ]
    );
}

#[test]
fn a_depth_larger_than_the_blade_is_thick() {
    let folder = FleetFolder::small().with(
        "defects",
        "propeller,found_date,kind,station_pct,surface,depth_in
         A1,2010-01-01,nick,60,face,0.5
         A1,2010-01-01,nick,75,camber,0.37
         A1,2010-01-01,nick,75,camber,0.36
         A1,2010-01-01,nick,60,leading_edge,0.5
         A1,2010-01-01,nick,,,1.0",
    );
    let told = |line: u32, value: &str, thick: &str| {
        format!(
            "defects.csv:{line} depth_in [{value}] deeper than the blade is thick there ({thick} in) | correct the depth; until then the propeller waits for a mechanic"
        )
    };
    // Between 60 and 90 % the thickness is linear: (0.476 + 0.249) / 2 = 0.3625. Without a place the thickest station counts.
    assert_eq!(folder.set_aside(), [told(2, "0.5", "0.476"), told(3, "0.37", "0.362"), told(6, "1", "0.975"),]);
}

/// Every rule that can be built is met by a test of this folder; this one keeps the account in one place.
#[test]
fn rows_read_are_used_set_aside_or_later() {
    let folder = FleetFolder::small()
        .with("overhauls", "propeller,overhaul_date\nA1,2010-01-01\nA9,2010-01-01\nA2,x\nA1,2030-01-01")
        .with(
            "measurements",
            &format!("{MEASURED}A1,2010-01-01,1,60,,5.3,,\nA1,2010-01-01,7,60,,5.3,,\nA1,2030-01-01,7,60,,5.3,,"),
        );
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    check_account(&fleet);
    let of = |table: Table| {
        let c = fleet.ledger.counts(table).expect("a count");
        (c.read, c.used, c.set_aside, c.later)
    };
    assert_eq!(of(Table::Overhauls), (4, 1, 2, 1));
    assert_eq!(of(Table::Measurements), (3, 1, 1, 1));
    assert_eq!(of(Table::Propellers), (2, 2, 0, 0));
    assert_eq!(fleet.ledger.counts(Table::Prices), None);
}
