//! Which record closes a finding, and why one is still open.
//!
//! A crack closes by scrapping, or by a shop's penetrant or eddy-current check that found none. A bend closes by a released
//! overhaul or repair on or after the report; strike, lightning and overspeed also by a released strike inspection. Anything
//! else: `blended` closes it when it lies within the screen, else a released visit of these kinds on or after the blend does;
//! `accepted` closes erosion, scratches along the blade and what is small, within the screen, for a time; `shop` needs a
//! released visit on or after the action date; without an action a later released overhaul or repair closes it. A repitch, a
//! shortening and a dimensional inspection close nothing. Scrapping the propeller closes whatever is left.
//!
//! An action without a day counts as taken after the last visit, so no visit closes it. Where the records do not say what
//! was done, only what would close the finding whatever was done closes it. A report of the day on which an overhaul was
//! released was made after it. A finding that was looked at again and is worse is a new one of that day.

use super::left_as_it_is::{FlownSince, LeftUntil, Rechecked, left_until, may_be_accepted};
use crate::analysis::event_checks::{crack_check, propeller_check_failed};
use crate::analysis::standing::is_listed;
use crate::records::Fleet;
use crate::records::choice::{Action, Outcome, Status, Work};
use crate::records::defects::Defect;
use crate::records::schema::Table;
use crate::records::visits::Visit;
use crate::trade::calendar::Day;
use crate::trade::field_repair::{DefectKind, FieldRepair};

/// The record that closes a finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ClosedBy {
    /// A released shop visit, by its number in the fleet's visits.
    Visit(u32),
    /// Blended within the screen; the report itself says so.
    Blended,
    /// Accepted until a day that has not come yet.
    AcceptedUntil(Day),
    /// A shop's check that found no crack, by its row of `event_checks` and its day.
    NoCrackFound(u32, Option<Day>),
    /// The propeller was scrapped and nothing says that it flies on.
    Scrapped,
}

/// Why a finding is still open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StillOpen {
    /// Recorded as scrapped, and the propeller is listed.
    ScrappedButListed,
    /// A crack: the propeller is not scrapped.
    Crack,
    /// A kind that only a shop closes, without a released visit since the report.
    NoShopVisit,
    /// Blended, not within the screen, without a released visit since.
    BlendNotWithin,
    /// Blended on no recorded day, and not within the screen.
    BlendedOnNoDay,
    /// Accepted, and to be looked at again.
    RecheckDue,
    /// Accepted, though it is neither erosion, nor a scratch along the blade, nor small, or beyond the screen.
    NotToBeAccepted,
    /// Looked at again, and worse.
    Worse,
    /// A check of the propeller after the event is not satisfactory.
    CheckNotGood,
    /// Accepted without a recheck date.
    NoRecheckDate,
    /// Sent to the shop, without a released visit since.
    NotBackFromShop,
    /// Sent to the shop on no recorded day.
    SentOnNoDay,
    /// Nothing was done.
    NothingDone,
    /// The records do not say what was done.
    ActionNotRecorded,
}

impl StillOpen {
    /// The words for a reader.
    pub const fn words(self) -> &'static str {
        match self {
            StillOpen::ScrappedButListed => "recorded as scrapped, and the propeller is listed",
            StillOpen::Crack => {
                "only scrapping closes a crack, or a shop's penetrant or eddy-current check that found none"
            }
            StillOpen::NoShopVisit => "no released shop visit since that closes it",
            StillOpen::BlendNotWithin => "blended beyond the field-repair limits; no shop release since",
            StillOpen::BlendedOnNoDay => "blended on no recorded day, beyond the field-repair limits",
            StillOpen::RecheckDue => "accepted, and to be looked at again",
            StillOpen::NotToBeAccepted => {
                "accepted, though only erosion, scratches along the blade and small damage within the field-repair limits may be"
            }
            StillOpen::Worse => "worse when it was looked at again, not dressed since",
            StillOpen::CheckNotGood => "the propeller's check after it is not satisfactory",
            StillOpen::NoRecheckDate => "accepted without a recheck date",
            StillOpen::NotBackFromShop => "sent to the shop, no released visit since",
            StillOpen::SentOnNoDay => "sent to the shop on no recorded day",
            StillOpen::NothingDone => "not dressed, no released overhaul or repair since",
            StillOpen::ActionNotRecorded => "what was done is not recorded",
        }
    }
}

