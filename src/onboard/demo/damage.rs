//! Damage found between visits, and what the field does about it.

use rand_chacha::ChaCha8Rng;

use super::AS_OF;
use super::draws::{between, count, gamma, happens, pick, whole};
use super::models::Design;
use super::rows::DefectRow;
use super::unit::{Blend, Unit};
use crate::trade::calendar::Day;
use crate::trade::damage::{DefectKind, Surface};
use crate::trade::field_repair::{MINOR_DEPTH_IN, SAME_RADIUS_IN, ScreenLimits, depths_add, is_minor};
use crate::trade::geometry::station_radius_in;

/// Rare events per 100 flight hours, at every base alike.
const RARE_PER_100H: [(DefectKind, f64); 5] = [
    (DefectKind::Strike, 0.003),
    (DefectKind::Lightning, 0.0003),
    (DefectKind::Overspeed, 0.0005),
    (DefectKind::Bend, 0.0006),
    (DefectKind::Crack, 0.0006),
];

/// Field mechanics, by no names.
const MECHANICS: [&str; 4] = ["Mechanic A", "Mechanic B", "Mechanic C", "Mechanic D"];

/// A blend that would leave less than this above the minimum goes to the shop instead, in inches.
const FIELD_RESERVE_IN: f64 = 0.006;

/// Something found on a blade. Lengths in inches.
#[derive(Debug, Clone, Copy)]
pub(super) struct Damage {
    pub found: Day,
    pub blade: i32,
    pub station_pct: f64,
    pub surface: Surface,
    pub kind: DefectKind,
    pub depth_in: f64,
    pub length_in: f64,
    pub width_in: f64,
}

/// What a finding leads to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Response {
    /// Dealt with, or left as it is: it flies on.
    FliesOn,
    /// To the shop.
    Shop,
    /// Scrapped where it stands.
    Scrapped,
}

/// What a stretch of flying brings, in order of the day it is found.
pub(super) fn found_between(
    rng: &mut ChaCha8Rng,
    design: &Design,
    (from, to): (Day, Day),
    hours: f64,
    per_100h: f64,
) -> Vec<Damage> {
    let mut found = Vec::new();
    for _ in 0..count(rng, per_100h * hours / 100.0) {
        let kind = pick(
            rng,
            &[
                (DefectKind::Nick, 0.50),
                (DefectKind::Gouge, 0.10),
                (DefectKind::Scratch, 0.13),
                (DefectKind::Dent, 0.08),
                (DefectKind::Pit, 0.07),
                (DefectKind::Erosion, 0.09),
                (DefectKind::Corrosion, 0.03),
            ],
        );
        found.push(placed(rng, design, (from, to), kind));
    }
    for (kind, rate) in RARE_PER_100H {
        if happens(rng, rate * hours / 100.0) {
            found.push(placed(rng, design, (from, to), kind));
        }
    }
    found.sort_by_key(|d| d.found);
    found
}

/// A place and a size for a finding: mostly the leading edge, more often outboard.
fn placed(rng: &mut ChaCha8Rng, design: &Design, (from, to): (Day, Day), kind: DefectKind) -> Damage {
    let surface = match kind {
        DefectKind::Scratch | DefectKind::Pit | DefectKind::Corrosion => {
            pick(rng, &[(Surface::Face, 0.55), (Surface::Camber, 0.45)])
        }
        _ => pick(
            rng,
            &[
                (Surface::LeadingEdge, 0.66),
                (Surface::TrailingEdge, 0.06),
                (Surface::Face, 0.14),
                (Surface::Camber, 0.08),
                (Surface::Tip, 0.06),
            ],
        ),
    };
    let station_pct =
        if surface == Surface::Tip { between(rng, 97.0, 100.0) } else { 30.0 + 67.0 * between(rng, 0.0, 1.0).sqrt() };
    let mean_depth_in = match (kind, surface) {
        (DefectKind::Erosion | DefectKind::Scratch, _) => 0.003,
        (DefectKind::Gouge, s) if s.is_edge() => 0.028,
        (_, s) if s.is_edge() => 0.015,
        _ => 0.005,
    };
    let depth_in = gamma(rng, 2.0, mean_depth_in).max(0.001);
    Damage {
        found: from + whole(rng, 1, to - from),
        blade: whole(rng, 1, design.blades),
        station_pct: station_pct.round(),
        surface,
        kind,
        depth_in,
        length_in: (depth_in * between(rng, 2.0, 9.0) + between(rng, 0.01, 0.25)).max(0.01),
        width_in: (depth_in * between(rng, 1.0, 3.0)).max(0.004),
    }
}

