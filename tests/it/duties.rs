//! Duties: everything that has a date. Days worked out by hand in the fleet of `judged`, in which Robin and Heron fly 10 h a
//! month and both carry a propeller that is due in 2034. Rules of time: 14 CFR 91.409, from memory; the rest is common
//! practice, no source.

use bladewane::analysis::duties::by_month;
use bladewane::analysis::ranking::By;
use bladewane::records::Fleet;
use bladewane::results::answers::{Answers, Shown};
use bladewane::settings::Settings;

use crate::fleet_folder::{FleetFolder, as_of, day};
use crate::judged::{PROPELLERS, aircraft_hours, in_order};

/// Every duty on 2026-01-01 in words: `T1 2034-06-01 recorded binding: overhaul, calendar limit`.
fn duties(folder: &FleetFolder) -> Vec<String> {
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let settings = Settings::default();
    let answers = Answers::new(&fleet, &settings);
    words(&answers)
}

fn words(answers: &Answers<'_, '_>) -> Vec<String> {
    let fleet: &Fleet<'_> = answers.fleet;
    let word = |duty: &bladewane::analysis::duties::Duty| {
        let basis = if duty.is_estimated { "estimated" } else { "recorded" };
        let force = duty.force.map_or("-", |force| force.word());
        let serial = fleet.propellers.serial(duty.propeller);
        format!("{serial} {} {basis} {force}: {}", duty.date, duty.words(fleet, answers.findings()))
    };
    answers.duties().iter().map(word).collect()
}

/// Those of one propeller without its overhaul.
fn beside_the_overhaul(folder: &FleetFolder, serial: &str) -> Vec<String> {
    let mut all = duties(folder);
    all.retain(|line| line.starts_with(serial) && !line.contains("overhaul"));
    all
}

/// Whether the day of a line, after the serial, lies between two.
fn is_between(line: &str, from: &str, to: &str) -> bool {
    let date = line.split(' ').nth(1).expect("a day");
    (from..to).contains(&date)
}

fn inspected(rows: &str) -> FleetFolder {
    in_order().with("inspections", &format!("aircraft,inspection_date,kind,result,next_due_date\n{rows}\n"))
}

#[test]
fn the_calendar_limit_of_each_is_a_duty_spares_included() {
    let limit = "2034-06-01 recorded recommended: overhaul, calendar limit";
    assert_eq!(duties(&in_order()), [format!("C1 {limit}"), format!("S1 {limit}"), format!("T1 {limit}")]);
}

#[test]
fn the_hour_limit_is_a_duty_by_estimate() {
    // 200 h from 2024-06-01: 180 h are read on 2025-12-01, and 20 h take two months.
    let models = "model,diameter_in,blades,interval_hours,interval_months,interval_force\nM76,76,2,200,none,binding\n";
    let folder = in_order().with("models", models);
    let all = duties(&folder);
    let robin: Vec<&String> = all.iter().filter(|line| line.starts_with("T1")).collect();
    let [only] = robin.as_slice() else { panic!("{all:?}") };
    assert!(only.ends_with("estimated binding: overhaul, hour limit"), "{only}");
    assert!(is_between(only, "2026-01-28", "2026-02-04"), "{only}");
}

#[test]
fn an_annual_is_due_at_the_end_of_its_twelfth_month_or_at_its_earlier_date() {
    let annual = |next: &str| inspected(&format!("Robin,2025-06-10,annual,satisfactory,{next}"));
    assert_eq!(beside_the_overhaul(&annual(""), "T1"), ["T1 2026-06-30 recorded binding: annual"]);
    assert_eq!(beside_the_overhaul(&annual("2026-05-31"), "T1"), ["T1 2026-05-31 recorded binding: annual"]);
    // Beyond its longest interval the date does not count.
    assert_eq!(beside_the_overhaul(&annual("2099-05-31"), "T1"), ["T1 2026-06-30 recorded binding: annual"]);
    // One that lapsed is overdue and stays on the list; one that was not satisfactory dates nothing.
    let lapsed = inspected("Robin,2024-06-10,annual,satisfactory,");
    assert_eq!(beside_the_overhaul(&lapsed, "T1"), ["T1 2025-06-30 recorded binding: annual"]);
    assert!(beside_the_overhaul(&inspected("Robin,2025-06-10,annual,not,"), "T1").is_empty());
}

