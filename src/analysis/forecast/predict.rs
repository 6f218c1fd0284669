//! What is left of one propeller: its margins against the losses that its pool lets expect.

use std::ops::Range;

use super::course::Course;
use super::fit::{Estimate, Fit};
use super::pools::Fits;
use super::to_come::Ahead;
use crate::analysis::cycles::felt::Betas;
use crate::analysis::loss::round_to_nano;
use crate::analysis::margins::{Margin, model_now};
use crate::analysis::remaining::{LimitingPoint, OUTLOOK_OVERHAULS, Remaining, Support};
use crate::records::Fleet;
use crate::stats::compound::{Compound, counts};
use crate::stats::first_passage::{Amounts, Station};
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
    /// Blends still to come, and for each place its share of them.
    to_come: Option<Taking<'f>>,
}

/// What blends will take of one dimension of one propeller.
#[derive(Debug, Clone)]
struct Taking<'f> {
    ahead: Ahead,
    shares: Vec<f64>,
    taken: &'f Compound,
}

impl Taking<'_> {
    /// At each place until the `k`-th overhaul.
    fn amounts(&self, k: u32, at: Range<usize>) -> Vec<Amounts> {
        let expected = self.ahead.expected_at_unit_rate(k);
        let mut known: Option<(f64, Amounts)> = None;
        let of = |&share: &f64| match known {
            Some((same, amounts)) if same == share => amounts,
            _ => {
                let amounts = Amounts::new(counts(self.ahead.shape, expected * share));
                known = Some((share, amounts));
                amounts
            }
        };
        self.shares[at].iter().map(of).collect()
    }
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

    /// Chance that after the next overhaul every place has at least `spare` left, whatever it has now, in inches.
    pub fn within(&self, spare: f64) -> Option<f64> {
        match &self.to_come {
            Some(taking) => {
                let amounts = taking.amounts(1, 0..self.stations.len());
                self.fit.within_with(&self.course, &self.stations, spare, &amounts, taking.taken)
            }
            None => self.fit.within(&self.course, &self.stations, spare),
        }
    }

    fn chance_of(&self, k: u32, at: Range<usize>) -> f64 {
        let (stations, held_low) = (&self.stations[at.clone()], &self.held_low[at.clone()]);
        let amounts = self.to_come.as_ref().map(|taking| (taking.amounts(k, at), taking.taken));
        let of = |stations: &[Station]| match &amounts {
            Some((amounts, taken)) => self.fit.chance_with(k, &self.course, stations, amounts, taken),
            None => self.fit.chance(k, &self.course, stations),
        };
        let with = of(stations);
        if !stations.iter().zip(held_low).any(|(s, &held)| held && s.carried_variance > 0.0) {
            return with;
        }
        let plain = |(s, &held): (&Station, &bool)| match held {
            true => Station { carried_variance: 0.0, ..*s },
            false => *s,
        };
        let plain: Vec<Station> = stations.iter().zip(held_low).map(plain).collect();
        with.min(of(&plain))
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

/// The margin the forecast counts with: that of the last visit less what is charged for blends since.
fn margin_ahead(margin: &Margin, felt: &Betas) -> Option<f64> {
    let expected = margin.expected_in? - margin.minimum_in?;
    // A reading of the last visit between the stations may leave less.
    let at_visit = margin.beside.map_or(expected, |beside| expected.min(beside.left_in + beside.dressed_in));
    // Where a reading that was entered could not be used, blends are never charged with less than their metal.
    let least = if margin.held_low { 1.0 } else { 0.0 };
    let charged: f64 = felt.iter().zip(margin.blended_in).map(|(beta, taken)| beta.charged.max(least) * taken).sum();
    Some(round_to_nano(at_visit - charged))
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
        let felt = &self.fits.cycles.felt[dimension as usize];
        let (rows, stations): (Vec<usize>, Vec<Station>) = margins
            .iter()
            .enumerate()
            .filter(|(_, m)| m.dimension == dimension)
            .filter_map(|(row, margin)| {
                let station = Station {
                    margin: margin_ahead(margin, felt)?,
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
        let to_come = self.fits.to_come.as_ref().zip(model).map(|(to_come, model)| {
            let blades = self.fleet.models.get(model).blades;
            let blades = blades.or_else(|| margins.iter().map(|m| m.blade).max()).unwrap_or(2);
            Taking {
                ahead: to_come.ahead(self.fleet, propeller),
                shares: rows.iter().map(|&row| to_come.share(model, blades, margins[row].station, dimension)).collect(),
                taken: &to_come.taken[dimension as usize],
            }
        });
        (!stations.is_empty()).then_some(Side { fit, course, stations, rows, held_low, to_come })
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
