//! What happens in the shop: readings, skin off, readings again, released or rejected.

use rand_chacha::ChaCha8Rng;

use super::AS_OF;
use super::draws::{between, gamma, happens, pick, whole};
use super::metal::{Metal, points};
use super::process::{THICKNESS_SCATTER_IN, WIDTH_SCATTER_IN, reading_in, station_loss_in};
use super::rows::{MeasurementRow, Records, VisitRow};
use super::unit::Unit;
use crate::trade::calendar::Day;

/// Shops, by no one's name.
pub(super) const SHOPS: [(&str, f64); 3] = [("Shop North", 0.5), ("Shop South", 0.3), ("Shop Old Mill", 0.2)];

/// Why a propeller comes in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Visit {
    /// Planned overhaul.
    Overhaul,
    /// Damage beyond field repair.
    Repair,
    /// After it struck something.
    Strike,
}

/// How a visit ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Outcome {
    /// Released on this day.
    Released(Day),
    /// Rejected on this day.
    Rejected(Day),
    /// Not out yet when the records end.
    StillThere(Day),
}

/// The readings of a visit; a column that was not taken is `None`.
struct Sheet {
    before: Option<Metal>,
    after: Option<Metal>,
    painted: bool,
}

/// Every true dimension as the gauge shows it.
fn gauged(rng: &mut ChaCha8Rng, metal: &Metal) -> Metal {
    let mut read = |column: &[f64]| column.iter().map(|&t| reading_in(rng, t)).collect();
    Metal { stations: metal.stations, width_in: read(&metal.width_in), thickness_in: read(&metal.thickness_in) }
}

/// A propeller's visit: removed on `removed`, its metal and papers changed, its rows written. Hours are left out of the sheet
/// where `with_hours` is false.
pub(super) fn visit(
    rng: &mut ChaCha8Rng,
    records: &mut Records,
    unit: &mut Unit,
    visit: Visit,
    removed: Day,
    with_hours: bool,
) -> Outcome {
    let days = match visit {
        Visit::Overhaul => whole(rng, 21, 50),
        Visit::Repair | Visit::Strike => whole(rng, 8, 25),
    };
    let day = removed + days;
    if day > AS_OF {
        return Outcome::StillThere(day);
    }
    let (sheet, reject_reason) = match visit {
        Visit::Overhaul => overhauled(rng, unit),
        Visit::Repair | Visit::Strike => repaired(rng, unit, visit),
    };
    write_visit(rng, records, unit, visit, (day, with_hours), reject_reason);
    write_sheet(rng, records, unit, visit, day, &sheet, reject_reason.is_some());
    if reject_reason.is_some() {
        return Outcome::Rejected(day);
    }
    if let Some(after) = sheet.after {
        unit.measured(after);
    }
    unit.accepted.clear();
    if visit == Visit::Overhaul {
        unit.overhauled = Some(day);
        unit.hours_on_clock = 0.0;
    }
    Outcome::Released(day)
}

/// The papers that come with an overhauled exchange unit: a released overhaul on the day it joins, readings as it left.
pub(super) fn arrival_papers(rng: &mut ChaCha8Rng, records: &mut Records, unit: &mut Unit) {
    let day = unit.in_service;
    let after = gauged(rng, &unit.metal);
    let sheet = Sheet { before: None, after: Some(after.clone()), painted: false };
    write_visit(rng, records, unit, Visit::Overhaul, (day, true), None);
    write_sheet(rng, records, unit, Visit::Overhaul, day, &sheet, false);
    unit.measured(after);
    unit.overhauled = Some(day);
    unit.hours_on_clock = 0.0;
}

/// An overhaul: service wear, readings, the skin, readings. Stops at the first reason to reject.
fn overhauled(rng: &mut ChaCha8Rng, unit: &mut Unit) -> (Sheet, Option<&'static str>) {
    let loss = unit.wear.cycle(rng);
    // Between visits paint, sand and polish take about an eighth of the cycle's loss, the shop the rest.
    let in_service = between(rng, 0.06, 0.19);
    let mut skin = unit.metal.clone();
    for p in points(unit.design) {
        let pct = unit.design.stations[p.station].pct;
        let thickness_in = station_loss_in(rng, loss.thickness_in, pct, THICKNESS_SCATTER_IN);
        let width_in = station_loss_in(rng, loss.width_in, pct, WIDTH_SCATTER_IN);
        unit.metal.thickness_in[p.place] -= in_service * thickness_in;
        unit.metal.width_in[p.place] -= in_service * width_in;
        skin.thickness_in[p.place] = (1.0 - in_service) * thickness_in;
        skin.width_in[p.place] = (1.0 - in_service) * width_in;
    }
    let mut before = gauged(rng, &unit.metal);
    let painted = happens(rng, 0.15);
    if painted {
        let coat_in = (between(rng, 0.002, 0.005) * 1000.0).round() / 1000.0;
        for value in before.thickness_in.iter_mut().chain(&mut before.width_in) {
            *value = ((*value + coat_in) * 1000.0).round() / 1000.0;
        }
    }
    let before_only = |before, reason| {
        let sheet = Sheet { before: Some(before), after: None, painted };
        (sheet, Some(reason))
    };
    if before.below_minimum(unit.design) {
        return before_only(before, "dimension");
    }
    if happens(rng, 0.02) {
        let reason = pick(rng, &[("crack", 0.3), ("corrosion", 0.45), ("bend", 0.15), ("hub", 0.1)]);
        return before_only(before, reason);
    }
    for p in points(unit.design) {
        unit.metal.thickness_in[p.place] -= skin.thickness_in[p.place];
        unit.metal.width_in[p.place] -= skin.width_in[p.place];
    }
    let after = gauged(rng, &unit.metal);
    let rejected = after.below_minimum(unit.design).then_some("dimension");
    let sheet = Sheet { before: Some(before), after: Some(after), painted };
    (sheet, rejected)
}

