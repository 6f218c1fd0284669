//! When a propeller is due, limit by limit.

use super::{Section, Teller};
use crate::analysis::due::DueRow;
use crate::analysis::hours::{Reached, Source};
use crate::analysis::inspections::counting;
use crate::records::choice::{Force, InspectionKind, InspectionResult, IntervalFrom, MonthRule};
use crate::records::models::Stated;
use crate::records::schema::Table;
use crate::records::written::count;
use crate::trade::calendar::{DAYS_PER_YEAR, Day};

pub(super) fn section(teller: &Teller<'_, '_, '_>) -> Section {
    let mut section = Section::new("When it is due");
    let Some(due) = teller.answers.due().of(teller.propeller) else {
        return section;
    };
    say_clock(teller, due, &mut section);
    say_calendar(due, &mut section);
    say_hours(teller, due, &mut section);
    let force = match due.interval.force {
        Force::Binding => "The records say that the interval binds",
        Force::Recommended => "The records say that the interval is a recommendation",
        Force::NoForce => "The records say that no limit is watched, by choice",
    };
    section.say(format!("{force}. State: {}.", due.state));
    if let Some(end) = teller.fleet().end_of(teller.propeller) {
        section.say(format!("Out of service since {end}: rejected, scrapped or sold; no limit below lets it fly."));
    }
    match due.due {
        Some(day) => {
            let range = match (due.due_p10, due.due_p90) {
                (Some(a), Some(b)) if a != b => {
                    let spread = teller.answers.due().hours.spread(teller.propeller);
                    format!(
                        ", {a} to {b} in eight of ten cases (a month's use varies by {:.0} % of its mean)",
                        spread.cv * 100.0
                    )
                }
                _ => String::new(),
            };
            section.say(format!(
                "Due {day}, the earlier of the limits, {} from the as-of date{range}.",
                days_from(teller.fleet().as_of, day)
            ));
            let later: Vec<String> =
                due.overhaul_dates(teller.fleet().as_of).skip(1).take(3).map(|d| d.to_string()).collect();
            if !later.is_empty() {
                section.say(format!("Later overhauls at this use: {}.", later.join(", ")));
            }
        }
        None => section.say("No limit can be dated."),
    }
    let inspections = counting(teller.fleet(), teller.propeller);
    if let Some(last) = inspections.last() {
        section.say(format!(
            "Last inspection {}{}: {}, {}{}.",
            last.day,
            teller.record(Table::Inspections, Some(last.row)),
            last.kind.map_or("kind not recorded", |kind| InspectionKind::in_words(Some(kind))),
            last.result.map_or("result not recorded", InspectionResult::in_words),
            last.next_due.map_or_else(String::new, |day| format!(", next due {day}"))
        ));
    }
    say_inspections(teller, &mut section);
    for duty in teller.answers.duties().iter().filter(|duty| duty.propeller == teller.propeller) {
        let basis = if duty.is_estimated { "estimated" } else { "recorded" };
        let force = duty.force.map_or_else(String::new, |force| format!(", {}", force.word()));
        let what = duty.words(teller.fleet(), teller.answers.findings());
        section.say(format!("By {} ({basis}{force}): {what}.", duty.date));
    }
    section
}

/// Up to when the annual and the 100 hour hold.
fn say_inspections(teller: &Teller<'_, '_, '_>, section: &mut Section) {
    let answers = teller.answers;
    let Some(of) = answers.inspections().of(teller.propeller) else {
        return;
    };
    let settings = &answers.settings.inspections;
    if let Some(annual) = of.annual {
        let by = match annual.is_recorded {
            true => "as written".to_string(),
            false => format!("the end of month {}; the rule differs by country", settings.annual_months),
        };
        section.say(format!("The annual of {} holds to {}: {by}.", annual.day, annual.holds_to));
    }
    if let Some(hundred) = of.hundred_hour {
        let flown = hundred.flown.map_or_else(|| "not known".to_string(), |hours| format!("{hours:.0} h"));
        let due = hundred.due.map_or_else(String::new, |day| {
            format!(", due {day} {}", if hundred.due_is_recorded { "as written" } else { "by estimate" })
        });
        section.say(format!(
            "The 100 hour counts from {} and holds for {:.0} h; flown since: {flown}{due}.",
            hundred.from, hundred.holds_for
        ));
    }
}

fn days_from(as_of: Day, day: Day) -> String {
    match day - as_of {
        1 => "1 day".to_string(),
        days if days < 0 => format!("{} before it, counted back", count(days.unsigned_abs() as usize, "day")),
        days => format!("{days} days"),
    }
}

fn say_clock(teller: &Teller<'_, '_, '_>, due: &DueRow, section: &mut Section) {
    let fleet = teller.fleet();
    let of = fleet.propellers.get(teller.propeller);
    match (due.last_overhaul, due.clock_start) {
        (Some(day), _) => {
            let visits = fleet.visits.of(teller.propeller);
            let row = visits.iter().rfind(|v| v.restarts_clock()).and_then(|v| v.row);
            section.say(format!(
                "The clock starts at the last released overhaul, {day}{}.",
                teller.record(Table::Overhauls, row)
            ));
        }
        (None, Some(day)) => section.say(format!(
            "Never overhauled on record; it was acquired new, so the clock starts on its first day, {day}{}.",
            teller.record(Table::Propellers, Some(of.row))
        )),
        (None, None) => section.say("No overhaul on record, and it was not acquired new: nothing starts its clock."),
    }
}

