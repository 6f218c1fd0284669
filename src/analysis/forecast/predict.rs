//! What is left of one propeller: its margins against the losses that its pool lets expect.

use std::ops::Range;

use super::course::Course;
use super::fit::{Estimate, Fit};
use super::pools::Fits;
use crate::analysis::loss::round_to_nano;
use crate::analysis::margins::{Margin, model_now};
use crate::analysis::remaining::{LimitingPoint, OUTLOOK_OVERHAULS, Remaining, Support};
use crate::records::Fleet;
use crate::stats::first_passage::Station;
use crate::trade::geometry::Dimension;

/// A chance of passing below this counts as none, and so do all later ones.
const NO_CHANCE: f64 = 1e-8;
/// Two chances closer than this are told apart by how far the margins lie, not by their last digits.
const SAME_CHANCE: f64 = 1e-9;

/// Forecasts propellers of a fleet from its fits.
pub struct Forecaster<'f, 'a> {
    fleet: &'f Fleet<'a>,
    fits: &'f Fits,
}

/// One dimension of one propeller, ready for chances.
#[derive(Debug, Clone)]
pub struct Side<'f> {
    /// Its pool.
    pub fit: &'f Fit,
    /// Loss expected of its cycles in common.
    pub course: Course,
    /// Places with a known margin.
    pub stations: Vec<Station>,
    /// For each of them, its row of the margins.
    pub rows: Vec<usize>,
    /// For each of them, whether a reading that could not be used holds it low ([`Margin::held_low`]).
    pub held_low: Vec<bool>,
}

impl Side<'_> {
    /// Chance that every place passes `k` more overhauls.
    ///
    /// The variance of what was carried forward widens the chance; where a margin is nearly used up that would raise it, and
    /// a reading that was entered and could not be used must not: where one is, the smaller of the chances with and without
    /// that variance counts.
    pub fn chance(&self, k: u32) -> f64 {
        self.chance_of(k, 0..self.stations.len())
    }

    fn chance_of(&self, k: u32, at: Range<usize>) -> f64 {
        let (stations, held_low) = (&self.stations[at.clone()], &self.held_low[at]);
        let with = self.fit.chance(k, &self.course, stations);
        if !stations.iter().zip(held_low).any(|(s, &held)| held && s.carried_variance > 0.0) {
            return with;
        }
        let plain = |(s, &held): (&Station, &bool)| match held {
            true => Station { carried_variance: 0.0, ..*s },
            false => *s,
        };
        let plain: Vec<Station> = stations.iter().zip(held_low).map(plain).collect();
        with.min(self.fit.chance(k, &self.course, &plain))
    }

    /// Room left after the next overhaul over its standard deviation, at one place.
    fn score(&self, station: &Station) -> f64 {
        let variance = self.course.sum_variance(1) + self.fit.own.sum_variance(1) + station.carried_variance;
        // Without any variance the room alone orders the places.
        (station.margin - self.course.next_mean() - station.offset) / variance.sqrt().max(1e-12)
    }

    /// The place least likely to pass the next overhaul: its index among the stations, chance and score.
    fn weakest(&self) -> Option<(usize, f64, f64)> {
        let scores = self.stations.iter().map(|s| self.score(s)).enumerate();
        let (at, score) = scores.min_by(|a, b| a.1.total_cmp(&b.1))?;
        let chance = self.chance_of(1, at..at + 1);
        Some((at, chance, score))
    }
}

/// The margin the forecast counts with: that of the last visit less the metal dressed since beyond the service loss expected,
/// which the expected loss of the cycle holds already.
fn margin_ahead(margin: &Margin, service_loss_in: f64) -> Option<f64> {
    let dressed = margin.value_in? - margin.minimum_in? - margin.margin_worst_in?;
    let at_visit = margin.expected_in? - margin.minimum_in?;
    Some(round_to_nano(at_visit - (dressed - service_loss_in.max(0.0)).max(0.0)))
}

impl<'f, 'a> Forecaster<'f, 'a> {
    /// Forecasts with these fits.
    pub fn new(fleet: &'f Fleet<'a>, fits: &'f Fits) -> Self {
        Forecaster { fleet, fits }
    }

    /// The fleet.
    pub(super) fn fleet(&self) -> &'f Fleet<'a> {
        self.fleet
    }

