//! How good the forecasts were: cover of intervals, tenths of the forecast distribution, rejections counted against forecast.

use super::groups;
use super::past::{PastDimension, PastOverhaul};
use crate::analysis::score::{Backtest, Score, ScoreKind};
use crate::trade::geometry::Dimension;

/// Rejections from which the squared error is stated.
const REJECTIONS_FOR_SQUARED_ERROR: usize = 10;
/// Levels of the intervals.
const LEVELS: [f64; 3] = [0.5, 0.8, 0.9];

/// Scores of past overhauls.
pub fn of(past: &[PastOverhaul]) -> Backtest {
    let mut backtest = Backtest::default();
    for dimension in Dimension::ALL {
        for (of, cover, bin) in [
            (
                (|d: &PastDimension| d.loss_rank) as fn(&PastDimension) -> Option<f64>,
                ScoreKind::LossCover(dimension),
                ScoreKind::LossBin(dimension),
            ),
            (|d| d.margin_rank, ScoreKind::MarginCover(dimension), ScoreKind::MarginBin(dimension)),
        ] {
            let ranks: Vec<f64> = past.iter().filter_map(|p| of(&p.dimensions[dimension as usize])).collect();
            covers(&ranks, cover, &mut backtest.scores);
            tenths(&ranks, bin, &mut backtest.scores);
        }
    }
    rejections(past, &mut backtest.scores);
    groups::residuals(past, &mut backtest);
    backtest
}

/// A share of `count`, as expected and as seen; nothing without a count.
fn share(kind: ScoreKind, level: f64, count: usize, expected: f64, seen: usize) -> Option<Score> {
    let n = count as f64;
    (count > 0).then(|| Score {
        kind,
        group: "all".to_string(),
        level: Some(level),
        count,
        expected: Some(expected),
        expected_sd: Some((expected * (1.0 - expected) / n).sqrt()),
        observed: Some(seen as f64 / n),
    })
}

/// How many lie inside the central intervals.
fn covers(ranks: &[f64], kind: ScoreKind, scores: &mut Vec<Score>) {
    for level in LEVELS {
        let inside = ranks.iter().filter(|&&u| (u - 0.5).abs() <= 0.5 * level);
        scores.extend(share(kind, level, ranks.len(), level, inside.count()));
    }
}

/// How many lie in each tenth.
fn tenths(ranks: &[f64], kind: ScoreKind, scores: &mut Vec<Score>) {
    let mut counts = [0usize; 10];
    for rank in ranks {
        counts[((rank * 10.0) as usize).min(9)] += 1;
    }
    for (tenth, seen) in (1..).zip(counts) {
        let level = f64::from(tenth) / 10.0;
        scores.extend(share(kind, level, ranks.len(), 0.1, seen));
    }
}

