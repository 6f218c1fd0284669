//! Hours since a propeller's clock started, how sure they are, and the words for it.

use super::line::{Line, Origin, Reached, Span, SpanKind};
use super::rate::{RateBasis, UseRate, window_start};
use super::{FleetHours, Record};
use crate::records::Fleet;
use crate::records::hours_that_cannot_be::Contradiction;
use crate::records::visits::Visit;
use crate::trade::calendar::{Day, same_day};

/// Days since the clock's start that may be filled at the use rate before hours stop being known.
const MOST_FILLED_DAYS: i32 = 365;
/// Part of the hour interval that may be flown by estimate since the newest reading while hours are known.
const MOST_ESTIMATED: f64 = 0.1;

/// Whose readings hours rest on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Source {
    /// The propeller's own readings.
    OwnReadings,
    /// Hours written at its visits.
    Visits,
    /// The meters of its aircraft while it was fitted.
    AircraftReadings,
    /// The meter of its aircraft as if it had been fitted all the time; no fitting is recorded.
    AircraftAsIfFitted,
    /// No reading at all.
    NoReadings,
}

impl Source {
    /// The words for it.
    pub fn words(self) -> &'static str {
        match self {
            Source::OwnReadings => "own readings",
            Source::Visits => "shop records",
            Source::AircraftReadings => "aircraft readings",
            Source::AircraftAsIfFitted => "aircraft readings, fitting not recorded",
            Source::NoReadings => "no readings",
        }
    }
}

/// What hours since overhaul rest on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HoursBasis {
    /// Whose the newest reading is.
    pub source: Source,
    /// What the use rate rests on.
    pub rate: RateBasis,
    /// No reading lies on or after the start of the clock.
    pub none_since_start: bool,
    /// Hours after the last reading are extrapolated.
    pub extrapolated: bool,
    /// The last reading is twelve months old or older.
    pub old: bool,
    /// Days without readings are filled at the use rate.
    pub filled: bool,
    /// More than twelve months are filled.
    pub filled_long: bool,
    /// Hours flown before the start may be counted in: none were read at the start.
    pub at_most: bool,
    /// How many hours were flown since the start is not recorded.
    pub not_placed: bool,
    /// A reading that bears on the hours could not be read.
    pub lost: bool,
    /// A visit that bears on the hours has none, and the limit may have been passed at it.
    pub silent_visit: bool,
    /// Readings since the last overhaul that carries hours contradict each other.
    pub contradict: bool,
    /// A tenth of the interval or more is flown by estimate since the newest reading.
    pub estimated_much: bool,
    /// Off its aircraft since a day that is not on record, which leaves the hours not known.
    pub removal_not_recorded: bool,
    /// No fitting is recorded; the aircraft that `propellers` names is taken.
    pub as_if_fitted: bool,
}

impl HoursBasis {
    /// The basis in words, such as `own readings; estimated since the last reading; average use of the last 12 months`.
    pub fn words(&self) -> String {
        let mut words = vec![self.source.words()];
        let marks = [
            (self.contradict, "readings contradict each other"),
            (self.none_since_start, "no reading since overhaul"),
            (self.at_most, "counted from the last reading before the overhaul"),
            (self.not_placed, "hours at the overhaul not recorded"),
            (self.filled_long, "more than 12 months without readings filled at the use rate"),
            (self.filled && !self.filled_long, "gap filled at the use rate"),
            (self.lost, "a record of hours could not be read"),
            (self.silent_visit, "a visit without hours"),
            (self.old, "estimated from a reading over 12 months old"),
            (self.estimated_much && !self.old, "a tenth of the interval or more estimated"),
            (self.extrapolated && !self.old && !self.estimated_much, "estimated since the last reading"),
            (self.removal_not_recorded, "off its aircraft, since when is not on record"),
        ];
        words.extend(marks.iter().filter(|(is, _)| *is).map(|(_, word)| *word));
        words.push(self.rate.words());
        words.join("; ")
    }
}

/// Hours since the clock started.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HoursSince {
    /// Day of the newest reading of all.
    pub newest_reading: Option<Day>,
    /// The day up to which hours are recorded; not before the clock's start.
    pub recorded_to: Day,
    /// Hours at that day; `None` when days without readings cannot be filled for want of a use rate.
    pub recorded: Option<f64>,
    /// Hours that were read since the start, nothing filled or extrapolated.
    pub read: f64,
    /// Hours on the as-of date, extrapolated from the last reading.
    pub today: Option<f64>,
    /// The most hours the time since the last reading can have added, at the hours a year that earn a caution.
    pub today_at_most: Option<f64>,
    /// A visit without hours may stand for a reading that bears on these.
    pub silent_visit: bool,
    /// Hours flown by estimate since the newest reading, or since the start where that is later; `None` without a use rate.
    pub by_estimate: Option<f64>,
    /// The contradiction that counts today.
    pub contradiction: Option<Contradiction>,
    /// Whether the hours are known, but for a use rate and a visit without hours.
    pub known: bool,
    /// The use rate.
    pub rate: UseRate,
    /// What it all rests on.
    pub basis: HoursBasis,
}

