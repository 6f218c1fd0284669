//! A group's next mean with the ratio of the two variances integrated out.
//!
//! Plug-in REML estimates are too sure of themselves when there are few groups: often `t^2 = 0`,
//! and then every group is predicted at the common mean. Here the ratio `r = u/(1 - u)` has a flat
//! prior in `u`, the mean a flat one, `s^2` one flat in its logarithm, joined by `nu0` degrees of
//! freedom that expect a total spread `S0` of single observations about the mean. For one `u`
//! everything is explicit:
//!
//! - `g_p = n_p/(1 + n_p r)`, `mu = sum g ybar/sum g`,
//!   `Q = SS + sum g (ybar - mu)^2 + nu0 S0^2 (1 - u)`, `df = N - 1 + nu0`, `s^2 = Q/df`
//! - log weight `-(df ln s^2 + sum ln(1 + n_p r) + ln sum g)/2 + nu0 ln(1 - u)/2`
//! - `B = n_p r/(1 + n_p r)`, `m = mu + B (ybar_p - mu)`,
//!   `v = r s^2 (1 - B) + (1 - B)^2 s^2/sum g`
//!
//! and the answers are averages over nodes in `u`. A node is the same for every group, so a
//! prediction costs one pass over the nodes.

use super::groups::{Group, GroupStatistics};
use super::losses::CommonLoss;
use super::reml;
use thiserror::Error;

/// Up to this many observations the ratio is integrated out; beyond, its REML estimate serves.
pub const INTEGRATED_UP_TO: usize = 2_000;

/// Ratios above this are not looked at. With hardly any variation within groups the weight may
/// grow without bound towards an infinite ratio.
const LARGEST_RATIO: f64 = 1e6;

/// Prior information on the spread: `nu0` degrees of freedom around the spread `S0`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpreadPrior {
    /// `nu0`, 0 or more.
    pub degrees_of_freedom: f64,
    /// `S0`, in the values' unit.
    pub spread: f64,
}

/// Which values of `u` are summed over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nodes {
    /// Number of midpoints.
    pub count: usize,
    /// They span the `u` whose log weight is within this of the largest; infinite for all of (0, 1).
    pub within: f64,
}

impl Default for Nodes {
    fn default() -> Self {
        Self { count: 41, within: 12.0 }
    }
}

/// Why no prediction can be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum RatioError {
    /// There are no observations.
    #[error("no observations")]
    NoData,
    /// One observation, and no prior information on the spread.
    #[error("one observation says nothing about the spread")]
    NoSpread,
    /// The prior's degrees of freedom or spread are negative or not finite, or no node was asked for.
    #[error("the prior must be finite and not negative, and there must be a node")]
    Prior,
}

/// One value of the ratio.
#[derive(Debug, Clone, Copy)]
struct Node {
    weight: f64,
    ratio: f64,
    mean: f64,
    cycle_variance: f64,
    mean_variance: f64,
}

/// The fitted model, ready to predict any group.
#[derive(Debug, Clone)]
pub struct RatioFit {
    nodes: Vec<Node>,
    degrees_of_freedom: f64,
}

impl RatioFit {
    /// Fits the model: integrated up to [`INTEGRATED_UP_TO`] observations, beyond that at the REML
    /// ratio with `df = N - 1` and without the prior. Where REML has no answer at any size (one
    /// group, or no group with two observations) the ratio is integrated.
    ///
    /// # Errors
    /// [`RatioError`].
    pub fn new(statistics: &GroupStatistics, prior: SpreadPrior) -> Result<Self, RatioError> {
        if statistics.observations() > INTEGRATED_UP_TO
            && let Ok(fit) = Self::at_reml(statistics)
        {
            return Ok(fit);
        }
        Self::integrated(statistics, prior, Nodes::default())
    }

