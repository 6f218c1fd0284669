//! The page: what it says of a small fleet, that no record can put markup into it, and that it is the same every time.

mod fleet_folder;

#[path = "report/fleets.rs"]
mod fleets;
#[path = "report/folds.rs"]
mod folds;
#[path = "report/hostile.rs"]
mod hostile;
#[path = "report/markup.rs"]
mod markup;
#[path = "report/size.rs"]
mod size;
#[path = "report/thin.rs"]
mod thin;
#[path = "report/whole.rs"]
mod whole;
