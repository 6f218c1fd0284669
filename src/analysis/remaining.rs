//! How many overhauls are left, by the first rule: the smallest margin over the usual loss of an overhaul.
//!
//! At every blade, station and dimension: margin today / mean loss an overhaul, the propeller's own mean where it has
//! one, else the fleet's, else 0.008 in for thickness (common practice, no source) and 0.022 in for width (an assumption).
//! The smallest of these is the count, and its place the limiting point.

use super::margins::{Basis, Margin};
use super::survey::{LossSums, Survey};
use crate::records::Fleet;
use crate::settings::ForecastSettings;
use crate::trade::geometry::Dimension;

/// Whose mean loss the count uses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MeanOf {
    /// The propeller's own.
    Own,
    /// The fleet's.
    Fleet,
    /// Neither is recorded.
    Assumed,
}

impl MeanOf {
    /// The words for it.
    pub fn words(self) -> &'static str {
        match self {
            MeanOf::Own => "own losses",
            MeanOf::Fleet => "fleet losses",
            MeanOf::Assumed => "assumed loss",
        }
    }
}

/// The blade, station and dimension that decides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LimitingPoint {
    /// Its margin today.
    pub margin: Margin,
    /// Margin today in inches.
    pub margin_in: f64,
    /// Loss expected of one more overhaul, in inches.
    pub expected_loss_in: f64,
    /// Whose mean that is.
    pub mean_of: MeanOf,
    /// Overhauls left: margin over expected loss, zero when the margin is negative.
    pub overhauls: f64,
}

/// What is left of a propeller.
#[derive(Debug, Clone, PartialEq)]
pub struct Remaining {
    /// Index of the propeller.
    pub propeller: u32,
    /// Overhauls on record, released or not.
    pub overhauls_recorded: u32,
    /// The limiting point; `None` when no margin is known.
    pub limiting: Option<LimitingPoint>,
    /// Places whose margin is not known.
    pub not_known: usize,
    /// Places whose margin was not measured at the last visit.
    pub not_measured: usize,
}

impl Remaining {
    /// What the count rests on, in words.
    pub fn basis(&self) -> String {
        let mut words = match &self.limiting {
            None => return "not known".to_string(),
            Some(point) => format!("first rule, {}", point.mean_of.words()),
        };
        if self.not_known > 0 {
            words.push_str(&format!(", upper bound: {} not known", self.not_known));
        }
        words
    }

    /// Overhauls left, when known.
    pub fn overhauls(&self) -> Option<f64> {
        self.limiting.as_ref().map(|p| p.overhauls)
    }
}

/// Mean loss an overhaul takes of a dimension.
pub fn expected_loss(
    own: &LossSums,
    survey: &Survey,
    dimension: Dimension,
    forecast: &ForecastSettings,
) -> (f64, MeanOf) {
    if let Some(mean) = own.mean_per_overhaul_in() {
        return (mean, MeanOf::Own);
    }
    if let Some(mean) = survey.sums(dimension).mean_per_overhaul_in() {
        return (mean, MeanOf::Fleet);
    }
    let assumed = match dimension {
        Dimension::Thickness => forecast.thickness_loss_in,
        Dimension::Width => forecast.width_loss_in,
    };
    (assumed, MeanOf::Assumed)
}

/// The count for one propeller from its margins and its own losses by dimension.
pub fn first_rule(
    fleet: &Fleet<'_>,
    propeller: u32,
    margins: &[Margin],
    own: &[LossSums; 2],
    survey: &Survey,
    forecast: &ForecastSettings,
) -> Remaining {
    let expected = Dimension::ALL.map(|d| expected_loss(&own[d as usize], survey, d, forecast));
    let mut limiting: Option<LimitingPoint> = None;
    for margin in margins {
        let Some(margin_in) = margin.margin_in else {
            continue;
        };
        let (expected_loss_in, mean_of) = expected[margin.dimension as usize];
        let ratio = margin_in / expected_loss_in;
        // Below the minimum the place furthest below decides, though none has an overhaul left.
        let smaller = limiting
            .as_ref()
            .is_none_or(|p| ratio < p.margin_in / p.expected_loss_in);
        if smaller {
            limiting = Some(LimitingPoint {
                margin: *margin,
                margin_in,
                expected_loss_in,
                mean_of,
                overhauls: ratio.max(0.0),
            });
        }
    }
    let overhauls_recorded = fleet
        .visits
        .of(propeller)
        .iter()
        .filter(|v| v.is_overhaul())
        .count() as u32;
    Remaining {
        propeller,
        overhauls_recorded,
        limiting,
        not_known: margins.iter().filter(|m| m.margin_in.is_none()).count(),
        not_measured: margins
            .iter()
            .filter(|m| !matches!(m.basis, Basis::Measured))
            .count(),
    }
}
