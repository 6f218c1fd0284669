//! Which propellers are fitted together: a model of its own where it has propellers and cycles enough, else the whole fleet.

use std::sync::Arc;

use super::fit::{Estimate, Fit, PoolOf};
use super::other_causes;
use super::to_come::ToCome;
use crate::analysis::cycles::{Cycle, Cycles, Scatter};
use crate::analysis::margins::model_now;
use crate::analysis::standing::is_listed;
use crate::records::Fleet;
use crate::settings::ForecastSettings;
use crate::trade::geometry::Dimension;

/// Pairs of losses from which a correlation is stated.
const PAIRS_FOR_CORRELATION: usize = 3;

/// Everything the fleet's cycles say.
#[derive(Debug, Clone)]
pub struct Fits {
    /// The cycles.
    pub cycles: Cycles,
    /// By dimension: the fleet first, where some model has no pool of its own, then models by name.
    pub pools: [Vec<Fit>; 2],
    /// Chance of rejection at one overhaul for another cause than dimensions; `None` when no outcome is recorded.
    pub other_chance: Option<f64>,
    /// Blends still to come; `None` where none is on record.
    pub to_come: Option<ToCome>,
    /// By dimension and model: which pool; the last stands for propellers whose model is not known.
    pool_of: [Vec<usize>; 2],
}

/// What a place carried forward is expected to have lost since.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CarriedLoss {
    /// In inches.
    pub mean_in: f64,
    /// In inches squared.
    pub variance_in2: f64,
}

impl CarriedLoss {
    /// No loss.
    pub const NONE: CarriedLoss = CarriedLoss { mean_in: 0.0, variance_in2: 0.0 };

    /// What is left of a dimension: less the loss expected, less two standard deviations of it. Metal does not grow.
    pub fn left_of(&self, value_in: f64) -> f64 {
        value_in - (self.mean_in + 2.0 * self.variance_in2.sqrt()).max(0.0)
    }
}

impl Fits {
    /// Makes cycles of the fleet's sheets and fits every pool.
    pub fn of(fleet: &Fleet<'_>, forecast: &ForecastSettings) -> Fits {
        let cycles = Cycles::of(fleet);
        let [(width, width_of), (thickness, thickness_of)] =
            Dimension::ALL.map(|dimension| pools_of(fleet, &cycles, dimension, forecast));
        let to_come = ToCome::of(fleet, &cycles);
        let mut fits = Fits {
            cycles,
            to_come,
            pools: [width, thickness],
            other_chance: other_causes::chance(fleet),
            pool_of: [width_of, thickness_of],
        };
        for dimension in Dimension::ALL {
            for pool in 0..fits.pools[dimension as usize].len() {
                let model = fits.pools[dimension as usize][pool].model;
                fits.pools[dimension as usize][pool].correlation = correlation(fleet, &fits.cycles, model);
                let to_come_in = fits.mean_to_come_in(fleet, model, dimension);
                fits.pools[dimension as usize][pool].hold_to_raw(to_come_in);
            }
        }
        fits
    }

    /// What blends are expected to take from a place between two overhauls, mean over the pool's propellers, in inches.
    fn mean_to_come_in(&self, fleet: &Fleet<'_>, model: Option<u32>, dimension: Dimension) -> f64 {
        let Some(to_come) = &self.to_come else { return 0.0 };
        let of = |number: u32| to_come.mean_a_cycle_in(fleet.models.get(number), number, dimension);
        if let Some(model) = model {
            return of(model);
        }
        let mut counts = vec![0u32; fleet.models.list().len()];
        for model in (0..fleet.propellers.len() as u32).filter_map(|p| model_now(fleet, p)) {
            counts[model as usize] += 1;
        }
        let (sum, count) = (0u32..)
            .zip(&counts)
            .filter(|(_, count)| **count > 0)
            .fold((0.0, 0.0), |(sum, all), (m, n)| (sum + f64::from(*n) * of(m), all + f64::from(*n)));
        if count > 0.0 { sum / count } else { 0.0 }
    }

    /// The pool of a model.
    pub fn pool(&self, model: Option<u32>, dimension: Dimension) -> &Fit {
        let of = &self.pool_of[dimension as usize];
        let at = model.map_or(of.len() - 1, |m| (m as usize).min(of.len() - 1));
        &self.pools[dimension as usize][of[at]]
    }

    /// What a place not read at the last `missed` visits is expected to have lost, `n (m_p + d_j)` with variance
    /// `n^2 v_p + n s^2 + W(n)`; `None` where the pool has too few cycles.
    pub fn carried(
        &self,
        propeller: u32,
        model: u32,
        station: u8,
        dimension: Dimension,
        missed: u32,
    ) -> Option<CarriedLoss> {
        let pool = self.pool(Some(model), dimension);
        let passed = (self.cycles.numbering.so_far(propeller) - f64::from(missed)).max(0.0);
        let course = pool.course(propeller, passed).filter(|_| pool.estimate == Estimate::Fitted)?;
        let offset = self.cycles.offsets.of(Some(model), dimension).of(station);
        Some(CarriedLoss {
            mean_in: course.sum_mean(missed) + f64::from(missed) * offset,
            variance_in2: course.sum_variance(missed) + pool.own.sum_variance(missed),
        })
    }

