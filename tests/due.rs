//! Hours since overhaul and due dates: dates worked out by hand, and what holds for every fleet.

#[path = "due/calendar.rs"]
mod calendar;
#[path = "due/fleet.rs"]
mod fleet;
#[path = "due/generated.rs"]
mod generated;
#[path = "due/known.rs"]
mod known;
#[path = "due/laws.rs"]
mod laws;
#[path = "due/meters.rs"]
mod meters;
#[path = "due/rate.rs"]
mod rate;
#[path = "due/states.rs"]
mod states;
