//! Metal dressed out of a blade since its last reading: what it takes off margins, and what one finding more would leave.
//!
//! A blend counts at the nearest listed station and, apart from that, at its own radius with interpolated dimensions; the
//! smaller margin holds. Lengths in inches.

use super::{Margin, MarginReader, has_margin, model_now};
use crate::analysis::loss::round_to_nano;
use crate::records::Fleet;
use crate::records::choice::Action;
use crate::records::defects::Defect;
use crate::records::models::{Limits, Model, Station};
use crate::trade::calendar::Day;
use crate::trade::field_repair::{SAME_RADIUS_IN, ScreenLimits, takes};
use crate::trade::geometry::{Dimension, StationValue, nearest_station, value_at};

/// Margin in inches left at a finding's place once it is dressed: at the nearest listed station and at its own radius,
/// of every dimension its surface takes the smallest, other blends there since the last reading taken off once.
///
/// `margins` are the propeller's own, from [`MarginReader::of`]. A finding that is dressed already is taken off once: by
/// the last reading, or as a blend since. One that may or may not be dressed is taken off in any case. A finding without
/// a place is judged at the worst station with every blend of the blade, one without a blade on the worst blade. `None`
/// at the hub, where no margin is known, and for a finding that is neither dressed nor measured.
pub fn left_once_dressed(
    fleet: &Fleet<'_>,
    screen: &ScreenLimits,
    margins: &[Margin],
    finding: &Defect,
) -> Option<f64> {
    let model = fleet.models.get(model_now(fleet, finding.propeller)?);
    let defects = fleet.defects.of(finding.propeller);
    let blades = match finding.blade {
        Some(blade) => blade..=blade,
        None => 1..=margins.iter().map(|m| m.blade).max()?,
    };
    blades
        .flat_map(|blade| Dimension::ALL.map(|dimension| (blade, dimension)))
        .filter(|&(_, dimension)| takes(finding.surface, dimension))
        .filter_map(|(blade, dimension)| {
            let own_in = match finding.action {
                Action::Blended => 0.0,
                _ if finding.may_be_dressed() => {
                    screen.dressed_depth_in(finding.surface, dimension, finding.depth_in)?
                }
                _ => finding.depth_in?,
            };
            let there: Vec<Margin> =
                margins.iter().filter(|m| m.blade == blade && m.dimension == dimension).copied().collect();
            let others = defects.iter().filter(|d| d.row != finding.row || finding.action == Action::Blended);
            let blends = made(screen, model, blade, dimension, others);
            let left = match finding.station_in {
                Some(radius) => left_at(radius, model, &there, &blends),
                None => left_anywhere(&there, &blends),
            };
            Some(round_to_nano(left? - own_in))
        })
        .reduce(f64::min)
}

/// The blends of one blade and dimension.
fn made<'d>(
    screen: &ScreenLimits,
    model: &Model,
    blade: u8,
    dimension: Dimension,
    defects: impl Iterator<Item = &'d Defect>,
) -> Vec<Blend> {
    defects
        .filter(|d| d.may_be_dressed() && d.blade.is_none_or(|b| b == blade))
        .filter_map(|d| {
            Some(Blend {
                station_in: d.station_in,
                nearest: nearest(model, dimension, d),
                depth_in: screen.dressed_depth_in(d.surface, dimension, d.depth_in)?,
                day: d.action_date,
            })
        })
        .collect()
}

impl MarginReader<'_, '_> {
    /// Takes off what was dressed since the last reading, at the nearest station and at the finding's own radius.
    pub(super) fn dress(
        &self,
        model: &Model,
        blade: u8,
        dimension: Dimension,
        defects: &[Defect],
        margins: &mut [Margin],
    ) {
        let blends = made(&self.screen, model, blade, dimension, defects.iter());
        for margin in margins.iter_mut() {
            margin.dressed_since_in = dressed_at_station(&blends, margin);
            let standing = margin.value_in.zip(margin.minimum_in);
            margin.margin_in = standing.map(|(value, min)| value - min - margin.dressed_since_in);
        }
        self.at_own_radius(model, &blends, margins);
        for margin in margins.iter_mut() {
            let limits = model.stations[usize::from(margin.station)].limits(dimension);
            margin.margin_in = margin.margin_in.map(round_to_nano);
            margin.margin_fraction = fraction_left(margin.margin_in, limits);
        }
    }

    /// A blend between two stations counts at its own radius too, with interpolated dimensions; the smaller margin counts.
    fn at_own_radius(&self, model: &Model, blends: &[Blend], margins: &mut [Margin]) {
        let standing = standing_margins(model, margins);
        let mut lowered: Vec<(usize, f64)> = Vec::new();
        for blend in blends {
            let (Some(radius), Some(nearest)) = (blend.station_in, blend.nearest) else {
                continue;
            };
            let Some(at) = margins.iter().position(|m| usize::from(m.station) == nearest) else {
                continue;
            };
            let measured = margins[at].last_measured;
            if !blend.since(measured) {
                continue;
            }
            let together = dressed_within_an_inch(blends, radius, measured);
            if let Some(there) = value_at(radius, &standing) {
                lowered.push((at, there.value_in - together));
            }
        }
        for (at, left) in lowered {
            margins[at].margin_in = margins[at].margin_in.map(|m| m.min(left));
        }
    }
}

