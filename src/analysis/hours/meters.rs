//! An aircraft's hours from its meters: readings of different meters are never mixed.
//!
//! Each meter name is a series of its own. Where two meters run at once the series that covers most days serves, else the
//! one that gives more hours; another serves only on days the first leaves open. Days that none covers are a gap.

use rayon::prelude::*;

use super::line::{Origin, Span, SpanKind};
use crate::records::flying::{Flying, MeterReading};
use crate::trade::calendar::Day;

/// One aircraft's hours over time, from its first reading to its last.
#[derive(Debug, Clone, Default)]
pub struct AircraftLine {
    /// Spans that follow one another without a hole.
    spans: Vec<Span>,
    /// Days of readings without a meter's name, beside readings that have one: they belong to no series.
    pub(super) unnamed: Vec<Day>,
    /// Whether it has more than one meter.
    pub(super) several_meters: bool,
}

/// Readings of one meter, in order of date.
struct Series<'a> {
    name: Option<&'a str>,
    readings: &'a [MeterReading],
}

impl Series<'_> {
    fn days(&self) -> i32 {
        match (self.readings.first(), self.readings.last()) {
            (Some(first), Some(last)) => last.day - first.day,
            _ => 0,
        }
    }

    fn hours(&self) -> f64 {
        self.readings.windows(2).map(|pair| (pair[1].hours - pair[0].hours).max(0.0)).sum()
    }
}

/// The hours of every aircraft, by its code.
pub(super) fn lines(flying: &Flying) -> Vec<AircraftLine> {
    (0..flying.aircraft.len() as u32).into_par_iter().map(|aircraft| line(flying, aircraft)).collect()
}

fn line(flying: &Flying, aircraft: u32) -> AircraftLine {
    let readings = flying.meter_readings(aircraft);
    let contradictions = flying.meter_contradictions(aircraft);
    let mut all: Vec<Series<'_>> = readings
        .chunk_by(|a, b| a.meter == b.meter)
        .map(|readings| Series { name: readings[0].meter.map(|code| flying.meters.get(code)), readings })
        .collect();
    let mut unnamed = Vec::new();
    if all.len() > 1 {
        all.retain(|series| {
            if series.name.is_none() {
                unnamed.extend(series.readings.iter().map(|r| r.day));
            }
            series.name.is_some()
        });
    }
    let several_meters = all.len() > 1;
    all.sort_by(|a, b| b.days().cmp(&a.days()).then(b.hours().total_cmp(&a.hours())).then(a.name.cmp(&b.name)));
    let mut spans: Vec<Span> = Vec::new();
    let mut covered: Vec<(Day, Day)> = Vec::new();
    for series in &all {
        for pair in series.readings.windows(2) {
            let contradicted = contradictions.iter().any(|c| (c.from.row, c.to.row) == (pair[0].row, pair[1].row));
            add_open_parts(&step(pair[0], pair[1], contradicted), &covered, &mut spans);
        }
        if let (Some(first), Some(last)) = (series.readings.first(), series.readings.last()) {
            covered.push((first.day, last.day));
            covered.sort_unstable();
        }
    }
    spans.sort_by_key(|s| s.from);
    AircraftLine { spans: with_gaps(spans), unnamed, several_meters }
}

/// The span between two readings of one meter; one that runs back by an hour at most is rounding.
fn step(first: MeterReading, second: MeterReading, contradicted: bool) -> Span {
    Span {
        from: first.day,
        to: second.day,
        hours: (!contradicted).then_some((second.hours - first.hours).max(0.0)),
        kind: if contradicted { SpanKind::Contradicted } else { SpanKind::Recorded },
        origin: Origin::Aircraft,
        read_at_from: true,
        read_at_to: true,
    }
}

/// Adds the parts of a span that no interval of `covered` (ascending) takes.
fn add_open_parts(span: &Span, covered: &[(Day, Day)], into: &mut Vec<Span>) {
    let mut at = span.from;
    for &(from, to) in covered {
        into.extend(span.clipped(at, from));
        at = at.max(to);
    }
    into.extend(span.clipped(at, span.to));
}

fn with_gaps(spans: Vec<Span>) -> Vec<Span> {
    let mut whole: Vec<Span> = Vec::with_capacity(spans.len());
    for span in spans {
        if let Some(before) = whole.last()
            && before.to < span.from
        {
            whole.push(Span::without_readings(before.to, span.from, SpanKind::Gap));
        }
        whole.push(span);
    }
    whole
}

impl AircraftLine {
    /// Adds what it flew between two days: every day is in a span, those before the first and after the last reading
    /// in a gap.
    pub(super) fn add_between(&self, from: Day, to: Day, into: &mut Vec<Span>) {
        let mut at = from;
        let first = self.spans.partition_point(|s| s.to <= from);
        for span in self.spans[first..].iter().map_while(|s| s.clipped(from, to)) {
            if span.from > at {
                into.push(Span::without_readings(at, span.from, SpanKind::Gap));
            }
            at = span.to;
            into.push(span);
        }
        if at < to {
            into.push(Span::without_readings(at, to, SpanKind::Gap));
        }
    }

    /// Hours between the first and the last reading that lie in a time; `None` with fewer than two.
    pub(super) fn surely_flown(&self, from: Day, to: Day) -> Option<f64> {
        let (first, last) = (self.reading_from(from)?, self.reading_until(to)?);
        let begun = self.spans.partition_point(|s| s.to <= first);
        let spans = self.spans[begun..].iter().map_while(|s| s.clipped(first, last));
        (first < last).then(|| spans.filter_map(|s| s.hours).sum())
    }

    /// The first day with a reading.
    pub(super) fn first_day(&self) -> Option<Day> {
        self.spans.first().map(|s| s.from)
    }

    /// The last reading on or before a day.
    pub(super) fn reading_until(&self, day: Day) -> Option<Day> {
        let after = self.spans.partition_point(|s| s.from <= day);
        self.spans[..after].iter().rev().find_map(|s| {
            if s.read_at_to && s.to <= day {
                Some(s.to)
            } else if s.read_at_from {
                Some(s.from)
            } else {
                None
            }
        })
    }

    /// The first reading on or after a day.
    pub(super) fn reading_from(&self, day: Day) -> Option<Day> {
        let first = self.spans.partition_point(|s| s.to < day);
        self.spans[first..].iter().find_map(|s| {
            if s.read_at_from && s.from >= day {
                Some(s.from)
            } else if s.read_at_to {
                Some(s.to)
            } else {
                None
            }
        })
    }
}