impl FleetHours {
    /// Hours of a propeller since its clock's start, its last overhaul or its first day when it came new; `limit` is the
    /// interval in hours, where one is stated.
    pub fn since(
        &self,
        fleet: &Fleet<'_>,
        propeller: u32,
        record: &Record,
        start: Day,
        limit: Option<f64>,
    ) -> HoursSince {
        let line = &record.line;
        let rate = self.rate(propeller);
        let recorded_to = line.end().map_or(start, |end| end.max(start));
        let flown = line.flown(start, recorded_to);
        let recorded = flown.hours(rate.hours_per_day);
        let days = f64::from((fleet.as_of - recorded_to).max(0));
        let add = |rate: Option<f64>| match (recorded, rate) {
            (Some(hours), _) if days == 0.0 => Some(hours),
            (Some(hours), Some(rate)) => Some(hours + days * rate),
            _ => None,
        };
        let by_estimate = self.by_estimate(line, start, recorded_to, days, rate.hours_per_day);
        let lost = Losses { hours: self, fleet, propeller, record, start, basis: rate.basis };
        let contradiction = counted_contradiction(fleet, propeller, record);
        // One that was on no aircraft all the time since flew nothing, read or not.
        let at_rest = flown.not_fitted_days > 0 && flown.not_fitted_days == fleet.as_of - start;
        let mut basis = HoursBasis {
            source: source(line),
            rate: rate.basis,
            none_since_start: !line.has_reading_since(start) && !at_rest,
            extrapolated: days > 0.0,
            old: same_day(recorded_to, 12) <= fleet.as_of,
            filled: flown.filled_days > 0,
            filled_long: flown.filled_days > MOST_FILLED_DAYS,
            at_most: flown.has_at_most,
            not_placed: flown.has_not_placed,
            lost: lost.any(),
            silent_visit: false,
            contradict: contradiction.is_some(),
            estimated_much: match (limit, by_estimate) {
                (Some(limit), Some(hours)) => hours > 0.0 && hours >= MOST_ESTIMATED * limit,
                _ => false,
            },
            removal_not_recorded: false,
            as_if_fitted: line.as_if_fitted,
        };
        basis.removal_not_recorded =
            record.off_without_date && (basis.none_since_start || basis.old || basis.estimated_much);
        HoursSince {
            newest_reading: line.readings.last().copied(),
            recorded_to,
            recorded,
            read: flown.read,
            today: add(rate.hours_per_day),
            today_at_most: add(Some(self.most_hours_per_day)),
            silent_visit: lost.any_silent_visit(),
            by_estimate,
            contradiction,
            known: is_known(&basis),
            rate,
            basis,
        }
    }

    /// Hours flown by estimate since the newest reading, or since the start where that is later.
    fn by_estimate(&self, line: &Line, start: Day, recorded_to: Day, days: f64, rate: Option<f64>) -> Option<f64> {
        let newest = line.readings.last().map_or(start, |&day| day.max(start));
        let filled = if newest < recorded_to { line.flown(newest, recorded_to).filled_days } else { 0 };
        match f64::from(filled) + days {
            0.0 => Some(0.0),
            days => rate.map(|rate| rate * days),
        }
    }

    /// The day on which hours since `start` reach a figure, at the propeller's use rate times `factor` from the last
    /// reading on.
    pub fn reached(&self, propeller: u32, record: &Record, start: Day, hours: f64, factor: f64) -> Reached {
        let rate = self.rate(propeller).hours_per_day;
        let line = &record.line;
        match line.reached(start, hours, rate) {
            Reached::On(day) if line.end().is_some_and(|end| day <= end) => Reached::On(day),
            Reached::NotKnown => Reached::NotKnown,
            dated => {
                let from = line.end().map_or(start, |end| end.max(start));
                match line.flown(start, from).hours(rate) {
                    Some(flown) => Reached::after(from, hours - flown, rate.map(|rate| rate * factor)),
                    None => dated,
                }
            }
        }
    }
}

fn source(line: &Line) -> Source {
    match line.newest_origin {
        None => Source::NoReadings,
        Some(Origin::Own) => Source::OwnReadings,
        Some(Origin::Visit) => Source::Visits,
        Some(Origin::Aircraft) if line.as_if_fitted => Source::AircraftAsIfFitted,
        Some(Origin::Aircraft) => Source::AircraftReadings,
    }
}

fn is_known(basis: &HoursBasis) -> bool {
    !(basis.none_since_start
        || basis.filled_long
        || basis.not_placed
        || basis.lost
        || basis.as_if_fitted
        || basis.contradict
        || basis.old
        || basis.estimated_much)
}