/// What is left of what a new blade has above the minimum.
pub(super) fn fraction_left(margin_in: Option<f64>, limits: Limits) -> Option<f64> {
    match (margin_in, limits) {
        (Some(margin), Limits { new_in: Some(new), min_in: Some(min) }) if new > min => {
            Some(round_to_nano(margin / (new - min)))
        }
        _ => None,
    }
}

/// Metal dressed out of one blade in one dimension.
#[derive(Debug, Clone, Copy)]
struct Blend {
    station_in: Option<f64>,
    /// Number of the nearest listed station; `None` when the place is not known, and then it counts at every station.
    nearest: Option<usize>,
    depth_in: f64,
    /// Day it was dressed; without one it counts as made after the last visit.
    day: Option<Day>,
}

impl Blend {
    fn since(&self, last_measured: Option<Day>) -> bool {
        match (self.day, last_measured) {
            (Some(day), Some(measured)) => day > measured,
            _ => true,
        }
    }
}

/// The station nearest to a finding of those that have a margin in the dimension: a blend beside another one takes metal
/// all the same. `None` when its place is not known, and then every station counts.
fn nearest(model: &Model, dimension: Dimension, finding: &Defect) -> Option<usize> {
    let stations = model.stations.iter().enumerate();
    let (numbers, listed): (Vec<usize>, Vec<&Station>) =
        stations.filter(|(_, station)| has_margin(station, dimension)).unzip();
    let by = |place: Option<f64>, of: fn(&Station) -> Option<f64>| {
        let known: Option<Vec<f64>> = listed.iter().map(|s| of(s)).collect();
        nearest_station(place?, &known?)
    };
    let at = by(finding.station_in, |s| s.station_in).or_else(|| by(finding.station_pct, |s| s.pct))?;
    Some(numbers[at])
}

/// Margins of one blade and dimension by radius, before anything dressed since.
fn standing_margins(model: &Model, margins: &[Margin]) -> Vec<StationValue> {
    margins
        .iter()
        .filter_map(|m| {
            Some(StationValue {
                station_in: model.stations[usize::from(m.station)].station_in?,
                value_in: m.value_in? - m.minimum_in?,
            })
        })
        .collect()
}

/// Depth dressed since a station's reading at the places it is nearest to.
fn dressed_at_station(blends: &[Blend], margin: &Margin) -> f64 {
    blends
        .iter()
        .filter(|b| b.since(margin.last_measured))
        .filter(|b| b.nearest.is_none_or(|n| n == usize::from(margin.station)))
        .map(|b| b.depth_in)
        .fold(0.0, |sum, depth| sum + depth)
}

/// Depth dressed since a reading within an inch of a radius; a blend without a place may lie there.
fn dressed_within_an_inch(blends: &[Blend], radius: f64, measured: Option<Day>) -> f64 {
    blends
        .iter()
        .filter(|b| b.since(measured))
        .filter(|b| b.station_in.is_none_or(|r| (r - radius).abs() <= SAME_RADIUS_IN))
        .map(|b| b.depth_in)
        .sum()
}

/// What is left today at a radius of one blade and dimension: the smaller of the nearest station and the radius itself.
fn left_at(radius: f64, model: &Model, margins: &[Margin], blends: &[Blend]) -> Option<f64> {
    let radii: Vec<f64> =
        margins.iter().map(|m| model.stations[usize::from(m.station)].station_in.unwrap_or(f64::NAN)).collect();
    if radii.iter().any(|r| r.is_nan()) {
        return left_anywhere(margins, blends);
    }
    let nearest = &margins[nearest_station(radius, &radii)?];
    let at_station =
        nearest.value_in.zip(nearest.minimum_in).map(|(value, min)| value - min - dressed_at_station(blends, nearest));
    let at_radius = value_at(radius, &standing_margins(model, margins))
        .map(|there| there.value_in - dressed_within_an_inch(blends, radius, nearest.last_measured));
    [at_station, at_radius].into_iter().flatten().reduce(f64::min)
}

/// What is left today wherever a finding may lie on one blade: the smallest margin less all that was dressed since the
/// oldest of its readings, so that a place not recorded never looks better than any place.
fn left_anywhere(margins: &[Margin], blends: &[Blend]) -> Option<f64> {
    let smallest = margins.iter().filter_map(|m| Some(m.value_in? - m.minimum_in?)).reduce(f64::min)?;
    let oldest = margins.iter().map(|m| m.last_measured).min().flatten();
    let dressed: f64 = blends.iter().filter(|b| b.since(oldest)).map(|b| b.depth_in).sum();
    Some(smallest - dressed)
}
