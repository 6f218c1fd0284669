//! How many events has a system had by an age, on average?
//!
//! Nelson's estimate of the mean cumulative function, `M(t) = sum over event ages t_k <= t of
//! d_k/r_k` (d events among r systems under observation), for systems that come under observation
//! and leave it at different ages. Its variance is the robust one of Lawless & Nadeau (1995,
//! *Technometrics* 37:158), which lets a system's events depend on each other:
//! `sum_i (sum_k I_i(t_k)/r_k (d_ik - d_k/r_k))^2`. Limits are those of its logarithm,
//! `M exp(+-1.96 se/M)` (Nelson 1995, *Technometrics* 37:147).

use super::normal;
use thiserror::Error;

/// Why the function cannot be estimated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum MeanCumulativeError {
    /// A list of ages is not as long as the list it belongs to.
    #[error("entry and end ages, and event systems and ages, must be equally many")]
    Lengths,
    /// A system's end is before its entry, or one of them is not finite.
    #[error("system {index} ends before it enters, or an age is not finite")]
    Window {
        /// Index of the first offender.
        index: usize,
    },
    /// An event belongs to no system, or lies outside the time its system was observed.
    #[error("event {index} lies outside the time its system was observed")]
    Outside {
        /// Index of the first offender.
        index: usize,
    },
}

/// The function at one age with events.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeanCumulativePoint {
    /// Age, in the unit of the input.
    pub age: f64,
    /// Systems under observation.
    pub at_risk: usize,
    /// Events at this age.
    pub events: usize,
    /// Mean events per system up to and at this age.
    pub mean: f64,
    /// Robust standard error. `None` from the first age at which a single system was observed: one
    /// system shows no difference between systems.
    pub standard_error: Option<f64>,
    /// 95 % limits, where there is a standard error.
    pub limits: Option<(f64, f64)>,
}

/// What happens at an age, in the order in which it counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Happening {
    Entry,
    Event,
    End,
}

/// The mean cumulative function at every age that has an event, in increasing order.
///
/// System `i` is observed from `entry[i]` to `end[i]`, both included. Event `j` happened to system
/// `event_system[j]` at `event_age[j]`; a system may have several at one age. Any order.
///
/// # Errors
/// [`MeanCumulativeError`].
pub fn mean_cumulative(
    entry: &[f64],
    end: &[f64],
    event_system: &[usize],
    event_age: &[f64],
) -> Result<Vec<MeanCumulativePoint>, MeanCumulativeError> {
    if entry.len() != end.len() || event_system.len() != event_age.len() {
        return Err(MeanCumulativeError::Lengths);
    }
    let usable = |i: usize| entry[i].is_finite() && end[i].is_finite() && entry[i] <= end[i];
    if let Some(index) = (0..entry.len()).find(|&i| !usable(i)) {
        return Err(MeanCumulativeError::Window { index });
    }
    let observed = |j: usize| {
        let system = event_system[j];
        system < entry.len() && (entry[system]..=end[system]).contains(&event_age[j])
    };
    if let Some(index) = (0..event_age.len()).find(|&j| !observed(j)) {
        return Err(MeanCumulativeError::Outside { index });
    }

    let mut happenings: Vec<(f64, Happening, usize)> = Vec::new();
    happenings.extend(entry.iter().enumerate().map(|(i, &a)| (a, Happening::Entry, i)));
    happenings.extend(end.iter().enumerate().map(|(i, &a)| (a, Happening::End, i)));
    happenings.extend(event_age.iter().zip(event_system).map(|(&a, &i)| (a, Happening::Event, i)));
    happenings.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));

    let mut under = UnderObservation::new(entry.len());
    let mut points: Vec<MeanCumulativePoint> = Vec::new();
    let mut mean = 0.0;
    let mut spread_known = true;
    for together in happenings.chunk_by(|a, b| a.0 == b.0 && a.1 == b.1) {
        let (age, happening, _) = together[0];
        match happening {
            Happening::Entry => together.iter().for_each(|h| under.enter(h.2)),
            Happening::End => together.iter().for_each(|h| under.leave(h.2)),
            Happening::Event => {
                let at_risk = under.systems;
                mean += together.len() as f64 / at_risk as f64;
                under.events(together.iter().map(|h| h.2), together.len());
                spread_known &= at_risk > 1;
                let standard_error = spread_known.then(|| under.variance().sqrt());
                points.push(MeanCumulativePoint {
                    age,
                    at_risk,
                    events: together.len(),
                    mean,
                    standard_error,
                    limits: standard_error.map(|se| log_limits(mean, se)),
                });
            }
        }
    }
    Ok(points)
}

