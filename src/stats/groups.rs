//! What each group says, and all groups together at one variance ratio.
//!
//! The model throughout is `y = mu + a_p + e` with `a_p ~ N(0, t^2)` per group `p` and
//! `e ~ N(0, s^2/q)` per observation of weight `q`. Everything the likelihood needs is a weight, a
//! mean and a pooled sum of squares, so they are computed once and a fleet of any size is then
//! looked at through [`GroupStatistics::at_ratio`] in one pass over its groups.

use thiserror::Error;

/// Why observations cannot be grouped.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum GroupError {
    /// The slices of values, groups and weights differ in length.
    #[error("{values} values, {groups} group numbers and {weights} weights: they must be equally many")]
    Lengths {
        /// Number of values.
        values: usize,
        /// Number of group indices.
        groups: usize,
        /// Number of weights.
        weights: usize,
    },
    /// A value is infinite or not a number.
    #[error("value {index} is not a finite number")]
    Value {
        /// Index of the first offender.
        index: usize,
    },
    /// A weight is not a positive finite number.
    #[error("weight {index} is not a positive finite number")]
    Weight {
        /// Index of the first offender.
        index: usize,
    },
    /// A group index is not below the number of groups.
    #[error("group number {index} is not below the number of groups")]
    Group {
        /// Index of the first offender.
        index: usize,
    },
}

/// One group's part of the data.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Group {
    /// Sum of the weights, `n_p`; 0 for a group without data.
    pub weight: f64,
    /// Weighted mean, `ybar_p`; 0 for a group without data, where nothing reads it.
    pub mean: f64,
    /// Number of observations.
    pub observations: usize,
}

/// The sufficient statistics of the one-way model.
#[derive(Debug, Clone, PartialEq)]
pub struct GroupStatistics {
    groups: Vec<Group>,
    within_sum_of_squares: f64,
    observations: usize,
    groups_with_data: usize,
    sum_ln_weights: f64,
    reference: f64,
}

/// The data seen at one variance ratio `r = t^2/s^2`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtRatio {
    /// Generalised least squares mean `sum(g ybar)/sum(g)`, `g = n/(1 + n r)`.
    pub mean: f64,
    /// `sum(g)`; the mean has variance `s^2/sum(g)`.
    pub sum_g: f64,
    /// `sum(g^2)`.
    pub sum_g_squared: f64,
    /// `sum ln(1 + n r)`.
    pub sum_ln: f64,
    /// `SS + sum g (ybar - mean)^2`.
    pub sum_of_squares: f64,
    /// `sum g^2 (ybar - mean)^2`, minus the slope of `sum_of_squares` in `r`.
    pub sum_g_squared_deviations: f64,
}

impl GroupStatistics {
    /// Collects `values` (any unit) by `group` (0..`group_count`) with `weights` (relative
    /// precisions, 1 for an ordinary observation). The three slices are equally long; groups
    /// without data are allowed, and so is no data at all.
    ///
    /// # Errors
    /// [`GroupError`] when lengths differ or a value, weight or group number is unusable.
    pub fn new(values: &[f64], group: &[usize], weights: &[f64], group_count: usize) -> Result<Self, GroupError> {
        if values.len() != group.len() || values.len() != weights.len() {
            return Err(GroupError::Lengths { values: values.len(), groups: group.len(), weights: weights.len() });
        }
        if let Some(index) = values.iter().position(|v| !v.is_finite()) {
            return Err(GroupError::Value { index });
        }
        if let Some(index) = weights.iter().position(|w| !w.is_finite() || *w <= 0.0) {
            return Err(GroupError::Weight { index });
        }
        if let Some(index) = group.iter().position(|&p| p >= group_count) {
            return Err(GroupError::Group { index });
        }

        // Means are taken about the first value, so that equal values give exactly that value
        // and a sum of squares of exactly zero; the degenerate cases are recognised by it.
        let reference = values.first().copied().unwrap_or(0.0);
        let mut groups = vec![Group::default(); group_count];
        for ((&value, &p), &weight) in values.iter().zip(group).zip(weights) {
            groups[p].weight += weight;
            groups[p].mean += weight * (value - reference);
            groups[p].observations += 1;
        }
        let mut groups_with_data = 0;
        for g in groups.iter_mut().filter(|g| g.observations > 0) {
            g.mean = reference + g.mean / g.weight;
            groups_with_data += 1;
        }
        // A lone observation is its own mean; rounding must not turn it into a residual.
        let within_sum_of_squares = values
            .iter()
            .zip(group)
            .zip(weights)
            .filter(|((_, p), _)| groups[**p].observations > 1)
            .map(|((value, p), weight)| weight * (value - groups[*p].mean).powi(2))
            .sum();
        Ok(Self {
            groups,
            within_sum_of_squares,
            observations: values.len(),
            groups_with_data,
            sum_ln_weights: weights.iter().map(|w| w.ln()).sum(),
            reference,
        })
    }

    /// The groups, in index order, those without data included.
    pub fn groups(&self) -> &[Group] {
        &self.groups
    }

