//! Laws of the ranking: lost cells, opened findings, order of rows and file format.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::LazyLock;

use bladewane::analysis::ranking::ground::Ground;
use bladewane::analysis::standing::List;
use bladewane::onboard::demo::{AS_OF, DemoFormat, DemoOptions, fleet, write};
use bladewane::records::{Fleet, Loaded, ReadOptions};
use bladewane::results::answers::{Answers, Shown};
use bladewane::settings::Settings;
use bladewane::trade::calendar::Day;
use proptest::prelude::*;

/// Place, tier and gravest ground by serial.
type Places = BTreeMap<String, (u32, u8, Ground)>;

fn places(folder: &Path) -> Places {
    let loaded = Loaded::read(folder, &ReadOptions::default(), |_| true, |_| {}).expect("the fleet is read");
    let settings = Settings::default();
    let fleet = Fleet::as_of(&loaded, AS_OF, &settings);
    let answers = Answers::new(&fleet, &settings);
    answers
        .ranking()
        .iter()
        .map(|r| {
            let serial = fleet.propellers.serial(r.propeller).to_string();
            (serial, (r.rank, r.tier, r.reasons[0].ground))
        })
        .collect()
}

/// An invented fleet of thirty propellers and the telling cases, written once, and its places.
struct Written {
    dir: tempfile::TempDir,
    places: Places,
}

static WRITTEN: LazyLock<Written> = LazyLock::new(|| {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let made = fleet(&DemoOptions { propellers: 30, seed: 11, telling_cases: true, bad_rows: false });
    write(&dir.path().join("csv"), &made, DemoFormat::Csv).expect("written");
    write(&dir.path().join("parquet"), &made, DemoFormat::Parquet).expect("written");
    let places = places(&dir.path().join("csv"));
    Written { dir, places }
});

fn lines(table: &str) -> Vec<String> {
    let path = WRITTEN.dir.path().join("csv").join(format!("{table}.csv"));
    let text = std::fs::read_to_string(path).expect("the table");
    text.lines().map(str::to_string).collect()
}

/// Places of the fleet with one table in place of its own.
fn with_table(table: &str, lines: &[String]) -> Places {
    let dir = tempfile::tempdir().expect("a temporary folder");
    for entry in std::fs::read_dir(WRITTEN.dir.path().join("csv")).expect("the fleet") {
        let path = entry.expect("a file").path();
        let name = path.file_name().expect("a name");
        std::fs::copy(&path, dir.path().join(name)).expect("copied");
    }
    let path = dir.path().join(format!("{table}.csv"));
    std::fs::write(path, lines.join("\n")).expect("written");
    places(dir.path())
}

#[test]
fn csv_and_parquet_rank_alike() {
    let mut parquet = places(&WRITTEN.dir.path().join("parquet"));
    let mut csv = WRITTEN.places.clone();
    // A date that cannot be read stands in the CSV only; Parquet has an empty cell there, and both put it first.
    assert_eq!(csv.remove("BW-0803"), parquet.remove("BW-0803"));
    assert_eq!(csv, parquet);
}

/// Cells whose loss is judged: table and column. Left out are cells whose loss the records themselves give another meaning:
/// an empty last day in `fitted` (still on the aircraft), the readings of a sheet (a reading worse than two standard
/// deviations cannot be known once it is lost; `first_law` tests the margins), a maker's interval, and what a finding measures
/// (`findings` tests those, with the contradictions it names).
const CELLS: [(&str, &str); 22] = [
    ("propellers", "use"),
    ("propellers", "base"),
    ("propellers", "acquired"),
    ("propellers", "reports_kept_since"),
    ("overhauls", "work"),
    ("overhauls", "outcome"),
    ("overhauls", "reason"),
    ("overhauls", "shop"),
    ("overhauls", "cost"),
    ("defects", "found_date"),
    ("defects", "action"),
    ("defects", "kind"),
    ("defects", "recheck_date"),
    ("hours", "reading_date"),
    ("hours", "hours_since_new"),
    ("aircraft_hours", "reading_date"),
    ("aircraft_hours", "hours"),
    ("fitted", "from_date"),
    ("inspections", "result"),
    ("kept_at", "base"),
    ("kept_at", "from_date"),
    ("bases", "corrosivity"),
];

/// Flying propellers in tier 5 in their order, each with the day to act by: the day to order where the next overhaul will
/// probably reject it, else the day to book the overhaul.
fn to_plan(folder: &Path) -> Vec<(String, Option<Day>)> {
    let loaded = Loaded::read(folder, &ReadOptions::default(), |_| true, |_| {}).expect("the fleet is read");
    let settings = Settings::default();
    let fleet = Fleet::as_of(&loaded, AS_OF, &settings);
    let answers = Answers::new(&fleet, &settings);
    let purchases = answers.purchases(&Shown::all());
    let flying = answers.ranking().iter().filter(|r| r.list == List::Flying);
    flying
        .filter(|r| r.tier == 5)
        .map(|r| {
            let to_order = r.reasons.iter().any(|x| x.ground == Ground::RejectNext);
            let bought = purchases.iter().find(|p| p.propeller == r.propeller);
            let due = answers.due().of(r.propeller).and_then(|d| d.due);
            let booked = due.map(|day| day + -(settings.due.booking_days as i32));
            let day = bought.filter(|_| to_order).map_or(booked, |p| p.order_by);
            (fleet.propellers.serial(r.propeller).to_string(), day)
        })
        .collect()
}

