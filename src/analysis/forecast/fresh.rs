//! How many overhauls a new propeller of a model has before it: every blade and station at its new dimension.

use super::Forecaster;
use super::predict::outlook;
use crate::analysis::margins::{Basis, Margin};
use crate::trade::geometry::Dimension;

/// Stands for a propeller without any cycle of its own.
const NO_PROPELLER: u32 = u32::MAX;

impl Forecaster<'_, '_> {
    /// Chances of passing 1, 2, ... overhauls of a new propeller by dimensions, up to the last that is not negligible; `None`
    /// when its model states no limits or its losses are not estimable. Where a station's limits are not known, or one
    /// dimension is not estimable, the chances are upper bounds.
    pub fn fresh(&self, model: u32) -> Option<Vec<f64>> {
        let of = self.fleet().models.get(model);
        let mut margins = Vec::new();
        // A model whose blades are not recorded has two at least.
        for blade in 1..=of.blades.unwrap_or(2) {
            for (station, at) in of.stations.iter().enumerate() {
                for dimension in Dimension::ALL {
                    let limits = at.limits(dimension);
                    let (Some(new_in), Some(min_in), true) = (limits.new_in, limits.min_in, at.usable) else {
                        continue;
                    };
                    margins.push(Margin {
                        propeller: NO_PROPELLER,
                        blade,
                        station: station as u8,
                        dimension,
                        last_measured: None,
                        value_in: Some(new_in),
                        minimum_in: Some(min_in),
                        dressed_since_in: 0.0,
                        dressed_from: None,
                        least_at_in: None,
                        margin_in: Some(new_in - min_in),
                        margin_worst_in: Some(new_in - min_in),
                        margin_fraction: Some(1.0),
                        expected_in: Some(new_in),
                        carried_variance_in2: 0.0,
                        held_low: false,
                        blended_in: [0.0; 2],
                        basis: Basis::FromDrawing,
                        beside: None,
                    });
                }
            }
        }
        let sides = Dimension::ALL.map(|d| self.side(NO_PROPELLER, Some(model), d, &margins));
        outlook(&sides)
    }
}
