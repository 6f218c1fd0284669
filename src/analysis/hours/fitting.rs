//! On which aircraft a propeller was, and what it flew there.

use super::clock_start;
use super::line::{Span, SpanKind};
use super::meters::AircraftLine;
use crate::records::Fleet;
use crate::records::choice::Status;
use crate::records::flying::Fitting;
use crate::records::hours_that_cannot_be::Contradiction;
use crate::trade::calendar::Day;

/// Days within which a propeller without an earlier fitting counts as on the shelf until its first one. A longer time
/// is not taken on trust: a table of fittings may have been begun late.
pub(super) const SHELF_DAYS: i32 = 365;

/// A stretch of time on one aircraft; stretches of one propeller never overlap.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// First day.
    pub from: Day,
    /// The day it came off; the as-of date while it is still fitted.
    pub to: Day,
    /// Code of the aircraft in [`crate::records::flying::Flying::aircraft`].
    pub aircraft: u32,
}

/// Turns fittings (ascending by first day) into stretches that do not overlap.
///
/// A later fitting ends an earlier one without an end; an earlier one with a later end goes on behind it. Stretches on one
/// aircraft that meet, or are a day apart, are one.
pub(super) fn stretches(fittings: &[Fitting], last_day: Day) -> Vec<Stretch> {
    let mut list: Vec<Stretch> = Vec::with_capacity(fittings.len());
    let mut open: Vec<Stretch> = Vec::new();
    let mut now = Day::from_number(i32::MIN);
    for (at, fitting) in fittings.iter().enumerate() {
        let next = fittings.get(at + 1).map(|f| f.from);
        // An end before the beginning says nothing.
        let end = fitting.to.filter(|&to| to >= fitting.from);
        advance(&mut open, &mut now, fitting.from, &mut list);
        open.push(Stretch {
            from: fitting.from,
            to: end.or(next).unwrap_or(last_day).min(last_day),
            aircraft: fitting.aircraft,
        });
    }
    advance(&mut open, &mut now, last_day, &mut list);
    list
}

fn advance(open: &mut Vec<Stretch>, now: &mut Day, until: Day, list: &mut Vec<Stretch>) {
    while let Some(top) = open.last() {
        let (from, to) = ((*now).max(top.from), top.to.min(until));
        if to > from {
            match list.last_mut() {
                Some(last) if last.aircraft == top.aircraft && from - last.to <= 1 => last.to = to,
                _ => list.push(Stretch { from, to, aircraft: top.aircraft }),
            }
            *now = to;
        }
        if top.to > until {
            break;
        }
        open.pop();
    }
    *now = (*now).max(until);
}

/// What a propeller flew on its aircraft.
pub(super) struct Flight<'f> {
    /// Its stretches.
    pub(super) stretches: &'f [Stretch],
    /// Every aircraft's hours.
    pub(super) meters: &'f [AircraftLine],
    /// Since when a spare, or one at a shop, flies nothing.
    pub(super) off_since: Option<Day>,
    /// The most that is flown in a day, on the average of a longer time.
    pub(super) most_hours_per_day: f64,
    /// Its own readings that contradict one another.
    pub(super) contradictions: &'f [Contradiction],
}

impl Flight<'_> {
    /// Whether own readings between two days contradict one another.
    pub(super) fn contradicted(&self, from: Day, to: Day) -> bool {
        self.contradictions.iter().any(|c| c.from.day >= from && c.to.day <= to)
    }

    /// Spans that cover every day between the two; empty when it was never fitted.
    ///
    /// `shelf`: `from` is a release, so that the time before the first fitting of all, up to [`SHELF_DAYS`], is shelf time.
    pub(super) fn between(&self, from: Day, to: Day, shelf: bool) -> Vec<Span> {
        let mut spans = Vec::new();
        let Some(first) = self.stretches.first() else {
            self.add_without_fitting(from, to, &mut spans);
            return spans;
        };
        let mut at = from;
        let begun = self.stretches.partition_point(|s| s.to <= from);
        let before_first = !shelf || first.from - from > SHELF_DAYS;
        for stretch in self.stretches[begun..].iter().take_while(|s| s.from < to) {
            if stretch.from > at {
                let kind = if stretch == first && before_first { SpanKind::Gap } else { SpanKind::NotFitted };
                spans.push(Span::without_readings(at, stretch.from, kind));
            }
            let (start, end) = (stretch.from.max(at), stretch.to.min(to));
            self.meters[stretch.aircraft as usize].add_between(start, end, &mut spans);
            at = end;
        }
        if at < to {
            let later = self.stretches.last().is_some_and(|s| s.from >= to);
            if later {
                let unknown = first.from >= to && before_first;
                let kind = if unknown { SpanKind::Gap } else { SpanKind::NotFitted };
                spans.push(Span::without_readings(at, to, kind));
            } else if self.off_since.is_some() {
                self.add_without_fitting(at, to, &mut spans);
            } else {
                spans.push(Span::without_readings(at, to, SpanKind::Gap));
            }
        }
        spans
    }

    /// A time without a fitting: flown at the use rate until it came off, at rest from then on. Nothing is added when it
    /// never came off.
    fn add_without_fitting(&self, from: Day, to: Day, spans: &mut Vec<Span>) {
        let Some(off) = self.off_since.filter(|&off| off < to) else { return };
        if from < off {
            spans.push(Span::without_readings(from, off, SpanKind::Gap));
        }
        spans.push(Span::without_readings(off.max(from), to, SpanKind::NotFitted));
    }
}

