//! How firm the places by the score are: what each part is known by, handed to the draws.

use super::answers::Answers;
use crate::analysis::ranking::firmness::{RankRange, Unsure, UnsureRate, rank_ranges};
use crate::analysis::ranking::{Basis, shares};

impl Answers<'_, '_> {
    /// Ranges of the score ranks of the listed propellers, in order of serial.
    pub(super) fn work_out_rank_ranges(&self, basis: &Basis<'_, '_>) -> Vec<RankRange> {
        let rates = self.defect_rates();
        let exposures = self.exposure();
        let rate = |propeller: u32| {
            let of = rates.propellers.get(propeller as usize)?;
            let watch = of.watch.as_ref().ok()?;
            let model = rates.model.as_ref()?;
            Some(UnsureRate {
                posterior: model.posterior(watch.findings, watch.hours),
                fleet_mean: rates.fleet_mean_per_100h?,
                open: basis.findings.open_of(propeller).count() as f64,
            })
        };
        let site = |propeller: u32| {
            let at = exposures.binary_search_by_key(&propeller, |e| e.propeller).ok()?;
            let exposure = &exposures[at];
            exposure.base.filter(|_| exposure.air.is_known())
        };
        let propellers: Vec<Unsure> = basis
            .due
            .iter()
            .zip(shares(basis))
            .map(|(due, shares)| Unsure {
                list: due.list,
                rate: shares.defects.and_then(|_| rate(due.propeller)),
                site: site(due.propeller),
                shares,
            })
            .collect();
        rank_ranges(&propellers, basis.history.parts(), &self.settings.ranking, u64::from(self.settings.forecast.seed))
    }
}
