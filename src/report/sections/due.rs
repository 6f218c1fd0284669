//! When each comes due: the next 24 months, the overdue ones before today, and those that nothing dates.

use std::collections::HashMap;

use askama::Template;

use super::duties::Duties;
use crate::analysis::due::{DueRow, LastInspection, StandsIn, State};
use crate::analysis::gaps::{Gap, Missing};
use crate::analysis::hours::Reached;
use crate::analysis::overview::MONTHS_SOON;
use crate::records::choice::{Force, InspectionKind, InspectionResult};
use crate::records::models::Stated;
use crate::report::chart::axis::{Axis, Tick};
use crate::report::chart::marks::Key;
use crate::report::chart::time_line::{Limit, TimeLine};
use crate::report::chart::{Caption, DayScale, Svg};
use crate::report::scene::{Scene, Who};
use crate::report::words::{count, quoted, thousands};
use crate::trade::calendar::{Day, same_day};

/// Months that the time line looks ahead.
pub const MONTHS_AHEAD: u32 = 24;

/// Days before today that have room, when something is overdue and when nothing is.
const DAYS_BACK: [i32; 2] = [150, 20];
/// Ticks that have room on a narrow page.
const TICKS: usize = 5;
/// The axis that the rows name.
const AXIS: &str = "due-axis";

/// The section.
#[derive(Template)]
#[template(path = "due.html", config = "src/report/askama.toml")]
pub struct Due {
    last_day: Day,
    axis: Svg,
    legend: Vec<(Svg, &'static str)>,
    summary: Vec<String>,
    rows: Vec<Row>,
    later: Option<String>,
    duties: Duties,
    not_dated: Vec<NotDated>,
    do_not_install: Vec<Shelved>,
    ended: Vec<Ended>,
    left_out: usize,
}

/// A propeller on the time line.
struct Row {
    who: Who,
    chart: Svg,
    due: Day,
    past: bool,
    when: String,
    /// Each in parts that are not broken.
    limits: Vec<Vec<String>>,
    /// The days between which it falls in eight of ten cases.
    spread: Option<[Day; 2]>,
    force: &'static str,
    doubt: Option<&'static str>,
    do_not_install: bool,
    inspection: Option<Inspection>,
}

pub(super) struct Inspection {
    pub(super) words: String,
    unsatisfactory: bool,
}

/// A propeller that nothing dates.
struct NotDated {
    who: Who,
    why: String,
    missing: Vec<Lack>,
}

/// A thing that is not on record, and where it usually lies.
pub(super) struct Lack {
    pub(super) what: String,
    pub(super) where_to_find_it: &'static str,
}

/// A spare past its limit.
struct Shelved {
    who: Who,
    due: Option<Day>,
}

/// A propeller that is out of service and still listed.
struct Ended {
    who: Who,
    since: Day,
}

impl Due {
    /// From the results.
    pub fn of(scene: &Scene<'_, '_, '_>) -> Due {
        let fleet = scene.answers.fleet;
        let as_of = fleet.as_of;
        let last_day = same_day(as_of, MONTHS_AHEAD);
        let mut section = Due {
            last_day,
            axis: Svg::default(),
            legend: legend(),
            summary: Vec::new(),
            rows: Vec::new(),
            later: None,
            duties: Duties::of(scene),
            not_dated: Vec::new(),
            do_not_install: Vec::new(),
            ended: Vec::new(),
            left_out: scene.left_out(),
        };
        let mut undated: Vec<(Who, &DueRow)> = Vec::new();
        for ranked in &scene.urgent {
            let Some(row) = scene.answers.due().of(ranked.propeller) else {
                continue;
            };
            let who = scene.who(ranked);
            if let Some(since) = fleet.end_of(row.propeller) {
                section.ended.push(Ended { who, since });
                continue;
            }
            if row.do_not_install() {
                section.do_not_install.push(Shelved { who: who.clone(), due: row.due });
            }
            match (row.due, row.days_to_due) {
                (Some(due), Some(days)) if may_fall_by(row, due, last_day) => {
                    section.rows.push(Row::of(row, who, due, days, as_of));
                }
                // Counted in words below.
                (Some(_), _) => {}
                (None, _) => undated.push((who, row)),
            }
        }
        section.rows.sort_by_key(|row| (row.due, row.who.key));
        section.draw(scene, as_of);
        if !undated.is_empty() {
            let keys = undated.iter().map(|(who, _)| who.key);
            let mut lacks = lacks(scene.answers.gaps(), keys, DATES_NEED);
            section.not_dated = undated
                .into_iter()
                .map(|(who, row)| NotDated {
                    why: why_not_dated(row),
                    missing: lacks.remove(&who.key).unwrap_or_default(),
                    who,
                })
                .collect();
        }
        let in_service: Vec<&DueRow> = scene
            .ranked
            .iter()
            .filter_map(|ranked| {
                let row = scene.answers.due().of(ranked.propeller)?;
                fleet.end_of(ranked.propeller).is_none().then_some(row)
            })
            .collect();
        section.later = later_words(&in_service, last_day);
        section.summary = Tally::of(in_service.into_iter(), as_of).words(scene);
        section
    }

