//! What the cycles of one pool say of one dimension.

use std::sync::{Arc, OnceLock};

use super::course::{Course, Growth};
use crate::analysis::cycles::{Cycle, Scatter};
use crate::analysis::remaining::OUTLOOK_OVERHAULS;
use crate::settings::ForecastSettings;
use crate::stats::compound::{Compound, SumTable};
use crate::stats::first_passage::{Amounts, FirstPassage, Room, Station};
use crate::stats::groups::{Group, GroupStatistics};
use crate::stats::losses::{CommonLoss, OwnLoss};
use crate::stats::ratio::{RatioFit, SpreadPrior};
use crate::stats::reml::{self, RemlFit};
use crate::stats::slope::{WithinSums, rise};
use crate::trade::geometry::Dimension;

/// Cycles from which a pool is fitted.
pub const FEWEST_CYCLES: usize = 3;
/// Below this many cycles every number is marked.
pub const FEW_CYCLES: usize = 6;
/// Cycles that start at a reading, and cycles from drawing, from which the latter are weighed.
const OTHERS_TO_WEIGH: usize = 20;
const FIRST_TO_WEIGH: usize = 5;
/// Degrees of freedom at which first cycles are left out of the variances.
const ENOUGH_FREEDOM: usize = 30;
/// What is expected before any cycle, assumptions of this program: losses rise in one fleet of five, and there by a twentieth of
/// the mean loss an overhaul.
const RISE_CHANCE: f64 = 0.2;
const RISE_EXPECTED: f64 = 0.05;
/// The least variance of a place's own loss beside blends to come, in inches squared.
const LEAST_OWN_VARIANCE_IN2: f64 = 1e-10;

/// What an expected loss rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Estimate {
    /// The pool's own cycles.
    Fitted,
    /// Too few cycles: common practice, no source.
    CommonPractice,
    /// Too few cycles, and no common practice to go by.
    NotEstimable,
}

/// How cycles that start at the new dimension were taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FirstCycles {
    /// By how much they lose more than others, in inches; 0 when within two standard errors.
    pub shift_in: f64,
    /// Their additional variance: the maker's tolerance, in inches squared.
    pub variance_in2: f64,
    /// Their weight beside other cycles.
    pub weight: f64,
}

/// One pool in one dimension.
#[derive(Debug, Clone)]
pub struct Fit {
    /// The model's number; `None` for the whole fleet.
    pub model: Option<u32>,
    /// The model's name, or `fleet`.
    pub name: Arc<str>,
    /// Width or thickness.
    pub dimension: Dimension,
    /// Cycles in the fit.
    pub cycles: usize,
    /// Propellers that have them.
    pub propellers: usize,
    /// What it rests on.
    pub estimate: Estimate,
    /// How first cycles were weighed; `None` when they count like the others.
    pub first: Option<FirstCycles>,
    /// How losses change with the number of the overhaul.
    pub growth: Growth,
    /// The fit by restricted maximum likelihood, reported; `None` where it has no answer.
    pub reml: Option<RemlFit>,
    /// What a blade and station loses of its own.
    pub own: OwnLoss,
    /// Mean loss in service from one visit to the next unpainted reading, in inches.
    pub service_loss_in: Option<f64>,
    /// Correlation of the losses of width and thickness at one overhaul.
    pub correlation: Option<f64>,
    /// Chances at the degrees of freedom of this fit.
    passage: Option<FirstPassage>,
    ratio: Option<RatioFit>,
    /// Mean loss with what blends took in it, and its standard error, in inches; the mean without it.
    raw: Option<(f64, f64, f64)>,
    /// What is added to the expected loss so that it never falls below the raw mean, in inches.
    held_in: f64,
    /// By number of overhauls ahead: what blends to come leave of a chance.
    tables: [OnceLock<Arc<SumTable>>; OUTLOOK_OVERHAULS as usize],
    /// Expected without cycles enough.
    assumed: Option<CommonLoss>,
    /// Propellers with cycles, ascending, as the groups of the statistics.
    members: Vec<u32>,
    groups: Vec<Group>,
}

/// Cycles as the statistics take them.
struct Observations {
    values: Vec<f64>,
    group: Vec<usize>,
    weights: Vec<f64>,
    members: Vec<u32>,
}

