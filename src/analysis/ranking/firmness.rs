//! How firm a place by the score is: where it lies when weights, rates and air are not quite what they are taken for.
//!
//! In each draw the weights come from a Dirichlet distribution around the set ones (concentration 20), the rate of findings from
//! its posterior, and the attack of the air at each base from its stated uncertainty: half to twice the estimate (ISO 9223:2012,
//! -50 %/+100 %, a lognormal factor). Air that is not known counts at the worst rate in every draw. Each draw has random numbers of its own, so threads change nothing.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use rand_distr::{Distribution, Gamma, StandardNormal};
use rayon::prelude::*;

use super::super::standing::List;
use super::score::{Parts, Shares, scores};
use crate::settings::RankingSettings;
use crate::stats::rate_posterior::RatePosterior;
use crate::trade::corrosion::UNCERTAINTY_LOG_SD;

/// Draws.
pub const DRAWS: usize = 1_000;
/// Above this many propellers there are fewer draws.
const MANY_PROPELLERS: usize = 20_000;
/// Draws then.
const FEWER_DRAWS: usize = 100;
/// Concentration of the weights around the set ones.
const CONCENTRATION: f64 = 20.0;
/// Streams of random numbers from here on belong to the ranking.
const FIRST_STREAM: u64 = 1 << 40;
/// The share of draws below the range, and above it.
const TAIL: f64 = 0.05;

/// A rate of findings that is not quite known.
#[derive(Debug, Clone, PartialEq)]
pub struct UnsureRate {
    /// Its posterior.
    pub posterior: RatePosterior,
    /// What it is compared with, in the same unit.
    pub fleet_mean: f64,
    /// Open findings, which count one each.
    pub open: f64,
}

/// One propeller whose place is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Unsure {
    /// Its list.
    pub list: List,
    /// Its shares as they are taken to be.
    pub shares: Shares,
    /// Its rate; `None` where the defect share is not known.
    pub rate: Option<UnsureRate>,
    /// Number of the base whose air it has; `None` where the air is not known.
    pub site: Option<u32>,
}

/// The 5 and 95 % points of the place by the score in the own list, from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RankRange {
    /// 5 % point.
    pub low: u32,
    /// 95 % point.
    pub high: u32,
}

/// How many draws are made for a number of propellers.
pub fn draws_for(propellers: usize) -> usize {
    if propellers > MANY_PROPELLERS { FEWER_DRAWS } else { DRAWS }
}

/// Ranges of the places of propellers, which are in order of serial.
pub fn rank_ranges(propellers: &[Unsure], parts: Parts, settings: &RankingSettings, seed: u64) -> Vec<RankRange> {
    let draws = draws_for(propellers.len());
    let sites = propellers.iter().filter_map(|p| p.site).max().map_or(0, |last| last as usize + 1);
    let places: Vec<Vec<u32>> = (0..draws)
        .into_par_iter()
        .map(|draw| {
            let mut random = ChaCha8Rng::seed_from_u64(seed);
            random.set_stream(FIRST_STREAM + draw as u64);
            drawn_places(propellers, parts, settings, sites, &mut random)
        })
        .collect();
    let place = |share: f64| ((share * draws as f64).ceil() as usize).clamp(1, draws) - 1;
    let (low, high) = (place(TAIL), place(1.0 - TAIL));
    (0..propellers.len())
        .into_par_iter()
        .with_min_len(256)
        .map(|at| {
            let mut own: Vec<u32> = places.iter().map(|draw| draw[at]).collect();
            own.sort_unstable();
            RankRange { low: own[low], high: own[high] }
        })
        .collect()
}