/// Whether the records say that it is on no aircraft: a spare or one at a shop that no fitting shows on one today.
pub(super) fn is_off(fleet: &Fleet<'_>, propeller: u32) -> bool {
    let status = fleet.propellers.get(propeller).status;
    matches!(status, Status::Spare | Status::AtShop) && fleet.flying.fitted_now(propeller).is_none()
}

/// Since when a spare, or one at a shop, flies nothing: since its last fitting ended; without any, where fittings were kept
/// when its clock started, since then; else since the day it was removed, or one at a shop was sent there.
pub(super) fn off_since(
    fleet: &Fleet<'_>,
    propeller: u32,
    first_fitting: Option<Day>,
    stretches: &[Stretch],
) -> Option<Day> {
    if !is_off(fleet, propeller) {
        return None;
    }
    if !fleet.flying.fittings(propeller).is_empty() {
        return stretches.last().map(|s| s.to);
    }
    let start = clock_start(fleet, propeller);
    let kept = first_fitting.zip(start).is_some_and(|(first, start)| first <= start);
    let of = fleet.propellers.get(propeller);
    let sent = of.sent.filter(|_| of.status == Status::AtShop);
    start.filter(|_| kept).or(of.removed).or(sent)
}

/// The last day a propeller can have flown: the as-of date, or the day it was scrapped or sold; one that a fitting shows on
/// an aircraft today flies on.
pub(super) fn last_day(fleet: &Fleet<'_>, propeller: u32) -> Day {
    let of = fleet.propellers.get(propeller);
    match of.end_date {
        Some(end) if of.status.is_gone() && fleet.flying.fitted_now(propeller).is_none() => end.min(fleet.as_of),
        _ => fleet.as_of,
    }
}

/// The day it was installed after a release; `None` when no fitting says, or when one runs across the release.
pub(super) fn installed_after(stretches: &[Stretch], release: Day) -> Option<Day> {
    if stretches.iter().any(|s| s.from < release && s.to > release) {
        return None;
    }
    stretches.iter().map(|s| s.from).find(|&d| d >= release)
}

#[cfg(test)]
mod tests {
    use super::*;

    const LAST: i32 = 1000;

    fn of(fittings: &[(u32, i32, Option<i32>)]) -> Vec<(u32, i32, i32)> {
        let list: Vec<Fitting> = fittings
            .iter()
            .map(|&(aircraft, from, to)| Fitting {
                propeller: 0,
                aircraft,
                from: Day::from_number(from),
                to: to.map(Day::from_number),
                position: None,
                row: 0,
            })
            .collect();
        stretches(&list, Day::from_number(LAST)).iter().map(|s| (s.aircraft, s.from.number(), s.to.number())).collect()
    }

    #[test]
    fn a_later_fitting_ends_one_without_an_end() {
        assert_eq!(of(&[(1, 0, None), (2, 100, None)]), [(1, 0, 100), (2, 100, LAST)]);
        assert_eq!(of(&[(1, 0, Some(60)), (2, 100, None)]), [(1, 0, 60), (2, 100, LAST)]);
    }

    #[test]
    fn a_loan_inside_a_longer_fitting() {
        assert_eq!(
            of(&[(1, 0, Some(300)), (2, 100, Some(150)), (3, 120, Some(130))]),
            [(1, 0, 100), (2, 100, 120), (3, 120, 130), (2, 130, 150), (1, 150, 300)]
        );
        // The one that came first also ends first.
        assert_eq!(of(&[(1, 0, Some(120)), (2, 100, Some(150))]), [(1, 0, 100), (2, 100, 150)]);
    }

    #[test]
    fn fittings_that_meet_on_one_aircraft_are_one() {
        assert_eq!(of(&[(1, 0, Some(50)), (1, 50, Some(90))]), [(1, 0, 90)]);
        assert_eq!(of(&[(1, 0, Some(50)), (1, 51, Some(90))]), [(1, 0, 90)]);
        assert_eq!(of(&[(1, 0, Some(50)), (1, 52, Some(90))]), [(1, 0, 50), (1, 52, 90)]);
    }

    #[test]
    fn ends_that_cannot_be() {
        // An end before the beginning says nothing; an end after the last day has not come.
        assert_eq!(of(&[(1, 500, Some(400))]), [(1, 500, LAST)]);
        assert_eq!(of(&[(1, 500, Some(4000))]), [(1, 500, LAST)]);
        assert_eq!(of(&[(1, 2000, None)]), []);
        assert_eq!(of(&[]), []);
    }
}
