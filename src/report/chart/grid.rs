//! Shaded cells with their numbers, one table row each, and the legend of the shades.

use super::axis::{Axis, Tick};
use super::marks::Fill;
use super::svg::{Caption, NotDrawn, Svg, Writer};

/// Height of a row in pixels.
pub const HEIGHT: f64 = 24.0;
/// Shades of the ramp.
pub const SHADES: usize = 7;

/// A shade of the ramp, from 0 (plenty left, pale) to 6 (nothing left, deep).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Shade(u8);

impl Shade {
    /// The shade of a fraction left: all of it or more is 0, nothing or less is 6, with equal steps between.
    pub fn of_fraction_left(fraction: f64) -> Option<Shade> {
        if !fraction.is_finite() {
            return None;
        }
        let last = (SHADES - 1) as f64;
        Some(Shade(((1.0 - fraction) * last).round().clamp(0.0, last) as u8))
    }

    /// Its number, 0 to 6.
    pub fn number(self) -> u8 {
        self.0
    }

    fn class(self) -> &'static str {
        ["c0", "c1", "c2", "c3", "c4", "c5", "c6"][usize::from(self.0).min(SHADES - 1)]
    }
}

/// A cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cell {
    /// A shade and the number in it.
    Known {
        /// The shade.
        shade: Shade,
        /// The number, four characters or so.
        text: String,
        /// To be acted on now: framed in the accent.
        now: bool,
    },
    /// Hatched, with a question mark.
    Unknown,
    /// Nothing to show: there is no such station.
    Absent,
}

/// A row of cells of equal width.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cells<'a> {
    /// The numbers in words.
    pub caption: Caption<'a>,
    /// From left to right.
    pub cells: &'a [Cell],
}

impl Cells<'_> {
    /// The row.
    ///
    /// # Errors
    /// [`NotDrawn::TooFew`] without cells.
    pub fn draw(&self) -> Result<Svg, NotDrawn> {
        if self.cells.is_empty() {
            return Err(NotDrawn::TooFew);
        }
        let mut w = Writer::drawing("chart row cells", HEIGHT, &self.caption);
        let width = 100.0 / self.cells.len() as f64;
        // Frames last, so that a neighbour does not cover them.
        for (n, cell) in self.cells.iter().enumerate() {
            let from = width * n as f64;
            match cell {
                Cell::Known { shade, text, .. } => {
                    block(&mut w, shade.class(), None, from, width);
                    word(&mut w, &format!("t{}", shade.number()), from, width, text);
                }
                Cell::Unknown => {
                    block(&mut w, "cell", Some(Fill::Unknown), from, width);
                    word(&mut w, "said", from, width, "?");
                }
                Cell::Absent => {}
            }
        }
        for (n, cell) in self.cells.iter().enumerate() {
            if matches!(cell, Cell::Known { now: true, .. }) {
                block(&mut w, "frame", None, width * n as f64, width);
            }
        }
        w.finish()
    }
}

/// The head of a column of cells: a name over each.
///
/// # Errors
/// [`NotDrawn::TooFew`] without names.
pub fn head(caption: Caption<'_>, names: &[&str]) -> Result<Svg, NotDrawn> {
    if names.is_empty() {
        return Err(NotDrawn::TooFew);
    }
    let width = 100.0 / names.len() as f64;
    let ticks = names.iter().enumerate().map(|(n, name)| Tick::new(width * (n as f64 + 0.5), *name)).collect();
    Axis { caption, ticks, flag: None }.draw()
}

/// The legend: the shades in order, with a word for each (empty for none).
///
/// # Errors
/// None; kept like the other drawings.
pub fn legend(caption: Caption<'_>, words: &[&str; SHADES]) -> Result<Svg, NotDrawn> {
    let mut w = Writer::drawing("chart row cells", HEIGHT, &caption);
    let width = 100.0 / SHADES as f64;
    for (n, text) in words.iter().enumerate() {
        let shade = Shade(n as u8);
        block(&mut w, shade.class(), None, width * n as f64, width);
        word(&mut w, &format!("t{n}"), width * n as f64, width, text);
    }
    w.finish()
}

fn block(w: &mut Writer, class: &str, fill: Option<Fill>, from: f64, width: f64) {
    let rect = w
        .tag("rect")
        .set("class", class)
        .percent("x", from)
        .px("y", 1.0)
        .percent("width", width)
        .px("height", HEIGHT - 2.0);
    match fill {
        Some(fill) => rect.set("fill", fill.reference()).end(),
        None => rect.end(),
    }
}

fn word(w: &mut Writer, class: &str, from: f64, width: f64, text: &str) {
    if !text.is_empty() {
        w.tag("text")
            .set("class", class)
            .percent("x", from + width / 2.0)
            .px("y", HEIGHT / 2.0 + 4.0)
            .set("text-anchor", "middle")
            .text(text);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shades_go_down_with_what_is_left() {
        let of = |f| Shade::of_fraction_left(f).map(Shade::number);
        assert_eq!(of(1.2), Some(0));
        assert_eq!(of(1.0), Some(0));
        assert_eq!(of(0.5), Some(3));
        assert_eq!(of(0.0), Some(6));
        assert_eq!(of(-0.4), Some(6));
        assert_eq!(of(f64::NAN), None);
    }
}
