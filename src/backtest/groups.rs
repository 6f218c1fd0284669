//! Do the losses at some shop, in some use, at some base or over so many hours differ from what their pool lets expect?

use std::collections::BTreeMap;

use super::past::PastOverhaul;
use crate::analysis::score::{Backtest, Score, ScoreKind};
use crate::stats::normal;
use crate::stats::trend::holm;
use crate::trade::geometry::Dimension;

/// Overhauls of a group from which it is tested.
const FEWEST_TESTED: usize = 10;
/// Adjusted p-value below which a group is said to differ.
const DIFFERS: f64 = 0.05;
/// Normal scores beyond this are as good as certain and are held there.
const REACH: f64 = 6.0;
/// Upper ends of the bands of hours.
const BANDS: [u32; 4] = [500, 1_000, 1_500, 2_000];

/// The groups an overhaul belongs to, in words.
fn groups_of(past: &PastOverhaul) -> Vec<String> {
    let band = past.hours.map(|hours| {
        let above = BANDS.iter().rev().find(|&&b| hours > f64::from(b));
        let below = BANDS.iter().find(|&&b| hours <= f64::from(b));
        match (above, below) {
            (None, Some(below)) => format!("hours up to {below}"),
            (Some(above), Some(below)) => format!("hours {above} to {below}"),
            (Some(above), None) => format!("hours above {above}"),
            (None, None) => "hours".to_string(),
        }
    });
    [
        Some("all".to_string()),
        past.shop.as_ref().map(|shop| format!("shop {shop}")),
        past.usage.map(|usage| format!("use {usage}")),
        past.base.as_ref().map(|base| format!("base {base}")),
        band,
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Residuals of the losses by group, as normal scores: a sound forecast gives a mean of 0 and a standard deviation of 1.
pub fn residuals(past: &[PastOverhaul], backtest: &mut Backtest) {
    let mut tested: Vec<(usize, f64)> = Vec::new();
    for dimension in Dimension::ALL {
        let mut groups: BTreeMap<String, Vec<f64>> = BTreeMap::new();
        for overhaul in past {
            let Some(rank) = overhaul.dimensions[dimension as usize].loss_rank else {
                continue;
            };
            let residual = normal::quantile(rank).clamp(-REACH, REACH);
            for group in groups_of(overhaul) {
                groups.entry(group).or_default().push(residual);
            }
        }
        for (group, residuals) in groups {
            let n = residuals.len() as f64;
            let mean = residuals.iter().sum::<f64>() / n;
            let whole = group == "all";
            if residuals.len() >= FEWEST_TESTED && !whole {
                let p = 2.0 * normal::cdf(-mean.abs() * n.sqrt());
                tested.push((backtest.scores.len(), p));
            }
            backtest.scores.push(Score {
                kind: ScoreKind::Residual(dimension),
                group,
                level: None,
                count: residuals.len(),
                expected: Some(0.0),
                expected_sd: Some(1.0 / n.sqrt()),
                observed: Some(mean),
            });
        }
    }
    let p_values: Vec<f64> = tested.iter().map(|(_, p)| *p).collect();
    for ((at, _), p) in tested.iter().zip(holm(&p_values)) {
        let score = &backtest.scores[*at];
        let (ScoreKind::Residual(dimension), Some(mean)) = (score.kind, score.observed) else {
            continue;
        };
        if p < DIFFERS {
            backtest.remarks.push(format!(
                "the pool is too wide: {} losses of {} were {:.1} standard deviations {} than forecast over {} overhauls",
                dimension.word(),
                score.group,
                mean.abs(),
                if mean > 0.0 { "larger" } else { "smaller" },
                score.count,
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::past::PastDimension;
    use super::*;
    use crate::trade::calendar::Day;

    fn overhaul(rank: f64, shop: &str, hours: f64) -> PastOverhaul {
        let mut dimensions = [PastDimension::default(); 2];
        dimensions[Dimension::Thickness as usize].loss_rank = Some(rank);
        PastOverhaul {
            serial: String::new(),
            day: Day::from_number(0),
            dimensions,
            reject_chance: None,
            rejected: None,
            base_rate: 0.5,
            shop: Some(shop.to_string()),
            usage: None,
            base: None,
            hours: Some(hours),
        }
    }

    #[test]
    fn bands_of_hours() {
        let group = |hours| groups_of(&overhaul(0.5, "N", hours)).pop().unwrap();
        assert_eq!(group(0.0), "hours up to 500");
        assert_eq!(group(500.0), "hours up to 500");
        assert_eq!(group(500.1), "hours 500 to 1000");
        assert_eq!(group(2_000.0), "hours 1500 to 2000");
        assert_eq!(group(2_400.0), "hours above 2000");
    }

    /// Twelve overhauls at one shop whose losses all lay at the 0.9 point (score 1.2816), twelve at another in the middle:
    /// p = 2 Phi(-1.2816 sqrt(12)) = 9e-6.
    #[test]
    fn a_shop_that_differs_is_named_and_others_are_not() {
        let past: Vec<PastOverhaul> = (0..24)
            .map(|i| {
                let (rank, shop) = if i < 12 { (0.9, "South") } else { (0.5, "North") };
                overhaul(rank, shop, 100.0 + 600.0 * f64::from(i % 3))
            })
            .collect();
        let mut backtest = Backtest::default();
        residuals(&past, &mut backtest);
        let south = backtest.scores.iter().find(|s| s.group == "shop South").unwrap();
        assert!((south.observed.unwrap() - 1.281_551_566).abs() < 1e-6);
        assert!((south.expected_sd.unwrap() - 12f64.sqrt().recip()).abs() < 1e-12);
        assert_eq!(backtest.remarks.len(), 1, "{:?}", backtest.remarks);
        assert!(backtest.remarks[0].contains("thickness losses of shop South were 1.3"));
        // Certain losses are held within reach.
        let mut certain = Backtest::default();
        residuals(&[overhaul(1.0, "North", 1.0)], &mut certain);
        assert_eq!(certain.scores[0].observed, Some(6.0));
        assert!(certain.remarks.is_empty());
    }
}
