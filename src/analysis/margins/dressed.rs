//! Metal dressed out of a blade since it was last read: what it takes off margins, and what one finding more would leave.
//!
//! The margin counts at the listed station and at the radius of every blend and every reading between its neighbours'
//! midpoints; the smallest holds. Lengths in inches.

use super::reads::{Reads, Ruler};
use super::report::{Counting, Dressed, TIP_ALONE_PCT, depth_of, length_of, side_of};
use super::{Left, Margin, MarginReader, has_margin, model_now};
use crate::analysis::loss::round_to_nano;
use crate::records::Fleet;
use crate::records::choice::Action;
use crate::records::defects::Defect;
use crate::records::models::{Limits, Model};
use crate::trade::calendar::Day;
use crate::trade::damage::Surface;
use crate::trade::field_repair::{BLEND_RATIO_EDGE, BLEND_RATIO_SURFACE, SAME_RADIUS_IN};
use crate::trade::geometry::{Dimension, StationValue, nearest_station, value_at};
use crate::trade::profile::{Dressing, Length, Metal, Profile, Side};

/// What was dressed out of one propeller, and what was read of it.
#[derive(Debug, Default)]
pub(super) struct History {
    propeller: Option<u32>,
    /// Anything dressed, or read between the stations: without it margins are those of the readings.
    pub touched: bool,
    /// Every dressing is on record whole.
    whole: bool,
    reads: Reads,
    /// What was worked out already.
    metal: Vec<((u8, Dimension, Counting), Metal)>,
}

impl History {
    fn is_of(&self, propeller: u32) -> bool {
        self.propeller == Some(propeller)
    }

    /// Collects it, once a propeller.
    pub(super) fn collect(&mut self, fleet: &Fleet<'_>, propeller: u32) {
        if self.is_of(propeller) {
            return;
        }
        self.propeller = Some(propeller);
        self.metal.clear();
        let dressed = || Dressed::of(fleet, propeller);
        let between = || fleet.visits.range(propeller).any(|v| !fleet.measurements.between(v).is_empty());
        self.whole = dressed().all(|d| d.is_whole());
        self.touched = dressed().next().is_some() || (fleet.measurements.has_between() && between());
        self.reads = match self.touched {
            // What was read before anything was found shows none of it.
            true => Reads::of(fleet, propeller, dressed().map(|d| d.report.found).min()),
            false => Reads::default(),
        };
    }
}

/// One dimension of one blade of a model.
#[derive(Clone, Copy)]
pub(super) struct OnBlade<'m> {
    pub model: &'m Model,
    pub blade: u8,
    pub dimension: Dimension,
}

/// Length of a blend over its depth.
pub(in crate::analysis) fn ratio(dimension: Dimension) -> f64 {
    match dimension {
        Dimension::Width => BLEND_RATIO_EDGE,
        Dimension::Thickness => BLEND_RATIO_SURFACE,
    }
}

/// What blends that no reading shows took, at the station nearest to each; one whose place is not known lies at every station.
fn note_blends(on: OnBlade<'_>, metal: &Metal, margins: &mut [Margin]) {
    let ruler = Ruler::of_model(on.model);
    let places: Vec<f64> =
        margins.iter().map(|m| ruler.station(&on.model.stations[usize::from(m.station)]).unwrap_or(f64::NAN)).collect();
    for blend in metal.unread() {
        let at = blend.of.radius_in.and_then(|radius| Some((nearest_station(radius, &places)?, radius)));
        match at {
            Some((row, radius)) => {
                let far = usize::from((places[row] - radius).abs() > SAME_RADIUS_IN);
                let taken = &mut margins[row].blended_in[far];
                *taken = taken.max(metal.gone_at(radius));
            }
            None => {
                for (margin, place) in margins.iter_mut().zip(&places) {
                    let gone = if place.is_nan() { blend.depth_in } else { metal.gone_at(*place) };
                    margin.blended_in[0] = margin.blended_in[0].max(gone);
                }
            }
        }
    }
}

