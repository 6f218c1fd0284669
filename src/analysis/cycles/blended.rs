//! How much metal the blends of a time took from each place of a propeller, as its damage reports tell.
//!
//! Of the blends of one blade the profile of [`crate::trade::profile`] says what is gone at each; it counts at the station that
//! is nearest, apart for those within [`SAME_RADIUS_IN`] of it, which a gauge there may feel, and for the others. The deepest
//! counts. Depths are held to the largest that the field-repair screen allows. Lengths in inches.

use crate::analysis::margins::{Ruler, depth_of, has_margin, length_of, ratio, side_of};
use crate::records::Fleet;
use crate::records::defects::Defect;
use crate::records::models::{Model, Station};
use crate::trade::calendar::Day;
use crate::trade::field_repair::{SAME_RADIUS_IN, ScreenLimits};
use crate::trade::geometry::{Dimension, nearest_station};
use crate::trade::profile::{Depth, Dressing, Metal, Profile, Side};

/// What blends took at a station: those near it, and the others nearest to it. `NaN` where it is not known.
pub type Taken = [f64; 2];

/// Nothing was taken.
pub const NOTHING: Taken = [0.0; 2];
const NOT_KNOWN: Taken = [f64::NAN; 2];

/// Before all records.
pub const FIRST: Day = Day::from_number(i32::MIN / 2);

/// A time on one blade and dimension.
type Key = (u8, Dimension, Day, Day);

/// The blends of one propeller.
#[derive(Debug, Default)]
pub struct Blends {
    reports: Vec<Defect>,
    worked_out: Vec<(Key, Vec<Taken>)>,
}

/// Whether a report tells of a blend that takes metal from width or thickness.
pub fn is_blend(report: &Defect) -> bool {
    report.may_be_dressed() && Dimension::ALL.into_iter().any(|d| side_of(report, d).is_some())
}

/// Day from which a blend counts.
pub fn dressed_on(report: &Defect) -> Day {
    report.action_date.unwrap_or(report.found).max(report.found)
}

/// The depth of a blend held to what the screen allows.
pub fn depth_in(report: &Defect) -> Option<f64> {
    let depth = match depth_of(report)? {
        Depth::BelowSurface(depth) | Depth::BelowOriginal(depth) => depth,
    };
    let most = ScreenLimits::default().depth_limit_in(report.surface).unwrap_or(0.0);
    Some(depth.min(most))
}

/// The stations of a model that have a margin in a dimension, with their places.
pub fn listed(model: &Model, dimension: Dimension) -> (Vec<u8>, Option<Vec<f64>>) {
    let ruler = Ruler::of_model(model);
    let stations = model.stations.iter().enumerate();
    let (numbers, listed): (Vec<u8>, Vec<&Station>) =
        stations.filter(|(_, s)| has_margin(s, dimension)).map(|(number, s)| (number as u8, s)).unzip();
    (numbers, listed.iter().map(|s| ruler.station(s)).collect())
}

impl Blends {
    /// Takes up a propeller.
    pub fn collect(&mut self, fleet: &Fleet<'_>, propeller: u32) {
        self.reports.clear();
        self.worked_out.clear();
        self.reports.extend(fleet.defects.of(propeller).iter().filter(|d| is_blend(d)).cloned());
    }

    /// What was taken at a station from the day after `from` to `to`.
    pub fn taken(
        &mut self,
        model: Option<&Model>,
        (blade, station): (u8, u8),
        dimension: Dimension,
        (from, to): (Day, Day),
    ) -> Taken {
        if self.reports.is_empty() {
            return NOTHING;
        }
        let Some(model) = model else { return NOT_KNOWN };
        let key = (blade, dimension, from, to);
        let at = self.worked_out.iter().position(|(known, _)| *known == key).unwrap_or_else(|| {
            let taken = self.work_out(model, key);
            self.worked_out.push((key, taken));
            self.worked_out.len() - 1
        });
        self.worked_out[at].1.get(usize::from(station)).copied().unwrap_or(NOTHING)
    }

    fn work_out(&self, model: &Model, (blade, dimension, from, to): Key) -> Vec<Taken> {
        let mut taken = vec![NOTHING; model.stations.len()];
        let of_time: Vec<(Side, &Defect)> = self
            .reports
            .iter()
            .filter(|d| d.blade.is_none_or(|b| b == blade) && (from < dressed_on(d) && dressed_on(d) <= to))
            .filter_map(|d| Some((side_of(d, dimension)?, d)))
            .collect();
        if of_time.is_empty() {
            return taken;
        }
        let ruler = Ruler::of_model(model);
        let (numbers, places) = listed(model, dimension);
        let nearest = |report: &Defect| {
            let place = ruler.place(report.station_pct, report.station_in)?;
            let places = places.as_ref()?;
            let at = nearest_station(place, places)?;
            Some((usize::from(numbers[at]), place, usize::from((places[at] - place).abs() > SAME_RADIUS_IN)))
        };
        let dressings: Vec<(Side, Dressing)> = of_time
            .iter()
            .filter_map(|(side, d)| {
                let depth_in = depth_in(d)?;
                let depth = match depth_of(d)? {
                    Depth::BelowSurface(_) => Depth::BelowSurface(depth_in),
                    Depth::BelowOriginal(_) => Depth::BelowOriginal(depth_in),
                };
                let radius_in = nearest(d)?.1;
                let (length, dressed) = (length_of(d), Some(dressed_on(d)));
                let of =
                    Dressing { radius_in: Some(radius_in), depth, length, found: d.found, dressed, stands_in: false };
                Some((*side, of))
            })
            .collect();
        let metal = Metal::new(&dressings, ratio(dimension), Profile::never_read);
        for (_, report) in of_time {
            let known = report.blade.is_some() && report.surface.is_some();
            match nearest(report) {
                None => return vec![NOT_KNOWN; taken.len()],
                Some((station, ..)) if !known || depth_in(report).is_none() => taken[station] = NOT_KNOWN,
                Some((station, place, far)) => {
                    // Not known stays that: a `NaN` is larger than nothing, and smaller than nothing either.
                    let gone = metal.gone_at(place);
                    if (taken[station][far] < gone || gone.is_nan()) && !taken[station][far].is_nan() {
                        taken[station][far] = gone;
                    }
                }
            }
        }
        taken
    }
}
