//! Which record closes a finding, and why one is still open.
//!
//! A crack closes only by scrapping. Bend, lightning, strike and overspeed close by a released visit on or after the
//! report. Anything else: `blended` closes it when it lies within the screen, else a released visit on or after the blend
//! does; `accepted` closes it until its recheck date; `shop` needs a released visit on or after the action date; without
//! an action a later released overhaul or repair closes it. Scrapping the propeller closes whatever is left.
//!
//! An action without a day counts as taken after the last visit, so no visit closes it. Where the records do not say what
//! was done, only what would close the finding whatever was done closes it. A report of the day on which an overhaul was
//! released was made after it.

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
    /// Accepted until a recheck that is not due yet.
    AcceptedUntil(Day),
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
    /// Accepted, and the recheck is due.
    RecheckDue,
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
            StillOpen::Crack => "only scrapping closes a crack",
            StillOpen::NoShopVisit => "no released shop visit since",
            StillOpen::BlendNotWithin => "blended, though not within the screen, no released shop visit since",
            StillOpen::BlendedOnNoDay => "blended on no recorded day, and not within the screen",
            StillOpen::RecheckDue => "accepted, and its recheck is due",
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
    /// Whether it must be an overhaul or a repair.
    worked_on: bool,
}

/// What would close a report at a shop; `None` when no visit can.
fn needed(report: &Defect) -> Option<Needed> {
    if report.kind == DefectKind::Crack {
        return None;
    }
    if report.kind.is_shop_only() {
        return Some(Needed { from: report.found, worked_on: false });
    }
    let acted = report.action_date.map(|day| day.max(report.found));
    // The day after: what is reported on the day of release was found on the released propeller.
    let later = report.found + 1;
    match report.action {
        Action::Scrapped => None,
        Action::Blended | Action::Shop => Some(Needed { from: acted?, worked_on: false }),
        Action::Accepted => Some(Needed { from: acted?.max(later), worked_on: true }),
        Action::NoAction if !report.action_recorded => Some(Needed { from: acted?.max(later), worked_on: true }),
        Action::NoAction => Some(Needed { from: later, worked_on: true }),
    }
}

/// The first of a propeller's visits (in order of date) that closes a report, as a position in `visits`.
///
/// Only a released visit does. A visit that could not be read, and measurements without a visit, close nothing.
pub fn closing_visit(report: &Defect, visits: &[Visit]) -> Option<usize> {
    let needed = needed(report)?;
    visits.iter().position(|visit| {
        visit.outcome == Some(Outcome::Released)
            && visit.day >= needed.from
            && (!needed.worked_on || matches!(visit.work, Some(Work::Overhaul | Work::Repair)))
    })
}

/// Whether a propeller is gone to scrap: its status says so, or this report does of one that was sold, and nothing says
/// that it flies on.
fn is_scrapped(fleet: &Fleet<'_>, report: &Defect) -> bool {
    let status = fleet.propellers.get(report.propeller).status;
    (status == Status::Scrapped || report.action == Action::Scrapped) && !is_listed(fleet, report.propeller)
}

/// Whether a report is open as of the fleet's date, and by which record it is closed otherwise.
///
/// `visit` is the number of the visit that [`closing_visit`] names, `field_repair` what the screen says.
pub fn state_of(fleet: &Fleet<'_>, report: &Defect, visit: Option<u32>, field_repair: FieldRepair) -> FindingState {
    let dressed =
        report.action == Action::Blended && !report.kind.is_shop_only() && field_repair == FieldRepair::Within;
    let accepted = (report.action == Action::Accepted && !report.kind.is_shop_only())
        .then_some(report.recheck)
        .flatten()
        .filter(|&recheck| fleet.as_of < recheck);
    let closed = if dressed {
        Some(ClosedBy::Blended)
    } else {
        visit
            .map(ClosedBy::Visit)
            .or(accepted.map(ClosedBy::AcceptedUntil))
            .or_else(|| is_scrapped(fleet, report).then_some(ClosedBy::Scrapped))
    };
    closed.map_or_else(|| FindingState::Open(why_open(report)), FindingState::Closed)
}

fn why_open(report: &Defect) -> StillOpen {
    match report.action {
        Action::Scrapped => StillOpen::ScrappedButListed,
        _ if report.kind == DefectKind::Crack => StillOpen::Crack,
        _ if report.kind.is_shop_only() => StillOpen::NoShopVisit,
        Action::Blended if report.action_date.is_some() => StillOpen::BlendNotWithin,
        Action::Blended => StillOpen::BlendedOnNoDay,
        Action::Accepted if report.recheck.is_some() => StillOpen::RecheckDue,
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