/// A repair or a strike inspection: the damage is dressed, the blades are read once, nothing else comes off.
fn repaired(rng: &mut ChaCha8Rng, unit: &mut Unit, visit: Visit) -> (Sheet, Option<&'static str>) {
    let after = gauged(rng, &unit.metal);
    let bent = visit == Visit::Strike && happens(rng, 0.12);
    let rejected = if bent { Some("bend") } else { after.below_minimum(unit.design).then_some("dimension") };
    let sheet = Sheet { before: None, after: Some(after), painted: false };
    (sheet, rejected)
}

fn write_visit(
    rng: &mut ChaCha8Rng,
    records: &mut Records,
    unit: &Unit,
    visit: Visit,
    (day, with_hours): (Day, bool),
    reject_reason: Option<&'static str>,
) {
    let (work, reason) = match visit {
        Visit::Overhaul => ("overhaul", "scheduled"),
        Visit::Repair => ("repair", "damage"),
        Visit::Strike => ("strike inspection", "strike"),
    };
    let prices = unit.design.prices;
    let price = match (reject_reason, visit) {
        (Some(_), _) => prices.rejection,
        (None, Visit::Overhaul) => prices.overhaul,
        (None, Visit::Repair | Visit::Strike) => 0.4 * prices.overhaul,
    };
    // Prices grew by about 2.5 % a year; before 2010 nobody wrote them down.
    let cost = price * 1.025_f64.powi(day.year() - 2026) * between(rng, 0.94, 1.06);
    let track_in = gamma(rng, 3.0, 0.018).min(0.058);
    records.visits.push(VisitRow {
        serial: unit.serial.clone(),
        date: day,
        work,
        outcome: if reject_reason.is_some() { "rejected" } else { "released" },
        reject_reason,
        shop: pick(rng, &SHOPS),
        hours_since_new: unit.hours_since_new.filter(|_| with_hours),
        hours_since_overhaul: unit.hours_since_overhaul().filter(|_| with_hours),
        reason,
        track_in: reject_reason.is_none().then_some(track_in),
        model_after: None,
        cost: (day.year() >= 2010).then_some(cost),
    });
}

/// Writes the readings of a visit, with the gaps that old envelopes have: a lost sheet, a station left out, no widths.
fn write_sheet(
    rng: &mut ChaCha8Rng,
    records: &mut Records,
    unit: &Unit,
    visit: Visit,
    day: Day,
    sheet: &Sheet,
    rejected: bool,
) {
    let old = day.year() < 2012;
    let lost = !rejected && happens(rng, if old { 0.08 } else { 0.01 });
    if lost {
        return;
    }
    let no_width = !rejected && happens(rng, if old { 0.06 } else { 0.01 });
    let no_before = old && happens(rng, 0.15) && sheet.after.is_some();
    let left_out = happens(rng, if old { 0.05 } else { 0.02 })
        .then(|| whole(rng, 0, (unit.metal.width_in.len() - 1) as i32) as usize);
    for p in points(unit.design) {
        if left_out == Some(p.place) && !rejected {
            continue;
        }
        let pct = unit.design.stations[p.station].pct;
        let before = sheet.before.as_ref().filter(|_| !no_before);
        let width = |m: &Metal| m.width_in[p.place];
        let angle = unit.design.angle_deg(pct) + between(rng, -0.2, 0.2);
        records.measurements.push(MeasurementRow {
            serial: unit.serial.clone(),
            date: day,
            blade: p.blade,
            station_pct: pct,
            width_before_in: before.map(width).filter(|_| !no_width),
            width_after_in: sheet.after.as_ref().map(width).filter(|_| !no_width),
            thickness_before_in: before.map(|m| m.thickness_in[p.place]),
            thickness_after_in: sheet.after.as_ref().map(|m| m.thickness_in[p.place]),
            angle_after_deg: (visit == Visit::Overhaul && !rejected).then_some(angle),
            painted: before.map(|_| if sheet.painted { "yes" } else { "no" }),
        });
    }
}
