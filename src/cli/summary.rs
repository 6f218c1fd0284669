//! The text `run` ends with: what there is, what comes first, what comes due, and where the files are.

use std::fmt::Write as _;

use super::lines::{wrap, wrap_lines};
use super::opened::{Surroundings, nothing_on_record};
use crate::analysis::chance::chance_in_words;
use crate::analysis::duties::by_month;
use crate::analysis::open::counts;
use crate::analysis::overview::{Counts, Overview};
use crate::analysis::plan::budget::BudgetRow;
use crate::analysis::ranking::ground::Ground;
use crate::analysis::ranking::{Ranked, dressed_unmeasured};
use crate::analysis::stale::Leads;
use crate::analysis::standing::List;
use crate::records::schema::Table;
use crate::report::words::{count, grouped};
use crate::results::CAUTION;
use crate::results::answers::{Answers, Shown};
use crate::trade::calendar::Day;

/// Propellers named as most urgent.
const MOST_URGENT: usize = 5;
/// Propellers named as due next.
const DUE_NEXT: usize = 5;

/// The summary, lines broken to the width.
pub fn summary(answers: &Answers<'_, '_>, shown: &Shown, folder: &str, around: &Surroundings) -> String {
    let page = Page { width: around.env.text_width(), styled: around.env.styled(around.color) };
    let ranked: Vec<&Ranked> = answers.ranking().iter().filter(|r| shown.shows(r.propeller)).collect();
    let overview = answers.overview(shown);
    let mut text = String::new();
    page.heading(&mut text, answers, &overview.counts, shown);
    page.first(&mut text, answers, &ranked);
    page.tiers(&mut text, &overview.counts);
    page.open(&mut text, answers, shown);
    page.due(&mut text, answers, &overview);
    page.duties(&mut text, answers, shown);
    page.rejections(&mut text, answers, &overview);
    page.budget(&mut text, answers, shown);
    let _ = writeln!(text, "\nEverything is in {folder}");
    wrap(&mut text, CAUTION, page.width, "");
    text
}

struct Page {
    width: usize,
    styled: bool,
}

impl Page {
    fn strong(&self, words: &str) -> String {
        if self.styled { format!("\x1b[1m{words}\x1b[0m") } else { words.to_string() }
    }

    fn heading(&self, text: &mut String, answers: &Answers<'_, '_>, counts: &Counts, shown: &Shown) {
        let fleet = answers.fleet;
        let name = fleet_name(answers);
        let _ = writeln!(text, "{}", self.strong(&format!("{name}, as of {}", fleet.as_of)));
        if let Some(nothing) = nothing_on_record(fleet) {
            wrap_lines(text, &nothing, self.width);
        }
        if let Some(filter) = shown.in_words() {
            wrap(text, &format!("Shown are {filter}"), self.width, "");
        }
        let used = |table: Table| fleet.ledger.counts(table).map_or(0, |c| c.used as usize);
        let line = format!(
            "{} on record ({} flying, {} at shop, {} spare), {}, {}, {} set aside",
            count(counts.on_record, "propeller"),
            counts.flying,
            counts.at_shop,
            counts.spare,
            count(used(Table::Overhauls), "overhaul"),
            count(used(Table::Measurements), "measurement"),
            count(counts.rows_set_aside, "row")
        );
        wrap(text, &line, self.width, "");
        for absence in fleet.absences() {
            wrap(text, &format!("Not there: {absence}"), self.width, "");
        }
    }

    fn first(&self, text: &mut String, answers: &Answers<'_, '_>, ranked: &[&Ranked]) {
        let mut urgent: Vec<&Ranked> = ranked.iter().copied().filter(|r| r.tier <= 5).collect();
        // Across the lists the tier decides; a flying propeller goes before one on the ground.
        urgent.sort_by_key(|r| (r.tier, r.list, r.rank));
        let leads = Leads::of(answers.fleet, answers.due(), &urgent);
        let _ = writeln!(text, "\n{}", self.strong("What comes first"));
        self.leads(text, answers, &leads);
        if let Some(line) = dressed_unmeasured(urgent.iter().copied()) {
            wrap(text, &line, self.width, "  ");
        }
        urgent.retain(|r| !leads.groups(r.propeller) && !r.is_dressed_unmeasured());
        if urgent.is_empty() {
            text.push_str("  nothing urgent is on record\n");
        }
        for (at, row) in urgent.iter().take(MOST_URGENT).enumerate() {
            let serial = answers.fleet.propellers.serial(row.propeller);
            let mut who = vec![];
            if row.list != List::Flying {
                who.push(row.list.word().to_string());
            }
            if let Some(usage) = answers.fleet.propellers.get(row.propeller).usage {
                who.push(usage.word().to_string());
            }
            if let Some(aircraft) = answers.fleet.aircraft_of(row.propeller) {
                who.push(aircraft.to_string());
            }
            let _ = writeln!(text, "  {}. {}  {}, tier {}", at + 1, self.strong(serial), who.join(", "), row.tier);
            wrap(text, &row.reason(), self.width, "     ");
            wrap(text, &format!("-> {}", row.next_step()), self.width, "     ");
            if let Some(seen) = &row.seen {
                wrap(text, &seen.words(), self.width, "     ");
            }
        }
        if urgent.len() > MOST_URGENT {
            let folder = answers.fleet.loaded.folder.display();
            wrap(
                text,
                &format!("and {} more in tiers 1 to 5: bladewane rank {folder}", urgent.len() - MOST_URGENT),
                self.width,
                "  ",
            );
        }
    }

