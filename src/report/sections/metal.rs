//! Metal left: what is left above the minimum, one line a propeller, one cell a station.
//!
//! A cell shows the worse of width and thickness on the worst blade, by what is left of what a new blade has above the minimum. At
//! the station that decides the next overhaul it shows the blade and dimension that decide.

use askama::Template;

use crate::analysis::margins::{Basis, Margin, model_now};
use crate::analysis::remaining::Remaining;
use crate::records::models::Station;
use crate::report::scene::{Scene, Who};
use crate::report::words::{chance, inches, thousandths};
use crate::trade::geometry::Dimension;

/// Lower ends of the shades, in fractions of what a new blade has above the minimum; the last shade is for less.
const SHADES: [f64; 6] = [0.85, 0.70, 0.55, 0.40, 0.25, 0.10];

/// The section.
#[derive(Template)]
#[template(path = "metal.html", config = "src/report/askama.toml")]
pub struct Metal {
    shades: Vec<Shade>,
    grids: Vec<Grid>,
    without: Vec<Without>,
    left_out: usize,
}

struct Shade {
    class: &'static str,
    words: String,
}

/// Propellers whose models have the same stations.
struct Grid {
    models: Vec<String>,
    stations: Vec<String>,
    lines: Vec<Line>,
}

struct Line {
    who: Who,
    cells: Vec<Cell>,
    decides: String,
    /// The chance of rejection, to sort by.
    rejection: String,
    numbers: [Vec<String>; 2],
}

/// One station of a propeller.
struct Cell {
    class: &'static str,
    number: String,
    letter: &'static str,
    expected: bool,
    partly: bool,
    decides: bool,
    /// The fraction, to sort by.
    key: String,
}

/// A propeller of which no margin can be worked out, and why.
struct Without {
    who: Who,
    why: &'static str,
}

impl Metal {
    /// From the results.
    pub fn of(scene: &Scene<'_, '_, '_>) -> Metal {
        let answers = scene.answers;
        let fleet = answers.fleet;
        let mut grids: Vec<Grid> = Vec::new();
        let mut without = Vec::new();
        for row in &scene.urgent {
            let who = scene.who(row);
            let model = model_now(fleet, row.propeller).map(|m| fleet.models.get(m));
            let margins = answers.margins().of(row.propeller);
            let Some(model) = model.filter(|_| !margins.is_empty()) else {
                without.push(Without {
                    why: match model {
                        None => "its model is not on record",
                        Some(_) => "no limits are on record for its model",
                    },
                    who,
                });
                continue;
            };
            let remaining = answers.remaining();
            let at = remaining.binary_search_by_key(&row.propeller, |r| r.propeller);
            let remaining = at.ok().and_then(|at| remaining.get(at));
            let (stations, line) = line(who, &margins, &model.stations, remaining);
            match grids.iter_mut().find(|g| g.stations == stations) {
                Some(grid) => grid.take(line, &model.name),
                None => {
                    let mut grid = Grid { models: Vec::new(), stations, lines: Vec::new() };
                    grid.take(line, &model.name);
                    grids.push(grid);
                }
            }
        }
        Metal { shades: shades(), grids, without, left_out: scene.left_out() }
    }
}

impl Grid {
    fn take(&mut self, line: Line, model: &str) {
        if !self.models.iter().any(|known| known == model) {
            self.models.push(model.to_string());
        }
        self.lines.push(line);
    }

    /// Whether the cells fit a narrow page without a region of their own to scroll in.
    fn is_wide(&self) -> bool {
        self.stations.len() > 7
    }
}

fn shades() -> Vec<Shade> {
    let percent = |fraction: f64| format!("{:.0}\u{a0}%", fraction * 100.0);
    let mut shades = vec![Shade { class: CLASSES[0], words: format!("{} and more", percent(SHADES[0])) }];
    for (n, pair) in SHADES.windows(2).enumerate() {
        shades.push(Shade { class: CLASSES[n + 1], words: format!("{:.0} to {}", pair[1] * 100.0, percent(pair[0])) });
    }
    shades.push(Shade { class: CLASSES[SHADES.len()], words: format!("under {}", percent(SHADES[SHADES.len() - 1])) });
    shades
}

/// The classes of the shades, the lightest first.
const CLASSES: [&str; 7] = ["m0", "m1", "m2", "m3", "m4", "m5", "m6"];

