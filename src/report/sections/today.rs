//! Today: what needs action now, and what the year ahead holds, in a few lines.

use askama::Template;

use crate::analysis::open::counts;
use crate::analysis::overview::{LAST_TIER_NOW, Overview};
use crate::analysis::ranking::dressed_unmeasured;
use crate::analysis::ranking::ground::Ground;
use crate::analysis::ranking::seen::Seen;
use crate::analysis::stale::Leads;
use crate::analysis::standing::List;
use crate::records::choice::Use;
use crate::records::schema::Table;
use crate::report::scene::{Scene, Who};
use crate::report::words::{chance, count, joined, quoted, thousands};

/// Propellers of one tier that are named in full before the rest is left to the ranking.
const NAMED_PER_TIER: usize = 8;
/// Propellers named in a line of the year ahead.
const NAMED_IN_A_LINE: usize = 5;

/// The section.
#[derive(Template)]
#[template(path = "today.html", config = "src/report/askama.toml")]
pub struct Today {
    as_of: String,
    /// Propellers shown.
    all: usize,
    lead: String,
    /// Aircraft that flew with no propeller on record, and tables that end.
    leads: Vec<String>,
    groups: Vec<Group>,
    ahead: Vec<Line>,
    tiers: Vec<Tier>,
    absences: Vec<String>,
}

/// The propellers of a tier that needs action.
struct Group {
    tier: u8,
    words: &'static str,
    propellers: String,
    tasks: Vec<Task>,
    more: usize,
}

struct Task {
    who: Who,
    reason: String,
    next_step: String,
    seen: Option<String>,
}

/// A line of the year ahead: its name, what it says, and the propellers it names.
struct Line {
    name: &'static str,
    says: String,
    named: Vec<Named>,
    more: usize,
    section: &'static str,
    section_name: &'static str,
}

struct Named {
    who: Who,
    note: String,
}

struct Tier {
    tier: u8,
    words: &'static str,
    by_list: [usize; 3],
    propellers: usize,
}

impl Today {
    /// From the results.
    pub fn of(scene: &Scene<'_, '_, '_>) -> Today {
        let overview = scene.answers.overview(scene.shown);
        let (all, now) = (overview.counts.listed(), overview.counts.need_action_now);
        let lead = match (all, now) {
            (0, _) => "No propeller in service, at a shop or spare is on record.".to_string(),
            (1, 0) => "The one propeller here needs no action now.".to_string(),
            (1, _) => "The one propeller here needs action now.".to_string(),
            (_, 0) => format!("None of {} needs action now.", count(all, "propeller")),
            (_, 1) => format!("1 of {} needs action now.", count(all, "propeller")),
            _ if now == all => format!("All {all} propellers need action now."),
            _ => format!("{now} of {} need action now.", count(all, "propeller")),
        };
        let lead = match overview.counts.tiers[0] {
            0 => lead,
            grounded => format!("{lead} {}", before_flight(grounded, now)),
        };
        let absences = scene.answers.fleet.absences();
        let leads = Leads::of(scene.answers.fleet, scene.answers.due(), &scene.ranked);
        Today {
            as_of: scene.answers.fleet.as_of.to_string(),
            all,
            lead,
            groups: (1..=LAST_TIER_NOW).filter_map(|tier| Group::of(scene, &leads, tier)).collect(),
            leads: lead_lines(scene, &leads),
            ahead: if all == 0 {
                vec![records(scene)]
            } else {
                vec![
                    rented(scene),
                    open(scene),
                    due(scene, &overview),
                    rejections(scene, &overview),
                    money(scene),
                    records(scene),
                ]
            },
            tiers: (1..=6).map(|tier| Tier::of(scene, tier)).collect(),
            absences: absences.iter().map(|words| quoted(words)).collect(),
        }
    }
}

impl Tier {
    fn of(scene: &Scene<'_, '_, '_>, tier: u8) -> Tier {
        let on = |list: List| {
            let rows = scene.ranked.iter().filter(|r| r.tier == tier);
            rows.filter(|r| r.list == list).count()
        };
        let by_list = [List::Flying, List::AtShop, List::Spare].map(on);
        Tier { tier, words: Ground::tier_words(tier), propellers: by_list.iter().sum(), by_list }
    }
}