    /// Rows that name no known propeller, aircraft that flew with none on record, and tables that end with the alarms that rest on them.
    fn leads(&self, text: &mut String, answers: &Answers<'_, '_>, leads: &Leads<'_>) {
        for words in &leads.nobody {
            let settings = answers.fleet.loaded.settings_stand_in();
            let way_out = "correct the serials, or list those of others under known_elsewhere in";
            wrap(text, &format!("{words}: {way_out} {settings}"), self.width, "  ");
        }
        for words in leads.bare.iter().take(MOST_URGENT) {
            wrap(text, words, self.width, "  ");
        }
        if leads.bare.len() > MOST_URGENT {
            wrap(text, &format!("and {} more aircraft", leads.bare.len() - MOST_URGENT), self.width, "  ");
        }
        for (words, rows) in &leads.many {
            let under = Leads::in_tiers(answers.fleet, rows, DUE_NEXT);
            wrap(text, &format!("{words}{}{under}", if rows.is_empty() { "" } else { ": " }), self.width, "  ");
        }
        for (stale, rows) in &leads.stale {
            let under = match rows.len() {
                0 => String::new(),
                _ => format!(": what comes after would settle {}", Leads::in_tiers(answers.fleet, rows, DUE_NEXT)),
            };
            wrap(text, &format!("{}{under}", stale.words()), self.width, "  ");
        }
    }

    fn tiers(&self, text: &mut String, counts: &Counts) {
        let _ = writeln!(text, "\n{}", self.strong("How many in each tier"));
        for (tier, count) in (1..=6u8).zip(counts.tiers) {
            let _ = writeln!(text, "  {tier} {:<50} {count:>6}", Ground::tier_words(tier));
        }
    }

    /// Findings, inspections and events that are open, by their number.
    fn open(&self, text: &mut String, answers: &Answers<'_, '_>, shown: &Shown) {
        let _ = writeln!(text, "\n{}", self.strong("What is open"));
        let counts = counts(&answers.open(shown));
        for words in &counts {
            wrap(text, words, self.width, "  ");
        }
        let folder = answers.fleet.loaded.folder.display();
        let line = match counts.is_empty() {
            true => "nothing, as far as the record tells".to_string(),
            false => format!("each with its next step: bladewane show {folder} open"),
        };
        wrap(text, &line, self.width, "  ");
    }

    fn due(&self, text: &mut String, answers: &Answers<'_, '_>, overview: &Overview) {
        let _ = writeln!(text, "\n{}", self.strong("Due in the next 12 months"));
        let Counts { due_in_12_months, past_due, no_due_date, .. } = overview.counts;
        let of = |number: usize, one: &str, many: &str| format!("{number} {}", if number == 1 { one } else { many });
        let line = format!(
            "{}, {}, {}",
            of(due_in_12_months, "comes due", "come due"),
            of(past_due, "is past due", "are past due"),
            of(no_due_date, "has no due date on record", "have no due date on record")
        );
        wrap(text, &line, self.width, "  ");
        let next: Vec<String> = overview
            .due_soon
            .iter()
            .take(DUE_NEXT)
            .filter_map(|&p| Some(format!("{} {}", answers.fleet.propellers.serial(p), answers.due().of(p)?.due?)))
            .collect();
        if !next.is_empty() {
            wrap(text, &format!("next: {}", next.join(", ")), self.width, "  ");
        }
    }

    /// Everything that has a date, by month.
    fn duties(&self, text: &mut String, answers: &Answers<'_, '_>, shown: &Shown) {
        let duties = answers.duties().iter().filter(|duty| shown.shows(duty.propeller));
        let months = by_month(duties, answers.fleet.as_of);
        let _ = writeln!(text, "\n{}", self.strong("What has a date, by month"));
        for month in &months {
            wrap(text, &format!("{}: {}", month.name, month.words()), self.width, "  ");
        }
        let folder = answers.fleet.loaded.folder.display();
        let line = match months.is_empty() {
            true => "nothing on record has a date".to_string(),
            false => format!("each with its day: bladewane show {folder} duties"),
        };
        wrap(text, &line, self.width, "  ");
    }
}

