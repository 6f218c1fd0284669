//! A measure against the date, one line for each thing measured, and the minimum it must not fall below.

use super::days::DayScale;
use super::dot_whisker::finite;
use super::plot::{Frame, line_class};
use super::scale::{Numbers, Scale};
use super::svg::{Caption, NotDrawn, Path, Svg};
use crate::trade::calendar::Day;

/// Height of the plot in pixels.
const HEIGHT: f64 = 170.0;

/// Ticks across and up.
const TICKS: usize = 5;

/// A reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// When.
    pub day: Day,
    /// The measure.
    pub value: f64,
    /// As new, not measured: drawn hollow.
    pub as_new: bool,
}

/// A line of readings in the order of their days.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line<'a> {
    /// Its name, written at its end.
    pub name: &'a str,
    /// The readings.
    pub points: &'a [Point],
}

/// The chart.
#[derive(Debug, Clone, PartialEq)]
pub struct Lines<'a> {
    /// What is drawn.
    pub caption: Caption<'a>,
    /// What is measured, with its unit.
    pub name: &'a str,
    /// The lines.
    pub lines: &'a [Line<'a>],
    /// The minimum and its words.
    pub minimum: Option<(f64, &'a str)>,
}

impl Lines<'_> {
    /// The chart.
    ///
    /// # Errors
    /// [`NotDrawn::TooFew`] without a reading; [`NotDrawn::NotFinite`] for a value that is no number.
    pub fn draw(&self) -> Result<Svg, NotDrawn> {
        let points = || self.lines.iter().flat_map(|l| l.points);
        let x = DayScale::around(points().map(|p| p.day)).ok_or(NotDrawn::TooFew)?;
        // Some room below the minimum, so that its line is not the frame's.
        let top = points().map(|p| p.value).fold(f64::NEG_INFINITY, f64::max);
        let minimum = self.minimum.map(|(value, _)| value - (top - value).abs() * 0.1);
        let y = Scale::around(points().map(|p| p.value).chain(minimum))?;
        let frame = Frame {
            caption: self.caption,
            height: HEIGHT,
            across: x.tick_marks(TICKS),
            up: y.tick_marks(TICKS, Numbers::Plain),
            up_name: self.name,
            across_name: "",
            named_lines: true,
        };
        let mut w = frame.open();
        frame.stretch(&mut w);
        for (n, line) in self.lines.iter().enumerate() {
            let mut path = Path::new();
            for (at, point) in line.points.iter().enumerate() {
                let (px, py) = (x.percent(point.day) * 10.0, 1000.0 - y.percent(finite(point.value)?) * 10.0);
                if at == 0 {
                    path.move_to(px, py);
                } else {
                    path.line_to(px, py);
                }
            }
            if line.points.len() > 1 {
                w.tag("path").set("class", &format!("line {}", line_class(n))).path(&path).end();
            }
        }
        w.close();
        for (n, line) in self.lines.iter().enumerate() {
            for point in line.points {
                let hollow = if point.as_new { " hollow" } else { "" };
                w.tag("circle")
                    .set("class", &format!("point {}{hollow}", line_class(n)))
                    .percent("cx", x.percent(point.day))
                    .px("cy", frame.up(y.percent(point.value)))
                    .px("r", 3.0)
                    .end();
            }
        }
        let mut ends: Vec<(&str, &str, f64, f64)> = self
            .lines
            .iter()
            .enumerate()
            .filter_map(|(n, line)| {
                let last = line.points.last()?;
                Some((line.name, line_class(n), x.percent(last.day), y.percent(last.value)))
            })
            .collect();
        if let Some((value, words)) = self.minimum {
            let at = frame.up(y.percent(value));
            w.tag("line").set("class", "minimum").set("x2", "100%").px("y1", at).px("y2", at).end();
            ends.push((words, "minimum", 100.0, y.percent(value)));
        }
        frame.name_ends(&mut w, &ends);
        w.finish()
    }
}
