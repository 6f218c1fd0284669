//! Student's t seen through a normal score, so that an integral over it needs no quantile.
//!
//! For `t` with `df` degrees of freedom, `w = sign(t) sqrt(df ln(1 + t^2/df))` is normal to first
//! order (Wallace 1959, *Annals of Mathematical Statistics* 30:1121; in closed form both ways). Its
//! exact density follows from that of `t`:
//! `C exp(-(df - 1) w^2/(2 df)) w/t`, `C = Gamma((df + 1)/2)/(Gamma(df/2) sqrt(pi df))`.
//! Beyond `w = -9` and `w = 9` lies less than 1e-18 for every `df >= 1`, so an expectation over a
//! heavy-tailed `t` becomes an integral of a smooth function over a short interval.

use statrs::function::gamma::ln_gamma;

/// Scores beyond this are left out.
pub const REACH: f64 = 9.0;

/// Knots of the table of lower-tail masses, per unit of score.
const PER_UNIT: usize = 128;

/// Student's t with fixed degrees of freedom, 1 or more; infinite for the normal distribution.
#[derive(Debug, Clone)]
pub struct StudentScore {
    degrees_of_freedom: f64,
    density_at_zero: f64,
    /// (mass below, density) at `-REACH`, ..., 0 in steps of `1/PER_UNIT`.
    lower_tail: Vec<(f64, f64)>,
}

impl StudentScore {
    /// Prepares `degrees_of_freedom`. Returns `None` below 1 (a tail so heavy has no use here) and
    /// for a value that is not a number.
    pub fn new(degrees_of_freedom: f64) -> Option<Self> {
        if degrees_of_freedom.is_nan() || degrees_of_freedom < 1.0 {
            return None;
        }
        let mut score = Self {
            degrees_of_freedom,
            density_at_zero: density_at_zero(degrees_of_freedom),
            lower_tail: Vec::with_capacity(REACH as usize * PER_UNIT + 1),
        };
        let step = 1.0 / PER_UNIT as f64;
        let mut mass = 0.0;
        let mut at_left = score.density(-REACH);
        score.lower_tail.push((mass, at_left));
        for i in 0..REACH as usize * PER_UNIT {
            let left = i as f64 * step - REACH;
            let quarter = |n: f64| score.density(left + 0.25 * n * step);
            let at_right = quarter(4.0);
            // Boole's rule; its error, of order step^7, is far below a rounding error.
            let between = 32.0 * (quarter(1.0) + quarter(3.0)) + 12.0 * quarter(2.0);
            mass += step / 90.0 * (7.0 * (at_left + at_right) + between);
            at_left = at_right;
            score.lower_tail.push((mass, at_right));
        }
        Some(score)
    }

    /// The degrees of freedom.
    pub fn degrees_of_freedom(&self) -> f64 {
        self.degrees_of_freedom
    }

    /// The t whose score is `w`.
    pub fn t(&self, w: f64) -> f64 {
        if self.degrees_of_freedom.is_infinite() {
            return w;
        }
        let df = self.degrees_of_freedom;
        (df * (w * w / df).exp_m1()).sqrt().copysign(w)
    }

    /// The score of `t`.
    pub fn score(&self, t: f64) -> f64 {
        if self.degrees_of_freedom.is_infinite() {
            return t;
        }
        let df = self.degrees_of_freedom;
        (df * (t * t / df).ln_1p()).sqrt().copysign(t)
    }

    /// The t whose score is `w`, with the density of scores there.
    pub fn t_and_density(&self, w: f64) -> (f64, f64) {
        let normal = (-0.5 * w * w).exp() * self.density_at_zero;
        let square = w * w;
        if self.degrees_of_freedom.is_infinite() || square == 0.0 {
            return (w, normal);
        }
        let df = self.degrees_of_freedom;
        let growth = (square / df).exp_m1();
        let t = (df * growth).sqrt().copysign(w);
        (t, normal * (1.0 + growth).sqrt() * w / t)
    }

    /// The density of scores at `w`.
    pub fn density(&self, w: f64) -> f64 {
        self.t_and_density(w).1
    }

