//! A row that says what is wrong with a propeller and names none that is known may be anyone's.

use std::fmt::Write as _;

use bladewane::results::answers::Answers;
use bladewane::settings::Settings;

use crate::fleet_folder::{FleetFolder, as_of};
use crate::program::{bladewane, text};

const DEFECTS: &str = "propeller,found_date,kind,depth_in,action";
const WORDS: &str = "names no known propeller";

/// So many propellers, `A1` overhauled on 2020-01-01, the others on 2024-01-01.
fn fleet(propellers: usize) -> FleetFolder {
    let (mut listed, mut visits) =
        ("propeller,model,in_service_date,acquired\n".to_string(), "propeller,overhaul_date\n".to_string());
    for number in 1..=propellers {
        let _ = writeln!(listed, "A{number},M76,2010-01-01,new");
        let _ = writeln!(visits, "A{number},{}-01-01", if number == 1 { 2020 } else { 2024 });
    }
    FleetFolder::small().with("propellers", &listed).with("overhauls", &visits)
}

/// The serials whose reasons hold the words, in order, each with its tier; and the lines that stand first.
fn waiting(folder: &FleetFolder, elsewhere: &[&str]) -> (Vec<(String, u8, String)>, Vec<String>) {
    let mut settings = Settings::default();
    settings.fleet.known_elsewhere = elsewhere.iter().map(|name| (*name).to_string()).collect();
    let loaded = folder.load();
    let fleet = bladewane::records::Fleet::as_of(&loaded, crate::fleet_folder::day("2026-01-01"), &settings);
    let answers = Answers::new(&fleet, &settings);
    let mut found: Vec<(String, u8, String)> = answers
        .ranking()
        .iter()
        .filter_map(|r| {
            let reason = r.reasons.iter().find(|reason| reason.words.contains(WORDS))?;
            let serial = fleet.propellers.serial(r.propeller).to_string();
            Some((serial, r.tier, format!("{} | {}", reason.words, reason.next_step)))
        })
        .collect();
    found.sort();
    (found, fleet.nobody.lines())
}

#[test]
fn a_report_of_nobody_is_anyones_of_the_few_that_were_in_service() {
    for serial in ["", "B7"] {
        let folder = fleet(9).with("defects", &format!("{DEFECTS}\n{serial},2022-05-01,nick,0.02,none"));
        let (found, lines) = waiting(&folder, &[]);
        // All others were overhauled since.
        let words = "a report of 2022-05-01 names no known propeller | find out whose it is and correct its serial in `defects` (defects.csv:2)";
        assert_eq!(found, [("A1".to_string(), 4, words.to_string())], "{serial}");
        assert_eq!(lines, [""; 0]);
    }
    // Later than every overhaul, of five propellers and of six.
    let late = format!("{DEFECTS}\nB7,2025-05-01,nick,0.02,none");
    assert_eq!(waiting(&fleet(5).with("defects", &late), &[]).0.len(), 5);
    let (found, lines) = waiting(&fleet(6).with("defects", &late), &[]);
    assert_eq!(found, []);
    assert_eq!(lines, ["1 damage report names no known propeller"]);
    // Older than any propeller's service, or than every overhaul.
    let old = fleet(6).with("defects", &format!("{DEFECTS}\nB7,2009-05-01,nick,0.02,none"));
    assert_eq!(waiting(&old, &[]), (vec![], vec![]));
    // Not yet written on the as-of date.
    let later = fleet(6).with("defects", &format!("{DEFECTS}\nB7,2026-05-01,nick,0.02,none"));
    assert_eq!(waiting(&later, &[]), (vec![], vec![]));
    // A serial that other records answer for.
    assert_eq!(waiting(&fleet(6).with("defects", &late), &["B7"]), (vec![], vec![]));
}

#[test]
fn a_row_that_cannot_be_dated_or_cut_is_anyones_too() {
    for row in ["B7,2025-05-99,nick,0.02,none", ",,nick,0.02,none", "B7,2025-05-01,nick,0.02,none,what,else"] {
        let (found, lines) = waiting(&fleet(2).with("defects", &format!("{DEFECTS}\n{row}")), &[]);
        assert_eq!((found.len(), lines.len()), (2, 0), "{row}");
        assert!(found[0].2.starts_with("a report without a date names no known propeller"), "{found:?}");
    }
    // One that names its propeller is that propeller's.
    let own = fleet(2).with("defects", &format!("{DEFECTS}\nA1,2025-05-99,nick,0.02,none"));
    assert_eq!(waiting(&own, &[]), (vec![], vec![]));
}

#[test]
fn shop_visits_and_inspections_of_nobody() {
    let visits = |rows: &str| {
        let folder = FleetFolder::small().with("overhauls", &format!("propeller,overhaul_date,outcome\n{rows}"));
        waiting(&folder, &[])
    };
    let (found, _) = visits("B7,2021-05-01,rejected\nA1,2022-01-01,released");
    assert_eq!(found.len(), 1);
    assert!(found[0].0 == "A2" && found[0].2.starts_with("a shop visit of 2021-05-01 names no known propeller"));
    let inspections = |rows: &str| {
        let table = format!("aircraft,propeller,inspection_date,kind,result\n{rows}");
        waiting(&fleet(7).with("inspections", &table), &[])
    };
    assert_eq!(
        inspections("x,,2025-05-01,annual,not\n,B7,2025-06-01,annual,\n,,2025-07-01,annual,not").1,
        ["3 inspections name no known propeller"]
    );
    // A satisfactory one only makes good, and one that names a propeller beside a strange aircraft is that propeller's.
    assert_eq!(inspections("x,,2025-05-01,annual,satisfactory\nx,A1,2025-05-01,annual,not").1, [""; 0]);
}

#[test]
fn the_line_stands_first_and_alerts() {
    let rows = "B7,2025-05-01,nick,0.02,blended\nB7,2025-05-02,nick,0.02,blended\nB8,2025-05-03,nick,0.02,blended";
    let folder = fleet(6).with("defects", &format!("{DEFECTS}\n{rows}"));
    let loaded = folder.load();
    let told = crate::fleet_folder::set_aside(&as_of(&loaded, "2026-01-01"));
    assert!(
        told[0].contains("the nearest listed is A1, A2 or A3") || told[0].contains("correct the serial"),
        "{told:?}"
    );
    let (fleet, out) = (folder.path().display().to_string(), folder.path().join("out").display().to_string());
    let output = bladewane(&["run", &fleet, "-o", &out, "--as-of", "2026-01-01", "--alert"]);
    assert_eq!(output.status.code(), Some(1));
    let said = text(&output.stdout);
    let after = said.split_once("What comes first").expect("the section").1.trim_start();
    assert!(
        after.starts_with(
            "3 damage reports name no known propeller: correct the serials, or list those of others under"
        ),
        "{after}"
    );
    let page = std::fs::read_to_string(format!("{out}/report.html")).expect("the page");
    assert!(page.contains("3 damage reports name no known propeller"));
    // What is said of others elsewhere asks for nothing here.
    std::fs::write(folder.path().join("fleet.toml"), "known_elsewhere = [\"B7\", \"B8\"]\n").expect("written");
    let output = bladewane(&["rank", &fleet, "--as-of", "2026-01-01", "--alert"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
}
