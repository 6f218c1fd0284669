//! The standard normal distribution, to full accuracy in the tails.
//!
//! `statrs` 0.19 has `erfc` right to about 1e-10 relative (9e-11 at -1, 7e-11 at -20, against
//! mpmath), so the distribution function is computed here. Its quantile is right to the last digit
//! down to 1e-300 and is used as it stands.

use statrs::distribution::{ContinuousCDF, Normal};
use std::sync::OnceLock;

/// `1/sqrt(2 pi)`.
const DENSITY_AT_ZERO: f64 = 0.398_942_280_401_432_7;

/// The density at `x`.
pub fn density(x: f64) -> f64 {
    DENSITY_AT_ZERO * (-0.5 * x * x).exp()
}

/// `P(Z <= x)`, relative error below 1e-12 down to the smallest doubles.
///
/// Within 3 of zero by the series `1/2 + density (x + x^3/3 + x^5/15 + ...)`, beyond by the
/// continued fraction of the Mills ratio `1/(x + 1/(x + 2/(x + ...)))` (Abramowitz & Stegun 1964,
/// 26.2.11 and 26.2.14).
pub fn cdf(x: f64) -> f64 {
    if x > 3.0 {
        1.0 - cdf(-x)
    } else if x >= -3.0 {
        let (mut term, mut sum, mut odd) = (x, x, 1.0);
        while term.abs() > 1e-17 * sum.abs() {
            odd += 2.0;
            term *= x * x / odd;
            sum += term;
        }
        0.5 + density(x) * sum
    } else if x.is_nan() {
        f64::NAN
    } else {
        let fraction = (1..=60).rev().fold(-x, |below, n| -x + f64::from(n) / below);
        density(x) / fraction
    }
}

/// The value below which a standard normal variable falls with chance `p`; infinite at 0 and 1, not a
/// number outside.
pub fn quantile(p: f64) -> f64 {
    // statrs panics outside.
    if (0.0..=1.0).contains(&p) { Normal::standard().inverse_cdf(p) } else { f64::NAN }
}

/// The distribution function from a table, for inner loops: absolute error below 1e-11.
///
/// Knots every 1/128 from -8 to 8, between them the Taylor polynomial of degree 3 about the nearest
/// (remainder `(1/256)^4/24 * 0.56`, 5.4e-12); beyond 8 it stays at 6e-16 or 1.
#[derive(Debug)]
pub struct CdfTable {
    /// Coefficients in units of the knots' distance.
    polynomials: Vec<[f64; 4]>,
}

impl CdfTable {
    const REACH: f64 = 8.0;
    const PER_UNIT: f64 = 128.0;

    /// The one table of this process, made at first use.
    pub fn shared() -> &'static Self {
        static TABLE: OnceLock<CdfTable> = OnceLock::new();
        TABLE.get_or_init(|| {
            let last = (2.0 * Self::REACH * Self::PER_UNIT) as u32;
            let step = 1.0 / Self::PER_UNIT;
            let polynomials = (0..=last)
                .map(|i| f64::from(i) * step - Self::REACH)
                .map(|x| {
                    let slope = density(x) * step;
                    let bend = -0.5 * x * slope * step;
                    let twist = (x * x - 1.0) * slope * step * step / 6.0;
                    [cdf(x), slope, bend, twist]
                })
                .collect();
            CdfTable { polynomials }
        })
    }

    /// `P(Z <= x)`; not a number when `x` is none.
    #[inline]
    pub fn cdf(&self, x: f64) -> f64 {
        // Without branches: which case it is changes from call to call, and a wrong guess of the
        // processor costs more than the arithmetic.
        let position = (x.clamp(-Self::REACH, Self::REACH) + Self::REACH) * Self::PER_UNIT;
        let index = (position + 0.5) as i32;
        let [value, slope, bend, twist] = self.polynomials[index as usize];
        let d = position - f64::from(index);
        value + d * (slope + d * (bend + d * twist))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// mpmath 1.4.1, `mp.dps = 40; ncdf(mpf(x))`, printed to 17 digits.
    const CDF: [(f64, f64); 12] = [
        (-37.0, 5.725_571_222_524_577e-300),
        (-30.0, 4.906_713_927_148_187e-198),
        (-20.0, 2.7536241186062337e-89),
        (-9.0, 1.1285884059538406e-19),
        (-6.5, 4.016_000_583_859_118e-11),
        (-5.0, 2.866_515_718_791_939e-7),
        (-3.0, 0.0013498980316300945),
        (-1.0, 0.15865525393145705),
        (-0.3, 0.382_088_577_811_047_4),
        (0.5, 0.691_462_461_274_013_1),
        (2.0, 0.977_249_868_051_820_8),
        (4.0, 0.999_968_328_758_166_9),
    ];

    #[test]
    fn cdf_against_mpmath() {
        for (x, expected) in CDF {
            let relative = (cdf(x) / expected - 1.0).abs();
            assert!(relative < 1e-12, "{x}: {relative:e}");
        }
        assert_eq!(cdf(0.0), 0.5);
        assert_eq!(cdf(f64::INFINITY), 1.0);
        assert_eq!(cdf(f64::NEG_INFINITY), 0.0);
        assert!(cdf(f64::NAN).is_nan());
    }

    #[test]
    fn quantile_against_mpmath() {
        // mpmath 1.4.1: findroot(lambda x: log(ncdf(x)) - log(mpf(p)), start).
        for (p, expected) in [
            (1e-300, -37.047_096_299_361_2),
            (1e-19, -9.013_271_153_126_674),
            (1e-5, -4.264_890_793_922_825),
            (0.025, -1.9599639845400542),
            (0.95, 1.6448536269514723),
        ] {
            assert!((quantile(p) / expected - 1.0).abs() < 1e-15);
        }
        assert_eq!(quantile(0.0), f64::NEG_INFINITY);
        assert_eq!(quantile(1.0), f64::INFINITY);
        assert!(quantile(-0.1).is_nan() && quantile(f64::NAN).is_nan());
    }

    #[test]
    fn branches_of_the_cdf_meet() {
        let below = cdf(-3.0 - 1e-12);
        assert!((cdf(-3.0) - below - 1e-12 * density(3.0)).abs() < 1e-15);
    }

    #[test]
    fn table_against_the_function() {
        let table = CdfTable::shared();
        let mut x = -8.6;
        while x < 8.6 {
            assert!((table.cdf(x) - cdf(x)).abs() < 1e-11, "{x}");
            x += 0.001_37;
        }
        for x in [-8.0, 8.0, -7.999_999, 7.999_999_999, -1e300, 1e300] {
            assert!((table.cdf(x) - cdf(x)).abs() < 1e-11, "{x}");
        }
        assert!(table.cdf(f64::NAN).is_nan());
        assert!((table.cdf(f64::INFINITY) - 1.0).abs() < 1e-15);
        assert!(table.cdf(f64::NEG_INFINITY) < 1e-15);
    }
}
