//! The folds and the section on air: what they say of the small fleet, by hand from its records and against the result tables.

use std::collections::BTreeSet;

use bladewane::records::Fleet;
use bladewane::report::words::quoted;
use bladewane::results::answers::Answers;
use bladewane::settings::Settings;

use super::fleets::{DATE, page, six};
use super::markup::{read, words};
use crate::fleet_folder::day;

/// The markup of one propeller's fold.
fn fold<'p>(page: &'p str, serial: &str) -> &'p str {
    let name = format!("<summary><b class=\"serial\"><bdi>{serial}</bdi>");
    let summary = page.find(&name).unwrap_or_else(|| panic!("{serial}"));
    let start = page[..summary].rfind("<details").expect("it starts");
    // No fold holds another.
    let end = page[start..].find("</details>").expect("it ends");
    &page[start..start + end]
}

fn section<'p>(page: &'p str, id: &str) -> &'p str {
    let start = page.find(&format!("<section id=\"{id}\"")).expect("there");
    let end = page[start..].find("</section>").expect("it ends");
    &page[start..start + end]
}

/// By hand: K-3 started 0.022 in thin and lost 0.009 in a visit, a tenth of that more on each blade, so blade 2 at 90 % measures
/// 0.249 - 0.022 - 0.009 x 3.2 = 0.1982, 0.009 in above 0.189; of its width 3.750 - 0.024 x 3.2 = 3.6732 is left.
#[test]
fn a_fold_shows_readings_limits_and_records() {
    let page = page(&six(), "Small fleet");
    let said = words(fold(&page, "K-3"));
    for part in [
        "90 % 3.560 3.676 3.673 0.189 0.199 0.198",
        "thickness at 90 %, blade 2 (minimum 0.189 in)",
        "2022-02-01 overhaul, released Shop West 0.0090 0.0240 0.198 3.673 overhauls.csv:7",
        "2017-02-01 overhaul, released Shop West 0.0090 0.0240 0.207 3.697 overhauls.csv:6",
        "Decided at blade 2 at 90 %, thickness 0.009 in left",
        "scratch 0.010 in deep on blade 2 face at 60 %, found 2019-06-02; closed: blended 2019-06-03 (defects.csv:3)",
    ] {
        assert!(said.contains(part), "{part} in {said}");
    }
    // Of the last one nothing is known but its serial.
    let said = words(fold(&page, "K-6"));
    assert!(said.contains("What its file lacks"), "{said}");
}

/// The open nick of K-2 is the first in the list and stands in the drawing as an open one, at its edge of blade 1 only.
#[test]
fn findings_are_marked_by_their_number_in_the_list() {
    let page = page(&six(), "Small fleet");
    let markup = fold(&page, "K-2");
    assert_eq!(markup.matches("class=\"finding now\"").count(), 1);
    assert_eq!(markup.matches("class=\"finding\"").count(), 0);
    assert_eq!(markup.matches("class=\"spot now\"").count(), 1);
    let (_, list) = markup.split_once("<ol class=\"found\">").expect("a list");
    assert!(
        list.trim_start()
            .starts_with("<li class=\"open\"><b>Open:</b> nick 0.050 in deep on blade 1 leading edge at 88 %")
    );
    let (list, _) = list.split_once("</ol>").expect("it ends");
    assert_eq!(list.matches("</li>").count(), 1);
}