    /// The axis, and the drawing of each row.
    fn draw(&mut self, scene: &Scene<'_, '_, '_>, today: Day) {
        let overdue = self.rows.iter().any(|row| row.past);
        let back = DAYS_BACK[usize::from(!overdue)];
        let scale = DayScale::new(today + -back, self.last_day);
        let caption = format!("Days from today, {today}, to {}", self.last_day);
        let axis = Axis {
            caption: Caption::new(AXIS, &caption),
            ticks: scale.tick_marks(TICKS),
            flag: Some(Tick::new(scale.percent(today), "today")),
        };
        self.axis = Svg::or_words(axis.draw());
        for row in &mut self.rows {
            let Some(due) = scene.answers.due().of(row.who.key) else {
                continue;
            };
            row.chart = row.drawn(due, scale, today);
        }
    }
}

/// How many come due after the time line ends.
fn later_words(in_service: &[&DueRow], last_day: Day) -> Option<String> {
    let later = in_service.iter().filter_map(|row| {
        let due = row.due?;
        (!may_fall_by(row, due, last_day)).then_some(due)
    });
    let later: Vec<Day> = later.collect();
    let next = later.iter().min()?;
    let many = if later.len() == 1 {
        "1 more propeller comes".to_string()
    } else {
        format!("{} more propellers come", later.len())
    };
    Some(format!("{many} due after {last_day}, the next of them on {next}."))
}

/// What the headline counts leave open, over every propeller shown, those without a line here included.
#[derive(Default)]
struct Tally<'r> {
    past_binding: usize,
    longest: Option<&'r DueRow>,
    ahead: usize,
}

