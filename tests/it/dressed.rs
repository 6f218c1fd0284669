//! Metal dressed out, as a propeller's user meets it: every sentence of the contract by its tier, reason and next step.
//! Hand algebra on the small fleet of `judged.rs`; the radius is 38 in, so 1 in is 2.63 % of it.

mod diameter;
mod laws;
mod spoilt;

use crate::fleet_folder::{FleetFolder, as_of};
use crate::judged::{Said, expect, in_order, said};
use crate::program::{bladewane, text};
use bladewane::analysis::margins::{Margin, MarginReader};
use bladewane::analysis::survey::Survey;
use bladewane::settings::Settings;
use bladewane::trade::geometry::Dimension::{self, Thickness};

const DEFECTS: &str = "propeller,found_date,kind,blade,station_pct,surface,depth_in,length_in,action,action_date";
const NOTHING: &str = "nothing open on record";
const MEASURE_IT: &str = "before flight measure it; remove from service if confirmed";
const MEASURE_THERE: &str = "measure there at the next inspection and enter it, or the depth that was dressed out";
const OVERHAULS: &str = "propeller,overhaul_date,work,outcome,shop,hours_since_new";

/// 0.100 in of thickness between a new blade and the minimum at every station, so that depths can be read off.
const ROOM: &str = "
    model,station_pct,thickness_new_in,thickness_min_in
    M76,30,0.900,0.800
    M76,60,0.500,0.400
    M76,90,0.300,0.200";

/// The fleet with these damage reports.
fn with_reports(rows: &str) -> FleetFolder {
    in_order().with("limits", ROOM).with("defects", &format!("{DEFECTS}\n{rows}\n"))
}

/// Found and dressed on one day on blade 1: day, place and surface, depth.
fn blend(day: &str, place: &str, depth: &str) -> String {
    format!("T1,{day},nick,1,{place},{depth},0.1,blended,{day}\n")
}

fn margins(folder: &FleetFolder) -> Vec<Margin> {
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let settings = Settings::default();
    let survey = Survey::of(&fleet, &settings.forecast);
    let propeller = fleet.propellers.find("T1").expect("a propeller");
    MarginReader::new(&fleet, &survey, &settings.screen).of(propeller)
}

fn at(margins: &[Margin], blade: u8, station: u8, dimension: Dimension) -> Margin {
    let wanted = |m: &&Margin| (m.blade, m.station, m.dimension) == (blade, station, dimension);
    *margins.iter().find(wanted).expect("a margin at this place")
}

/// What was dressed out of the thickness of blade 1 where least is left, in ten-thousandths of an inch, by station.
fn gone(folder: &FleetFolder) -> [i64; 3] {
    let margins = margins(folder);
    [0, 1, 2].map(|station| (at(&margins, 1, station, Thickness).dressed_since_in * 1e4).round() as i64)
}

/// Nicks in a row were once charged together, and a propeller sent to the shop for it.
#[test]
fn blends_that_do_not_reach_each_other_do_not_add_up() {
    // 0.38 in apart at an edge, each 0.56 in long: neither reaches the other's middle.
    let two = with_reports(&format!(
        "{}{}",
        blend("2025-01-10", "60,leading_edge", "0.056"),
        blend("2025-06-10", "61,leading_edge", "0.056")
    ));
    assert_eq!(said(&two, "T1").reason, NOTHING);
    // On the face blends are twice as long: 1.12 in, and a third of it away the first is 0.0411 deep still.
    let face = with_reports(&format!(
        "{}{}",
        blend("2025-01-10", "60,face", "0.030"),
        blend("2025-06-10", "62,face", "0.030")
    ));
    assert_eq!(gone(&face)[1], 300);
}

#[test]
fn blends_at_one_place_on_two_days_add_up_and_of_one_day_do_not() {
    let pair = |second: &str| {
        with_reports(&format!("{}{}", blend("2025-01-10", "60,face", "0.030"), blend(second, "60,face", "0.030")))
    };
    assert_eq!(gone(&pair("2025-06-10"))[1], 600);
    assert_eq!(gone(&pair("2025-01-10"))[1], 300);
    // Face and camber at one radius: thickness loses both.
    let both = format!("{}{}", blend("2025-01-10", "60,face", "0.030"), blend("2025-01-10", "60,camber", "0.030"));
    assert_eq!(gone(&with_reports(&both))[1], 600);
}

