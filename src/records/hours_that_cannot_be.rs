//! Readings of hours that contradict one another: of a propeller, at its visits, and of an aircraft's meters.
//!
//! A reading that falls by more than an hour, or rises faster than 24 h a day, contradicts its neighbour; so does one that
//! makes more than 3,000 h a year over 60 days or more. The one that disagrees with both its neighbours, which agree with
//! each other, is set aside. Else it cannot be told which is wrong: both stay, and the hours are not known from there on.
//! A fall of up to an hour, and more than the hours a year that the settings say, earn a caution.

use super::rule::Doubt;
use super::schema::Table;
use crate::trade::calendar::{DAYS_PER_YEAR, Day};

/// Hours a reading may fall by: rounding.
const ROUNDING_HOURS: f64 = 1.0;
const MOST_HOURS_A_DAY: f64 = 24.0;
/// Days over which a yearly rate is judged at the least; readings closer together are joined.
const RATE_DAYS: i32 = 60;
/// Hours a year that nobody flies.
const MOST_HOURS_A_YEAR: f64 = 3_000.0;
/// Differences this small are arithmetic.
const SAME_HOURS: f64 = 1e-9;

/// A reading with the place it stands in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Its day.
    pub day: Day,
    /// Hours read.
    pub hours: f64,
    /// Its table.
    pub table: Table,
    /// Row of the table, from 0.
    pub row: u32,
    /// Column of the table.
    pub column: &'static str,
    /// Whether the row says more than these hours, so that it is never set aside for them.
    pub(super) keep: bool,
}

/// Two readings, one after the other, that cannot both be right.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contradiction {
    /// The propeller, or the aircraft for its meters.
    pub whose: u32,
    /// The earlier.
    pub from: Place,
    /// The later.
    pub to: Place,
}

/// What is wrong with the readings of one series.
#[derive(Debug, Default)]
pub(super) struct Verdict {
    /// Readings set aside, by their place in the series.
    pub(super) aside: Vec<usize>,
    /// Pairs that contradict each other, by their places in the series.
    pub(super) contradictions: Vec<(usize, usize)>,
    /// Cautions, by the place in the series.
    pub(super) cautions: Vec<(usize, Doubt)>,
}

impl Verdict {
    fn clear(&mut self) {
        self.aside.clear();
        self.contradictions.clear();
        self.cautions.clear();
    }
}

/// Judges one series after the other; keeps its working space.
#[derive(Debug, Default)]
pub(super) struct Judge {
    /// Whether the step to the next reading cannot be.
    bad: Vec<bool>,
    kept: Vec<usize>,
    verdict: Verdict,
    /// Hours a year that earn a caution.
    caution_per_year: f64,
}

fn per_year(hours: f64, days: i32) -> f64 {
    hours / f64::from(days) * DAYS_PER_YEAR
}

fn cannot_be(from: &Place, to: &Place) -> bool {
    let (hours, days) = (to.hours - from.hours, to.day - from.day);
    // Two readings of one day lie at most a day apart.
    hours < -ROUNDING_HOURS - SAME_HOURS
        || hours > MOST_HOURS_A_DAY * f64::from(days.max(1)) + SAME_HOURS
        || (days >= RATE_DAYS && per_year(hours, days) > MOST_HOURS_A_YEAR)
}

impl Judge {
    pub(super) fn new(caution_per_year: f64) -> Judge {
        Judge { caution_per_year, ..Judge::default() }
    }

    /// What is wrong with a series, ascending by day and, within a day, by hours.
    pub(super) fn of(&mut self, series: &[Place]) -> &Verdict {
        self.verdict.clear();
        self.bad.clear();
        self.bad.extend(series.windows(2).map(|pair| cannot_be(&pair[0], &pair[1])));
        self.joined_rates(series);
        if self.bad.contains(&true) {
            self.contradicting(series);
        }
        for (at, pair) in series.windows(2).enumerate() {
            let fall = pair[0].hours - pair[1].hours;
            if fall > SAME_HOURS && !self.bad[at] {
                self.verdict.cautions.push((at + 1, Doubt::HoursBackwards));
            }
        }
        &self.verdict
    }

    /// Judges yearly rates over 60 days and more: the steepest step of a time that is flown too fast cannot be.
    fn joined_rates(&mut self, series: &[Place]) {
        let mut told = 0;
        let mut end = 0;
        for (start, from) in series.iter().enumerate() {
            end = end.max(start + 1);
            while series.get(end).is_some_and(|to| to.day - from.day < RATE_DAYS) {
                end += 1;
            }
            let Some(to) = series.get(end) else { return };
            let rate = per_year(to.hours - from.hours, to.day - from.day);
            if rate <= self.caution_per_year.min(MOST_HOURS_A_YEAR) || self.bad[start..end].contains(&true) {
                continue;
            }
            if rate > MOST_HOURS_A_YEAR {
                let steep = |at: &usize| {
                    let (a, b) = (&series[*at], &series[*at + 1]);
                    (b.hours - a.hours) / f64::from((b.day - a.day).max(1))
                };
                let steepest = (start..end).max_by(|a, b| steep(a).total_cmp(&steep(b)).then(b.cmp(a)));
                if let Some(at) = steepest {
                    self.bad[at] = true;
                }
            } else if start >= told && rate > self.caution_per_year {
                self.verdict.cautions.push((end, Doubt::HoursTooMany));
                told = end;
            }
        }
    }