fn shade(margin: &Margin) -> &'static str {
    match margin.margin_fraction {
        _ if margin.margin_in.is_some_and(|left| left < 0.0) => "below",
        None => "unknown",
        Some(fraction) => {
            let at = SHADES.iter().position(|&low| fraction >= low);
            CLASSES[at.unwrap_or(SHADES.len())]
        }
    }
}

fn letter(dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Width => "W",
        Dimension::Thickness => "T",
    }
}

/// What a station is called.
fn station_name(station: Option<&Station>) -> String {
    match station.map(|s| (s.pct, s.station_in)) {
        Some((Some(pct), _)) => format!("{pct:.0}\u{a0}%"),
        Some((None, Some(inches))) => format!("{inches:.1}\u{a0}in"),
        _ => "not known".to_string(),
    }
}

/// The line of a propeller, and the names of the stations it has.
fn line(who: Who, margins: &[Margin], stations: &[Station], remaining: Option<&Remaining>) -> (Vec<String>, Line) {
    let mut numbers: Vec<u8> = margins.iter().map(|m| m.station).collect();
    numbers.sort_unstable();
    numbers.dedup();
    let name = |station: u8| station_name(stations.get(usize::from(station)));
    let limiting = remaining.and_then(|r| r.limiting);
    let decides = match (limiting, remaining) {
        (Some(point), Some(remaining)) => {
            let mut words = format!(
                "{} at {}, blade {}: {} in {}",
                point.margin.dimension.word(),
                name(point.margin.station),
                point.margin.blade,
                inches(point.margin_in.abs()),
                if point.margin_in < 0.0 { "below minimum" } else { "left" },
            );
            if let Some(loss) = point.expected_loss_in {
                words += &format!(", {} in expected to go", inches(loss));
            }
            if let Some(p) = remaining.reject_chance_next() {
                words += &format!("; chance of rejection {}", chance(p));
            }
            words
        }
        _ => "not known".to_string(),
    };
    let line = Line {
        who,
        cells: numbers.iter().map(|&station| cell(margins, station, limiting.map(|l| l.margin))).collect(),
        decides,
        rejection: remaining.and_then(Remaining::reject_chance_next).map_or_else(String::new, |p| format!("{p:.4}")),
        numbers: Dimension::ALL.map(|dimension| {
            let of = |station: &u8| worst_words(margins, *station, dimension);
            numbers.iter().map(of).collect()
        }),
    };
    (numbers.iter().map(|&n| name(n)).collect(), line)
}

/// The order of margins from the worst: what has no fraction has nothing that says how good it is.
fn fraction_of(margin: &Margin) -> f64 {
    margin.margin_fraction.unwrap_or(f64::NEG_INFINITY)
}

fn worst<'m>(margins: impl Iterator<Item = &'m Margin>) -> Option<&'m Margin> {
    margins.filter(|m| m.margin_in.is_some()).min_by(|a, b| fraction_of(a).total_cmp(&fraction_of(b)))
}

fn cell(margins: &[Margin], station: u8, limiting: Option<Margin>) -> Cell {
    let here = || margins.iter().filter(move |m| m.station == station);
    let limiting = limiting.filter(|l| l.station == station);
    let Some(margin) = limiting.as_ref().or_else(|| worst(here())) else {
        return Cell {
            class: "unknown",
            number: "?".to_string(),
            letter: "",
            expected: false,
            partly: false,
            decides: false,
            key: String::new(),
        };
    };
    Cell {
        class: shade(margin),
        number: margin.margin_in.map_or_else(String::new, thousandths),
        letter: letter(margin.dimension),
        expected: margin.basis != Basis::Measured,
        partly: here().any(|m| m.margin_in.is_none()),
        decides: limiting.is_some(),
        key: margin.margin_fraction.map_or_else(String::new, |f| format!("{f:.4}")),
    }
}

/// The worst blade of one dimension at a station, in words for the table behind the grid.
fn worst_words(margins: &[Margin], station: u8, dimension: Dimension) -> String {
    let here = || margins.iter().filter(move |m| m.station == station && m.dimension == dimension);
    match worst(here()) {
        Some(margin) => format!(
            "{}{} ({})",
            if margin.basis == Basis::Measured { "" } else { "~" },
            margin.margin_in.map_or_else(String::new, inches),
            margin.blade
        ),
        None if here().next().is_none() => "no limit".to_string(),
        None => "not known".to_string(),
    }
}