impl MarginReader<'_, '_> {
    /// The depth that stands in for one that is not on record: what the fleet's blends of that surface let expect, else the
    /// screen's largest; without a surface the larger of the two that take the dimension.
    pub(super) fn stand_in_in(&self, surface: Option<Surface>, dimension: Dimension) -> f64 {
        let of = |surface: Surface| {
            let usual = self.survey.dressed_depth_in(surface);
            usual.or(self.screen.depth_limit_in(Some(surface))).unwrap_or(0.0)
        };
        match (surface, dimension) {
            (Some(surface), _) => of(surface),
            (None, Dimension::Width) => of(Surface::LeadingEdge).max(of(Surface::TrailingEdge)),
            (None, Dimension::Thickness) => of(Surface::Face).max(of(Surface::Camber)),
        }
    }

    /// The metal dressed out of one dimension of a blade, worked out once and then [`MarginReader::worked_out`].
    fn work_out(&mut self, propeller: u32, on: OnBlade<'_>, counting: Counting) -> usize {
        let counting = if self.history.whole { Counting::Recorded } else { counting };
        let key = (on.blade, on.dimension, counting);
        if let Some(at) = self.history.metal.iter().position(|(k, _)| *k == key) {
            return at;
        }
        let metal = self.metal(propeller, on, counting);
        self.history.metal.push((key, metal));
        self.history.metal.len() - 1
    }

    fn worked_out(&self, at: usize) -> &Metal {
        &self.history.metal[at].1
    }

    fn metal(&self, propeller: u32, on: OnBlade<'_>, counting: Counting) -> Metal {
        let fleet = self.fleet;
        let ruler = Ruler::of_model(on.model);
        let dressed = Dressed::of(fleet, propeller);
        let dressings: Vec<(Side, Dressing)> = dressed.filter_map(|d| self.dressing(d, on, ruler, counting)).collect();
        Metal::new(&dressings, ratio(on.dimension), |blend| {
            self.history.reads.first_showing(on.blade, on.dimension, blend)
        })
    }

    fn dressing(
        &self,
        dressed: Dressed<'_>,
        on: OnBlade<'_>,
        ruler: Ruler,
        counting: Counting,
    ) -> Option<(Side, Dressing)> {
        let report = dressed.report;
        let side = side_of(report, on.dimension)?;
        if report.blade.is_some_and(|blade| blade != on.blade) {
            return None;
        }
        let mut radius_in = ruler.place(report.station_pct, report.station_in);
        let complete = report.blade.is_some() && report.surface.is_some() && radius_in.is_some() && dressed.is_dated();
        if counting == Counting::Recorded && !complete {
            return None;
        }
        if report.surface == Some(Surface::Tip) && radius_in.is_none() && dressed.unread.is_none() {
            // The tip is a place: of the listed stations the outermost is nearest to it.
            let listed = on.model.stations.iter().filter(|s| has_margin(s, on.dimension));
            radius_in = listed.filter_map(|s| ruler.station(s)).reduce(f64::max);
        }
        let depth = dressed.depth(counting, || self.stand_in_in(report.surface, on.dimension))?;
        let may_reach_anywhere = dressed.unread.is_some_and(|unread| unread.length_unread);
        // Without a day it may have been found when all else there was gone already: it adds to that.
        let (side, anywhere) = match dressed.is_dated() {
            true => (side, may_reach_anywhere),
            false => (Side::Either, true),
        };
        let radius_in = radius_in.filter(|_| counting != Counting::Worst || !anywhere);
        let dressing = Dressing {
            radius_in,
            depth,
            length: length_of(report),
            found: report.found,
            dressed: report.action_date,
            stands_in: dressed.stands_in(),
        };
        Some((side, dressing))
    }

