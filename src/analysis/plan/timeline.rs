//! The months that the plan looks at, how use and prices grow over them, and which calendar year each belongs to.

use chrono::Datelike;

use crate::trade::calendar::{DAYS_PER_YEAR, Day, same_day};

/// Mean length of a month in days.
pub const DAYS_PER_MONTH: f64 = DAYS_PER_YEAR / 12.0;
const MONTHS_PER_YEAR: f64 = 12.0;

/// Calendar months from the one that holds the as-of date, which counts from that day on.
#[derive(Debug, Clone)]
pub struct Timeline {
    /// Day the plan starts from.
    pub as_of: Day,
    /// Months of the budget.
    pub budget_months: usize,
    /// Months looked at in all: those of the budget or of the reserve, whichever are more.
    pub months: usize,
    /// Months of the reserve.
    pub reserve_months: usize,
    /// Part of month 0 that lies before the as-of date.
    pub passed: f64,
    /// Growth of use in a month, as a logarithm.
    use_growth: f64,
    /// Months' worth of flying at today's use up to the start of each month; one entry more than months.
    flown: Vec<f64>,
    /// What prices have grown to by each month, as a factor of today's.
    prices: Vec<f64>,
    /// What use has grown to by each month, as a factor of today's.
    uses: Vec<f64>,
    first_year: i32,
    first_month: u32,
}

impl Timeline {
    /// A timeline from a day, with growths in percent a year.
    pub fn new(
        as_of: Day,
        budget_months: usize,
        reserve_months: usize,
        use_growth_pct: f64,
        price_growth_pct: f64,
    ) -> Timeline {
        let date = as_of.date();
        let first_day = as_of + (1 - date.day() as i32);
        let days = same_day(first_day, 1) - first_day;
        let passed = f64::from(as_of - first_day) / f64::from(days.max(1));
        let months = budget_months.max(reserve_months);
        let grown =
            |pct: f64| (0..months).map(|m| (1.0 + pct / 100.0).powf(m as f64 / MONTHS_PER_YEAR)).collect::<Vec<f64>>();
        let uses = grown(use_growth_pct);
        let mut flown = Vec::with_capacity(months + 1);
        let mut sum = 0.0;
        flown.push(sum);
        for (m, growth) in uses.iter().enumerate() {
            sum += growth * if m == 0 { 1.0 - passed } else { 1.0 };
            flown.push(sum);
        }
        Timeline {
            as_of,
            budget_months,
            months,
            reserve_months,
            passed,
            use_growth: (1.0 + use_growth_pct / 100.0).ln() / MONTHS_PER_YEAR,
            flown,
            prices: grown(price_growth_pct),
            uses,
            first_year: date.year(),
            first_month: date.month0(),
        }
    }

    /// The month that holds a day, counted from the first; below zero before it.
    pub fn month_of(&self, day: Day) -> i64 {
        let date = day.date();
        i64::from(date.year() - self.first_year) * 12 + i64::from(date.month0()) - i64::from(self.first_month)
    }

    /// Where a day lies, in months from the start of the first, with the part of its own.
    pub fn place_of(&self, day: Day) -> f64 {
        let of_month = day.date().day() as i32 - 1;
        let first_day = day + -of_month;
        let days = same_day(first_day, 1) - first_day;
        self.month_of(day) as f64 + f64::from(of_month) / f64::from(days.max(1))
    }

    /// The first day of a month.
    pub fn first_day(&self, month: usize) -> Day {
        let from = Day::from_ymd(self.first_year, self.first_month + 1, 1).unwrap_or(self.as_of);
        same_day(from, month as u32)
    }

    /// The calendar year of a month, counted from the first.
    pub fn year_at(&self, month: usize) -> usize {
        (self.first_month as usize + month) / 12
    }

    /// The first calendar year.
    pub fn first_year(&self) -> i32 {
        self.first_year
    }

    /// Calendar years that the budget touches.
    pub fn budget_years(&self) -> usize {
        self.budget_months.checked_sub(1).map_or(0, |last| self.year_at(last) + 1)
    }

