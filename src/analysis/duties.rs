//! Duties: everything of a fleet that has a date, in one list: overhaul limits, inspections, second looks, replacements to
//! order, days back from the shop.

use std::borrow::Cow;

use rayon::prelude::*;

use super::due::{Due, DueRow};
use super::findings::{Finding, Findings};
use super::hours::Reached;
use super::inspections::{FleetInspections, counting};
use super::overview::MONTHS_SOON;
use super::plan::purchases::Purchase;
use super::standing::List;
use crate::records::Fleet;
use crate::records::choice::{Force, InspectionKind, Use};
use crate::trade::calendar::{Day, month_end};

/// What a duty is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    /// The overhaul by its limit in months.
    CalendarLimit,
    /// The overhaul by its limit in hours.
    HourLimit,
    /// An inspection of the aircraft; `None`: of a kind not recorded.
    Inspection(Option<InspectionKind>),
    /// A second look at a finding that was accepted or is small, by its number in [`Findings::rows`].
    LookAgain(u32),
    /// A replacement to order for one that the next overhaul will probably reject.
    Order,
    /// One at a shop comes back.
    Back,
}

/// Kinds of duty that are counted together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Family {
    /// Overhaul limits.
    Overhauls,
    /// Inspections.
    Inspections,
    /// Second looks.
    Looks,
    /// Replacements to order.
    Orders,
    /// Propellers that come back from a shop.
    Returns,
}

impl Family {
    /// Every one, in the order in which they are told.
    pub const ALL: [Family; 5] =
        [Family::Overhauls, Family::Inspections, Family::Looks, Family::Orders, Family::Returns];

    /// So many of it: `2 overhaul limits`.
    pub fn words(self, many: usize) -> String {
        let [one, more] = match self {
            Family::Overhauls => ["overhaul limit", "overhaul limits"],
            Family::Inspections => ["inspection", "inspections"],
            Family::Looks => ["finding to look at again", "findings to look at again"],
            Family::Orders => ["replacement to order", "replacements to order"],
            Family::Returns => ["propeller back from a shop", "propellers back from a shop"],
        };
        format!("{many} {}", if many == 1 { one } else { more })
    }
}

/// One thing to be done by a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Duty {
    /// Index of the propeller.
    pub propeller: u32,
    /// What.
    pub what: What,
    /// By when; a day that has passed is overdue.
    pub date: Day,
    /// Whether the day rests on a use rate or on the forecast, not on the records and a rule alone.
    pub is_estimated: bool,
    /// Whether it binds; `None` where nothing in force says.
    pub force: Option<Force>,
}

impl Duty {
    /// What it is, in words: `annual`, `look again: erosion 0.004 in deep on blade 1 face at 75 %, found 2025-09-01`.
    pub fn words(&self, fleet: &Fleet<'_>, findings: &Findings) -> Cow<'static, str> {
        Cow::Borrowed(match self.what {
            What::CalendarLimit => "overhaul, calendar limit",
            What::HourLimit => "overhaul, hour limit",
            What::Inspection(Some(InspectionKind::Condition)) => "condition inspection",
            What::Inspection(Some(InspectionKind::Other) | None) => "inspection",
            What::Inspection(Some(kind)) => kind.word(),
            What::LookAgain(at) => {
                let finding = findings.rows.get(at as usize);
                let words = finding.map_or_else(String::new, |finding| finding.words(fleet));
                return Cow::Owned(format!("look again: {words}"));
            }
            What::Order => "order a replacement",
            What::Back => {
                let shop = fleet.propellers.get(self.propeller).shop;
                let from = shop.map_or("a shop", |code| fleet.propellers.shops.get(code));
                return Cow::Owned(format!("expected back from {from}"));
            }
        })
    }

    /// The kinds it is counted with.
    pub fn family(&self) -> Family {
        match self.what {
            What::CalendarLimit | What::HourLimit => Family::Overhauls,
            What::Inspection(_) => Family::Inspections,
            What::LookAgain(_) => Family::Looks,
            What::Order => Family::Orders,
            What::Back => Family::Returns,
        }
    }
}

/// What duties are read from.
pub struct Sources<'s, 'a> {
    /// The fleet.
    pub fleet: &'s Fleet<'a>,
    /// Hours and due dates.
    pub due: &'s Due,
    /// How the inspections stand.
    pub inspections: &'s FleetInspections,
    /// Every finding.
    pub findings: &'s Findings,
    /// Replacements to order.
    pub purchases: &'s [Purchase],
}

/// Every dated duty of the listed propellers that are in service, the earliest first, then by serial.
pub fn duties(sources: &Sources<'_, '_>) -> Vec<Duty> {
    let mut all: Vec<Duty> = sources
        .due
        .rows
        .par_iter()
        .with_min_len(1024)
        .filter(|row| sources.fleet.end_of(row.propeller).is_none())
        .flat_map_iter(|row| sources.of(row))
        .collect();
    all.extend(sources.purchases.iter().filter_map(|purchase| {
        let date = purchase.order_by?;
        Some(Duty { propeller: purchase.propeller, what: What::Order, date, is_estimated: true, force: None })
    }));
    all.par_sort_by_key(|duty| (duty.date, duty.propeller, duty.what));
    all
}

impl Sources<'_, '_> {
    fn of(&self, row: &DueRow) -> Vec<Duty> {
        let propeller = row.propeller;
        let mut duties = Vec::new();
        let mut add = |what, date: Option<Day>, is_estimated, force| {
            duties.extend(date.map(|date| Duty { propeller, what, date, is_estimated, force }));
        };
        let force = Some(row.interval.force);
        // A limit that nobody states is the fleet's shortest.
        add(What::CalendarLimit, row.due_calendar, row.interval.stands_in.months, force);
        add(What::HourLimit, row.due_hours.and_then(Reached::day), true, force);
        if row.list == List::AtShop {
            add(What::Back, self.fleet.propellers.get(propeller).expected_back, false, None);
        }
        if let Some(of) = self.inspections.of(propeller) {
            let annual = Some(InspectionKind::Annual);
            add(What::Inspection(annual), of.annual.map(|annual| annual.holds_to), false, Some(Force::Binding));
            if let Some(hundred) = of.hundred_hour {
                let force = match self.fleet.propellers.get(propeller).usage {
                    Some(Use::Training | Use::Rental) | None => Force::Binding,
                    Some(_) => Force::NoForce,
                };
                let kind = Some(InspectionKind::HundredHour);
                add(What::Inspection(kind), hundred.due, !hundred.due_is_recorded, Some(force));
            }
            // Others have no rule of their own: what is written counts.
            for kind in [Some(InspectionKind::Condition), Some(InspectionKind::Other), None] {
                let inspections = counting(self.fleet, propeller);
                let last = inspections.iter().rfind(|i| i.kind == kind);
                add(What::Inspection(kind), last.and_then(|i| i.next_due), false, None);
            }
        }
        for finding in self.findings.of(propeller) {
            let Some((date, is_estimated)) = self.look_again(finding) else { continue };
            add(What::LookAgain(finding.report), Some(date), is_estimated, None);
        }
        duties
    }