    /// Takes off what was dressed since: at the stations, and at the radius of every blend and of every reading between them.
    pub(super) fn dress(&mut self, propeller: u32, on: OnBlade<'_>, margins: &mut [Margin]) {
        for margin in margins.iter_mut() {
            margin.margin_in = margin.value_in.zip(margin.minimum_in).map(|(value, min)| value - min);
            margin.margin_worst_in = margin.margin_in;
        }
        if self.history.touched {
            self.take_off(propeller, on, margins);
        }
        for margin in margins.iter_mut() {
            let limits = on.model.stations[usize::from(margin.station)].limits(on.dimension);
            margin.margin_in = margin.margin_in.map(round_to_nano);
            margin.margin_worst_in = margin.margin_worst_in.map(round_to_nano);
            margin.margin_fraction = fraction_left(margin.margin_in, limits);
        }
    }

    fn take_off(&mut self, propeller: u32, on: OnBlade<'_>, margins: &mut [Margin]) {
        let [recorded, worst] =
            [Counting::Recorded, Counting::Worst].map(|counting| self.work_out(propeller, on, counting));
        let [recorded, worst] = [recorded, worst].map(|at| self.worked_out(at));
        let same = self.history.whole;
        if recorded.is_empty() && worst.is_empty() && self.history.reads.between.is_empty() {
            return;
        }
        note_blends(on, worst, margins);
        let also = (!same).then(|| worst.centres()).into_iter().flatten();
        let points = self.points(on, margins, recorded.centres().chain(also));
        let standing: Vec<Option<f64>> = margins.iter().map(|m| m.margin_in).collect();
        for margin in margins.iter_mut() {
            (margin.margin_in, margin.margin_worst_in) = (None, None);
        }
        for point in points {
            if standing[point.row].is_none() {
                continue;
            }
            let margin = &mut margins[point.row];
            let gone = recorded.gone_at(point.at_in);
            let left = point.standing_in - gone;
            if margin.margin_in.is_none_or(|least| left < least) {
                margin.margin_in = Some(left);
                margin.dressed_since_in = round_to_nano(gone);
                margin.dressed_from = recorded.gone_since(point.at_in).filter(|_| gone > 0.0);
                margin.least_at_in = Some(point.at_in).filter(|_| !point.is_station);
            }
            if point.is_last_reading && margin.beside.is_none_or(|least| left < least.left_in) {
                margin.beside = Some(Left {
                    left_in: round_to_nano(left),
                    dressed_in: round_to_nano(gone),
                    dressed_from: recorded.gone_since(point.at_in).filter(|_| gone > 0.0),
                    at_in: Some(point.at_in),
                });
            }
            let gone = if same { gone } else { worst.gone_at(point.at_in) };
            let left = point.standing_in - gone;
            margin.margin_worst_in = Some(margin.margin_worst_in.map_or(left, |least| least.min(left)));
        }
    }

    /// Where a margin counts: the stations, the blends, and the readings between the stations.
    fn points(&self, on: OnBlade<'_>, margins: &[Margin], centres: impl Iterator<Item = f64>) -> Vec<Point> {
        let ruler = Ruler::of_model(on.model);
        let places: Vec<Option<f64>> =
            margins.iter().map(|m| ruler.station(&on.model.stations[usize::from(m.station)])).collect();
        let known = |m: &Margin| Some(m.value_in? - m.minimum_in?);
        let mut points: Vec<Point> = margins
            .iter()
            .zip(&places)
            .enumerate()
            .filter_map(|(row, (margin, place))| {
                let at_in = place.unwrap_or(0.0);
                Some(Point { row, at_in, standing_in: known(margin)?, is_station: true, is_last_reading: false })
            })
            .collect();
        let Some(radii) = places.iter().copied().collect::<Option<Vec<f64>>>() else { return points };
        let values = |of: &dyn Fn(&Margin) -> Option<f64>| -> Vec<StationValue> {
            let listed = margins.iter().zip(&radii);
            listed.filter_map(|(m, &station_in)| Some(StationValue { station_in, value_in: of(m)? })).collect()
        };
        let (standing, minima) = (values(&known), values(&|m| m.minimum_in));
        for at_in in centres {
            if let (Some(row), Some(there)) = (nearest_station(at_in, &radii), value_at(at_in, &standing)) {
                points.push(Point {
                    row,
                    at_in,
                    standing_in: there.value_in,
                    is_station: false,
                    is_last_reading: false,
                });
            }
        }
        let between = self.history.reads.between.iter();
        for reading in between.filter(|b| b.blade == on.blade && b.dimension == on.dimension) {
            let at_in = reading.at_in;
            let (Some(row), Some(minimum)) = (nearest_station(at_in, &radii), value_at(at_in, &minima)) else {
                continue;
            };
            let margin = &margins[row];
            let number = model_now(self.fleet, margin.propeller);
            let left_in = match (reading.missed, number) {
                (0, _) | (_, None) => reading.value_in,
                (missed, Some(model)) => self
                    .survey
                    .carried(margin.propeller, model, margin.station, on.dimension, missed)
                    .left_of(reading.value_in),
            };
            points.push(Point {
                row,
                at_in,
                standing_in: left_in - minimum.value_in,
                is_station: false,
                is_last_reading: reading.missed == 0,
            });
        }
        points
    }

