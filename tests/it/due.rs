//! Hours since overhaul and due dates: dates worked out by hand, and what holds for every fleet.
mod calendar;
mod fleet;
mod generated;
mod known;
mod laws;
mod meters;
mod rate;
mod states;
