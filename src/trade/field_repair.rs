//! Whether a finding on a blade may be dressed in the field, and what the dressing takes away.
//!
//! The screening numbers are settings. Their defaults are recalled from AC 20-37E and AC 43.13-1B chapter 8: from memory,
//! verify against the current edition; the maker's manual comes first in any case. The screen sorts findings for a
//! mechanic; it approves nothing.

use std::fmt;

pub use super::damage::{DefectKind, Surface};

/// Lengths typed in millimetres meet the limit they equal in inches: this much slack, in inches, is rounding, not metal.
const ROUNDING_IN: f64 = 1e-9;

/// Findings within this distance along the radius, in inches, are judged as one depth. Also the distance within which
/// repairs on opposite sides line up across the blade.
pub const SAME_RADIUS_IN: f64 = 1.0;

/// Inside this station, in percent of the tip radius, a finding without a surface may be at the hub: the innermost usual
/// station. Assumption.
pub const HUB_REGION_PCT: f64 = 20.0;

/// Length of a blend over its depth at the edges. Published in makers' manuals for other propellers.
pub const BLEND_RATIO_EDGE: f64 = 10.0;

/// Length of a blend over its depth on face and camber. Published in makers' manuals for other propellers.
pub const BLEND_RATIO_SURFACE: f64 = 20.0;

/// Erosion and scratches shallower than this, in inches, are listed and not urgent. Assumption.
pub const MINOR_DEPTH_IN: f64 = 0.005;

/// The largest damage that may be dressed in the field, in inches. Every number is a setting.
///
/// Defaults: AC 20-37E / AC 43.13-1B, from memory, verify against the current edition.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScreenLimits {
    /// Depth at leading and trailing edge.
    pub edge_depth_in: f64,
    /// Depth on face and camber.
    pub surface_depth_in: f64,
    /// Width on face and camber.
    pub surface_width_in: f64,
    /// Length on face and camber.
    pub surface_length_in: f64,
}

impl Default for ScreenLimits {
    fn default() -> ScreenLimits {
        ScreenLimits {
            edge_depth_in: 3.0 / 16.0,
            surface_depth_in: 1.0 / 16.0,
            surface_width_in: 3.0 / 8.0,
            surface_length_in: 1.0,
        }
    }
}

impl ScreenLimits {
    /// Largest depth on a surface, in inches. The tip, and a surface that is not recorded, take the smaller of the two.
    /// `None` at the hub, where nothing may be dressed.
    pub fn depth_limit_in(&self, surface: Option<Surface>) -> Option<f64> {
        match surface {
            Some(Surface::LeadingEdge | Surface::TrailingEdge) => Some(self.edge_depth_in),
            Some(Surface::Face | Surface::Camber) => Some(self.surface_depth_in),
            Some(Surface::Tip) | None => Some(self.edge_depth_in.min(self.surface_depth_in)),
            Some(Surface::Hub) => None,
        }
    }
}

/// Whether blending takes width: at the edges, at the tip, and where the surface is not recorded.
pub const fn takes_width(surface: Option<Surface>) -> bool {
    match surface {
        Some(s) => s.is_edge() || matches!(s, Surface::Tip),
        None => true,
    }
}

/// Whether blending takes thickness: on face and camber, and where the surface is not recorded. At the tip it takes diameter.
pub const fn takes_thickness(surface: Option<Surface>) -> bool {
    match surface {
        Some(s) => s.is_broad(),
        None => true,
    }
}

/// Whether the depths of two findings of one blade, within [`SAME_RADIUS_IN`] of each other, add up: on the same edge, or
/// on face and camber together. The tip is dressed in width and thickness and adds to every side but the hub; a side that
/// is not recorded adds to everything.
pub fn depths_add(one: Option<Surface>, other: Option<Surface>) -> bool {
    let (Some(a), Some(b)) = (one, other) else {
        return true;
    };
    a == b
        || (a.is_broad() && b.is_broad())
        || (a == Surface::Tip && b != Surface::Hub)
        || (b == Surface::Tip && a != Surface::Hub)
}

/// Whether repairs of one blade within [`SAME_RADIUS_IN`] of one radius lie on both sides or both edges, and so line up
/// across the blade. Source: a maker's manual for another propeller (read); AC 43.13-1B 8-73, from memory.
pub fn line_up_across(one: Surface, other: Surface) -> bool {
    matches!(
        (one, other),
        (Surface::Face, Surface::Camber)
            | (Surface::Camber, Surface::Face)
            | (Surface::LeadingEdge, Surface::TrailingEdge)
            | (Surface::TrailingEdge, Surface::LeadingEdge)
    )
}

/// Length in inches along the blade that a blend of this depth needs: 10 x depth at the edges, 20 x on face and camber,
/// the longer at the tip and where the surface is not recorded.
///
/// `None` at the hub, and for a depth that is not recorded. Source: makers' manuals for other propellers (published, read).
pub fn blend_length_in(surface: Option<Surface>, depth_in: Option<f64>) -> Option<f64> {
    let depth = measured(depth_in)?;
    match surface {
        Some(Surface::Hub) => None,
        Some(s) if s.is_edge() => Some(BLEND_RATIO_EDGE * depth),
        _ => Some(BLEND_RATIO_EDGE.max(BLEND_RATIO_SURFACE) * depth),
    }
}

/// Erosion or a scratch with a recorded depth under `below_in` (usually [`MINOR_DEPTH_IN`]): named, not urgent.
pub fn is_minor(kind: DefectKind, depth_in: Option<f64>, below_in: f64) -> bool {
    matches!(kind, DefectKind::Erosion | DefectKind::Scratch) && measured(depth_in).is_some_and(|d| d < below_in)
}

