//! Findings: the screen with cumulative depth and margin left, what closes a finding, and the order of the open ones.
mod closing;
mod folder;
mod laws;
mod order;
mod place;
