//! How much of a blend's metal a gauge misses at the station: beta, by least squares of the losses of one overhaul on what the blends
//! of its cycle took, beside overhaul and station.
//!
//! `beta ~ N(1, 0.5^2)` beforehand (an assumption: what is blended away is gone), held to 0..1.5. Blends near the station and
//! farther from it have one each. Eyeballed depths pull beta down, and one slipped decimal does: a beta below a half is believed
//! only with [`CELLS_FOR_LITTLE`] blended places and where no single one of them makes it so.

use super::offsets::{BlendedSpan, NormalEquations, Products};
use crate::stats::normal;

const PRIOR_MEAN: f64 = 1.0;
const PRIOR_SD: f64 = 0.5;
/// The largest beta.
const MOST: f64 = 1.5;
/// The smallest that is believed of few places.
const LEAST_OF_FEW: f64 = 0.5;
/// Blended places from which less is believed.
const CELLS_FOR_LITTLE: usize = 30;

/// What is believed of one beta.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Felt {
    /// Its mean: what losses are freed from.
    pub mean: f64,
    /// Its standard deviation.
    pub sd: f64,
    /// What is charged for blends: one standard deviation more.
    pub charged: f64,
    /// Blended places it rests on.
    pub cells: usize,
}

/// Both betas of one dimension: of blends near the station, and of others.
pub type Betas = [Felt; 2];

/// Before anything is seen.
pub fn unseen() -> Betas {
    betas(&Products::default(), &[])
}

impl Felt {
    /// Of the distribution beforehand and what the losses say, mean and standard deviation without bounds.
    fn of(mean: f64, sd: f64, cells: usize) -> Felt {
        let (mean, sd) = between_bounds(mean, sd);
        Felt { mean, sd, charged: (mean + sd).min(MOST), cells }
    }

    fn at_least(self, least: f64) -> Felt {
        Felt { mean: self.mean.max(least), charged: self.charged.max(least), ..self }
    }
}

/// Mean and standard deviation of a normal variable held to 0..[`MOST`].
fn between_bounds(mean: f64, sd: f64) -> (f64, f64) {
    let (low, high) = (-mean / sd, (MOST - mean) / sd);
    let inside = normal::cdf(high) - normal::cdf(low);
    if sd.is_nan() || sd <= 0.0 || inside < 1e-12 {
        return (mean.clamp(0.0, MOST), 0.0);
    }
    let (at_low, at_high) = (normal::density(low), normal::density(high));
    let shift = (at_low - at_high) / inside;
    let variance = 1.0 + (low * at_low - high * at_high) / inside - shift * shift;
    ((mean + sd * shift).clamp(0.0, MOST), sd * variance.max(0.0).sqrt())
}

/// Means and standard deviations without bounds: the normal equations with the precision beforehand times the residual variance.
fn solved(products: &Products, residual_variance: f64) -> [(f64, f64); 2] {
    let [[_, xy1, xy2], [_, a, b], [.., d]] = products.sums;
    let ridge = residual_variance / (PRIOR_SD * PRIOR_SD);
    let (a, d) = (a + ridge, d + ridge);
    let (y1, y2) = (xy1 + ridge * PRIOR_MEAN, xy2 + ridge * PRIOR_MEAN);
    let determinant = a * d - b * b;
    let of = |mean: f64, inverse: f64| (mean, (residual_variance * inverse).sqrt());
    [of((d * y1 - b * y2) / determinant, d / determinant), of((a * y2 - b * y1) / determinant, a / determinant)]
}

/// What the losses leave over, per degree of freedom.
fn residual_variance(products: &Products) -> f64 {
    let [[yy, xy1, xy2], [_, a, b], [.., d]] = products.sums;
    let determinant = a * d - b * b;
    let explained = if determinant > 1e-12 * a * d {
        (d * xy1 * xy1 - 2.0 * b * xy1 * xy2 + a * xy2 * xy2) / determinant
    } else if a >= d && a > 0.0 {
        xy1 * xy1 / a
    } else if d > 0.0 {
        xy2 * xy2 / d
    } else {
        0.0
    };
    let parameters = products.cells.iter().filter(|&&cells| cells > 0).count();
    let freedom = products.freedom.saturating_sub(parameters).max(1) as f64;
    // Below what any gauge shows, so that nothing is divided by nothing.
    ((yy - explained) / freedom).max(1e-12)
}

