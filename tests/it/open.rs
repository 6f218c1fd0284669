//! What is open, in one list: findings, inspections that are not in order, events without the engine's check; and what is true
//! of many aircraft at once, as one line. Rules as in the tests of each; common practice, no source.

use bladewane::analysis::open::counts;
use bladewane::analysis::stale::Leads;
use bladewane::report;
use bladewane::results::answers::{Answers, Shown};
use bladewane::settings::Settings;

use crate::fleet_folder::{FleetFolder, as_of};
use crate::judged::in_order;
use crate::program::{bladewane, text};

const DEFECTS: &str =
    "propeller,found_date,blade,station_pct,surface,kind,depth_in,length_in,width_in,action,action_date,recheck_date\n";

/// What a fleet's results say on 2026-01-01.
fn told<T>(folder: &FleetFolder, of: impl FnOnce(&Answers<'_, '_>) -> T) -> T {
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let settings = Settings::default();
    of(&Answers::new(&fleet, &settings))
}

/// The list in words: serial, matter, tier, reason.
fn list(folder: &FleetFolder) -> Vec<String> {
    told(folder, |answers| {
        let open = answers.open(&Shown::all());
        let serial = |propeller: u32| answers.fleet.propellers.serial(propeller);
        open.iter().map(|o| format!("{} {} {}: {}", serial(o.propeller), o.matter.word(), o.tier, o.reason)).collect()
    })
}

/// A fleet with one of everything.
fn everything() -> FleetFolder {
    let defects = format!(
        "{DEFECTS}T1,2025-11-01,1,75,face,erosion,0.004,0.5,0.2,none,,
         C1,2025-11-02,1,75,leading_edge,nick,0.02,0.1,0.1,none,,
         C1,2024-12-01,2,75,face,erosion,0.02,0.5,0.2,accepted,2024-12-01,2025-12-01
         C1,2025-10-01,2,80,face,erosion,0.02,0.5,0.2,accepted,2025-10-01,2026-06-01
         T1,2025-05-10,,,,strike,,,,shop,,\n"
    );
    in_order()
        .with("defects", &defects)
        .with("overhauls", "propeller,overhaul_date,work,outcome\nT1,2025-05-20,strike inspection,released\n")
        .with(
            "inspections",
            "aircraft,inspection_date,kind,result\nRobin,2025-06-10,annual,not\nHeron,2024-06-10,annual,satisfactory\n",
        )
        .with(
            "event_checks",
            "aircraft,event_date,scope,check_date,result,by\nHeron,2020-01-01,engine,2020-01-02,satisfactory,Kim\n",
        )
}

#[test]
fn findings_inspections_and_events_stand_in_one_list_each_with_its_tier() {
    let rule = "(an annual holds to the end of month 12; the rule differs by country)";
    assert_eq!(
        list(&everything()),
        [
            "C1 finding 2: open nick 0.020 in deep on blade 1 leading edge at 75 %, found 2025-11-02: not dressed, no released overhaul or repair since".to_string(),
            "T1 finding 6: open erosion 0.004 in deep on blade 1 face at 75 %, found 2025-11-01: not dressed, no released overhaul or repair since".to_string(),
            "C1 recheck 4: open erosion 0.020 in deep on blade 2 face at 75 %, found 2024-12-01: accepted, and to be looked at again".to_string(),
            "T1 inspection 1: annual of 2025-06-10 unsatisfactory".to_string(),
            format!("C1 inspection 1: annual of 2024-06-10 lapsed: it held to 2025-06-30 {rule}"),
            "T1 event 1: strike of 2025-05-10 (propeller T1): no engine check on record".to_string(),
        ]
    );
    let words = told(&everything(), |answers| counts(&answers.open(&Shown::all())));
    assert_eq!(
        words,
        [
            "3 open findings on 2 propellers, 1 of them to be looked at again now",
            "2 inspections lapsed, not satisfactory, in doubt or not on record",
            "1 event without the engine's check",
        ]
    );
    assert!(list(&in_order()).is_empty());
}

/// A report that could not be read may be a crack: it stands first.
#[test]
fn a_report_and_a_second_look_that_could_not_be_read_are_open() {
    let folder =
        everything().with("defects", &format!("{DEFECTS}T1,2025-13-01,1,75,face,erosion,0.004,0.5,0.2,none,,\n"));
    assert_eq!(list(&folder)[0], "T1 finding 1: a damage report could not be read (defects.csv:2)");
}