#[test]
fn every_listed_propeller_has_its_fold_with_what_the_filter_reads() {
    let page = page(&six(), "Small fleet");
    let markup = read(&page);
    let rows = markup.elements.iter().filter_map(|e| e.attribute("data-p"));
    let named: BTreeSet<&str> = rows.collect();
    let folds: Vec<_> =
        markup.elements.iter().filter(|e| e.name == "details" && e.attribute("data-p").is_some()).collect();
    let folded: BTreeSet<&str> = folds.iter().filter_map(|e| e.attribute("data-p")).collect();
    assert_eq!(named, folded);
    assert_eq!(folds.len(), 6);
    for fold in &folds {
        let id = format!("p-{}", fold.attribute("data-p").unwrap_or_default());
        assert_eq!(fold.attribute("id"), Some(id.as_str()));
        for name in ["data-use", "data-base", "data-model", "data-text"] {
            assert!(fold.attribute(name).is_some(), "{name}");
        }
    }
    let count = |name: &str, value: &str| {
        let has = folds.iter().filter(|e| e.attribute(name) == Some(value));
        has.count()
    };
    assert_eq!(count("data-base", "Saltmarsh"), 2);
    assert_eq!(count("data-base", ""), 2);
    assert_eq!(count("data-use", "club"), 2);
    assert_eq!(count("data-model", "M76"), 5);
}

/// What a fold says is what the results say.
#[test]
fn folds_agree_with_the_results() {
    let folder = six();
    let page = page(&folder, "Small fleet");
    let settings = Settings::default();
    let loaded = folder.load();
    let fleet = Fleet::as_of(&loaded, day(DATE), &settings);
    let answers = Answers::new(&fleet, &settings);
    let mut dated = 0;
    for row in answers.ranking() {
        let said = words(fold(&page, fleet.propellers.serial(row.propeller)));
        let says = |part: &str| assert!(said.contains(part), "{part} in {said}");
        says(&format!("Tier {}", row.tier));
        says(&format!("Score {:.0} of 100", row.score.score));
        let due = answers.due().of(row.propeller).expect("listed");
        match due.due {
            Some(day) => {
                says(&format!("Overhaul due {day}, "));
                dated += 1;
            }
            None => says("Overhaul due no date known"),
        }
        let left = answers.remaining();
        let left = left.iter().find(|r| r.propeller == row.propeller);
        match left.expect("listed").quantile(0.5) {
            Some(middle) => says(&format!("Overhauls left {middle}")),
            None => says("Overhauls left not known"),
        }
        let own = answers.exposure();
        let own = own.iter().find(|e| e.propeller == row.propeller);
        match own.expect("listed").known_index_g_m2() {
            Some(index) => says(&format!("exposure index {index:.1} g/m²")),
            None => says("exposure not known: no start on record"),
        }
        for gap in answers.gaps() {
            if gap.propeller == row.propeller {
                says(&quoted(&gap.what));
            }
        }
    }
    assert_eq!(dated, 5);
}

/// Two propellers live at Saltmarsh, two at Larchfield, and of two no base is recorded.
#[test]
fn air_is_told_by_base_and_rates_have_limits() {
    let folder = six();
    let page = page(&folder, "Small fleet");
    let said = words(section(&page, "air"));
    let settings = Settings::default();
    let loaded = folder.load();
    let fleet = Fleet::as_of(&loaded, day(DATE), &settings);
    let answers = Answers::new(&fleet, &settings);
    let index = |serial: &str| {
        let own = answers.exposure().iter();
        let own = own.filter(|e| fleet.propellers.serial(e.propeller) == serial);
        own.map(|e| e.index_g_m2).next().expect("there")
    };
    let (a, b) = (index("K-1"), index("K-2"));
    // K-1's skin is of 2018, K-2's of 2022, and both live in the same air.
    assert!(a > b);
    let range = format!("{:.1} ({b:.1} to {a:.1})", (a + b) / 2.0);
    for part in [
        format!("Saltmarsh 2 there, index {range} C4, 5.0 g/m² in the first year"),
        "no listed base on record 2 there".to_string(),
    ] {
        assert!(said.contains(&part), "{part} in {said}");
    }
    let rates = answers.defect_rates();
    let highest = rates.propellers.iter().filter_map(|r| r.rate);
    let highest = highest.max_by(|a, b| a.mean_per_100h.total_cmp(&b.mean_per_100h));
    let highest = highest.expect("a rate");
    let part =
        format!("{:.2} ({:.2} to {:.2}) per 100 h", highest.mean_per_100h, highest.low_per_100h, highest.high_per_100h);
    assert!(said.contains(&part), "{part} in {said}");
}
