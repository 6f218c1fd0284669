//! Reads `limits`: the new and the smallest dimension at each station of a model.

use std::collections::HashMap;

use super::gate::Gate;
use super::ledger::Fate;
use super::load::LoadedTable;
use super::models::{Limits, Model, Station, number, set_conflict_aside};
use super::rule::{Doubt, Rule};
use super::schema::Table;
use super::words::NO_WORD;
use crate::trade::geometry::Dimension;

/// The first row of a model's station, and what each of its rows says of width and thickness.
type RowsOfStation = (u32, Vec<[Limits; 2]>);

/// Columns of the new and the smallest width and thickness.
const DIMENSIONS: [[&str; 2]; 2] = [["width_new", "width_min"], ["thickness_new", "thickness_min"]];

struct LimitsColumns<'a> {
    pct: Option<&'a [f64]>,
    station: Option<&'a [f64]>,
}

impl<'a> LimitsColumns<'a> {
    fn of(table: &'a LoadedTable) -> LimitsColumns<'a> {
        LimitsColumns { pct: table.numbers("station_pct"), station: table.numbers("station") }
    }

    fn place(&self, model: &Model, row: usize) -> (Option<f64>, Option<f64>) {
        model.place(number(self.pct, row), number(self.station, row))
    }

    /// Width and thickness.
    fn limits(gate: &Gate<'_>, row: usize) -> [Limits; 2] {
        DIMENSIONS.map(|[new, min]| Limits { new_in: gate.number(new, row), min_in: gate.number(min, row) })
    }

    /// The column of a minimum that is above the new dimension.
    fn minimum_above_new(gate: &Gate<'_>, row: usize) -> Option<&'static str> {
        let limits = LimitsColumns::limits(gate, row);
        let above = |l: &Limits| l.min_in.zip(l.new_in).is_some_and(|(min, new)| min > new);
        limits.iter().zip(DIMENSIONS).find(|(l, _)| above(l)).map(|(_, [_, min])| min)
    }
}

/// Reads `limits` through its gate into the models; a model that only `limits` names is added.
///
/// `flown` are the designations that propellers and visits name.
pub(super) fn read_limits(
    gate: &mut Gate<'_>,
    list: &mut Vec<Model>,
    index: &mut HashMap<String, u32>,
    flown: &[&str],
) {
    let table = gate.table;
    let Some((codes, words)) = table.text("model") else {
        return;
    };
    let columns = LimitsColumns::of(table);
    let upside_down: Vec<(usize, &'static str)> =
        gate.used_rows().filter_map(|row| Some((row, LimitsColumns::minimum_above_new(gate, row)?))).collect();
    for (row, column) in upside_down {
        gate.set_aside(row as u32, column, Rule::MinimumAboveNew);
    }
    let unusable: Vec<usize> =
        (0..table.rows).filter(|&row| gate.fates[row] == Fate::SetAside && codes[row] != NO_WORD).collect();
    let mut said: HashMap<(u32, usize), RowsOfStation> = HashMap::new();
    let used: Vec<usize> = gate.used_rows().collect();
    let mut places: Vec<(u32, usize, Station)> = Vec::with_capacity(used.len());
    for row in used {
        let name = words.get(codes[row]);
        let number_of = *index.entry(name.to_string()).or_insert_with(|| {
            list.push(Model::named(name));
            list.len() as u32 - 1
        });
        let model = &mut list[number_of as usize];
        model.has_limits = true;
        let (pct, station_in) = columns.place(model, row);
        places.push((number_of, row, Station::without_limits(pct, station_in)));
    }
    let mut lost: Vec<LostMinimum> = Vec::new();
    // From the hub outward: which rows share a station must not depend on their order.
    places.sort_by(|(_, _, a), (_, _, b)| a.by_distance(b));
    for (number_of, row, Station { pct, station_in, .. }) in places {
        let model = &mut list[number_of as usize];
        let [width, thickness] = LimitsColumns::limits(gate, row);
        let known = model.stations.iter().position(|s| s.is_at(pct, station_in));
        let Some(at) = known else {
            let rows = vec![[width, thickness]];
            said.insert((number_of, model.stations.len()), (row as u32, rows));
            lost.extend(LostMinimum::of(gate, row, number_of, model.stations.len()));
            model.stations.push(Station { pct, station_in, width, thickness, usable: true, stands_in: false });
            continue;
        };
        lost.extend(LostMinimum::of(gate, row, number_of, at));
        let (first, rows) = said.entry((number_of, at)).or_default();
        if rows.contains(&[width, thickness]) {
            gate.caution(row as u32, "model", Doubt::IdenticalRows, None, None);
        } else {
            let station = &mut model.stations[at];
            station.width = stricter(station.width, width);
            station.thickness = stricter(station.thickness, thickness);
            rows.push([width, thickness]);
            set_conflict_aside(gate, row as u32, "model", *first);
        }
    }
    let tightest: Vec<[Option<f64>; 2]> = list.iter().map(tightest_allowances).collect();
    for lost in lost {
        lost.stand_in(gate, &mut list[lost.model as usize], tightest[lost.model as usize]);
    }
    let mut spoiled: Vec<(u32, usize, Station)> = unusable
        .into_iter()
        .filter_map(|row| {
            // A row set aside defines no model of its own.
            let number_of = *index.get(words.get(codes[row]))?;
            let (pct, station_in) = columns.place(&list[number_of as usize], row);
            Some((number_of, row, Station::without_limits(pct, station_in)))
        })
        .collect();
    spoiled.sort_by(|(_, _, a), (_, _, b)| a.by_distance(b));
    for (number_of, row, Station { pct, station_in, .. }) in spoiled {
        list[number_of as usize].spoil_limits(pct, station_in);
        gate.caution(row as u32, "model", Doubt::LimitsNotUsed, None, None);
    }
    // A limits record that could not be cut may still name its model; one that names none may be any model's.
    for broken in table.broken() {
        let names = |model: &Model| broken.pieces.contains(&model.name);
        let any = !list.iter().any(names);
        for model in list.iter_mut().filter(|model| any || names(model)) {
            model.spoil_limits(None, None);
            gate.caution(broken.row, "model", Doubt::LimitsNotUsed, None, None);
        }
    }
    spoil_by_strangers(gate, list, flown);
    debug_assert_eq!(table.schema.table, Table::Limits);
}

/// What each dimension of a new blade may lose at the station where it may lose least.
fn tightest_allowances(model: &Model) -> [Option<f64>; 2] {
    Dimension::ALL.map(|dimension| {
        let allowed = |s: &Station| {
            let of = s.limits(dimension);
            Some(of.new_in? - of.min_in?)
        };
        model.stations.iter().filter_map(allowed).reduce(f64::min)
    })
}

/// A minimum that is not recorded beside its new dimension, or could not be read.
#[derive(Clone, Copy)]
struct LostMinimum {
    row: usize,
    model: u32,
    station: usize,
    dimension: Dimension,
    /// Something stands there.
    unreadable: bool,
}

impl LostMinimum {
    /// Those of a row.
    fn of(gate: &Gate<'_>, row: usize, model: u32, station: usize) -> impl Iterator<Item = LostMinimum> {
        let limits = LimitsColumns::limits(gate, row);
        Dimension::ALL.into_iter().filter_map(move |dimension| {
            let [_, column] = DIMENSIONS[dimension as usize];
            let Limits { new_in, min_in } = limits[dimension as usize];
            let unreadable = gate.is_unreadable(row as u32, column);
            let is_blank = new_in.is_some() && gate.table.numbers(column).is_some();
            (min_in.is_none() && (unreadable || is_blank)).then_some(LostMinimum {
                row,
                model,
                station,
                dimension,
                unreadable,
            })
        })
    }

    /// Lets the tightest known of the model stand in; where none is known, the station's limits are not known.
    fn stand_in(self, gate: &mut Gate<'_>, model: &mut Model, tightest: [Option<f64>; 2]) {
        let station = &mut model.stations[self.station];
        let limits = match self.dimension {
            Dimension::Width => &mut station.width,
            Dimension::Thickness => &mut station.thickness,
        };
        if limits.min_in.is_some() && !self.unreadable {
            return;
        }
        match limits.new_in.zip(tightest[self.dimension as usize]) {
            Some((new, allowed)) => {
                limits.min_in = Some((new - allowed).max(limits.min_in.unwrap_or(0.0)));
                station.stands_in = true;
                if !self.unreadable {
                    let [_, column] = DIMENSIONS[self.dimension as usize];
                    gate.caution(self.row as u32, column, Doubt::MinimumStandsIn, None, None);
                }
            }
            None if self.unreadable => {
                station.usable &= limits.min_in.is_some();
                model.limits_unusable = true;
            }
            None => {}
        }
    }
}

/// A model that nothing but `limits` names, with fewer rows there than any model in use, looks like one whose name was
/// misspelt: its rows may be any model's.
fn spoil_by_strangers(gate: &mut Gate<'_>, list: &mut [Model], flown: &[&str]) {
    let is_stranger = |m: &Model| m.row.is_none() && !m.borrowed && !flown.contains(&m.name.as_str());
    let of_known = list.iter().filter(|m| m.has_limits && !is_stranger(m)).map(|m| m.stations.len());
    let Some(fewest) = of_known.min() else {
        return;
    };
    let strangers: Vec<String> =
        list.iter().filter(|m| is_stranger(m) && m.stations.len() < fewest).map(|m| m.name.clone()).collect();
    if strangers.is_empty() {
        return;
    }
    for model in list.iter_mut().filter(|m| m.has_limits && !is_stranger(m)) {
        model.spoil_limits(None, None);
    }
    let Some((codes, words)) = gate.table.text("model") else {
        return;
    };
    for row in gate.used_rows().collect::<Vec<_>>() {
        if strangers.iter().any(|name| name == words.get(codes[row])) {
            gate.caution(row as u32, "model", Doubt::LimitsOfNoModel, None, None);
        }
    }
}

/// The less favourable of two statements: the smaller new dimension and the larger minimum.
fn stricter(a: Limits, b: Limits) -> Limits {
    let pick = |a: Option<f64>, b: Option<f64>, of: fn(f64, f64) -> f64| match (a, b) {
        (Some(a), Some(b)) => Some(of(a, b)),
        (a, b) => a.or(b),
    };
    Limits { new_in: pick(a.new_in, b.new_in, f64::min), min_in: pick(a.min_in, b.min_in, f64::max) }
}