    fn contradicting(&mut self, series: &[Place]) {
        let bad = &self.bad;
        let alone = |at: usize| {
            at > 0
                && at + 1 < series.len()
                && !series[at].keep
                && bad[at - 1]
                && bad[at]
                && !cannot_be(&series[at - 1], &series[at + 1])
        };
        let verdict = &mut self.verdict;
        // Of two neighbours that could each be the wrong one, neither is chosen.
        verdict.aside.extend((0..series.len()).filter(|&at| {
            let before = at.checked_sub(1).is_some_and(alone);
            alone(at) && !before && !alone(at + 1)
        }));
        self.kept.clear();
        self.kept.extend((0..series.len()).filter(|at| !verdict.aside.contains(at)));
        for pair in self.kept.windows(2) {
            // A step over one that was set aside is fine by the choice of it.
            if pair[1] == pair[0] + 1 && bad[pair[0]] {
                verdict.contradictions.push((pair[0], pair[1]));
                verdict.cautions.push((pair[1], Doubt::HoursContradict));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn series(points: &[(i32, f64)]) -> Vec<Place> {
        let place = |(row, &(day, hours)): (usize, &(i32, f64))| Place {
            day: Day::from_number(day),
            hours,
            table: Table::Hours,
            row: row as u32,
            column: "hours_since_new",
            keep: false,
        };
        points.iter().enumerate().map(place).collect()
    }

    type Told = (Vec<usize>, Vec<(usize, usize)>, Vec<(usize, Doubt)>);

    fn judged(points: &[(i32, f64)]) -> Told {
        let mut judge = Judge::new(1200.0);
        let verdict = judge.of(&series(points));
        (verdict.aside.clone(), verdict.contradictions.clone(), verdict.cautions.clone())
    }

    #[test]
    fn the_one_that_disagrees_with_both_is_set_aside() {
        assert_eq!(judged(&[(0, 4000.0), (90, 42600.0), (180, 4300.0)]), (vec![1], vec![], vec![]));
        assert_eq!(judged(&[(0, 4000.0), (30, 426.0), (60, 4060.0)]), (vec![1], vec![], vec![]));
        // 1,000 h in 90 days are 4,058 a year, and what follows falls.
        assert_eq!(judged(&[(0, 100.0), (90, 1100.0), (180, 200.0)]).0, [1]);
    }

    #[test]
    fn at_an_end_or_where_it_cannot_be_told_both_stay() {
        let contradiction = |pair: (usize, usize)| (vec![], vec![pair], vec![(pair.1, Doubt::HoursContradict)]);
        assert_eq!(judged(&[(0, 4000.0), (90, 4130.0), (180, 42600.0)]), contradiction((1, 2)));
        assert_eq!(judged(&[(0, 42600.0), (90, 4130.0), (180, 4260.0)]), contradiction((0, 1)));
        // A meter set back under its old name.
        assert_eq!(judged(&[(0, 500.0), (100, 600.0), (120, 3.0), (220, 100.0)]), contradiction((1, 2)));
        // Either of the two in the middle could be the wrong one.
        let (aside, pairs, _) = judged(&[(0, 1000.0), (1, 5000.0), (2, 1010.0), (3, 5010.0)]);
        assert_eq!((aside.len(), pairs.len()), (0, 3));
    }

    #[test]
    fn a_visit_is_never_set_aside_for_its_hours() {
        let mut points = series(&[(0, 4000.0), (90, 42600.0), (180, 4300.0)]);
        points[1].keep = true;
        let mut judge = Judge::new(1200.0);
        let verdict = judge.of(&points);
        assert_eq!((verdict.aside.len(), verdict.contradictions.as_slice()), (0, [(0, 1), (1, 2)].as_slice()));
    }

    #[test]
    fn a_fall_of_up_to_an_hour_is_a_caution() {
        assert_eq!(judged(&[(0, 100.0), (30, 99.0)]), (vec![], vec![], vec![(1, Doubt::HoursBackwards)]));
        assert_eq!(judged(&[(0, 100.0), (30, 98.9)]).1, [(0, 1)]);
        assert_eq!(judged(&[(0, 100.0), (30, 100.0)]), (vec![], vec![], vec![]));
    }

    #[test]
    fn twenty_four_hours_a_day_are_the_most() {
        assert_eq!(judged(&[(0, 100.0), (2, 148.0)]).1, []);
        assert_eq!(judged(&[(0, 100.0), (2, 148.1)]).1, [(0, 1)]);
        assert_eq!(judged(&[(0, 100.0), (0, 124.0)]).1, []);
        assert_eq!(judged(&[(0, 100.0), (0, 125.0)]).1, [(0, 1)]);
    }

    #[test]
    fn yearly_rates_are_judged_over_sixty_days_readings_joined() {
        // 3,000 h a year are 8.21355 a day: 492.8 h in 60 days, 1,200 are 197.1 h.
        assert_eq!(judged(&[(0, 0.0), (60, 492.0)]), (vec![], vec![], vec![(1, Doubt::HoursTooMany)]));
        assert_eq!(judged(&[(0, 0.0), (60, 493.0)]).1, [(0, 1)]);
        assert_eq!(judged(&[(0, 0.0), (60, 197.0)]).2, []);
        assert_eq!(judged(&[(0, 0.0), (60, 198.0)]).2, [(1, Doubt::HoursTooMany)]);
        // Under 60 days only the day's 24 h count.
        assert_eq!(judged(&[(0, 0.0), (59, 1400.0)]), (vec![], vec![], vec![]));
        // Joined, the time is flown too fast, and its steepest step is where.
        assert_eq!(judged(&[(0, 0.0), (30, 20.0), (60, 600.0), (90, 620.0)]).1, [(1, 2)]);
        // Weekly flights of 40 h, 2,087 h a year: one caution a joined time.
        let weeks: Vec<(i32, f64)> = (0..19).map(|week| (7 * week, 40.0 * f64::from(week))).collect();
        assert_eq!(judged(&weeks).2, [(9, Doubt::HoursTooMany), (18, Doubt::HoursTooMany)]);
    }
}