/// Places in one draw.
fn drawn_places(
    propellers: &[Unsure],
    parts: Parts,
    settings: &RankingSettings,
    sites: usize,
    random: &mut ChaCha8Rng,
) -> Vec<u32> {
    // Gamma variables over their sum are Dirichlet; scores divide by the sum of the weights.
    let [weight_time, weight_climate, weight_defects] = settings
        .weights()
        .map(|weight| Gamma::new(CONCENTRATION * weight, 1.0).map_or(0.0, |gamma| gamma.sample(random)));
    let drawn_settings = RankingSettings { weight_time, weight_climate, weight_defects, ..settings.clone() };
    let factors: Vec<f64> = (0..sites)
        .map(|_| {
            let score: f64 = StandardNormal.sample(random);
            (score * UNCERTAINTY_LOG_SD).exp()
        })
        .collect();
    let shares: Vec<Shares> = propellers
        .iter()
        .map(|p| Shares {
            time: p.shares.time,
            climate: p.shares.climate.map(|x| x * p.site.map_or(1.0, |site| factors[site as usize])),
            defects: match &p.rate {
                Some(rate) => Some(rate.posterior.draw(random) / rate.fleet_mean + rate.open),
                None => p.shares.defects,
            },
        })
        .collect();
    let scores = scores(&shares, parts, &drawn_settings);
    // Keys beside their index: the sort compares numbers that lie together instead of looking each score up.
    let mut order: Vec<(List, u64, u32)> = (0u32..)
        .zip(propellers.iter().zip(&scores))
        .map(|(at, (propeller, score))| (propeller.list, descending_key(score.score), at))
        .collect();
    order.sort_unstable();
    let mut places = vec![0; propellers.len()];
    for of_list in order.chunk_by(|a, b| a.0 == b.0) {
        for (place, &(_, _, at)) in (1..).zip(of_list) {
            places[at as usize] = place;
        }
    }
    places
}

