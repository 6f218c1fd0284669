//! Exact limits of a Poisson mean.
//!
//! Garwood (1936), *Fiducial limits for the Poisson distribution*, Biometrika 28: the lower limit is the mean at which a count
//! at least as large has half the chance left out, the upper one the mean at which a count at most as large has it.

use statrs::function::gamma::{gamma_lr, gamma_ur};

use super::root::root;

/// Limits of the mean of a Poisson count, `level` of chance between them; 0 below a count of 0. `None` for a level that is not
/// between 0 and 1.
pub fn poisson_limits(count: u64, level: f64) -> Option<(f64, f64)> {
    if !(level > 0.0 && level < 1.0) {
        return None;
    }
    let tail = (1.0 - level) / 2.0;
    let n = count as f64;
    // Twelve standard deviations away, and more for small counts.
    let far = n + 12.0 * (n + 1.0).sqrt() + 20.0;
    let low = match count {
        0 => 0.0,
        _ => root(f64::MIN_POSITIVE, n, |mean| gamma_lr(n, mean) - tail)?,
    };
    let high = root(n.max(f64::MIN_POSITIVE), far, |mean| gamma_ur(n + 1.0, mean) - tail)?;
    Some((low, high))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Garwood (1936), 95 % limits as tabulated there and in Ulm (1990), Am. J. Epidemiol. 131, table 1, to three decimals
    /// (from memory; 0 and 5 are given by the design of this result).
    #[test]
    fn published_limits() {
        for (count, low, high) in [
            (0, 0.0, 3.689),
            (1, 0.025, 5.572),
            (2, 0.242, 7.225),
            (3, 0.619, 8.767),
            (5, 1.623, 11.668),
            (10, 4.795, 18.390),
        ] {
            let (l, h) = poisson_limits(count, 0.95).unwrap();
            assert!((l - low).abs() < 6e-4 && (h - high).abs() < 6e-4, "{count}: {l} to {h}");
        }
    }

    #[test]
    fn none_counted_is_a_logarithm() {
        // P(0 | mean) = exp(-mean) = 0.025 at mean = ln 40.
        let (low, high) = poisson_limits(0, 0.95).unwrap();
        assert_eq!(low, 0.0);
        assert!((high - 40f64.ln()).abs() < 1e-12, "{high}");
        assert_eq!(poisson_limits(3, 1.0), None);
        assert_eq!(poisson_limits(3, f64::NAN), None);
    }

    #[test]
    fn more_findings_never_lower_a_limit() {
        let mut last = (-1.0, 0.0);
        for count in (0..50).chain([100, 1_000, 100_000]) {
            let (low, high) = poisson_limits(count, 0.95).unwrap();
            assert!(low > last.0 && high > last.1 && low <= count as f64 && high > count as f64, "{count}");
            last = (low, high);
        }
    }
}
