//! Laws of exposure over a propeller's records, cell by cell.

use super::{close, exposure, one};
use crate::fleet_folder::{FleetFolder, as_of};
use bladewane::records::Loaded;
use proptest::prelude::*;

/// A propeller's records as cells that can be blanked or spoiled one by one.
#[derive(Debug, Clone)]
struct Records {
    bases: Vec<Vec<String>>,
    propeller: Vec<String>,
    kept_at: Vec<Vec<String>>,
    overhauls: Vec<Vec<String>>,
}

impl Records {
    fn index(&self) -> f64 {
        let text = |head: &str, rows: &[Vec<String>]| {
            rows.iter().fold(head.to_string(), |text, row| text + "\n" + &row.join(","))
        };
        let bases = "base,temperature_c,relative_humidity_pct,so2_deposition_mg_m2_day,chloride_deposition_mg_m2_day,corrosivity,air";
        let folder = FleetFolder::empty()
            .with("propellers", &text("propeller,base,in_service_date,acquired", std::slice::from_ref(&self.propeller)))
            .with("bases", &text(bases, &self.bases))
            .with("kept_at", &text("propeller,base,from_date,kept", &self.kept_at))
            .with("overhauls", &text("propeller,overhaul_date,work,outcome", &self.overhauls));
        let loaded: Loaded = folder.load();
        exposure(&as_of(&loaded, "2030-01-01"), "A1").index_g_m2
    }

    /// Every cell but the propeller's serial in its own table.
    fn cells(&mut self) -> Vec<&mut String> {
        let mut cells: Vec<&mut String> = self.bases.iter_mut().flatten().collect();
        cells.extend(self.propeller.iter_mut().skip(1));
        for table in [&mut self.kept_at, &mut self.overhauls] {
            // A row that no longer names its propeller is a row that was never there.
            cells.extend(table.iter_mut().flat_map(|row| row.iter_mut().skip(1)));
        }
        cells.into_iter().filter(|cell| !cell.is_empty()).collect()
    }
}

fn any_records() -> impl Strategy<Value = Records> {
    let cells = |row: &[&str]| -> Vec<String> { row.iter().map(|c| c.to_string()).collect() };
    let date = |from: i32| (from..2029, 1..13i32).prop_map(|(y, m)| format!("{y}-{m:02}-01"));
    // Each base says its air one way: two ways that contradict each other are another matter.
    let air = prop_oneof![
        (-5i32..29, 40i32..93, 1i32..80, 1i32..400).prop_map(|(t, rh, pd, sd)| format!("{t},{rh},{pd},{sd},,")),
        prop::sample::select(vec!["C1", "C2", "C3", "C4", "C5", "CX"]).prop_map(|c| format!(",,,,{c},")),
        prop::sample::select(vec!["rural", "town", "coast", "sea front"]).prop_map(|a| format!(",,,,,{a}")),
    ];
    let base = prop::sample::select(vec!["B0", "B1", "B2"]);
    let kept = prop::sample::select(vec!["", "outside", "hangar"]);
    let acquired = prop::sample::select(vec!["new", "overhauled", "used", "unknown"]);
    let visit = (
        date(1995),
        prop::sample::select(vec!["overhaul", "repair"]),
        prop::sample::select(vec!["released", "rejected"]),
    );
    (
        prop::collection::vec(air, 3),
        (base.clone(), date(1995), acquired),
        prop::collection::btree_map(date(1994), (base, kept), 0..5),
        prop::collection::vec(visit, 0..4),
    )
        .prop_map(move |(airs, (home, in_service, acquired), stays, visits)| {
            let mut seen = std::collections::HashSet::new();
            Records {
                bases: airs
                    .iter()
                    .enumerate()
                    .map(|(at, air)| {
                        let name = format!("B{at}");
                        cells(&[name.as_str()].into_iter().chain(air.split(',')).collect::<Vec<_>>())
                    })
                    .collect(),
                propeller: cells(&["A1", home, &in_service, acquired]),
                kept_at: stays.iter().map(|(date, (base, kept))| cells(&["A1", base, date, kept])).collect(),
                overhauls: visits
                    .iter()
                    // A propeller that came new was in no shop before; such a row is a contradiction, and cautioned.
                    .filter(|(date, ..)| acquired != "new" || *date >= in_service)
                    .filter(|(date, ..)| seen.insert(date.clone()))
                    .map(|(date, work, outcome)| cells(&["A1", date, work, outcome]))
                    .collect(),
            }
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    // A missing or unreadable record never makes a propeller look safer.
    #[test]
    fn a_cell_blanked_or_spoiled_never_lowers_the_exposure(records in any_records()) {
        let before = records.index();
        let count = records.clone().cells().len();
        for at in 0..count {
            for spoiled in ["", "x?x"] {
                let mut worse = records.clone();
                let cell = &mut worse.cells()[at];
                let was = std::mem::replace(*cell, spoiled.to_string());
                let after = worse.index();
                prop_assert!(
                    after >= before - 1e-9 * before,
                    "{was} -> [{spoiled}]: {before} -> {after}\n{worse:?}"
                );
            }
        }
    }

    #[test]
    fn a_base_that_says_nothing_is_never_milder(records in any_records(), which in 0usize..3) {
        let before = records.index();
        let mut blank = records.clone();
        for cell in blank.bases[which].iter_mut().skip(1) {
            cell.clear();
        }
        prop_assert!(blank.index() >= before - 1e-9 * before);
        let mut gone = records;
        gone.bases.remove(which);
        prop_assert!(gone.index() >= before - 1e-9 * before);
    }

    #[test]
    fn a_stay_cut_in_two_changes_nothing(records in any_records(), month in 1i32..400) {
        prop_assume!(!records.kept_at.is_empty());
        let mut cut = records.clone();
        let date = format!("{}-{:02}-15", 1994 + month / 12, month % 12 + 1);
        let of = cut.kept_at.iter().rfind(|s| s[2] < date).cloned();
        prop_assume!(of.is_some());
        let mut again = of.expect("assumed");
        again[2] = date;
        cut.kept_at.push(again);
        prop_assert!(close(cut.index(), records.index()));
    }
}

#[test]
fn exposure_never_falls_as_days_go_by() {
    let stays = "A1,Quay,2010-01-01,outside\nA1,Moor,2013-01-01,outside\nA1,Dell,2028-01-01,hangar";
    let folder = one("Moor", stays, "");
    let loaded = folder.load();
    let mut last = 0.0;
    for month in 0..480 {
        let date = format!("{}-{:02}-01", 2010 + month / 12, month % 12 + 1);
        let now = exposure(&as_of(&loaded, &date), "A1").index_g_m2;
        assert!(now >= last, "{date}: {last} -> {now}");
        last = now;
    }
    assert!(last > 0.0);
}
