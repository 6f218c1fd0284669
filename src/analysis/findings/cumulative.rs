//! The depth a finding has together with earlier blends at its place, and whether repairs line up across the blade.
//!
//! Cumulative depth: the finding's own depth and the depths of all findings blended since the last visit that measured
//! that blade and dimension, within 1 in of its radius on the same edge, or on face and camber together. Lengths in
//! inches. A blade, place, side or day that is not recorded may be any.

use crate::analysis::last_readings::as_it_left;
use crate::analysis::loss::round_to_nano;
use crate::analysis::margins::model_now;
use crate::records::Fleet;
use crate::records::defects::Defect;
use crate::records::measurements::Moment;
use crate::trade::calendar::Day;
use crate::trade::field_repair::{SAME_RADIUS_IN, ScreenLimits, depths_add, line_up_across, takes};
use crate::trade::geometry::Dimension;

/// Decimals by which depths are added up: whole billionths of an inch, so that the order of rows changes no sum.
const PER_INCH: f64 = 1e9;

/// The stretch of a propeller's life in which blends count with a finding.
#[derive(Debug, Clone, Copy)]
pub struct Stretch {
    /// It begins at the last visit that measured before this day; without one, at the last that measured.
    pub worked_on: Option<Day>,
    /// It ends with this day; without one, today.
    pub until: Option<Day>,
}

/// Days on which each blade and dimension of one propeller was measured, collected when first asked for.
#[derive(Debug, Default)]
pub struct MeasuredDays {
    propeller: Option<u32>,
    /// Blade, dimension and day, in order of the day.
    days: Vec<(u8, Dimension, Day)>,
}

impl MeasuredDays {
    fn collect(&mut self, fleet: &Fleet<'_>, propeller: u32) {
        if self.propeller == Some(propeller) {
            return;
        }
        self.propeller = Some(propeller);
        self.days.clear();
        let measurements = &fleet.measurements;
        for number in fleet.visits.range(propeller) {
            let visit = fleet.visits.get(number);
            let from = self.days.len();
            for position in measurements.range(number) {
                let blade = measurements.blade(position);
                for dimension in Dimension::ALL {
                    let before = measurements.raw_reading(dimension, Moment::Before, position);
                    let after = measurements.raw_reading(dimension, Moment::After, position);
                    let entry = (blade, dimension, visit.day);
                    if !as_it_left(visit, before, after).is_nan() && !self.days[from..].contains(&entry) {
                        self.days.push(entry);
                    }
                }
            }
        }
    }

    /// The last day before `before` on which a blade (each of `blades`, where it is not recorded) was measured.
    fn last(&self, blade: Option<u8>, blades: u8, dimension: Dimension, before: Option<Day>) -> Option<Day> {
        let of_blade = |blade: u8| {
            self.days
                .iter()
                .rfind(|(b, d, day)| *b == blade && *d == dimension && before.is_none_or(|before| *day < before))
                .map(|(_, _, day)| *day)
        };
        match blade {
            Some(blade) => of_blade(blade),
            None => (1..=blades).map(of_blade).min().flatten(),
        }
    }
}

/// What lies at a finding's place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtPlace {
    /// Depths of the blends there, without the finding's own.
    pub others_in: f64,
    /// Whether a blend within 1 in of one radius lies on the other side or the other edge of its blade.
    pub lines_up: bool,
}

/// Goes through the other reports of a finding's propeller.
///
/// `reports` are the propeller's, `at` the finding's position among them.
pub fn at_place(
    fleet: &Fleet<'_>,
    limits: &ScreenLimits,
    reports: &[Defect],
    at: usize,
    stretch: Stretch,
    measured: &mut MeasuredDays,
) -> AtPlace {
    let finding = &reports[at];
    let mut others = 0i64;
    let mut lines_up = false;
    for (other_at, other) in reports.iter().enumerate() {
        if other_at == at || !other.may_be_dressed() || !may_be_one_place(finding, other) {
            continue;
        }
        let adds = depths_add(finding.surface, other.surface);
        let across = lie_across(finding, other);
        if !adds && !across {
            continue;
        }
        measured.collect(fleet, finding.propeller);
        let blades = blades_of(fleet, finding, measured);
        let counts = |dimension: Dimension| {
            let since = measured.last(finding.blade, blades, dimension, stretch.worked_on);
            match other.action_date {
                Some(day) => since.is_none_or(|since| day > since) && stretch.until.is_none_or(|until| day <= until),
                // A blend without a day counts as made after the last visit.
                None => stretch.until.is_none(),
            }
        };
        if adds {
            let depth = Dimension::ALL
                .into_iter()
                .filter(|&d| takes(finding.surface, d) && counts(d))
                .filter_map(|d| limits.dressed_depth_in(other.surface, d, other.depth_in))
                .fold(0.0, f64::max);
            others += (depth * PER_INCH).round() as i64;
        }
        lines_up |= across && Dimension::ALL.into_iter().any(|d| takes(finding.surface, d) && counts(d));
    }
    AtPlace { others_in: others as f64 / PER_INCH, lines_up }
}

/// Whether two reports may lie within 1 in of one radius on one blade.
fn may_be_one_place(one: &Defect, other: &Defect) -> bool {
    let one_blade = match (one.blade, other.blade) {
        (Some(a), Some(b)) => a == b,
        _ => true,
    };
    let near = match (one.station_in, other.station_in) {
        (Some(a), Some(b)) => (a - b).abs() <= SAME_RADIUS_IN,
        _ => true,
    };
    one_blade && near
}

/// Whether two reports at one place are known to lie on opposite sides or edges of one blade.
fn lie_across(one: &Defect, other: &Defect) -> bool {
    one.blade.is_some()
        && other.blade.is_some()
        && one.station_in.is_some()
        && other.station_in.is_some()
        && one.surface.zip(other.surface).is_some_and(|(a, b)| line_up_across(a, b))
}

/// Blades of the propeller: what its model says, two where it does not, and no fewer than were measured.
fn blades_of(fleet: &Fleet<'_>, finding: &Defect, measured: &MeasuredDays) -> u8 {
    let stated = model_now(fleet, finding.propeller).and_then(|model| fleet.models.get(model).blades);
    measured.days.iter().map(|(blade, ..)| *blade).fold(stated.unwrap_or(2), u8::max)
}

/// A finding's own depth and the blends at its place; `None` when its own depth is not recorded.
pub fn cumulative_depth_in(own_in: Option<f64>, place: &AtPlace) -> Option<f64> {
    let own = own_in.filter(|d| d.is_finite() && *d >= 0.0)?;
    Some(round_to_nano(own + place.others_in))
}
