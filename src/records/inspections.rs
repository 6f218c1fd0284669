//! Inspections of propellers.

use super::cells::NO_DAY;
use super::choice::{InspectionKind, InspectionResult};
use super::gate::Gate;
use super::models::set_conflict_aside;
use super::propellers::Propellers;
use super::rule::Doubt;
use super::same_key::SameKey;
use super::visits::{PropellerOfCode, set_unknown_propellers_aside};
use crate::trade::calendar::Day;

/// One inspection.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Inspection {
    /// Index of the propeller.
    pub propeller: u32,
    /// Its day.
    pub day: Day,
    /// Its kind.
    pub kind: Option<InspectionKind>,
    /// Its result; `None` when not recorded.
    pub result: Option<InspectionResult>,
    /// Day the next is due.
    pub next_due: Option<Day>,
    /// Row of the table, from 0.
    pub row: u32,
}

/// Every inspection, by propeller and day.
#[derive(Debug, Clone, Default)]
pub struct Inspections {
    list: Vec<Inspection>,
}

impl Inspections {
    /// One propeller's inspections in order of date.
    pub fn of(&self, propeller: u32) -> &[Inspection] {
        let from = self.list.partition_point(|i| i.propeller < propeller);
        let to = self.list.partition_point(|i| i.propeller <= propeller);
        &self.list[from..to]
    }

    /// Reads `inspections` through its gate.
    pub(super) fn read(gate: Option<&mut Gate<'_>>, propellers: &Propellers) -> Inspections {
        let Some(gate) = gate else {
            return Inspections::default();
        };
        let table = gate.table;
        let (Some((codes, words)), Some(days)) = (table.text("propeller"), table.days("inspection_date")) else {
            return Inspections::default();
        };
        let index = PropellerOfCode::new(words, propellers);
        set_unknown_propellers_aside(gate, codes, &index, propellers);
        let mut list: Vec<Inspection> = gate
            .used_rows()
            .filter_map(|row| {
                Some(Inspection {
                    propeller: index.of(codes[row])?,
                    day: Day::from_number(days[row]),
                    kind: table.choices("kind").and_then(|c| InspectionKind::of_cell(c[row])),
                    result: table.choices("result").and_then(|c| InspectionResult::of_cell(c[row])),
                    next_due: table
                        .days("next_due_date")
                        .map(|c| c[row])
                        .filter(|&d| d != NO_DAY)
                        .map(Day::from_number),
                    row: row as u32,
                })
            })
            .collect();
        list.sort_by_key(|i| (i.propeller, i.day, i.row));
        let mut rows = SameKey::new();
        list.dedup_by(|other, first| {
            let key = (other.propeller, other.day);
            let same_key = key == (first.propeller, first.day);
            if same_key {
                let said = |of: &Inspection| (of.kind, of.result, of.next_due);
                if rows.is_copy(key, said(first), said(other)) {
                    gate.caution(other.row, "propeller", Doubt::IdenticalRows, Some(other.propeller), None);
                } else {
                    if first.kind != other.kind {
                        first.kind = None;
                    }
                    first.result = match (first.result, other.result) {
                        (Some(a), Some(b)) => Some(a.max(b)),
                        _ => None,
                    };
                    first.next_due = match (first.next_due, other.next_due) {
                        (Some(a), Some(b)) => Some(a.min(b)),
                        (a, b) => a.or(b),
                    };
                    set_conflict_aside(gate, other.row, "inspection_date", first.row);
                }
            }
            same_key
        });
        Inspections { list }
    }
}