    /// One dimension of a propeller with these margins; `None` when no margin of it is known or its loss is not estimable.
    pub fn side(
        &self,
        propeller: u32,
        model: Option<u32>,
        dimension: Dimension,
        margins: &[Margin],
    ) -> Option<Side<'f>> {
        let fit = self.fits.pool(model, dimension);
        let course = fit.course(propeller, self.fits.cycles.numbering.so_far(propeller))?;
        let offsets = self.fits.cycles.offsets.of(model, dimension);
        let service_loss_in = fit.service_loss_in.unwrap_or(0.0);
        let (rows, stations): (Vec<usize>, Vec<Station>) = margins
            .iter()
            .enumerate()
            .filter(|(_, m)| m.dimension == dimension)
            .filter_map(|(row, margin)| {
                let station = Station {
                    margin: margin_ahead(margin, service_loss_in)?,
                    // Too few cycles for a loss are too few for offsets.
                    offset: match fit.estimate {
                        Estimate::Fitted => offsets.of(margin.station),
                        _ => 0.0,
                    },
                    carried_variance: margin.carried_variance_in2,
                };
                Some((row, station))
            })
            .unzip();
        let held_low = rows.iter().map(|&row| margins[row].held_low).collect();
        (!stations.is_empty()).then_some(Side { fit, course, stations, rows, held_low })
    }

    /// What is left of a propeller with these margins, which are all of its own.
    pub fn remaining(&self, propeller: u32, margins: &[Margin]) -> Remaining {
        self.remaining_under(propeller, model_now(self.fleet, propeller), margins)
    }

    /// As [`Forecaster::remaining`], under a designation.
    pub fn remaining_under(&self, propeller: u32, model: Option<u32>, margins: &[Margin]) -> Remaining {
        let sides = Dimension::ALL.map(|d| self.side(propeller, model, d, margins));
        let below_minimum = margins.iter().any(|m| m.below_on_record().is_some());
        let pass = if margins.iter().any(Margin::leaves_no_chance) { Some(Vec::new()) } else { outlook(&sides) };
        let mut places = [0; 5];
        for margin in margins {
            places[margin.basis as usize] += 1;
        }
        let limited = |d: Dimension| margins.iter().any(|m| m.dimension == d);
        let support = Dimension::ALL.map(|dimension| {
            let fit = self.fits.pool(model, dimension);
            limited(dimension).then(|| Support {
                pool: fit.name.clone(),
                cycles: fit.cycles,
                estimate: fit.estimate,
                loses_more: fit.growth.is_clear(),
            })
        });
        let not_counted = Dimension::ALL.into_iter().any(|d| limited(d) && sides[d as usize].is_none());
        let minimums_stand_in = model.is_some_and(|m| self.fleet.models.get(m).limits_stand_in());
        Remaining {
            propeller,
            overhauls_recorded: self.fleet.visits.of(propeller).iter().filter(|v| v.is_overhaul()).count() as u32,
            limiting: limiting(&sides, margins),
            upper_bound: pass.is_some()
                && !below_minimum
                && (not_counted || minimums_stand_in || margins.iter().any(|m| m.margin_in.is_none())),
            pass,
            other_chance: self.fits.other_chance,
            below_minimum,
            readings_lost: false,
            support,
            places,
        }
    }
}

/// Chances of passing 1, 2, ... more overhauls, up to the last that is not negligible; `None` without any known margin.
pub(super) fn outlook(sides: &[Option<Side<'_>>; 2]) -> Option<Vec<f64>> {
    if sides.iter().all(Option::is_none) {
        return None;
    }
    let mut pass = Vec::new();
    let mut least = [1.0f64; 2];
    for k in 1..=OUTLOOK_OVERHAULS {
        let mut together = 1.0;
        for (side, least) in sides.iter().zip(&mut least) {
            if let Some(side) = side {
                *least = least.min(side.chance(k));
                together *= *least;
                if together < NO_CHANCE {
                    return Some(pass);
                }
            }
        }
        pass.push(together);
    }
    Some(pass)
}

/// The point with the smallest chance of passing the next overhaul; one below its minimum has none.
fn limiting(sides: &[Option<Side<'_>>; 2], margins: &[Margin]) -> Option<LimitingPoint> {
    let mut points: Vec<(f64, f64, LimitingPoint)> = Vec::new();
    for (row, margin) in margins.iter().enumerate() {
        let least_in = margin.below_on_record().map(|left| left.left_in).or(margin.margin_in);
        let Some(margin_in) = least_in.filter(|_| margin.leaves_no_chance()) else {
            continue;
        };
        let side = sides[margin.dimension as usize].as_ref();
        let place = side.and_then(|s| Some((s, s.rows.iter().position(|&r| r == row)?)));
        let expected_loss_in = place.map(|(s, at)| s.course.next_mean() + s.stations[at].offset);
        // Scored by the margin of today, since that is what rejects it.
        let score =
            place.map_or(f64::NEG_INFINITY, |(s, at)| s.score(&Station { margin: margin_in, ..s.stations[at] }));
        points.push((
            0.0,
            score,
            LimitingPoint { margin: *margin, margin_in, expected_loss_in, pass_chance_next: 0.0 },
        ));
    }
    if points.is_empty() {
        for side in sides.iter().flatten() {
            let Some((at, chance, score)) = side.weakest() else {
                continue;
            };
            let margin = margins[side.rows[at]];
            points.push((
                chance,
                score,
                LimitingPoint {
                    margin,
                    // Where nothing was read, what the chance was worked out from.
                    margin_in: match margin.expected_in == margin.value_in {
                        true => margin.margin_in.unwrap_or(side.stations[at].margin),
                        false => side.stations[at].margin,
                    },
                    expected_loss_in: Some(side.course.next_mean() + side.stations[at].offset),
                    pass_chance_next: chance,
                },
            ));
        }
    }
    points
        .into_iter()
        .reduce(|a, b| {
            let closer = if (a.0 - b.0).abs() < SAME_CHANCE { b.1 < a.1 } else { b.0 < a.0 };
            if closer { b } else { a }
        })
        .map(|(_, _, point)| point)
}