impl Group {
    fn of(scene: &Scene<'_, '_, '_>, leads: &Leads<'_>, tier: u8) -> Option<Group> {
        let all = scene.ranked.iter().filter(|r| r.tier == tier).count();
        let tasks: Vec<Task> = scene
            .urgent
            .iter()
            .filter(|r| r.tier == tier && !leads.groups(r.propeller) && !r.is_dressed_unmeasured())
            .take(NAMED_PER_TIER)
            .map(|row| Task {
                who: scene.who(row),
                reason: row.reason(),
                next_step: quoted(row.next_step()),
                seen: row.seen.as_ref().map(Seen::words),
            })
            .collect();
        (all > 0).then(|| Group {
            tier,
            words: Ground::tier_words(tier),
            propellers: count(all, "propeller"),
            more: all - tasks.len(),
            tasks,
        })
    }
}

/// What leads, before any propeller: the alarms under a table that ends stand in their tiers.
fn lead_lines(scene: &Scene<'_, '_, '_>, leads: &Leads<'_>) -> Vec<String> {
    let stale = leads.stale.iter().map(|(stale, rows)| match rows.len() {
        0 => stale.words(),
        _ => {
            let tiers = Leads::in_tiers(scene.answers.fleet, rows, NAMED_PER_TIER);
            format!("{}: what comes after would settle {tiers}", stale.words())
        }
    });
    let many = leads.many.iter().map(|(words, rows)| match rows.len() {
        0 => words.clone(),
        _ => format!("{words}: {}", Leads::in_tiers(scene.answers.fleet, rows, NAMED_PER_TIER)),
    });
    let unmeasured = dressed_unmeasured(scene.ranked.iter().copied());
    let first = leads.nobody.iter().chain(&leads.bare).cloned();
    first.chain(many).chain(stale).chain(unmeasured).collect()
}

/// How many of those that need action wait for a mechanic.
fn before_flight(grounded: usize, now: usize) -> String {
    match (grounded, now) {
        (_, 1) => "It must not fly before a mechanic has looked.".to_string(),
        (1, _) => "1 of them must not fly before a mechanic has looked.".to_string(),
        _ if grounded == now => "None of them may fly before a mechanic has looked.".to_string(),
        _ => format!("{grounded} of them must not fly before a mechanic has looked."),
    }
}

/// What strangers fly behind.
fn rented(scene: &Scene<'_, '_, '_>) -> Line {
    let rentals = || {
        scene.ranked.iter().filter(|r| {
            let of = scene.answers.fleet.propellers.get(r.propeller);
            r.list == List::Flying && of.usage == Some(Use::Rental)
        })
    };
    let now = || rentals().filter(|r| r.tier <= LAST_TIER_NOW);
    let named: Vec<Named> = now()
        .take(NAMED_IN_A_LINE)
        .map(|r| Named { who: scene.who(r), note: Ground::tier_words(r.tier).to_string() })
        .collect();
    let says = match (rentals().count(), now().count()) {
        (0, _) => "no flying propeller is recorded as a rental".to_string(),
        (all, 0) => format!("none of {all} needs action now"),
        (all, 1) => format!("1 of {all} needs action now"),
        (all, now) => format!("{now} of {all} need action now"),
    };
    Line {
        name: "Rented to others",
        says,
        more: now().count() - named.len(),
        named,
        section: "first",
        section_name: "what comes first",
    }
}

/// What is open.
fn open(scene: &Scene<'_, '_, '_>) -> Line {
    let counts = counts(&scene.answers.open(scene.shown));
    let says = match counts.is_empty() {
        true => "nothing, as far as the record tells".to_string(),
        false => joined(&counts),
    };
    let (section, section_name) = ("open", "what is open");
    Line { name: "Open", says, named: Vec::new(), more: 0, section, section_name }
}

