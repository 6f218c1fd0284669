//! Metal below its minimum, and metal that nobody measured.

use super::super::super::margins::{Left, Margin, model_now};
use super::super::ground::Ground;
use super::{Evidence, Reason};
use crate::trade::calendar::Day;
use crate::trade::damage::Surface;

/// What to do where only arithmetic says that a blade is below its minimum.
const MEASURE_IT: &str = "before flight measure it; remove from service if confirmed";

/// `0.010 in below minimum counting 0.110 in dressed out since 2024`, behind what it is said of.
fn counting(below_in: f64, dressed_in: f64, from: Option<Day>) -> String {
    let since = from.map_or_else(String::new, |day| format!(" since {}", day.year()));
    format!("{below_in:.3} in below minimum counting {dressed_in:.3} in dressed out{since}")
}

impl Evidence<'_, '_> {
    pub(super) fn below_minimum(&self, reasons: &mut Vec<Reason>) {
        let lowest = |of: fn(&Margin) -> Option<Left>| {
            let below = self.margins.iter().filter_map(|m| Some((m, of(m)?)));
            below.min_by(|(_, a), (_, b)| a.left_in.total_cmp(&b.left_in))
        };
        if let Some((margin, left)) = lowest(Margin::below_by_reading) {
            // What the sheet says, and what dressing took since.
            let dressed = match left.dressed_in > 0.0 {
                true => format!(", {:.3} in dressed out since included", left.dressed_in),
                false => String::new(),
            };
            reasons.push(Reason {
                ground: Ground::BelowMinimum,
                words: format!(
                    "{} {:.3} in below minimum by its last sheet on blade {}{}{dressed}",
                    margin.dimension.word(),
                    -left.left_in,
                    margin.blade,
                    self.place_words(margin, left.at_in)
                ),
                next_step: "before flight check the sheet and the manual's revision with the shop; then reject"
                    .to_string(),
            });
        } else if let Some((margin, left)) = lowest(Margin::below_on_record) {
            reasons.push(Reason {
                ground: Ground::BelowMinimum,
                words: format!(
                    "{} {} on blade {}{}",
                    margin.dimension.word(),
                    counting(-left.left_in, left.dressed_in, left.dressed_from),
                    margin.blade,
                    self.place_words(margin, left.at_in)
                ),
                next_step: MEASURE_IT.to_string(),
            });
        }
        self.diameter_below(reasons);
    }

    fn diameter_below(&self, reasons: &mut Vec<Reason>) {
        let Some(diameter) = &self.diameter else { return };
        let Some(left) = diameter.left_in.filter(|&left| left < 0.0) else { return };
        let by_sheet = diameter.read_on.filter(|_| left + diameter.dressed_in < 0.0);
        let (words, next_step) = match by_sheet {
            Some(day) => (
                format!("diameter {:.3} in below minimum by its last sheet, of {day}", -left),
                "before flight check the sheet and the manual's revision with the shop; then reject",
            ),
            None => (
                format!("diameter {} at the tips", counting(-left, diameter.dressed_in, diameter.dressed_from)),
                MEASURE_IT,
            ),
        };
        reasons.push(Reason { ground: Ground::BelowMinimum, words, next_step: next_step.to_string() });
    }

    /// Below the minimum only by what stands in for dressings that are not on record whole.
    pub(super) fn dressed_unmeasured(&self, reasons: &mut Vec<Reason>) {
        if self.fleet.defects.is_spoiled(self.propeller) {
            // The report itself is what a mechanic looks after.
            return;
        }
        let least =
            |a: &&Margin, b: &&Margin| a.margin_worst_in.unwrap_or(0.0).total_cmp(&b.margin_worst_in.unwrap_or(0.0));
        let lowest = self.margins.iter().filter(|m| m.is_below_by_stand_in()).min_by(least);
        let of_tip = self.diameter.as_ref().and_then(|d| {
            let worst = d.left_worst_in.filter(|&worst| worst < 0.0)?;
            d.left_in.filter(|&left| left >= 0.0).map(|_| worst)
        });
        let held = self.findings.of(self.propeller).iter().find(|f| f.measure_there);
        let words = match (lowest, of_tip, held) {
            (Some(margin), ..) => format!(
                "dressed without depth, place or surface on record: {} at worst {:.3} in below minimum on blade {}{}",
                margin.dimension.word(),
                -margin.margin_worst_in.unwrap_or_default(),
                margin.blade,
                self.place_words(margin, margin.least_at_in)
            ),
            (None, Some(worst), _) => {
                format!("dressed at the tip without depth on record: diameter at worst {:.3} in below minimum", -worst)
            }
            (None, None, Some(finding)) => {
                format!("{}: dressed without depth, place or surface on record", finding.words(self.fleet))
            }
            _ => return,
        };
        reasons.push(Reason {
            ground: Ground::DressedUnmeasured,
            words,
            next_step: "measure there at the next inspection and enter it, or the depth that was dressed out"
                .to_string(),
        });
    }

    /// Diameters are on record and this one was not read at the last overhaul.
    pub(super) fn diameter_not_read(&self, reasons: &mut Vec<Reason>) {
        let model = model_now(self.fleet, self.propeller).map(|m| self.fleet.models.get(m));
        if model.is_some_and(|m| m.diameter_min_blank) && self.is_of_tips() {
            reasons.push(Reason {
                ground: Ground::DiameterNotRead,
                words: "the smallest diameter of its model is not on record, so its tips are not judged".to_string(),
                next_step: "copy it from the maker's current manual into `models` as diameter_min".to_string(),
            });
        }
        let has_minimum = self.diameter.as_ref().is_some_and(|d| d.minimum_in.is_some());
        if !has_minimum || !self.keeps_diameters {
            return;
        }
        let last = self.fleet.visits.of(self.propeller).iter().rfind(|v| v.restarts_clock());
        if let Some(visit) = last.filter(|v| v.diameter_after_in.is_none()) {
            reasons.push(Reason {
                ground: Ground::DiameterNotRead,
                words: format!("diameter not read at the overhaul of {}", visit.day),
                next_step: "ask the shop for the diameter it released, or measure it".to_string(),
            });
        }
    }

    /// Whether its tips were damaged, or its diameter was read.
    fn is_of_tips(&self) -> bool {
        let reports = self.fleet.defects.of(self.propeller).iter();
        let mut reports =
            reports.chain(self.fleet.defects.unread_of(self.propeller).iter().map(|unread| &unread.report));
        self.diameter.as_ref().is_some_and(|d| d.read_on.is_some()) || reports.any(|d| d.surface == Some(Surface::Tip))
    }

    /// Where something is left: the station, or a place in inches.
    fn place_words(&self, margin: &Margin, at_in: Option<f64>) -> String {
        at_in.map_or_else(|| self.station_words(margin), |inches| format!(" at {inches:.2} in"))
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
