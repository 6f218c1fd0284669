//! The score: time since overhaul, climate exposure and defect history, each against its reference.
//!
//! Each part is `x / (1 + x)`, so that 0.5 means "at the reference". Score = 100 x the weighted mean of the parts. A part that
//! is not worked out for the fleet drops out and the weights of the others are scaled to 1. An unknown time or defect part of
//! one propeller takes x = max(2, the fleet's worst).

use super::super::due::DueRow;
use crate::settings::RankingSettings;

/// How far a propeller is along its interval: the larger of days / interval days and hours / interval hours.
///
/// `None` when neither is known, and when a limit stands whose side is not known.
pub fn time_share(due: &DueRow) -> Option<f64> {
    let interval_hours = due.interval.hours.value();
    let interval_days = due.interval_days();
    let share = |done: Option<f64>, whole: Option<f64>| match (done, whole) {
        (Some(done), Some(whole)) if whole > 0.0 => Some(done / whole),
        _ => None,
    };
    let days = share(due.days_since_overhaul.map(f64::from), interval_days.map(f64::from));
    let hours = share(due.hours.and_then(|h| h.today), interval_hours);
    // Hours that are limited and not known leave the share unknown, unless the calendar is past its limit anyway.
    let hours_missing = interval_hours.is_some() && hours.is_none();
    match (days, hours) {
        (Some(days), Some(hours)) => Some(days.max(hours)),
        (Some(days), None) if !hours_missing || days >= 1.0 => Some(days),
        (None, Some(hours)) if interval_days.is_none() || hours >= 1.0 => Some(hours),
        _ => None,
    }
}

/// What takes the place of an unknown part.
const AT_LEAST_UNKNOWN: f64 = 2.0;

/// The parts of one propeller: `x` for time, climate and defects. `None` where unknown.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Shares {
    /// Time since overhaul over the interval.
    pub time: Option<f64>,
    /// Exposure index over its reference.
    pub climate: Option<f64>,
    /// Posterior rate over the fleet's mean rate, plus 1 for each open finding.
    pub defects: Option<f64>,
}

/// Which parts are worked out for the fleet at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Parts {
    /// Climate exposure is.
    pub climate: bool,
    /// Defect history is.
    pub defects: bool,
}

/// A score and its parts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Score {
    /// Points of 100.
    pub score: f64,
    /// Part for time.
    pub time_part: f64,
    /// Part for climate; `None` when it is not worked out.
    pub climate_part: Option<f64>,
    /// Part for defects; `None` when it is not worked out.
    pub defect_part: Option<f64>,
    /// Whether the time part stands in for an unknown one.
    pub time_unknown: bool,
}

/// Scores of propellers from their shares.
pub fn scores(shares: &[Shares], parts: Parts, settings: &RankingSettings) -> Vec<Score> {
    let worst = |of: fn(&Shares) -> Option<f64>| shares.iter().filter_map(of).fold(AT_LEAST_UNKNOWN, f64::max);
    let (time_worst, climate_worst, defects_worst) = (worst(|s| s.time), worst(|s| s.climate), worst(|s| s.defects));
    let [time_weight, climate_weight, defect_weight] = settings.weights();
    let climate_weight = if parts.climate { climate_weight } else { 0.0 };
    let defect_weight = if parts.defects { defect_weight } else { 0.0 };
    let sum = time_weight + climate_weight + defect_weight;
    let part = |x: f64| x / (1.0 + x);
    shares
        .iter()
        .map(|s| {
            let time_part = part(s.time.unwrap_or(time_worst));
            let climate = part(s.climate.unwrap_or(climate_worst));
            let defects = part(s.defects.unwrap_or(defects_worst));
            let weighted = time_weight * time_part + climate_weight * climate + defect_weight * defects;
            Score {
                // With every weight of an existing part at zero, time alone is left to go by.
                score: 100.0 * if sum > 0.0 { weighted / sum } else { time_part },
                time_part,
                climate_part: parts.climate.then_some(climate),
                defect_part: parts.defects.then_some(defects),
                time_unknown: s.time.is_none(),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn settings() -> RankingSettings {
        crate::settings::Settings::default().ranking
    }

    #[test]
    fn half_means_at_the_reference_and_absent_parts_drop_out() {
        let shares = [
            Shares { time: Some(1.0), climate: Some(1.0), defects: Some(1.0) },
            Shares { time: None, climate: Some(3.0), defects: Some(0.0) },
        ];
        let all = Parts { climate: true, defects: true };
        let made = scores(&shares, all, &settings());
        assert!((made[0].score - 50.0).abs() < 1e-12);
        // Unknown time: x = max(2, worst known 1) = 2, part 2/3. By hand: 0.4 * 2/3 + 0.3 * 3/4 + 0.3 * 0.
        assert!((made[1].score - 100.0 * (0.4 * 2.0 / 3.0 + 0.3 * 0.75)).abs() < 1e-12);
        assert!(made[1].time_unknown);
        let time_only = scores(&shares, Parts::default(), &settings());
        assert!((time_only[0].score - 50.0).abs() < 1e-12);
        assert!((time_only[1].score - 200.0 / 3.0).abs() < 1e-12);
        assert_eq!(time_only[0].climate_part, None);
    }
}