    /// Fits the model at the REML ratio.
    ///
    /// # Errors
    /// [`RatioError::NoSpread`] when REML has no answer or finds no variance within groups.
    pub fn at_reml(statistics: &GroupStatistics) -> Result<Self, RatioError> {
        let fit = reml::fit(statistics).map_err(|_| RatioError::NoSpread)?;
        if fit.within_variance == 0.0 {
            return Err(RatioError::NoSpread);
        }
        let node = Node {
            weight: 1.0,
            ratio: fit.between_variance / fit.within_variance,
            mean: fit.mean,
            cycle_variance: fit.within_variance,
            mean_variance: fit.mean_standard_error.powi(2),
        };
        Ok(Self { nodes: vec![node], degrees_of_freedom: statistics.observations() as f64 - 1.0 })
    }

    /// Fits the model with the ratio integrated out over `nodes`.
    ///
    /// Values that are all equal, with no prior spread, give variances of exactly 0.
    ///
    /// # Errors
    /// [`RatioError`].
    pub fn integrated(statistics: &GroupStatistics, prior: SpreadPrior, nodes: Nodes) -> Result<Self, RatioError> {
        let usable = |x: f64| x.is_finite() && x >= 0.0;
        if !usable(prior.degrees_of_freedom) || !prior.spread.is_finite() || nodes.count == 0 {
            return Err(RatioError::Prior);
        }
        if statistics.observations() == 0 {
            return Err(RatioError::NoData);
        }
        let degrees_of_freedom = statistics.observations() as f64 - 1.0 + prior.degrees_of_freedom;
        if degrees_of_freedom < 1.0 {
            return Err(RatioError::NoSpread);
        }
        let weighing = Weighing { statistics, prior, degrees_of_freedom };
        let flat = statistics.at_ratio(0.0);
        let nothing_varies = flat.sum_of_squares == 0.0 && (prior.degrees_of_freedom == 0.0 || prior.spread == 0.0);
        let nodes = if nothing_varies {
            vec![Node { weight: 1.0, ratio: 0.0, mean: flat.mean, cycle_variance: 0.0, mean_variance: 0.0 }]
        } else {
            weighing.nodes(nodes)
        };
        Ok(Self { nodes, degrees_of_freedom })
    }

    /// Degrees of freedom of Student's t for predictions, the same for every group.
    pub fn degrees_of_freedom(&self) -> f64 {
        self.degrees_of_freedom
    }

    /// The prediction for a group with these data; for a group without any, [`Group::default`].
    pub fn predict(&self, group: &Group) -> CommonLoss {
        let (mut mean, mut square, mut variance, mut cycle_variance) = (0.0, 0.0, 0.0, 0.0);
        // Means are averaged about that of the first node: their spread is small beside them.
        let about = self.nodes.first().map_or(0.0, |node| node.mean);
        for node in &self.nodes {
            let grown = group.weight * node.ratio;
            let own = grown / (1.0 + grown);
            let rest = 1.0 / (1.0 + grown);
            let m = node.mean - about + own * (group.mean - node.mean);
            mean += node.weight * m;
            square += node.weight * m * m;
            variance += node.weight * (node.ratio * node.cycle_variance * rest + rest * rest * node.mean_variance);
            cycle_variance += node.weight * node.cycle_variance;
        }
        CommonLoss { mean: about + mean, mean_variance: variance + (square - mean * mean).max(0.0), cycle_variance }
    }
}

/// The likelihood of the ratio.
struct Weighing<'a> {
    statistics: &'a GroupStatistics,
    prior: SpreadPrior,
    degrees_of_freedom: f64,
}

