//! Counts that rise in steps, several groups on one chart, with limits.

use super::dot_whisker::finite;
use super::plot::{Frame, line_class};
use super::scale::{Numbers, Scale};
use super::svg::{Caption, NotDrawn, Path, Svg, Writer};

/// Height of the plot in pixels.
const HEIGHT: f64 = 240.0;

/// A step: at `x` the curve goes to `y`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// Where.
    pub x: f64,
    /// The value from here to the next step.
    pub y: f64,
    /// Its limits, low and high, where they are known.
    pub limits: Option<(f64, f64)>,
}

/// A group: a curve that starts at `from` with 0 and is followed to `until`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Group<'a> {
    /// Its name, written at its end.
    pub name: &'a str,
    /// Where it starts.
    pub from: f64,
    /// The steps, rising in `x`.
    pub steps: &'a [Step],
    /// How far it was followed.
    pub until: f64,
}

/// The chart.
#[derive(Debug, Clone, PartialEq)]
pub struct StepCurve<'a> {
    /// What is drawn.
    pub caption: Caption<'a>,
    /// What is counted up, with its unit.
    pub up_name: &'a str,
    /// What runs across, with its unit.
    pub across_name: &'a str,
    /// The groups; six kinds of dashes tell them apart, names at their ends too.
    pub groups: &'a [Group<'a>],
}

impl StepCurve<'_> {
    /// The chart.
    ///
    /// # Errors
    /// [`NotDrawn::TooFew`] without a step in any group; [`NotDrawn::NotFinite`] for a value that is no number.
    pub fn draw(&self) -> Result<Svg, NotDrawn> {
        let steps = || self.groups.iter().flat_map(|g| g.steps);
        if steps().next().is_none() {
            return Err(NotDrawn::TooFew);
        }
        let across = self.groups.iter().flat_map(|g| [g.from, g.until].into_iter().chain(g.steps.iter().map(|s| s.x)));
        let mut ends = (f64::INFINITY, f64::NEG_INFINITY);
        for x in across {
            let x = finite(x)?;
            ends = (ends.0.min(x), ends.1.max(x));
        }
        let x = Scale::new(ends.0, ends.1)?;
        // Limits may be far higher than the curves; they are cut at three times the highest curve rather than flatten all of them.
        let curve_top = steps().map(|s| s.y).fold(0.0, f64::max);
        let limits_top = steps().filter_map(|s| s.limits).map(|(_, high)| high).fold(0.0, f64::max);
        let y = Scale::up_to(0.0, [finite(curve_top)?, limits_top.min(3.0 * curve_top)])?;
        let frame = Frame {
            caption: self.caption,
            height: HEIGHT,
            across: x.tick_marks(6, Numbers::Short),
            up: y.tick_marks(6, Numbers::Plain),
            up_name: self.up_name,
            across_name: self.across_name,
            named_lines: true,
        };
        let mut w = frame.open();
        frame.stretch(&mut w);
        for (n, group) in self.groups.iter().enumerate() {
            limits(&mut w, group, n, x, y)?;
        }
        for (n, group) in self.groups.iter().enumerate() {
            let mut path = Path::new();
            path.through(corners(group, x, y, |s| Some(s.y))?);
            w.tag("path").set("class", &format!("line {}", line_class(n))).path(&path).end();
        }
        w.close();
        let named: Vec<(&str, &str, f64, f64)> = self
            .groups
            .iter()
            .enumerate()
            .map(|(n, g)| {
                let last = g.steps.last().map_or(0.0, |s| s.y);
                (g.name, line_class(n), x.percent(g.until), y.percent(last))
            })
            .collect();
        frame.name_ends(&mut w, &named);
        w.finish()
    }
}

/// The corners of a curve in units of the stretched drawing.
fn corners(
    group: &Group<'_>,
    x: Scale,
    y: Scale,
    value: impl Fn(&Step) -> Option<f64>,
) -> Result<Vec<(f64, f64)>, NotDrawn> {
    let across = |v: f64| x.percent(v) * 10.0;
    let up = |v: f64| 1000.0 - y.percent(v) * 10.0;
    let mut last = up(0.0);
    let mut corners = vec![(across(group.from), last)];
    for step in group.steps {
        let at = across(finite(step.x)?);
        let Some(v) = value(step) else { continue };
        corners.push((at, last));
        last = up(finite(v)?);
        corners.push((at, last));
    }
    corners.push((across(group.until), last));
    Ok(corners)
}

fn limits(w: &mut Writer, group: &Group<'_>, n: usize, x: Scale, y: Scale) -> Result<(), NotDrawn> {
    if group.steps.iter().all(|s| s.limits.is_none()) {
        return Ok(());
    }
    let mut area = corners(group, x, y, |s| s.limits.map(|(_, high)| high))?;
    let mut below = corners(group, x, y, |s| s.limits.map(|(low, _)| low))?;
    below.reverse();
    area.extend(below);
    let mut path = Path::new();
    path.through(area);
    path.close();
    w.tag("path").set("class", &format!("limits {}", line_class(n))).path(&path).end();
    Ok(())
}