#[test]
fn what_is_to_be_planned_goes_by_the_day_to_order() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let folder = dir.path().join("fleet");
    let made = fleet(&DemoOptions { propellers: 150, seed: 11, telling_cases: false, bad_rows: false });
    write(&folder, &made, DemoFormat::Csv).expect("written");
    let asked = to_plan(&folder);
    assert!(asked.len() >= 3, "{asked:?}");
    assert!(asked.is_sorted_by_key(|(_, day)| *day), "{asked:?}");
    // A lead time of eight years brings a replacement forward, past every overhaul that need only be booked.
    let prices = std::fs::read_to_string(folder.join("prices.csv")).expect("the prices");
    let prices: Vec<&str> = prices.lines().collect();
    let at = prices[0].split(',').position(|name| name == "replacement_days").expect("the column");
    let longer: Vec<String> = prices
        .iter()
        .enumerate()
        .map(|(row, line)| {
            let mut cells: Vec<&str> = line.split(',').collect();
            if row > 0 {
                cells[at] = "3000";
            }
            cells.join(",")
        })
        .collect();
    std::fs::write(folder.join("prices.csv"), longer.join("\n")).expect("written");
    let later = to_plan(&folder);
    assert!(later.is_sorted_by_key(|(_, day)| *day), "{later:?}");
    let serials =
        |rows: &[(String, Option<Day>)]| -> Vec<String> { rows.iter().map(|(serial, _)| serial.clone()).collect() };
    assert_ne!(serials(&asked), serials(&later));
}

fn is_about_hours(table: &str) -> bool {
    matches!(table, "hours" | "aircraft_hours" | "fitted")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn a_lost_cell_never_makes_a_tier_number_larger(
        cell in prop::sample::select(CELLS.to_vec()),
        row in any::<prop::sample::Index>(),
        with in prop::sample::select(vec!["", "?", "x"]),
    ) {
        let (table, column) = cell;
        let mut lines = lines(table);
        let Some(at) = lines[0].split(',').position(|name| name == column) else { return Ok(()) };
        let row = 1 + row.index(lines.len() - 1);
        let mut cells: Vec<&str> = lines[row].split(',').collect();
        let lost = cells[at].to_string();
        cells[at] = with;
        lines[row] = cells.join(",");
        let after = with_table(table, &lines);
        for (serial, (_, tier, ground)) in &WRITTEN.places {
            let (_, now, _) = after[serial];
            let most = match (is_about_hours(table), *tier) {
                // A lost reading of hours may move a propeller from tiers 1 to 3 to tier 4 at the most.
                (true, 1..=3) => 4,
                // With its overhaul gone from the record, a propeller past its limit has no overhaul on record.
                (false, 1) if *ground == Ground::PastBinding => 3,
                _ => *tier,
            };
            prop_assert!(
                now <= most,
                "{serial}: tier {tier} became {now} when {table}.{column} `{lost}` was lost in row {row}"
            );
        }
    }

    #[test]
    fn one_finding_more_never_makes_a_tier_number_larger(
        who in any::<prop::sample::Index>(),
        kind in prop::sample::select(vec!["nick", "scratch", "crack", "erosion", "strike"]),
        surface in prop::sample::select(vec!["leading_edge", "camber", "", "hub"]),
        depth in prop::sample::select(vec!["", "0.003", "0.020", "0.070"]),
        found in prop::sample::select(vec!["2012-05-05", "2026-06-01"]),
    ) {
        let mut lines = lines("defects");
        let names: Vec<String> = lines[0].split(',').map(str::to_string).collect();
        let serials: Vec<&String> = WRITTEN.places.keys().collect();
        let serial = serials[who.index(serials.len())].clone();
        let row: Vec<&str> = names
            .iter()
            .map(|name| match name.as_str() {
                "propeller" => serial.as_str(),
                "found_date" => found,
                "blade" => "1",
                "station_pct" => "71",
                "surface" => surface,
                "kind" => kind,
                "depth_in" => depth,
                "action" => "none",
                _ => "",
            })
            .collect();
        lines.push(row.join(","));
        let after = with_table("defects", &lines);
        let (_, before, _) = WRITTEN.places[&serial];
        prop_assert!(after[&serial].1 <= before, "{serial}: {before} became {}", after[&serial].1);
        if found == "2026-06-01" && matches!(kind, "crack" | "strike") {
            prop_assert_eq!(after[&serial].1, 1);
        }
    }

    #[test]
    fn the_order_of_rows_changes_nothing(
        table in prop::sample::select(vec![
            "propellers", "limits", "overhauls", "measurements", "defects", "hours", "aircraft_hours", "fitted",
        ]),
        turn in any::<prop::sample::Index>(),
    ) {
        let lines = lines(table);
        let mut body = lines[1..].to_vec();
        let by = turn.index(body.len());
        body.rotate_left(by);
        body.reverse();
        let mut shuffled = vec![lines[0].clone()];
        shuffled.extend(body);
        prop_assert_eq!(&with_table(table, &shuffled), &WRITTEN.places);
    }
}