impl Observations {
    /// `cycles` ordered by propeller; `seen` gives value and weight, or `None` to leave the cycle out.
    fn of(cycles: &[&Cycle], seen: impl Fn(&Cycle) -> Option<(f64, f64)>) -> Observations {
        let mut all = Observations {
            values: Vec::with_capacity(cycles.len()),
            group: Vec::with_capacity(cycles.len()),
            weights: Vec::with_capacity(cycles.len()),
            members: Vec::new(),
        };
        for cycle in cycles {
            let Some((value, weight)) = seen(cycle) else {
                continue;
            };
            if all.members.last() != Some(&cycle.propeller) {
                all.members.push(cycle.propeller);
            }
            all.values.push(value);
            all.weights.push(weight);
            all.group.push(all.members.len() - 1);
        }
        all
    }

    fn statistics(&self) -> Option<GroupStatistics> {
        GroupStatistics::new(&self.values, &self.group, &self.weights, self.members.len()).ok()
    }

    /// The prior on the spread: a share of the mean loss.
    fn prior(&self, dimension: Dimension, forecast: &ForecastSettings) -> SpreadPrior {
        let sum: f64 = self.values.iter().zip(&self.weights).map(|(v, w)| v * w).sum();
        let mean = sum / self.weights.iter().sum::<f64>();
        // Losses that are nil on average are the gauge's doing and say nothing of a spread.
        let mean = if mean > 0.0 { mean } else { usual_loss_in(dimension, forecast) };
        SpreadPrior { degrees_of_freedom: forecast.prior_weight, spread: forecast.prior_spread_fraction * mean }
    }
}

fn usual_loss_in(dimension: Dimension, forecast: &ForecastSettings) -> f64 {
    match dimension {
        Dimension::Thickness => forecast.thickness_loss_in,
        Dimension::Width => forecast.width_loss_in,
    }
}

fn spanned(cycle: &Cycle) -> f64 {
    f64::from(cycle.spanned)
}

fn group_of(members: &[u32], groups: &[Group], propeller: u32) -> Group {
    members.binary_search(&propeller).map_or_else(|_| Group::default(), |at| groups[at])
}

/// The pool a fit is made for.
#[derive(Debug, Clone)]
pub struct PoolOf {
    /// The model's number; `None` for the whole fleet.
    pub model: Option<u32>,
    /// Its name, or `fleet`.
    pub name: Arc<str>,
}

impl Fit {
    /// Fits the cycles of a pool, ordered by propeller; `scatter` and `parameters` are sums over the pool's models of what
    /// the readings leave over and of the degrees of freedom that station offsets used up.
    pub fn of(
        pool: PoolOf,
        dimension: Dimension,
        cycles: &[&Cycle],
        scatter: &Scatter,
        parameters: usize,
        forecast: &ForecastSettings,
    ) -> Fit {
        let service_loss_in = (scatter.services > 0).then(|| scatter.service_in / scatter.services as f64);
        let mut fit = Fit {
            model: pool.model,
            name: pool.name,
            dimension,
            cycles: cycles.len(),
            propellers: Observations::of(cycles, |c| Some((c.mean_loss_in, 1.0))).members.len(),
            estimate: Estimate::NotEstimable,
            first: None,
            growth: Growth::default(),
            reml: None,
            own: OwnLoss { per_cycle: 0.0, lasting: 0.0, reading: 0.0 },
            service_loss_in,
            correlation: None,
            // An assumed loss is taken as normal.
            passage: FirstPassage::new(f64::INFINITY).ok(),
            ratio: None,
            raw: raw_mean(cycles),
            held_in: 0.0,
            tables: Default::default(),
            assumed: None,
            members: Vec::new(),
            groups: Vec::new(),
        };
        if cycles.len() >= FEWEST_CYCLES && fit.learn(cycles, forecast).is_some() {
            fit.estimate = Estimate::Fitted;
            fit.own = own_loss(scatter, parameters);
        } else if dimension == Dimension::Thickness {
            fit.estimate = Estimate::CommonPractice;
            let spread = forecast.loss_spread_fraction * forecast.thickness_loss_in;
            fit.assumed = Some(CommonLoss {
                mean: forecast.thickness_loss_in,
                mean_variance: 0.0,
                cycle_variance: spread * spread,
            });
        }
        fit
    }

