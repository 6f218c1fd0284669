//! One question, one answer: the terminal, the page, the workbook and `run.json` give the same headline counts.

use std::path::Path;

use calamine::{Reader, Xlsx, open_workbook};
use serde_json::Value;

use crate::fleet_folder::FleetFolder;
use crate::program::{bladewane, text};

const AS_OF: &str = "2026-06-30";

fn many(n: u64, thing: &str) -> String {
    if n == 1 { format!("1 {thing}") } else { format!("{n} {thing}s") }
}

/// What one run of a fleet says, in each of its forms.
struct Told {
    lines: Vec<String>,
    terminal: String,
    page: String,
    counts: Value,
    about: Vec<(String, String)>,
}

/// Runs a fleet with a workbook beside its tables. Words and spaces of the terminal and the page are brought to one line.
fn told(fleet: &Path) -> Told {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let out = dir.path().join("results");
    let (fleet, to) = (fleet.display().to_string(), out.display().to_string());
    let ran = bladewane(&["run", &fleet, "--as-of", AS_OF, "--out", &to, "--format", "xlsx"]);
    assert_eq!(ran.status.code(), Some(0), "{}", text(&ran.stderr));
    let read = |name: &str| std::fs::read_to_string(out.join(name)).expect("written");
    let record: Value = serde_json::from_str(&read("run.json")).expect("JSON");
    let mut book: Xlsx<_> = open_workbook(out.join("results.xlsx")).expect("a workbook");
    let about = book.worksheet_range("about").expect("the first page");
    let about = about.rows().filter(|row| row.len() >= 2).map(|row| (row[0].to_string(), row[1].to_string())).collect();
    let in_one_line = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    Told {
        lines: text(&ran.stdout).lines().map(str::to_string).collect(),
        terminal: in_one_line(&text(&ran.stdout)),
        page: in_one_line(&read("report.html")),
        counts: record["overview"].clone(),
        about,
    }
}

impl Told {
    fn count(&self, name: &str) -> u64 {
        self.counts[name].as_u64().unwrap_or_else(|| panic!("{name} in {}", self.counts))
    }

    fn says(&self, where_: &str, text: &str, words: &str) {
        assert!(text.contains(words), "{where_} does not say `{words}`; run.json has {}", self.counts);
    }

    /// The same counts everywhere.
    fn agrees(&self) {
        let tiers: Vec<u64> = (0..6).map(|n| self.counts["tiers"][n].as_u64().expect("a count")).collect();
        let in_about = |name: &str| {
            let found = self.about.iter().find(|(n, _)| n == name);
            found.unwrap_or_else(|| panic!("{name} in {:?}", self.about)).1.clone()
        };
        let (due, past, none) = (self.count("due_in_12_months"), self.count("past_due"), self.count("no_due_date"));
        let (reject, below) = (self.count("probably_rejected"), self.count("below_minimum"));
        let [on_record, flying, at_shop, spare] = ["on_record", "flying", "at_shop", "spare"].map(|n| self.count(n));
        let (listed, aside) = (flying + at_shop + spare, self.count("rows_set_aside"));
        assert_eq!(tiers[..4].iter().sum::<u64>(), self.count("need_action_now"));
        assert_eq!(tiers.iter().sum::<u64>(), listed);
        for (name, count) in [
            ("Propellers listed", listed),
            ("Need action now", self.count("need_action_now")),
            ("Past due", past),
            ("Due in the next 12 months", due),
            ("The next overhaul will probably reject", reject),
            ("Below a minimum already", below),
            ("Rows set aside", aside),
        ] {
            assert_eq!(in_about(name), count.to_string(), "{name} in the workbook");
        }
        let lists = format!("({flying} flying, {at_shop} at shop, {spare} spare)");
        self.says("the terminal", &self.terminal, &format!("{} on record {lists}", many(on_record, "propeller")));
        self.says("the terminal", &self.terminal, &format!(", {} set aside", many(aside, "row")));
        self.says("the page", &self.page, &format!("{} set aside", many(aside, "row")));
        self.says("the page's last section", &self.page, &format!("Rows set aside: {aside}<"));
        // Every fleet here has several propellers.
        let now = match self.count("need_action_now") {
            0 => format!("None of {} needs action now.", many(listed, "propeller")),
            1 => format!("1 of {} needs action now.", many(listed, "propeller")),
            now if now == listed => format!("All {listed} propellers need action now."),
            now => format!("{now} of {} need action now.", many(listed, "propeller")),
        };
        self.says("the page", &self.page, &now);
        for (tier, count) in (1..).zip(&tiers) {
            let row = self
                .page
                .split(&format!("<th scope=\"row\" class=\"n\">{tier}</th>"))
                .nth(1)
                .expect("a row of the tier");
            let row = row.split("</tr>").next().expect("the row's end");
            assert!(row.ends_with(&format!("<b>{count}</b></td>")), "tier {tier} on the page: {row}");
        }
        let of = |n: u64, one: &str, many: &str| format!("{n} {}", if n == 1 { one } else { many });
        let line = format!(
            "{}, {}, {}",
            of(due, "comes due", "come due"),
            of(past, "is past due", "are past due"),
            of(none, "has no due date on record", "have no due date on record")
        );
        self.says("the terminal", &self.terminal, &line);
        self.says(
            "the page",
            &self.page,
            &format!("{}; {past} past due already; {none} without", many(due, "propeller")),
        );
        let listed = self.lines.iter().skip_while(|line| *line != "How many in each tier").skip(1).take(6);
        for ((tier, count), line) in (1..).zip(&tiers).zip(listed) {
            assert!(line.trim_start().starts_with(&format!("{tier} ")), "{line}");
            assert_eq!(line.rsplit(' ').next(), Some(count.to_string().as_str()), "{line}");
        }
        let said = match reject {
            0 => "none, as far as the record tells".to_string(),
            n => format!("probably reject {n}: "),
        };
        self.says("the terminal", &self.terminal, &said);
        if below > 0 {
            self.says("the terminal", &self.terminal, &format!("below a minimum already: {below}: "));
            self.says("the page", &self.page, &format!("{below} below a minimum already"));
            let section = if below == 1 { "1 is below".to_string() } else { format!("{below} are below") };
            self.says("the page's section", &self.page, &format!("Beside that {section} a minimum already."));
        }
        let known = many(self.count("reject_chance_known"), "propeller");
        let rejects = match reject {
            0 => format!("rejects none of {known} in service"),
            n => format!("will probably reject {n} of {known} in service"),
        };
        if self.count("reject_chance_known") > 0 {
            self.says("the page's section", &self.page, &rejects);
        }
        let unknown = self.count("reject_chance_not_known");
        if unknown > 0 {
            let lost = format!("Of {} it is not known how much is left.", many(unknown, "propeller"));
            self.says("the page's section", &self.page, &lost);
            self.says("the page", &self.page, &format!("of {unknown} it is not known"));
        }
    }
}

