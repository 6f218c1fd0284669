//! Reads `limits`: the new and the smallest dimension at each station of a model.

use std::collections::HashMap;

use super::gate::Gate;
use super::ledger::Fate;
use super::load::LoadedTable;
use super::models::{Limits, Model, Station, number, set_conflict_aside};
use super::rule::{Doubt, Rule};
use super::schema::Table;
use super::words::NO_WORD;

/// The first row of a model's station, and what each of its rows says of width and thickness.
type RowsOfStation = (u32, Vec<[Limits; 2]>);

struct LimitsColumns<'a> {
    pct: Option<&'a [f64]>,
    station: Option<&'a [f64]>,
    dimensions: [Option<&'a [f64]>; 4],
}

impl<'a> LimitsColumns<'a> {
    fn of(table: &'a LoadedTable) -> LimitsColumns<'a> {
        LimitsColumns {
            pct: table.numbers("station_pct"),
            station: table.numbers("station"),
            dimensions: ["width_new", "width_min", "thickness_new", "thickness_min"].map(|name| table.numbers(name)),
        }
    }

    fn place(&self, model: &Model, row: usize) -> (Option<f64>, Option<f64>) {
        model.place(number(self.pct, row), number(self.station, row))
    }

    /// Width and thickness.
    fn limits(&self, row: usize) -> [Limits; 2] {
        let dimension = |at: usize| number(self.dimensions[at], row);
        [0, 2].map(|at| Limits { new_in: dimension(at), min_in: dimension(at + 1) })
    }

    /// The column of a minimum that is above the new dimension.
    fn minimum_above_new(&self, row: usize) -> Option<&'static str> {
        let above = |l: Limits| l.min_in.zip(l.new_in).is_some_and(|(min, new)| min > new);
        let [width, thickness] = self.limits(row).map(above);
        match (width, thickness) {
            (true, _) => Some("width_min"),
            (_, true) => Some("thickness_min"),
            _ => None,
        }
    }
}

/// Reads `limits` through its gate into the models; a model that only `limits` names is added.
pub(super) fn read_limits(gate: &mut Gate<'_>, list: &mut Vec<Model>, index: &mut HashMap<String, u32>) {
    let table = gate.table;
    let Some((codes, words)) = table.text("model") else {
        return;
    };
    let columns = LimitsColumns::of(table);
    let upside_down: Vec<(usize, &'static str)> =
        gate.used_rows().filter_map(|row| Some((row, columns.minimum_above_new(row)?))).collect();
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
    // From the hub outward: which rows share a station must not depend on their order.
    places.sort_by(|(_, _, a), (_, _, b)| a.by_distance(b));
    for (number_of, row, Station { pct, station_in, .. }) in places {
        let model = &mut list[number_of as usize];
        let [width, thickness] = columns.limits(row);
        let known = model.stations.iter().position(|s| s.is_at(pct, station_in));
        let Some(at) = known else {
            let rows = vec![[width, thickness]];
            said.insert((number_of, model.stations.len()), (row as u32, rows));
            model.stations.push(Station { pct, station_in, width, thickness, usable: true });
            continue;
        };
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
    // A limits record that could not be cut may still name its model.
    for broken in table.broken() {
        for model in list.iter_mut() {
            if broken.pieces.contains(&model.name) {
                model.spoil_limits(None, None);
                gate.caution(broken.row, "model", Doubt::LimitsNotUsed, None, None);
            }
        }
    }
    debug_assert_eq!(table.schema.table, Table::Limits);
}

/// The less favourable of two statements: the smaller new dimension and the larger minimum.
fn stricter(a: Limits, b: Limits) -> Limits {
    let pick = |a: Option<f64>, b: Option<f64>, of: fn(f64, f64) -> f64| match (a, b) {
        (Some(a), Some(b)) => Some(of(a, b)),
        (a, b) => a.or(b),
    };
    Limits { new_in: pick(a.new_in, b.new_in, f64::min), min_in: pick(a.min_in, b.min_in, f64::max) }
}
