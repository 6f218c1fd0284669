//! A propeller's hours over time: stretches of days, each with the hours flown in it or the reason why they are not recorded.
//!
//! A reading is taken as a point in time, and hours between two readings are spread evenly over the days between.

use crate::trade::calendar::Day;

/// What a stretch of days says about hours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SpanKind {
    /// Hours between two readings.
    Recorded,
    /// Hours between two readings of which the first lies before the span: all of them are counted here, the most it can be.
    AtMost,
    /// On no aircraft: no hours.
    NotFitted,
    /// Flown, or perhaps flown, without readings: a meter was replaced or ran backwards, or none was read.
    Gap,
    /// Readings stand around it, and how many of their hours fall into it is not recorded.
    NotPlaced,
    /// The readings at its ends cannot both be right.
    Contradicted,
}

/// Whose readings a span comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// The propeller's own readings.
    Own,
    /// Hours written at shop visits.
    Visit,
    /// Meters of the aircraft it was fitted to.
    Aircraft,
}

/// A stretch of days, at least one long.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Where it begins.
    pub from: Day,
    /// Where it ends.
    pub to: Day,
    /// Hours flown in it, when known.
    pub hours: Option<f64>,
    /// What they rest on.
    pub kind: SpanKind,
    /// Whose readings.
    pub origin: Origin,
    /// Whether a reading stands at its beginning.
    pub read_at_from: bool,
    /// Whether a reading stands at its end.
    pub read_at_to: bool,
}

impl Span {
    /// A span without readings of its own.
    pub(super) fn without_readings(from: Day, to: Day, kind: SpanKind) -> Span {
        Span {
            from,
            to,
            hours: (kind == SpanKind::NotFitted).then_some(0.0),
            kind,
            origin: Origin::Aircraft,
            read_at_from: false,
            read_at_to: false,
        }
    }

    /// Its length in days.
    pub fn days(&self) -> i32 {
        self.to - self.from
    }

    /// Whether the hours in it were read from a meter or a log.
    pub fn is_read(&self) -> bool {
        self.hours.is_some() && self.kind != SpanKind::NotFitted
    }

    /// The part of it between two days, hours in proportion; `None` when there is none.
    pub(super) fn clipped(&self, from: Day, to: Day) -> Option<Span> {
        let (start, end) = (self.from.max(from), self.to.min(to));
        if end <= start {
            return None;
        }
        let whole = start == self.from && end == self.to;
        let part = f64::from(end - start) / f64::from(self.days());
        Some(Span {
            from: start,
            to: end,
            hours: if whole { self.hours } else { self.hours.map(|h| h * part) },
            read_at_from: self.read_at_from && start == self.from,
            read_at_to: self.read_at_to && end == self.to,
            ..*self
        })
    }
}

/// Hours between two days, by what they rest on.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Flown {
    /// Hours read between readings.
    pub read: f64,
    /// Days those readings span.
    pub read_days: i32,
    /// Hours read, but not surely flown in this time.
    pub not_placed: f64,
    /// Days on no aircraft.
    pub not_fitted_days: i32,
    /// Days without readings, to be filled at the use rate.
    pub filled_days: i32,
    /// Whether some hours could not be placed.
    pub has_not_placed: bool,
    /// Whether hours from before are counted in.
    pub has_at_most: bool,
}

impl Flown {
    /// All hours, days without readings filled at `rate` hours a day; `None` when there are such days and no rate.
    pub fn hours(&self, rate: Option<f64>) -> Option<f64> {
        let filled = match (self.filled_days, rate) {
            (0, _) => 0.0,
            (days, Some(rate)) => f64::from(days) * rate,
            (_, None) => return None,
        };
        Some(self.read + self.not_placed + filled)
    }
}

/// When hours reach a figure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reached {
    /// On this day.
    On(Day),
    /// Never, at this use.
    Never,
    /// Not known: no use rate.
    NotKnown,
}

/// Beyond this many days (1,000 years) nothing is dated.
const FAR_DAYS: f64 = 365_250.0;
/// A part of a day this small is an error of arithmetic.
const SAME_DAY: f64 = 1e-9;

/// Whole days in a length of time.
fn whole_days(days: f64) -> i32 {
    (days + SAME_DAY).floor() as i32
}

