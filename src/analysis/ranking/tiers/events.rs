//! Events without their check, which stand with whatever propeller is on the aircraft since.

use super::super::ground::Ground;
use super::{Evidence, Reason};

impl Evidence<'_, '_> {
    pub(super) fn events(&self, reasons: &mut Vec<Reason>) {
        let mut unchecked = self.events.of(self.propeller);
        let Some(newest) = unchecked.next() else { return };
        let more = match unchecked.count() {
            0 => String::new(),
            more => format!(", and {more} more like it"),
        };
        reasons.push(Reason {
            ground: Ground::EventNotChecked,
            words: format!("{}{more}", newest.words(self.fleet)),
            next_step: newest.next_step(),
        });
    }
}