#[test]
fn the_demo_fleet_has_one_count_for_each_question() {
    let told = told(&Path::new(env!("CARGO_MANIFEST_DIR")).join("datasets/demo-fleet"));
    told.agrees();
    assert!(told.count("below_minimum") > 0 && told.count("due_in_12_months") > 0 && told.count("rows_set_aside") > 0);
}

/// A1 was rejected and is still listed as flying; A2 is 0.003 in below a minimum; A3 is due within the year.
#[test]
fn one_rejected_but_listed_is_in_no_count_of_due_or_reject_and_one_below_minimum_has_a_line_of_its_own() {
    let folder = FleetFolder::small()
        .with(
            "propellers",
            "propeller,model,in_service_date,acquired,status
             A1,M76,2000-01-01,new,flying
             A2,M76,2000-01-01,new,flying
             A3,M76,2000-01-01,new,flying",
        )
        .with(
            "overhauls",
            "propeller,overhaul_date,work,outcome,reject_reason
             A1,2020-10-01,overhaul,rejected,dimension
             A2,2024-03-01,overhaul,released,
             A3,2020-11-01,overhaul,released,",
        )
        .with(
            "measurements",
            "propeller,overhaul_date,blade,station_pct,width_after_in,thickness_after_in
             A1,2020-10-01,1,60,5.300,0.420
             A2,2024-03-01,1,60,5.300,0.410
             A3,2020-11-01,1,30,5.400,0.970
             A3,2020-11-01,1,60,5.430,0.470
             A3,2020-11-01,1,90,3.740,0.245
             A3,2020-11-01,2,30,5.400,0.970
             A3,2020-11-01,2,60,5.430,0.470
             A3,2020-11-01,2,90,3.740,0.245",
        );
    let told = told(folder.path());
    told.agrees();
    assert_eq!(told.count("below_minimum"), 1, "{}", told.counts);
    assert_eq!(told.count("due_in_12_months"), 1, "{}", told.counts);
    assert_eq!(told.count("probably_rejected"), 0, "{}", told.counts);
    assert_eq!(told.counts["tiers"][0], 2);
}

#[test]
fn a_fleet_of_two_serials_has_one_count_for_each_question() {
    let told = told(FleetFolder::empty().with("propellers", "propeller\nA1\nA2").path());
    told.agrees();
    assert_eq!(told.count("no_due_date"), 2);
    assert_eq!(told.count("reject_chance_not_known"), 2);
}

/// Of two alike, the spare is in no count of what comes due or will be rejected; its tier plans for it all the same.
#[test]
fn a_spare_is_in_no_headcount_of_what_tier_5_plans() {
    let with_status = |status: &str| {
        let folder = FleetFolder::small()
            .with(
                "propellers",
                &format!(
                    "propeller,model,in_service_date,acquired,status
                     A1,M76,2000-01-01,new,flying
                     A2,M76,2000-01-01,new,{status}
                     A3,M76,2000-01-01,new,{status}"
                ),
            )
            .with("models", "model,diameter_in,blades,interval_hours,interval_months\nM76,76,2,none,72")
            .with(
                "overhauls",
                "propeller,overhaul_date,work,outcome
                 A1,2020-08-01,overhaul,released
                 A2,2020-08-01,overhaul,released
                 A3,2024-08-01,overhaul,released",
            )
            .with("limits", "model,station_pct,thickness_new_in,thickness_min_in\nM76,30,0.975,0.903")
            .with(
                "measurements",
                "propeller,overhaul_date,blade,station_pct,thickness_after_in
                 A1,2020-08-01,1,30,0.970\nA1,2020-08-01,2,30,0.970
                 A2,2020-08-01,1,30,0.970\nA2,2020-08-01,2,30,0.970
                 A3,2024-08-01,1,30,0.904\nA3,2024-08-01,2,30,0.904",
            );
        let told = told(folder.path());
        told.agrees();
        (told.count("due_in_12_months"), told.count("probably_rejected"), told.counts["tiers"][4].as_u64())
    };
    assert_eq!(with_status("flying"), (2, 1, Some(2)));
    assert_eq!(with_status("spare"), (1, 0, Some(2)));
}