    /// Number of observations `N`.
    pub fn observations(&self) -> usize {
        self.observations
    }

    /// Number of groups that have an observation.
    pub fn groups_with_data(&self) -> usize {
        self.groups_with_data
    }

    /// `SS`, the weighted sum of squares about the group means.
    pub fn within_sum_of_squares(&self) -> f64 {
        self.within_sum_of_squares
    }

    /// Sum of the logarithms of the observation weights, part of the likelihood's constant.
    pub fn sum_ln_weights(&self) -> f64 {
        self.sum_ln_weights
    }

    /// The data at variance ratio `ratio >= 0`. One pass for the mean, one for the deviations.
    pub fn at_ratio(&self, ratio: f64) -> AtRatio {
        let (mut sum_g, mut sum_g_squared, mut sum_ln, mut shifted) = (0.0, 0.0, 0.0, 0.0);
        for group in self.groups.iter().filter(|g| g.observations > 0) {
            let scale = 1.0 + group.weight * ratio;
            let g = group.weight / scale;
            sum_g += g;
            sum_g_squared += g * g;
            sum_ln += scale.ln();
            shifted += g * (group.mean - self.reference);
        }
        let mean = if sum_g > 0.0 { self.reference + shifted / sum_g } else { self.reference };
        let (mut between, mut slope) = (0.0, 0.0);
        for group in self.groups.iter().filter(|g| g.observations > 0) {
            let g = group.weight / (1.0 + group.weight * ratio);
            let part = g * (group.mean - mean).powi(2);
            between += part;
            slope += g * part;
        }
        AtRatio {
            mean,
            sum_g,
            sum_g_squared,
            sum_ln,
            sum_of_squares: self.within_sum_of_squares + between,
            sum_g_squared_deviations: slope,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ugly_rows_by_hand() {
        // Unsorted, weighted, a group without data. By hand: group 0 holds 2 (weight 1) and
        // 5 (weight 2): mean 4, SS 1*4 + 2*1 = 6; group 2 holds 7 (weight 0.5).
        let s = GroupStatistics::new(&[5.0, 7.0, 2.0], &[0, 2, 0], &[2.0, 0.5, 1.0], 3).unwrap();
        assert_eq!(s.groups()[0].mean, 4.0);
        assert_eq!(s.groups()[0].weight, 3.0);
        assert_eq!(s.groups()[1].observations, 0);
        assert_eq!(s.groups()[2].mean, 7.0);
        assert_eq!(s.within_sum_of_squares(), 6.0);
        assert_eq!((s.observations(), s.groups_with_data()), (3, 2));
        // At r = 1: g = 3/4 and 0.5/1.5 = 1/3; mean = (3 + 7/3)/(13/12) = 64/13.
        let at = s.at_ratio(1.0);
        assert!((at.mean - 64.0 / 13.0).abs() < 1e-14);
        assert!((at.sum_g - 13.0 / 12.0).abs() < 1e-15);
        assert!((at.sum_ln - 6f64.ln()).abs() < 1e-15);
        // Q = 6 + 3/4 (12/13)^2 + 1/3 (27/13)^2 = 6 + (108 + 243)/169 = 6 + 27/13.
        assert!((at.sum_of_squares - (6.0 + 27.0 / 13.0)).abs() < 1e-13);
    }

    #[test]
    fn slope_is_the_derivative_of_the_sum_of_squares() {
        let s = GroupStatistics::new(&[5.0, 7.0, 2.0, 3.5], &[0, 2, 0, 1], &[2.0, 0.5, 1.0, 1.0], 3).unwrap();
        let step = 1e-6;
        let numerical = (s.at_ratio(0.7 + step).sum_of_squares - s.at_ratio(0.7 - step).sum_of_squares) / (2.0 * step);
        assert!((numerical + s.at_ratio(0.7).sum_g_squared_deviations).abs() < 1e-8);
    }

    #[test]
    fn equal_values_leave_exactly_nothing() {
        let s = GroupStatistics::new(&[0.1; 7], &[0, 0, 0, 1, 1, 2, 2], &[0.3; 7], 3).unwrap();
        assert_eq!(s.within_sum_of_squares(), 0.0);
        assert_eq!(s.at_ratio(0.4).sum_of_squares, 0.0);
        assert_eq!(s.at_ratio(0.4).mean, 0.1);
    }

    #[test]
    fn unusable_input_is_named() {
        let new = |v: &[f64], g: &[usize], w: &[f64]| GroupStatistics::new(v, g, w, 2).unwrap_err();
        assert_eq!(new(&[1.0], &[0, 1], &[1.0]), GroupError::Lengths { values: 1, groups: 2, weights: 1 });
        assert_eq!(new(&[1.0, f64::NAN], &[0, 1], &[1.0, 1.0]), GroupError::Value { index: 1 });
        assert_eq!(new(&[1.0], &[0], &[0.0]), GroupError::Weight { index: 0 });
        assert_eq!(new(&[1.0], &[2], &[1.0]), GroupError::Group { index: 0 });
    }
}