/// Open, or closed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FindingState {
    /// Open, and why.
    Open(StillOpen),
    /// Closed, and by what.
    Closed(ClosedBy),
}

impl FindingState {
    /// Whether it is open.
    pub const fn is_open(self) -> bool {
        matches!(self, FindingState::Open(_))
    }
}

/// What a visit must be to close a finding.
struct Needed {
    /// First day on which it may be.
    from: Day,
    /// What must have been done.
    work: &'static [Work],
}

const WORKED_ON: &[Work] = &[Work::Overhaul, Work::Repair];
const LOOKED_AT: &[Work] = &[Work::Overhaul, Work::Repair, Work::StrikeInspection];

/// What would close a report at a shop; `None` when no visit can.
fn needed(report: &Defect) -> Option<Needed> {
    let acted = report.action_date.map(|day| day.max(report.found));
    // The day after: what is reported on the day of release was found on the released propeller.
    let later = report.found + 1;
    match (report.kind, report.action) {
        (DefectKind::Crack, _) => None,
        (DefectKind::Bend, _) => Some(Needed { from: report.found, work: WORKED_ON }),
        (kind, _) if kind.is_shop_only() => Some(Needed { from: report.found, work: LOOKED_AT }),
        (_, Action::Scrapped) => None,
        (_, Action::Blended | Action::Shop) => Some(Needed { from: acted?, work: LOOKED_AT }),
        (_, Action::Accepted) => Some(Needed { from: acted?.max(later), work: WORKED_ON }),
        (_, Action::NoAction) if !report.action_recorded => Some(Needed { from: acted?.max(later), work: WORKED_ON }),
        (_, Action::NoAction) => Some(Needed { from: later, work: WORKED_ON }),
    }
}

/// The first of a propeller's visits (in order of date) that closes a report, as a position in `visits`.
///
/// Only a released visit does, and only one after the day the finding was found worse. A visit that could not be read, and
/// measurements without a visit, close nothing.
pub(super) fn closing_visit(of: &Rechecked<'_>, visits: &[Visit]) -> Option<usize> {
    let needed = needed(&of.report)?;
    visits.iter().position(|visit| {
        visit.outcome == Some(Outcome::Released)
            && visit.day >= needed.from
            && of.worse.is_none_or(|worse| visit.day > worse)
            && visit.work.is_some_and(|work| needed.work.contains(&work))
    })
}

/// Whether a propeller is gone to scrap: its status says so, or this report does of one that was sold, and nothing says
/// that it flies on.
fn is_scrapped(fleet: &Fleet<'_>, report: &Defect) -> bool {
    let status = fleet.propellers.get(report.propeller).status;
    (status == Status::Scrapped || report.action == Action::Scrapped) && !is_listed(fleet, report.propeller)
}

/// What judging whether a finding is open needs beside it.
pub(super) struct Judging<'h> {
    /// Damage shallower than this, in inches, is small.
    pub small_in: f64,
    /// Hours flown since a day.
    pub flown_since: FlownSince<'h>,
}

