//! A propeller's own readings and the hours written at its visits, put on one axis.
//!
//! Hours since new and hours since overhaul are two scales of one thing: within a cycle (from one restart of the clock to the
//! next) they differ by the hours since new at the restart. Where that is recorded, or both scales are read at one day of
//! the cycle, every reading of the cycle gets both. Where two scales contradict each other, the one that gives more hours counts.

use super::fitting::Flight;
use super::line::{Line, Origin, Span, SpanKind};
use crate::records::Fleet;
use crate::records::choice::Acquired;
use crate::trade::calendar::{Day, same_day};

/// Readings may seem to run back by this much: rounding, not a contradiction.
const ROUNDING_HOURS: f64 = 1.0;

/// A day on which something is known of a propeller's hours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Point {
    pub(super) day: Day,
    /// Hours since new.
    pub(super) since_new: Option<f64>,
    /// Hours since overhaul as the day found it.
    pub(super) before: Option<f64>,
    /// Hours since overhaul as the day left it: zero at a restart.
    pub(super) after: Option<f64>,
    /// Whether the clock restarts here.
    pub(super) restart: bool,
    /// Whose reading it is; `None` when nothing was read.
    pub(super) origin: Option<Origin>,
}

/// The day a propeller began with no hours at all: in service and acquired new.
pub(super) fn first_day_when_new(fleet: &Fleet<'_>, propeller: u32) -> Option<Day> {
    let of = fleet.propellers.get(propeller);
    of.in_service.filter(|&day| of.acquired == Acquired::New && day <= fleet.as_of)
}

/// Every day on which something is known, ascending, one point a day.
pub(super) fn points(fleet: &Fleet<'_>, propeller: u32) -> Vec<Point> {
    let readings = fleet.flying.readings(propeller);
    let visits = fleet.visits.of(propeller);
    let mut points: Vec<Point> = Vec::with_capacity(readings.len() + visits.len() + 1);
    points.extend(first_day_when_new(fleet, propeller).map(|day| Point {
        day,
        since_new: Some(0.0),
        before: None,
        after: Some(0.0),
        restart: true,
        origin: None,
    }));
    points.extend(visits.iter().filter_map(|visit| {
        let has_hours = visit.hours_since_new.is_some() || visit.hours_since_overhaul.is_some();
        let restart = visit.restarts_clock();
        (restart || has_hours).then(|| Point {
            day: visit.day,
            since_new: visit.hours_since_new,
            before: visit.hours_since_overhaul,
            after: if restart { Some(0.0) } else { visit.hours_since_overhaul },
            restart,
            origin: has_hours.then_some(Origin::Visit),
        })
    }));
    points.extend(readings.iter().map(|reading| Point {
        day: reading.day,
        since_new: reading.hours_since_new,
        before: reading.hours_since_overhaul,
        after: reading.hours_since_overhaul,
        restart: false,
        origin: Some(Origin::Own),
    }));
    points.sort_by_key(|p| p.day);
    points.dedup_by(|other, first| {
        let same = other.day == first.day;
        if same {
            first.join(other);
        }
        same
    });
    put_on_one_axis(&mut points);
    points
}

impl Point {
    /// Joins another point of the same day.
    fn join(&mut self, other: &Point) {
        let pick = |a: Option<f64>, b: Option<f64>, of: fn(f64, f64) -> f64| match (a, b) {
            (Some(a), Some(b)) => Some(of(a, b)),
            (a, b) => a.or(b),
        };
        let restart = self.restart || other.restart;
        if restart {
            // Fewer hours at the restart are more hours since it; whether a log of that day counts from the old
            // overhaul or from the new one is not said, so only the visit's own figure is used.
            self.since_new = pick(self.since_new, other.since_new, f64::min);
            self.before = match (self.restart, other.restart) {
                (true, false) => self.before,
                (false, true) => other.before,
                _ => pick(self.before, other.before, f64::max),
            };
            self.after = Some(0.0);
        } else {
            self.since_new = pick(self.since_new, other.since_new, f64::max);
            self.before = pick(self.before, other.before, f64::max);
            self.after = pick(self.after, other.after, f64::max);
        }
        self.restart = restart;
        self.origin = match (self.origin, other.origin) {
            (Some(Origin::Own), _) | (_, Some(Origin::Own)) => Some(Origin::Own),
            (a, b) => a.or(b),
        };
    }
}