    fn learn(&mut self, cycles: &[&Cycle], forecast: &ForecastSettings) -> Option<()> {
        self.growth = self.grow(cycles, forecast);
        self.first = self.weigh_first(cycles, forecast);
        let (first, growth) = (self.first, self.growth);
        let seen = Observations::of(cycles, |cycle| {
            let (shift, weight) = match first {
                Some(first) if cycle.from_drawing => (first.shift_in, first.weight),
                _ => (0.0, 1.0),
            };
            Some((cycle.mean_loss_in - shift - growth.more_in(cycle.number), weight * spanned(cycle)))
        });
        let statistics = seen.statistics()?;
        let ratio = RatioFit::new(&statistics, seen.prior(self.dimension, forecast)).ok()?;
        self.passage = Some(FirstPassage::new(ratio.degrees_of_freedom()).ok()?);
        self.reml = reml::fit(&statistics).ok();
        self.ratio = Some(ratio);
        self.groups = statistics.groups().to_vec();
        self.members = seen.members;
        Some(())
    }

    /// Cycles from drawing against a fit of the others.
    fn weigh_first(&self, cycles: &[&Cycle], forecast: &ForecastSettings) -> Option<FirstCycles> {
        let first: Vec<&&Cycle> = cycles.iter().filter(|c| c.from_drawing).collect();
        if first.len() < FIRST_TO_WEIGH || cycles.len() - first.len() < OTHERS_TO_WEIGH {
            return None;
        }
        let freed = |c: &Cycle| c.mean_loss_in - self.growth.more_in(c.number);
        let others = Observations::of(cycles, |c| (!c.from_drawing).then(|| (freed(c), spanned(c))));
        let statistics = others.statistics()?;
        let ratio = RatioFit::new(&statistics, others.prior(self.dimension, forecast)).ok()?;
        let deviations: Vec<(f64, f64)> = first
            .iter()
            .map(|cycle| {
                let group = group_of(&others.members, statistics.groups(), cycle.propeller);
                let common = ratio.predict(&group);
                let variance = common.mean_variance + common.cycle_variance / spanned(cycle);
                (freed(cycle) - common.mean, variance)
            })
            .collect();
        Some(first_cycles(&deviations, ratio.predict(&Group::default()).cycle_variance))
    }

    /// The slope of the losses on the overhauls' numbers within propellers, cycles from drawing out, and what is believed of it.
    /// Its error counts the prior's spread as the fit itself does, so that three cycles in a row prove no slope.
    fn grow(&self, cycles: &[&Cycle], forecast: &ForecastSettings) -> Growth {
        let all = Observations::of(cycles, |c| Some((c.mean_loss_in, spanned(c))));
        let prior = all.prior(self.dimension, forecast);
        let others: Vec<(usize, f64, f64, f64)> = cycles
            .iter()
            .filter(|c| !c.from_drawing)
            .map(|c| (c.propeller as usize, c.number, c.mean_loss_in, spanned(c)))
            .collect();
        let measured = WithinSums::of(&others).slope();
        let weights: f64 = all.weights.iter().sum();
        let about = cycles.iter().map(|c| spanned(c) * c.number).sum::<f64>() / weights;
        let usual_in = prior.spread / forecast.prior_spread_fraction.max(f64::MIN_POSITIVE);
        let nu = prior.degrees_of_freedom;
        let estimate = measured.map(|m| {
            let freedom = m.degrees_of_freedom as f64 + nu;
            let variance = (m.squares + nu * prior.spread * prior.spread) / freedom;
            (m.slope, (variance / m.numbers).sqrt())
        });
        Growth { measured, rise: rise(estimate, RISE_EXPECTED * usual_in, RISE_CHANCE), about }
    }

    /// What the next overhauls of a propeller are expected to take in common, `passed` of them behind it; `None` when that is not
    /// estimable.
    pub fn course(&self, propeller: u32, passed: f64) -> Option<Course> {
        Some(Course { common: self.common(propeller)?, growth: self.growth, passed })
    }

    /// As [`Fit::course`] at the pool's mean number of overhauls; `None` when that is not estimable.
    pub fn common(&self, propeller: u32) -> Option<CommonLoss> {
        let Some(ratio) = &self.ratio else { return self.assumed };
        let common = ratio.predict(&group_of(&self.members, &self.groups, propeller));
        Some(CommonLoss { mean: common.mean + self.held_in, ..common })
    }

    /// With what blends are expected to take of a place in a cycle: where wear and blends together would be less than the mean loss
    /// with blends in it, less one standard error, that mean stands.
    pub fn hold_to_raw(&mut self, to_come_in: f64) {
        if let Some((raw_in, error_in, freed_in)) = self.raw.filter(|_| self.ratio.is_some()) {
            let short_in = raw_in - (freed_in + to_come_in);
            self.held_in = if short_in > error_in { short_in } else { 0.0 };
        }
    }

