//! What stands above a column of row drawings: ticks with their words, in the table's head.

use super::svg::{Caption, NotDrawn, Svg, Writer, id_of};

/// A tick: where, and the words at it.
#[derive(Debug, Clone, PartialEq)]
pub struct Tick {
    /// In percent of the width.
    pub percent: f64,
    /// The words.
    pub label: String,
    /// More words on a line below (the year below a month); often empty.
    pub under: String,
}

impl Tick {
    /// A tick with one line of words.
    pub fn new(percent: f64, label: impl Into<String>) -> Tick {
        Tick { percent, label: label.into(), under: String::new() }
    }

    /// How its words are tied to its place: at the ends of a chart they stay inside.
    fn anchor(&self) -> &'static str {
        if self.percent < 4.0 {
            "start"
        } else if self.percent > 96.0 {
            "end"
        } else {
            "middle"
        }
    }
}

/// The head of a column of row drawings. Rows given its `id` draw its ticks as faint lines.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis<'a> {
    /// Its `id` is what the rows name.
    pub caption: Caption<'a>,
    /// Ticks in the order of their places; five or fewer have room on a narrow page.
    pub ticks: Vec<Tick>,
    /// A place of its own kind, such as today, named on a line above the ticks and drawn in the rows.
    pub flag: Option<Tick>,
}

const LINE: f64 = 13.0;

impl Axis<'_> {
    /// The head.
    ///
    /// # Errors
    /// [`NotDrawn::NotFinite`] for a tick without a place.
    pub fn draw(&self) -> Result<Svg, NotDrawn> {
        let flag_height = if self.flag.is_some() { LINE } else { 0.0 };
        let under = self.ticks.iter().any(|t| !t.under.is_empty());
        let height = flag_height + if under { 2.0 * LINE } else { LINE } + 6.0;
        let mut w = Writer::drawing("chart row axis", height, &self.caption);
        let id = id_of(self.caption.id);
        w.tag("defs").open();
        w.tag("g").set("id", &format!("{id}-g")).set("class", "grid").open();
        for tick in &self.ticks {
            upright(&mut w, tick.percent, "");
        }
        if let Some(flag) = &self.flag {
            upright(&mut w, flag.percent, "flag");
        }
        w.close();
        w.close();
        if let Some(flag) = &self.flag {
            w.tag("text")
                .set("class", "flag")
                .percent("x", flag.percent)
                .px("y", LINE - 3.0)
                .set("text-anchor", flag.anchor())
                .text(&flag.label);
        }
        words(&mut w, &self.ticks, flag_height + LINE - 2.0);
        for tick in &self.ticks {
            w.tag("line")
                .set("class", "tick")
                .percent("x1", tick.percent)
                .percent("x2", tick.percent)
                .px("y1", height - 4.0)
                .px("y2", height)
                .end();
        }
        w.finish()
    }
}

/// A faint line over the whole height of a drawing.
fn upright(w: &mut Writer, percent: f64, class: &str) {
    let line = w.tag("line");
    let line = if class.is_empty() { line } else { line.set("class", class) };
    line.percent("x1", percent).percent("x2", percent).set("y2", "100%").end();
}

/// Letters that a narrow chart (some 190 pixels) has room for in one line of separate words.
const NARROW_LETTERS: usize = 20;

/// The words of ticks on one or two lines. Where they have no room on a narrow page, the style sheet leaves out every second.
pub(crate) fn words(w: &mut Writer, ticks: &[Tick], y: f64) {
    let letters: usize = ticks.iter().map(|t| t.label.chars().count()).sum();
    let crowded = letters > NARROW_LETTERS;
    for (n, tick) in ticks.iter().enumerate() {
        let sparse = crowded && n % 2 == 1;
        w.tag("text")
            .set("class", if sparse { "word sparse" } else { "word" })
            .percent("x", tick.percent)
            .px("y", y)
            .set("text-anchor", tick.anchor())
            .text(&tick.label);
        if !tick.under.is_empty() {
            w.tag("text")
                .set("class", "word")
                .percent("x", tick.percent)
                .px("y", y + LINE)
                .set("text-anchor", tick.anchor())
                .text(&tick.under);
        }
    }
}

/// The lines of the axis with this `id`, behind a row's marks; nothing without one.
pub(crate) fn lines_of(w: &mut Writer, axis: &str) {
    if !axis.is_empty() {
        w.tag("use").set("href", &format!("#{}-g", id_of(axis))).end();
    }
}
