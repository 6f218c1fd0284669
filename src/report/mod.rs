//! The page people read: one self-contained HTML file, made from results only.

pub mod chart;
