//! What a damage report says was dressed out, and what stands in for what it does not say.

use crate::records::Fleet;
use crate::records::defects::Defect;
use crate::records::unread_reports::UnreadReport;
use crate::trade::damage::Surface;
use crate::trade::geometry::Dimension;
use crate::trade::profile::{Depth, Length, Side};

/// From this station on, in percent of the radius, a finding at the tip takes diameter alone; inside it takes width as well.
pub(super) const TIP_ALONE_PCT: f64 = 98.0;

/// Which dressings count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::analysis) enum Counting {
    /// Those whose blade, place, surface and depth are on record.
    Recorded,
    /// Those whose depth is on record: of what else is not, it may have been any.
    Known,
    /// All: a stand-in for a depth that is not on record.
    Worst,
}

/// A report of something that was dressed out, or may have been.
#[derive(Clone, Copy)]
pub(super) struct Dressed<'r> {
    pub report: &'r Defect,
    /// It was set aside, and this is what can be read of it.
    pub unread: Option<&'r UnreadReport>,
}

impl<'r> Dressed<'r> {
    /// Those of a propeller.
    pub fn of(fleet: &'r Fleet<'_>, propeller: u32) -> impl Iterator<Item = Dressed<'r>> {
        let used = fleet.defects.of(propeller).iter().map(|report| Dressed { report, unread: None });
        let unread = fleet.defects.unread_of(propeller).iter();
        used.chain(unread.map(|of| Dressed { report: &of.report, unread: Some(of) }))
            .filter(|d| d.report.may_be_dressed())
    }

    /// Whether it is on record whole.
    pub fn is_whole(self) -> bool {
        // At the tip without a percent: it may lie where it takes width as well.
        let is_placed = self.report.surface != Some(Surface::Tip) || self.report.station_pct.is_some();
        self.unread.is_none() && self.report.is_whole_blend() && is_placed
    }

    /// Whether the day it was found is known.
    pub fn is_dated(self) -> bool {
        self.unread.is_none_or(|unread| unread.found.is_some())
    }

    /// How deep it went, when that is counted: a stand-in for what is not on record, `None` where none counts.
    pub fn depth(self, counting: Counting, stand_in_in: impl Fn() -> f64) -> Option<Depth> {
        let recorded = depth_of(self.report);
        if self.unread.is_some_and(|unread| unread.depth_unread) {
            let known = self.report.depth_in.into_iter().chain(self.report.rework_depth_in);
            let at_worst = || known.fold(stand_in_in(), f64::max);
            return (counting == Counting::Worst).then(|| Depth::BelowSurface(at_worst()));
        }
        let stands_in = || (counting == Counting::Worst).then(|| Depth::BelowSurface(stand_in_in()));
        recorded.or_else(stands_in)
    }

    pub fn stands_in(self) -> bool {
        depth_of(self.report).is_none() || self.unread.is_some_and(|unread| unread.depth_unread)
    }
}

/// Which surface of a dimension a report takes metal from; `None` when none.
pub(in crate::analysis) fn side_of(report: &Defect, dimension: Dimension) -> Option<Side> {
    match (report.surface, dimension) {
        (Some(Surface::LeadingEdge), Dimension::Width) | (Some(Surface::Face), Dimension::Thickness) => {
            Some(Side::First)
        }
        (Some(Surface::TrailingEdge), Dimension::Width) | (Some(Surface::Camber), Dimension::Thickness) => {
            Some(Side::Second)
        }
        (Some(Surface::Tip), Dimension::Width) if report.station_pct.is_none_or(|pct| pct < TIP_ALONE_PCT) => {
            Some(Side::Either)
        }
        (None, _) => Some(Side::Either),
        _ => None,
    }
}

/// How deep a report says that it was dressed: what was taken out is never less than the finding itself.
pub(in crate::analysis) fn depth_of(report: &Defect) -> Option<Depth> {
    let rework = report.rework_depth_in.map(|rework| Depth::BelowOriginal(rework.max(report.depth_in.unwrap_or(0.0))));
    rework.or(report.depth_in.map(Depth::BelowSurface))
}

pub(in crate::analysis) fn length_of(report: &Defect) -> Length {
    match report.rework_length_in {
        Some(length) => Length::Measured(length),
        None => Length::AtLeast(report.length_in.unwrap_or(0.0)),
    }
}
