//! Metal below its minimum.

use super::super::super::margins::{Basis, Margin, model_now};
use super::super::ground::Ground;
use super::{Evidence, Reason};

impl Evidence<'_, '_> {
    pub(super) fn below_minimum(&self, reasons: &mut Vec<Reason>) {
        let lowest = self
            .margins
            .iter()
            .filter(|m| m.basis == Basis::Measured && m.margin_in.is_some_and(|x| x < 0.0))
            .min_by(|a, b| a.margin_in.partial_cmp(&b.margin_in).unwrap_or(std::cmp::Ordering::Equal));
        let Some(margin) = lowest else { return };
        let below = -margin.margin_in.unwrap_or_default();
        let dressed = if margin.dressed_since_in > 0.0 { ", metal dressed out since included" } else { "" };
        reasons.push(Reason {
            ground: Ground::BelowMinimum,
            words: format!(
                "{} {:.3} in below minimum on blade {}{}{dressed}",
                margin.dimension.word(),
                below,
                margin.blade,
                self.station_words(margin)
            ),
            next_step: "before flight check the sheet and the manual's revision with the shop; then reject".to_string(),
        });
    }

    pub(super) fn station_words(&self, margin: &Margin) -> String {
        let station = model_now(self.fleet, self.propeller)
            .and_then(|m| self.fleet.models.get(m).stations.get(usize::from(margin.station)));
        match station.map(|s| (s.pct, s.station_in)) {
            Some((Some(pct), _)) => format!(" at {pct:.0} %"),
            Some((None, Some(inches))) => format!(" at {inches:.2} in"),
            _ => String::new(),
        }
    }
}