    /// The chance of a score below `w`, absolute error below 1e-10: cubic Hermite interpolation
    /// between knots (remainder `(1/128)^4/384 * 1.4`, 1.4e-11).
    pub fn mass_below(&self, w: f64) -> f64 {
        if w > 0.0 {
            return 1.0 - self.mass_below(-w);
        }
        if w <= -REACH {
            return 0.0;
        }
        let position = (w + REACH) * PER_UNIT as f64;
        let index = (position as usize).min(self.lower_tail.len() - 2);
        let x = position - index as f64;
        let step = 1.0 / PER_UNIT as f64;
        let (left, left_slope) = self.lower_tail[index];
        let (right, right_slope) = self.lower_tail[index + 1];
        let rise = right - left;
        let bend = (left_slope + right_slope) * step - 2.0 * rise;
        left + x * (left_slope * step + x * (rise - left_slope * step - bend + x * bend))
    }
}

/// The density of t at zero, which is also that of its score.
fn density_at_zero(df: f64) -> f64 {
    // Gamma(h + 1/2)/(Gamma(h) sqrt(h)), h = df/2. Beyond h = 100 the two logarithms agree in too
    // many digits to be subtracted, and the asymptotic series is right to 1e-13
    // (Abramowitz & Stegun 1964, from 6.1.40).
    let half = 0.5 * df;
    let quotient = if half < 100.0 {
        (ln_gamma(half + 0.5) - ln_gamma(half)).exp() / half.sqrt()
    } else {
        let x = 1.0 / half;
        1.0 + x * (-1.0 / 8.0 + x * (1.0 / 128.0 + x * (5.0 / 1024.0 - x * 21.0 / 32768.0)))
    };
    quotient / (2.0 * std::f64::consts::PI).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::normal;

    #[test]
    fn mass_against_mpmath() {
        // mpmath 1.4.1 at 40 digits: betainc(df/2, 1/2, 0, df/(df + t^2), regularized=True)/2;
        // the last three by quad of the density, because betainc is slow there.
        for (df, t, expected) in [
            (1.0, -1e6, 3.1830988618368457e-7),
            (1.0, -1.0, 0.25),
            (2.0, -50.0, 0.00019988007994404029),
            (3.0, -6.0, 0.004_636_357_446_142_334),
            (7.0, -3.0, 0.009_971_063_065_996_27),
            (29.0, -1.0, 0.16279099400809677),
            (29.0, 2.5, 0.990_837_327_830_786_9),
            (200.0, -3.0, 0.0015215235569529514),
            (2000.0, -0.1, 0.46017717393332886),
            (400_000.0, -3.0, 0.001349981130148533),
            (400_000.0, -1.0, 0.15865555639467366),
            (400_000.0, 0.7, 0.758_036_144_226_490_6),
        ] {
            let score = StudentScore::new(df).unwrap();
            let error = (score.mass_below(score.score(t)) - expected).abs();
            assert!(error < 2e-11, "df {df}, t {t}: {error:e}");
        }
    }

    #[test]
    fn masses_add_to_one_half() {
        for df in [1.0, 1.7, 4.0, 30.0, 150.0, 199.9, 200.1, 3e3, 1e6, f64::INFINITY] {
            let score = StudentScore::new(df).unwrap();
            assert!((score.mass_below(0.0) - 0.5).abs() < 1e-12, "df {df}");
            assert!((score.mass_below(-0.0) - 0.5).abs() < 1e-12);
            assert_eq!(score.mass_below(-10.0), 0.0);
            assert_eq!(score.mass_below(10.0), 1.0);
        }
    }

    #[test]
    fn infinite_degrees_of_freedom_are_normal() {
        let score = StudentScore::new(f64::INFINITY).unwrap();
        for w in [-7.3, -2.0, -0.01, 0.4, 3.1] {
            assert!((score.mass_below(w) - normal::cdf(w)).abs() < 2e-11);
            assert_eq!(score.t(w), w);
        }
    }

    #[test]
    fn score_and_t_are_inverse() {
        for df in [1.0, 5.0, 1e3, 1e6] {
            let score = StudentScore::new(df).unwrap();
            for w in [-8.5, -1.0, -1e-9, 0.0, 0.3, 6.0] {
                assert!((score.score(score.t(w)) - w).abs() < 1e-9 * (1.0 + w.abs()));
                assert_eq!(score.t(w), score.t_and_density(w).0);
            }
        }
        // t = 1 with one degree of freedom: w^2 = ln 2, by the definition.
        let score = StudentScore::new(1.0).unwrap();
        assert!((score.score(1.0) - 2f64.ln().sqrt()).abs() < 1e-15);
    }

    #[test]
    fn unusable_degrees_of_freedom() {
        assert!(StudentScore::new(0.5).is_none());
        assert!(StudentScore::new(f64::NAN).is_none());
    }
}