impl<'r> Tally<'r> {
    fn of(rows: impl Iterator<Item = &'r DueRow>, as_of: Day) -> Tally<'r> {
        let last = same_day(as_of, MONTHS_AHEAD);
        let mut tally = Tally::default();
        for row in rows {
            match row.due {
                None => {}
                Some(due) if due < as_of => {
                    tally.past_binding += usize::from(row.interval.force == Force::Binding);
                    let longer = |other: &DueRow| row.due < other.due;
                    if tally.longest.is_none_or(longer) {
                        tally.longest = Some(row);
                    }
                }
                Some(due) => tally.ahead += usize::from(due <= last),
            }
        }
        tally
    }

    /// The section in a few sentences.
    fn words(&self, scene: &Scene<'_, '_, '_>) -> Vec<String> {
        let fleet = scene.answers.fleet;
        let overview = scene.answers.overview(scene.shown);
        let counts = &overview.counts;
        let mut words = Vec::new();
        if let Some(longest) = self.longest {
            words.push(format!(
                "{} past a limit, {} of them past a binding one; the longest is {}, by {}.",
                is_or_are(counts.past_due),
                self.past_binding,
                fleet.propellers.serial(longest.propeller),
                count(longest.days_to_due.unwrap_or_default().unsigned_abs() as usize, "day"),
            ));
        }
        let day = |months: u32| same_day(fleet.as_of, months);
        words.push(match self.ahead {
            0 => format!("None comes due from today to {}.", day(MONTHS_AHEAD)),
            ahead => format!(
                "{} due in the next {MONTHS_SOON} months (to {}), {ahead} in the next {MONTHS_AHEAD}.",
                match counts.due_in_12_months {
                    0 => "None comes".to_string(),
                    1 => "1 propeller comes".to_string(),
                    many => format!("{many} propellers come"),
                },
                day(MONTHS_SOON)
            ),
        });
        if counts.no_due_date > 0 {
            words.push(format!("{} no due date on record.", has_or_have(counts.no_due_date)));
        }
        words
    }
}

fn is_or_are(number: usize) -> String {
    if number == 1 { "1 propeller is".to_string() } else { format!("{number} propellers are") }
}

fn has_or_have(number: usize) -> String {
    if number == 1 { "1 propeller has".to_string() } else { format!("{number} propellers have") }
}

/// Whether it is due by a day, or with one chance in ten already then.
fn may_fall_by(row: &DueRow, due: Day, last_day: Day) -> bool {
    due.min(row.due_p10.unwrap_or(due)) <= last_day
}

pub(super) fn force(force: Force) -> &'static str {
    match force {
        Force::Binding => "binding limit",
        Force::Recommended => "recommended limit",
        Force::NoForce => "limit not watched, by choice",
    }
}

/// The marks and what they mean.
fn legend() -> Vec<(Svg, &'static str)> {
    vec![
        (Key::Square.draw(), "calendar limit"),
        (Key::Triangle.draw(), "hours limit at today's use (hollow: the later of the two)"),
        (Key::Whisker.draw(), "where the date falls in eight of ten cases"),
        (Key::Overdue.draw(), "before today: overdue"),
        (Key::Arrow.draw(), "farther away than drawn"),
    ]
}

/// Its limits in words, with the hours that are left or over.
pub(super) fn limits(row: &DueRow, last_day: Day) -> Vec<Vec<String>> {
    let mut limits = Vec::new();
    if let Some(day) = row.due_calendar {
        limits.push(vec![format!("calendar {day}")]);
    }
    let left = match row.hours_to_due {
        Some(left) if left >= 0.0 => format!("{}\u{a0}h left", thousands(left)),
        Some(over) => format!("{}\u{a0}h over", thousands(-over)),
        None => String::new(),
    };
    match row.due_hours {
        // Far ahead a day would say more than the use rate knows.
        Some(Reached::On(day)) if day <= last_day => limits.push(vec![format!("hours {day}"), left]),
        Some(Reached::On(day)) => limits.push(vec![format!("hours about {}", day.year()), left]),
        Some(Reached::NotKnown) => limits.push(vec!["hours: use not known".to_string()]),
        Some(Reached::Never) => limits.push(vec![format!("hours: {left}"), "does not fly".to_string()]),
        None => {}
    }
    limits
}

impl Row {
    fn of(row: &DueRow, who: Who, due: Day, days: i32, as_of: Day) -> Row {
        let spread = match (row.due_p10, row.due_p90) {
            (Some(early), Some(late)) if early != late && days >= 0 => Some([early, late]),
            _ => None,
        };
        Row {
            who,
            chart: Svg::default(),
            due,
            past: due < as_of,
            when: when(days),
            limits: limits(row, same_day(as_of, MONTHS_AHEAD)),
            spread,
            force: force(row.interval.force),
            doubt: doubt(row),
            do_not_install: row.do_not_install(),
            inspection: row.inspection.as_ref().map(Inspection::of),
        }
    }

    fn unsatisfactory(&self) -> bool {
        let last = self.inspection.as_ref();
        last.is_some_and(|inspection| inspection.unsatisfactory)
    }

