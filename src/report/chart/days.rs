//! Where a day lies across a chart, and which ticks help to read it.

use chrono::{Datelike, NaiveDate};

use super::Tick;
use super::scale::Place;
use crate::trade::calendar::{Day, same_day};

/// Room on both sides of a domain of a single day.
const ROOM_DAYS: i32 = 15;

/// A scale of days, from left to right.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DayScale {
    first: Day,
    last: Day,
}

/// The stretch between two ticks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Step {
    Days(i32),
    Months(i32),
}

/// From fine to coarse; no step is more than two and a half times the one before it.
const STEPS: [Step; 16] = [
    Step::Days(1),
    Step::Days(2),
    Step::Days(4),
    Step::Days(7),
    Step::Days(14),
    Step::Months(1),
    Step::Months(2),
    Step::Months(3),
    Step::Months(6),
    Step::Months(12),
    Step::Months(24),
    Step::Months(60),
    Step::Months(120),
    Step::Months(240),
    Step::Months(600),
    Step::Months(1200),
];

impl DayScale {
    /// From the first day to the last; days given the wrong way round are swapped, and a single day gets room on both sides.
    pub fn new(first: Day, last: Day) -> DayScale {
        let (first, last) = (first.min(last), first.max(last));
        if first == last {
            DayScale { first: first + -ROOM_DAYS, last: last + ROOM_DAYS }
        } else {
            DayScale { first, last }
        }
    }

    /// Around all the days; `None` without any.
    pub fn around(days: impl IntoIterator<Item = Day>) -> Option<DayScale> {
        let mut ends: Option<(Day, Day)> = None;
        for day in days {
            ends = Some(ends.map_or((day, day), |(a, b)| (a.min(day), b.max(day))));
        }
        ends.map(|(first, last)| DayScale::new(first, last))
    }

    /// Where a day lies.
    pub fn place(self, day: Day) -> Place {
        if day < self.first {
            Place::Before
        } else if day > self.last {
            Place::Beyond
        } else {
            Place::At(f64::from(day - self.first) / f64::from(self.last - self.first) * 100.0)
        }
    }

    /// The day's place in percent of the width; days outside are held at the ends.
    pub fn percent(self, day: Day) -> f64 {
        self.place(day).percent()
    }

    fn stepped(self, most: usize) -> (Step, Vec<Day>) {
        let most = most.clamp(5, 10);
        let span = self.last - self.first;
        for step in STEPS {
            // Not counted out where there are plainly too many.
            if span / step.least_days() > 40 {
                continue;
            }
            let ticks = self.at(step);
            if ticks.len() <= most {
                return (step, ticks);
            }
        }
        (Step::Days(span.max(1)), vec![self.first, self.last])
    }

    fn at(self, step: Step) -> Vec<Day> {
        match step {
            Step::Days(days) => {
                (0..).map(|n: i32| self.first + n.saturating_mul(days)).take_while(|day| *day <= self.last).collect()
            }
            Step::Months(months) => {
                let start = self.first.date();
                // Months since year 0, back to the last whole step.
                let count = start.year() * 12 + start.month0() as i32;
                let back = count.rem_euclid(months);
                let year = (count - back).div_euclid(12);
                let month = (count - back).rem_euclid(12) as u32 + 1;
                let Some(origin) = NaiveDate::from_ymd_opt(year, month, 1).map(Day::from) else {
                    return vec![self.first, self.last];
                };
                (0u32..)
                    .map(|n| same_day(origin, n * months as u32))
                    .take_while(|day| *day <= self.last)
                    .filter(|day| *day >= self.first)
                    .collect()
            }
        }
    }

    /// The ticks with their places and words: a year alone for steps of years; else the month (and day), with the year under the
    /// first and under every one that begins another year.
    pub fn tick_marks(self, most: usize) -> Vec<Tick> {
        let (step, days) = self.stepped(most);
        let mut year_said = None;
        days.into_iter()
            .map(|day| {
                let date = day.date();
                let mut tick = match step {
                    Step::Months(months) if months % 12 == 0 => {
                        return Tick::new(self.percent(day), date.format("%Y").to_string());
                    }
                    Step::Months(_) => Tick::new(self.percent(day), date.format("%b").to_string()),
                    Step::Days(_) => Tick::new(self.percent(day), date.format("%-d\u{a0}%b").to_string()),
                };
                if year_said != Some(date.year()) {
                    tick.under = date.format("%Y").to_string();
                    year_said = Some(date.year());
                }
                tick
            })
            .collect()
    }
}

impl Step {
    fn least_days(self) -> i32 {
        match self {
            Step::Days(days) => days,
            Step::Months(months) => months * 28,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> Day {
        Day::parse_iso(text).expect("a date in a test is written right")
    }

    #[test]
    fn ticks_by_span_by_hand() {
        let two_years = DayScale::new(day("2026-01-01"), day("2027-12-31"));
        assert_eq!(two_years.stepped(5).1, ["2026-01-01", "2026-07-01", "2027-01-01", "2027-07-01"].map(day));
        let year = DayScale::new(day("2025-02-10"), day("2026-02-10"));
        assert_eq!(year.stepped(5).1, ["2025-04-01", "2025-07-01", "2025-10-01", "2026-01-01"].map(day));
        let decades = DayScale::new(day("1998-05-05"), day("2026-02-10"));
        assert_eq!(
            decades.stepped(8).1,
            ["2000-01-01", "2005-01-01", "2010-01-01", "2015-01-01", "2020-01-01", "2025-01-01"].map(day)
        );
        let days = DayScale::new(day("2026-02-27"), day("2026-03-02"));
        assert_eq!(days.stepped(5).1.len(), 4);
    }

    #[test]
    fn the_year_stands_under_its_first_tick() {
        let marks = DayScale::new(day("2026-02-01"), day("2028-01-31")).tick_marks(5);
        let words: Vec<(&str, &str)> = marks.iter().map(|t| (t.label.as_str(), t.under.as_str())).collect();
        assert_eq!(words, [("Jul", "2026"), ("Jan", "2027"), ("Jul", ""), ("Jan", "2028")]);
    }

    #[test]
    fn ends_are_places_and_a_single_day_has_room() {
        let s = DayScale::new(day("2026-01-31"), day("2026-01-01"));
        assert_eq!(s.percent(day("2026-01-01")), 0.0);
        assert_eq!(s.percent(day("2026-01-31")), 100.0);
        assert_eq!(s.place(day("2025-12-31")), Place::Before);
        assert_eq!(s.place(day("2026-02-01")), Place::Beyond);
        let one = DayScale::new(day("2026-01-01"), day("2026-01-01"));
        assert_eq!(one.percent(day("2026-01-01")), 50.0);
        assert!(DayScale::around([]).is_none());
    }
}
