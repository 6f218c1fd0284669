//! The frame of a chart with two axes: grid, ticks and words around a plot whose inside is all of the drawing's own width.

use super::axis::{Tick, words};
use super::end_labels::{cut, spread};
use super::svg::{Caption, Writer};

/// What the style sheet's padding leaves for words above a plot, in pixels.
const ABOVE: f64 = 24.0;
/// What it leaves below: for one line of words, or for two.
const BELOW: f64 = 24.0;
const BELOW_TWO: f64 = 40.0;
/// Height of a line of words in pixels.
const LINE: f64 = 14.0;
/// Characters of a line's name that have room to its right.
const NAME_CHARACTERS: usize = 16;

/// A frame.
#[derive(Debug)]
pub(crate) struct Frame<'a> {
    pub(crate) caption: Caption<'a>,
    /// Height of the plot inside, in pixels.
    pub(crate) height: f64,
    pub(crate) across: Vec<Tick>,
    pub(crate) up: Vec<Tick>,
    /// What is counted up, with its unit.
    pub(crate) up_name: &'a str,
    /// What runs across, where the ticks do not say it.
    pub(crate) across_name: &'a str,
    /// Room at the right for the names of lines.
    pub(crate) named_lines: bool,
}

impl Frame<'_> {
    /// The drawing, with the frame drawn and open for the marks.
    pub(crate) fn open(&self) -> Writer {
        let two = !self.across_name.is_empty() || self.across.iter().any(|t| !t.under.is_empty());
        let class =
            format!("chart plot{}{}", if self.named_lines { " named" } else { "" }, if two { " two" } else { "" });
        let below = if two { BELOW_TWO } else { BELOW };
        let mut w = Writer::drawing(&class, ABOVE + self.height + below, &self.caption);
        for tick in &self.up {
            let y = self.up(tick.percent);
            w.tag("line").set("class", "grid").set("x2", "100%").px("y1", y).px("y2", y).end();
            w.tag("text")
                .set("class", "word")
                .px("x", -7.0)
                .px("y", y + 4.0)
                .set("text-anchor", "end")
                .text(&tick.label);
        }
        w.tag("text").set("class", "name").px("x", -44.0).px("y", -12.0).text(self.up_name);
        for tick in &self.across {
            w.tag("line")
                .set("class", "tick")
                .percent("x1", tick.percent)
                .percent("x2", tick.percent)
                .px("y1", self.height)
                .px("y2", self.height + 4.0)
                .end();
        }
        words(&mut w, &self.across, self.height + 17.0);
        if !self.across_name.is_empty() {
            w.tag("text")
                .set("class", "name")
                .set("x", "100%")
                .px("y", self.height + 34.0)
                .set("text-anchor", "end")
                .text(self.across_name);
        }
        w.tag("line").set("class", "base").set("x2", "100%").px("y1", self.height).px("y2", self.height).end();
        w
    }

    /// Pixels from the top, from percent of the height.
    pub(crate) fn up(&self, percent: f64) -> f64 {
        self.height * (1.0 - percent / 100.0)
    }

    /// Opens an inner drawing stretched over the plot, 1000 units wide and high, for paths.
    pub(crate) fn stretch(&self, w: &mut Writer) {
        w.tag("svg")
            .set("class", "stretch")
            .set("width", "100%")
            .px("height", self.height)
            .set("viewBox", "0 0 1000 1000")
            .set("preserveAspectRatio", "none")
            .open();
    }

    /// Writes the names of lines at the right of the plot, with a leader from each end of a line. `ends` holds the name, the class
    /// of the line, and the end in percent of width and height.
    pub(crate) fn name_ends(&self, w: &mut Writer, ends: &[(&str, &str, f64, f64)]) {
        let wanted: Vec<f64> = ends.iter().map(|(.., percent)| self.up(*percent)).collect();
        let places = spread(&wanted, LINE, 0.0, self.height);
        for ((name, class, x, percent), y) in ends.iter().zip(places) {
            if *x < 99.5 {
                w.tag("line")
                    .set("class", "leader")
                    .percent("x1", *x)
                    .set("x2", "100%")
                    .px("y1", self.up(*percent))
                    .px("y2", y)
                    .end();
            }
            // The sample of the line's own stroke ties the name to it, whatever the leader crosses.
            w.tag("svg").set("x", "100%").px("y", y).set("class", "over").open();
            w.tag("line").set("class", &format!("line {class}")).px("x1", 3.0).px("x2", 19.0).end();
            w.tag("text").set("class", "word end").px("x", 23.0).px("y", 4.0).text(&cut(name, NAME_CHARACTERS));
            w.close();
        }
    }
}

/// The class of the n-th line of a chart: its dashes and its colour.
pub(crate) fn line_class(n: usize) -> &'static str {
    ["l0", "l1", "l2", "l3", "l4", "l5"][n % 6]
}
