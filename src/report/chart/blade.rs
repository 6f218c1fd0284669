//! Blades drawn to scale, with their stations and numbered findings.
//!
//! The outline is the width along the radius about a straight middle line; pitch, sweep and thickness are not drawn. It keeps its
//! shape at every width of the page: it always spans the drawing from side to side, so that places across are percentages for it
//! and for the words alike, and the style sheet holds the drawing to [`WIDEST`] pixels, for which its height is made.

use std::fmt::Write as _;

use super::dot_whisker::finite;
use super::end_labels::spread;
use super::svg::{Caption, NotDrawn, Path, Svg, Writer};

/// Width in pixels at which the style sheet stops the drawing (`max-width` of `.chart.blade`).
pub const WIDEST: f64 = 720.0;
/// Percent of the width that a word of a station takes on a page of middling width (42 of some 470 pixels).
const WORD_PERCENT: f64 = 9.0;
/// Percent of the width that it takes on the narrowest page (42 of some 290 pixels).
const NARROW_PERCENT: f64 = 14.5;
/// Percent of the width that a finding's number takes on the narrowest page (17 of some 290 pixels).
const NUMBER_PERCENT: f64 = 6.0;
/// Units of the outline's own drawing along the radius.
const UNITS: f64 = 1000.0;
/// Height of the strip of findings above or below a blade, in pixels.
const FINDINGS: f64 = 26.0;
/// Height of the words of the stations, in pixels.
const WORDS: f64 = 28.0;
/// Space above and below a blade, in pixels.
const SPACE: f64 = 5.0;

/// A station and the widths there, in inches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// Distance from the middle of the hub, in inches.
    pub radius: f64,
    /// Width as new.
    pub new: Option<f64>,
    /// Width now.
    pub now: Option<f64>,
    /// Least width allowed.
    pub minimum: Option<f64>,
}

/// Where on the blade a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Leading edge, drawn at the top.
    Leading,
    /// Trailing edge, drawn at the bottom.
    Trailing,
    /// Face or camber side, drawn inside.
    Inside,
}

/// A finding, known by its number in a list beside the drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Finding {
    /// Its number.
    pub number: usize,
    /// Distance from the middle of the hub, in inches.
    pub radius: f64,
    /// Where.
    pub side: Side,
    /// Still to be dealt with: drawn in the accent.
    pub open: bool,
}

/// A blade.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blade<'a> {
    /// Its name, such as `Blade 1`.
    pub name: &'a str,
    /// Stations in any order.
    pub stations: &'a [Station],
    /// Findings in any order.
    pub findings: &'a [Finding],
}

/// One to a few blades of one propeller, one below the other on the same scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blades<'a> {
    /// What is drawn.
    pub caption: Caption<'a>,
    /// Half the diameter, in inches: where the tips are.
    pub tip: f64,
    /// The blades.
    pub blades: &'a [Blade<'a>],
}

impl Blades<'_> {
    /// The drawing.
    ///
    /// # Errors
    /// [`NotDrawn::TooFew`] unless some blade has widths at two stations inside the tip; [`NotDrawn::NotFinite`] for a value that is
    /// no number or not above 0.
    pub fn draw(&self) -> Result<Svg, NotDrawn> {
        let tip = length(self.tip)?;
        let mut widest: f64 = 0.0;
        let mut drawable = false;
        for blade in self.blades {
            for station in blade.stations {
                length(station.radius)?;
                for width in [station.new, station.now, station.minimum].into_iter().flatten() {
                    widest = widest.max(length(width)?);
                }
            }
            for finding in blade.findings {
                finite(finding.radius)?;
            }
            drawable |= [outline_of(blade, tip, |s| s.now), outline_of(blade, tip, |s| s.new)]
                .iter()
                .any(|points| points.len() > 1);
        }
        if !drawable {
            return Err(NotDrawn::TooFew);
        }
        let body = WIDEST * widest / tip;
        let heights: Vec<f64> = self.blades.iter().map(|b| Layout::of(b, body).height()).collect();
        let mut w = Writer::drawing("chart blade", heights.iter().sum::<f64>() + WORDS, &self.caption);
        let mut top = 0.0;
        for (blade, height) in self.blades.iter().zip(&heights) {
            let layout = Layout::of(blade, body);
            w.tag("svg").set("class", "over").px("y", top).set("width", "100%").px("height", *height).open();
            layout.draw(&mut w, blade, tip, widest);
            w.close();
            top += height;
        }
        self.stations(&mut w, tip, top);
        w.finish()
    }

    /// Ticks and words of all stations below the last blade.
    fn stations(&self, w: &mut Writer, tip: f64, top: f64) {
        let mut radii: Vec<f64> =
            self.blades.iter().flat_map(|b| b.stations).map(|s| s.radius).filter(|radius| *radius <= tip).collect();
        radii.sort_by(f64::total_cmp);
        radii.dedup();
        let mut said = f64::NEG_INFINITY;
        let mut said_narrow = f64::NEG_INFINITY;
        for radius in radii {
            let at = radius / tip * 100.0;
            w.tag("line")
                .set("class", "tick")
                .percent("x1", at)
                .percent("x2", at)
                .px("y1", top)
                .px("y2", top + 4.0)
                .end();
            // A station too near its neighbour keeps its tick; its words are in the table.
            if at - said < WORD_PERCENT {
                continue;
            }
            said = at;
            // On a narrow page the style sheet leaves out those that would touch.
            let sparse = at - said_narrow < NARROW_PERCENT;
            if !sparse {
                said_narrow = at;
            }
            // Words stand in the middle of their tick (the style sheet), but at the tip they stay inside.
            let class = match (at > 100.0 - WORD_PERCENT / 2.0, sparse) {
                (true, _) => "word last",
                (false, true) => "word sparse",
                (false, false) => "word",
            };
            w.tag("text").set("class", class).percent("x", at).px("y", top + 14.0).open();
            w.say(&format!("{} in", inches(radius)));
            w.tag("tspan").percent("x", at).px("dy", 12.0).text(&format!("{at:.0}\u{a0}%"));
            w.close();
        }
    }
}

