//! `explain` on the demo fleet: it cites its records, answers to an aircraft's name, and has an answer for every propeller.

use std::path::Path;
use std::process::Output;

use crate::program::{bladewane, text};

fn demo() -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    root.join("datasets/demo-fleet").display().to_string()
}

fn explain(name: &str) -> Output {
    bladewane(&["explain", &demo(), name, "--as-of", "2026-06-30"])
}

fn said(output: &Output) -> String {
    text(&output.stdout)
}

/// The line of a table that a place such as `overhauls.csv:5` names.
fn cited(place: &str) -> String {
    let (file, line) = place.split_once(':').expect("a file and a line");
    let text = std::fs::read_to_string(Path::new(&demo()).join(file)).expect("the table");
    let line: usize = line.parse().expect("a number");
    text.lines().nth(line - 1).expect("the line").to_string()
}

#[test]
fn it_cites_the_records_behind_its_numbers() {
    let text = said(&explain("BW-0301"));
    // The last released overhaul and the propeller's own row, looked up where it says they stand.
    let overhaul = text.split("last released overhaul, 2023-05-11 (").nth(1);
    let place = overhaul.and_then(|rest| rest.split(')').next());
    let row = cited(place.expect("the overhaul is cited"));
    assert!(row.starts_with("BW-0301,2023-05-11"), "{row}");
    let own = text.split("(propellers.csv:").nth(1);
    let line = own.and_then(|rest| rest.split(')').next()).expect("cited");
    assert!(cited(&format!("propellers.csv:{line}")).starts_with("BW-0301,"));
    assert!(text.contains("only a certificated shop or mechanic"));
}

#[test]
fn an_aircraft_names_the_propeller_on_it_and_a_slip_the_nearest() {
    let text = said(&explain("Trainer 901"));
    assert!(text.starts_with("Propeller BW-0301"), "{text}");
    let unknown = explain("BW-03O1");
    assert_eq!(unknown.status.code(), Some(2));
    let words = String::from_utf8(unknown.stderr).expect("it speaks UTF-8");
    assert!(words.contains("the nearest there are `BW-0301`"), "{words}");
}

/// Inspections, checks after events and second looks of a small fleet, each with its line and what follows from it.
#[test]
fn it_tells_of_inspections_checks_and_second_looks() {
    let head = "propeller,found_date,blade,station_pct,surface,kind,depth_in,length_in,width_in,action,action_date,recheck_date";
    let folder = crate::judged::in_order()
        .with(
            "defects",
            &format!("{head}\nT1,2025-05-10,,,,strike,,,,shop,,\nT1,2025-09-01,1,75,face,erosion,0.02,0.5,0.2,accepted,2025-09-01,2026-06-01\n"),
        )
        .with("overhauls", "propeller,overhaul_date,work,outcome\nT1,2025-05-20,strike inspection,released\n")
        .with("event_checks", "aircraft,event_date,scope,check_date,result,by\nRobin,2025-05-10,engine,2025-05-12,satisfactory,Kim\n")
        .with("rechecks", "propeller,found_date,date,depth_in,result,by\nT1,2025-09-01,2025-11-20,0.02,unchanged,\n")
        .with("inspections", "aircraft,inspection_date,kind,result\nRobin,2025-06-10,annual,satisfactory\nRobin,2025-08-01,100 hour,satisfactory\n");
    let output = bladewane(&["explain", &folder.path().display().to_string(), "T1", "--as-of", "2026-01-01"]);
    let text = said(&output).split_whitespace().collect::<Vec<_>>().join(" ");
    for words in [
        "The annual of 2025-06-10 holds to 2026-06-30: the end of month 12; the rule differs by country.",
        "The 100 hour counts from 2025-08-01 and holds for 100 h; flown since: 50 h, due 2026-",
        "By 2026-06-01 (recorded): look again: erosion 0.020 in deep on blade 1 face at 75 %, found 2025-09-01.",
        "By 2026-06-30 (recorded, binding): annual.",
        "Check of it, engine, 2025-05-12 (event_checks.csv:2): satisfactory.",
        "Looked at again 2025-11-20 (rechecks.csv:2): unchanged, 0.020 in, without a name.",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
    let sheet = bladewane(&["sheet", &folder.path().display().to_string(), "T1", "--as-of", "2026-01-01"]);
    let sheet = said(&sheet);
    let (_, accepted) = sheet.split_once("Accepted, and still on the blade").expect("the shop is told");
    assert!(
        accepted.contains("erosion 0.020 in deep on blade 1 face at 75 %, found 2025-09-01; accepted until 2026-06-01"),
        "{accepted}"
    );
}

#[test]
fn propellers_of_every_kind_have_a_story() {
    let table = std::fs::read_to_string(Path::new(&demo()).join("propellers.csv")).expect("read");
    let mut told = 0;
    let serials = table.lines().skip(1).filter_map(|l| l.split(',').next());
    // Each run reads the whole fleet; every sixth propeller meets telling cases, scrapped ones, spares and plain ones.
    for serial in serials.filter(|s| !s.is_empty()).step_by(6) {
        let output = explain(serial);
        assert_eq!(output.status.code(), Some(0), "{serial}");
        let text = said(&output);
        assert!(text.starts_with(&format!("Propeller {serial}")), "{text}");
        assert!(!text.contains("NaN"), "{serial}: {text}");
        told += 1;
    }
    assert_eq!(told, 13);
}