    /// What is added to the expected loss so that it never falls below the mean loss with blends in it, in inches.
    pub fn held_in(&self) -> f64 {
        self.held_in
    }

    /// Standard deviation of a place's own loss over `k` cycles, in inches; never nothing.
    fn own_sd_in(&self, k: u32) -> f64 {
        self.own.sum_variance(k).max(LEAST_OWN_VARIANCE_IN2).sqrt()
    }

    /// As [`Fit::chance`], where blends take metal besides: `amounts` of each station until the `k`-th overhaul, out of `taken`.
    pub fn chance_with(
        &self,
        k: u32,
        course: &Course,
        stations: &[Station],
        amounts: &[Amounts],
        taken: &Compound,
    ) -> f64 {
        if stations.iter().any(|s| s.margin < 0.0 && s.carried_variance == 0.0) {
            return 0.0;
        }
        self.all_within_with((k, 0.0), course, stations, amounts, taken).unwrap_or(0.0)
    }

    /// As [`Fit::within`], where blends take metal besides, as [`Fit::chance_with`] tells.
    pub fn within_with(
        &self,
        course: &Course,
        stations: &[Station],
        spare: f64,
        amounts: &[Amounts],
        taken: &Compound,
    ) -> Option<f64> {
        self.all_within_with((1, spare), course, stations, amounts, taken)
    }

    fn all_within_with(
        &self,
        (k, spare): (u32, f64),
        course: &Course,
        stations: &[Station],
        amounts: &[Amounts],
        taken: &Compound,
    ) -> Option<f64> {
        let own_sd_in = self.own_sd_in(k);
        let mut rooms = self.rooms(k, course, stations, spare);
        for room in &mut rooms {
            room.variance = room.variance.max(LEAST_OWN_VARIANCE_IN2);
        }
        let made = || Arc::new(SumTable::new(taken, own_sd_in));
        let kept = self.tables.get(k.saturating_sub(1) as usize);
        let table = kept.map_or_else(made, |slot| Arc::clone(slot.get_or_init(made)));
        self.passage.as_ref()?.all_within_with(course.sum_variance(k), &rooms, amounts, &table).ok()
    }

    /// Chance that every station is within its margin after `k` more cycles; 0 where the numbers allow no answer, so
    /// that an unusable one never makes a propeller look safer, and where a margin that is no expectation is used up.
    pub fn chance(&self, k: u32, course: &Course, stations: &[Station]) -> f64 {
        if stations.iter().any(|s| s.margin < 0.0 && s.carried_variance == 0.0) {
            return 0.0;
        }
        self.all_within(k, course, stations, 0.0).unwrap_or(0.0)
    }

    /// Chance that after one more cycle every station has at least `spare` left, whatever it has now, in inches.
    pub fn within(&self, course: &Course, stations: &[Station], spare: f64) -> Option<f64> {
        self.all_within(1, course, stations, spare)
    }

    fn rooms(&self, k: u32, course: &Course, stations: &[Station], spare: f64) -> Vec<Room> {
        let (mean, variance) = (course.sum_mean(k), self.own.sum_variance(k));
        stations
            .iter()
            .map(|station| Room {
                room: station.margin - spare - mean - f64::from(k) * station.offset,
                variance: variance + station.carried_variance,
            })
            .collect()
    }

    fn all_within(&self, k: u32, course: &Course, stations: &[Station], spare: f64) -> Option<f64> {
        let rooms = self.rooms(k, course, stations, spare);
        self.passage.as_ref()?.all_within(course.sum_variance(k), &rooms).ok()
    }

    /// Degrees of freedom of Student's t in every prediction; infinite for an assumed loss.
    pub fn degrees_of_freedom(&self) -> f64 {
        self.passage.as_ref().map_or(f64::INFINITY, FirstPassage::degrees_of_freedom)
    }

    /// Mean loss of a cycle, in inches, as reported.
    pub fn mean_loss_in(&self) -> Option<f64> {
        self.reml.as_ref().map(|reml| reml.mean).or_else(|| Some(self.common(u32::MAX)?.mean))
    }
}

