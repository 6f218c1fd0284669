//! Does drawing the steps one by one confirm the chance of survival?
//!
//! Every part of the model in [`bladewane::stats::first_passage`] is drawn where it arises: the error of the
//! expected loss once, with the scale that makes it Student's t; the common loss of each step; each
//! station's lasting difference once, its fresh loss at each step, one gauge error before the first
//! step and one after each. The share of draws in which all stations are within their margins after
//! step `k` estimates the formula's chance. The share in which they were so after every step up to
//! `k` is given beside it: the formula looks at one step at a time, and this shows what that neglects.

use crate::steps_of_loss::Steps;
use bladewane::stats::first_passage::{FirstPassage, FirstPassageError, Station};
use bladewane::stats::losses::{CommonLoss, OwnLoss};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use rand_distr::{ChiSquared, Distribution, StandardNormal};
use std::num::{NonZeroU32, NonZeroUsize};

/// Draws that share one stream of random numbers. A stream belongs to its block, not to a thread,
/// and blocks are added up as whole numbers, so the number of threads changes nothing.
const BLOCK: u32 = 2_048;

/// How to simulate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Draws {
    /// Number of histories.
    pub count: NonZeroU32,
    /// Seed; equal seeds give equal answers.
    pub seed: u64,
    /// Threads to use.
    pub threads: NonZeroUsize,
}

/// The simulated chance after one step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SimulatedChance {
    /// Share of draws within all margins after this step, whatever came before.
    pub within: f64,
    /// Standard error of `within`.
    pub standard_error: f64,
    /// Share of draws within all margins after this step and every earlier one.
    pub throughout: f64,
}

/// Simulates steps `1..=steps`; the arguments are those of [`Steps::survival`], with the
/// degrees of freedom of the common loss.
///
/// # Errors
/// As [`Steps::survival`].
pub fn simulate_survival(
    steps: u32,
    degrees_of_freedom: f64,
    common: &CommonLoss,
    own: &OwnLoss,
    stations: &[Station],
    draws: Draws,
) -> Result<Vec<SimulatedChance>, FirstPassageError> {
    // Refuses the same input as the formula does.
    FirstPassage::new(degrees_of_freedom)?.survival(steps.min(1), common, own, stations)?;
    let history = History {
        steps: steps as usize,
        chi_squared: ChiSquared::new(degrees_of_freedom)
            .ok()
            .filter(|_| degrees_of_freedom.is_finite())
            .map(|distribution| (distribution, degrees_of_freedom)),
        common,
        own,
        stations,
    };
    let count = draws.count.get();
    let blocks = count.div_ceil(BLOCK);
    let threads = draws.threads.get().min(blocks as usize);
    let of_thread = |thread: usize| {
        let mut passed = vec![Passed::default(); steps as usize];
        for block in (thread as u32..blocks).step_by(threads) {
            let mut random = ChaCha8Rng::seed_from_u64(draws.seed);
            random.set_stream(u64::from(block));
            for _ in 0..BLOCK.min(count - block * BLOCK) {
                history.draw(&mut random, &mut passed);
            }
        }
        passed
    };
    let of_thread = &of_thread;
    let all: Vec<Vec<Passed>> = std::thread::scope(|scope| {
        let running: Vec<_> = (1..threads).map(|thread| scope.spawn(move || of_thread(thread))).collect();
        let mut all = vec![of_thread(0)];
        for handle in running {
            match handle.join() {
                Ok(passed) => all.push(passed),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        all
    });

    let share = |n: u64| n as f64 / f64::from(count);
    Ok((0..steps as usize)
        .map(|k| {
            let within = share(all.iter().map(|p| p[k].within).sum());
            SimulatedChance {
                within,
                standard_error: (within * (1.0 - within) / f64::from(count)).sqrt(),
                throughout: share(all.iter().map(|p| p[k].throughout).sum()),
            }
        })
        .collect())
}

/// Draws that passed one step.
#[derive(Debug, Clone, Copy, Default)]
struct Passed {
    within: u64,
    throughout: u64,
}

/// The model of one history.
struct History<'a> {
    steps: usize,
    /// The scale's distribution and degrees of freedom; `None` when the scale is known.
    chi_squared: Option<(ChiSquared<f64>, f64)>,
    common: &'a CommonLoss,
    own: &'a OwnLoss,
    stations: &'a [Station],
}

impl History<'_> {
    /// Draws one history and counts the steps it passes.
    fn draw(&self, random: &mut ChaCha8Rng, passed: &mut [Passed]) {
        if self.stations.iter().any(|s| s.margin < 0.0) {
            return;
        }
        let scale = self.chi_squared.as_ref().map_or(1.0, |(chi, df)| (df / chi.sample(random)).sqrt());
        let expected = self.common.mean + scale * self.common.mean_variance.sqrt() * normal(random);
        let common: Vec<f64> =
            (0..self.steps).map(|_| expected + scale * self.common.cycle_variance.sqrt() * normal(random)).collect();
        let mut within = vec![true; self.steps];
        for station in self.stations {
            let lasting = station.offset + self.own.lasting.sqrt() * normal(random);
            let first_reading = self.own.reading.sqrt() * normal(random);
            let mut left = station.margin + station.carried_variance.sqrt() * normal(random) + first_reading;
            for (common, within) in common.iter().zip(&mut within) {
                left -= common + lasting + self.own.per_cycle.sqrt() * normal(random);
                *within &= left + self.own.reading.sqrt() * normal(random) >= 0.0;
            }
        }
        let mut throughout = true;
        for (within, passed) in within.iter().zip(passed) {
            throughout &= within;
            passed.within += u64::from(*within);
            passed.throughout += u64::from(throughout);
        }
    }
}