impl Reached {
    /// The day `hours` after `from` at `rate` hours a day.
    pub(crate) fn after(from: Day, hours: f64, rate: Option<f64>) -> Reached {
        let Some(rate) = rate else {
            return Reached::NotKnown;
        };
        if hours <= 0.0 {
            return Reached::On(from);
        }
        let days = hours / rate;
        if days.is_nan() || days > FAR_DAYS {
            return Reached::Never;
        }
        Reached::On(from + whole_days(days))
    }

    /// The day, when there is one.
    pub fn day(self) -> Option<Day> {
        match self {
            Reached::On(day) => Some(day),
            Reached::Never | Reached::NotKnown => None,
        }
    }
}

/// A propeller's hours over time: spans that follow one another without a hole.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Line {
    /// The spans in order of time.
    pub spans: Vec<Span>,
    /// Days of readings, ascending and distinct, those that stand alone included.
    pub readings: Vec<Day>,
    /// Whose the newest reading is.
    pub newest_origin: Option<Origin>,
    /// No fitting is recorded, so the propeller counts as on its aircraft all the time since its clock started.
    pub as_if_fitted: bool,
}

impl Line {
    /// Where it ends: up to this day the hours are recorded.
    pub fn end(&self) -> Option<Day> {
        match (self.spans.last().map(|s| s.to), self.readings.last()) {
            (Some(a), Some(&b)) => Some(a.max(b)),
            (a, b) => a.or(b.copied()),
        }
    }

    fn overlapping(&self, from: Day, to: Day) -> impl Iterator<Item = Span> + '_ {
        let first = self.spans.partition_point(|s| s.to <= from);
        self.spans[first..].iter().map_while(move |s| s.clipped(from, to))
    }

    /// What was flown between two days.
    pub fn flown(&self, from: Day, to: Day) -> Flown {
        let mut flown = Flown::default();
        for span in self.overlapping(from, to) {
            let days = span.days();
            match (span.kind, span.hours) {
                (SpanKind::Recorded | SpanKind::AtMost, Some(hours)) => {
                    flown.read += hours;
                    flown.read_days += days;
                    flown.has_at_most |= span.kind == SpanKind::AtMost;
                }
                (SpanKind::NotPlaced, Some(hours)) => flown.not_placed += hours,
                (SpanKind::NotFitted, _) => flown.not_fitted_days += days,
                _ => flown.filled_days += days,
            }
            flown.has_not_placed |= span.kind == SpanKind::NotPlaced;
        }
        flown
    }

    /// The day on which the hours flown since `start` reach `hours`; days without readings, and the time after the
    /// last one, at `rate` hours a day.
    pub fn reached(&self, start: Day, hours: f64, rate: Option<f64>) -> Reached {
        let mut left = hours;
        let mut until = start;
        for span in self.overlapping(start, Day::from_number(i32::MAX)) {
            until = span.to;
            let Some(flown) = span.hours.or_else(|| Some(rate? * f64::from(span.days()))) else {
                return Reached::NotKnown;
            };
            if flown > 0.0 && flown >= left {
                let days = whole_days(left / flown * f64::from(span.days()));
                return Reached::On(span.from + days.clamp(0, span.days()));
            }
            left -= flown;
        }
        // A lone reading after the last span adds no hours, but nothing was flown unread before it either.
        Reached::after(until.max(self.end().unwrap_or(until)), left, rate)
    }

    /// Hours and days between readings from the first to the last of these days, days without readings left out.
    pub fn read_between(&self, from: Day, to: Day) -> (f64, i32) {
        self.overlapping(from, to)
            .filter(Span::is_read)
            .fold((0.0, 0), |(hours, days), s| (hours + s.hours.unwrap_or(0.0), days + s.days()))
    }

    /// Whether every day between the two lies between readings.
    pub fn is_read_through(&self, from: Day, to: Day) -> bool {
        self.overlapping(from, to).all(|s| s.is_read())
    }

    /// Whether a reading lies on or after a day, or hours after it are known from readings on both sides.
    pub fn has_reading_since(&self, day: Day) -> bool {
        self.readings.last().is_some_and(|&r| r >= day) || self.spans.iter().rev().any(|s| s.is_read() && s.to > day)
    }
}
