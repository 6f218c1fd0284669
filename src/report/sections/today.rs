//! Today: what needs a hand now, and how many propellers there are.

use askama::Template;

use crate::analysis::ranking::ground::Ground;
use crate::analysis::standing::List;
use crate::records::schema::Table;
use crate::report::scene::{Scene, Who};

/// Propellers named in full before the rest is left to the ranking.
const NAMED: usize = 12;
/// The last tier that needs a hand now.
const LAST_TIER_NOW: u8 = 4;

/// The section.
#[derive(Template)]
#[template(path = "today.html", config = "src/report/askama.toml")]
pub struct Today {
    as_of: String,
    counts: Vec<Count>,
    tiers: Vec<Tier>,
    absences: Vec<String>,
    now: Vec<Task>,
    more: usize,
}

struct Count {
    number: usize,
    what: &'static str,
}

struct Tier {
    tier: u8,
    words: &'static str,
    propellers: usize,
}

struct Task {
    who: Who,
    reason: String,
    next_step: String,
}

impl Today {
    /// From the results.
    pub fn of(scene: &Scene<'_, '_, '_>) -> Today {
        let fleet = scene.answers.fleet;
        let on = |list: List| scene.ranked.iter().filter(|r| r.list == list).count();
        let used = |table: Table| fleet.ledger.counts(table).map_or(0, |c| c.used as usize);
        let in_tier = |tier: u8| scene.ranked.iter().filter(|r| r.tier == tier).count();
        let now = scene.urgent.iter().filter(|r| r.tier <= LAST_TIER_NOW);
        let all: usize = (1..=LAST_TIER_NOW).map(in_tier).sum();
        let now: Vec<Task> = now
            .take(NAMED)
            .map(|row| Task {
                who: scene.who(row),
                reason: row.reason(),
                next_step: row.next_step().to_string(),
            })
            .collect();
        Today {
            as_of: fleet.as_of.to_string(),
            counts: vec![
                Count {
                    number: on(List::Flying),
                    what: "flying",
                },
                Count {
                    number: on(List::AtShop),
                    what: "at shop",
                },
                Count {
                    number: on(List::Spare),
                    what: "spare",
                },
                Count {
                    number: used(Table::Overhauls),
                    what: "shop visits read",
                },
                Count {
                    number: used(Table::Measurements),
                    what: "measurements read",
                },
                Count {
                    number: fleet.ledger.total_set_aside(),
                    what: "rows set aside",
                },
            ],
            tiers: (1..=6)
                .map(|tier| Tier {
                    tier,
                    words: Ground::tier_words(tier),
                    propellers: in_tier(tier),
                })
                .collect(),
            absences: fleet.absences().iter().map(ToString::to_string).collect(),
            more: all - now.len(),
            now,
        }
    }
}