#[test]
fn an_event_whose_aircraft_carries_no_propeller_today_is_not_lost() {
    let bare = everything()
        .with("fitted", "propeller,aircraft,from_date,to_date\nT1,Robin,2024-06-01,2025-06-01\nC1,Heron,2024-06-01,\n")
        .with(
            "propellers",
            &crate::judged::PROPELLERS
                .replace("T1,M76,training,Home,2024-06-01,new,flying", "T1,M76,training,Home,2024-06-01,new,spare"),
        );
    let events: Vec<String> = list(&bare).into_iter().filter(|line| line.contains(" event ")).collect();
    assert_eq!(events, ["T1 event 1: strike of 2025-05-10 (propeller T1): no engine check on record"]);
}

#[test]
fn the_terminal_and_the_page_show_it() {
    let folder = everything();
    let fleet = folder.path().display().to_string();
    let said = bladewane(&["run", &fleet, "--as-of", "2026-01-01", "--out", &format!("{fleet}-results")]);
    let said = text(&said.stdout);
    std::fs::remove_dir_all(format!("{fleet}-results")).expect("removed");
    assert!(
        said.contains("What is open\n  3 open findings on 2 propellers, 1 of them to be looked at again now\n"),
        "{said}"
    );
    assert!(said.contains("  1 event without the engine's check\n"), "{said}");
    // Nothing says that nothing is open, beside an open finding.
    assert!(!said.contains("nothing open") && !said.contains("nothing is open"), "{said}");
    let page = told(&folder, |answers| report::page(answers, &Shown::all(), "Small").expect("a page"));
    for heading in
        ["What is open</h2>", "<caption>Open findings", "<caption>Inspections lapsed", "<caption>Events without"]
    {
        assert!(page.contains(heading), "{heading}");
    }
}

/// Small findings stand in tier 6, whose words do not say that nothing is open.
#[test]
fn no_output_says_that_nothing_is_open_beside_a_small_open_finding() {
    let propellers = crate::judged::PROPELLERS.replace("S1,M76,training,Home,2024-06-01,new,spare", "");
    let small = in_order()
        .with("propellers", &propellers)
        .with("defects", &format!("{DEFECTS}T1,2025-11-01,1,75,face,erosion,0.004,0.5,0.2,none,,\n"));
    let fleet = small.path().display().to_string();
    for command in [
        vec!["explain", &fleet, "T1"],
        vec!["run", &fleet, "--out", "unused"],
        vec!["rank", &fleet, "--use", "training"],
    ] {
        let mut command = command;
        let out = format!("{fleet}-results");
        if let Some(place) = command.iter_mut().find(|word| **word == "unused") {
            *place = &out;
        }
        command.extend(["--as-of", "2026-01-01"]);
        let said = text(&bladewane(&command).stdout);
        assert!(said.contains("1 small open finding") || said.contains("1 open finding on 1 propeller"), "{said}");
        assert!(!said.contains("nothing open") && !said.contains("nothing is open"), "{said}");
    }
    std::fs::remove_dir_all(format!("{fleet}-results")).expect("removed");
}

/// Two aircraft without any inspection in a fleet that keeps them: one line, and neither is named among the first.
#[test]
fn aircraft_without_any_inspection_are_one_line() {
    let only_of = |aircraft: &str| {
        in_order()
            .with("propellers", "propeller,model,use,base,in_service_date,acquired,status\nT1,M76,training,Home,2024-06-01,new,flying\nC1,M76,club,Home,2024-06-01,new,flying\nE1,M76,club,Home,2024-06-01,new,flying\n")
            .with("fitted", "propeller,aircraft,from_date\nT1,Robin,2024-06-01\nC1,Heron,2024-06-01\nE1,Egret,2024-06-01\n")
            .with("inspections", &format!("aircraft,inspection_date,kind,result\n{aircraft},2025-06-10,annual,satisfactory\n"))
    };
    let leads = |folder: &FleetFolder| {
        told(folder, |answers| {
            let rows: Vec<_> = answers.ranking().iter().collect();
            let leads = Leads::of(answers.fleet, answers.due(), &rows);
            let grouped = rows.iter().filter(|r| leads.groups(r.propeller)).count();
            (leads.many.into_iter().map(|(words, _)| words).collect::<Vec<_>>(), grouped)
        })
    };
    assert_eq!(leads(&only_of("Egret")), (vec!["no inspection on record for 2 aircraft".to_string()], 2));
    // Of one it is said where it stands; of none nothing.
    let one = only_of("Egret\nHeron").with(
        "inspections",
        "aircraft,inspection_date,kind,result\nEgret,2025-06-10,annual,satisfactory\nHeron,2025-06-10,annual,satisfactory\n",
    );
    assert_eq!(leads(&one), (Vec::new(), 0));
    // A fleet without the table says so once, and of no aircraft.
    assert_eq!(leads(&in_order()), (Vec::new(), 0));
}