impl Weighing<'_> {
    /// The node at `u`, its weight still a logarithm.
    fn node(&self, u: f64) -> Node {
        let ratio = u / (1.0 - u);
        let nu0 = self.prior.degrees_of_freedom;
        let at = self.statistics.at_ratio(ratio);
        let squares = at.sum_of_squares + nu0 * self.prior.spread.powi(2) * (1.0 - u);
        let cycle_variance = squares / self.degrees_of_freedom;
        let likelihood = self.degrees_of_freedom * cycle_variance.ln() + at.sum_ln + at.sum_g.ln();
        Node {
            weight: 0.5 * (nu0 * (-u).ln_1p() - likelihood),
            ratio,
            mean: at.mean,
            cycle_variance,
            mean_variance: cycle_variance / at.sum_g,
        }
    }

    /// The nodes, their weights adding to 1.
    fn nodes(&self, nodes: Nodes) -> Vec<Node> {
        let (low, high) = if nodes.within.is_finite() { self.span(nodes.within) } else { (0.0, 1.0) };
        let width = (high - low) / nodes.count as f64;
        let mut made: Vec<Node> = (0..nodes.count).map(|i| self.node(low + (i as f64 + 0.5) * width)).collect();
        // The weights can lie far outside the range of a double: only differences are taken.
        let largest = made.iter().map(|n| n.weight).fold(f64::MIN, f64::max);
        for node in &mut made {
            node.weight = (node.weight - largest).exp();
        }
        let total: f64 = made.iter().map(|n| n.weight).sum();
        for node in &mut made {
            node.weight /= total;
        }
        made
    }

    /// The `u` whose log weight is within `within` of the largest.
    ///
    /// Looked for in the logit of `u`, the logarithm of the ratio, in which a likelihood has much
    /// the same width wherever its maximum lies.
    fn span(&self, within: f64) -> (f64, f64) {
        let u = |logit: f64| 1.0 / (1.0 + (-logit).exp());
        let weight = |logit: f64| self.node(u(logit)).weight;
        let end = LARGEST_RATIO.ln();
        let steps = 112;
        let step = 2.0 * end / f64::from(steps);
        let grid: Vec<(f64, f64)> =
            (0..=steps).map(|i| -end + f64::from(i) * step).map(|logit| (logit, weight(logit))).collect();
        let best = (0..grid.len()).max_by(|&a, &b| grid[a].1.total_cmp(&grid[b].1)).unwrap_or(0);
        let (peak, largest) = refine(grid[best], step, end, &weight);
        let enough = |&(_, w): &(f64, f64)| w >= largest - within;

        // The outermost grid points that count, then the crossing just outside them.
        let first = grid.iter().position(enough).map(|i| grid[i].0);
        let last = grid.iter().rposition(enough).map(|i| grid[i].0);
        let crossing = |inside: f64, outside: f64| {
            let (mut inside, mut outside) = (inside, outside);
            for _ in 0..40 {
                let middle = 0.5 * (inside + outside);
                if weight(middle) >= largest - within {
                    inside = middle;
                } else {
                    outside = middle;
                }
            }
            inside
        };
        let lowest = first.map_or(peak, |l| l.min(peak));
        let highest = last.map_or(peak, |l| l.max(peak));
        let low = if lowest <= -end { 0.0 } else { u(crossing(lowest, (lowest - step).max(-end))) };
        let high = if highest >= end { u(end) } else { u(crossing(highest, (highest + step).min(end))) };
        (low, high)
    }
}

/// The maximum of `weight` within a step of the best grid point, by golden section.
fn refine(best: (f64, f64), step: f64, end: f64, weight: &impl Fn(f64) -> f64) -> (f64, f64) {
    let golden = 0.5 * (5f64.sqrt() - 1.0);
    let (mut low, mut high) = ((best.0 - step).max(-end), (best.0 + step).min(end));
    let mut top = best;
    for _ in 0..30 {
        let (a, b) = (high - golden * (high - low), low + golden * (high - low));
        let (wa, wb) = (weight(a), weight(b));
        for candidate in [(a, wa), (b, wb)] {
            if candidate.1 > top.1 {
                top = candidate;
            }
        }
        if wa > wb {
            high = b;
        } else {
            low = a;
        }
    }
    top
}