/// Both betas, from sums of products freed from overhauls and stations, and the overhauls with blended places.
pub(super) fn betas(products: &Products, blended: &[BlendedSpan]) -> Betas {
    let variance = residual_variance(products);
    let plain = solved(products, variance);
    [0, 1].map(|which| {
        let cells = products.cells[which];
        let (mean, sd) = plain[which];
        let felt = Felt::of(mean, sd, cells);
        if felt.mean >= LEAST_OF_FEW {
            return felt;
        }
        let stays = || {
            blended.iter().flat_map(BlendedSpan::each_dropped).all(|dropped| {
                let (mean, sd) = solved(&products.less(&dropped), variance)[which];
                between_bounds(mean, sd).0 < LEAST_OF_FEW
            })
        };
        if cells >= CELLS_FOR_LITTLE && stays() { felt } else { felt.at_least(LEAST_OF_FEW) }
    })
}

/// Both betas of the sheets of several models.
pub(super) fn of_models<'e>(equations: impl Iterator<Item = &'e NormalEquations>) -> Betas {
    let mut products = Products::default();
    let mut blended = Vec::new();
    for of_model in equations {
        let freed = of_model.solve_all();
        products.join(&of_model.products(&freed));
        blended.extend(of_model.blended_spans(&freed));
    }
    betas(&products, &blended)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Published tables of the standard normal: of N(0, 1) held to 0..infinity the mean is sqrt(2/pi) and the variance 1 - 2/pi; a
    /// bound at 1.5 is infinity where the spread is 0.05.
    #[test]
    fn bounds_by_closed_form() {
        let (mean, sd) = between_bounds(0.0, 0.05);
        let half = 2.0 / std::f64::consts::PI;
        assert!((mean - 0.05 * half.sqrt()).abs() < 1e-12);
        assert!((sd - 0.05 * (1.0 - half).sqrt()).abs() < 1e-12);
        // Symmetric about the middle: the mean stays there.
        assert!((between_bounds(0.75, 2.0).0 - 0.75).abs() < 1e-12);
        assert_eq!(between_bounds(9.0, 0.01), (1.5, 0.0));
        assert_eq!(between_bounds(0.4, 0.0), (0.4, 0.0));
    }

    /// Nothing seen: what is believed beforehand, N(1, 0.5^2) held to 0..1.5; by adding up the density on a grid (Python, 10^6 steps)
    /// mean 0.8852, standard deviation 0.3605.
    #[test]
    fn without_blends_what_is_believed_beforehand() {
        for felt in unseen() {
            assert!((felt.mean - 0.88518).abs() < 5e-5, "{felt:?}");
            assert!((felt.sd - 0.36047).abs() < 5e-5, "{felt:?}");
            assert!((felt.charged - (felt.mean + felt.sd)).abs() < 1e-15 && felt.cells == 0);
        }
    }

    /// Two blended cells that say 0.2 exactly are too few; forty that all say so are believed; forty of which one alone makes it are
    /// not.
    #[test]
    fn little_is_believed_of_many_only() {
        let products = |cells: usize, beta: f64| Products {
            sums: [[1e-8 + beta * beta * 1e-3, beta * 1e-3, 0.0], [beta * 1e-3, 1e-3, 0.0], [0.0; 3]],
            cells: [cells, 0],
            freedom: 200,
        };
        assert_eq!(betas(&products(2, 0.2), &[])[0].mean, 0.5);
        assert!((betas(&products(40, 0.2), &[])[0].mean - 0.2).abs() < 0.01);
        // One cell of 0.1 in that lost nothing, beside others that lost all they say: without it beta is 1.
        let odd = BlendedSpan {
            spanned: 1.0,
            readings: vec![[0.0, 0.03, 0.0], [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]],
            blended: vec![0],
        };
        let whole = odd.products();
        let mut sums = whole.sums;
        sums[0][0] += 3e-4;
        sums[0][1] += 1e-4;
        sums[1][0] += 1e-4;
        sums[1][1] += 1e-4;
        let one_alone = Products { sums, cells: [40, 0], freedom: 200 };
        assert!(solved(&one_alone, 1e-9)[0].0 < 0.5);
        assert_eq!(betas(&one_alone, &[odd])[0].mean, 0.5);
    }
}