    fn drawn(&self, row: &DueRow, scale: DayScale, today: Day) -> Svg {
        let limit = |day: Option<Day>| day.map_or(Limit::None, Limit::On);
        let id = format!("due-{}", self.who.key);
        let title = format!("{}: due {}, {}", self.who.serial, self.due, self.when);
        let line = TimeLine {
            caption: Caption::new(&id, &title),
            scale,
            today,
            calendar: limit(row.due_calendar),
            hours: match row.due_hours {
                Some(Reached::NotKnown) => Limit::Unknown,
                reached => limit(reached.and_then(Reached::day)),
            },
            likely: row.due_p10.filter(|_| self.spread.is_some()).map(|early| (early, row.due_p90)),
            axis: AXIS,
        };
        Svg::or_words(line.draw())
    }
}

pub(super) fn when(days: i32) -> String {
    let many = |number: i32| count(number.unsigned_abs() as usize, "day");
    match days {
        0 => "today".to_string(),
        ahead if ahead > 0 => format!("in {}", many(ahead)),
        past => format!("{} past", many(past)),
    }
}

/// Why the true limit may come earlier than the date shown.
pub(super) fn doubt(row: &DueRow) -> Option<&'static str> {
    match row.state {
        state if state.is_by_estimate() => Some("by estimated hours: read them"),
        State::HoursNotKnown => Some("hours not known: may be due earlier"),
        State::NoLimitStated if row.interval.unreadable => Some("its own interval cannot be read: may be due earlier"),
        State::NoLimitStated if row.interval.stands_in != StandsIn::default() => {
            Some("one of its limits is not recorded: the shortest of the fleet's models stands in")
        }
        State::NoLimitStated => Some("one of its limits is not recorded: may be due earlier"),
        _ => None,
    }
}

impl Inspection {
    pub(super) fn of(last: &LastInspection) -> Inspection {
        let kind = InspectionKind::in_words(last.kind);
        let result = last.result.map_or("result not recorded", InspectionResult::in_words);
        let next = last.next.map_or_else(String::new, |next| format!(", next by {next}"));
        Inspection {
            words: format!("{kind} {}, {result}{next}", last.day),
            unsatisfactory: last.result == Some(InspectionResult::NotSatisfactory),
        }
    }
}

/// What a date needs on record.
const DATES_NEED: &[Missing] = &[
    Missing::Outcome,
    Missing::Work,
    Missing::Visit,
    Missing::Overhaul,
    Missing::Model,
    Missing::Interval,
    Missing::Hours,
    Missing::InService,
];

/// Why nothing dates it.
pub(super) fn why_not_dated(row: &DueRow) -> String {
    let no_limit = |stated: Stated| stated == Stated::NoLimit;
    if row.clock_start.is_none() {
        "no overhaul on record, so nothing starts its clock".to_string()
    } else if no_limit(row.interval.hours) && no_limit(row.interval.months) {
        "the records say that there is no limit in hours or in months".to_string()
    } else if row.due_hours == Some(Reached::NotKnown) {
        "it has a limit in hours, and its use is not known".to_string()
    } else if row.due_hours == Some(Reached::Never) {
        "it has a limit in hours, and does not fly".to_string()
    } else {
        "no limit is recorded for it".to_string()
    }
}

/// What the files of some propellers lack, of some kinds.
pub(super) fn lacks(gaps: &[Gap], propellers: impl Iterator<Item = u32>, kinds: &[Missing]) -> HashMap<u32, Vec<Lack>> {
    let mut lacks: HashMap<u32, Vec<Lack>> = propellers.map(|p| (p, Vec::new())).collect();
    for gap in gaps.iter().filter(|gap| kinds.contains(&gap.missing)) {
        if let Some(of) = lacks.get_mut(&gap.propeller) {
            of.push(Lack { what: quoted(&gap.what), where_to_find_it: gap.missing.where_to_find_it() });
        }
    }
    lacks
}