/// Shift and variance of first cycles, from their deviations (with variances) from a fit of the others.
fn first_cycles(deviations: &[(f64, f64)], cycle_variance: f64) -> FirstCycles {
    let precision: f64 = deviations.iter().map(|(_, variance)| 1.0 / variance).sum();
    let weighted: f64 = deviations.iter().map(|(dev, variance)| dev / variance).sum();
    let shift = weighted / precision;
    let clear = shift.abs() >= 2.0 / precision.sqrt();
    // Without any variance the quotients say nothing.
    let shift_in = if shift.is_finite() && clear { shift } else { 0.0 };
    let excess: f64 = deviations.iter().map(|(dev, variance)| (dev - shift_in).powi(2) - variance).sum();
    let variance_in2 = (excess / deviations.len() as f64).max(0.0);
    let weight = cycle_variance / (cycle_variance + variance_in2);
    FirstCycles { shift_in, variance_in2, weight: if weight > 0.0 { weight } else { 1.0 } }
}

/// Mean loss with what blends took in it, its standard error, and the mean without, of cycles weighed by the overhauls they span;
/// `None` where blends took nothing.
fn raw_mean(cycles: &[&Cycle]) -> Option<(f64, f64, f64)> {
    if cycles.len() < FEWEST_CYCLES || cycles.iter().all(|c| c.blended_in == 0.0) {
        return None;
    }
    let weights: f64 = cycles.iter().map(|c| spanned(c)).sum();
    let mean = |of: &dyn Fn(&Cycle) -> f64| cycles.iter().map(|c| spanned(c) * of(c)).sum::<f64>() / weights;
    let raw = mean(&|c| c.mean_loss_in + c.blended_in);
    let squares = mean(&|c| (c.mean_loss_in + c.blended_in - raw).powi(2));
    Some((raw, (squares / (cycles.len() - 1) as f64).sqrt(), mean(&|c| c.mean_loss_in)))
}

