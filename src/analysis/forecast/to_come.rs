//! Blends still to come: how many a propeller will have at each place until its next overhauls, and what they take.
//!
//! Blends of a propeller come at a rate of its own, a year: Gamma over the fleet, by marginal maximum likelihood, posterior by its
//! own reports. Until its next overhaul it has what is left of the fleet's mean time from one to the next. A share of them falls to
//! each station, by the fleet's reports (half a blend is added to each, so that none has none), and equally to the blades. What one
//! takes is its recorded depth times the beta that is charged ([`crate::analysis::cycles::felt`]): ten values of equal chance of the
//! fleet's recorded ones, with fewer than [`ENOUGH_DEPTHS`] in a dimension those of both, with fewer in all a lognormal depth of
//! median 0.018 in and sigma 0.7 (assumptions). Without damage reports nothing is counted.

use std::sync::Arc;

use crate::analysis::cycles::blended::{depth_in, is_blend, listed};
use crate::analysis::cycles::{Cycles, written_since};
use crate::analysis::margins::{Ruler, model_now, side_of};
use crate::records::Fleet;
use crate::records::models::Model;
use crate::records::visits::Visit;
use crate::stats::compound::Compound;
use crate::stats::gamma_poisson::{GammaPoissonError, RatePrior, marginal_maximum_likelihood};
use crate::stats::normal;
use crate::trade::calendar::{DAYS_PER_YEAR, Day};
use crate::trade::field_repair::SAME_RADIUS_IN;
use crate::trade::geometry::{Dimension, nearest_station};

/// Recorded depths from which values are taken.
const ENOUGH_DEPTHS: usize = 20;
/// Values of one blend.
const VALUES: usize = 10;
/// A depth where too few are recorded: median in inches, and standard deviation of its logarithm. Assumptions.
const MEDIAN_IN: f64 = 0.018;
const SIGMA: f64 = 0.7;
/// Added to the blends of each place.
const ADDED: f64 = 0.5;
/// Years between overhauls where no cycle tells.
const USUAL_YEARS: f64 = 6.0;
const PERCENTS: usize = 102;

/// Blends to come of a fleet.
#[derive(Debug, Clone)]
pub struct ToCome {
    prior: RatePrior,
    /// Of each propeller: blends on record, and the years in which they were written down.
    seen: Vec<(u32, f32)>,
    /// By model, dimension and station: share of all blends that falls to it, on all blades together.
    shares: Vec<[Vec<f64>; 2]>,
    /// What blends take of each dimension.
    pub taken: [Arc<Compound>; 2],
    /// Mean years from one overhaul to the next.
    years: f64,
}

/// Blends to come of one propeller.
#[derive(Debug, Clone)]
pub struct Ahead {
    /// Shape of its posterior.
    pub shape: f64,
    /// Its rate, in years.
    pub rate: f64,
    /// Years to its next overhaul.
    pub first_years: f64,
    /// Years from each overhaul to the next.
    pub years: f64,
}

impl Ahead {
    /// Blends until the `k`-th overhaul from now, of a posterior rate of one a year.
    pub fn expected_at_unit_rate(&self, k: u32) -> f64 {
        (self.first_years + f64::from(k.saturating_sub(1)) * self.years) / self.rate
    }
}