/// What was taken out, if it was measured, is measured from the original surface: it is not added to what was gone there, but is
/// the depth itself; and a measured length is how far it reaches.
#[test]
fn a_measured_rework_is_the_depth_and_the_length() {
    let folder = |rows: &str| {
        let head = format!("{DEFECTS},rework_depth_in,rework_length_in,refinished");
        in_order().with("limits", ROOM).with("defects", &format!("{head}\n{rows}"))
    };
    let first = "T1,2025-01-10,nick,1,60,face,0.030,0.1,blended,2025-01-10,,,yes\n";
    let again =
        |rework: &str| folder(&format!("{first}T1,2025-06-10,nick,1,60,face,0.020,0.1,blended,2025-06-10,{rework},no"));
    assert_eq!(gone(&again(","))[1], 500);
    assert_eq!(gone(&again("0.042,"))[1], 420);
    // Less than what was gone: what was gone stays.
    assert_eq!(gone(&again("0.020,"))[1], 300);
    // A rework is never shallower than the nick that it took out.
    let single = folder("T1,2025-06-10,nick,1,60,face,0.030,0.1,blended,2025-06-10,0.020,,");
    assert_eq!(gone(&single)[1], 300);
    // 6 in along the blade at 60 %: at the middle between two stations, 5.7 in away, nothing; 0.8 in short of it 0.0155.
    let long = folder("T1,2025-06-10,nick,1,60,face,0.030,0.1,blended,2025-06-10,0.030,6,");
    let short = folder("T1,2025-06-10,nick,1,60,face,0.030,0.1,blended,2025-06-10,0.030,,");
    let beside = "T1,2025-09-10,nick,1,55,face,0.020,0.1,blended,2025-09-10,,,";
    assert_eq!(gone(&long)[1], gone(&short)[1]);
    let at_own = |rows: &str| {
        let rows = format!("{rows}\n{beside}");
        gone(&folder(&rows))[1]
    };
    // 1.9 in away 0.030 sqrt(1 - (2 x 1.9 / 6)^2) = 0.02322 is gone of the long one, under the nick of the later day.
    assert_eq!(at_own("T1,2025-06-10,nick,1,60,face,0.030,0.1,blended,2025-06-10,0.030,6,"), 432);
    assert_eq!(at_own("T1,2025-06-10,nick,1,60,face,0.030,0.1,blended,2025-06-10,0.030,,"), 300);
}

/// The words: a sheet that says so, and arithmetic that only says so.
#[test]
fn below_minimum_says_whether_a_sheet_says_so() {
    let dressed = with_reports(&format!(
        "{}{}",
        blend("2024-09-10", "60,face", "0.060"),
        blend("2025-06-10", "60,camber", "0.050")
    ));
    let expected = "thickness 0.010 in below minimum counting 0.110 in dressed out since 2024 on blade 1 at 60 %";
    expect(&dressed, "T1", 1, expected, MEASURE_IT);
    // At its own radius, between two stations.
    let between = with_reports(&format!(
        "{}{}",
        blend("2024-09-10", "50,face", "0.060"),
        blend("2025-06-10", "50,camber", "0.050")
    ));
    let expected = "thickness 0.010 in below minimum counting 0.110 in dressed out since 2024 on blade 1 at 19.00 in";
    expect(&between, "T1", 1, expected, MEASURE_IT);
    let by_sheet = in_order()
        .with("limits", ROOM)
        .with("overhauls", &format!("{OVERHAULS}\nT1,2025-03-01,overhaul,released,Shop,90"))
        .with("measurements", "propeller,overhaul_date,blade,station_pct,thickness_after_in\nT1,2025-03-01,1,60,0.390");
    let said = said(&by_sheet, "T1");
    assert_eq!(
        (said.tier, said.reason.as_str()),
        (1, "thickness 0.010 in below minimum by its last sheet on blade 1 at 60 %")
    );
    assert_eq!(said.next_step, "before flight check the sheet and the manual's revision with the shop; then reject");
}

