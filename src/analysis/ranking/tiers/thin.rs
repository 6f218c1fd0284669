//! Records too thin to judge by.

use super::super::super::forecast::Estimate;
use super::super::super::margins::{Basis, model_now};
use super::super::ground::Ground;
use super::{Evidence, Reason};
use crate::records::written::count;
use crate::trade::geometry::Dimension;

impl Evidence<'_, '_> {
    pub(super) fn thin_record(&self, reasons: &mut Vec<Reason>) {
        let model = model_now(self.fleet, self.propeller).map(|m| self.fleet.models.get(m));
        let has_limits =
            model.is_some_and(|m| m.stations.iter().any(|s| s.width.min_in.is_some() || s.thickness.min_in.is_some()));
        if !has_limits {
            reasons.push(Reason {
                ground: Ground::NoDimensionLimits,
                words: match model {
                    Some(model) => format!("no dimension limits for model {}", model.name),
                    None => "its model is not known, so no dimension limits".to_string(),
                },
                next_step: "copy the limits from the maker's current manual into `limits`".to_string(),
            });
            return;
        }
        if model.is_some_and(|m| m.limits_unusable) {
            reasons.push(Reason {
                ground: Ground::NoDimensionLimits,
                words: "limits of its model could not be used".to_string(),
                next_step: "correct the rows of `limits` that `check` names".to_string(),
            });
        } else if model.is_some_and(|m| m.limits_stand_in()) {
            reasons.push(Reason {
                ground: Ground::NoDimensionLimits,
                words: "a minimum of its model is not known, the tightest known counts".to_string(),
                next_step: "correct the rows of `limits` that `check` names".to_string(),
            });
        }
        if self.margins.iter().all(|m| m.basis == Basis::NotKnown) {
            reasons.push(Reason {
                ground: Ground::NeverMeasured,
                words: "never measured".to_string(),
                next_step: "ask the shop for its sheets, or have it measured".to_string(),
            });
        } else if self.remaining.upper_bound {
            reasons.extend(self.thin_forecast());
        }
    }

    /// Something that could fail is not in the forecast, which makes its chances upper bounds.
    fn thin_forecast(&self) -> Option<Reason> {
        let lacking: Vec<&str> = Dimension::ALL
            .into_iter()
            .filter(|&d| {
                let support = self.remaining.support[d as usize].as_ref();
                support.is_some_and(|s| s.estimate == Estimate::NotEstimable)
            })
            .map(Dimension::word)
            .collect();
        let words = match lacking.as_slice() {
            // Minimums that stand in for others have a ground of their own.
            [] if self.remaining.not_known() == 0 => return None,
            [] => format!("margin not known at {}", count(self.remaining.not_known(), "place")),
            lacking => format!("too few losses of {} on record", lacking.join(" and ")),
        };
        Some(Reason {
            ground: Ground::ForecastTooThin,
            words: format!("{words}, so the forecast is an upper bound"),
            next_step: "ask the shops for their sheets of earlier overhauls".to_string(),
        })
    }
}