    /// Margin in inches left at a finding's place once it is dressed: at the station and between its neighbours' midpoints,
    /// of every dimension its surface takes the smallest, and of the diameter where it lies at the tip.
    ///
    /// `margins` are the propeller's own, from [`MarginReader::of`]; its depth is measured from the surface of the day
    /// `found`. A finding that is dressed already is taken off once: by the last reading, or as a blend since. Without a
    /// place it may lie anywhere, without a blade on any. `None` at the hub, where no margin is known, and without a depth.
    pub fn left_once_dressed(&mut self, margins: &[Margin], finding: &Defect, found: Day) -> Option<f64> {
        let propeller = finding.propeller;
        let fleet = self.fleet;
        let model = fleet.models.get(model_now(fleet, propeller)?);
        let depth = depth_of(finding)?;
        self.prepare(propeller);
        let blades = match finding.blade {
            Some(blade) => blade..=blade,
            None => 1..=margins.iter().map(|m| m.blade).max()?,
        };
        let counting = self.counting(finding);
        // What may or may not be dressed is taken off in any case.
        let dressed = finding.action == Action::Blended;
        let ruler = Ruler::of_model(model);
        let place = ruler.place(finding.station_pct, finding.station_in);
        let own = Dressing {
            radius_in: place,
            depth,
            length: length_of(finding),
            found,
            dressed: Some(fleet.as_of),
            stands_in: false,
        };
        let of_blades = blades
            .flat_map(|blade| Dimension::ALL.map(|dimension| OnBlade { model, blade, dimension }))
            .filter_map(|on| Some((on, side_of(finding, on.dimension)?)))
            .filter_map(|(on, side)| {
                let there: Vec<Margin> =
                    margins.iter().filter(|m| m.blade == on.blade && m.dimension == on.dimension).copied().collect();
                let at = self.work_out(propeller, on, counting);
                let metal = self.worked_out(at);
                let points = self.points(on, &there, metal.centres().chain(place));
                let row = place.and_then(|place| {
                    let radii: Option<Vec<f64>> =
                        there.iter().map(|m| ruler.station(&model.stations[usize::from(m.station)])).collect();
                    nearest_station(place, &radii?)
                });
                let here = points.iter().filter(|p| match row {
                    // The station, and the finding's own radius.
                    Some(row) => p.row == row && (p.is_station || place == Some(p.at_in)),
                    None => true,
                });
                let gone = |at_in: f64| match dressed {
                    true => metal.gone_at(at_in),
                    false => metal.gone_with(side, &own, ratio(on.dimension), at_in),
                };
                here.map(|p| p.standing_in - gone(p.at_in)).reduce(f64::min)
            })
            .reduce(f64::min);
        let of_tip = match finding.surface {
            Some(Surface::Tip) => self.tip_left_once_dressed(finding, found),
            _ => None,
        };
        of_blades.into_iter().chain(of_tip).reduce(f64::min).map(round_to_nano)
    }

