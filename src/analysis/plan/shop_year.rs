//! What the overhauls of one shop and year share: the same hands and grinder take more from all or less from all.
//!
//! With cells of shop and calendar year, u the loss of a cycle less its pool's mean, S the sum of u in a cell and n its overhauls,
//! `c^2 = max(0, Sum(S^2 - Sum u^2) / Sum n(n - 1))`: the mean product of two overhauls of one cell.

use std::collections::BTreeMap;

use crate::analysis::forecast::{Estimate, Fit, Fits};
use crate::records::Fleet;
use crate::settings::BudgetSettings;
use crate::trade::geometry::Dimension;

/// Pairs of overhauls in one cell from which the records decide.
pub const FEWEST_PAIRS: u64 = 30;
/// The largest share.
const MOST_SHARED: f64 = 0.9;

/// What pairs of overhauls say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShopYear {
    /// Pairs of overhauls of one shop and year.
    pub pairs: u64,
    /// Variance in common, in inches squared; `None` with too few pairs.
    pub variance_in2: Option<f64>,
}

/// Sums of deviations by cell.
#[derive(Debug, Clone, Default)]
pub struct Cells(BTreeMap<(u32, i32), (u64, f64, f64)>);

impl Cells {
    /// Adds an overhaul's deviation, in inches.
    pub fn add(&mut self, shop: u32, year: i32, deviation_in: f64) {
        let (count, sum, squares) = self.0.entry((shop, year)).or_default();
        *count += 1;
        *sum += deviation_in;
        *squares += deviation_in * deviation_in;
    }

    /// The common variance.
    pub fn shop_year(&self) -> ShopYear {
        let mut ordered_pairs = 0;
        let mut products = 0.0;
        for (count, sum, squares) in self.0.values() {
            ordered_pairs += count * (count - 1);
            products += sum * sum - squares;
        }
        let pairs = ordered_pairs / 2;
        ShopYear { pairs, variance_in2: (pairs >= FEWEST_PAIRS).then(|| (products / ordered_pairs as f64).max(0.0)) }
    }
}

/// What the cycles of a dimension say; cycles from drawing carry the maker's tolerance and are left out, and so are visits
/// whose shop is not recorded.
pub fn of_dimension(fleet: &Fleet<'_>, fits: &Fits, dimension: Dimension) -> ShopYear {
    let mut cells = Cells::default();
    for cycle in &fits.cycles.list[dimension as usize] {
        let visit = fleet.visits.get(cycle.visit);
        let (Some(shop), false) = (visit.shop, cycle.from_drawing) else {
            continue;
        };
        let pool = fits.pool(visit.model, dimension);
        if let (Estimate::Fitted, Some(mean_in)) = (pool.estimate, pool.mean_loss_in()) {
            let expected_in = mean_in + pool.growth.more_in(cycle.number);
            cells.add(shop, visit.day.year(), cycle.mean_loss_in - expected_in);
        }
    }
    cells.shop_year()
}

/// Share of the variance that decides at an overhaul which a year has in common, for a pool: `c^2/(s^2 + w^2/stations)`, 0.9 at
/// the most; `None` where the pool's losses are not estimable.
pub fn shared(of: ShopYear, pool: &Fit, budget: &BudgetSettings) -> Option<f64> {
    let new = pool.common(u32::MAX)?;
    let common_in2 = of.variance_in2.unwrap_or_else(|| (budget.shop_year_spread_fraction * new.mean).powi(2));
    let decides = new.cycle_variance + pool.own.per_cycle / f64::from(budget.deciding_stations);
    if common_in2 <= 0.0 {
        Some(0.0)
    } else {
        // Without any other variance all of it is in common.
        Some((common_in2 / decides).min(MOST_SHARED))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Nine overhauls in one cell make 36 pairs, two in another one more: deviations 1..=9 have S = 45, Sum u^2 = 285; -3 and
    /// 4 have S = 1, Sum u^2 = 25. c^2 = (2025 - 285 + 1 - 25)/(72 + 2) = 1716/74.
    #[test]
    fn by_hand() {
        let mut cells = Cells::default();
        for deviation in 1..=9 {
            cells.add(0, 2020, f64::from(deviation));
        }
        assert_eq!(cells.shop_year().pairs, 36);
        cells.add(0, 2021, -3.0);
        cells.add(1, 2020, 7.0);
        cells.add(0, 2021, 4.0);
        let of = cells.shop_year();
        assert_eq!(of.pairs, 37);
        assert!((of.variance_in2.unwrap() - 1716.0 / 74.0).abs() < 1e-12);
        // Deviations that cancel in every cell share nothing.
        let mut against = Cells::default();
        for i in 0..10 {
            against.add(0, 2020, if i % 2 == 0 { 1.0 } else { -1.0 });
        }
        assert_eq!(against.shop_year().variance_in2, Some(0.0));
        let mut few = Cells::default();
        for _ in 0..8 {
            few.add(0, 2020, 1.0);
        }
        assert_eq!(few.shop_year(), ShopYear { pairs: 28, variance_in2: None });
        assert_eq!(Cells::default().shop_year().pairs, 0);
    }
}
