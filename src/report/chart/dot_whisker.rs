//! A value with its range, one table row each: a dot on a whisker.

use super::axis::lines_of;
use super::marks::Mark;
use super::scale::{Place, Scale};
use super::svg::{Caption, NotDrawn, Svg, Writer};

/// Height of a row in pixels.
pub const HEIGHT: f64 = 24.0;
const MIDDLE: f64 = HEIGHT / 2.0;

/// A dot at the middle value, a whisker over the range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DotWhisker<'a> {
    /// The values in words.
    pub caption: Caption<'a>,
    /// Shared with the column's axis.
    pub scale: Scale,
    /// The low end of the range (10 %).
    pub low: f64,
    /// The middle value (50 %).
    pub middle: f64,
    /// The high end of the range (90 %); `None` when it has no end, which is drawn as an arrow.
    pub high: Option<f64>,
    /// Another value to compare with, as a hollow diamond.
    pub second: Option<f64>,
    /// To be acted on now: drawn in the accent and heavier.
    pub now: bool,
    /// The `id` of the column's axis, whose ticks are drawn behind; empty for none.
    pub axis: &'a str,
}

impl DotWhisker<'_> {
    /// The row.
    ///
    /// # Errors
    /// [`NotDrawn::NotFinite`] for a value that is no number.
    pub fn draw(&self) -> Result<Svg, NotDrawn> {
        let mut w = Writer::drawing("chart row", HEIGHT, &self.caption);
        lines_of(&mut w, self.axis);
        let high = match self.high {
            Some(high) => self.scale.place(finite(high)?),
            None => Place::Beyond,
        };
        let low = self.scale.place(finite(self.low)?);
        whisker(&mut w, low, high, MIDDLE);
        let now = if self.now { " now" } else { "" };
        if let Some(second) = self.second {
            pointed(&mut w, self.scale.place(finite(second)?), MIDDLE, "mark later", |w, at| {
                Mark::Diamond.at(w, "mark later", at, MIDDLE);
            });
        }
        pointed(&mut w, self.scale.place(finite(self.middle)?), MIDDLE, &format!("mark{now}"), |w, at| {
            w.tag("circle")
                .set("class", &format!("dot{now}"))
                .percent("cx", at)
                .px("cy", MIDDLE)
                .px("r", if self.now { 5.5 } else { 4.5 })
                .end();
        });
        w.finish()
    }
}

/// Refuses what has no place, infinite values included: a scale would hold those at its end and hide them.
pub(crate) fn finite(value: f64) -> Result<f64, NotDrawn> {
    if value.is_finite() { Ok(value) } else { Err(NotDrawn::NotFinite) }
}

/// A line over a range with a stroke at each end inside the scale and an arrow at each end outside.
pub(crate) fn whisker(w: &mut Writer, low: Place, high: Place, y: f64) {
    let (from, to) = (low.percent(), high.percent());
    w.tag("line").set("class", "whisker").percent("x1", from).percent("x2", to).px("y1", y).px("y2", y).end();
    for end in [low, high] {
        match end {
            Place::At(at) => w
                .tag("line")
                .set("class", "whisker")
                .percent("x1", at)
                .percent("x2", at)
                .px("y1", y - 4.0)
                .px("y2", y + 4.0)
                .end(),
            Place::Before => Mark::ArrowLeft.at(w, "whisker-end", 0.0, y),
            Place::Beyond => Mark::ArrowRight.at(w, "whisker-end", 100.0, y),
        }
    }
}

/// Draws a mark at its place inside the scale, or an arrow at the end it left by.
pub(crate) fn pointed(w: &mut Writer, place: Place, y: f64, class: &str, mark: impl FnOnce(&mut Writer, f64)) {
    match place {
        Place::At(at) => mark(w, at),
        Place::Before => Mark::ArrowLeft.at(w, class, 0.0, y),
        Place::Beyond => Mark::ArrowRight.at(w, class, 100.0, y),
    }
}
