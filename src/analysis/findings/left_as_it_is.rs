//! Findings left as they are, accepted or small: how long that holds, and what second looks say.

use std::borrow::Cow;

use crate::analysis::inspections::of_its_days;
use crate::records::Fleet;
use crate::records::choice::{Action, InspectionKind, RecheckResult};
use crate::records::defects::Defect;
use crate::trade::calendar::{Day, same_day};
use crate::trade::damage::DefectKind;

/// Hours flown after which it is looked at again. Common practice, no source.
const LONGEST_HOURS: f64 = 100.0;
/// Months after which it is looked at again. Common practice, no source.
const LONGEST_MONTHS: u32 = 12;

/// Hours a propeller flew since a day, known or estimated; `None` where nothing says.
pub type FlownSince<'h> = &'h (dyn Fn(u32, Day) -> Option<f64> + Sync);

/// A report as the second looks at it leave it.
pub(super) struct Rechecked<'f> {
    /// The report, with the larger depth; what was done before it got worse counts for nothing.
    pub report: Cow<'f, Defect>,
    /// The last day it was found unchanged, with a name and a depth.
    pub renewed: Option<Day>,
    /// The last day it was found worse, or nothing says how it was found.
    pub worse: Option<Day>,
}

/// What the second looks say of a report, which is the `number`-th.
pub(super) fn rechecked<'f>(fleet: &'f Fleet<'_>, number: u32, report: &'f Defect) -> Rechecked<'f> {
    let mut of = Rechecked { report: Cow::Borrowed(report), renewed: None, worse: None };
    for recheck in fleet.rechecks.of(number) {
        let deeper = |old: Option<f64>| match (old, recheck.depth_in) {
            (Some(a), Some(b)) => Some(a.max(b)),
            (a, b) => a.or(b),
        };
        match recheck.result {
            // Gone needs a blend, which the report itself says.
            Some(RecheckResult::Gone) => {}
            Some(RecheckResult::Unchanged) => {
                if recheck.signed && recheck.depth_in.is_some() {
                    of.renewed = of.renewed.max(Some(recheck.day));
                }
                if of.report.depth_in.is_some() && deeper(of.report.depth_in) != of.report.depth_in {
                    of.report.to_mut().depth_in = deeper(of.report.depth_in);
                }
            }
            Some(RecheckResult::Worse) | None => {
                of.worse = of.worse.max(Some(recheck.day));
                let depth = recheck.depth_in.and_then(|_| deeper(of.report.depth_in));
                of.report.to_mut().depth_in = depth;
            }
        }
    }
    if let Some(worse) = of.worse {
        // One of these without a depth leaves it unmeasured, whatever others say.
        let unmeasured = fleet
            .rechecks
            .of(number)
            .iter()
            .any(|r| matches!(r.result, Some(RecheckResult::Worse) | None) && r.depth_in.is_none());
        let report = of.report.to_mut();
        if unmeasured {
            report.depth_in = None;
        }
        if report.action_date.is_none_or(|day| day < worse) && report.action != Action::Scrapped {
            (report.action, report.action_recorded, report.action_date) = (Action::NoAction, true, None);
            report.recheck = None;
        }
    }
    of
}

/// Whether damage of this kind and size may be accepted as it is: erosion, a scratch along the blade, and what is small,
/// though never a corrosion pit.
pub(super) fn may_be_accepted(report: &Defect, small_in: f64) -> bool {
    let along = report.length_in.zip(report.width_in).is_some_and(|(length, width)| length > width);
    match report.kind {
        DefectKind::Erosion => true,
        DefectKind::Scratch if along => true,
        DefectKind::Pit | DefectKind::Corrosion => false,
        _ => report.depth_in.is_some_and(|depth| depth < small_in),
    }
}

/// Up to when a finding may be left as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LeftUntil {
    /// It was accepted, or last looked at, on this day.
    pub since: Day,
    /// The day to look again by what is on record: a date, an inspection made since, or the longest time.
    pub day: Day,
    /// Whether that has come, by a day or by the hours flown since.
    pub is_over: bool,
}

impl LeftUntil {
    /// The day on which its hours are flown, where that comes before the day on record: at a use rate in hours a day.
    pub fn sooner_by_hours(&self, as_of: Day, flown: f64, hours_per_day: f64) -> Option<Day> {
        let days = ((LONGEST_HOURS - flown) / hours_per_day).floor();
        let day = (days.abs() < 36_525.0).then(|| as_of + days as i32)?;
        (day < self.day).then(|| day.max(self.since))
    }
}

/// Up to when a finding may be left as it is: the earliest of `recheck`, the next annual or 100 hour of the aircraft it is
/// on, 100 h flown and 12 months, all after `from`.
pub(super) fn left_until(
    fleet: &Fleet<'_>,
    propeller: u32,
    from: Day,
    recheck: Option<Day>,
    flown_since: FlownSince<'_>,
) -> LeftUntil {
    // One of a kind not recorded may have been either.
    let looked_at = of_its_days(fleet, propeller)
        .into_iter()
        .find(|i| i.day > from && matches!(i.kind, Some(InspectionKind::Annual | InspectionKind::HundredHour) | None));
    let ends = [Some(same_day(from, LONGEST_MONTHS)), recheck, looked_at.map(|i| i.day)];
    let day = ends.into_iter().flatten().min().unwrap_or(from);
    let is_over = day <= fleet.as_of || flown_since(propeller, from).is_some_and(|hours| hours >= LONGEST_HOURS);
    LeftUntil { since: from, day, is_over }
}
