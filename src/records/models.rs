//! Models and the limits of their stations.

use std::cmp::Ordering;
use std::collections::HashMap;

use super::cells::NONE_STATED;
use super::choice::{Force, IntervalFrom, MonthRule};
use super::gate::Gate;
use super::limits::read_limits;
use super::limits_of;
use super::model_rows::ModelRows;
use super::rule::Rule;
use crate::trade::constants::TRACK_LIMIT_IN;
use crate::trade::geometry::{Dimension, STATION_SNAP_IN, StationValue, value_at};

/// A number the maker may state.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stated {
    /// Nothing is recorded.
    NotRecorded,
    /// The maker states that there is no such limit.
    NoLimit,
    /// The figure.
    Value(f64),
}

impl Stated {
    /// Reads a cell of a column that may hold the word `none`.
    pub fn of_cell(cell: f64) -> Stated {
        if cell.is_nan() {
            Stated::NotRecorded
        } else if cell == NONE_STATED {
            Stated::NoLimit
        } else {
            Stated::Value(cell)
        }
    }

    /// The figure, if there is one.
    pub fn value(self) -> Option<f64> {
        match self {
            Stated::Value(value) => Some(value),
            _ => None,
        }
    }

    /// Of two statements the less favourable: the shorter, then the one not recorded, then none.
    pub(super) fn shorter(self, other: Stated) -> Stated {
        match (self, other) {
            (Stated::Value(a), Stated::Value(b)) => Stated::Value(a.min(b)),
            (Stated::Value(_), _) => self,
            (_, Stated::Value(_)) => other,
            (Stated::NotRecorded, _) | (_, Stated::NotRecorded) => Stated::NotRecorded,
            _ => Stated::NoLimit,
        }
    }
}

/// New and smallest dimension at a station, in inches.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Limits {
    /// Dimension of a new blade.
    pub new_in: Option<f64>,
    /// Smallest dimension the maker's manual allows.
    pub min_in: Option<f64>,
}

/// A station of a model.
#[derive(Debug, Clone, PartialEq)]
pub struct Station {
    /// Percent of the radius, when known.
    pub pct: Option<f64>,
    /// Distance from the hub centre in inches, when known.
    pub station_in: Option<f64>,
    /// Width limits.
    pub width: Limits,
    /// Thickness limits.
    pub thickness: Limits,
    /// Whether a limits row for it stands in the records and could be used.
    pub usable: bool,
    /// A minimum of it is not recorded or could not be read, and the tightest known of the model stands in.
    pub stands_in: bool,
}

impl Station {
    /// Whether this is the station at `pct` percent or `inches` from the hub centre.
    pub fn is_at(&self, pct: Option<f64>, inches: Option<f64>) -> bool {
        let near = |a: Option<f64>, b: Option<f64>, within: f64| match (a, b) {
            (Some(a), Some(b)) => Some((a - b).abs() <= within),
            _ => None,
        };
        near(self.station_in, inches, STATION_SNAP_IN + 1e-9).or_else(|| near(self.pct, pct, 0.2)).unwrap_or(false)
    }

    /// Limits of one dimension.
    pub fn limits(&self, dimension: Dimension) -> Limits {
        match dimension {
            Dimension::Width => self.width,
            Dimension::Thickness => self.thickness,
        }
    }

    /// A station whose limits are not known.
    pub(super) fn without_limits(pct: Option<f64>, station_in: Option<f64>) -> Station {
        let (width, thickness) = Default::default();
        Station { pct, station_in, width, thickness, usable: false, stands_in: false }
    }

    /// Order from the hub outward.
    pub(super) fn by_distance(&self, other: &Station) -> Ordering {
        let place = |s: &Station| s.pct.or(s.station_in).unwrap_or(f64::MAX);
        place(self)
            .total_cmp(&place(other))
            .then_with(|| self.pct.is_none().cmp(&other.pct.is_none()))
            .then_with(|| self.station_in.partial_cmp(&other.station_in).unwrap_or(Ordering::Equal))
    }
}

