//! How numbers are drawn: plain data in, inline SVG out.
