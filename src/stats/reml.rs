//! One-way random effects by restricted maximum likelihood, for unbalanced and weighted groups.
//!
//! `y = mu + a_p + e`, `a_p ~ N(0, t^2)`, `e ~ N(0, s^2/q)`. For a fixed ratio `r = t^2/s^2` the
//! mean and `s^2 = Q(r)/(N - 1)` are explicit, which leaves one dimension (Searle, Casella &
//! McCulloch 1992, *Variance Components*, chapter 6; the formulas there are from memory, the numbers
//! are checked against lme4 and an exact solution):
//!
//! `-2 log L(r) = (N - 1)(ln(2 pi s^2) + 1) + sum ln(1 + n r) + ln sum g - sum ln q`,
//! `g = n/(1 + n r)`.

use super::groups::{AtRatio, GroupStatistics};
use super::root::root;
use thiserror::Error;

/// Why the two variances cannot be told apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum RemlError {
    /// There are no observations.
    #[error("no observations")]
    NoData,
    /// All observations are of one group.
    #[error("all {observations} observations are of one group")]
    OneGroup {
        /// Number of observations.
        observations: usize,
    },
    /// No group has a second observation.
    #[error("none of the {groups} groups has a second observation")]
    NoReplication {
        /// Number of groups with an observation.
        groups: usize,
    },
}

/// A fit of the one-way model. Variances are in the square of the values' unit.
#[derive(Debug, Clone, PartialEq)]
pub struct RemlFit {
    /// Mean over groups, `mu`.
    pub mean: f64,
    /// Standard error of `mean` at the fitted variances.
    pub mean_standard_error: f64,
    /// Variance between groups, `t^2`; exactly 0 on the boundary.
    pub between_variance: f64,
    /// Variance of an observation of weight 1 within its group, `s^2`.
    pub within_variance: f64,
    /// Standard error of `between_variance` from the expected information. `None` on the boundary
    /// (either variance 0), where the estimate has no normal approximation.
    pub between_standard_error: Option<f64>,
    /// Standard error of `within_variance`; `None` when that is 0.
    pub within_standard_error: Option<f64>,
    /// -2 log restricted likelihood with the constant `(N - 1) ln(2 pi)`; `None` when a variance of
    /// 0 fits exactly and the likelihood has no bound.
    pub minus_two_log_likelihood: Option<f64>,
}

/// Fits the model.
///
/// When all values are equal both variances are 0; when values differ between groups only, `s^2`
/// is 0 and `t^2` the variance of the group means.
///
/// # Errors
/// [`RemlError`] when there is no data, one group only, or no group with two observations.
pub fn fit(statistics: &GroupStatistics) -> Result<RemlFit, RemlError> {
    let observations = statistics.observations();
    let groups = statistics.groups_with_data();
    if observations == 0 {
        return Err(RemlError::NoData);
    }
    if groups == 1 {
        return Err(RemlError::OneGroup { observations });
    }
    if observations == groups {
        return Err(RemlError::NoReplication { groups });
    }
    if statistics.within_sum_of_squares() == 0.0 {
        return Ok(exact_within(statistics));
    }
    Ok(at(statistics, best_ratio(statistics)))
}

/// The fit when no group varies within: `s^2 -> 0`, all groups weigh the same.
fn exact_within(statistics: &GroupStatistics) -> RemlFit {
    let with_data = || statistics.groups().iter().filter(|g| g.observations > 0);
    let count = statistics.groups_with_data() as f64;
    // About the first mean, so that equal means leave exactly nothing.
    let reference = with_data().next().map_or(0.0, |g| g.mean);
    let mean = reference + with_data().map(|g| g.mean - reference).sum::<f64>() / count;
    let squares: f64 = with_data().map(|g| (g.mean - mean).powi(2)).sum();
    let between_variance = squares / (count - 1.0);
    RemlFit {
        mean,
        mean_standard_error: (between_variance / count).sqrt(),
        between_variance,
        within_variance: 0.0,
        between_standard_error: None,
        within_standard_error: None,
        minus_two_log_likelihood: None,
    }
}

/// -2 log likelihood at a ratio, up to what does not depend on it.
fn profile(observations: f64, at: &AtRatio) -> f64 {
    (observations - 1.0) * at.sum_of_squares.ln() + at.sum_ln + at.sum_g.ln()
}

/// The slope of [`profile`] in the ratio.
fn slope(observations: f64, at: &AtRatio) -> f64 {
    at.sum_g - at.sum_g_squared / at.sum_g - (observations - 1.0) * at.sum_g_squared_deviations / at.sum_of_squares
}