/// Where the pieces of one blade's drawing lie, from its top, in pixels.
struct Layout {
    body_top: f64,
    body: f64,
    below: f64,
}

impl Layout {
    fn of(blade: &Blade<'_>, body: f64) -> Layout {
        let has = |side: Side| blade.findings.iter().any(|f| f.side == side);
        Layout {
            // The name stands in the strip above, left of the blade's own root.
            body_top: if has(Side::Leading) { FINDINGS } else { SPACE },
            body,
            below: if has(Side::Trailing) { FINDINGS } else { SPACE },
        }
    }

    fn height(&self) -> f64 {
        self.body_top + self.body + self.below
    }

    fn middle(&self) -> f64 {
        self.body_top + self.body / 2.0
    }

    fn draw(&self, w: &mut Writer, blade: &Blade<'_>, tip: f64, widest: f64) {
        // Leaders run to the middle line and the blade is drawn over them, so they end at its edge at every width of the page.
        let numbers: Vec<(Finding, f64)> = [Side::Leading, Side::Trailing, Side::Inside]
            .into_iter()
            .flat_map(|side| placed(blade, side, tip))
            .collect();
        for (finding, at) in &numbers {
            let (y, bend) = match finding.side {
                Side::Leading => (8.0, FINDINGS - 5.0),
                Side::Trailing => (self.height() - 8.0, self.height() - FINDINGS + 5.0),
                Side::Inside => continue,
            };
            let place = share(finding.radius, tip);
            for (x1, y1, x2, y2) in [(*at, y, place, bend), (place, bend, place, self.middle())] {
                w.tag("line")
                    .set("class", "leader")
                    .percent("x1", x1)
                    .px("y1", y1)
                    .percent("x2", x2)
                    .px("y2", y2)
                    .end();
            }
        }
        let height = widest / tip * UNITS;
        w.tag("svg")
            .set("class", "outline")
            .px("y", self.body_top)
            .set("width", "100%")
            .px("height", self.body)
            .set("viewBox", &view_box(height))
            .open();
        let scale = UNITS / tip;
        for (class, points, closed) in [
            ("new", outline_of(blade, tip, |s| s.new), true),
            ("body", outline_of(blade, tip, |s| s.now.or(s.new)), true),
            ("minimum", outline_of(blade, tip, |s| s.minimum), false),
        ] {
            if points.len() > 1 {
                w.tag("path").set("class", class).path(&outline(&points, scale, height / 2.0, closed)).end();
            }
        }
        let mut axis = Path::new();
        axis.through([(0.0, height / 2.0), (UNITS, height / 2.0)]);
        w.tag("path").set("class", "axis").path(&axis).end();
        let now = outline_of(blade, tip, |s| s.now.or(s.new));
        for finding in blade.findings {
            let half = width_at(&now, finding.radius).unwrap_or(0.0) * scale / 2.0;
            let y = match finding.side {
                Side::Leading => height / 2.0 - half,
                Side::Trailing => height / 2.0 + half,
                Side::Inside => continue,
            };
            // A line of no length with a round cap is a spot that keeps its size.
            let mut spot = Path::new();
            let x = share(finding.radius, tip) / 100.0 * UNITS;
            spot.through([(x, y), (x, y)]);
            w.tag("path").set("class", if finding.open { "spot now" } else { "spot" }).path(&spot).end();
        }
        w.close();
        for (finding, at) in numbers {
            let y = match finding.side {
                Side::Leading => 8.0,
                Side::Trailing => self.height() - 8.0,
                Side::Inside => self.middle(),
            };
            w.tag("circle")
                .set("class", if finding.open { "finding now" } else { "finding" })
                .percent("cx", at)
                .px("cy", y)
                .px("r", 8.0)
                .end();
            w.tag("text")
                .set("class", if finding.open { "number now" } else { "number" })
                .percent("x", at)
                .px("y", y + 4.0)
                .set("text-anchor", "middle")
                .text(&finding.number.to_string());
        }
        w.tag("text").set("class", "name").px("x", 0.0).px("y", self.middle() - 5.0).text(blade.name);
    }
}