/// The scatter of one blade and station; none where the readings leave no degree of freedom.
fn own_loss(scatter: &Scatter, parameters: usize) -> OwnLoss {
    let freedom = |observations: usize, overhauls: usize| observations.saturating_sub(overhauls + parameters);
    let mut sums = scatter.others;
    if freedom(sums.observations, sums.overhauls) < ENOUGH_FREEDOM {
        sums.join(&scatter.first);
    }
    let left = freedom(sums.observations, sums.overhauls);
    let within = if left > 0 { sums.squares / left as f64 } else { 0.0 };
    let readings = scatter.paired.observations as f64 / scatter.paired.overhauls as f64;
    match scatter.pairs.split(within, readings) {
        Ok(parts) => parts.own,
        Err(_) => OwnLoss { per_cycle: within, lasting: 0.0, reading: 0.0 },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analysis::cycles::ResidualSums;
    use crate::stats::residual_variances::CovarianceSums;

    fn cycle(propeller: u32, mean_loss_in: f64, from_drawing: bool) -> Cycle {
        Cycle {
            propeller,
            visit: 0,
            mean_loss_in,
            number: 1.0,
            spanned: 1,
            readings: 4,
            from_drawing,
            blended_in: 0.0,
            days: 0,
        }
    }

    fn fit(cycles: &[Cycle], dimension: Dimension) -> Fit {
        let cycles: Vec<&Cycle> = cycles.iter().collect();
        let pool = PoolOf { model: None, name: "fleet".into() };
        let forecast = crate::settings::Settings::default().forecast;
        Fit::of(pool, dimension, &cycles, &Scatter::default(), 0, &forecast)
    }

    /// By hand: deviations 2, 4, 6 with variances 1, 1, 2: delta = (2 + 4 + 3)/2.5 = 3.6, two standard errors 1.265;
    /// f^2 = ((1.6^2 - 1) + (0.4^2 - 1) + (2.4^2 - 2))/3 = 1.493333; weight of s^2 = 2: 2/3.493333.
    #[test]
    fn first_cycles_by_hand() {
        let first = first_cycles(&[(2.0, 1.0), (4.0, 1.0), (6.0, 2.0)], 2.0);
        assert!((first.shift_in - 3.6).abs() < 1e-12);
        assert!((first.variance_in2 - 4.48 / 3.0).abs() < 1e-12);
        assert!((first.weight - 2.0 / (2.0 + 4.48 / 3.0)).abs() < 1e-12);
        // Within two standard errors: no shift; less scatter than expected: no variance.
        let first = first_cycles(&[(0.5, 1.0), (-0.2, 1.0)], 2.0);
        assert_eq!((first.shift_in, first.variance_in2, first.weight), (0.0, 0.0, 1.0));
        let nothing = first_cycles(&[(0.0, 0.0), (0.0, 0.0)], 0.0);
        assert_eq!((nothing.shift_in, nothing.weight), (0.0, 1.0));
    }

    #[test]
    fn first_cycles_are_weighed_only_beside_enough_others() {
        let mut cycles: Vec<Cycle> = (0..20).map(|i| cycle(i / 2, 0.008 + 0.0005 * f64::from(i % 5), false)).collect();
        cycles.extend((20..25).map(|i| cycle(i, 0.012 + 0.003 * f64::from(i % 3), true)));
        cycles.sort_by_key(|c| c.propeller);
        let weighed = fit(&cycles, Dimension::Thickness);
        let first = weighed.first.expect("20 others and 5 first");
        assert!(first.shift_in > 0.004 && first.weight < 1.0, "{first:?}");
        // Without the shift a newcomer is expected to lose as the others do (0.009), not as all do together (0.0102).
        let mean = weighed.common(99).unwrap().mean;
        assert!((mean - 0.009).abs() < 0.0003, "{mean}");
        let fewer = fit(&cycles[1..], Dimension::Thickness);
        assert!(fewer.first.is_none());
        assert!(fewer.common(99).unwrap().mean > mean + 0.0005);
    }

    #[test]
    fn too_few_cycles() {
        for count in 0..3 {
            let cycles: Vec<Cycle> = (0..count).map(|i| cycle(i, 0.02, false)).collect();
            let thickness = fit(&cycles, Dimension::Thickness);
            assert_eq!(thickness.estimate, Estimate::CommonPractice);
            let common = thickness.common(0).unwrap();
            // Common practice, no source: 0.008 in; its spread of half is this program's assumption.
            assert_eq!(common.mean, 0.008);
            assert!((common.sum_variance(1).sqrt() - 0.004).abs() < 1e-15);
            let width = fit(&cycles, Dimension::Width);
            assert_eq!(width.estimate, Estimate::NotEstimable);
            assert_eq!(width.common(0), None);
        }
        let three: Vec<Cycle> = (0..3).map(|i| cycle(i, 0.02, false)).collect();
        let fitted = fit(&three, Dimension::Width);
        assert_eq!(fitted.estimate, Estimate::Fitted);
        assert!(fitted.cycles < FEW_CYCLES);
        assert!((fitted.common(0).unwrap().mean - 0.02).abs() < 1e-12);
    }

    #[test]
    fn losses_all_equal_or_nil_still_have_a_spread() {
        for loss in [0.008, 0.0, -0.001] {
            let cycles: Vec<Cycle> = (0..12).map(|i| cycle(i / 3, loss, false)).collect();
            let common = fit(&cycles, Dimension::Thickness).common(1).unwrap();
            assert!((common.mean - loss).abs() < 1e-12);
            assert!(common.cycle_variance > 0.0 && common.mean_variance.is_finite());
        }
    }

    /// 40 others at 2 readings, one station offset: freedom 80 - 40 - 1 = 39, first cycles left out; with 20 others it is
    /// 19, first cycles are taken in.
    #[test]
    fn first_cycles_enter_the_variance_when_the_others_are_few() {
        let sums = |squares, overhauls: usize| ResidualSums { squares, observations: 2 * overhauls, overhauls };
        let scatter = |others| Scatter { others, first: sums(30.0, 10), ..Scatter::default() };
        let many = own_loss(&scatter(sums(39.0, 40)), 1);
        assert_eq!(many.per_cycle, 1.0);
        let few = own_loss(&scatter(sums(19.0, 20)), 1);
        assert!((few.per_cycle - 49.0 / 29.0).abs() < 1e-12);
        assert_eq!(own_loss(&Scatter::default(), 0).per_cycle, 0.0);
        // Enough pairs that lean against each other: gauge error is taken out.
        let mut with_pairs = scatter(sums(39.0, 40));
        with_pairs.paired = sums(39.0, 40);
        with_pairs.pairs = CovarianceSums { successive: -6.0, successive_pairs: 40, distant: 0.0, distant_pairs: 40 };
        let split = own_loss(&with_pairs, 1);
        // c1 = -6/40/(1 - 1/2) = -0.3, g^2 = 0.3, w_true^2 = 1 - 0.6.
        assert!((split.reading - 0.3).abs() < 1e-12 && (split.per_cycle - 0.4).abs() < 1e-12);
    }
}