    /// Calendar years that any month touches.
    pub fn years(&self) -> usize {
        self.months.checked_sub(1).map_or(0, |last| self.year_at(last) + 1)
    }

    /// Prices in a month, as a factor of today's.
    pub fn price(&self, month: usize) -> f64 {
        self.prices[month]
    }

    /// Months' worth of flying at today's use, in one month.
    pub fn flown_in(&self, month: usize) -> f64 {
        self.flown[month + 1] - self.flown[month]
    }

    /// The first month from `from` on in which flying passes `more` months' worth at today's use; `None` when it is not passed
    /// before `before`.
    pub fn month_flown(&self, from: usize, before: usize, more: f64) -> Option<usize> {
        let before = before.min(self.months);
        if from >= before || self.flown[before] - self.flown[from] <= more {
            return None;
        }
        let wanted = self.flown[from] + more;
        let passed = self.flown[from + 1..=before].partition_point(|&f| f <= wanted);
        Some(from + passed)
    }

    /// Whether use does not grow.
    pub fn use_is_steady(&self) -> bool {
        self.use_growth == 0.0
    }

    /// Months that pass, from a month on, until as much is flown as in `months` at today's use; infinite when use dies out first.
    pub fn months_until(&self, from: usize, months: f64) -> f64 {
        if self.use_growth == 0.0 {
            return months;
        }
        let grown = 1.0 + self.use_growth * months / self.uses[from.min(self.months - 1)];
        if grown > 0.0 { grown.ln() / self.use_growth } else { f64::INFINITY }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn timeline(as_of: &str, use_growth_pct: f64) -> Timeline {
        Timeline::new(Day::parse_iso(as_of).unwrap(), 60, 144, use_growth_pct, 10.0)
    }

    #[test]
    fn months_and_years_by_the_calendar() {
        let t = timeline("2026-06-16", 0.0);
        // 15 of June's 30 days have passed.
        assert_eq!(t.passed, 0.5);
        assert_eq!(t.month_of(Day::parse_iso("2026-06-01").unwrap()), 0);
        assert_eq!(t.month_of(Day::parse_iso("2026-05-31").unwrap()), -1);
        assert_eq!(t.month_of(Day::parse_iso("2028-01-05").unwrap()), 19);
        assert_eq!(t.first_day(19).to_string(), "2028-01-01");
        assert_eq!((t.year_at(6), t.year_at(7), t.year_at(19)), (0, 1, 2));
        assert_eq!((t.budget_years(), t.years(), t.months), (6, 13, 144));
        assert_eq!(timeline("2026-01-01", 0.0).budget_years(), 5);
        assert!((t.price(12) - 1.1).abs() < 1e-12);
        assert_eq!([0, 1, 2].map(|month| t.flown_in(month)), [0.5, 1.0, 1.0]);
    }

    #[test]
    fn flying_by_months() {
        let t = timeline("2026-06-16", 0.0);
        assert_eq!(t.month_flown(0, 10, 0.4), Some(0));
        assert_eq!(t.month_flown(0, 10, 0.6), Some(1));
        assert_eq!(t.month_flown(3, 10, 6.5), Some(9));
        assert_eq!(t.month_flown(3, 10, 7.0), None);
        assert_eq!(t.month_flown(10, 10, 0.0), None);
        assert_eq!(t.months_until(7, 25.0), 25.0);
        // Use that doubles every year: the hours of 24 months at first use are flown in
        // log2(1 + 2 ln 2) years = 15.055 months.
        let t = timeline("2026-01-01", 100.0);
        assert!((t.months_until(0, 24.0) - 12.0 * (1.0 + 2.0 * 2f64.ln()).log2()).abs() < 1e-9);
        assert!((t.months_until(12, 48.0) - t.months_until(0, 24.0)).abs() < 1e-9);
        // Use that halves every year never flies more than 12/ln 2 = 17.3 months' worth.
        let t = timeline("2026-01-01", -50.0);
        assert_eq!(t.months_until(0, 17.4), f64::INFINITY);
        assert!(t.months_until(0, 17.2).is_finite());
    }
}