/// The ratio with the largest restricted likelihood, 0 included.
///
/// Unbalanced data can have several local maxima, so the slope is scanned over ratios from 1e-8 per
/// mean group weight up to a bound, every sign change is solved, and the best of them and 0 is
/// taken. The bound: `s^2` is at least `SS/(N - 1)`, and where `t^2` is the larger part by far it is
/// the plain variance of the group means; a hundred times their quotient leaves nothing out.
fn best_ratio(statistics: &GroupStatistics) -> f64 {
    let observations = statistics.observations() as f64;
    let weight: f64 = statistics.groups().iter().map(|g| g.weight).sum();
    let unit = statistics.groups_with_data() as f64 / weight;
    let of_means = exact_within(statistics).between_variance;
    let largest = 100.0 * of_means * (observations - 1.0) / statistics.within_sum_of_squares();
    let ratio = |logarithm: f64| unit * logarithm.exp();
    let slope_at = |logarithm: f64| slope(observations, &statistics.at_ratio(ratio(logarithm)));

    let zero = statistics.at_ratio(0.0);
    let mut best = (profile(observations, &zero), 0.0);
    let mut left = (f64::NEG_INFINITY, slope(observations, &zero));
    let lowest = 1e-8f64.ln();
    let highest = (largest / unit).max(1e-6).ln();
    // Steps of at most a factor of 3: a maximum is far wider than that in a small fleet, and in a
    // large one there is only one.
    let steps = ((highest - lowest) / 3f64.ln()).ceil().min(1e4) as u32;
    for i in 0..=steps {
        let logarithm = lowest + (highest - lowest) * f64::from(i) / f64::from(steps);
        let right = (logarithm, slope_at(logarithm));
        if left.1 < 0.0 && right.1 >= 0.0 {
            // A minimum of -2 log L; one below the scanned range is a ratio of zero.
            let solved = if left.0.is_finite() { root(left.0, right.0, slope_at) } else { None };
            if let Some(logarithm) = solved {
                let candidate = ratio(logarithm);
                let value = profile(observations, &statistics.at_ratio(candidate));
                if value < best.0 {
                    best = (value, candidate);
                }
            }
        }
        left = right;
    }
    best.1
}

/// The fit at a ratio.
fn at(statistics: &GroupStatistics, ratio: f64) -> RemlFit {
    let observations = statistics.observations() as f64;
    let at = statistics.at_ratio(ratio);
    let within_variance = at.sum_of_squares / (observations - 1.0);
    let between_variance = ratio * within_variance;
    let constant = (observations - 1.0) * (1.0 + (2.0 * std::f64::consts::PI / (observations - 1.0)).ln())
        - statistics.sum_ln_weights();
    let (between_standard_error, within_standard_error) =
        variance_errors(statistics, between_variance, within_variance);
    RemlFit {
        mean: at.mean,
        mean_standard_error: (within_variance / at.sum_g).sqrt(),
        between_variance,
        within_variance,
        between_standard_error,
        within_standard_error,
        minus_two_log_likelihood: Some(profile(observations, &at) + constant),
    }
}