/// What the screen looks at. Lengths in inches, `None` where not recorded (a negative or impossible number counts as that).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScreenInput {
    /// What it is.
    pub kind: DefectKind,
    /// Where it is.
    pub surface: Option<Surface>,
    /// Its station in percent of the tip radius; looked at only where the surface is not recorded.
    pub station_pct: Option<f64>,
    /// Its depth and the depths of earlier blends that add to it.
    pub cumulative_depth_in: Option<f64>,
    /// Its own length along the blade.
    pub length_in: Option<f64>,
    /// Its own width across the blade.
    pub width_in: Option<f64>,
    /// Metal left above the minimum at its radius once it is dressed, the smaller where it takes two dimensions.
    pub margin_left_in: Option<f64>,
}

/// What the screen says of a finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FieldRepair {
    /// By its kind, or by something measured, beyond what may be dressed in the field.
    ShopOnly,
    /// Without a depth, or with no word of where it is, nothing can be said.
    NotMeasured,
    /// Everything recorded lies within the screen.
    Within,
}

impl FieldRepair {
    /// The words in results.
    pub const fn words(self) -> &'static str {
        match self {
            FieldRepair::Within => "within",
            FieldRepair::ShopOnly => "shop only",
            FieldRepair::NotMeasured => "not measured",
        }
    }
}

impl fmt::Display for FieldRepair {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}

/// Why the screen says what it says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ScreenReason {
    /// The kind is never dressed in the field.
    Kind,
    /// Nothing is dressed at the hub.
    AtHub,
    /// Dressing it leaves less than the minimum.
    BelowMinimum,
    /// Depth, with earlier blends there, beyond the screen.
    Depth,
    /// Width beyond the screen.
    Width,
    /// Length beyond the screen.
    Length,
    /// No depth is recorded.
    NoDepth,
    /// No surface is recorded, and nothing says that it is not at the hub.
    NoPlace,
    /// All recorded sizes are within the screen.
    WithinLimits,
}

impl ScreenReason {
    /// The words for a reader.
    pub const fn words(self) -> &'static str {
        match self {
            ScreenReason::Kind => "this kind is never dressed in the field",
            ScreenReason::AtHub => "at the hub",
            ScreenReason::BelowMinimum => "dressing would take it below minimum",
            ScreenReason::Depth => "too deep, earlier blends there included",
            ScreenReason::Width => "too wide",
            ScreenReason::Length => "too long",
            ScreenReason::NoDepth => "no depth recorded",
            ScreenReason::NoPlace => "no surface recorded, so it may be at the hub",
            ScreenReason::WithinLimits => "within the screen",
        }
    }
}

/// The screen's answer for one finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Screened {
    /// The answer.
    pub field_repair: FieldRepair,
    /// Why.
    pub reason: ScreenReason,
    /// Length or width counts on this surface and is not recorded: a caution, by itself no bar.
    pub extent_not_recorded: bool,
}

/// Screens one finding for a repair in the field.
///
/// Shop only: a crack, bend, lightning, strike or overspeed; anything at the hub; a margin left below zero; any recorded
/// size beyond the limit of its surface, whether or not the others are recorded. Otherwise not measured: without a depth, or
/// without a surface unless a station from [`HUB_REGION_PCT`] out says that it is not at the hub. Else within. Edges are judged by depth; face and camber by depth, width and length; the tip, and a surface that is not
/// recorded, by the smaller depth and by width and length too. A size equal to its limit is within.
pub fn screen(input: &ScreenInput, limits: &ScreenLimits) -> Screened {
    let by_extent = !input.surface.is_some_and(Surface::is_edge);
    let (width, length) = (measured(input.width_in), measured(input.length_in));
    let answer = |field_repair, reason| Screened {
        field_repair,
        reason,
        extent_not_recorded: by_extent && (width.is_none() || length.is_none()),
    };
    let beyond = |size: Option<f64>, limit: f64| size.is_some_and(|s| s > limit + ROUNDING_IN);
    let shop = |reason| answer(FieldRepair::ShopOnly, reason);

    if input.kind.is_shop_only() {
        return shop(ScreenReason::Kind);
    }
    let Some(depth_limit) = limits.depth_limit_in(input.surface) else {
        return shop(ScreenReason::AtHub);
    };
    let depth = measured(input.cumulative_depth_in);
    if input.margin_left_in.is_some_and(|m| m < -ROUNDING_IN) {
        shop(ScreenReason::BelowMinimum)
    } else if beyond(depth, depth_limit) {
        shop(ScreenReason::Depth)
    } else if by_extent && beyond(width, limits.surface_width_in) {
        shop(ScreenReason::Width)
    } else if by_extent && beyond(length, limits.surface_length_in) {
        shop(ScreenReason::Length)
    } else if depth.is_none() {
        answer(FieldRepair::NotMeasured, ScreenReason::NoDepth)
    } else if input.surface.is_none() && !input.station_pct.is_some_and(|s| s >= HUB_REGION_PCT) {
        answer(FieldRepair::NotMeasured, ScreenReason::NoPlace)
    } else {
        answer(FieldRepair::Within, ScreenReason::WithinLimits)
    }
}

/// A size that can be one: finite and not negative. Anything else is not recorded.
fn measured(size_in: Option<f64>) -> Option<f64> {
    size_in.filter(|s| s.is_finite() && *s >= 0.0)
}
