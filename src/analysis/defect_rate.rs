//! Rates of findings: how often a propeller's blades are found damaged, per 100 flight hours.
//!
//! Strikes are kept apart. Rates of a fleet's propellers are Gamma distributed and findings of one Poisson
//! ([`crate::stats::gamma_poisson`]). From [`FEWEST_FOR_PLUG_IN`] propellers on the fitted distribution is taken as known;
//! below, limits would be too narrow, and the posterior is averaged over the distributions that the counts leave possible.

pub mod repeats;
pub mod trend;
pub mod watch;

use std::collections::HashMap;

use rayon::prelude::*;

use self::repeats::{Repeat, repeats};
use self::trend::trend_of;
use self::watch::{NoExposure, Watch, Watching};
use super::flown::FlownHours;
use crate::records::Fleet;
use crate::records::defects::Defect;
use crate::stats::gamma_poisson::{GammaPoissonError, RatePrior, fleet_mean_rate, marginal_maximum_likelihood};
use crate::stats::rate_posterior::{RateGrid, RatePosterior};
use crate::stats::trend::holm;
use crate::trade::damage::DefectKind;

/// Propellers with exposure from which the fitted distribution of rates is taken as known. Below it plug-in limits of 90 %
/// were found to hold the rate in 0.5 to 0.8 of cases.
pub const FEWEST_FOR_PLUG_IN: usize = 100;
/// Share of the posterior between the limits.
pub const LIMITS: f64 = 0.9;
/// Hours that the rates are counted in.
pub const PER_HOURS: f64 = 100.0;

const PROPELLERS_AT_ONCE: usize = 1024;

/// Whether a finding counts in the rate: everything but strikes.
pub fn is_counted(finding: &Defect) -> bool {
    finding.kind != DefectKind::Strike
}

/// A rate in findings per 100 flight hours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rate {
    /// Mean of the posterior.
    pub mean_per_100h: f64,
    /// 5 % limit.
    pub low_per_100h: f64,
    /// 95 % limit.
    pub high_per_100h: f64,
}

/// The history of findings of one propeller.
#[derive(Debug, Clone, PartialEq)]
pub struct DefectRate {
    /// Index of the propeller.
    pub propeller: u32,
    /// Findings on record, strikes included.
    pub findings_total: u32,
    /// Those found after its last overhaul; all without one.
    pub findings_since_overhaul: u32,
    /// Findings and hours that the rate rests on, or why there are none.
    pub watch: Result<Watch, NoExposure>,
    /// The rate; `None` without exposure.
    pub rate: Option<Rate>,
    /// Holm-adjusted chance of so strong a trend when there is none; `None` where it was not tested.
    pub trend_p: Option<f64>,
    /// Places with more than one finding.
    pub repeats: Vec<Repeat>,
}

/// What the fleet says of one propeller's rate.
#[derive(Debug, Clone, PartialEq)]
pub enum RateModel {
    /// Few propellers: averaged over the distributions that their counts leave possible.
    Averaged(RateGrid),
    /// The fitted distribution, taken as known; exposures in units of 100 h.
    PlugIn(RatePrior),
}

impl RateModel {
    /// Learns from counts and exposures in units of 100 h. `None` without any exposure.
    ///
    /// Before the first finding of a large fleet all propellers have one rate, half a finding in all hours.
    fn of(counts: &[u32], exposures: &[f64]) -> Option<RateModel> {
        if exposures.iter().filter(|h| **h > 0.0).count() < FEWEST_FOR_PLUG_IN {
            return RateGrid::new(counts, exposures).ok().map(RateModel::Averaged);
        }
        match marginal_maximum_likelihood(counts, exposures) {
            Ok(fit) => Some(RateModel::PlugIn(fit.prior)),
            Err(GammaPoissonError::NoEvents { .. }) => {
                Some(RateModel::PlugIn(RatePrior::Common { events: 0.5, exposure: exposures.iter().sum() }))
            }
            Err(_) => None,
        }
    }

    /// Posterior of the rate in findings per 100 h, of a propeller with these findings in these hours.
    pub fn posterior(&self, findings: u32, hours: f64) -> RatePosterior {
        match self {
            RateModel::Averaged(grid) => grid.posterior(findings, hours / PER_HOURS),
            RateModel::PlugIn(prior) => RatePosterior::plug_in(prior, findings, hours / PER_HOURS),
        }
    }

    /// The rate of that posterior.
    pub fn rate(&self, findings: u32, hours: f64) -> Option<Rate> {
        let posterior = self.posterior(findings, hours);
        let (low_per_100h, high_per_100h) = posterior.limits(LIMITS)?;
        Some(Rate { mean_per_100h: posterior.mean(), low_per_100h, high_per_100h })
    }
}