    /// A blend is judged by what is on record; what is not dressed yet, by what may lie under it too.
    fn counting(&self, finding: &Defect) -> Counting {
        match finding.action {
            Action::Blended => Counting::Recorded,
            _ => Counting::Known,
        }
    }

    /// Metal gone of a finding's surface at its place by the dressings before the day it was found.
    pub(in crate::analysis) fn gone_before(&mut self, finding: &Defect, found: Day, counting: Counting) -> f64 {
        let fleet = self.fleet;
        let Some(number) = model_now(fleet, finding.propeller) else { return 0.0 };
        let model = fleet.models.get(number);
        self.prepare(finding.propeller);
        if !self.history.touched {
            return 0.0;
        }
        let blades = match finding.blade {
            Some(blade) => blade..=blade,
            None => 1..=model.blades.unwrap_or(2).max(self.last.highest_blade()),
        };
        let place = Ruler::of_model(model).place(finding.station_pct, finding.station_in);
        let mut deepest = 0.0f64;
        for blade in blades {
            if finding.surface == Some(Surface::Tip) {
                deepest = deepest.max(self.tip_profile(finding.propeller, blade, counting).depth_before(0.0, found));
            }
            for dimension in Dimension::ALL {
                let Some(side) = side_of(finding, dimension) else { continue };
                let at = self.work_out(finding.propeller, OnBlade { model, blade, dimension }, counting);
                let metal = self.worked_out(at);
                let places: Vec<f64> = match place {
                    Some(place) => vec![place],
                    None => metal.all_centres().chain([0.0]).collect(),
                };
                for place in places {
                    deepest = deepest.max(metal.before(side, place, found));
                }
            }
        }
        deepest
    }

    /// Makes a propeller the one that is looked at.
    fn prepare(&mut self, propeller: u32) {
        if !self.history.is_of(propeller) {
            self.last.collect(self.fleet, propeller);
            self.history.collect(self.fleet, propeller);
        }
    }

    /// The profile of one blade's tip, all of it at one place.
    pub(super) fn tip_profile(&self, propeller: u32, blade: u8, counting: Counting) -> Profile {
        let fleet = self.fleet;
        let dressings = Dressed::of(fleet, propeller).filter_map(|dressed| {
            let d = dressed.report;
            let at_tip = match d.surface {
                Some(Surface::Tip) => true,
                None => counting != Counting::Recorded && d.station_pct.is_none_or(|pct| pct >= TIP_ALONE_PCT),
                Some(_) => false,
            };
            let here = match d.blade {
                Some(b) => b == blade && (counting != Counting::Recorded || dressed.is_dated()),
                None => counting != Counting::Recorded,
            };
            let depth = dressed.depth(counting, || self.stand_in_in(Some(Surface::Tip), Dimension::Width));
            let depth = depth.filter(|_| at_tip && here)?;
            Some(Dressing {
                radius_in: Some(0.0),
                depth,
                length: Length::AtLeast(0.0),
                // Without a day it adds to all else there.
                found: if dressed.is_dated() { d.found } else { fleet.as_of },
                dressed: d.action_date,
                stands_in: false,
            })
        });
        Profile::new(dressings, BLEND_RATIO_EDGE, |blend| {
            let from = blend.of.dressed?.max(blend.of.found);
            let visits = fleet.visits.of(propeller).iter();
            let read = |v: &&crate::records::visits::Visit| v.diameter_after_in.is_some() || v.changes_model;
            visits.filter(read).map(|v| v.day).find(|&day| day >= from)
        })
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

/// A place at which a margin counts.
#[derive(Debug, Clone, Copy)]
struct Point {
    /// The margin it belongs to.
    row: usize,
    at_in: f64,
    /// Left above the minimum before anything dressed since.
    standing_in: f64,
    is_station: bool,
    /// A reading of the last visit between the stations.
    is_last_reading: bool,
}
