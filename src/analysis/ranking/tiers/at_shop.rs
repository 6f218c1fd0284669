//! A propeller at a shop: where it is, since when, and when it comes back.

use super::super::super::standing::List;
use super::super::ground::Ground;
use super::{Evidence, Reason};
use crate::records::Fleet;

impl Evidence<'_, '_> {
    /// Puts where it is before what is to be done of one at a shop; what the shop is doing already gives way.
    pub(super) fn at_shop(&self, first: &mut Reason) {
        if self.due.list != List::AtShop {
            return;
        }
        let there = at_shop_in_words(self.fleet, self.propeller);
        // An overhaul is why it is there.
        let gives_way = matches!(
            first.ground,
            Ground::PastBinding
                | Ground::PastRecommended
                | Ground::LimitNear
                | Ground::SmallFinding
                | Ground::InspectionNote
                | Ground::Nothing
        );
        first.next_step = if gives_way { there } else { format!("{there}; {}", first.next_step) };
    }
}

/// `at SHOP since DATE, expected back DATE`; without such a date, or when it has passed, that goes first.
pub fn at_shop_in_words(fleet: &Fleet<'_>, propeller: u32) -> String {
    let of = fleet.propellers.get(propeller);
    let shop = of.shop.map_or("a shop", |code| fleet.propellers.shops.get(code));
    let there = match of.sent {
        Some(day) => format!("at {shop} since {day}"),
        None => format!("at {shop}"),
    };
    let is_told = of.sent.is_some() || of.shop.is_some();
    let in_brackets = if is_told { format!(" ({there})") } else { String::new() };
    match of.expected_back {
        Some(day) if day < fleet.as_of => format!("overdue back since {day}{in_brackets}"),
        Some(day) => format!("{there}, expected back {day}"),
        None => format!("ask the shop: no return date on record{in_brackets}"),
    }
}
