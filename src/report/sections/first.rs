//! What comes first: the ranking, list by list, with what its score is made of and how firm its place by the score is.

use askama::Template;

use crate::analysis::ranking::Ranked;
use crate::analysis::ranking::ground::Ground;
use crate::analysis::ranking::seen::Seen;
use crate::analysis::standing::List;
use crate::report::chart::stacked_bar::{StackedBar, Strip};
use crate::report::chart::{Caption, Scale, Svg};
use crate::report::scene::{Scene, Who};
use crate::report::words::quoted;

/// The section.
#[derive(Template)]
#[template(path = "first.html", config = "src/report/askama.toml")]
pub struct First {
    lists: Vec<Listed>,
    parts: Vec<Part>,
    time_unknown: bool,
    left_out: usize,
}

/// What the score is made of.
struct Part {
    name: &'static str,
    weight: String,
    key: Svg,
}

/// One list.
struct Listed {
    id: &'static str,
    name: &'static str,
    all: usize,
    rows: Vec<Row>,
}

struct Row {
    who: Who,
    rank: u32,
    tier: u8,
    tier_words: &'static str,
    reason: String,
    next_step: String,
    seen: Option<String>,
    score: String,
    /// The score with all its digits, to sort by.
    score_key: String,
    bar: Svg,
    place: String,
    time_unknown: bool,
}

impl First {
    /// From the results.
    pub fn of(scene: &Scene<'_, '_, '_>) -> First {
        use crate::report::chart::marks::Key;
        let weights = scene.answers.settings.ranking.weights();
        let names = [("time since overhaul", Key::Solid), ("air", Key::Hatched), ("damage found", Key::Dotted)];
        let lists: Vec<Listed> =
            [(List::Flying, "flying", "Flying"), (List::AtShop, "at-shop", "At shop"), (List::Spare, "spare", "Spare")]
                .into_iter()
                .filter_map(|(list, id, name)| Listed::of(scene, list, id, name))
                .collect();
        First {
            time_unknown: lists.iter().flat_map(|l| &l.rows).any(|r| r.time_unknown),
            lists,
            parts: names
                .into_iter()
                .zip(weights)
                .map(|((name, key), weight)| Part { name, weight: format!("{:.0}", weight * 100.0), key: key.draw() })
                .collect(),
            left_out: scene.left_out(),
        }
    }
}

impl Listed {
    fn of(scene: &Scene<'_, '_, '_>, list: List, id: &'static str, name: &'static str) -> Option<Listed> {
        let all = scene.ranked.iter().filter(|r| r.list == list).count();
        let places = scene.answers.ranking().iter().filter(|r| r.list == list);
        let places = places.count() as f64;
        let rows: Vec<Row> =
            scene.urgent.iter().filter(|r| r.list == list).map(|ranked| Row::of(scene, ranked, places)).collect();
        (all > 0).then_some(Listed { id, name, all, rows })
    }
}

impl Row {
    fn of(scene: &Scene<'_, '_, '_>, ranked: &Ranked, places: f64) -> Row {
        let points = points(scene, ranked);
        let place = match ranked.score_rank_range {
            Some(range) if range.low != range.high => {
                format!("{} ({} to {})", ranked.score_rank, range.low, range.high)
            }
            _ => ranked.score_rank.to_string(),
        };
        let title = format!(
            "Score {:.0} of 100: time since overhaul {:.0}, air {:.0}, damage found {:.0}. Place by score {place}",
            ranked.score.score, points[0], points[1], points[2]
        );
        let strip = ranked.score_rank_range.and_then(|range| {
            Some(Strip {
                scale: Scale::new(1.0, places.max(2.0)).ok()?,
                low: f64::from(range.low),
                at: f64::from(ranked.score_rank),
                high: f64::from(range.high),
            })
        });
        let id = format!("score-{}", ranked.propeller);
        let bar = StackedBar { caption: Caption::new(&id, &title), parts: points, strip, axis: "" };
        Row {
            who: scene.who(ranked),
            rank: ranked.rank,
            tier: ranked.tier,
            tier_words: Ground::tier_words(ranked.tier),
            reason: ranked.reason(),
            next_step: quoted(ranked.next_step()),
            seen: ranked.seen.as_ref().map(Seen::words),
            score: format!("{:.0}", ranked.score.score),
            score_key: format!("{:.4}", ranked.score.score),
            bar: Svg::or_words(bar.draw()),
            place,
            time_unknown: ranked.score.time_unknown,
        }
    }
}

/// What each part adds to the score. A part that is not worked out adds nothing, and the others count for more.
pub(super) fn points(scene: &Scene<'_, '_, '_>, ranked: &Ranked) -> [f64; 3] {
    let score = &ranked.score;
    let parts = [Some(score.time_part), score.climate_part, score.defect_part];
    let weights = scene.answers.settings.ranking.weights();
    let whole: f64 = parts.iter().zip(weights).filter_map(|(part, weight)| part.map(|_| weight)).sum();
    if whole <= 0.0 {
        return [score.score, 0.0, 0.0];
    }
    let mut points = [0.0; 3];
    for ((point, part), weight) in points.iter_mut().zip(parts).zip(weights) {
        *point = 100.0 * weight * part.unwrap_or(0.0) / whole;
    }
    points
}