/// The rates of a fleet.
#[derive(Debug, Clone)]
pub struct DefectRates {
    /// One a propeller, in order of serial; scrapped ones too.
    pub propellers: Vec<DefectRate>,
    /// What the fleet says of a rate; `None` when no propeller has exposure.
    pub model: Option<RateModel>,
    /// Mean rate of the fleet, `(findings + 1/2)/hours`, per 100 h.
    pub fleet_mean_per_100h: Option<f64>,
}

impl DefectRates {
    /// Counts every propeller's findings and hours, learns from all of them, and works out each one's rate.
    pub fn of(fleet: &Fleet<'_>, hours: &dyn FlownHours) -> DefectRates {
        let watching = Watching::of(fleet, hours.median_per_year());
        let count = fleet.propellers.len();
        let mut propellers: Vec<DefectRate> = (0..count.div_ceil(PROPELLERS_AT_ONCE))
            .into_par_iter()
            .flat_map_iter(|slice| {
                let from = slice * PROPELLERS_AT_ONCE;
                let to = (from + PROPELLERS_AT_ONCE).min(count);
                (from as u32..to as u32).map(|p| history(fleet, &watching, hours, p))
            })
            .collect();
        adjust_trends(&mut propellers);

        let known = || propellers.iter().filter_map(|p| p.watch.as_ref().ok());
        let counts: Vec<u32> = known().map(|w| w.findings).collect();
        let exposures: Vec<f64> = known().map(|w| w.hours / PER_HOURS).collect();
        let model = RateModel::of(&counts, &exposures);
        let events = counts.iter().map(|&n| u64::from(n)).sum();
        let fleet_mean_per_100h = fleet_mean_rate(events, exposures.iter().sum());
        if let Some(model) = &model {
            give_rates(model, &mut propellers);
        }
        DefectRates { propellers, model, fleet_mean_per_100h }
    }

    /// A propeller's rate over the fleet's mean; `None` when either is not known.
    pub fn relative_rate(&self, propeller: u32) -> Option<f64> {
        let of = self.propellers.get(propeller as usize)?;
        Some(of.rate?.mean_per_100h / self.fleet_mean_per_100h?)
    }
}

fn history(fleet: &Fleet<'_>, watching: &Watching, hours: &dyn FlownHours, propeller: u32) -> DefectRate {
    let findings = fleet.defects.of(propeller);
    let overhauled = fleet.visits.of(propeller).iter().rfind(|v| v.restarts_clock()).map(|v| v.day);
    let since = findings.iter().filter(|f| overhauled.is_none_or(|day| f.found > day)).count();
    let between = hours.of(propeller);
    let watch = watching.of_propeller(fleet, propeller, &between);
    DefectRate {
        propeller,
        findings_total: findings.len() as u32,
        findings_since_overhaul: since as u32,
        trend_p: watch.as_ref().ok().and_then(|watch| trend_of(watch, findings, &between)),
        watch,
        rate: None,
        repeats: repeats(findings),
    }
}

/// Adjusts the p-values for the number of propellers tested.
fn adjust_trends(propellers: &mut [DefectRate]) {
    let raw: Vec<f64> = propellers.iter().filter_map(|p| p.trend_p).collect();
    let adjusted = holm(&raw);
    for (of, p) in propellers.iter_mut().filter(|p| p.trend_p.is_some()).zip(adjusted) {
        of.trend_p = Some(p);
    }
}

fn give_rates(model: &RateModel, propellers: &mut [DefectRate]) {
    // A Gamma posterior's limits are those at unit rate over its rate, so one pair serves all with the same findings.
    let RateModel::PlugIn(prior) = model else {
        for of in propellers {
            of.rate = of.watch.as_ref().ok().and_then(|watch| model.rate(watch.findings, watch.hours));
        }
        return;
    };
    let mut at_unit_rate: HashMap<u32, Option<Rate>> = HashMap::new();
    for of in propellers {
        let Ok(watch) = &of.watch else { continue };
        of.rate = match *prior {
            RatePrior::Common { .. } => {
                *at_unit_rate.entry(0).or_insert_with(|| model.rate(watch.findings, watch.hours))
            }
            RatePrior::Gamma { shape, rate } => {
                let unit = at_unit_rate.entry(watch.findings).or_insert_with(|| {
                    let unit = RateModel::PlugIn(RatePrior::Gamma { shape, rate: 1.0 });
                    unit.rate(watch.findings, 0.0)
                });
                let over = rate + watch.hours / PER_HOURS;
                unit.map(|unit| Rate {
                    mean_per_100h: unit.mean_per_100h / over,
                    low_per_100h: unit.low_per_100h / over,
                    high_per_100h: unit.high_per_100h / over,
                })
            }
        };
    }
}
