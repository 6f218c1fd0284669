//! How a drawing is written, so that all text is escaped and every number finite.

use std::fmt::{self, Write as _};

/// A finished drawing, or a piece of markup of the same kind: safe to print in a template as it is.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Svg(String);

impl Svg {
    /// The markup.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The drawing, or a line that says why there is none.
    pub fn or_words(drawn: Result<Svg, NotDrawn>) -> Svg {
        drawn.unwrap_or_else(|gap| {
            let mut text = String::from("<span class=\"not-drawn\">Not drawn: ");
            escape(&gap.to_string(), &mut text);
            text.push_str("</span>");
            Svg(text)
        })
    }
}

impl fmt::Display for Svg {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

// Everything in an `Svg` went through the `Writer`, which escapes.
impl askama::filters::HtmlSafe for Svg {}

/// Why a drawing could not be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NotDrawn {
    /// A value was infinite or no number, so it has no place.
    #[error("a value has no place on the scale")]
    NotFinite,
    /// There is less than the drawing needs.
    #[error("too few values to draw")]
    TooFew,
}

/// What a drawing is called, for people who do not see it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Caption<'a> {
    /// Unique on the page; any text, made fit for an `id` here.
    pub id: &'a str,
    /// One line: what is drawn. For a row, the values in words.
    pub title: &'a str,
    /// More, where there is more to say; else empty.
    pub description: &'a str,
}

impl<'a> Caption<'a> {
    /// With a title only.
    pub fn new(id: &'a str, title: &'a str) -> Caption<'a> {
        Caption { id, title, description: "" }
    }

    /// With a description too.
    pub fn described(id: &'a str, title: &'a str, description: &'a str) -> Caption<'a> {
        Caption { id, title, description }
    }
}

/// An `id` made from any text: letters, digits and hyphens stay, every other byte becomes `_` and two hexadecimal digits, so
/// different texts never share an `id`.
pub fn id_of(text: &str) -> String {
    let mut id = String::with_capacity(text.len());
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || byte == b'-' {
            id.push(char::from(byte));
        } else {
            let _ = write!(id, "_{byte:02x}");
        }
    }
    id
}

/// Writes text so that it is text in XML and in HTML, inside an element or between double quotes. Characters that XML 1.0
/// section 2.2 does not allow become U+FFFD.
pub fn escape(text: &str, out: &mut String) {
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' | '\r' => out.push(' '),
            '\0'..='\u{1f}' | '\u{7f}'..='\u{9f}' | '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            _ => out.push(c),
        }
    }
}

/// Writes a drawing element by element. Only names given in the code become markup; all text goes through [`escape`].
#[derive(Debug)]
pub(crate) struct Writer {
    out: String,
    open: Vec<&'static str>,
    finite: bool,
}

impl Writer {
    /// A drawing as wide as its place and `height` pixels high, named by its caption.
    pub(crate) fn drawing(class: &str, height: f64, caption: &Caption<'_>) -> Writer {
        let mut writer = Writer::empty();
        let id = id_of(caption.id);
        let mut names = format!("{id}-t");
        if !caption.description.is_empty() {
            let _ = write!(names, " {id}-d");
        }
        writer
            .tag("svg")
            .set("class", class)
            .set("width", "100%")
            .px("height", height)
            .set("role", "img")
            .set("aria-labelledby", &names)
            .open();
        writer.tag("title").set("id", &format!("{id}-t")).text(caption.title);
        if !caption.description.is_empty() {
            writer.tag("desc").set("id", &format!("{id}-d")).text(caption.description);
        }
        writer
    }

    /// Nothing yet.
    pub(crate) fn empty() -> Writer {
        Writer { out: String::new(), open: Vec::new(), finite: true }
    }

    /// Starts an element; finish it with [`Tag::end`], [`Tag::open`] or [`Tag::text`].
    pub(crate) fn tag(&mut self, name: &'static str) -> Tag<'_> {
        self.out.push('<');
        self.out.push_str(name);
        Tag { writer: self, name }
    }

    /// Closes the innermost open element.
    pub(crate) fn close(&mut self) {
        if let Some(name) = self.open.pop() {
            let _ = write!(self.out, "</{name}>");
        }
    }

    /// Text inside the innermost open element.
    pub(crate) fn say(&mut self, text: &str) {
        escape(text, &mut self.out);
    }

    /// The drawing, with everything closed.
    ///
    /// # Errors
    /// [`NotDrawn::NotFinite`] when any number written was not finite.
    pub(crate) fn finish(mut self) -> Result<Svg, NotDrawn> {
        while !self.open.is_empty() {
            self.close();
        }
        if self.finite { Ok(Svg(self.out)) } else { Err(NotDrawn::NotFinite) }
    }
}

/// An element being written.
pub(crate) struct Tag<'w> {
    writer: &'w mut Writer,
    name: &'static str,
}