/// A model and what its maker states.
#[derive(Debug, Clone, PartialEq)]
pub struct Model {
    /// Designation.
    pub name: String,
    /// Diameter in inches.
    pub diameter_in: Option<f64>,
    /// Smallest diameter the maker's manual allows, in inches.
    pub diameter_min_in: Option<f64>,
    /// The column is there and its cell is empty or cannot be read: whether a smallest diameter is stated is not known.
    pub diameter_min_blank: bool,
    /// Number of blades.
    pub blades: Option<u8>,
    /// Overhaul interval in hours.
    pub interval_hours: Stated,
    /// Overhaul interval in months.
    pub interval_months: Stated,
    /// How the months end.
    pub month_rule: MonthRule,
    /// What the months count from.
    pub interval_from: IntervalFrom,
    /// Whether the interval binds.
    pub force: Force,
    /// Highest speed in revolutions a minute.
    pub max_rpm: Option<f64>,
    /// Track limit in inches.
    pub track_limit_in: f64,
    /// Whether the records state it: `None` where the column is there and the cell is empty.
    pub track_limit_stated: Option<bool>,
    /// Stations by distance from the hub.
    pub stations: Vec<Station>,
    /// Whether `limits` lists stations for it; else the stations are those measured.
    pub has_limits: bool,
    /// A limits row of this model could not be used.
    pub limits_unusable: bool,
    /// A limits row could not be used and its station is not known, so unlisted stations are accepted.
    pub stations_incomplete: bool,
    /// The `models` row it comes from; `None` when only `limits` names it.
    pub row: Option<u32>,
    /// No row of `models` names it, and what it says comes from rows whose name is lost, which may be its own.
    pub borrowed: bool,
}

impl Model {
    pub(super) fn named(name: &str) -> Model {
        Model {
            name: name.to_string(),
            diameter_in: None,
            diameter_min_in: None,
            diameter_min_blank: false,
            blades: None,
            interval_hours: Stated::NotRecorded,
            interval_months: Stated::NotRecorded,
            month_rule: MonthRule::SameDay,
            interval_from: IntervalFrom::Release,
            force: Force::Recommended,
            max_rpm: None,
            track_limit_in: TRACK_LIMIT_IN,
            track_limit_stated: Some(false),
            stations: Vec::new(),
            has_limits: false,
            limits_unusable: false,
            stations_incomplete: false,
            row: None,
            borrowed: false,
        }
    }

    pub(super) fn sort_stations(&mut self) {
        self.stations.sort_by(Station::by_distance);
    }

    /// A limits row for a place could not be used: what it meant may be stricter than another row for the same station, so
    /// the limits there are not known. Without a place, every station that is measured and not listed is one it may mean.
    pub(super) fn spoil_limits(&mut self, pct: Option<f64>, station_in: Option<f64>) {
        self.has_limits = true;
        self.limits_unusable = true;
        let known = self.stations.iter().position(|s| s.is_at(pct, station_in));
        match (known, pct, station_in) {
            (Some(at), ..) => {
                let station = &mut self.stations[at];
                (station.width, station.thickness) = Default::default();
                station.usable = false;
            }
            (None, None, None) => self.stations_incomplete = true,
            _ => self.stations.push(Station::without_limits(pct, station_in)),
        }
    }

    /// Whether a minimum is not known and the tightest known of the model stands in for it.
    pub fn limits_stand_in(&self) -> bool {
        self.stations.iter().any(|s| s.stands_in)
    }

    /// Position of the station at `pct` percent or `inches` from the hub centre.
    pub fn station_at(&self, pct: Option<f64>, inches: Option<f64>) -> Option<usize> {
        let (pct, inches) = self.place(pct, inches);
        self.stations.iter().position(|s| s.is_at(pct, inches))
    }

    /// Completes percent from inches or inches from percent, when the diameter is known.
    pub fn place(&self, pct: Option<f64>, inches: Option<f64>) -> (Option<f64>, Option<f64>) {
        match (pct, inches, self.diameter_in) {
            (Some(pct), None, Some(d)) => (Some(pct), Some(pct / 100.0 * d / 2.0)),
            (None, Some(inches), Some(d)) => (Some(inches / (d / 2.0) * 100.0), Some(inches)),
            other => (other.0, other.1),
        }
    }

    /// The new dimension at a place between the listed stations, linear between its neighbours and that of the nearest
    /// station beyond them; `None` where it is not known, or the place cannot be told against the stations.
    pub(super) fn new_between(&self, pct: Option<f64>, inches: Option<f64>, dimension: Dimension) -> Option<f64> {
        let (pct, inches) = self.place(pct, inches);
        let by = |at: Option<f64>, place: fn(&Station) -> Option<f64>| {
            let stations: Vec<StationValue> = self
                .stations
                .iter()
                .filter_map(|s| Some(StationValue { station_in: place(s)?, value_in: s.limits(dimension).new_in? }))
                .collect();
            value_at(at?, &stations).map(|there| there.value_in)
        };
        by(inches, |s| s.station_in).or_else(|| by(pct, |s| s.pct))
    }

    /// Whether a place can be told against the stations.
    pub(super) fn can_place(&self, pct: Option<f64>, inches: Option<f64>) -> bool {
        let (pct, inches) = self.place(pct, inches);
        let listed = |of: fn(&Station) -> Option<f64>| self.stations.iter().all(|s| of(s).is_some());
        !self.stations.is_empty()
            && ((inches.is_some() && listed(|s| s.station_in)) || (pct.is_some() && listed(|s| s.pct)))
    }