/// A nick, dressed: the commonest entry of a log. It is closed, it is not called below minimum, and it is measured there.
#[test]
fn a_blend_without_its_depth_is_measured_there() {
    let folder = in_order().with("defects", &format!("{DEFECTS}\n{}", blend("2025-06-10", "60,face", "")));
    // The screen's largest on the face, 1/16 in, of 0.063 in: in order.
    assert_eq!(said(&folder, "T1").reason, NOTHING);
    // At 90 % there are 0.060 in above the minimum.
    let folder = in_order().with("defects", &format!("{DEFECTS}\n{}", blend("2025-06-10", "90,face", "")));
    let expected = "dressed without depth, place or surface on record: thickness at worst 0.003 in below minimum on blade 1 at 90 %";
    expect(&folder, "T1", 4, expected, MEASURE_THERE);
    let there = at(&margins(&folder), 1, 2, Thickness);
    assert_eq!(there.margin_in, Some(0.060));
    assert_eq!(there.margin_worst_in, Some(-0.0025));
    // Without a place it may be at any station; without a surface on either side.
    for place in [",face", "90,", ","] {
        let folder = in_order().with("defects", &format!("{DEFECTS}\n{}", blend("2025-06-10", place, "")));
        let said = said(&folder, "T1");
        assert_eq!((said.tier, said.next_step.as_str()), (4, MEASURE_THERE), "{place}: {}", said.reason);
    }
    // The depth settles it, whichever it is.
    let shallow = in_order().with("defects", &format!("{DEFECTS}\n{}", blend("2025-06-10", "90,face", "0.010")));
    assert_eq!(said(&shallow, "T1").reason, NOTHING);
    let deep = in_order().with("defects", &format!("{DEFECTS}\n{}", blend("2025-06-10", "90,face", "0.062")));
    assert_eq!(said(&deep, "T1").tier, 1);
}

/// A measurement there closes it: at any radius within half its length, or by a released overhaul that read both neighbours.
#[test]
fn a_measurement_there_settles_a_blend() {
    let folder = |visit: &str, measured: &str| {
        in_order()
            .with("defects", &format!("{DEFECTS}\n{}", blend("2025-06-10", "88,face", "")))
            .with("overhauls", &format!("{OVERHAULS}\n{visit}"))
            .with("measurements", &format!("propeller,overhaul_date,blade,station_pct,thickness_after_in\n{measured}"))
    };
    let looked =
        |visit: &str, measured: &str| said(&folder(visit, measured), "T1").reason.starts_with("dressed without");
    let inspected = "T1,2025-09-01,dimensional inspection,released,Shop,140";
    let overhauled = "T1,2025-09-01,overhaul,released,Shop,140";
    // Nothing but this place is read: a place that `limits` does not list.
    assert!(!looked(inspected, "T1,2025-09-01,1,88,0.262"));
    assert!(looked(inspected, "T1,2025-09-01,2,88,0.262"), "the other blade");
    assert!(looked(inspected, "T1,2025-09-01,1,75,0.360"), "5 in away");
    let neighbours = "T1,2025-09-01,1,60,0.470\nT1,2025-09-01,1,90,0.240";
    assert!(looked(inspected, neighbours), "no overhaul");
    assert!(looked(overhauled, "T1,2025-09-01,1,60,0.470"), "one of them");
    assert!(!looked(overhauled, neighbours));
    // Read before it was dressed, it is not in the reading.
    let earlier =
        folder("T1,2025-03-01,overhaul,released,Shop,90", "T1,2025-03-01,1,60,0.470\nT1,2025-03-01,1,90,0.249");
    assert!(said(&earlier, "T1").reason.starts_with("dressed without"));
}