fn put_on_one_axis(points: &mut [Point]) {
    let mut start = 0;
    while start < points.len() {
        let end = (start + 1..points.len()).find(|&at| points[at].restart).unwrap_or(points.len() - 1);
        let restarts = points[start].restart;
        let cycle = if restarts { start + 1 } else { start }..end + 1;
        let recorded = points[start].since_new.filter(|_| restarts);
        let offset = recorded.or_else(|| {
            points[cycle.clone()].iter().filter_map(|p| Some(p.since_new? - p.before?)).min_by(f64::total_cmp)
        });
        if let Some(offset) = offset {
            if restarts {
                points[start].since_new = Some(offset);
            }
            for point in &mut points[cycle] {
                if let Some(hours) = point.before {
                    point.since_new = match point.since_new {
                        None => Some(offset + hours),
                        Some(new) if !point.restart => Some(new.max(offset + hours)),
                        kept => kept,
                    };
                }
            }
        }
        if end == start || !points[end].restart {
            break;
        }
        start = end;
    }
}

/// Hours from one point to the next, where both are on one scale.
fn step(from: &Point, to: &Point) -> Option<f64> {
    let new = from.since_new.zip(to.since_new);
    new.or(from.after.zip(to.before)).map(|(a, b)| b - a)
}

fn span(from: &Point, to: &Point, hours: Option<f64>, kind: SpanKind) -> Span {
    Span {
        from: from.day,
        to: to.day,
        hours,
        kind,
        origin: to.origin.unwrap_or(Origin::Own),
        read_at_from: from.origin.is_some(),
        read_at_to: to.origin.is_some(),
    }
}

/// The spans between a propeller's points, and those of its aircraft before, between and after them where its own
/// readings do not say.
pub(super) fn line(points: &[Point], flight: &Flight<'_>, last_day: Day) -> Line {
    let mut spans: Vec<Span> = Vec::with_capacity(points.len());
    let fitted_from = flight.stretches.first().map(|s| s.from);
    match (points.first(), fitted_from) {
        (Some(first), Some(from)) if from < first.day => {
            spans.extend(flight.between(from, first.day, false));
        }
        (None, Some(from)) => spans.extend(flight.between(from, last_day, false)),
        _ => {}
    }
    let mut at = 0;
    while at + 1 < points.len() {
        at += between_points(points, at, flight, &mut spans);
    }
    if let Some(last) = points.last()
        && last.day < last_day
    {
        spans.extend(flight.between(last.day, last_day, last.restart));
    }
    // Where no reading comes after, hours are not recorded but extrapolated.
    while spans.last().is_some_and(|s| s.kind == SpanKind::Gap && !s.read_at_to) {
        spans.pop();
    }
    let mut readings: Vec<(Day, Origin)> = points.iter().filter_map(|p| Some((p.day, p.origin?))).collect();
    for span in spans.iter().filter(|s| s.origin == Origin::Aircraft) {
        let ends = [(span.read_at_from, span.from), (span.read_at_to, span.to)];
        readings.extend(ends.into_iter().filter_map(|(is_read, day)| is_read.then_some((day, Origin::Aircraft))));
    }
    readings.sort_by_key(|&(day, origin)| (day, origin as u8));
    readings.dedup_by_key(|(day, _)| *day);
    Line {
        newest_origin: readings.last().map(|&(_, origin)| origin),
        readings: readings.into_iter().map(|(day, _)| day).collect(),
        spans,
        as_if_fitted: false,
    }
}

