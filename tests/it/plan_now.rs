//! Tier 5 goes by the day to act: small fleets with the exact tier, reason and next step of each. Days by hand.

use bladewane::analysis::plan::prices::LeadBasis;
use bladewane::results::answers::{Answers, Shown};
use bladewane::settings::Settings;

use crate::fleet_folder::{FleetFolder, as_of};

/// Thickness alone is limited, so that common practice gives every chance: 0.008 in an overhaul, give or take half of it.
const LIMITS: &str = "model,station_pct,thickness_new_in,thickness_min_in\nM,30,0.975,0.903\nN,30,0.975,0.903";
const MODELS: &str = "
    model,diameter_in,blades,interval_hours,interval_months,interval_force
    M,76,2,none,72,recommended
    N,76,2,none,72,recommended";
/// A new M takes 100 days; of N nothing is said.
const PRICES: &str = "
    model,overhaul_cost,replacement_cost,replacement_days
    M,1000,4000,100
    N,1000,4000,";

/// Propellers: serial, model, status, interval in months in place of the model's, last overhaul, thickness left at 30 %.
type Row = (&'static str, &'static str, &'static str, &'static str, &'static str, &'static str);

const SOUND: &str = "0.970";
/// 0.003 in above the minimum.
const WORN: &str = "0.906";

fn folder(rows: &[Row]) -> FleetFolder {
    let mut propellers = "propeller,model,status,interval_months".to_string();
    let mut overhauls = "propeller,overhaul_date,work,outcome".to_string();
    let mut sheets = "propeller,overhaul_date,blade,station_pct,thickness_after_in".to_string();
    for (serial, model, status, months, overhaul, thickness) in rows {
        propellers += &format!("\n{serial},{model},{status},{months}");
        overhauls += &format!("\n{serial},{overhaul},overhaul,released");
        for blade in [1, 2] {
            sheets += &format!("\n{serial},{overhaul},{blade},30,{thickness}");
        }
    }
    FleetFolder::empty()
        .with("propellers", &propellers)
        .with("models", MODELS)
        .with("limits", LIMITS)
        .with("prices", PRICES)
        .with("overhauls", &overhauls)
        .with("measurements", &sheets)
}

/// Serial, tier, reason and next step of each on 2026-01-01, in order.
fn judged_with(folder: &FleetFolder, settings: &Settings) -> Vec<(String, u8, String, String)> {
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let answers = Answers::new(&fleet, settings);
    let of = |r: &bladewane::analysis::ranking::Ranked| {
        let serial = fleet.propellers.serial(r.propeller).to_string();
        (serial, r.tier, r.reason().replace('\u{a0}', " "), r.next_step().replace('\u{a0}', " "))
    };
    answers.ranking().iter().map(of).collect()
}

fn judged(rows: &[Row]) -> Vec<(String, u8, String, String)> {
    judged_with(&folder(rows), &Settings::default())
}

/// The only propeller.
fn only(row: Row) -> (u8, String, String) {
    let rows = judged(&[row]);
    assert_eq!(rows.len(), 1);
    let (_, tier, reason, next) = rows.into_iter().next().expect("one");
    (tier, reason, next)
}

fn is(found: (u8, String, String), tier: u8, reason: &str, next: &str) {
    assert_eq!((found.0, found.1.as_str(), found.2.as_str()), (tier, reason, next));
}

/// 2020-08-29 + 72 months is 240 days after 2026-01-01: to be booked in 180 days.
#[test]
fn an_overhaul_is_near_within_180_days_of_the_day_to_book_it() {
    is(
        only(("A", "M", "flying", "", "2020-08-29", SOUND)),
        5,
        "overhaul due 2026-08-29, in 240 days",
        "book the overhaul by 2026-06-30",
    );
    is(
        only(("A", "M", "flying", "", "2020-08-30", SOUND)),
        6,
        "nothing open on record",
        "nothing now; next overhaul due 2026-08-30, to be booked by 2026-07-01",
    );
}

/// 15 % of 24 months of 30.4375 days is 109.6 days; 2024-06-19 + 24 months is 169 days after 2026-01-01.
#[test]
fn of_a_short_interval_within_its_fifteen_hundredths() {
    is(
        only(("A", "M", "flying", "24", "2024-06-19", SOUND)),
        5,
        "overhaul due 2026-06-19, in 169 days",
        "book the overhaul by 2026-04-20",
    );
    let (tier, ..) = only(("A", "M", "flying", "24", "2024-06-20", SOUND));
    assert_eq!(tier, 6);
}

#[test]
fn a_day_to_book_that_has_passed_is_now() {
    is(
        only(("A", "M", "flying", "", "2020-01-31", SOUND)),
        5,
        "overhaul due 2026-01-31, in 30 days",
        "book the overhaul now",
    );
    let mut settings = Settings::default();
    settings.due.booking_days = 10;
    let rows = judged_with(&folder(&[("A", "M", "flying", "", "2020-01-31", SOUND)]), &settings);
    assert_eq!(rows[0].3, "book the overhaul by 2026-01-21");
}

