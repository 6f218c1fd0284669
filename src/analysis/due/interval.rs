//! The overhaul interval that holds for a propeller: its own where it has one, else its model's.

use crate::records::Fleet;
use crate::records::choice::{Force, IntervalFrom, MonthRule};
use crate::records::models::Stated;
use crate::records::schema::Table;
use crate::trade::calendar::{Day, month_end, same_day};

/// The longest interval in months that is dated: 1,000 years.
const MOST_MONTHS: f64 = 12_000.0;

/// An overhaul interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Hours since overhaul.
    pub hours: Stated,
    /// Calendar months.
    pub months: Stated,
    /// How the months end.
    pub month_rule: MonthRule,
    /// What the months count from.
    pub from: IntervalFrom,
    /// Whether it binds.
    pub force: Force,
    /// An interval of the propeller's own stands in the records and cannot be read.
    pub unreadable: bool,
}

impl Interval {
    /// The interval of a propeller whose model today is `model`.
    ///
    /// Without a defined model nothing is stated but what the propeller overrides; it then binds, as the more cautious
    /// reading, unless the fleet has no table of models at all.
    pub fn of(fleet: &Fleet<'_>, propeller: u32, model: Option<u32>) -> Interval {
        let of = fleet.propellers.get(propeller);
        let model = model.map(|m| fleet.models.get(m));
        let own_or = |own: Stated, of_model: Option<Stated>| match own {
            Stated::NotRecorded => of_model.unwrap_or(Stated::NotRecorded),
            own => own,
        };
        let force_without_model =
            if fleet.loaded.table(Table::Models).is_none() { Force::Recommended } else { Force::Binding };
        Interval {
            hours: own_or(of.interval_hours, model.map(|m| m.interval_hours)),
            months: own_or(of.interval_months, model.map(|m| m.interval_months)),
            month_rule: model.map_or(MonthRule::SameDay, |m| m.month_rule),
            from: model.map_or(IntervalFrom::Release, |m| m.interval_from),
            force: of.force.unwrap_or(model.map_or(force_without_model, |m| m.force)),
            unreadable: of.override_unreadable,
        }
    }

    /// Whether what the maker states is not all recorded, or is that there is no limit of either kind.
    pub fn is_not_stated(&self) -> bool {
        let limits = [self.hours, self.months];
        self.unreadable || limits.contains(&Stated::NotRecorded) || limits == [Stated::NoLimit, Stated::NoLimit]
    }

    /// The calendar limit of a cycle that starts on a day; `None` when no months are stated.
    ///
    /// A part of a month does not count: the limit is never dated later than stated.
    pub fn calendar_limit(&self, start: Day) -> Option<Day> {
        let months = self.months.value()?.clamp(0.0, MOST_MONTHS) as u32;
        Some(match self.month_rule {
            MonthRule::SameDay => same_day(start, months),
            MonthRule::MonthEnd => month_end(start, months),
        })
    }

    /// The end of a later cycle that starts on a day, at a use rate in hours a day: the shorter of the months and the
    /// hours; `None` when neither dates it.
    pub fn next_overhaul(&self, start: Day, hours_per_day: Option<f64>) -> Option<Day> {
        let by_hours = self
            .hours
            .value()
            .zip(hours_per_day)
            .and_then(|(hours, rate)| crate::analysis::hours::Reached::after(start, hours, Some(rate)).day());
        let next = match (self.calendar_limit(start), by_hours) {
            (Some(a), Some(b)) => a.min(b),
            (a, b) => a.or(b)?,
        };
        // An overhaul a day is the most there can be.
        Some(next.max(start + 1))
    }
}