/// Whether dressing this in the field would go beyond the screen, or too near the minimum of the last sheet.
fn is_for_the_shop(unit: &Unit, damage: &Damage) -> bool {
    if damage.kind.is_shop_only() {
        return true;
    }
    let screen = ScreenLimits::default();
    let radius = |pct| station_radius_in(pct, unit.design.diameter_in);
    let here = radius(damage.station_pct);
    let cumulative_in: f64 = unit
        .blends
        .iter()
        .filter(|b| {
            b.blade == damage.blade
                && (radius(b.station_pct) - here).abs() <= SAME_RADIUS_IN
                && depths_add(Some(b.surface), Some(damage.surface))
        })
        .map(|b| b.depth_in)
        .sum::<f64>()
        + damage.depth_in;
    let too_deep = screen.depth_limit_in(Some(damage.surface)).is_none_or(|limit| cumulative_in > limit);
    let too_large = !damage.surface.is_edge()
        && (damage.length_in > screen.surface_length_in || damage.width_in > screen.surface_width_in);
    too_deep || too_large || margin_left_in(unit, damage).is_some_and(|m| m < FIELD_RESERVE_IN)
}

/// What the last sheet leaves at the nearest station after every blend since and this one, in inches; `None` without a
/// sheet.
fn margin_left_in(unit: &Unit, damage: &Damage) -> Option<f64> {
    let mut dressed = unit.sheet.clone()?;
    let nearest = |pct| unit.design.nearest_station(pct);
    for blend in &unit.blends {
        dressed.dress(blend.blade, nearest(blend.station_pct), blend.surface, blend.depth_in);
    }
    let station = nearest(damage.station_pct);
    dressed.dress(damage.blade, station, damage.surface, damage.depth_in);
    dressed.margin_in(unit.design, damage.blade, station, damage.surface)
}

/// Blends metal away: noted by the mechanic, and felt by the gauge where it lies within 3 % of the radius of a station.
pub(super) fn blend(unit: &mut Unit, what: Blend) {
    let station = unit.design.nearest_station(what.station_pct);
    if (unit.design.stations[station].pct - what.station_pct).abs() <= 3.0 {
        unit.metal.dress(what.blade, station, what.surface, what.depth_in);
    }
    unit.blends.push(what);
}

/// Decides about a finding, does it and writes its report (from the day on which reports were kept). In the last weeks of
/// the records some still wait to be dressed.
pub(super) fn respond(rng: &mut ChaCha8Rng, rows: &mut Vec<DefectRow>, unit: &mut Unit, damage: &Damage) -> Response {
    let minor = is_minor(damage.kind, Some(damage.depth_in), MINOR_DEPTH_IN);
    let shallow = !damage.surface.is_edge() && damage.depth_in < 0.006;
    // At the shop at the earliest eight days after the finding: a blend of these days lies before any visit.
    let done = damage.found + whole(rng, 0, 3);
    let waits = AS_OF - damage.found < 45 && happens(rng, 0.3);
    let mechanic = MECHANICS[whole(rng, 0, 3) as usize];
    let what = Blend {
        blade: damage.blade,
        station_pct: damage.station_pct,
        surface: damage.surface,
        depth_in: damage.depth_in,
    };
    let (response, action, action_date, recheck) = if damage.kind == DefectKind::Crack {
        (Response::Scrapped, "scrapped", Some(damage.found), None)
    } else if is_for_the_shop(unit, damage) {
        (Response::Shop, "shop", Some(damage.found), None)
    } else if minor && happens(rng, 0.5) {
        (Response::FliesOn, "none", None, None)
    } else if shallow && happens(rng, 0.12) {
        let again = damage.found + 182;
        (Response::FliesOn, "accepted", Some(damage.found), Some(again))
    } else if waits || done > AS_OF {
        (Response::FliesOn, "none", None, None)
    } else {
        blend(unit, what);
        (Response::FliesOn, "blended", Some(done), None)
    };
    if unit.reports_kept_since.is_some_and(|since| damage.found < since) {
        return response;
    }
    if let Some(again) = recheck {
        unit.accepted.push((rows.len(), what, again));
    }
    let whole_propeller = matches!(damage.kind, DefectKind::Lightning | DefectKind::Overspeed);
    let sized = !damage.kind.is_shop_only();
    // Few reports lack the depth, more of them long ago; some lack length and width.
    let depth_lost = happens(rng, if damage.found.year() < 2015 { 0.02 } else { 0.002 });
    let extent_lost = happens(rng, 0.07);
    let placed = !whole_propeller && damage.kind != DefectKind::Strike;
    rows.push(DefectRow {
        serial: unit.serial.clone(),
        found: Some(damage.found),
        blade: (!whole_propeller).then_some(damage.blade),
        station_pct: placed.then_some(damage.station_pct),
        surface: placed.then_some(damage.surface),
        kind: damage.kind,
        depth_in: (sized && !depth_lost).then_some(damage.depth_in),
        length_in: (sized && !extent_lost).then_some(damage.length_in),
        width_in: (sized && !extent_lost).then_some(damage.width_in),
        action,
        action_date,
        action_by: action_date.map(|_| mechanic),
        recheck,
    });
    response
}