    /// When a finding is looked at again, and whether that rests on the hours it flies.
    fn look_again(&self, finding: &Finding) -> Option<(Day, bool)> {
        let left = finding.left_until?;
        let hours = &self.due.hours;
        let sooner = hours.flown_since(self.fleet, finding.propeller, left.since).and_then(|flown| {
            left.sooner_by_hours(self.fleet.as_of, flown, hours.rate(finding.propeller).hours_per_day?)
        });
        Some(sooner.map_or((left.day, false), |day| (day, true)))
    }
}

/// The duties of one month, or of all the time before or after.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Month<'d> {
    /// Its name: `overdue`, `2026-07`, `after 2027-06`.
    pub name: String,
    /// Whether it is all the time after the last month that has a name.
    pub is_after: bool,
    /// Its duties in order.
    pub duties: Vec<&'d Duty>,
}

impl Month<'_> {
    /// How many there are of each family that has any.
    pub fn counts(&self) -> Vec<(Family, usize)> {
        let count = |family: Family| (family, self.duties.iter().filter(|d| d.family() == family).count());
        Family::ALL.into_iter().map(count).filter(|(_, count)| *count > 0).collect()
    }

    /// The same in words: `2 overhaul limits, 1 inspection`.
    pub fn words(&self) -> String {
        let words = self.counts().into_iter().map(|(family, many)| family.words(many));
        words.collect::<Vec<String>>().join(", ")
    }
}

/// Duties by month: the overdue ones, those of the as-of date's own month and of the [`MONTHS_SOON`] after it, and the rest;
/// without months that hold nothing.
pub fn by_month<'d>(duties: impl Iterator<Item = &'d Duty>, as_of: Day) -> Vec<Month<'d>> {
    let ends: Vec<Day> = (0..=MONTHS_SOON).map(|ahead| month_end(as_of, ahead)).collect();
    let in_words = |end: &Day| end.to_string().chars().take("2026-07".len()).collect::<String>();
    let after = ends.last().map_or_else(String::new, |last| format!("after {}", in_words(last)));
    let names = std::iter::once("overdue".to_string()).chain(ends.iter().map(in_words)).chain([after]);
    let mut list: Vec<Month<'d>> = names.map(|name| Month { name, is_after: false, duties: Vec::new() }).collect();
    if let Some(last) = list.last_mut() {
        last.is_after = true;
    }
    for duty in duties {
        let at = match duty.date < as_of {
            true => 0,
            false => 1 + ends.partition_point(|end| *end < duty.date),
        };
        list[at].duties.push(duty);
    }
    list.retain(|month| !month.duties.is_empty());
    list
}
