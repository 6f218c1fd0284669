//! Where does a continuous function cross zero?

/// A root of `f` between `low` and `high`, where `f` has opposite signs (or is zero), to the last
/// bits of a double. Brent (1973), *Algorithms for Minimization without Derivatives*, chapter 4:
/// inverse quadratic or secant steps, with bisection whenever they do not shrink the bracket.
///
/// Returns `None` when the signs at the ends agree or either value is not a number.
pub fn root(low: f64, high: f64, mut f: impl FnMut(f64) -> f64) -> Option<f64> {
    let (mut a, mut b) = (low, high);
    let (mut fa, mut fb) = (f(a), f(b));
    if fa == 0.0 {
        return Some(a);
    }
    if fb == 0.0 {
        return Some(b);
    }
    if fa.is_nan() || fb.is_nan() || (fa > 0.0) == (fb > 0.0) {
        return None;
    }
    // b is the best point so far, c the other end of the bracket, a the previous b.
    let (mut c, mut fc) = (a, fa);
    let mut step = b - a;
    let mut previous_step = step;
    for _ in 0..500 {
        if fc.abs() < fb.abs() {
            (a, b, c) = (b, c, b);
            (fa, fb, fc) = (fb, fc, fb);
        }
        let tolerance = 2.0 * f64::EPSILON * b.abs() + f64::MIN_POSITIVE;
        let half = 0.5 * (c - b);
        if half.abs() <= tolerance || fb == 0.0 {
            break;
        }
        if previous_step.abs() < tolerance || fa.abs() <= fb.abs() {
            step = half;
            previous_step = half;
        } else {
            let s = fb / fa;
            let (mut p, mut q) = if a == c {
                (2.0 * half * s, 1.0 - s)
            } else {
                let (q, r) = (fa / fc, fb / fc);
                (s * (2.0 * half * q * (q - r) - (b - a) * (r - 1.0)), (q - 1.0) * (r - 1.0) * (s - 1.0))
            };
            if p > 0.0 {
                q = -q;
            } else {
                p = -p;
            }
            if 2.0 * p < (3.0 * half * q - (tolerance * q).abs()).min((previous_step * q).abs()) {
                previous_step = step;
                step = p / q;
            } else {
                step = half;
                previous_step = half;
            }
        }
        (a, fa) = (b, fb);
        b += if step.abs() > tolerance { step } else { tolerance.copysign(half) };
        fb = f(b);
        if (fb > 0.0) == (fc > 0.0) {
            (c, fc) = (a, fa);
            step = b - a;
            previous_step = step;
        }
    }
    Some(b)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn known_roots() {
        // Exact: sqrt(2); the real root of x^3 - 2x - 5 is 2.0945514815423265 (Wallis's example;
        // digits from mpmath 1.4.1, findroot at 40 digits).
        assert!((root(0.0, 2.0, |x| x * x - 2.0).unwrap() - 2f64.sqrt()).abs() < 1e-15);
        let wallis = root(2.0, 3.0, |x| x * x * x - 2.0 * x - 5.0).unwrap();
        assert!((wallis - 2.0945514815423265).abs() < 1e-15);
    }

    #[test]
    fn flat_steep_and_missing_roots() {
        // A ninth-order root is the slow case of every secant method.
        assert!((root(-1.0, 1.5, |x| (x - 0.25).powi(9)).unwrap() - 0.25).abs() < 1e-3);
        // A jump is located although there is no zero value anywhere.
        let jump = root(0.0, 1.0, |x| if x < 0.3 { -1.0 } else { 1.0 }).unwrap();
        assert!((jump - 0.3).abs() < 1e-15);
        assert_eq!(root(1.0, 2.0, |x| x), None);
        assert_eq!(root(0.0, 2.0, |_| f64::NAN), None);
        assert_eq!(root(0.0, 2.0, |x| x), Some(0.0));
    }
}