/// What comes due within a year.
fn due(scene: &Scene<'_, '_, '_>, overview: &Overview) -> Line {
    let date = |propeller: u32| scene.answers.due().of(propeller)?.due;
    let named: Vec<Named> = overview
        .due_soon
        .iter()
        .take(NAMED_IN_A_LINE)
        .filter_map(|&p| Some(Named { who: scene.who_is(p)?, note: date(p)?.to_string() }))
        .collect();
    Line {
        name: "Due in the next 12 months",
        says: joined(&[
            count(overview.counts.due_in_12_months, "propeller"),
            format!("{} past due already", overview.counts.past_due),
            format!("{} without a due date on record", overview.counts.no_due_date),
        ]),
        more: overview.due_soon.len() - named.len(),
        named,
        section: "due",
        section_name: "when each comes due",
    }
}

/// What the next overhaul will probably reject.
fn rejections(scene: &Scene<'_, '_, '_>, overview: &Overview) -> Line {
    let likely = &overview.probably_rejected;
    let named: Vec<Named> = likely
        .iter()
        .take(NAMED_IN_A_LINE)
        .filter_map(|&(propeller, p)| Some(Named { who: scene.who_is(propeller)?, note: chance(p) }))
        .collect();
    let mut says = vec![match likely.len() {
        0 => "none, as far as the record tells".to_string(),
        many => count(many, "propeller"),
    }];
    if overview.counts.below_minimum > 0 {
        says.push(format!("{} below a minimum already", overview.counts.below_minimum));
    }
    if overview.counts.reject_chance_not_known > 0 {
        says.push(format!("of {} it is not known", overview.counts.reject_chance_not_known));
    }
    Line {
        name: "The next overhaul will probably reject",
        says: joined(&says),
        more: likely.len() - named.len(),
        named,
        section: "left",
        section_name: "how many overhauls are left",
    }
}

/// What the year will cost, and what an hour must set aside.
fn money(scene: &Scene<'_, '_, '_>) -> Line {
    let planning = scene.answers.planning(scene.shown);
    let plan = &planning.plan;
    let currency = scene.answers.settings.fleet.currency.as_deref();
    let unit = currency.map_or_else(String::new, |c| format!("\u{a0}{c}"));
    let mut says = Vec::new();
    let mut whole = plan.budget.iter().filter(|r| r.model.is_none() && r.strength.is_none());
    match whole.next() {
        None => says.push("no overhaul to plan on record".to_string()),
        Some(year) => says.push(match &year.cost {
            Some(cost) => format!(
                "the rest of {} will cost about {}{unit}, in eight of ten cases {} to {}",
                year.year,
                thousands(cost.expected),
                thousands(cost.p10),
                thousands(cost.p90),
            ),
            None => format!(
                "no prices on record, so no sums; expected in the rest of {}: {:.1} sent in, of which {:.1} rejected and replaced",
                year.year, year.overhauls, year.replacements
            ),
        }),
    }
    if let (Some(per_hour), Some(needed)) = (plan.reserve.long_run_per_hour, plan.reserve.needed_today) {
        says.push(format!(
            "an hour of flying needs {per_hour:.2}{unit}; a fund that starts today needs {}{unit} in it (needed, not a balance)",
            thousands(needed)
        ));
    }
    Line { name: "Money", says: joined(&says), named: Vec::new(), more: 0, section: "money", section_name: "money" }
}

/// What all of this rests on.
fn records(scene: &Scene<'_, '_, '_>) -> Line {
    let ledger = &scene.answers.fleet.ledger;
    let used = |table: Table| ledger.counts(table).map_or(0, |c| c.used as usize);
    Line {
        name: "Based on",
        says: joined(&[
            count(used(Table::Overhauls), "shop visit"),
            count(used(Table::Measurements), "row") + " of measurements",
            count(used(Table::Defects), "damage report"),
            count(ledger.total_set_aside(), "row") + " set aside",
        ]),
        named: Vec::new(),
        more: 0,
        section: "trust",
        section_name: "how far to trust this",
    }
}
