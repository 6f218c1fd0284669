//! The 100 hour inspection: by the date or the reading that is written, else by the hours flown since.

use super::Basis;
use crate::records::choice::InspectionKind;
use crate::records::flying::MeterReading;
use crate::records::inspections::Inspection;
use crate::trade::calendar::Day;

/// A 100 hour inspection and when the next is due.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HundredHour {
    /// The inspection that started the hours: the last 100 hour, or a later annual.
    pub from: Day,
    /// Its kind.
    pub kind: Option<InspectionKind>,
    /// Hours it holds for.
    pub holds_for: f64,
    /// Hours flown since, read and estimated; `None` where no reading and no use rate says.
    pub flown: Option<f64>,
    /// The day it comes due: as written, or estimated from the use; `None` where nothing says.
    pub due: Option<Day>,
    /// Whether that day is written in the records.
    pub due_is_recorded: bool,
    /// Where it stands.
    pub state: HundredHourState,
}

/// Where a 100 hour inspection stands, the worst first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum HundredHourState {
    /// Lapsed by a date or a reading on record.
    Lapsed,
    /// Lapsed by estimated hours only.
    ProbablyLapsed,
    /// No reading and no use rate says how much was flown.
    NotKnown,
    /// In force.
    InForce,
}

/// What an aircraft's meter showed on a day, in proportion between two readings.
struct Shown<'m> {
    hours: f64,
    /// The readings since then, unless the meter was set back or another was read later.
    since: &'m [MeterReading],
}

/// What the meter that was in the aircraft on a day showed; `None` where no reading lies on or before it.
fn shown_on(readings: &[MeterReading], day: Day) -> Option<Shown<'_>> {
    let newest = readings.iter().map(|r| r.day).max()?;
    let series = readings.chunk_by(|a, b| a.meter == b.meter);
    let (series, after) = series
        .filter_map(|of| Some((of, of.partition_point(|r| r.day <= day))).filter(|&(_, after)| after > 0))
        .max_by_key(|&(of, after)| (of[after - 1].day, of.last().map(|r| r.day)))?;
    let before = &series[after - 1];
    let hours = match series.get(after).filter(|next| next.hours >= before.hours) {
        Some(next) => {
            let part = f64::from(day - before.day) / f64::from(next.day - before.day);
            before.hours + (next.hours - before.hours) * part
        }
        None => before.hours,
    };
    let set_back = series[after - 1..].windows(2).any(|pair| pair[1].hours < pair[0].hours);
    let is_newest = series.last().is_some_and(|last| last.day == newest);
    Some(Shown { hours, since: if is_newest && !set_back { &series[after..] } else { &[] } })
}

/// The hours that an aircraft, or the propeller on it, flew since a day: what was read, and with what is estimated.
fn flown_since(basis: &Basis<'_, '_>, propeller: u32, aircraft: Option<u32>, day: Day) -> (f64, Option<f64>) {
    let as_of = basis.fleet.as_of;
    let rate = basis.hours.rate(propeller).hours_per_day;
    if let Some(flown) = aircraft.and_then(|a| basis.hours.flown_by_aircraft(a, day, as_of)) {
        return (flown.read, flown.hours(rate));
    }
    let record = basis.hours.record(basis.fleet, propeller);
    let since = basis.hours.since(basis.fleet, propeller, &record, day, None);
    (since.read, since.today)
}

/// The 100 hour inspection of a propeller's aircraft, from the inspections that hold, in order of date.
pub(super) fn hundred_hour(basis: &Basis<'_, '_>, propeller: u32, holding: &[&Inspection]) -> Option<HundredHour> {
    let starts = |i: &&&Inspection| matches!(i.kind, Some(InspectionKind::Annual | InspectionKind::HundredHour));
    let last = holding.iter().rfind(starts);
    let unsaid = holding.iter().rfind(|i| i.kind.is_none() && last.is_none_or(|last| i.day > last.day));
    // One of a kind not recorded clears nothing, and may be a 100 hour that has lapsed: the worse of both counts.
    let both = [last, unsaid].into_iter().flatten().map(|from| counted_from(basis, propeller, from));
    both.min_by_key(|of| (of.state, of.due.is_none(), of.due))
}

/// The hours counted from one inspection.
fn counted_from(basis: &Basis<'_, '_>, propeller: u32, from: &Inspection) -> HundredHour {
    let fleet = basis.fleet;
    let is_hundred = matches!(from.kind, Some(InspectionKind::HundredHour) | None);
    let aircraft = fleet.aircraft_of(propeller).and_then(|name| fleet.flying.aircraft.find(name));
    let readings = aircraft.map_or(&[][..], |code| fleet.flying.meter_readings(code));
    let at_inspection = shown_on(readings, from.day);
    // An annual's own next reading is not a 100 hour's.
    let next_meter = from.next_due_meter.filter(|_| is_hundred);
    let longest = basis.settings.hundred_hours;
    let holds_for = match (next_meter, &at_inspection) {
        (Some(next), Some(shown)) => (next - shown.hours).clamp(0.0, longest),
        _ => longest,
    };
    let (read, flown) = flown_since(basis, propeller, aircraft, from.day);
    let passed_meter = next_meter
        .zip(at_inspection.as_ref().and_then(|shown| shown.since.last()))
        .is_some_and(|(next, last)| last.hours > next);
    let written = from.next_due.filter(|_| is_hundred);
    let rate = basis.hours.rate(propeller).hours_per_day;
    let estimated = flown.zip(rate).and_then(|(flown, rate)| {
        let days = ((holds_for - flown) / rate).floor();
        (days.abs() < 36_525.0).then(|| fleet.as_of + days as i32)
    });
    let state = if read > holds_for || passed_meter || written.is_some_and(|day| day < fleet.as_of) {
        HundredHourState::Lapsed
    } else {
        match flown {
            Some(flown) if flown > holds_for => HundredHourState::ProbablyLapsed,
            Some(_) => HundredHourState::InForce,
            None => HundredHourState::NotKnown,
        }
    };
    let due = match (written, estimated) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    };
    HundredHour {
        from: from.day,
        kind: from.kind,
        holds_for,
        flown,
        due,
        due_is_recorded: written.is_some() && due == written,
        state,
    }
}