/// The newest contradiction that counts today: later than the last overhaul that carries hours, and in the propeller's own
/// readings or in those of an aircraft that its hours are taken from.
fn counted_contradiction(fleet: &Fleet<'_>, propeller: u32, record: &Record) -> Option<Contradiction> {
    let spans = &record.line.spans;
    if !spans.iter().any(|s| s.kind == SpanKind::Contradicted) {
        return None;
    }
    let visits = fleet.visits.of(propeller);
    let carries = |v: &&Visit| v.restarts_clock() && (v.hours_since_new.is_some() || v.hours_since_overhaul.is_some());
    let after = visits.iter().rfind(carries).map_or(Day::from_number(i32::MIN), |v| v.day);
    let flying = &fleet.flying;
    let own = flying.contradictions(propeller).iter().rfind(|c| c.to.day > after);
    own.copied().or_else(|| {
        let of_meter = |s: &&Span| s.kind == SpanKind::Contradicted && s.origin == Origin::Aircraft;
        let span = spans.iter().rfind(|s| of_meter(s) && s.to > after)?;
        let stretch = record.stretches.iter().rfind(|s| s.from < span.to && s.to > span.from)?;
        let of_aircraft = flying.meter_contradictions(stretch.aircraft).iter();
        of_aircraft.rev().find(|c| c.from.day < span.to && c.to.day > span.from).copied()
    })
}

/// Which lost readings bear on hours since the start, today.
///
/// A reading bears on them when it may have come after the last one, when it lies in the time the use rate is taken from,
/// when it lies next to a day at which hours are read between two readings (a fitting's ends, the start), when the rate is
/// of the whole life and it may have come before the first, or when it is one of the propeller's own and the hours are not
/// all its own: it may have said that its aircraft do not account for them. A visit that could not be used bears on them from
/// the start on, since it may have restarted the clock; a fitting always does.
struct Losses<'h, 'f, 'a> {
    hours: &'h FleetHours,
    fleet: &'f Fleet<'a>,
    propeller: u32,
    record: &'h Record,
    start: Day,
    basis: RateBasis,
}

impl Losses<'_, '_, '_> {
    /// Whether a reading on this day, `None` when the day is not known, bears on the rate or on the last reading.
    fn bears(&self, day: Option<Day>) -> bool {
        let (Some(day), Some(window)) = (day, window_start(&self.record.line)) else {
            return true;
        };
        let first = self.record.line.readings.first();
        let of_whole_life = self.basis != RateBasis::LastTwelveMonths;
        day >= window || (of_whole_life && first.is_none_or(|&first| day < first))
    }

    /// Whether hours from the start to the last reading are the propeller's own, one after the other; else a lost one
    /// may have said that its aircraft do not account for them.
    fn is_own(&self) -> bool {
        let spans = &self.record.line.spans;
        let since = &spans[spans.partition_point(|s| s.to <= self.start)..];
        since.iter().all(|s| s.kind == SpanKind::Recorded && s.origin != Origin::Aircraft)
    }

    fn any(&self) -> bool {
        let own = self.hours.lost.hours_of(self.propeller);
        let is_own = self.is_own();
        let mut own = own.filter(|&day| !is_own || self.bears(day));
        own.next().is_some()
            || self.any_lost_visit()
            || self.hours.lost.any_fitting_of(self.propeller)
            || self.any_of_meters()
    }

    /// Readings of the aircraft's meters: those that lie between readings of a stretch change nothing but the rate.
    fn any_of_meters(&self) -> bool {
        let of_whole_life = self.basis != RateBasis::LastTwelveMonths;
        let window = window_start(&self.record.line).unwrap_or(self.start);
        let counted_from = self.start.min(window);
        let stretches = self.record.stretches.iter();
        let mut counted = stretches.filter(|s| of_whole_life || s.to > counted_from);
        counted.any(|stretch| {
            let meter = &self.hours.meters[stretch.aircraft as usize];
            let from = if of_whole_life { stretch.from } else { stretch.from.max(counted_from) };
            let before = meter.reading_until(from);
            let first = meter.reading_from(from);
            let last = meter.reading_until(stretch.to);
            let after = meter.reading_from(stretch.to);
            let unnamed = meter.unnamed.iter().map(|&day| Some(day));
            let mut lost = self.hours.lost.meters_of(stretch.aircraft).chain(unnamed);
            lost.any(|day| {
                let Some(at) = day else {
                    return true;
                };
                let ahead = before.is_some_and(|before| at < before);
                let behind = after.is_some_and(|after| at > after);
                let within = first.is_some_and(|first| at > first) && last.is_some_and(|last| at < last);
                // With several meters a lost reading may decide which of them serves.
                meter.several_meters || (!ahead && !behind && (!within || at >= window || self.start >= at))
            })
        })
    }

    /// A visit that could not be used may have restarted the clock, or been a reading.
    fn any_lost_visit(&self) -> bool {
        let mut visits = super::lost::lost_visits(self.fleet, self.propeller);
        visits.any(|day| day.is_none_or(|day| day >= self.start) || self.bears(day))
    }

    fn any_silent_visit(&self) -> bool {
        let mut visits = self.hours.lost.silent_visits(self.fleet, self.propeller);
        visits.any(|day| self.bears(day))
    }
}