impl Tag<'_> {
    /// An attribute of text.
    pub(crate) fn set(self, name: &'static str, value: &str) -> Self {
        let out = &mut self.writer.out;
        let _ = write!(out, " {name}=\"");
        escape(value, out);
        out.push('"');
        self
    }

    /// An attribute in pixels (SVG user units).
    pub(crate) fn px(self, name: &'static str, value: f64) -> Self {
        self.number(name, value, "")
    }

    /// An attribute in percent of the drawing's width or height.
    pub(crate) fn percent(self, name: &'static str, value: f64) -> Self {
        self.number(name, value, "%")
    }

    /// A path.
    pub(crate) fn path(self, path: &Path) -> Self {
        self.writer.finite &= path.finite;
        self.set("d", &path.text)
    }

    fn number(self, name: &'static str, value: f64, unit: &str) -> Self {
        let out = &mut self.writer.out;
        let _ = write!(out, " {name}=\"");
        self.writer.finite &= push_number(value, out);
        out.push_str(unit);
        out.push('"');
        self
    }

    /// Ends an element without content.
    pub(crate) fn end(self) {
        self.writer.out.push_str("/>");
    }

    /// Leaves the element open for more elements.
    pub(crate) fn open(self) {
        self.writer.out.push('>');
        self.writer.open.push(self.name);
    }

    /// Ends an element that holds only text.
    pub(crate) fn text(self, text: &str) {
        let out = &mut self.writer.out;
        out.push('>');
        escape(text, out);
        let _ = write!(out, "</{}>", self.name);
    }
}

/// The outline of a shape, point by point.
#[derive(Debug, Clone)]
pub(crate) struct Path {
    text: String,
    finite: bool,
}

impl Path {
    pub(crate) fn new() -> Path {
        Path { text: String::new(), finite: true }
    }

    fn point(&mut self, command: char, x: f64, y: f64) {
        self.text.push(command);
        self.finite &= push_number(x, &mut self.text);
        self.text.push(' ');
        self.finite &= push_number(y, &mut self.text);
    }

    /// Starts a new piece.
    pub(crate) fn move_to(&mut self, x: f64, y: f64) {
        self.point('M', x, y);
    }

    /// A straight line to a point.
    pub(crate) fn line_to(&mut self, x: f64, y: f64) {
        self.point('L', x, y);
    }

    /// A curve to a point, drawn toward another on its way.
    pub(crate) fn curve_to(&mut self, toward: (f64, f64), x: f64, y: f64) {
        self.point('Q', toward.0, toward.1);
        self.point(' ', x, y);
    }

    /// Straight lines through points; starts a new piece at the first.
    pub(crate) fn through(&mut self, points: impl IntoIterator<Item = (f64, f64)>) {
        for (n, (x, y)) in points.into_iter().enumerate() {
            if n == 0 {
                self.move_to(x, y);
            } else {
                self.line_to(x, y);
            }
        }
    }

    /// Joins the last point to the first of the piece.
    pub(crate) fn close(&mut self) {
        self.text.push('Z');
    }
}

/// Writes a number with at most two decimals; `false` (and a 0) when it is not finite.
fn push_number(value: f64, out: &mut String) -> bool {
    if !value.is_finite() {
        out.push('0');
        return false;
    }
    let hundredths = (value * 100.0).round().clamp(-1e12, 1e12) as i64;
    let (whole, rest) = (hundredths.unsigned_abs() / 100, hundredths.unsigned_abs() % 100);
    if hundredths < 0 {
        out.push('-');
    }
    let _ = write!(out, "{whole}");
    if rest > 0 {
        let _ = write!(out, ".{rest:02}");
        if out.ends_with('0') {
            out.pop();
        }
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_have_at_most_two_decimals() {
        for (value, text) in [
            (0.0, "0"),
            (-0.0, "0"),
            (-0.004, "0"),
            (12.5, "12.5"),
            (0.125, "0.13"),
            (-3.999, "-4"),
            (10.05, "10.05"),
            (100.0, "100"),
        ] {
            let mut out = String::new();
            assert!(push_number(value, &mut out));
            assert_eq!(out, text, "{value}");
        }
    }

    #[test]
    fn a_drawing_with_a_number_that_is_none_is_refused() {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            let mut w = Writer::drawing("c", 10.0, &Caption::new("a", "b"));
            w.tag("line").px("x1", bad).end();
            assert_eq!(w.finish(), Err(NotDrawn::NotFinite));
            let mut path = Path::new();
            path.move_to(0.0, bad);
            let mut w = Writer::empty();
            w.tag("path").path(&path).end();
            assert_eq!(w.finish(), Err(NotDrawn::NotFinite));
        }
    }

    #[test]
    fn text_cannot_leave_its_place() {
        let hostile = "\"><script>alert('&')</script>\u{0}\n";
        let mut w = Writer::drawing("c", 10.0, &Caption::described(hostile, hostile, hostile));
        w.tag("text").set("class", hostile).text(hostile);
        let svg = w.finish().expect("every number is finite");
        assert!(!svg.as_str().contains("<script"), "{svg}");
        assert!(
            svg.as_str().contains("&quot;&gt;&lt;script&gt;alert(&#39;&amp;&#39;)&lt;/script&gt;\u{fffd} "),
            "{svg}"
        );
    }

    #[test]
    fn different_texts_have_different_ids() {
        assert_eq!(id_of("due-N12"), "due-N12");
        assert_ne!(id_of("a b"), id_of("a_b"));
        assert_ne!(id_of("a_20b"), id_of("a b"));
        assert!(id_of("\"><é").bytes().all(|b| b.is_ascii_alphanumeric() || b == b'_' || b == b'-'));
    }

    #[test]
    fn what_cannot_be_drawn_says_why() {
        let svg = Svg::or_words(Err(NotDrawn::TooFew));
        assert_eq!(svg.as_str(), "<span class=\"not-drawn\">Not drawn: too few values to draw</span>");
    }
}
