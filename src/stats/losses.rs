//! What is lost per step: the part that all stations share and the part each has of its own.

/// The loss that all stations share, per step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CommonLoss {
    /// Expected loss of a step, `m_p`, in the unit of length.
    pub mean: f64,
    /// Variance of that expectation, `v_p`, unit squared: it does not average out over steps.
    pub mean_variance: f64,
    /// Variance of a step about it, `s^2`, unit squared.
    pub cycle_variance: f64,
}

impl CommonLoss {
    /// Variance of the common loss of `k` steps, `k^2 v_p + k s^2`.
    pub fn sum_variance(&self, k: u32) -> f64 {
        let k = f64::from(k);
        k * k * self.mean_variance + k * self.cycle_variance
    }
}

/// The variance that each station has of its own, unit squared.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OwnLoss {
    /// Fresh at every step, `w_true^2`.
    pub per_cycle: f64,
    /// The same at every step, `lasting^2`.
    pub lasting: f64,
    /// Of one reading, `g^2`: a loss is the difference of two, whatever the number of steps.
    pub reading: f64,
}

impl OwnLoss {
    /// `W(k) = k w_true^2 + k^2 lasting^2 + 2 g^2`.
    pub fn sum_variance(&self, k: u32) -> f64 {
        let k = f64::from(k);
        k * self.per_cycle + k * k * self.lasting + 2.0 * self.reading
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn variances_by_hand() {
        let common = CommonLoss { mean: 1.0, mean_variance: 0.5, cycle_variance: 3.0 };
        assert_eq!(common.sum_variance(4), 16.0 * 0.5 + 4.0 * 3.0);
        let own = OwnLoss { per_cycle: 2.0, lasting: 0.25, reading: 0.5 };
        assert_eq!(own.sum_variance(3), 6.0 + 2.25 + 1.0);
    }
}
