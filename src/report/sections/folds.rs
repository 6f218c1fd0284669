//! One by one: a fold for each propeller, with its blades drawn to scale, what was found where, what overhauls took, the numbers
//! that decide about it, and what its file lacks.

mod blades;
mod facts;
mod found;
mod history;

use std::collections::HashMap;

use askama::Template;

use self::blades::Drawn;
use self::facts::{Fact, facts};
use self::found::Found;
use self::history::History;
use crate::analysis::cycles::Cycle;
use crate::analysis::gaps::Gap;
use crate::analysis::margins::{Margin, model_now};
use crate::analysis::ranking::Ranked;
use crate::analysis::ranking::ground::Ground;
use crate::analysis::remaining::Remaining;
use crate::records::models::{Model, Station};
use crate::records::problem::Problem;
use crate::report::scene::{Scene, Who};
use crate::report::words::{count, quoted};
use crate::trade::geometry::Dimension;

/// The section.
#[derive(Template)]
#[template(path = "folds.html", config = "src/report/askama.toml")]
pub struct Folds {
    folds: Vec<Fold>,
    left_out: usize,
}

/// All about one propeller.
struct Fold {
    who: Who,
    tier: u8,
    tier_words: &'static str,
    reason: String,
    next_step: String,
    /// More words that the filter finds it by.
    text: String,
    facts: Vec<Fact>,
    drawn: Drawn,
    found: Found,
    history: History,
    lacks: Vec<Lack>,
    doubted: Vec<String>,
}

/// A thing missing from a propeller's file.
struct Lack {
    what: String,
    why: &'static str,
    look_in: String,
}

/// What a fold is made from: one propeller's rows of the results.
struct Subject<'s, 'f, 'a> {
    scene: &'s Scene<'s, 'f, 'a>,
    row: &'s Ranked,
    model: Option<&'f Model>,
    margins: &'s [Margin],
    remaining: Option<&'s Remaining>,
}

impl<'s, 'f> Subject<'s, 'f, '_> {
    fn key(&self) -> u32 {
        self.row.propeller
    }

    fn serial(&self) -> &'f str {
        self.scene.answers.fleet.propellers.serial(self.key())
    }

    /// The station of its model with this number.
    fn station(&self, number: u8) -> Option<&'f Station> {
        self.model?.stations.get(usize::from(number))
    }

    /// Its cycles of one dimension.
    fn cycles(&self, dimension: Dimension) -> &'s [Cycle] {
        let fits = self.scene.answers.fits();
        let own = self.key()..self.key() + 1;
        fits.cycles.of_propellers(dimension, own)
    }
}

impl Folds {
    /// From the results.
    pub fn of(scene: &Scene<'_, '_, '_>) -> Folds {
        let answers = scene.answers;
        let fleet = answers.fleet;
        let mut lacks = by_propeller(answers.gaps());
        let mut doubted = doubted(scene);
        let folds = scene.urgent.iter().map(|row| {
            let margins = answers.margins().of(row.propeller);
            let remaining = answers.remaining();
            let at = remaining.binary_search_by_key(&row.propeller, |r| r.propeller);
            let subject = Subject {
                scene,
                row,
                model: model_now(fleet, row.propeller).map(|m| fleet.models.get(m)),
                margins: &margins,
                remaining: at.ok().map(|at| &remaining[at]),
            };
            Fold::of(
                &subject,
                lacks.remove(&row.propeller).unwrap_or_default(),
                doubted.remove(&row.propeller).unwrap_or_default(),
            )
        });
        Folds { folds: folds.collect(), left_out: scene.left_out() }
    }
}

impl Fold {
    fn of(subject: &Subject<'_, '_, '_>, lacks: Vec<Lack>, doubted: Vec<String>) -> Fold {
        let row = subject.row;
        let who = subject.scene.who(row);
        let found = Found::of(subject);
        Fold {
            tier: row.tier,
            tier_words: Ground::tier_words(row.tier),
            reason: row.reason(),
            next_step: quoted(row.next_step()),
            text: who.about(),
            facts: facts(subject),
            drawn: Drawn::of(subject, &found.marks),
            history: History::of(subject),
            found,
            lacks,
            doubted,
            who,
        }
    }
}

/// What each propeller's file lacks.
fn by_propeller(gaps: &[Gap]) -> HashMap<u32, Vec<Lack>> {
    let mut lacks: HashMap<u32, Vec<Lack>> = HashMap::new();
    for gap in gaps {
        lacks.entry(gap.propeller).or_default().push(Lack {
            what: quoted(&gap.what),
            why: gap.missing.why_it_matters(),
            look_in: quoted(gap.missing.where_to_find_it()),
        });
    }
    lacks
}

/// What looks wrong about rows of each propeller.
fn doubted(scene: &Scene<'_, '_, '_>) -> HashMap<u32, Vec<String>> {
    let fleet = scene.answers.fleet;
    let mut doubted: HashMap<u32, Vec<String>> = HashMap::new();
    for caution in &fleet.ledger.cautions {
        let Some(propeller) = caution.propeller else {
            continue;
        };
        let times = match caution.count {
            0 | 1 => String::new(),
            many => format!(", {} in all", count(many as usize, "row")),
        };
        let problem = Problem::of_caution(fleet, caution);
        let words = format!("{}{}{times}", quoted(&problem.rule), problem.at_in_brackets());
        doubted.entry(propeller).or_default().push(words);
    }
    doubted
}

/// What a station is called.
fn station_name(station: Option<&Station>) -> String {
    match station.map(|s| (s.pct, s.station_in)) {
        Some((Some(pct), _)) => format!("{pct:.0}\u{a0}%"),
        Some((None, Some(inches))) => format!("{inches:.2}\u{a0}in"),
        _ => "not known".to_string(),
    }
}
