//! Which shapes and patterns all drawings share, and how a legend shows them.

use super::svg::{Svg, Writer};

/// A shape that keeps its size wherever it stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Mark {
    Square,
    Triangle,
    Diamond,
    ArrowLeft,
    ArrowRight,
}

impl Mark {
    const ALL: [Mark; 5] = [Mark::Square, Mark::Triangle, Mark::Diamond, Mark::ArrowLeft, Mark::ArrowRight];

    fn id(self) -> &'static str {
        match self {
            Mark::Square => "k-square",
            Mark::Triangle => "k-triangle",
            Mark::Diamond => "k-diamond",
            Mark::ArrowLeft => "k-left",
            Mark::ArrowRight => "k-right",
        }
    }

    fn outline(self) -> &'static str {
        match self {
            Mark::Square => "M-4 -4H4V4H-4Z",
            Mark::Triangle => "M-5 -4H5L0 5Z",
            Mark::Diamond => "M0 -5L5 0L0 5L-5 0Z",
            Mark::ArrowLeft => "M-7 0L1 -5V5Z",
            Mark::ArrowRight => "M7 0L-1 -5V5Z",
        }
    }

    /// Draws it at a place across and a height in pixels.
    pub(crate) fn at(self, w: &mut Writer, class: &str, percent: f64, y: f64) {
        let tag = w.tag("use").set("href", &format!("#{}", self.id()));
        let tag = if class.is_empty() { tag } else { tag.set("class", class) };
        tag.percent("x", percent).px("y", y).end();
    }
}

/// A fill known by its pattern.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Fill {
    /// Slanted strokes over a tint.
    Hatched,
    /// Dots on a tint.
    Dotted,
    /// Thin strokes on paper: not known.
    Unknown,
}

impl Fill {
    pub(crate) fn reference(self) -> &'static str {
        match self {
            Fill::Hatched => "url(#k-hatch)",
            Fill::Dotted => "url(#k-dots)",
            Fill::Unknown => "url(#k-unknown)",
        }
    }
}

/// The shapes and patterns that the drawings refer to. The page holds it once, before the first drawing.
pub fn shared() -> Svg {
    let mut w = Writer::empty();
    w.tag("svg")
        .set("class", "shared")
        .px("width", 0.0)
        .px("height", 0.0)
        .set("aria-hidden", "true")
        .set("focusable", "false")
        .open();
    w.tag("defs").open();
    for mark in Mark::ALL {
        w.tag("path").set("id", mark.id()).set("d", mark.outline()).end();
    }
    for (id, class, size) in [("k-hatch", "tint", 6.0), ("k-dots", "tint-light", 5.0), ("k-unknown", "blank", 7.0)] {
        w.tag("pattern")
            .set("id", id)
            .set("patternUnits", "userSpaceOnUse")
            .px("width", size)
            .px("height", size)
            .open();
        w.tag("rect").set("class", class).px("width", size).px("height", size).end();
        if id == "k-dots" {
            w.tag("circle").set("class", "dot").px("cx", 2.5).px("cy", 2.5).px("r", 1.2).end();
        } else {
            // Three strokes so that the corners of neighbouring tiles join.
            let strokes =
                format!("M-1 1L1 -1M0 {size}L{size} 0M{} {}L{} {}", size - 1.0, size + 1.0, size + 1.0, size - 1.0);
            w.tag("path").set("class", "stroke").set("d", &strokes).end();
        }
        w.close();
    }
    // Nothing here is computed, so nothing can be without a place.
    w.finish().unwrap_or_default()
}

/// An entry of a legend: a small picture; the section writes the words beside it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Key {
    /// A dot: the middle value.
    Dot,
    /// A line with end strokes: the range.
    Whisker,
    /// A square: the calendar limit.
    Square,
    /// A triangle: the hours limit.
    Triangle,
    /// An arrow: further on than the scale.
    Arrow,
    /// A plain fill.
    Solid,
    /// A hatched fill.
    Hatched,
    /// A dotted fill.
    Dotted,
    /// A tinted block: a range.
    Band,
    /// A thick line: the middle value of a range.
    Middle,
    /// The zone before today.
    Overdue,
}

impl Key {
    /// The picture. It says nothing to a screen reader: the words beside it do.
    pub fn draw(self) -> Svg {
        let mut w = Writer::empty();
        w.tag("svg")
            .set("class", "chart key")
            .px("width", 24.0)
            .px("height", 14.0)
            .set("aria-hidden", "true")
            .set("focusable", "false")
            .open();
        let line = |w: &mut Writer, class: &str| {
            w.tag("line").set("class", class).px("x1", 1.0).px("x2", 23.0).px("y1", 7.0).px("y2", 7.0).end();
        };
        let block = |w: &mut Writer, class: &str, fill: Option<Fill>| {
            let rect = w.tag("rect").set("class", class).px("x", 1.0).px("y", 1.0).px("width", 22.0).px("height", 12.0);
            match fill {
                Some(fill) => rect.set("fill", fill.reference()).end(),
                None => rect.end(),
            }
        };
        match self {
            Key::Dot => w.tag("circle").set("class", "dot").px("cx", 12.0).px("cy", 7.0).px("r", 4.5).end(),
            Key::Whisker => {
                line(&mut w, "whisker");
                for x in [1.0, 23.0] {
                    w.tag("line").set("class", "whisker").px("x1", x).px("x2", x).px("y1", 3.0).px("y2", 11.0).end();
                }
            }
            Key::Square => Mark::Square.at(&mut w, "mark", 50.0, 7.0),
            Key::Triangle => Mark::Triangle.at(&mut w, "mark", 50.0, 7.0),
            Key::Arrow => Mark::ArrowRight.at(&mut w, "mark", 50.0, 7.0),
            Key::Solid => block(&mut w, "solid", None),
            Key::Hatched => block(&mut w, "edge", Some(Fill::Hatched)),
            Key::Dotted => block(&mut w, "edge", Some(Fill::Dotted)),
            Key::Band => block(&mut w, "band", None),
            Key::Middle => line(&mut w, "middle"),
            Key::Overdue => block(&mut w, "overdue", None),
        }
        w.finish().unwrap_or_default()
    }
}