    /// The stations in words.
    pub fn stations_in_words(&self) -> String {
        self.stations
            .iter()
            .map(|s| match (s.pct, s.station_in) {
                (Some(pct), _) => format!("{} %", (pct * 10.0).round() / 10.0),
                (None, Some(inches)) => format!("{inches:.2} in"),
                (None, None) => String::new(),
            })
            .collect::<Vec<_>>()
            .join(", ")
    }
}

/// Models of a fleet, in order of their names.
#[derive(Debug, Clone, Default)]
pub struct Models {
    list: Vec<Model>,
    index: HashMap<String, u32>,
    /// The shortest hours and months that any row of `models` states, one whose name is lost included.
    pub shortest_interval: [Option<f64>; 2],
}

impl Models {
    /// Every model.
    pub fn list(&self) -> &[Model] {
        &self.list
    }

    /// A model by its number.
    pub fn get(&self, index: u32) -> &Model {
        &self.list[index as usize]
    }

    /// The number of a designation.
    pub fn find(&self, name: &str) -> Option<u32> {
        self.index.get(name).copied()
    }

    pub(super) fn get_mut(&mut self, index: u32) -> &mut Model {
        &mut self.list[index as usize]
    }

    /// Reads `models` and `limits` through their gates; `flown` are the designations that propellers and visits name.
    pub(super) fn read(
        models: Option<&mut Gate<'_>>,
        limits: Option<&mut Gate<'_>>,
        flown: &[&str],
        track_limit_in: f64,
    ) -> Models {
        let mut rows = ModelRows::default();
        if let Some(gate) = models {
            let in_limits = limits.as_ref().and_then(|gate| gate.table.text("model"));
            let named: Vec<&str> =
                flown.iter().copied().chain(in_limits.into_iter().flat_map(|(_, words)| words.iter())).collect();
            rows.read(gate, &named, track_limit_in);
        }
        let ModelRows { mut list, mut index, shared, shortest_interval, .. } = rows;
        if let Some(gate) = limits {
            read_limits(gate, &mut list, &mut index, flown);
        }
        let mut next: HashMap<u32, &str> = HashMap::new();
        for (model, of, _) in &shared {
            next.entry(*model).or_insert(of);
        }
        for (model, of, _) in &shared {
            let Some(of) = holder_of_limits(of, &list, &index, &next) else {
                continue;
            };
            let other = list[of as usize].clone();
            let model = &mut list[*model as usize];
            if !model.has_limits {
                model.stations = other.stations;
                model.has_limits = other.has_limits;
                model.limits_unusable |= other.limits_unusable;
                model.stations_incomplete |= other.stations_incomplete;
                if model.diameter_in.is_none() {
                    model.diameter_in = other.diameter_in;
                }
            }
        }
        for model in &mut list {
            let diameter = model.diameter_in;
            for station in &mut model.stations {
                if let Some(diameter) = diameter {
                    match (station.pct, station.station_in) {
                        (Some(pct), None) => station.station_in = Some(pct / 100.0 * diameter / 2.0),
                        (None, Some(inches)) => station.pct = Some(inches / (diameter / 2.0) * 100.0),
                        _ => {}
                    }
                }
            }
            model.sort_stations();
        }
        let mut order: Vec<usize> = (0..list.len()).collect();
        order.sort_by(|&a, &b| list[a].name.cmp(&list[b].name));
        let list: Vec<Model> = order.into_iter().map(|at| list[at].clone()).collect();
        let index = list.iter().enumerate().map(|(at, m)| (m.name.clone(), at as u32)).collect();
        Models { list, index, shortest_interval }
    }
}

/// The model that lists the limits itself, along the chain of `limits_of`; `None` when the chain ends.
fn holder_of_limits(
    name: &str,
    list: &[Model],
    index: &HashMap<String, u32>,
    next: &HashMap<u32, &str>,
) -> Option<u32> {
    let mut at = *index.get(name)?;
    for _ in 0..=limits_of::LONGEST_CHAIN {
        if list[at as usize].has_limits {
            return Some(at);
        }
        at = *index.get(*next.get(&at)?)?;
    }
    None
}

pub(super) fn number(column: Option<&[f64]>, row: usize) -> Option<f64> {
    column.map(|c| c[row]).filter(|v| !v.is_nan())
}

/// Sets the later of two rows with one key aside, naming the earlier.
pub(super) fn set_conflict_aside(gate: &mut Gate<'_>, row: u32, column: &str, first: u32) {
    let other = gate.table.place_of(Some(first), column).to_string().into();
    gate.set_aside(row, column, Rule::ConflictingRow { other });
}
