//! Findings: the screen with cumulative depth and margin left, what closes a finding, and the order of the open ones.

#[path = "findings/closing.rs"]
mod closing;
#[path = "findings/folder.rs"]
mod folder;
#[path = "findings/laws.rs"]
mod laws;
#[path = "findings/order.rs"]
mod order;
#[path = "findings/place.rs"]
mod place;