fn normal(random: &mut ChaCha8Rng) -> f64 {
    StandardNormal.sample(random)
}

const COMMON: CommonLoss = CommonLoss { mean: 8.0, mean_variance: 0.5, cycle_variance: 4.0 };
const OWN: OwnLoss = OwnLoss { per_cycle: 1.5, lasting: 0.2, reading: 0.4 };

fn stations() -> [Station; 3] {
    let station = |margin, offset, carried_variance| Station { margin, offset, carried_variance };
    [station(30.0, -0.5, 0.0), station(34.0, 0.5, 1.5), station(40.0, 0.0, 0.0)]
}

fn draws(count: u32, threads: usize) -> Draws {
    Draws { count: NonZeroU32::new(count).unwrap(), seed: 20_240_607, threads: NonZeroUsize::new(threads).unwrap() }
}

#[test]
fn the_formula_is_confirmed() {
    for df in [4.0, 25.0, f64::INFINITY] {
        let formula = FirstPassage::new(df).unwrap();
        let simulated = simulate_survival(6, df, &COMMON, &OWN, &stations(), draws(60_000, 2)).unwrap();
        for (k, s) in (1..).zip(&simulated) {
            let exact = formula.chance(k, &COMMON, &OWN, &stations()).unwrap();
            // Four standard errors of 60,000 draws, at most 0.0082; the error is that of the
            // exact chance, because a simulated chance of 1 would claim none.
            let bound = 4.0 * (exact * (1.0 - exact) / 6e4).sqrt() + 1e-9;
            assert!((s.within - exact).abs() <= bound, "df {df}, k {k}: {exact} {s:?}");
            assert!(s.throughout <= s.within);
        }
        // The chances tested are not all trivial.
        assert!(simulated[3].within > 0.1 && simulated[3].within < 0.6);
    }
}

#[test]
fn threads_change_nothing_and_seeds_do() {
    let run = |draws| simulate_survival(5, 9.0, &COMMON, &OWN, &stations(), draws).unwrap();
    let one = run(draws(7_001, 1));
    assert_eq!(one, run(draws(7_001, 2)));
    assert_eq!(one, run(draws(7_001, 64)));
    let other = Draws { seed: 1, ..draws(7_001, 1) };
    assert_ne!(one, run(other));
}

#[test]
fn what_the_formula_refuses_is_refused() {
    let run =
        |df, common: &CommonLoss, stations: &[Station]| simulate_survival(2, df, common, &OWN, stations, draws(10, 1));
    assert_eq!(run(9.0, &COMMON, &[]), Err(FirstPassageError::NoStations));
    assert_eq!(run(0.0, &COMMON, &stations()), Err(FirstPassageError::DegreesOfFreedom));
    let unknown = CommonLoss { mean: f64::NAN, ..COMMON };
    assert_eq!(run(9.0, &unknown, &stations()), Err(FirstPassageError::Value));
    let mut below = stations();
    below[1].margin = -1e-9;
    assert!(run(9.0, &COMMON, &below).unwrap().iter().all(|s| s.within == 0.0));
}