impl ToCome {
    /// Of a fleet and its cycles; `None` without any report of a blend.
    pub fn of(fleet: &Fleet<'_>, cycles: &Cycles) -> Option<ToCome> {
        let reports = fleet.defects.list();
        let first_report = reports.iter().map(|d| d.found).min()?;
        if !reports.iter().any(is_blend) {
            return None;
        }
        let seen: Vec<(u32, f32)> = (0..fleet.propellers.len() as u32)
            .map(|propeller| {
                let (from, to) = written(fleet, propeller, first_report);
                let of = fleet.defects.of(propeller).iter();
                let blends = of.filter(|d| is_blend(d) && d.found >= from).count() as u32;
                // A propeller with a blend was there for some time.
                let least = if blends > 0 { 0.1 } else { 0.0 };
                (blends, (f64::from(to - from).max(0.0) / DAYS_PER_YEAR).max(least) as f32)
            })
            .collect();
        let counts: Vec<u32> = seen.iter().map(|(blends, _)| *blends).collect();
        let years: Vec<f64> = seen.iter().map(|(_, years)| f64::from(*years)).collect();
        let prior = match marginal_maximum_likelihood(&counts, &years) {
            Ok(fit) => fit.prior,
            Err(GammaPoissonError::NoEvents { .. }) => {
                RatePrior::Common { events: 0.5, exposure: years.iter().sum::<f64>().max(1.0) }
            }
            Err(_) => return None,
        };
        let both = || cycles.list.iter().flatten().filter(|c| c.days > 0);
        let (days, overhauls) = both()
            .fold((0.0, 0.0), |(days, overhauls), c| (days + f64::from(c.days), overhauls + f64::from(c.spanned)));
        let mut places = Places::default();
        for report in reports.iter().filter(|d| is_blend(d)) {
            places.add(report);
        }
        Some(ToCome {
            prior,
            seen,
            shares: fleet.models.list().iter().map(|model| places.shares(model)).collect(),
            taken: Dimension::ALL.map(|d| Arc::new(Compound::new(&values(fleet, cycles, d)))),
            years: if overhauls > 0.0 { days / overhauls / DAYS_PER_YEAR } else { USUAL_YEARS },
        })
    }

    /// What is ahead of a propeller; of one that is not of the fleet, a new one.
    pub fn ahead(&self, fleet: &Fleet<'_>, propeller: u32) -> Ahead {
        let (blends, years) = self.seen.get(propeller as usize).copied().unwrap_or_default();
        let (shape, rate) = match self.prior {
            RatePrior::Gamma { shape, rate } => (shape + f64::from(blends), rate + f64::from(years)),
            RatePrior::Common { events, exposure } => (events, exposure),
        };
        let since = if (propeller as usize) < self.seen.len() {
            last_overhaul_at_latest(fleet, propeller).unwrap_or(fleet.as_of)
        } else {
            fleet.as_of
        };
        let flown = f64::from((fleet.as_of - since).max(0)) / DAYS_PER_YEAR;
        Ahead { shape, rate, first_years: (self.years - flown).max(0.0), years: self.years }
    }

    /// Share of all blends that falls to a station of one blade.
    pub fn share(&self, model: u32, blades: u8, station: u8, dimension: Dimension) -> f64 {
        let stations = self.shares.get(model as usize).map(|of| &of[dimension as usize]);
        let share = stations.and_then(|of| of.get(usize::from(station))).copied().unwrap_or(0.0);
        share / f64::from(blades.max(1))
    }

    /// What blends take from a place of a model between two overhauls on average, in inches.
    pub fn mean_a_cycle_in(&self, model: &Model, number: u32, dimension: Dimension) -> f64 {
        let (stations, _) = listed(model, dimension);
        let blades = model.blades.unwrap_or(2);
        let shares = stations.iter().map(|&station| self.share(number, blades, station, dimension));
        let mean = shares.sum::<f64>() / (stations.len() as f64).max(1.0);
        mean * self.prior.mean() * self.years * self.taken[dimension as usize].mean()
    }
}

/// The day of the last overhaul, or of what may have been one: a visit whose work is not recorded, or that could not be used (one
/// whose day could not be read either may have been today); without any the first day in service.
fn last_overhaul_at_latest(fleet: &Fleet<'_>, propeller: u32) -> Option<Day> {
    let may_be = |v: &&Visit| v.is_overhaul() || v.work.is_none();
    let known = fleet.visits.of(propeller).iter().rfind(may_be).map(|v| v.day);
    let spoiled = fleet.visits.spoiled_of(propeller).iter().map(|s| s.day.unwrap_or(fleet.as_of)).max();
    known.max(spoiled).or(fleet.propellers.get(propeller).in_service)
}

/// From when to when a propeller's blends were written down.
fn written(fleet: &Fleet<'_>, propeller: u32, first_report: Day) -> (Day, Day) {
    let of = fleet.propellers.get(propeller);
    let there = of.in_service.or_else(|| fleet.visits.of(propeller).first().map(|v| v.day));
    let from = written_since(fleet, propeller, first_report).max(there.unwrap_or(first_report));
    (from, fleet.end_of(propeller).or(of.end_date).unwrap_or(fleet.as_of).min(fleet.as_of))
}

/// Where the fleet's blends lie, in whole percents of the radius.
struct Places {
    by_percent: [[u32; PERCENTS]; 2],
    all: u32,
}

