//! Flight hours for tests, as plain as they can be.

use bladewane::analysis::flown::{Between, FlownHours};
use bladewane::records::Fleet;
use bladewane::trade::calendar::Day;

/// Every propeller flies this many hours a day; `None` is not known.
pub struct HoursPerDay(pub Vec<Option<f64>>, pub Option<f64>);

impl FlownHours for HoursPerDay {
    fn of<'h>(&'h self, propeller: u32) -> Between<'h> {
        let a_day = self.0[propeller as usize];
        Box::new(move |from, to| a_day.map(|hours| hours * f64::from(to - from)))
    }

    fn median_per_year(&self) -> Option<f64> {
        self.1
    }
}

/// Straight lines between a propeller's own readings of hours since new, at visits too; beyond them the line goes on as it
/// ran from the first to the last.
pub struct StraightLines {
    points: Vec<Vec<(Day, f64)>>,
    median: Option<f64>,
}

impl StraightLines {
    pub fn of(fleet: &Fleet<'_>) -> StraightLines {
        let points: Vec<Vec<(Day, f64)>> = (0..fleet.propellers.len() as u32)
            .map(|propeller| {
                let readings = fleet.flying.readings(propeller).iter();
                let visits = fleet.visits.of(propeller).iter();
                let mut points: Vec<(Day, f64)> = readings
                    .filter_map(|r| Some((r.day, r.hours_since_new?)))
                    .chain(visits.filter_map(|v| Some((v.day, v.hours_since_new?))))
                    .collect();
                points.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
                points.dedup_by_key(|p| p.0);
                points
            })
            .collect();
        let mut rates: Vec<f64> = points.iter().filter_map(|p| rate(p)).collect();
        rates.sort_by(f64::total_cmp);
        let median = (!rates.is_empty()).then(|| rates[rates.len() / 2] * 365.25);
        StraightLines { points, median }
    }
}

fn rate(points: &[(Day, f64)]) -> Option<f64> {
    let (first, last) = (points.first()?, points.last()?);
    let days = last.0 - first.0;
    (days > 0).then(|| (last.1 - first.1) / f64::from(days))
}

fn hours_at(points: &[(Day, f64)], rate: f64, day: Day) -> f64 {
    let after = points.partition_point(|p| p.0 <= day);
    match (after.checked_sub(1).map(|at| points[at]), points.get(after)) {
        (Some(a), Some(b)) => a.1 + (b.1 - a.1) * f64::from(day - a.0) / f64::from(b.0 - a.0),
        (Some(a), None) => a.1 + rate * f64::from(day - a.0),
        (None, Some(b)) => b.1 - rate * f64::from(b.0 - day),
        (None, None) => 0.0,
    }
}

impl FlownHours for StraightLines {
    fn of<'h>(&'h self, propeller: u32) -> Between<'h> {
        let points = &self.points[propeller as usize];
        Box::new(move |from, to| {
            let rate = rate(points)?;
            Some(hours_at(points, rate, to) - hours_at(points, rate, from))
        })
    }

    fn median_per_year(&self) -> Option<f64> {
        self.median
    }
}
