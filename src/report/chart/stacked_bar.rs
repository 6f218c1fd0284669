//! A whole and its parts, one table row each, with a strip for a rank and its range.

use super::axis::lines_of;
use super::dot_whisker::{finite, whisker};
use super::marks::Fill;
use super::scale::Scale;
use super::svg::{Caption, NotDrawn, Svg, Writer};

const BAR: f64 = 14.0;
const STRIP: f64 = 12.0;
const TOP: f64 = 3.0;

/// Up to three parts of 100, told apart by pattern: plain, hatched, dotted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StackedBar<'a> {
    /// The parts in words.
    pub caption: Caption<'a>,
    /// The parts; negative ones count as nothing, and what exceeds 100 together is cut.
    pub parts: [f64; 3],
    /// A strip below, on a scale of its own.
    pub strip: Option<Strip>,
    /// The `id` of the column's axis, whose ticks are drawn behind; empty for none.
    pub axis: &'a str,
}

/// A value and its range, such as a rank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strip {
    /// Its own scale.
    pub scale: Scale,
    /// The low end of the range.
    pub low: f64,
    /// The value.
    pub at: f64,
    /// The high end of the range.
    pub high: f64,
}

impl StackedBar<'_> {
    /// The row.
    ///
    /// # Errors
    /// [`NotDrawn::NotFinite`] for a value that is no number.
    pub fn draw(&self) -> Result<Svg, NotDrawn> {
        let height = TOP + BAR + TOP + self.strip.map_or(0.0, |_| STRIP);
        let mut w = Writer::drawing("chart row", height, &self.caption);
        lines_of(&mut w, self.axis);
        let mut from = 0.0;
        let fills = [None, Some(Fill::Hatched), Some(Fill::Dotted)];
        for (part, fill) in self.parts.into_iter().zip(fills) {
            let width = finite(part)?.max(0.0).min(100.0 - from);
            if width > 0.0 {
                let rect = w
                    .tag("rect")
                    .set("class", if fill.is_none() { "solid" } else { "edge" })
                    .percent("x", from)
                    .px("y", TOP)
                    .percent("width", width)
                    .px("height", BAR);
                match fill {
                    Some(fill) => rect.set("fill", fill.reference()).end(),
                    None => rect.end(),
                }
            }
            from += width;
        }
        if let Some(strip) = self.strip {
            let y = TOP + BAR + STRIP / 2.0 + 1.0;
            let place = |value| finite(value).map(|v| strip.scale.place(v));
            whisker(&mut w, place(strip.low)?, place(strip.high)?, y);
            w.tag("circle")
                .set("class", "dot")
                .percent("cx", place(strip.at)?.percent())
                .px("cy", y)
                .px("r", 3.5)
                .end();
        }
        w.finish()
    }
}