/// 2021-03-01 + 72 months - 100 days is 2026-11-21, 324 days off.
#[test]
fn a_probable_rejection_is_near_within_a_year_of_the_day_to_order() {
    let (tier, reason, next) = only(("A", "M", "flying", "", "2021-03-01", WORN));
    assert_eq!(
        (tier, next.as_str()),
        (5, "order a replacement by 2026-11-21 (due 2027-03-01, a new one takes 100 days)")
    );
    assert!(reason.starts_with("the next overhaul will probably reject it (chance "), "{reason}");
    assert!(reason.contains("thickness 0.003 in above minimum on blade 1 at 30 %"), "{reason}");
    // Four years more, and it waits; the next step still says what comes and when.
    let (tier, reason, next) = only(("A", "M", "flying", "", "2025-03-01", WORN));
    assert_eq!((tier, reason.as_str()), (6, "nothing open on record"));
    assert!(
        next.starts_with("nothing now; the next overhaul, due 2031-03-01, will probably reject it (chance "),
        "{next}"
    );
    assert!(next.ends_with("): order a replacement by 2030-11-21"), "{next}");
}

/// The due date less the lead time has passed.
#[test]
fn a_day_to_order_that_has_passed_is_now() {
    let (tier, _, next) = only(("A", "M", "flying", "", "2020-02-01", WORN));
    assert_eq!((tier, next.as_str()), (5, "order a replacement now (due 2026-02-01, a new one takes 100 days)"));
}

/// The longest of the fleet's lead times is 100 days; without prices 180 are assumed.
#[test]
fn an_unknown_lead_time_is_never_none() {
    let rows = [("A", "N", "flying", "", "2021-03-01", WORN)];
    let next = "order a replacement by 2026-11-21 (due 2027-03-01, lead time not on record, the fleet's longest of 100 days taken)";
    assert_eq!(judged(&rows)[0].3, next);
    let without = folder(&rows).with("prices", "model,overhaul_cost,replacement_cost,replacement_days\nM,1000,4000,");
    let next = "order a replacement by 2026-09-02 (due 2027-03-01, lead time not on record, 180 days assumed)";
    assert_eq!(judged_with(&without, &Settings::default())[0].3, next);

    // The table of purchases has the same day, and says what it counts.
    for (folder, day, days, basis) in [
        (folder(&rows), "2026-11-21", 100.0, LeadBasis::LongestOfFleet),
        (without, "2026-09-02", 180.0, LeadBasis::Assumed),
    ] {
        let loaded = folder.load();
        let fleet = as_of(&loaded, "2026-01-01");
        let settings = Settings::default();
        let bought = Answers::new(&fleet, &settings).purchases(&Shown::all());
        assert_eq!(bought.len(), 1);
        assert_eq!(bought[0].order_by.map(|d| d.to_string()).as_deref(), Some(day));
        assert_eq!((bought[0].lead.days, bought[0].lead.basis), (days, basis));
    }
}

/// C is due in 97 days (2020-04-08 + 72 months), and to be booked in 37; B is to be ordered in 324; A would be rejected in 2031.
#[test]
fn what_is_to_be_done_first_stands_first() {
    let rows = judged(&[
        ("A", "M", "flying", "", "2025-03-01", WORN),
        ("B", "M", "flying", "", "2021-03-01", WORN),
        ("C", "M", "flying", "", "2020-04-08", SOUND),
    ]);
    let order: Vec<(&str, u8)> = rows.iter().map(|(serial, tier, ..)| (serial.as_str(), *tier)).collect();
    assert_eq!(order, [("C", 5), ("B", 5), ("A", 6)]);
}

/// Nobody waits for a spare of a model that nobody flies; one of a model that flies may be wanted tomorrow.
#[test]
fn a_spare_is_planned_only_where_it_covers_an_aircraft() {
    let spare = ("S", "M", "spare", "", "2020-04-08", SOUND);
    is(
        only(spare),
        6,
        "nothing open on record",
        "nothing now; next overhaul due 2026-04-08, to be booked by 2026-02-07",
    );
    for (model, tier) in [("N", 6), ("M", 5)] {
        let rows = judged(&[spare, ("A", model, "flying", "", "2025-03-01", SOUND)]);
        let of = rows.iter().find(|(serial, ..)| serial == "S").expect("listed");
        assert_eq!(of.1, tier, "{rows:?}");
    }
}

/// One rule shows a chance: the reason, the next step, the page and the terminal agree, and none is a certainty.
#[test]
fn chances_agree_and_none_is_a_certainty() {
    let folder = folder(&[("A", "M", "flying", "", "2021-03-01", "0.9031")]);
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let settings = Settings::default();
    let answers = Answers::new(&fleet, &settings);
    let reason = answers.ranking()[0].reason();
    let chance = bladewane::analysis::chance::chance_in_words(answers.purchases(&Shown::all())[0].reject_chance);
    assert!(reason.contains(&format!("(chance {chance})")), "{reason}");
    let page = bladewane::report::page(&answers, &Shown::all(), "F").expect("a page");
    assert!(page.contains(&format!("rejected at the next: {chance}")));
    assert!(!page.contains("100\u{a0}%"));
}
