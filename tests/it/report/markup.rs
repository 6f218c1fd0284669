//! A reader of the page's markup that is stricter than a browser: it knows the elements the page is made of, takes only attributes
//! in double quotes, and refuses everything else.

use std::collections::BTreeMap;

/// Elements the templates and drawings use.
const KNOWN: &[&str] = &[
    "html",
    "head",
    "meta",
    "title",
    "style",
    "body",
    "a",
    "header",
    "h1",
    "h2",
    "h3",
    "h4",
    "p",
    "time",
    "nav",
    "ol",
    "ul",
    "li",
    "div",
    "main",
    "section",
    "footer",
    "script",
    "table",
    "caption",
    "thead",
    "tbody",
    "tfoot",
    "tr",
    "th",
    "td",
    "dl",
    "dt",
    "dd",
    "details",
    "summary",
    "span",
    "b",
    "i",
    "bdi",
    "strong",
    "em",
    "code",
    "svg",
    "g",
    "defs",
    "pattern",
    "path",
    "rect",
    "circle",
    "line",
    "text",
    "tspan",
    "desc",
    "use",
    "polyline",
    "polygon",
    "br",
    "small",
    "abbr",
    "figure",
    "figcaption",
    "symbol",
];
/// Elements without content.
const VOID: &[&str] = &["meta", "br"];

/// An element as it starts.
#[derive(Debug, Clone)]
pub struct Element {
    pub name: String,
    pub attributes: BTreeMap<String, String>,
    /// Whether it is a part of a drawing.
    pub in_drawing: bool,
}

impl Element {
    pub fn attribute(&self, name: &str) -> Option<&str> {
        self.attributes.get(name).map(String::as_str)
    }
}

/// A page taken apart.
#[derive(Debug, Default)]
pub struct Markup {
    pub elements: Vec<Element>,
    /// All text that a person reads, and all values of attributes, unescaped.
    pub text: String,
    pub scripts: Vec<String>,
    pub styles: Vec<String>,
}

/// Takes a page apart.
///
/// # Panics
/// When it is not made as the templates make it.
pub fn read(page: &str) -> Markup {
    let mut markup = Markup::default();
    let mut open: Vec<String> = Vec::new();
    let mut rest = page.strip_prefix("<!doctype html>").expect("a page starts with its type");
    while let Some(start) = rest.find('<') {
        markup.text += &unescaped(&rest[..start]);
        rest = &rest[start + 1..];
        if let Some(end) = rest.strip_prefix('/') {
            let (name, after) = end.split_once('>').expect("an end tag ends");
            assert_eq!(open.pop().as_deref(), Some(name), "nested right");
            rest = after;
            continue;
        }
        let (mut element, closed, after) = start_tag(rest);
        element.in_drawing = open.iter().any(|name| name == "svg");
        rest = after;
        let name = element.name.clone();
        markup.elements.push(element);
        if name == "script" || name == "style" {
            let end = format!("</{name}>");
            let (content, after) = rest.split_once(&end).expect("it ends");
            if name == "script" {
                markup.scripts.push(content.to_string());
            } else {
                markup.styles.push(content.to_string());
            }
            rest = after;
        } else if !closed && !VOID.contains(&name.as_str()) {
            open.push(name);
        }
    }
    assert!(open.is_empty(), "left open: {open:?}");
    let values = markup.elements.iter().flat_map(|e| e.attributes.values());
    let values: Vec<String> = values.cloned().collect();
    markup.text += &values.join("\n");
    markup
}

/// The words of a piece of a page, a space between them.
pub fn words(piece: &str) -> String {
    let mut text = String::new();
    let mut rest = piece;
    while let Some((before, after)) = rest.split_once('<') {
        text += &unescaped(before);
        text.push(' ');
        rest = after.split_once('>').map_or("", |(_, after)| after);
    }
    text += &unescaped(rest);
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn start_tag(tag: &str) -> (Element, bool, &str) {
    let end = tag.find(|c: char| !c.is_ascii_alphanumeric()).expect("a name ends");
    let (name, mut rest) = tag.split_at(end);
    assert!(KNOWN.contains(&name), "an element of no template: <{name}");
    let mut attributes = BTreeMap::new();
    loop {
        rest = rest.trim_start();
        if let Some(after) = rest.strip_prefix("/>") {
            return (element(name, attributes), true, after);
        }
        if let Some(after) = rest.strip_prefix('>') {
            return (element(name, attributes), false, after);
        }
        let end = rest.find(|c: char| !(c.is_ascii_alphanumeric() || c == '-' || c == ':')).expect("an attribute ends");
        let (key, after) = rest.split_at(end);
        assert!(!key.is_empty(), "in <{name}: {}", &rest[..rest.len().min(80)]);
        let value = if let Some(after) = after.strip_prefix("=\"") {
            let (value, after) = after.split_once('"').expect("a value ends");
            assert!(!value.contains('<'), "in <{name} {key}");
            rest = after;
            unescaped(value)
        } else {
            // A word alone, as `hidden`.
            assert!(!after.starts_with('='), "in <{name} {key}");
            rest = after;
            String::new()
        };
        assert!(attributes.insert(key.to_string(), value).is_none(), "{key} twice");
    }
}

fn element(name: &str, attributes: BTreeMap<String, String>) -> Element {
    Element { name: name.to_string(), attributes, in_drawing: false }
}

/// Text with the character references that escaping makes taken back.
fn unescaped(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some(start) = rest.find('&') {
        out += &rest[..start];
        let (reference, after) = rest[start + 1..].split_once(';').expect("an ampersand starts a reference");
        out.push(match reference {
            "amp" => '&',
            "lt" => '<',
            "gt" => '>',
            "quot" => '"',
            "nbsp" => '\u{a0}',
            number => {
                let number = number.strip_prefix('#').expect("a reference by number");
                let number = number.parse().expect("a number");
                char::from_u32(number).expect("a character")
            }
        });
        rest = after;
    }
    out + rest
}
