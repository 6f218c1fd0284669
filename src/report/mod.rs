//! The page people read: one self-contained HTML file, made from results only.
//!
//! | file | question |
//! | --- | --- |
//! | [`page`] | what is on the page, and in which order? |
//! | [`scene`] | which propellers are shown, and how is each one named and linked? |
//! | [`sections`] | what does each section say? (one file per section) |
//! | [`chart`] | how are numbers drawn? (plain data in, inline SVG out) |
//! | [`policy`] | what may the page do? |
//! | [`words`] | how are sums, chances and days written? |
//!
//! The templates, the style sheet and the script are real files in `assets/`. Every value is escaped by the template engine or
//! by the chart module's writer. Equal input gives equal bytes.

pub mod chart;
pub mod page;
pub mod policy;
pub mod scene;
pub mod sections;
pub mod words;

pub use page::{ReportError, page};
