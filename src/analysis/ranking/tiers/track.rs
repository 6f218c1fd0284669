//! Track: released, or measured at an inspection, beyond its limit.

use super::super::super::inspections::of_its_days;
use super::super::super::margins::model_now;
use super::super::ground::Ground;
use super::{Evidence, Reason};
use crate::records::choice::Outcome;
use crate::trade::calendar::Day;

/// Lengths typed in millimetres meet the limit they equal in inches.
const ROUNDING_IN: f64 = 1e-9;

/// A reading of track.
struct Reading {
    day: Day,
    track_in: f64,
    /// Whether one within the limit makes good an earlier one beyond it: a released visit, or a signed inspection.
    counts: bool,
    words: &'static str,
}

impl Evidence<'_, '_> {
    pub(super) fn track(&self, reasons: &mut Vec<Reason>) {
        let Some(model) = model_now(self.fleet, self.propeller).map(|m| self.fleet.models.get(m)) else {
            return;
        };
        let limit = model.track_limit_in;
        let last = self.track_readings().into_iter().rfind(|r| r.counts || r.track_in > limit + ROUNDING_IN);
        let Some(last) = last else { return };
        let is_beyond = last.track_in > limit + ROUNDING_IN;
        let read = format!("track {:.3} in, {} {}", last.track_in, last.words, last.day);
        let copy = "copy the track limit from the maker's current manual into `models`";
        let (ground, words, next_step) = match model.track_limit_stated {
            Some(true) if is_beyond => (
                Ground::TrackBeyondLimit,
                format!("{read}: beyond its limit of {limit:.3} in"),
                "do not fly: a mechanic measures the track, and the shop that released it decides",
            ),
            Some(false) if is_beyond => (
                Ground::TrackNotJudged,
                format!("{read}: no maker's limit on record, common practice is {limit:.3} in"),
                copy,
            ),
            None => (Ground::TrackNotJudged, format!("{read}: not judged, the maker's limit is not on record"), copy),
            _ => return,
        };
        reasons.push(Reason { ground, words, next_step: next_step.to_string() });
    }

    /// Every reading of track in order of day; of one day the larger last.
    fn track_readings(&self) -> Vec<Reading> {
        let visits = self.fleet.visits.of(self.propeller).iter().filter(|v| v.outcome != Some(Outcome::Rejected));
        let mut readings: Vec<Reading> = visits
            .filter_map(|visit| {
                Some(Reading {
                    day: visit.day,
                    track_in: visit.track_in?,
                    counts: visit.outcome == Some(Outcome::Released),
                    words: "released",
                })
            })
            .collect();
        readings.extend(of_its_days(self.fleet, self.propeller).into_iter().filter_map(|inspection| {
            Some(Reading {
                day: inspection.day,
                track_in: inspection.track_in?,
                counts: inspection.signed,
                words: "measured",
            })
        }));
        readings.sort_by(|a, b| a.day.cmp(&b.day).then(a.track_in.total_cmp(&b.track_in)));
        readings
    }
}