#[test]
fn a_100_hour_is_due_by_its_date_or_by_the_hours_and_binds_where_others_are_taught_or_rent() {
    let hundred = |aircraft: &str, next: &str| {
        let annual = format!("{aircraft},2025-06-10,annual,satisfactory,");
        inspected(&format!("{annual}\n{aircraft},2025-08-01,100 hour,satisfactory,{next}"))
    };
    let of = |aircraft: &str, serial: &str, next: &str| {
        let mut lines = beside_the_overhaul(&hundred(aircraft, next), serial);
        lines.retain(|line| line.contains("100 hour"));
        lines
    };
    assert_eq!(of("Robin", "T1", "2026-02-01"), ["T1 2026-02-01 recorded binding: 100 hour"]);
    assert_eq!(of("Heron", "C1", "2026-02-01"), ["C1 2026-02-01 recorded none: 100 hour"]);
    // 40 h are read to 2025-12-01, ten of them a month: 60 h more take six.
    let [estimated] = &of("Robin", "T1", "")[..] else { panic!("one") };
    assert!(estimated.ends_with("estimated binding: 100 hour"), "{estimated}");
    assert!(is_between(estimated, "2026-05-28", "2026-06-04"), "{estimated}");
}

#[test]
fn other_inspections_are_due_as_written() {
    let folder = inspected("Robin,2025-06-10,annual,satisfactory,\nRobin,2025-08-01,condition,satisfactory,2026-02-01");
    assert_eq!(
        beside_the_overhaul(&folder, "T1"),
        ["T1 2026-02-01 recorded -: condition inspection", "T1 2026-06-30 recorded binding: annual"]
    );
}

fn found(kind: &str, done: &str) -> FleetFolder {
    let head = "propeller,found_date,blade,station_pct,surface,kind,depth_in,length_in,width_in,action,action_date,recheck_date";
    in_order().with("defects", &format!("{head}\nT1,2025-09-01,1,75,face,{kind},{done}\n"))
}

#[test]
fn an_accepted_finding_is_looked_at_again_by_its_date_or_by_100_hours() {
    let until = |recheck: &str| found("erosion,0.02,0.5,0.2", &format!("accepted,2025-09-01,{recheck}"));
    let words = "look again: erosion 0.020 in deep on blade 1 face at 75 %, found 2025-09-01";
    assert_eq!(beside_the_overhaul(&until("2026-06-01"), "T1"), [format!("T1 2026-06-01 recorded -: {words}")]);
    // One that has run out is overdue.
    assert_eq!(beside_the_overhaul(&until("2025-12-01"), "T1"), [format!("T1 2025-12-01 recorded -: {words}")]);
    // 30 h are read to 2025-12-01, ten of them a month: 70 h more take seven, and twelve months are later.
    let [hours] = &beside_the_overhaul(&until("2099-01-01"), "T1")[..] else { panic!("one") };
    assert!(hours.ends_with(&format!("estimated -: {words}")), "{hours}");
    assert!(is_between(hours, "2026-06-27", "2026-07-05"), "{hours}");
    // What was dressed, and what is open and not small, has no day.
    assert!(beside_the_overhaul(&found("nick,0.02,0.1,0.1", "blended,2025-09-02,"), "T1").is_empty());
    assert!(beside_the_overhaul(&found("nick,0.02,0.1,0.1", "none,,"), "T1").is_empty());
}

