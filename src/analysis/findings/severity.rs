//! In which order findings are looked at.
//!
//! Shop-only kinds first, then what was not measured, then by the fatigue strength they leave, then by cumulative depth over
//! the screen's depth; of equals the leading edge and the outer third of the radius first. It orders inspections; it never
//! says that a blade is safe.

use crate::records::defects::Defect;
use crate::trade::calendar::Day;
use crate::trade::field_repair::{DefectKind, FieldRepair, HUB_REGION_PCT, ScreenReason, Surface};
use crate::trade::geometry::RadiusThird;

/// What an open finding asks for, the most urgent first.
///
/// Not measured stands before too large: what is not known is never taken for the smaller evil.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Urgency {
    /// Recorded as scrapped, and the propeller is still listed.
    RecordedScrapped,
    /// A crack, bend, lightning, strike or overspeed.
    ShopOnlyKind,
    /// Without a depth, or without a word of where it is, whatever is known of the rest.
    NotMeasured,
    /// By its place or its size beyond what may be dressed in the field.
    ShopOnly,
    /// Within the screen: dress before the next flight.
    Dress,
    /// Accepted or small, and to be looked at again.
    LookAgain,
    /// Erosion or a scratch so shallow that it is named and not urgent.
    Minor,
}

impl Urgency {
    /// Of a finding that is open, from what the screen says of it.
    pub fn of(report: &Defect, depth_in: Option<f64>, scrapped: bool, screen: FieldRepair, minor: bool) -> Urgency {
        if scrapped {
            return Urgency::RecordedScrapped;
        }
        if report.kind.is_shop_only() {
            return Urgency::ShopOnlyKind;
        }
        // What is known may be beyond the screen already; what is not known may be worse.
        let measured = depth_in.is_some()
            && (report.surface.is_some() || report.station_pct.is_some_and(|pct| pct >= HUB_REGION_PCT));
        match screen {
            _ if !measured && report.surface != Some(Surface::Hub) => Urgency::NotMeasured,
            FieldRepair::NotMeasured => Urgency::NotMeasured,
            FieldRepair::ShopOnly => Urgency::ShopOnly,
            FieldRepair::Within if minor => Urgency::Minor,
            FieldRepair::Within => Urgency::Dress,
        }
    }
}

/// The place of a finding in the order, smaller for the more severe.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Severity {
    urgency: Urgency,
    kind: u8,
    /// Share of fatigue strength kept, in billionths; zero where that is not known.
    strength: u64,
    /// Falls as depth over the screen's depth rises; zero where that is not known.
    shallowness: u64,
    place: u8,
    found: Day,
}

impl Severity {
    /// Of a report: its urgency, the share of fatigue strength kept, and its cumulative depth over the screen's depth; `None`
    /// where not known.
    pub fn of(report: &Defect, urgency: Urgency, strength_retained: Option<f64>, depth_share: Option<f64>) -> Severity {
        // No depth makes a crack or a bend the smaller evil, nor a propeller that was to be scrapped.
        let by_depth = urgency > Urgency::ShopOnlyKind;
        let share = depth_share.filter(|_| by_depth);
        let strength = strength_retained.filter(|_| by_depth);
        Severity {
            urgency,
            kind: rank_of_kind(report.kind),
            strength: strength.map_or(0, |kept| (kept.clamp(0.0, 1.0) * 1e9) as u64),
            shallowness: share.map_or(0, |share| {
                // In billionths; the cast from float to integer holds at the ends of the range.
                u64::MAX - (share.max(0.0) * 1e9) as u64
            }),
            place: rank_of_place(report),
            found: report.found,
        }
    }
}

/// Crack, bend, lightning, strike, overspeed; the other kinds are alike.
fn rank_of_kind(kind: DefectKind) -> u8 {
    match kind {
        DefectKind::Crack => 0,
        DefectKind::Bend => 1,
        DefectKind::Lightning => 2,
        DefectKind::Strike => 3,
        DefectKind::Overspeed => 4,
        _ => 5,
    }
}

/// Leading edge and outer third, then leading edge, then outer third, then the rest. What is not recorded may be there.
fn rank_of_place(report: &Defect) -> u8 {
    let leading = report.surface.is_none_or(|surface| surface == Surface::LeadingEdge);
    let outer = report.station_pct.is_none_or(|pct| RadiusThird::of(pct) == RadiusThird::Outer);
    match (leading, outer) {
        (true, true) => 0,
        (true, false) => 1,
        (false, true) => 2,
        (false, false) => 3,
    }
}

/// What the screen holds against a finding, in words with the numbers; `None` where it is within.
pub(super) fn against(reason: ScreenReason, cumulative_depth_in: Option<f64>) -> Option<String> {
    match (reason, cumulative_depth_in) {
        (ScreenReason::WithinLimits | ScreenReason::Kind, _) => None,
        (ScreenReason::Depth, Some(depth)) => Some(format!("{} ({depth:.3} in)", reason.words())),
        _ => Some(reason.words().to_string()),
    }
}
