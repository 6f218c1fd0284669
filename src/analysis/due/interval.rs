//! The overhaul interval that holds for a propeller: its own where it has one, else its model's.

use crate::records::Fleet;
use crate::records::choice::{Force, IntervalFrom, MonthRule};
use crate::records::models::{Model, Stated};
use crate::records::schema::Table;
use crate::trade::calendar::{Day, month_end, same_day};

/// The longest interval in months that is dated: 1,000 years.
const MOST_MONTHS: f64 = 12_000.0;

/// Which limits nobody states, so that the shortest of the fleet's models stands in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct StandsIn {
    /// That in hours.
    pub hours: bool,
    /// That in months.
    pub months: bool,
}

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
    /// An interval of the propeller's own stands in the records and cannot be read, or its model's may be another's.
    pub unreadable: bool,
    /// Which of them are a worst case, not a statement.
    pub stands_in: StandsIn,
}

impl Interval {
    /// The interval of a propeller whose model today is `model`.
    ///
    /// A limit that neither its own row nor its model's states is the shortest that any model of the fleet states, as a worst
    /// case. Without a defined model the interval binds, as the more cautious reading, unless the fleet has no table of models
    /// and no column of its own for it.
    pub fn of(fleet: &Fleet<'_>, propeller: u32, model: Option<u32>) -> Interval {
        let of = fleet.propellers.get(propeller);
        let model = model.map(|m| fleet.models.get(m));
        let stated = |own: Stated, of_model: fn(&Model) -> Stated| match own {
            Stated::NotRecorded => model.map_or(Stated::NotRecorded, of_model),
            own => own,
        };
        let (hours, months) =
            (stated(of.interval_hours, |m| m.interval_hours), stated(of.interval_months, |m| m.interval_months));
        let [shortest_hours, shortest_months] = fleet.models.shortest_interval;
        let worst = |limit: Stated, shortest: Option<f64>| match (limit, shortest) {
            (Stated::NotRecorded, Some(shortest)) => Stated::Value(shortest),
            (limit, _) => limit,
        };
        Interval {
            hours: worst(hours, shortest_hours),
            months: worst(months, shortest_months),
            month_rule: model.map_or(MonthRule::SameDay, |m| m.month_rule),
            from: model.map_or(IntervalFrom::Release, |m| m.interval_from),
            force: of.force.unwrap_or_else(|| force_without_own(fleet, model)),
            unreadable: of.override_unreadable || model.is_some_and(|m| m.borrowed),
            stands_in: StandsIn {
                hours: hours == Stated::NotRecorded && shortest_hours.is_some(),
                months: months == Stated::NotRecorded && shortest_months.is_some(),
            },
        }
    }

    /// The limits that nobody states, by their units.
    pub fn not_stated(&self) -> Vec<&'static str> {
        let limits = [(self.hours, self.stands_in.hours, "hours"), (self.months, self.stands_in.months, "months")];
        let lacking = |&(limit, stands_in, _): &(Stated, bool, &str)| stands_in || limit == Stated::NotRecorded;
        limits.into_iter().filter(lacking).map(|(.., unit)| unit).collect()
    }

    /// Whether what the maker states is not all recorded, or is that there is no limit of either kind.
    pub fn is_not_stated(&self) -> bool {
        self.unreadable
            || !self.not_stated().is_empty()
            || [self.hours, self.months] == [Stated::NoLimit, Stated::NoLimit]
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

/// Whether an interval binds that the propeller's own row does not speak of: what its model says; where that is not known it
/// binds.
fn force_without_own(fleet: &Fleet<'_>, model: Option<&Model>) -> Force {
    let has_column = |table: Table| fleet.loaded.table(table).is_some_and(|t| t.choices("interval_force").is_some());
    match (model, fleet.loaded.table(Table::Models)) {
        (Some(model), Some(_)) if model.row.is_some() || model.borrowed => model.force,
        (None | Some(_), Some(_)) => Force::Binding,
        (_, None) if has_column(Table::Propellers) => Force::Binding,
        (_, None) => Force::Recommended,
    }
}