/// The findings of a side with the places of their numbers, in percent of the width, moved apart.
fn placed(blade: &Blade<'_>, side: Side, tip: f64) -> Vec<(Finding, f64)> {
    let of_side: Vec<Finding> = blade.findings.iter().copied().filter(|f| f.side == side).collect();
    let wanted: Vec<f64> = of_side.iter().map(|f| share(f.radius, tip)).collect();
    let places = spread(&wanted, NUMBER_PERCENT, NUMBER_PERCENT / 2.0, 100.0 - NUMBER_PERCENT / 2.0);
    of_side.into_iter().zip(places).collect()
}

/// A radius in percent of the way to the tip, held to the blade.
fn share(radius: f64, tip: f64) -> f64 {
    (radius / tip * 100.0).clamp(0.0, 100.0)
}

/// Radius and width of the stations where this width is known, from the hub outward, inside the tip.
fn outline_of(blade: &Blade<'_>, tip: f64, width: impl Fn(&Station) -> Option<f64>) -> Vec<(f64, f64)> {
    let mut points: Vec<(f64, f64)> =
        blade.stations.iter().filter(|s| s.radius <= tip).filter_map(|s| Some((s.radius, width(s)?))).collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    points.dedup_by(|later, earlier| later.0 == earlier.0);
    points
}

/// The width between stations, along a straight line; beyond the last, as there.
fn width_at(points: &[(f64, f64)], radius: f64) -> Option<f64> {
    let after = points.iter().position(|p| p.0 >= radius);
    match after {
        Some(0) => points.first().map(|p| p.1),
        Some(n) => {
            let (a, b) = (points[n - 1], points[n]);
            Some(a.1 + (b.1 - a.1) * (radius - a.0) / (b.0 - a.0))
        }
        None => points.last().map(|p| p.1),
    }
}

/// The outline from the first station to the last; closed, it is rounded off at the tip.
fn outline(points: &[(f64, f64)], scale: f64, middle: f64, closed: bool) -> Path {
    let mut path = Path::new();
    let edge = |sign: f64| {
        points.iter().map(move |(radius, width)| (tenth(radius * scale), tenth(middle + sign * width * scale / 2.0)))
    };
    path.through(edge(-1.0));
    if closed {
        if let Some((radius, width)) = points.last() {
            let half = width * scale / 2.0;
            let (up, down, last) = (tenth(middle - half), tenth(middle + half), tenth(radius * scale));
            path.curve_to((UNITS, up), UNITS, middle);
            path.curve_to((UNITS, down), last, down);
        }
        let mut back: Vec<(f64, f64)> = edge(1.0).collect();
        back.reverse();
        for (x, y) in back {
            path.line_to(x, y);
        }
        path.close();
    } else {
        path.through(edge(1.0));
    }
    path
}

/// To a tenth of a unit, far below what can be seen.
fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

fn view_box(height: f64) -> String {
    let mut text = String::new();
    // Finite: lengths are checked first.
    let _ = write!(text, "0 0 {UNITS} {height:.1}");
    text
}

/// A length above 0.
fn length(value: f64) -> Result<f64, NotDrawn> {
    if value.is_finite() && value > 0.0 && value < 1e6 { Ok(value) } else { Err(NotDrawn::NotFinite) }
}

/// Inches as short as they are exact to the hundredth.
fn inches(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}
