//! The 24-node Gauss-Legendre rule, exact for polynomials of degree 47.

/// Positive abscissae on (-1, 1) with their weights; the rule is symmetric. From mpmath 1.4.1 at
/// 40 digits: roots `x` of `legendre(24, x)`, weights `2/((1 - x^2) P24'(x)^2)`.
pub const POSITIVE_NODES: [(f64, f64); 12] = [
    (0.064_056_892_862_605_63, 0.12793819534675216),
    (0.191_118_867_473_616_3, 0.1258374563468283),
    (0.315_042_679_696_163_4, 0.12167047292780339),
    (0.433_793_507_626_045_1, 0.1155056680537256),
    (0.545_421_471_388_839_6, 0.10744427011596563),
    (0.648_093_651_936_975_5, 0.097_618_652_104_113_88),
    (0.740_124_191_578_554_4, 0.086_190_161_531_953_27),
    (0.820_001_985_973_903, 0.073_346_481_411_080_3),
    (0.886_415_527_004_401_1, 0.059_298_584_915_436_78),
    (0.938_274_552_002_732_8, 0.044_277_438_817_419_81),
    (0.9747285559713095, 0.028531388628933663),
    (0.995_187_219_997_021_3, 0.0123412297999872),
];

/// The integral of `f` over `[low, high]` by one panel of 24 nodes.
pub fn panel(low: f64, high: f64, mut f: impl FnMut(f64) -> f64) -> f64 {
    let centre = 0.5 * (low + high);
    let half = 0.5 * (high - low);
    let sum: f64 =
        POSITIVE_NODES.iter().map(|&(x, weight)| weight * (f(centre - half * x) + f(centre + half * x))).sum();
    half * sum
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_to_degree_47_and_not_beyond() {
        for degree in [0, 2, 8, 20, 46] {
            let exact = 2.0 / f64::from(degree + 1);
            assert!((panel(-1.0, 1.0, |x| x.powi(degree)) - exact).abs() < 1e-15);
        }
        assert!(panel(-1.0, 1.0, |x| x.powi(47)).abs() < 1e-16);
        // The error constant 2^49 (24!)^4/(49 (48!)^3) times 48! is about 2.6e-14.
        let error = (panel(-1.0, 1.0, |x| x.powi(48)) - 2.0 / 49.0).abs();
        assert!(error > 5e-15 && error < 5e-14, "{error:e}");
    }

    #[test]
    fn a_panel_that_is_not_centred() {
        assert!((panel(1.0, 3.0, |x| 1.0 / x) - 3f64.ln()).abs() < 1e-14);
    }
}