/// Adds the spans from one point to the next that can be told apart; returns how many points on that is.
fn between_points(points: &[Point], at: usize, flight: &Flight<'_>, spans: &mut Vec<Span>) -> usize {
    let (from, to) = (&points[at], &points[at + 1]);
    let contradicted = |to: &Point| span(from, to, None, SpanKind::Contradicted);
    if flight.contradicted(from.day, to.day) {
        spans.push(contradicted(to));
        return 1;
    }
    if let Some(hours) = step(from, to) {
        if hours >= -ROUNDING_HOURS {
            spans.push(span(from, to, Some(hours.max(0.0)), SpanKind::Recorded));
        } else {
            add_flown_or_gap(flight, from, to, spans);
        }
        return 1;
    }
    // Readings of one scale with readings of the other between them, which cannot be compared, count as one step.
    if let Some((end, hours)) = comparable(points, at) {
        if flight.contradicted(from.day, points[end].day) {
            spans.push(contradicted(&points[end]));
            return end - at;
        }
        spans.push(span(from, &points[end], Some(hours), SpanKind::Recorded));
        return end - at;
    }
    // Readings around restarts at which none was taken: the hours between are known, where they fall is not.
    let around = (at + 1..points.len()).find(|&p| !points[p].restart || points[p].since_new.is_some());
    if let (Some(start), Some(end)) = (from.since_new, around)
        && let Some(end_hours) = points[end].since_new
        && end > at + 1
        && comparable(points, end - 1).is_none()
        && !flight.contradicted(from.day, points[end].day)
    {
        place_hours(points, at, end, end_hours - start, flight, spans);
        return end - at;
    }
    if !from.restart {
        add_flown_or_gap(flight, from, to, spans);
    } else if let Some(flown) = without_gap(flight, from.day, to.day) {
        spans.extend(flown);
    } else {
        spans.push(span(from, to, None, SpanKind::NotPlaced));
    }
    1
}

/// The first later point of a point's cycle whose hours can be compared with its own, and the hours from one to the other.
fn comparable(points: &[Point], at: usize) -> Option<(usize, f64)> {
    for end in at + 1..points.len() {
        if let Some(hours) = step(&points[at], &points[end]) {
            return (hours >= -ROUNDING_HOURS).then_some((end, hours.max(0.0)));
        }
        if points[end].restart {
            return None;
        }
    }
    None
}

/// Places the hours between two readings that have restarts without readings between them: by the aircraft's readings since
/// the last restart where these are without a gap and leave no more for the time before than can be flown in it; else all
/// of them after that restart when the first reading is at most twelve months before it; else nowhere.
fn place_hours(points: &[Point], first: usize, end: usize, hours: f64, flight: &Flight<'_>, spans: &mut Vec<Span>) {
    let restart = end - 1;
    let (start_day, end_day) = (points[first].day, points[end].day);
    let days_before = f64::from(points[restart].day - start_day);
    let runs_back = hours < -ROUNDING_HOURS;
    let hours = hours.max(0.0);
    if let Some(flown) = without_gap(flight, points[restart].day, end_day) {
        let total: f64 = flown.iter().filter_map(|s| s.hours).sum();
        let before = (hours - total).max(0.0);
        if before <= days_before * flight.most_hours_per_day + ROUNDING_HOURS {
            let (from, to) = (&points[first], &points[restart]);
            spans.push(span(from, to, Some(before), SpanKind::Recorded));
            spans.extend(flown);
            return;
        }
    }
    let near = same_day(start_day, 12) >= points[restart].day;
    for at in first..end {
        let (from, to) = (&points[at], &points[at + 1]);
        spans.push(if runs_back {
            span(from, to, None, SpanKind::NotPlaced)
        } else if near && at == restart {
            span(from, to, Some(hours), SpanKind::AtMost)
        } else if near {
            span(from, to, Some(0.0), SpanKind::Recorded)
        } else {
            let part = f64::from(to.day - from.day) / f64::from(end_day - start_day);
            span(from, to, Some(hours * part), SpanKind::NotPlaced)
        });
    }
}

/// What the aircraft flew since a release, when that is recorded without a gap.
fn without_gap(flight: &Flight<'_>, release: Day, to: Day) -> Option<Vec<Span>> {
    let flown = flight.between(release, to, true);
    (!flown.is_empty() && flown.iter().all(|s| s.hours.is_some())).then_some(flown)
}

/// Adds what the aircraft flew in a time without comparable readings, when any of that is recorded; else a gap.
fn add_flown_or_gap(flight: &Flight<'_>, from: &Point, to: &Point, spans: &mut Vec<Span>) {
    let flown = flight.between(from.day, to.day, from.restart);
    let all_off = !flown.is_empty() && flown.iter().all(|s| s.kind == SpanKind::NotFitted);
    if all_off || flown.iter().any(Span::is_read) {
        spans.extend(flown);
    } else {
        spans.push(span(from, to, None, SpanKind::Gap));
    }
}