impl Page {
    /// The propellers that the next overhaul will probably reject, the surest first.
    fn rejections(&self, text: &mut String, answers: &Answers<'_, '_>, overview: &Overview) {
        let likely = &overview.probably_rejected;
        let named: Vec<String> = likely
            .iter()
            .take(DUE_NEXT)
            .map(|&(propeller, chance)| {
                let chance = chance_in_words(chance);
                format!("{} ({chance})", answers.fleet.propellers.serial(propeller))
            })
            .collect();
        let _ = writeln!(text, "\n{}", self.strong("The next overhaul will probably reject"));
        let line = match likely.len() {
            0 => "none, as far as the record tells".to_string(),
            count => format!("{count}: {}", named.join(", ")),
        };
        let more = match likely.len().saturating_sub(DUE_NEXT) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        wrap(text, &format!("{line}{more}"), self.width, "  ");
        let below = overview.below_minimum.iter().map(|&p| answers.fleet.propellers.serial(p));
        let below: Vec<&str> = below.take(DUE_NEXT).collect();
        let more = match overview.counts.below_minimum.saturating_sub(DUE_NEXT) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        if !below.is_empty() {
            let line =
                format!("below a minimum already: {}: {}{more}", overview.counts.below_minimum, below.join(", "));
            wrap(text, &line, self.width, "  ");
        }
    }
}

impl Page {
    /// What the next years will cost, and what an hour must set aside.
    fn budget(&self, text: &mut String, answers: &Answers<'_, '_>, shown: &Shown) {
        let planning = answers.planning(shown);
        let plan = &planning.plan;
        let years: Vec<&BudgetRow> = plan.budget.iter().filter(|r| r.model.is_none() && r.strength.is_none()).collect();
        let currency = answers.settings.fleet.currency.as_deref();
        let money = |sum: f64| match currency {
            Some(currency) => format!("{} {currency}", thousands(sum)),
            None => thousands(sum),
        };
        let _ = writeln!(text, "\n{}", self.strong("Budget"));
        if years.is_empty() {
            text.push_str("  no overhaul to plan on record\n");
            return;
        }
        for row in years {
            let part = part_of_year(answers.fleet.as_of, row.year);
            let counts = format!(
                "{}{part}  {:.1} sent in, of which {:.1} rejected and replaced",
                row.year, row.overhauls, row.replacements
            );
            let line = match &row.cost {
                Some(cost) => format!(
                    "{counts}: {} expected, {} to {} in eight of ten cases",
                    money(cost.expected),
                    thousands(cost.p10),
                    thousands(cost.p90)
                ),
                None => counts,
            };
            wrap(text, &line, self.width, "  ");
        }
        let reserve = &plan.reserve;
        if let (Some(per_hour), Some(needed)) = (reserve.long_run_per_hour, reserve.needed_today) {
            let unit = currency.map_or_else(String::new, |c| format!(" {c}"));
            let line = format!(
                "an hour of flying needs {per_hour:.2}{unit}; a fund that starts today needs {} in it (needed, not a balance): enough in nine of ten cases over {:.0} years",
                money(needed),
                reserve.horizon_years
            );
            wrap(text, &line, self.width, "  ");
        }
        let (ended, cost) = (planning.planned.ended_on_aircraft, planning.planned.ended_cost);
        if let Some(catch_up) = reserve.catch_up_sum.filter(|_| plan.overdue > 0) {
            let line = format!("catch-up: {} for {} overdue", money(catch_up), count(plan.overdue, "propeller"));
            wrap(text, &line, self.width, "  ");
        }
        if let Some(cost) = cost.filter(|_| ended > 0) {
            let line = format!(
                "catch-up, replacements: up to {} more for {} rejected, scrapped or sold and still shown on an aircraft",
                money(cost),
                count(ended, "propeller")
            );
            wrap(text, &line, self.width, "  ");
        }
        for note in planning.notes() {
            wrap(text, &note, self.width, "  ");
        }
    }
}

/// What is named behind the year that the plan begins in: ` from 2026-06-30`, unless it begins with the year.
fn part_of_year(as_of: Day, year: i32) -> String {
    let is_part = as_of.year() == year && Day::from_ymd(year, 1, 1) != Some(as_of);
    if is_part { format!(" from {as_of}") } else { String::new() }
}

/// A sum in whole units, a no-break space between the thousands: terminals have no narrow one.
fn thousands(sum: f64) -> String {
    grouped(sum, '\u{a0}')
}

/// What the fleet is called: by its settings, else as its folder.
pub fn fleet_name(answers: &Answers<'_, '_>) -> String {
    let set = answers.settings.fleet.name.clone();
    set.unwrap_or_else(|| folder_name(&answers.fleet.loaded.folder))
}

/// The folder's name, or the workbook's without its ending.
fn folder_name(fleet: &std::path::Path) -> String {
    let whole = fleet.canonicalize().unwrap_or_else(|_| fleet.to_path_buf());
    let name = if whole.is_file() { whole.file_stem() } else { whole.file_name() };
    name.map_or_else(|| "Fleet".to_string(), |n| n.to_string_lossy().into_owned())
}
