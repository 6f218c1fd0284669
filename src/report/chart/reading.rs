//! Reads a drawing back, for the tests: is it well-formed, and where are its marks?

use std::collections::HashMap;

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

/// An element read back.
#[derive(Debug)]
pub(super) struct Element {
    pub(super) name: String,
    pub(super) attributes: HashMap<String, String>,
    /// The text inside, for an element with text.
    pub(super) text: String,
    /// Height in pixels of the drawing it stands in; `None` in one with a view box of its own.
    pub(super) height: Option<f64>,
}

impl Element {
    fn of(start: &BytesStart<'_>, height: Option<f64>) -> Element {
        let attributes = start
            .attributes()
            .map(|a| {
                let a = a.expect("attributes are written right and once");
                let value = quick_xml::escape::unescape(&a.value).expect("entities are known");
                (AsRef::<str>::as_ref(&a.key).to_string(), value.into_owned())
            })
            .collect();
        Element { name: AsRef::<str>::as_ref(&start.name()).to_string(), attributes, text: String::new(), height }
    }

    pub(super) fn get(&self, name: &str) -> &str {
        self.attributes.get(name).map_or("", String::as_str)
    }

    pub(super) fn percent(&self, name: &str) -> Option<f64> {
        self.get(name).strip_suffix('%')?.parse().ok()
    }

    pub(super) fn px(&self, name: &str) -> Option<f64> {
        self.get(name).parse().ok()
    }
}

/// All elements of a piece of markup; panics where it is not well-formed.
pub(super) fn elements(markup: &str) -> Vec<Element> {
    let mut reader = Reader::from_str(markup);
    reader.config_mut().check_end_names = true;
    let (mut all, mut open): (Vec<Element>, Vec<usize>) = (Vec::new(), Vec::new());
    loop {
        // The height of the innermost drawing that is open.
        let height = open
            .iter()
            .rev()
            .map(|&at| &all[at])
            .find(|e| e.name == "svg")
            .and_then(|e| (!e.attributes.contains_key("viewBox")).then(|| e.px("height"))?);
        match reader.read_event().expect("the markup is well-formed") {
            Event::Start(start) => {
                open.push(all.len());
                all.push(Element::of(&start, height));
            }
            Event::Empty(start) => all.push(Element::of(&start, height)),
            Event::End(_) => {
                open.pop().expect("no more ends than starts");
            }
            Event::Text(text) => {
                let at = *open.last().expect("text stands in an element");
                all[at].text.push_str(&text);
            }
            Event::GeneralRef(name) => {
                let at = *open.last().expect("text stands in an element");
                let name: &str = &name;
                let text = quick_xml::escape::unescape(&format!("&{name};")).expect("entities are known").into_owned();
                all[at].text.push_str(&text);
            }
            Event::Eof => break,
            other => panic!("no such thing in a drawing: {other:?}"),
        }
    }
    assert!(open.is_empty(), "everything opened is closed");
    all
}
