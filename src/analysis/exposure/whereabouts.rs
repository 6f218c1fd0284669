//! Where a propeller lived, day by day.
//!
//! Without stays of its own a propeller lived at its home base all its life. With stays, each holds until the next, and
//! before the first one the place is not recorded, so its air is not known: the home base says where a propeller belongs
//! today, not where it was before anyone wrote that down. A stay without a readable date makes the whole life unknown.

use crate::records::Fleet;
use crate::records::choice::Kept as RecordedKept;
use crate::trade::calendar::Day;
use crate::trade::corrosion::Kept;

/// A stretch of days at one place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Whereabouts {
    /// First day.
    pub from: Day,
    /// The day it ends, which belongs to the next stretch.
    pub to: Day,
    /// Number of the base; `None` when the place is not known.
    pub base: Option<u32>,
    /// Outside, or where nothing is recorded; or in a hangar.
    pub kept: Kept,
}

/// The places of a propeller between two days, in order of time and without a hole; nothing when `to` is not after `from`.
pub fn whereabouts_into(fleet: &Fleet<'_>, propeller: u32, from: Day, to: Day, out: &mut Vec<Whereabouts>) {
    let mut add = |begin: Day, end: Day, base: Option<u32>, kept: Kept| {
        let (begin, end) = (begin.max(from), end.min(to));
        if end > begin {
            out.push(Whereabouts { from: begin, to: end, base, kept });
        }
    };
    let stays = fleet.places.stays(propeller);
    match stays.first().map(|stay| stay.from) {
        None => add(from, to, fleet.places.home(propeller), Kept::Outside),
        Some(None) => add(from, to, None, Kept::Outside),
        Some(Some(first)) => {
            add(from, first, None, Kept::Outside);
            for (at, stay) in stays.iter().enumerate() {
                let begin = stay.from.unwrap_or(first);
                let end = stays.get(at + 1).and_then(|next| next.from).unwrap_or(to);
                let kept = match stay.kept {
                    Some(RecordedKept::Hangar) => Kept::Hangar,
                    Some(RecordedKept::Outside) | None => Kept::Outside,
                };
                add(begin, end, stay.base, kept);
            }
        }
    }
}

/// The number of the base where a propeller lived on a day; `None` when it is not known.
pub fn base_on(fleet: &Fleet<'_>, propeller: u32, day: Day) -> Option<u32> {
    let stays = fleet.places.stays(propeller);
    match stays.first().map(|stay| stay.from) {
        None => fleet.places.home(propeller),
        Some(None) => None,
        Some(Some(_)) => {
            stays.iter().rfind(|stay| stay.from.is_some_and(|from| from <= day)).and_then(|stay| stay.base)
        }
    }
}
