//! How numbers are drawn: plain data in, inline SVG out. Nothing here knows of propeller records, files or statistics.
//!
//! The page is read from 360 to 1,600 pixels wide and on paper, without a script, so drawings are fluid: places across are
//! percentages of the drawing's width, while marks, text and heights are pixels and keep their size. A chart of many propellers
//! is one small drawing a table row: the table's own header cell names the row, and the drawing of the [`axis`] stands in the
//! table's head, so that sorting, filtering, page breaks and repeated heads work as for any table.
//!
//! | file | question |
//! | --- | --- |
//! | [`svg`] | how is a drawing written, so that all text is escaped and every number finite? |
//! | [`scale`], [`days`] | where does a number or a day lie, and which ticks help to read it? |
//! | [`axis`] | what stands above a column of row drawings? |
//! | [`marks`] | which shapes and patterns are shared by all drawings, and how does a legend show them? |
//! | [`dot_whisker`], [`time_line`], [`stacked_bar`] | one table row each |
//! | [`band`], [`step_curve`], [`lines`] | charts in a frame ([`plot`]), with [`end_labels`] at the ends of lines |
//! | [`blade`] | blades drawn to scale, with stations and numbered findings |
//!
//! Colours are custom properties of `assets/chart.css`; a drawing only names classes. No meaning rests on colour: marks differ in
//! shape, fills in pattern, and numbers are written out. The page needs [`marks::shared`] once, before the first drawing.

pub mod axis;
pub mod band;
pub mod blade;
pub mod days;
pub mod dot_whisker;
pub mod end_labels;
pub mod lines;
pub mod marks;
pub mod plot;
pub mod scale;
pub mod stacked_bar;
pub mod step_curve;
pub mod svg;
pub mod time_line;

pub use axis::{Axis, Tick};
pub use days::DayScale;
pub use scale::{Numbers, Scale};
pub use svg::{Caption, NotDrawn, Svg};

#[cfg(test)]
mod contrast;
#[cfg(test)]
mod laws;
#[cfg(test)]
mod reading;