/// A reading beside the stations is held against limits between its neighbours: 0.209 in at 86 %.
#[test]
fn a_reading_at_any_radius_is_judged() {
    let read = |value: &str| {
        let folder = in_order()
            .with("overhauls", &format!("{OVERHAULS}\nT1,2025-09-01,dimensional inspection,released,Shop,140"))
            .with(
                "measurements",
                &format!("propeller,overhaul_date,blade,station_pct,thickness_after_in\nT1,2025-09-01,1,85,{value}"),
            );
        said(&folder, "T1")
    };
    // 0.413 - (0.413 - 0.189) 25 / 30 = 0.2263 in.
    let below = read("0.220");
    assert_eq!(
        (below.tier, below.reason.as_str()),
        (1, "thickness 0.006 in below minimum by its last sheet on blade 1 at 32.30 in")
    );
    assert_ne!(read("0.230").tier, 1);
}

/// What only a stand-in puts there comes last in its tier, in one line for all of them, and rings no alarm.
#[test]
fn stand_ins_come_last_in_one_line_and_ring_no_alarm() {
    let blends = "T1,2025-06-10,nick,1,90,face,,0.1,blended,2025-06-10
                  C1,2025-06-10,nick,1,90,face,,0.1,blended,2025-06-10";
    let folder = in_order().with("defects", &format!("{DEFECTS}\n{blends}"));
    let fleet = folder.path().display().to_string();
    let run = |args: &[&str]| bladewane(&[args, &[&fleet, "--as-of", "2026-01-01"]].concat());
    let out = folder.path().join("results").display().to_string();
    let ran = run(&["run", "--alert", "--out", &out]);
    let words = text(&ran.stdout).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("2 propellers dressed without depth: measure at the next inspection"), "{words}");
    assert!(!words.contains("T1 training"), "{words}");
    assert_eq!(ran.status.code(), Some(0), "{}", text(&ran.stderr));
    let page = std::fs::read_to_string(folder.path().join("results/report.html")).expect("a page");
    assert!(page.contains("2 propellers dressed without depth: measure at the next inspection"));
    // Of the same tier for another ground, a model without limits, comes first, whichever it is.
    for (first, last) in [("T1", "C1"), ("C1", "T1")] {
        let of = |serial: &str| if serial == first { "K-1" } else { "M76" };
        let propellers = format!(
            "propeller,model,use,base,in_service_date,acquired,status
             T1,{},training,Home,2024-06-01,new,flying
             C1,{},training,Home,2024-06-01,new,flying
             S1,M76,training,Home,2024-06-01,new,spare",
            of("T1"),
            of("C1")
        );
        let models = "model,diameter_in,blades,interval_hours,interval_months,track_limit_in
                      M76,76,2,none,120,0.062
                      K-1,76,2,none,120,0.062";
        let report = format!("{DEFECTS}\n{last},2025-06-10,nick,1,90,face,,0.1,blended,2025-06-10");
        let folder = in_order().with("propellers", &propellers).with("models", models).with("defects", &report);
        let fleet = folder.path().display().to_string();
        let columns = "propeller,tier";
        let ranked = bladewane(&["rank", &fleet, "--as-of", "2026-01-01", "--format", "csv", "--columns", columns]);
        let order: Vec<String> = text(&ranked.stdout).lines().skip(1).map(str::to_string).collect();
        assert_eq!(order, [format!("{first},4"), format!("{last},4"), "S1,6".to_string()]);
    }
}

/// The screen's cumulative depth is the profile at the finding's own radius, plus its own depth.
#[test]
fn the_screen_counts_the_profile_at_the_finding() {
    let nick = |first: &str| {
        let rows = format!("{}T1,2025-06-10,nick,1,60,face,0.040,0.1,none,\n", blend("2025-01-10", first, "0.030"));
        said(&with_reports(&rows), "T1")
    };
    let within = |said: &Said| said.tier == 2;
    // 0.070 in is more than 1/16 in.
    assert!(!within(&nick("60,face")));
    // A blend on the face is 0.6 in long: 0.38 in away nothing of it is left.
    assert!(within(&nick("61,face")));
    assert!(within(&nick("60,camber")));
}
