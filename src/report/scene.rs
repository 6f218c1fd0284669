//! What every section starts from: the results, the propellers shown in order of urgency, and how each is linked.

use crate::analysis::ranking::Ranked;
use crate::analysis::standing::List;
use crate::results::answers::{Answers, Shown};

/// Most propellers that the sections with a line a propeller show.
pub const MOST_SHOWN: usize = 500;

/// The results, and who is shown.
pub struct Scene<'s, 'f, 'a> {
    /// The results.
    pub answers: &'s Answers<'f, 'a>,
    /// Which propellers the whole page is about.
    pub shown: &'s Shown,
    /// Every listed propeller shown: the flying ones first, then those at shop and spares, each in order of urgency.
    pub ranked: Vec<&'s Ranked>,
    /// The most urgent of them over all lists, by tier, then list, then rank; at most [`MOST_SHOWN`].
    pub urgent: Vec<&'s Ranked>,
    /// Keys of the urgent ones, in order: these have a fold on the page.
    folded: Vec<u32>,
}

impl<'s, 'f, 'a> Scene<'s, 'f, 'a> {
    /// Of the propellers shown.
    pub fn new(answers: &'s Answers<'f, 'a>, shown: &'s Shown) -> Self {
        let ranked: Vec<&Ranked> = answers.ranking().iter().filter(|r| shown.shows(r.propeller)).collect();
        let mut urgent = ranked.clone();
        // Across the lists the tier decides; a flying propeller goes before one on the ground.
        urgent.sort_by_key(|r| (r.tier, r.list, r.rank));
        urgent.truncate(MOST_SHOWN);
        let mut folded: Vec<u32> = urgent.iter().map(|r| r.propeller).collect();
        folded.sort_unstable();
        Scene { answers, shown, ranked, urgent, folded }
    }

    /// How many propellers are left out of the sections with a line a propeller.
    pub fn left_out(&self) -> usize {
        self.ranked.len() - self.urgent.len()
    }

    /// A propeller as a link, without anything about it.
    pub fn link(&self, propeller: u32) -> Link {
        Link {
            key: propeller,
            serial: self.answers.fleet.propellers.serial(propeller).to_string(),
            folded: self.folded.binary_search(&propeller).is_ok(),
        }
    }

    /// How a propeller is named, linked and filtered; `None` when it is on no list or not shown.
    pub fn who_is(&self, propeller: u32) -> Option<Who> {
        let row = self.ranked.iter().find(|r| r.propeller == propeller)?;
        Some(self.who(row))
    }

    /// How a ranked propeller is named, linked and filtered.
    pub fn who(&self, row: &Ranked) -> Who {
        let fleet = self.answers.fleet;
        let of = fleet.propellers.get(row.propeller);
        let model = crate::analysis::margins::model_now(fleet, row.propeller).map(|m| fleet.models.get(m).name.clone());
        Who {
            key: row.propeller,
            serial: fleet.propellers.serial(row.propeller).to_string(),
            model,
            usage: of.usage.map(|usage| usage.word()),
            base: of.base.map(|code| fleet.propellers.bases.get(code).to_string()),
            aircraft: fleet.aircraft_of(row.propeller).map(str::to_string),
            list: row.list,
            tier: row.tier,
            folded: self.folded.binary_search(&row.propeller).is_ok(),
        }
    }
}

/// A propeller in the midst of a sentence, named as [`Who`] names it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Link {
    /// Its key on the page.
    pub key: u32,
    /// Its serial, as recorded.
    pub serial: String,
    /// Whether it has a fold on the page.
    pub folded: bool,
}

/// A propeller as the page names it. A row of a table about it carries `data-p="KEY"`, by which the filter finds it; its fold is
/// `#p-KEY`. The key is its place in the records, so no name has to be made fit for an address.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Who {
    /// Its key on the page.
    pub key: u32,
    /// Its serial, as recorded.
    pub serial: String,
    /// Its model, when known.
    pub model: Option<String>,
    /// Its use, when recorded.
    pub usage: Option<&'static str>,
    /// Its base, when recorded.
    pub base: Option<String>,
    /// The aircraft it is on, when recorded.
    pub aircraft: Option<String>,
    /// Flying, at shop or spare.
    pub list: List,
    /// Its tier, 1 to 6.
    pub tier: u8,
    /// Whether it has a fold on the page, so that a link to `#p-KEY` leads somewhere.
    pub folded: bool,
}

impl Who {
    /// List (unless flying), use, aircraft and base in one line.
    pub fn about(&self) -> String {
        let mut words: Vec<&str> = Vec::new();
        if self.list != List::Flying {
            words.push(self.list.word());
        }
        words.extend(self.usage);
        words.extend(self.aircraft.as_deref());
        words.extend(self.base.as_deref());
        words.join(", ")
    }
}
