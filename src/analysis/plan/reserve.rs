//! What an hour of flying must set aside.
//!
//! Looked at over twice the longest interval: a shorter time would flatter a fleet that was just overhauled. The long-run rate
//! pays for all of it in nine of ten simulated fleets; what is needed today covers, in nine of ten, the deepest that the fund
//! would sink at that rate. From a given balance the constant rate is the smallest with which the fund never falls short.

use super::ordered::ordered;
use super::simulation::{Drawn, Point};

/// Share of simulated fleets for which a reserve is enough.
pub const ENOUGH_IN: f64 = 0.9;

/// The reserve. Sums in the fleet's currency; `None` where there is no such number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reserve {
    /// Years looked ahead.
    pub horizon_years: f64,
    /// What an hour must set aside in the long run; `None` without prices or without hours.
    pub long_run_per_hour: Option<f64>,
    /// Balance needed today so that this rate never falls short.
    pub needed_today: Option<f64>,
    /// Balance given.
    pub opening_balance: Option<f64>,
    /// Smallest rate that never falls short from that balance; `None` when no rate is enough.
    pub constant_per_hour: Option<f64>,
    /// Expected cost of the work that is overdue already; the other sums contain it.
    pub catch_up_sum: Option<f64>,
}

/// The rate of one fleet over the whole time; infinite when it costs and never flies.
fn rate(total: Point) -> f64 {
    if total.cost <= 0.0 {
        0.0
    } else if total.hours > 0.0 {
        total.cost / total.hours
    } else {
        f64::INFINITY
    }
}

/// The 90 % point over fleets of cost over hours; `None` when that is no number.
pub fn long_run_per_hour(drawn: &[Drawn]) -> Option<f64> {
    let mut rates: Vec<f64> = drawn.iter().map(|d| rate(d.total)).collect();
    ordered(&mut rates, ENOUGH_IN).filter(|r| r.is_finite())
}

/// The 90 % point over fleets of the deepest shortfall at this rate, from nothing.
pub fn needed_today(drawn: &[Drawn], per_hour: f64) -> Option<f64> {
    let mut deepest: Vec<f64> = drawn
        .iter()
        .map(|fleet| {
            let short = fleet.corners.iter().map(|c| c.cost - per_hour * c.hours);
            short.fold(0.0, f64::max)
        })
        .collect();
    ordered(&mut deepest, ENOUGH_IN)
}

/// The smallest rate with which, in 90 % of fleets, balance and what was set aside cover the cost at every month's end; `None`
/// when no rate does.
pub fn constant_per_hour(drawn: &[Drawn], balance: f64) -> Option<f64> {
    let mut rates: Vec<f64> = drawn
        .iter()
        .map(|fleet| {
            let rate = |corner: &Point| {
                let short = corner.cost - balance;
                if short <= 0.0 {
                    0.0
                } else if corner.hours > 0.0 {
                    short / corner.hours
                } else {
                    f64::INFINITY
                }
            };
            fleet.corners.iter().map(rate).fold(0.0, f64::max)
        })
        .collect();
    ordered(&mut rates, ENOUGH_IN).filter(|r| r.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fleet(corners: &[(f64, f64)]) -> Drawn {
        let corners: Vec<Point> = corners.iter().map(|&(hours, cost)| Point { hours, cost }).collect();
        Drawn { cells: Vec::new(), away: Vec::new(), within_lead: Vec::new(), total: *corners.last().unwrap(), corners }
    }

    /// 100 at 10 h and 300 at 40 h: 7.50 an hour; at 10 h 25 are short. From a balance of 40: (100-40)/10 = 6,
    /// (300-40)/40 = 6.50.
    #[test]
    fn one_fleet_by_hand() {
        let drawn = [fleet(&[(10.0, 100.0), (40.0, 300.0)])];
        assert_eq!(long_run_per_hour(&drawn), Some(7.5));
        assert_eq!(needed_today(&drawn, 7.5), Some(25.0));
        assert_eq!(constant_per_hour(&drawn, 40.0), Some(6.5));
        assert_eq!(constant_per_hour(&drawn, 500.0), Some(0.0));
        assert_eq!(constant_per_hour(&drawn, -20.0), Some(12.0));
    }

    #[test]
    fn cost_before_any_hours() {
        let drawn = [fleet(&[(0.0, 50.0), (40.0, 60.0)])];
        assert_eq!(constant_per_hour(&drawn, 49.0), None);
        assert_eq!(constant_per_hour(&drawn, 50.0), Some(0.25));
        assert_eq!(long_run_per_hour(&[fleet(&[(0.0, 50.0)])]), None);
        assert_eq!(long_run_per_hour(&[fleet(&[(0.0, 0.0)])]), Some(0.0));
    }
}
