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
/// Standard errors beyond which all losses together are said to differ from the forecast.
const ALL_BEYOND: f64 = 2.5;
/// Normal scores beyond this are as good as certain and are held there.
const REACH: f64 = 6.0;
/// Upper ends of the bands of hours.
const BANDS: [u32; 4] = [500, 1_000, 1_500, 2_000];

/// The groups an overhaul belongs to, in words; `thirds` are the numbers that end the first two thirds of all overhauls.
fn groups_of(past: &PastOverhaul, thirds: [f64; 2]) -> Vec<String> {
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
        (thirds[0] < thirds[1]).then(|| match past.number {
            number if number <= thirds[0] => format!("overhaul number up to {:.0}", thirds[0]),
            number if number <= thirds[1] => format!("overhaul number up to {:.0}, above {:.0}", thirds[1], thirds[0]),
            _ => format!("overhaul number above {:.0}", thirds[1]),
        }),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// The numbers that end the first and the second third of the overhauls.
fn thirds(past: &[PastOverhaul]) -> [f64; 2] {
    let mut numbers: Vec<f64> = past.iter().map(|p| p.number).collect();
    numbers.sort_by(f64::total_cmp);
    [1, 2].map(|third| numbers.get((third * numbers.len()).div_ceil(3).saturating_sub(1)).copied().unwrap_or(0.0))
}

/// Residuals of the losses by group, as normal scores: a sound forecast gives a mean of 0 and a standard deviation of 1.
pub fn residuals(past: &[PastOverhaul], backtest: &mut Backtest) {
    let mut tested: Vec<(usize, f64)> = Vec::new();
    let thirds = thirds(past);
    for dimension in Dimension::ALL {
        let mut groups: BTreeMap<String, Vec<f64>> = BTreeMap::new();
        for overhaul in past {
            let Some(rank) = overhaul.dimensions[dimension as usize].loss_rank else {
                continue;
            };
            let residual = normal::quantile(rank).clamp(-REACH, REACH);
            for group in groups_of(overhaul, thirds) {
                groups.entry(group).or_default().push(residual);
            }
        }
        for (group, residuals) in groups {
            let n = residuals.len() as f64;
            let mean = residuals.iter().sum::<f64>() / n;
            let whole = group == "all";
            if residuals.len() >= FEWEST_TESTED && whole && mean.abs() * n.sqrt() > ALL_BEYOND {
                backtest.remarks.push(format!(
                    "all {} losses were {:.1} standard deviations {} than forecast over {} overhauls: the chances here are {}",
                    dimension.word(),
                    mean.abs(),
                    if mean > 0.0 { "larger" } else { "smaller" },
                    residuals.len(),
                    if mean > 0.0 { "too hopeful" } else { "too dark" },
                ));
            }
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
            number: 2.0,
        }
    }

    #[test]
    fn bands_of_hours() {
        let group = |hours| groups_of(&overhaul(0.5, "N", hours), [2.0, 2.0]).pop().unwrap();
        assert_eq!(group(0.0), "hours up to 500");
        assert_eq!(group(500.0), "hours up to 500");
        assert_eq!(group(500.1), "hours 500 to 1000");
        assert_eq!(group(2_000.0), "hours 1500 to 2000");
        assert_eq!(group(2_400.0), "hours above 2000");
    }

    /// Twelve overhauls with numbers 2 to 4: four each; those of the last third lost more.
    #[test]
    fn losses_that_grow_show_in_the_thirds() {
        let past: Vec<PastOverhaul> = (0..36)
            .map(|i| {
                let number = f64::from(2 + i / 12);
                PastOverhaul { number, ..overhaul(if i < 24 { 0.5 } else { 0.9 }, "N", 100.0) }
            })
            .collect();
        let mut backtest = Backtest::default();
        residuals(&past, &mut backtest);
        let groups: Vec<(&str, usize)> = backtest
            .scores
            .iter()
            .filter(|s| s.group.starts_with("overhaul"))
            .map(|s| (s.group.as_str(), s.count))
            .collect();
        let wanted = [
            ("overhaul number above 3", 12),
            ("overhaul number up to 2", 12),
            ("overhaul number up to 3, above 2", 12),
        ];
        assert_eq!(groups, wanted);
        assert!(
            backtest.remarks.iter().any(|r| r.contains("overhaul number above 3 were 1.3")),
            "{:?}",
            backtest.remarks
        );
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
        // All together lie 0.64 above, which is 3.1 of its standard errors.
        assert_eq!(backtest.remarks.len(), 2, "{:?}", backtest.remarks);
        assert!(backtest.remarks[0].starts_with("all thickness losses were 0.6 standard deviations larger"));
        assert!(backtest.remarks[0].ends_with("too hopeful"));
        assert!(backtest.remarks[1].contains("thickness losses of shop South were 1.3"));
        // Certain losses are held within reach.
        let mut certain = Backtest::default();
        residuals(&[overhaul(1.0, "North", 1.0)], &mut certain);
        assert_eq!(certain.scores[0].observed, Some(6.0));
        assert!(certain.remarks.is_empty());
    }
}