/// Rejections for dimension against the sum of their chances, and the squared errors where there are enough.
fn rejections(past: &[PastOverhaul], scores: &mut Vec<Score>) {
    let scored: Vec<(f64, bool, f64)> =
        past.iter().filter_map(|p| Some((p.reject_chance?, p.rejected?, p.base_rate))).collect();
    if scored.is_empty() {
        return;
    }
    let count = scored.len();
    let rejected = scored.iter().filter(|(_, rejected, _)| *rejected).count();
    let variance: f64 = scored.iter().map(|(p, _, _)| p * (1.0 - p)).sum();
    scores.push(Score {
        kind: ScoreKind::Rejections,
        group: "all".to_string(),
        level: None,
        count,
        expected: Some(scored.iter().map(|(p, _, _)| p).sum()),
        expected_sd: Some(variance.sqrt()),
        observed: Some(rejected as f64),
    });
    if rejected < REJECTIONS_FOR_SQUARED_ERROR {
        return;
    }
    let error = |chance: fn(&(f64, bool, f64)) -> f64| {
        let squares = scored.iter().map(|s| {
            let outcome = if s.1 { 1.0 } else { 0.0 };
            (chance(s) - outcome).powi(2)
        });
        squares.sum::<f64>() / count as f64
    };
    scores.push(Score {
        kind: ScoreKind::SquaredError,
        group: "all".to_string(),
        level: None,
        count,
        expected: Some(error(|s| s.2)),
        expected_sd: None,
        observed: Some(error(|s| s.0)),
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::calendar::Day;

    fn overhaul(loss_rank: f64, chance: f64, rejected: bool) -> PastOverhaul {
        let mut dimensions = [PastDimension::default(); 2];
        dimensions[Dimension::Width as usize].loss_rank = Some(loss_rank);
        PastOverhaul {
            serial: String::new(),
            day: Day::from_number(0),
            dimensions,
            reject_chance: Some(chance),
            rejected: Some(rejected),
            base_rate: 0.25,
            shop: None,
            usage: None,
            base: None,
            hours: None,
            number: 2.0,
        }
    }

    fn find(backtest: &Backtest, kind: ScoreKind, level: Option<f64>) -> &Score {
        let found = |s: &&Score| s.kind == kind && s.level == level;
        backtest.scores.iter().find(found).unwrap()
    }

    /// Ranks 0.05, 0.25, 0.5, 1: inside 50 % (0.25 to 0.75) two, inside 80 % (0.1 to 0.9) two, inside 90 % three.
    #[test]
    fn covers_and_tenths_by_hand() {
        let past: Vec<PastOverhaul> = [0.05, 0.25, 0.5, 1.0].map(|u| overhaul(u, 0.5, false)).to_vec();
        let scores = of(&past);
        let cover = |level| find(&scores, ScoreKind::LossCover(Dimension::Width), Some(level));
        assert_eq!(cover(0.5).observed, Some(0.5));
        assert_eq!(cover(0.8).observed, Some(0.5));
        assert_eq!(cover(0.9).observed, Some(0.75));
        assert!((cover(0.8).expected_sd.unwrap() - 0.2).abs() < 1e-12);
        let tenth = |level| find(&scores, ScoreKind::LossBin(Dimension::Width), Some(level)).observed;
        assert_eq!(tenth(0.1), Some(0.25));
        assert_eq!(tenth(0.3), Some(0.25));
        assert_eq!(tenth(0.6), Some(0.25));
        assert_eq!(tenth(1.0), Some(0.25));
        assert_eq!(tenth(0.2), Some(0.0));
        // Nothing was known of thickness: no row says otherwise.
        let thickness = |s: &Score| s.kind == ScoreKind::LossCover(Dimension::Thickness);
        assert!(!scores.scores.iter().any(thickness));
        assert_eq!(of(&[]), Backtest::default());
    }

    /// Chances 0.2 and 0.9: 1.1 expected, standard deviation sqrt(0.16 + 0.09) = 0.5. Squared errors only from ten rejections:
    /// ten of 0.9 rejected and ten of 0.2 passed give (0.01 + 0.04)/2, the base rate of 0.25 (0.5625 + 0.0625)/2.
    #[test]
    fn rejections_by_hand() {
        let few = of(&[overhaul(0.5, 0.2, false), overhaul(0.5, 0.9, true)]);
        let score = find(&few, ScoreKind::Rejections, None);
        assert!((score.expected.unwrap() - 1.1).abs() < 1e-12);
        assert!((score.expected_sd.unwrap() - 0.5).abs() < 1e-12);
        assert_eq!((score.observed, score.count), (Some(1.0), 2));
        assert!(!few.scores.iter().any(|s| s.kind == ScoreKind::SquaredError));
        let many: Vec<PastOverhaul> = (0..20).map(|i| overhaul(0.5, if i < 10 { 0.9 } else { 0.2 }, i < 10)).collect();
        let many = of(&many);
        let score = find(&many, ScoreKind::SquaredError, None);
        assert!((score.observed.unwrap() - 0.025).abs() < 1e-12);
        assert!((score.expected.unwrap() - 0.3125).abs() < 1e-12);
    }
}