#[test]
fn a_small_open_finding_is_looked_at_again_within_twelve_months() {
    let small = found("erosion,0.004,0.5,0.2", "none,,");
    // On a spare nothing is flown, and the aircraft it came from is not read.
    let head = "propeller,aircraft,from_date,to_date\nT1,Robin,2024-06-01,2025-09-02\nC1,Heron,2024-06-01,\n";
    let still =
        PROPELLERS.replace("T1,M76,training,Home,2024-06-01,new,flying", "T1,M76,training,Home,2024-06-01,new,spare");
    let read: String =
        aircraft_hours().lines().filter(|l| !l.starts_with("Robin")).fold(String::new(), |t, l| t + l + "\n");
    let small = small.with("fitted", head).with("propellers", &still).with("aircraft_hours", &read);
    let lines = beside_the_overhaul(&small, "T1");
    assert_eq!(
        lines,
        ["T1 2026-09-01 recorded -: look again: erosion 0.004 in deep on blade 1 face at 75 %, found 2025-09-01"]
    );
}

#[test]
fn one_that_is_out_of_service_has_no_duty() {
    let scrapped = PROPELLERS.replace("2024-06-01,new,spare", "2024-06-01,new,scrapped");
    let folder = in_order().with("propellers", &scrapped);
    assert!(duties(&folder).iter().all(|line| !line.starts_with("S1")));
}

#[test]
fn one_at_a_shop_is_expected_back_and_a_day_that_has_passed_is_overdue() {
    let at = |back: &str| {
        let rows = PROPELLERS.replace("status", "status,sent_date,expected_back_date,shop");
        let rows =
            rows.replace("flying", "flying,,,").replace("spare", &format!("at shop,2025-11-01,{back},Shop North"));
        beside_the_overhaul(&in_order().with("propellers", &rows), "S1")
    };
    assert_eq!(at("2026-02-15"), ["S1 2026-02-15 recorded -: expected back from Shop North"]);
    assert_eq!(at("2025-12-15"), ["S1 2025-12-15 recorded -: expected back from Shop North"]);
    assert!(at("").is_empty());
}

/// On the invented fleet: in order of day, one to order for each that the table of purchases dates, and no row that the order
/// of records changes.
#[test]
fn the_list_of_the_demo_fleet_is_in_order_and_orders_what_the_purchases_say() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("datasets/demo-fleet");
    let loaded = bladewane::records::Loaded::read(&folder, &Default::default(), |_| true, |_| {}).expect("read");
    let settings = Settings::default();
    let fleet = Fleet::as_of(&loaded, day("2026-06-30"), &settings);
    let answers = Answers::new(&fleet, &settings);
    let all = answers.duties();
    assert!(all.is_sorted_by_key(|duty| (duty.date, duty.propeller)));
    let to_order = words(&answers).iter().filter(|line| line.ends_with("order a replacement")).count();
    let dated = answers.purchases(&Shown::all()).iter().filter(|row| row.order_by.is_some()).count();
    assert!(dated > 0 && to_order == dated, "{to_order} of {dated}");
    // Every propeller that `due` dates by the calendar is here on that day.
    for row in &answers.due().rows {
        let limit = row.due_calendar.filter(|_| fleet.end_of(row.propeller).is_none());
        let here = all.iter().filter(|duty| duty.propeller == row.propeller && Some(duty.date) == limit).count();
        assert_eq!(here > 0, limit.is_some(), "{}", fleet.propellers.serial(row.propeller));
    }
    assert_eq!(answers.slice("duties", 0, &Shown::all()).expect("a table").num_rows(), all.len());
    assert_eq!(answers.ranking_by(By::Urgency, &Shown::all()).expect("a table").num_rows(), answers.due().rows.len());
}

#[test]
fn months_hold_every_duty_once_and_name_their_end() {
    let folder = inspected("Robin,2024-06-10,annual,satisfactory,\nHeron,2025-12-31,annual,satisfactory,2026-01-31");
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let settings = Settings::default();
    let answers = Answers::new(&fleet, &settings);
    let months = by_month(answers.duties().iter(), fleet.as_of);
    let told: Vec<String> = months.iter().map(|month| format!("{}: {}", month.name, month.words())).collect();
    assert_eq!(told, ["overdue: 1 inspection", "2026-01: 1 inspection", "after 2027-01: 3 overhaul limits"]);
    assert_eq!(months.iter().map(|month| month.duties.len()).sum::<usize>(), answers.duties().len());
}
