//! What is said of each aircraft: how many propellers it carries at once, and its highest speed.

use super::cells::NO_SMALL;
use super::gate::Gate;
use super::models::set_conflict_aside;
use super::rule::{Doubt, Rule};
use super::same_key::SameKey;
use super::words::NO_WORD;

/// Propellers an aircraft carries at the most.
const MOST_POSITIONS: u8 = 8;

/// One aircraft.
#[derive(Debug, Clone, PartialEq)]
pub struct Aircraft {
    /// Its name.
    pub name: String,
    /// Its type.
    pub model: Option<String>,
    /// Its engine.
    pub engine: Option<String>,
    /// Highest speed of its propeller in revolutions a minute.
    pub max_rpm: Option<f64>,
    /// Propellers it carries at once.
    pub positions: u8,
    /// Row of the table, from 0.
    pub row: u32,
}

/// Every aircraft that `aircraft` lists, by name.
#[derive(Debug, Clone, Default)]
pub struct AircraftList {
    list: Vec<Aircraft>,
}

impl AircraftList {
    /// An aircraft by its name.
    pub fn find(&self, name: &str) -> Option<&Aircraft> {
        let at = self.list.binary_search_by(|a| a.name.as_str().cmp(name)).ok()?;
        self.list.get(at)
    }

    /// How many propellers an aircraft carries at once: one, where nothing is said.
    pub fn positions(&self, name: &str) -> usize {
        self.find(name).map_or(1, |aircraft| usize::from(aircraft.positions))
    }

    /// Reads `aircraft` through its gate.
    pub(super) fn read(gate: Option<&mut Gate<'_>>) -> AircraftList {
        let Some(gate) = gate else {
            return AircraftList::default();
        };
        let table = gate.table;
        let Some((codes, words)) = table.text("aircraft") else {
            return AircraftList::default();
        };
        let text = |name: &str, row: usize| {
            let (codes, words) = table.text(name)?;
            (codes[row] != NO_WORD).then(|| words.get(codes[row]).to_string())
        };
        let number = |name: &str, row: usize| table.numbers(name).map(|c| c[row]).filter(|v| !v.is_nan());
        let mut list: Vec<Aircraft> = Vec::new();
        let used: Vec<usize> = gate.used_rows().collect();
        for row in used {
            let positions = table.small("positions").map(|c| c[row]).filter(|&n| n != NO_SMALL).unwrap_or(1);
            if !(1..=MOST_POSITIONS).contains(&positions) {
                let (low, high) = (1.0, f64::from(MOST_POSITIONS));
                gate.set_aside(row as u32, "positions", Rule::OutOfRange { low, high });
                continue;
            }
            list.push(Aircraft {
                name: words.get(codes[row]).to_string(),
                model: text("aircraft_model", row),
                engine: text("engine", row),
                max_rpm: number("max_rpm", row),
                positions,
                row: row as u32,
            });
        }
        list.sort_by(|a, b| a.name.cmp(&b.name).then(a.row.cmp(&b.row)));
        let mut rows = SameKey::new();
        list.dedup_by(|other, first| {
            let same_key = other.name == first.name;
            if same_key {
                let said = |of: &Aircraft| Aircraft { row: 0, ..of.clone() };
                if rows.is_copy(codes[other.row as usize], said(first), said(other)) {
                    gate.caution(other.row, "aircraft", Doubt::IdenticalRows, None, None);
                } else {
                    // Fewer places and the higher speed are the less favourable.
                    first.positions = first.positions.min(other.positions);
                    first.max_rpm = first.max_rpm.into_iter().chain(other.max_rpm).reduce(f64::max);
                    let agreed = |a: &Option<String>, b: &Option<String>| a.clone().filter(|_| a == b);
                    first.model = agreed(&first.model, &other.model);
                    first.engine = agreed(&first.engine, &other.engine);
                    set_conflict_aside(gate, other.row, "aircraft", first.row);
                }
            }
            same_key
        });
        AircraftList { list }
    }
}