impl Default for Places {
    fn default() -> Self {
        Places { by_percent: [[0; PERCENTS]; 2], all: 0 }
    }
}

impl Places {
    fn add(&mut self, report: &crate::records::defects::Defect) {
        let Some(pct) = report.station_pct.filter(|pct| (0.0..=101.5).contains(pct)) else { return };
        self.all += 1;
        for dimension in Dimension::ALL.into_iter().filter(|&d| side_of(report, d).is_some()) {
            self.by_percent[dimension as usize][pct.round() as usize] += 1;
        }
    }

    fn shares(&self, model: &Model) -> [Vec<f64>; 2] {
        let ruler = Ruler::of_model(model);
        let of_dimension = Dimension::ALL.map(|dimension| listed(model, dimension));
        let cells: usize = of_dimension.iter().map(|(stations, _)| stations.len()).sum();
        let all = f64::from(self.all) + ADDED * cells as f64;
        let mut at = Dimension::ALL.into_iter().zip(of_dimension).map(|(dimension, (stations, places))| {
            let mut shares = vec![0.0; model.stations.len()];
            for &station in &stations {
                shares[usize::from(station)] = ADDED / all;
            }
            for (pct, &count) in self.by_percent[dimension as usize].iter().enumerate().filter(|(_, count)| **count > 0)
            {
                let pct = pct as f64;
                let inches = model.diameter_in.map(|diameter| pct / 100.0 * diameter / 2.0);
                let place = ruler.place(Some(pct), inches);
                let nearest = place.zip(places.as_ref()).and_then(|(place, places)| nearest_station(place, places));
                if let Some(nearest) = nearest {
                    shares[usize::from(stations[nearest])] += f64::from(count) / all;
                }
            }
            shares
        });
        [(); 2].map(|()| at.next().unwrap_or_default())
    }
}

/// Values of equal chance of what one blend takes of a dimension, in inches.
fn values(fleet: &Fleet<'_>, cycles: &Cycles, dimension: Dimension) -> Vec<f64> {
    let [near, far] = cycles.felt[dimension as usize].map(|beta| beta.charged);
    let mut taken = Vec::new();
    let mut depths = Vec::new();
    // Blends near a station, and all whose place is known.
    let (mut close, mut placed) = (0u32, 0u32);
    for report in fleet.defects.list().iter().filter(|d| is_blend(d)) {
        let Some(depth) = depth_in(report).filter(|depth| *depth > 0.0) else { continue };
        depths.push(depth);
        if side_of(report, dimension).is_none() {
            continue;
        }
        let Some(is_near) = is_near(fleet, report, dimension) else { continue };
        placed += 1;
        close += u32::from(is_near);
        taken.push(depth * if is_near { near } else { far });
    }
    if taken.len() >= ENOUGH_DEPTHS {
        return quantiles(taken);
    }
    let part = (f64::from(close) + ADDED) / (f64::from(placed) + 2.0 * ADDED);
    let charged = part * near + (1.0 - part) * far;
    if depths.len() >= ENOUGH_DEPTHS {
        return quantiles(depths.into_iter().map(|depth| charged * depth).collect());
    }
    let chance = |i: usize| (i as f64 + 0.5) / VALUES as f64;
    (0..VALUES).map(|i| charged * MEDIAN_IN * (SIGMA * normal::quantile(chance(i))).exp()).collect()
}

fn is_near(fleet: &Fleet<'_>, report: &crate::records::defects::Defect, dimension: Dimension) -> Option<bool> {
    let model = fleet.models.get(model_now(fleet, report.propeller)?);
    let place = Ruler::of_model(model).place(report.station_pct, report.station_in)?;
    let (_, places) = listed(model, dimension);
    let places = places?;
    let nearest = nearest_station(place, &places)?;
    Some((places[nearest] - place).abs() <= SAME_RADIUS_IN)
}

/// Means of ten equal shares, so that the mean stays.
fn quantiles(mut values: Vec<f64>) -> Vec<f64> {
    values.sort_by(f64::total_cmp);
    (0..VALUES)
        .map(|i| {
            let (from, to) = (i * values.len() / VALUES, (i + 1) * values.len() / VALUES);
            values[from..to].iter().sum::<f64>() / (to - from) as f64
        })
        .collect()
}
