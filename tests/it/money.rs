//! Money in words: what is sent in and what of it is replaced, what an hour needs, from when and how far, and what is now.

use bladewane::analysis::plan::budget_months;
use bladewane::results::answers::{Answers, Shown};
use bladewane::settings::Settings;

use crate::fleet_folder::{FleetFolder, as_of, day};
use crate::program::{bladewane, text};

/// One that is worn nearly to its minimum and due next month, and one that is sound. A new one takes 100 days.
fn fleet() -> FleetFolder {
    FleetFolder::empty()
        .with("propellers", "propeller,model,in_service_date,acquired\nA1,M,2000-01-01,new\nA2,M,2000-01-01,new\n")
        .with("models", "model,diameter_in,blades,interval_hours,interval_months\nM,76,2,none,72\n")
        .with("limits", "model,station_pct,thickness_new_in,thickness_min_in\nM,30,0.975,0.903\n")
        .with("overhauls", "propeller,overhaul_date,work,outcome\nA1,2020-02-20,overhaul,released\nA2,2025-02-20,overhaul,released\n")
        .with(
            "measurements",
            "propeller,overhaul_date,blade,station_pct,thickness_after_in\nA1,2020-02-20,1,30,0.906\nA1,2020-02-20,2,30,0.906\n\
             A2,2025-02-20,1,30,0.970\nA2,2025-02-20,2,30,0.970\n",
        )
        .with("hours", "propeller,reading_date,hours_since_new\nA1,2024-12-31,900\nA1,2025-12-31,1000\nA2,2024-12-31,900\nA2,2025-12-31,1000\n")
        .with("prices", "model,overhaul_cost,replacement_cost,rejection_cost,replacement_days\nM,1000,5000,300,100\n")
}

fn out(command: &str, date: &str, more: &[&str]) -> String {
    let folder = fleet();
    let path = folder.path().display().to_string();
    let results = format!("{path}-results");
    let args: Vec<&str> = [command, &path].into_iter().chain(more.iter().copied()).chain(["--as-of", date]).collect();
    let args = if command == "run" { [args, vec!["--out", &results]].concat() } else { args };
    let output = bladewane(&args);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let mut said = text(&output.stdout) + &text(&output.stderr);
    if command == "run" {
        said += &std::fs::read_to_string(format!("{results}/report.html")).expect("the page");
        std::fs::remove_dir_all(results).expect("removed");
    }
    said.split([' ', '\n']).filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
}

#[test]
fn a_budget_is_whole_calendar_years_and_the_rest_of_this_one() {
    // From 30 June seven months are left, June included; from 1 January the year is whole.
    assert_eq!(budget_months(day("2026-06-30"), 2), 7 + 24);
    assert_eq!(budget_months(day("2026-12-31"), 1), 1 + 12);
    assert_eq!(budget_months(day("2026-01-01"), 2), 24);
    assert_eq!(budget_months(day("2026-01-02"), 2), 12 + 24);
    let years = |date: &str| {
        let table = out("show", date, &["budget", "--format", "csv", "--columns", "year,model,interval_force"]);
        let all = table.split_whitespace().filter_map(|line| line.strip_suffix(",all,all"));
        all.map(str::to_string).collect::<Vec<_>>()
    };
    assert_eq!(years("2026-01-01").len(), 5);
    assert_eq!(years("2026-06-30"), ["2026", "2027", "2028", "2029", "2030", "2031"]);
    let two = out("budget", "2026-06-30", &["--years", "2"]);
    for (year, there) in [("2026", true), ("2027", true), ("2028", true), ("2029", false)] {
        assert_eq!(two.contains(&format!(" {year} all all")), there, "{year}: {two}");
    }
    let said = out("run", "2026-06-30", &[]);
    assert!(said.contains("the plan starts on 2026-06-30: the rest of 2026, and 5 calendar years after it"), "{said}");
}

#[test]
fn what_is_sent_in_and_what_an_hour_needs() {
    let said = out("run", "2026-01-02", &[]);
    // A1 is due within the year; whether it passes is its chance, and what of it is replaced is a part of what is sent in.
    let year = said.split("2026 from 2026-01-02 ").nth(1).expect("the part of the year is named");
    let words: Vec<&str> = year.split_whitespace().take(9).collect();
    assert_eq!([words[1], words[2], words[3], words[4]], ["sent", "in,", "of", "which"], "{words:?}");
    assert_eq!([words[6], words[7], words[8]], ["rejected", "and", "replaced:"], "{words:?}");
    let (sent, replaced): (f64, f64) = (words[0].parse().expect("a number"), words[5].parse().expect("a number"));
    assert!((0.9..1.2).contains(&sent) && replaced <= sent && replaced > 0.5, "{words:?}");
    assert!(said.contains("an hour of flying needs "), "{said}");
    assert!(said.contains("; a fund that starts today needs "), "{said}");
    assert!(said.contains(" in it (needed, not a balance)"), "{said}");
    // The page says the same, and names its columns so.
    for words in [
        "<th scope=\"col\" class=\"n\">Sent in</th>",
        "rejected and replaced</span>",
        "<dt>An hour of flying needs</dt>",
        "<dt>A fund that starts today needs</dt>",
    ] {
        assert!(said.contains(words), "{words}");
    }
}

#[test]
fn a_day_to_order_that_has_come_is_now() {
    let folder = fleet();
    let loaded = folder.load();
    let settings = Settings::default();
    let order = |date: &str| {
        let fleet = bladewane::records::Fleet::as_of(&loaded, day(date), &settings);
        let answers = Answers::new(&fleet, &settings);
        let bought = answers.purchases(&Shown::all());
        (bought[0].order_by.map(|d| d.to_string()), bought[0].order_in_words(fleet.as_of))
    };
    // Due 2026-02-20, less 100 days.
    assert_eq!(order("2026-01-01"), (Some("2025-11-12".to_string()), "now".to_string()));
    assert_eq!(order("2025-11-12").1, "now");
    assert_eq!(order("2025-11-11").1, "by 2025-11-12");
    let table = out("show", "2026-01-01", &["purchases"]);
    assert!(table.contains(" now 2026-02-20 "), "{table}");
    assert!(out("run", "2026-01-01", &[]).contains("<span class=\"stop\">now</span>"));
    assert!(out("explain", "2026-01-01", &["A1"]).contains("is ordered now: "));
}

#[test]
fn purchases_say_from_which_chance_on_cash_favours_buying() {
    let folder = fleet();
    let loaded = folder.load();
    let records = as_of(&loaded, "2026-01-01");
    let settings = Settings::default();
    let answers = Answers::new(&records, &settings);
    let bought = answers.purchases(&Shown::all());
    // p x 300 = (1 - p) x 4,000.
    assert!((bought[0].buy_from_chance.expect("prices") - 4_000.0 / 4_300.0).abs() < 1e-12);
    let story = out("explain", "2026-01-01", &["A1"]);
    assert!(
        story.contains(
            "Cash favours buying from a chance of rejection of 93\u{a0}% on: (5000 - 1000)/(300 + 5000 - 1000)."
        ),
        "{story}"
    );
    assert!(out("run", "2026-01-01", &[]).contains("Cash favours buying from a chance of rejection of 93\u{a0}% on."));
}