/// 95 % limits of a positive mean.
fn log_limits(mean: f64, standard_error: f64) -> (f64, f64) {
    let factor = (normal::quantile(0.975) * standard_error / mean).exp();
    (mean / factor, mean * factor)
}

/// The systems' contributions to the variance, kept up as ages pass.
///
/// System i contributes `U_i = own - expected`: its own events, each over the number at risk, less
/// what every system at risk was expected to have. An event changes the expectation of all of them
/// alike, so their sum and sum of squares suffice and an age costs no pass over the systems.
struct UnderObservation {
    systems: usize,
    /// Sum of `d_k/r_k^2` so far.
    expected: f64,
    /// `own` plus the expectation at entry, so that `U_i = shifted[i] - expected`.
    shifted: Vec<f64>,
    /// Sums of `U_i` and `U_i^2` over the systems under observation.
    sum: f64,
    squares: f64,
    /// Sum of `U_i^2` over those that have left.
    left: f64,
}

impl UnderObservation {
    fn new(systems: usize) -> Self {
        Self { systems: 0, expected: 0.0, shifted: vec![0.0; systems], sum: 0.0, squares: 0.0, left: 0.0 }
    }

    fn enter(&mut self, system: usize) {
        self.systems += 1;
        self.shifted[system] = self.expected;
    }

    fn leave(&mut self, system: usize) {
        let own = self.shifted[system] - self.expected;
        self.systems -= 1;
        self.sum -= own;
        self.squares -= own * own;
        self.left += own * own;
    }

    /// `count` events of these systems (repeated where one has several) at one age.
    fn events(&mut self, systems: impl Iterator<Item = usize>, count: usize) {
        let at_risk = self.systems as f64;
        let share = 1.0 / at_risk;
        for system in systems {
            let own = self.shifted[system] - self.expected;
            self.shifted[system] += share;
            self.sum += share;
            self.squares += share * (2.0 * own + share);
        }
        let expected = count as f64 * share * share;
        self.squares += expected * (at_risk * expected - 2.0 * self.sum);
        self.sum -= at_risk * expected;
        self.expected += expected;
    }