    /// Weight of a cycle in its pool's fit.
    pub fn weight(&self, fleet: &Fleet<'_>, dimension: Dimension, cycle: &Cycle) -> f64 {
        let pool = self.pool(fleet.visits.get(cycle.visit).model, dimension);
        let first = pool.first.filter(|_| cycle.from_drawing);
        first.map_or(1.0, |first| first.weight) * f64::from(cycle.spanned)
    }
}

fn pools_of(
    fleet: &Fleet<'_>,
    cycles: &Cycles,
    dimension: Dimension,
    forecast: &ForecastSettings,
) -> (Vec<Fit>, Vec<usize>) {
    let models = fleet.models.list();
    let list = &cycles.list[dimension as usize];
    let model_of = |cycle: &Cycle| {
        let model = fleet.visits.get(cycle.visit).model;
        model.map_or(models.len(), |m| m as usize)
    };
    // Cycles and propellers of each model.
    let mut counts = vec![(0u32, 0u32, u32::MAX); models.len() + 1];
    for cycle in list {
        let (count, propellers, last) = &mut counts[model_of(cycle)];
        *count += 1;
        if *last != cycle.propeller {
            *propellers += 1;
            *last = cycle.propeller;
        }
    }
    let own: Vec<bool> = counts[..models.len()]
        .iter()
        .map(|&(cycles, propellers, _)| {
            propellers >= forecast.pool_min_propellers && cycles >= forecast.pool_min_cycles
        })
        .collect();
    let pool = |of: PoolOf, member: &dyn Fn(usize) -> bool| {
        let of_pool: Vec<&Cycle> = list.iter().filter(|c| member(model_of(c))).collect();
        let mut scatter = Scatter::default();
        let mut parameters = 0;
        for model in (0..=models.len()).filter(|&m| member(m)) {
            scatter.join(&cycles.scatter[model][dimension as usize]);
            parameters += cycles.offsets.0[model][dimension as usize].parameters;
        }
        Fit::of(of, dimension, &of_pool, &scatter, parameters, forecast)
    };
    let mut pools = Vec::new();
    let mut pool_of = vec![0; models.len() + 1];
    let alone = (0..fleet.propellers.len() as u32)
        .filter(|&p| is_listed(fleet, p))
        .all(|p| model_now(fleet, p).is_some_and(|m| own[m as usize]));
    if !alone || !own.contains(&true) {
        let fleet = PoolOf { model: None, name: Arc::from("fleet") };
        pools.push(pool(fleet, &|_| true));
    }
    for number in (0..models.len()).filter(|&m| own[m]) {
        pool_of[number] = pools.len();
        let model = PoolOf { model: Some(number as u32), name: Arc::from(models[number].name.as_str()) };
        pools.push(pool(model, &|m| m == number));
    }
    (pools, pool_of)
}

/// Pearson's correlation of the two losses of one overhaul, cycles from drawing left out: the maker's tolerances are no wear.
fn correlation(fleet: &Fleet<'_>, cycles: &Cycles, model: Option<u32>) -> Option<f64> {
    let [width, thickness] = &cycles.list;
    let mut pairs: Vec<(f64, f64)> = Vec::new();
    let mut at = 0;
    for cycle in width {
        while thickness.get(at).is_some_and(|t| t.visit < cycle.visit) {
            at += 1;
        }
        let of_pool = model.is_none() || fleet.visits.get(cycle.visit).model == model;
        if let Some(other) = thickness.get(at).filter(|t| t.visit == cycle.visit)
            && of_pool
            && other.spanned == cycle.spanned
            && !cycle.from_drawing
            && !other.from_drawing
        {
            pairs.push((cycle.mean_loss_in, other.mean_loss_in));
        }
    }
    if pairs.len() < PAIRS_FOR_CORRELATION {
        return None;
    }
    let count = pairs.len() as f64;
    let mean = |of: fn(&(f64, f64)) -> f64| pairs.iter().map(of).sum::<f64>() / count;
    let (x, y) = (mean(|p| p.0), mean(|p| p.1));
    let (mut xx, mut yy, mut xy) = (0.0, 0.0, 0.0);
    for pair in &pairs {
        let (a, b) = (pair.0 - x, pair.1 - y);
        xx += a * a;
        yy += b * b;
        xy += a * b;
    }
    let correlation = xy / (xx.sqrt() * yy.sqrt());
    correlation.is_finite().then(|| correlation.clamp(-1.0, 1.0))
}