/// Whether a report is open as of the fleet's date, by which record it is closed otherwise, and up to when one that was
/// accepted may be left.
///
/// `visit` is the number of the visit that [`closing_visit`] names, `field_repair` what the screen says.
pub(super) fn state_of(
    fleet: &Fleet<'_>,
    of: &Rechecked<'_>,
    visit: Option<u32>,
    field_repair: FieldRepair,
    judging: &Judging<'_>,
) -> (FindingState, Option<LeftUntil>) {
    let report: &Defect = &of.report;
    let closed = |by: ClosedBy| (FindingState::Closed(by), None);
    let open = |why: StillOpen| (FindingState::Open(why), None);
    let is_grave = report.kind.is_shop_only();
    if report.action == Action::Blended && !is_grave && field_repair == FieldRepair::Within {
        return closed(ClosedBy::Blended);
    }
    if let Some(number) = visit {
        if is_grave && propeller_check_failed(fleet, report, fleet.visits.get(number).day) {
            return open(StillOpen::CheckNotGood);
        }
        return closed(ClosedBy::Visit(number));
    }
    if is_scrapped(fleet, report) {
        return closed(ClosedBy::Scrapped);
    }
    if report.kind == DefectKind::Crack
        && let Some(check) = crack_check(fleet, report)
    {
        return closed(ClosedBy::NoCrackFound(check.row, check.day));
    }
    if report.action == Action::Accepted && !is_grave && report.recheck.is_some() {
        if field_repair != FieldRepair::Within || !may_be_accepted(report, judging.small_in) {
            return open(StillOpen::NotToBeAccepted);
        }
        let accepted = report.action_date.unwrap_or(report.found).max(report.found);
        let from = of.renewed.map_or(accepted, |day| day.max(accepted));
        let recheck = report.recheck.filter(|&day| of.renewed.is_none_or(|renewed| day > renewed));
        let left = left_until(fleet, report.propeller, from, recheck, judging.flown_since);
        let state = match left.is_over {
            false => FindingState::Closed(ClosedBy::AcceptedUntil(left.day)),
            true => FindingState::Open(StillOpen::RecheckDue),
        };
        return (state, Some(left));
    }
    open(match of.worse {
        Some(_) if !is_grave && report.action == Action::NoAction => StillOpen::Worse,
        _ => why_open(report),
    })
}

fn why_open(report: &Defect) -> StillOpen {
    match report.action {
        Action::Scrapped => StillOpen::ScrappedButListed,
        _ if report.kind == DefectKind::Crack => StillOpen::Crack,
        _ if report.kind.is_shop_only() => StillOpen::NoShopVisit,
        Action::Blended if report.action_date.is_some() => StillOpen::BlendNotWithin,
        Action::Blended => StillOpen::BlendedOnNoDay,
        Action::Accepted => StillOpen::NoRecheckDate,
        Action::Shop if report.action_date.is_some() => StillOpen::NotBackFromShop,
        Action::Shop => StillOpen::SentOnNoDay,
        Action::NoAction if report.action_recorded => StillOpen::NothingDone,
        Action::NoAction => StillOpen::ActionNotRecorded,
    }
}

impl ClosedBy {
    /// The record in words, with its day and its file and line: `overhaul released 2019-05-04 (overhauls.csv:12)`.
    pub fn words(self, fleet: &Fleet<'_>, report: &Defect) -> String {
        match self {
            ClosedBy::Visit(number) => {
                let visit = fleet.visits.get(number);
                let work = visit.work.map_or("shop visit", Work::word);
                let place = place(fleet, Table::Overhauls, visit.row);
                format!("{work} released {}{place}", visit.day)
            }
            ClosedBy::Blended => {
                let day = report.action_date.map_or_else(|| ", day not recorded".to_string(), |day| format!(" {day}"));
                let place = place(fleet, Table::Defects, Some(report.row));
                format!("blended{day}{place}")
            }
            ClosedBy::AcceptedUntil(recheck) => {
                let place = place(fleet, Table::Defects, Some(report.row));
                format!("accepted until {recheck}{place}")
            }
            ClosedBy::NoCrackFound(row, day) => {
                let day = day.map_or_else(String::new, |day| format!(" {day}"));
                format!("no crack found{day}{}", place(fleet, Table::EventChecks, Some(row)))
            }
            ClosedBy::Scrapped => {
                let propeller = fleet.propellers.get(report.propeller);
                let day = propeller.end_date.map_or_else(String::new, |day| format!(" {day}"));
                let place = place(fleet, Table::Propellers, Some(propeller.row));
                format!("propeller scrapped{day}{place}")
            }
        }
    }
}

fn place(fleet: &Fleet<'_>, table: Table, row: Option<u32>) -> String {
    fleet.loaded.in_brackets(table, row, "")
}