/// Standard errors of both variances from the expected restricted information
/// `I_ij = tr(P V_i P V_j)/2`, `P = V^-1 - V^-1 1 1' V^-1/(1' V^-1 1)`.
///
/// Within a group `V` has the eigenvalue `s^2` (weighted) on contrasts and `n/h` on the mean, with
/// `h = 1/(t^2 + s^2/n)`, so every trace is a sum over groups.
fn variance_errors(statistics: &GroupStatistics, between: f64, within: f64) -> (Option<f64>, Option<f64>) {
    let observations = statistics.observations() as f64;
    let groups = statistics.groups_with_data() as f64;
    if between == 0.0 {
        // One variance only, known with N - 1 degrees of freedom.
        return (None, Some(within * (2.0 / (observations - 1.0)).sqrt()));
    }
    let (mut h1, mut h2, mut h3) = (0.0, 0.0, 0.0);
    let (mut h2_n, mut h3_n, mut h2_nn, mut h3_nn) = (0.0, 0.0, 0.0, 0.0);
    for group in statistics.groups().iter().filter(|g| g.observations > 0) {
        let n = group.weight;
        let h = 1.0 / (between + within / n);
        h1 += h;
        h2 += h * h;
        h3 += h * h * h;
        h2_n += h * h / n;
        h3_n += h * h * h / n;
        h2_nn += h * h / (n * n);
        h3_nn += h * h * h / (n * n);
    }
    let contrasts = (observations - groups) / (within * within);
    let i_bb = 0.5 * (h2 - 2.0 * h3 / h1 + (h2 / h1).powi(2));
    let i_bw = 0.5 * (h2_n - 2.0 * h3_n / h1 + h2 * h2_n / (h1 * h1));
    let i_ww = 0.5 * (contrasts + h2_nn - 2.0 * h3_nn / h1 + (h2_n / h1).powi(2));
    let determinant = i_bb * i_ww - i_bw * i_bw;
    (Some((i_ww / determinant).sqrt()), Some((i_bb / determinant).sqrt()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn statistics(values: &[f64], group: &[usize], weights: &[f64]) -> GroupStatistics {
        let count = group.iter().max().map_or(0, |g| g + 1);
        GroupStatistics::new(values, group, weights, count).unwrap()
    }

    #[test]
    fn balanced_by_hand() {
        // Two groups of two, unsorted: means 2 and 7, SS = 2 + 2 = 4, MSE = 2, MSB = 25,
        // t^2 = (25 - 2)/2 = 11.5, mu = 4.5 with variance MSB/4.
        let s = statistics(&[1.0, 8.0, 3.0, 6.0], &[0, 1, 0, 1], &[1.0; 4]);
        let f = fit(&s).unwrap();
        assert!((f.within_variance - 2.0).abs() < 1e-12);
        assert!((f.between_variance - 11.5).abs() < 1e-11);
        assert!((f.mean - 4.5).abs() < 1e-14);
        assert!((f.mean_standard_error - 2.5).abs() < 1e-12);
        // Var(MSE) = 2 MSE^2/2, Var(MSB) = 2 MSB^2/1, t^2 = (MSB - MSE)/2.
        assert!((f.within_standard_error.unwrap() - 2.0).abs() < 1e-12);
        let between = (2.0f64 * 625.0 + 4.0).sqrt() / 2.0;
        assert!((f.between_standard_error.unwrap() - between).abs() < 1e-10);
    }

    #[test]
    fn a_weight_of_two_is_the_mean_of_two() {
        // Replacing two observations of a group by their mean at weight 2 keeps n and the group
        // mean; with the same SS and N the fit is the same. Here the pair is equal, so SS is kept,
        // and the likelihood is compared at the same ratio.
        let full = statistics(&[4.0, 4.0, 1.0, 9.0, 7.0], &[0, 0, 0, 1, 1], &[1.0; 5]);
        let merged = statistics(&[4.0, 1.0, 9.0, 7.0], &[0, 0, 1, 1], &[2.0, 1.0, 1.0, 1.0]);
        let (a, b) = (full.at_ratio(0.8), merged.at_ratio(0.8));
        assert!((a.mean - b.mean).abs() < 1e-14);
        assert!((a.sum_of_squares - b.sum_of_squares).abs() < 1e-13);
        assert!((a.sum_ln - b.sum_ln).abs() < 1e-15);
    }

    #[test]
    fn defined_answers_for_thin_data() {
        let none = GroupStatistics::new(&[], &[], &[], 3).unwrap();
        assert_eq!(fit(&none), Err(RemlError::NoData));
        let one = statistics(&[1.0, 2.0], &[0, 0], &[1.0; 2]);
        assert_eq!(fit(&one), Err(RemlError::OneGroup { observations: 2 }));
        let single = statistics(&[1.0, 2.0, 4.0], &[0, 1, 2], &[1.0; 3]);
        assert_eq!(fit(&single), Err(RemlError::NoReplication { groups: 3 }));
    }

    #[test]
    fn all_equal_and_equal_within_groups() {
        let f = fit(&statistics(&[0.1; 5], &[0, 0, 1, 1, 2], &[1.0; 5])).unwrap();
        assert_eq!((f.between_variance, f.within_variance), (0.0, 0.0));
        assert_eq!((f.mean, f.mean_standard_error), (0.1, 0.0));
        assert_eq!(f.minus_two_log_likelihood, None);

        let f = fit(&statistics(&[1.0, 1.0, 3.0, 3.0, 3.0], &[0, 0, 1, 1, 1], &[1.0; 5])).unwrap();
        assert_eq!((f.mean, f.between_variance, f.within_variance), (2.0, 2.0, 0.0));
    }

    #[test]
    fn groups_that_hardly_vary_within() {
        let values = [1.0, 1.0 + 1e-9, 3.0, 3.0 - 1e-9, 4.0, 4.0];
        let f = fit(&statistics(&values, &[0, 0, 1, 1, 2, 2], &[1.0; 6])).unwrap();
        // The variance of 1, 3, 4 is 7/3.
        assert!((f.between_variance - 7.0 / 3.0).abs() < 1e-6);
        assert!(f.within_variance < 1e-9 && f.within_variance > 0.0);
    }
}