fn say_calendar(due: &DueRow, section: &mut Section) {
    match (due.interval.months, due.calendar_start, due.due_calendar) {
        (Stated::Value(months), Some(start), Some(limit)) => {
            let from = match due.interval.from {
                IntervalFrom::Release => "release",
                IntervalFrom::Installation => "installation",
            };
            let rule = match due.interval.month_rule {
                MonthRule::SameDay => "the same day of the month",
                MonthRule::MonthEnd => "the last day of the month",
            };
            section.say(format!("Calendar: {start} ({from}) + {months:.0} months, {rule} = {limit}."));
        }
        (Stated::Value(months), _, _) => {
            section.say(format!("Calendar: {months:.0} months, from no known day."));
        }
        (Stated::NoLimit, _, _) => section.say("Calendar: the maker states no limit in months."),
        (Stated::NotRecorded, _, _) => section.say("Calendar: the interval in months is not recorded."),
    }
}

fn say_hours(teller: &Teller<'_, '_, '_>, due: &DueRow, section: &mut Section) {
    if let Some(hours) = &due.hours {
        let today = hours.today.map_or_else(|| "not known".to_string(), |h| format!("{h:.1}"));
        let unit = if hours.today.is_some() { " h" } else { "" };
        let days = (teller.fleet().as_of - hours.recorded_to).max(0);
        let sum = match (hours.recorded, hours.rate.hours_per_day) {
            (Some(recorded), Some(rate)) if days > 0 => {
                format!(
                    " = {recorded:.1} up to {} + {} x {rate:.3} hours a day",
                    hours.recorded_to,
                    count(days as usize, "day")
                )
            }
            _ => String::new(),
        };
        section.say(format!("Hours since then: {today}{unit}{sum}, from {}.", hours.basis.words()));
        section.say(newest_reading(teller, hours.basis.source));
    }
    if let Some(rate) = due.rate.hours_per_day {
        section.say(format!(
            "Use: {:.0} hours a year = {rate:.3} a day x {DAYS_PER_YEAR}; {}.",
            rate * DAYS_PER_YEAR,
            due.rate.basis.words()
        ));
    }
    match (due.interval.hours, due.due_hours) {
        (Stated::Value(limit), Some(Reached::On(day))) => {
            let left = due.hours_to_due.map_or_else(String::new, |left| format!(", {left:.1} from today"));
            section.say(format!("Hours: the limit of {limit:.0} is reached on {day}{left}."));
        }
        (Stated::Value(limit), Some(Reached::Never)) => {
            section.say(format!("Hours: the limit of {limit:.0} is never reached at this use."));
        }
        (Stated::Value(limit), _) => {
            section.say(format!("Hours: the limit of {limit:.0} cannot be dated."));
        }
        (Stated::NoLimit, _) => section.say("Hours: the maker states no limit in hours."),
        (Stated::NotRecorded, _) => section.say("Hours: the interval in hours is not recorded."),
    }
}

/// The record that the hours end with.
fn newest_reading(teller: &Teller<'_, '_, '_>, source: Source) -> String {
    let fleet = teller.fleet();
    let own = fleet.flying.readings(teller.propeller).last();
    let visit = fleet
        .visits
        .of(teller.propeller)
        .iter()
        .rfind(|v| v.hours_since_new.is_some() || v.hours_since_overhaul.is_some());
    let fitting = fleet.flying.fittings(teller.propeller).last();
    match source {
        Source::OwnReadings => own.map_or_else(String::new, |r| {
            format!("Newest reading of its own: {}{}.", r.day, teller.record(Table::Hours, Some(r.row)))
        }),
        Source::Visits => visit.map_or_else(String::new, |v| {
            format!("Newest hours written at a visit: {}{}.", v.day, teller.record(Table::Overhauls, v.row))
        }),
        Source::AircraftReadings | Source::AircraftAsIfFitted => {
            let fitted = fitting.map_or_else(
                || "no fitting on record".to_string(),
                |f| {
                    format!(
                        "fitted to {} from {}{}",
                        fleet.flying.aircraft.get(f.aircraft),
                        f.from,
                        teller.record(Table::Fitted, Some(f.row))
                    )
                },
            );
            let last = fitting.and_then(|f| {
                let readings = fleet.flying.meter_readings(f.aircraft).iter();
                readings.filter(|r| f.to.is_none_or(|to| r.day <= to)).max_by_key(|r| r.day)
            });
            let meter = last.map_or_else(String::new, |r| {
                format!("; newest reading of its meter {}{}", r.day, teller.record(Table::AircraftHours, Some(r.row)))
            });
            format!("Hours come from the aircraft: {fitted}{meter}.")
        }
        Source::NoReadings => "No reading of hours is on record.".to_string(),
    }
}