/// A number that rises as the score falls, in the total order of floats.
fn descending_key(score: f64) -> u64 {
    let bits = score.to_bits();
    // Negative floats order by their bits backwards; positive ones come after them.
    let ascending = if bits >> 63 == 1 { !bits } else { bits | 1 << 63 };
    !ascending
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::gamma_poisson::RatePrior;

    const BOTH: Parts = Parts { climate: true, defects: true };

    fn settings() -> RankingSettings {
        crate::settings::Settings::default().ranking
    }

    fn unsure(time: f64, climate: f64, defects: f64) -> Unsure {
        Unsure {
            list: List::Flying,
            shares: Shares { time: Some(time), climate: Some(climate), defects: Some(defects) },
            rate: None,
            site: None,
        }
    }

    /// Chances of each place of three propellers, by going through the weights' density on a grid and through quantiles of
    /// everything else: `shares[j]` lists the shares of the propellers in the j-th case, all alike probable.
    fn enumerated(cases: &[[[f64; 3]; 3]], steps: usize) -> [[f64; 3]; 3] {
        // Dirichlet density around 0.4, 0.3, 0.3 at concentration 20: w1^7 w2^5 w3^5.
        let part = |x: f64| x / (1.0 + x);
        let mut chances = [[0.0; 3]; 3];
        let mut total = 0.0;
        for i in 0..steps {
            for j in 0..steps - i {
                let weight = |n: usize| (n as f64 + 1.0 / 3.0) / steps as f64;
                let (w1, w2) = (weight(i), weight(j));
                let w3 = 1.0 - w1 - w2;
                if w3 <= 0.0 {
                    continue;
                }
                let density = w1.powi(7) * w2.powi(5) * w3.powi(5);
                for case in cases {
                    let score = case.map(|[t, c, d]| w1 * part(t) + w2 * part(c) + w3 * part(d));
                    for (p, &own) in score.iter().enumerate() {
                        let above = score
                            .iter()
                            .enumerate()
                            .filter(|&(q, &other)| other > own || (other == own && q < p))
                            .count();
                        chances[p][above] += density;
                    }
                    total += density;
                }
            }
        }
        chances.map(|of| of.map(|c| c / total))
    }

    fn points(chances: [f64; 3]) -> RankRange {
        let mut sum = 0.0;
        let mut reached = [0u32; 2];
        for (place, chance) in (1..).zip(chances) {
            sum += chance;
            for (point, share) in reached.iter_mut().zip([TAIL, 1.0 - TAIL]) {
                // 1,000 draws tell no chance to better than about 0.02 near these points (three standard errors).
                assert!((sum - share).abs() > 0.021, "too close to tell: {chances:?}");
                if *point == 0 && sum >= share {
                    *point = place;
                }
            }
        }
        RankRange { low: reached[0], high: reached[1] }
    }

    #[test]
    fn weights_against_enumeration() {
        let shares = [[2.0, 0.1, 0.6], [0.6, 1.2, 0.6], [0.4, 0.3, 1.0]];
        let chances = enumerated(&[shares], 300);
        let ranges = rank_ranges(&shares.map(|[t, c, d]| unsure(t, c, d)), BOTH, &settings(), 1);
        let expected = chances.map(points);
        assert_eq!(ranges, expected);
        // Not all places are certain, nor all open.
        assert!(expected.iter().any(|r| r.low != r.high), "{chances:?}");
        assert!(expected.iter().any(|r| r.high - r.low < 2), "{chances:?}");
    }

    #[test]
    fn rates_and_air_against_enumeration() {
        let posterior = |count: u32, exposure: f64| {
            RatePosterior::plug_in(&RatePrior::Gamma { shape: 2.0, rate: 4.0 }, count, exposure)
        };
        let rates = [posterior(4, 2.0), posterior(1, 2.0), posterior(0, 9.0)];
        let times = [0.4, 0.8, 1.1];
        let propellers: Vec<Unsure> = (0..3)
            .map(|p| Unsure {
                rate: Some(UnsureRate { posterior: rates[p].clone(), fleet_mean: 0.5, open: 0.0 }),
                // The first two share a base.
                site: Some((p / 2) as u32),
                ..unsure(times[p], 1.0, 9.0)
            })
            .collect();
        let quantiles = 12;
        let middle = |at: usize| (at as f64 + 0.5) / f64::from(quantiles);
        let rate: Vec<Vec<f64>> = rates
            .iter()
            .map(|r| (0..quantiles as usize).map(|at| r.quantile(middle(at)).unwrap() / 0.5).collect())
            .collect();
        let factor: Vec<f64> = (0..7)
            .map(|at| (crate::stats::normal::quantile((at as f64 + 0.5) / 7.0) * UNCERTAINTY_LOG_SD).exp())
            .collect();
        let mut cases = Vec::new();
        for &a in &rate[0] {
            for &b in &rate[1] {
                for &c in &rate[2] {
                    for &here in &factor {
                        for &there in &factor {
                            cases.push([[times[0], here, a], [times[1], here, b], [times[2], there, c]]);
                        }
                    }
                }
            }
        }
        let chances = enumerated(&cases, 12);
        let expected = chances.map(points);
        let ranges = rank_ranges(&propellers, BOTH, &settings(), 1);
        assert_eq!(ranges, expected, "{chances:?}");
    }

    #[test]
    fn lists_have_places_of_their_own_and_certain_ones_stay() {
        let mut propellers = vec![unsure(2.0, 2.0, 2.0), unsure(1.0, 1.0, 1.0), unsure(3.0, 3.0, 3.0)];
        propellers[1].list = List::Spare;
        let ranges = rank_ranges(&propellers, BOTH, &settings(), 1);
        let sure = |place| RankRange { low: place, high: place };
        assert_eq!(ranges, [sure(2), sure(1), sure(1)]);
        assert_eq!((draws_for(20_000), draws_for(20_001)), (1_000, 100));
        assert_eq!(rank_ranges(&[], BOTH, &settings(), 1), []);
    }

    #[test]
    fn keys_fall_as_scores_rise() {
        let rising =
            [f64::NEG_INFINITY, -7.5, -0.0, 0.0, 1e-300, 12.25, 12.250000000000002, 100.0, f64::INFINITY, f64::NAN];
        assert!(rising.is_sorted_by(|a, b| a.total_cmp(b).is_lt()));
        assert!(rising.map(descending_key).is_sorted_by(|a, b| a > b));
    }

    #[test]
    fn a_weight_of_zero_stays_zero() {
        let only_time = RankingSettings { weight_climate: 0.0, weight_defects: 0.0, ..settings() };
        let propellers = [unsure(1.0, 9.0, 9.0), unsure(1.1, 0.0, 0.0)];
        let ranges = rank_ranges(&propellers, BOTH, &only_time, 1);
        assert_eq!(ranges[1], RankRange { low: 1, high: 1 });
    }

    #[test]
    fn threads_change_nothing() {
        let propellers: Vec<Unsure> = (0..40)
            .map(|i| Unsure { site: Some(i % 3), ..unsure(0.1 * f64::from(i), 1.0, 2.0 - 0.04 * f64::from(i)) })
            .collect();
        let with = |threads| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| rank_ranges(&propellers, BOTH, &settings(), 4))
        };
        assert_eq!(with(1), with(3));
        assert_ne!(with(1), rank_ranges(&propellers, BOTH, &settings(), 5));
    }
}
