//! On which list a propeller stands: flying, at shop, spare, or none.

use crate::records::Fleet;
use crate::records::choice::Status;

/// A list of the ranking.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum List {
    /// Flying.
    Flying,
    /// At a shop.
    AtShop,
    /// On the shelf.
    Spare,
}

impl List {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            List::Flying => "flying",
            List::AtShop => "at shop",
            List::Spare => "spare",
        }
    }
}

/// The list a propeller stands on; `None` when it is gone and nothing says that it flies on.
///
/// A propeller whose last visit rejected it, or that is scrapped or sold, and that is still listed or has later hours or a
/// later fitting, stands on the flying list: someone may be flying behind it. So does any that a fitting shows on an aircraft
/// today, whatever its status says.
pub fn list_of(fleet: &Fleet<'_>, propeller: u32) -> Option<List> {
    let flown = fleet.flown_after_end(propeller).is_some() || fleet.flying.fitted_now(propeller).is_some();
    let ended = fleet.end_of(propeller).is_some();
    match fleet.propellers.get(propeller).status {
        Status::Scrapped | Status::Sold if flown => Some(List::Flying),
        Status::Scrapped | Status::Sold => None,
        _ if flown || ended => Some(List::Flying),
        Status::Flying => Some(List::Flying),
        Status::AtShop => Some(List::AtShop),
        Status::Spare => Some(List::Spare),
    }
}

/// Whether a propeller stands on any list.
pub fn is_listed(fleet: &Fleet<'_>, propeller: u32) -> bool {
    list_of(fleet, propeller).is_some()
}
