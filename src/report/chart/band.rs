//! A sum or a count for each of a few years: range, middle and expected value.

use super::axis::Tick;
use super::plot::Frame;
use super::scale::{Numbers, Scale};
use super::svg::{Caption, NotDrawn, Svg};

/// Height of the plot in pixels.
const HEIGHT: f64 = 200.0;

/// One year (or any other step across).
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// The words under it.
    pub label: String,
    /// The low end of the range (10 %).
    pub low: f64,
    /// The middle value (50 %).
    pub middle: f64,
    /// The high end of the range (90 %).
    pub high: f64,
    /// The expected value, as a dot.
    pub expected: Option<f64>,
}

/// A band of ranges, step by step: the values belong to whole years, so nothing is drawn between them.
#[derive(Debug, Clone, PartialEq)]
pub struct Band<'a> {
    /// What is drawn.
    pub caption: Caption<'a>,
    /// What is counted, with its unit.
    pub name: &'a str,
    /// How the numbers at the side are written.
    pub numbers: Numbers,
    /// From left to right.
    pub steps: &'a [Step],
}

impl Band<'_> {
    /// The chart.
    ///
    /// # Errors
    /// [`NotDrawn::TooFew`] without steps; [`NotDrawn::NotFinite`] for a value that is no number.
    pub fn draw(&self) -> Result<Svg, NotDrawn> {
        if self.steps.is_empty() {
            return Err(NotDrawn::TooFew);
        }
        let values = self.steps.iter().flat_map(|s| [s.low, s.middle, s.high, s.expected.unwrap_or(s.middle)]);
        let lowest = values.clone().fold(0.0, f64::min);
        let scale = Scale::up_to(lowest, values)?;
        let width = 100.0 / self.steps.len() as f64;
        // More years than have room for their words are named every second, third ... one.
        let every = self.steps.len().div_ceil(10);
        let frame = Frame {
            caption: self.caption,
            height: HEIGHT,
            across: self
                .steps
                .iter()
                .enumerate()
                .step_by(every)
                .map(|(n, s)| Tick::new(width * (n as f64 + 0.5), s.label.clone()))
                .collect(),
            up: scale.tick_marks(6, self.numbers),
            up_name: self.name,
            across_name: "",
            named_lines: false,
        };
        let mut w = frame.open();
        for (n, step) in self.steps.iter().enumerate() {
            let from = width * n as f64;
            let up = |value: f64| frame.up(scale.percent(value));
            let (top, bottom) = (up(step.high.max(step.low)), up(step.low.min(step.high)));
            w.tag("rect")
                .set("class", "band")
                .percent("x", from + width * 0.08)
                .px("y", top)
                .percent("width", width * 0.84)
                // A range of a single value is still seen.
                .px("height", (bottom - top).max(1.0))
                .end();
            w.tag("line")
                .set("class", "middle")
                .percent("x1", from + width * 0.08)
                .percent("x2", from + width * 0.92)
                .px("y1", up(step.middle))
                .px("y2", up(step.middle))
                .end();
            if let Some(expected) = step.expected {
                w.tag("circle")
                    .set("class", "dot ringed")
                    .percent("cx", from + width * 0.5)
                    .px("cy", up(expected))
                    .px("r", 4.5)
                    .end();
            }
        }
        w.finish()
    }
}