    fn variance(&self) -> f64 {
        // Differences of sums: rounding may leave a little less than nothing.
        (self.squares + self.left).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The definition, one pass over systems and ages for every point.
    fn by_definition(entry: &[f64], end: &[f64], system: &[usize], age: &[f64]) -> Vec<(f64, f64)> {
        let mut ages = age.to_vec();
        ages.sort_by(f64::total_cmp);
        ages.dedup();
        let mut mean = 0.0;
        let mut own = vec![0.0; entry.len()];
        ages.iter()
            .map(|&t| {
                let risk: Vec<usize> = (0..entry.len()).filter(|&i| entry[i] <= t && t <= end[i]).collect();
                let r = risk.len() as f64;
                let of = |i: usize| (0..age.len()).filter(|&j| system[j] == i && age[j] == t).count();
                let d: usize = risk.iter().map(|&i| of(i)).sum();
                mean += d as f64 / r;
                for &i in &risk {
                    own[i] += (of(i) as f64 - d as f64 / r) / r;
                }
                (mean, own.iter().map(|u| u * u).sum::<f64>().sqrt())
            })
            .collect()
    }

    #[test]
    fn ugly_rows_by_hand() {
        // Three systems, the second late, the third gone at 4; two events of one system at one age,
        // one event exactly at an end, one exactly at an entry.
        let entry = [0.0, 3.0, 0.0];
        let end = [10.0, 10.0, 4.0];
        let points = mean_cumulative(&entry, &end, &[0, 2, 0, 1], &[2.0, 4.0, 2.0, 3.0]).unwrap();
        let shape: Vec<_> = points.iter().map(|p| (p.age, p.at_risk, p.events)).collect();
        assert_eq!(shape, [(2.0, 2, 2), (3.0, 3, 1), (4.0, 3, 1)]);
        assert!((points[2].mean - (1.0 + 2.0 / 3.0)).abs() < 1e-15);
        // At 2: U = (2 - 1)/2 and (0 - 1)/2.
        assert!((points[0].standard_error.unwrap() - 0.5f64.sqrt()).abs() < 1e-15);
        // At 3, each loses (1/3)/3 and system 1 gains 1/3: U = 7/18, 4/18, -11/18.
        let se = (49.0f64 + 16.0 + 121.0).sqrt() / 18.0;
        assert!((points[1].standard_error.unwrap() - se).abs() < 1e-15);
    }

    #[test]
    fn one_system_has_no_standard_error() {
        let points = mean_cumulative(&[0.0], &[9.0], &[0, 0], &[3.0, 5.0]).unwrap();
        assert_eq!(points[1].mean, 2.0);
        assert!(points.iter().all(|p| p.standard_error.is_none() && p.limits.is_none()));
        assert!(mean_cumulative(&[0.0], &[9.0], &[], &[]).unwrap().is_empty());
        assert!(mean_cumulative(&[], &[], &[], &[]).unwrap().is_empty());
    }

    #[test]
    fn unusable_input() {
        let bad = |n: &[f64], e: &[f64], s: &[usize], a: &[f64]| mean_cumulative(n, e, s, a).unwrap_err();
        assert_eq!(bad(&[0.0], &[], &[], &[]), MeanCumulativeError::Lengths);
        assert_eq!(bad(&[2.0], &[1.0], &[], &[]), MeanCumulativeError::Window { index: 0 });
        assert_eq!(bad(&[0.0], &[f64::NAN], &[], &[]), MeanCumulativeError::Window { index: 0 });
        assert_eq!(bad(&[0.0], &[1.0], &[1], &[0.5]), MeanCumulativeError::Outside { index: 0 });
        assert_eq!(bad(&[0.0], &[1.0], &[0], &[1.5]), MeanCumulativeError::Outside { index: 0 });
    }

    proptest! {
        #[test]
        fn the_running_sums_are_the_definition(
            systems in prop::collection::vec((0u32..20, 0u32..20, prop::collection::vec(0u32..40, 0..5)), 2..12)
        ) {
            let entry: Vec<f64> = systems.iter().map(|s| f64::from(s.0)).collect();
            let end: Vec<f64> = systems.iter().map(|s| f64::from(s.0 + s.1)).collect();
            let (mut system, mut age) = (Vec::new(), Vec::new());
            for (i, s) in systems.iter().enumerate() {
                for a in s.2.iter().filter(|a| (s.0..=s.0 + s.1).contains(a)) {
                    system.push(i);
                    age.push(f64::from(*a));
                }
            }
            let points = mean_cumulative(&entry, &end, &system, &age).unwrap();
            let expected = by_definition(&entry, &end, &system, &age);
            prop_assert_eq!(points.len(), expected.len());
            for (p, (mean, se)) in points.iter().zip(expected) {
                prop_assert!((p.mean - mean).abs() < 1e-12);
                if let Some(actual) = p.standard_error {
                    // A standard error of nearly 0 is a root of rounding errors.
                    prop_assert!((actual - se).abs() < 1e-7);
                }
            }
            // Renaming the systems changes nothing.
            let n = entry.len();
            let turned: Vec<usize> = system.iter().map(|i| n - 1 - i).collect();
            let reverse = |v: &[f64]| v.iter().rev().copied().collect::<Vec<f64>>();
            let renamed = mean_cumulative(&reverse(&entry), &reverse(&end), &turned, &age).unwrap();
            for (p, q) in points.iter().zip(&renamed) {
                prop_assert!((p.mean - q.mean).abs() < 1e-12);
            }
        }
    }
}
