//! The page: what it says of a small fleet, that no record can put markup into it, and that it is the same every time.
mod fleets;
mod folds;
mod hostile;
mod markup;
mod size;
mod thin;
mod whole;
