//! What people decided about a propeller, and until when.

use super::cells::NO_DAY;
use super::gate::Gate;
use super::propellers::Propellers;
use super::rule::Doubt;
use super::visits::{PropellerOfCode, set_unknown_propellers_aside};
use super::words::NO_WORD;
use crate::trade::calendar::Day;

/// One decision.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Decision {
    /// Index of the propeller.
    pub propeller: u32,
    /// Its day.
    pub day: Day,
    /// The reason that was looked at, as it is written.
    pub reason: Option<Box<str>>,
    /// What was decided.
    pub decision: Option<Box<str>>,
    /// The last day it holds.
    pub until: Option<Day>,
    /// Who decided.
    pub by: Option<Box<str>>,
    /// Where it is written down.
    pub reference: Option<Box<str>>,
    /// Row of the table, from 0.
    pub row: u32,
}

/// Every decision up to the as-of date.
#[derive(Debug, Clone, Default)]
pub struct Decisions {
    /// By propeller, day and row.
    list: Vec<Decision>,
}

impl Decisions {
    /// The decisions about one propeller, in order of day.
    pub fn of(&self, propeller: u32) -> &[Decision] {
        let from = self.list.partition_point(|d| d.propeller < propeller);
        let to = self.list.partition_point(|d| d.propeller <= propeller);
        &self.list[from..to]
    }

    /// Reads `decisions` through its gate.
    pub(super) fn read(gate: Option<&mut Gate<'_>>, propellers: &Propellers) -> Decisions {
        let Some(gate) = gate else {
            return Decisions::default();
        };
        let table = gate.table;
        let (Some((codes, words)), Some(days)) = (table.text("propeller"), table.days("date")) else {
            return Decisions::default();
        };
        let index = PropellerOfCode::new(words, propellers);
        set_unknown_propellers_aside(gate, codes, &index, propellers);
        let text = |name: &str, row: usize| {
            let (codes, words) = table.text(name)?;
            Some(codes[row]).filter(|&code| code != NO_WORD).map(|code| Box::from(words.get(code)))
        };
        let until = table.days("until");
        let used: Vec<usize> = gate.used_rows().collect();
        let mut list: Vec<Decision> = Vec::with_capacity(used.len());
        for row in used {
            let Some(propeller) = index.of(codes[row]) else { continue };
            list.push(Decision {
                propeller,
                day: Day::from_number(days[row]),
                reason: text("reason", row),
                decision: text("decision", row),
                until: until.map(|c| c[row]).filter(|&d| d != NO_DAY).map(Day::from_number),
                by: text("by", row),
                reference: text("reference", row),
                row: row as u32,
            });
        }
        list.sort_by_key(|d| (d.propeller, d.day, d.row));
        for decision in &list {
            let missing = match decision {
                Decision { reason: None, .. } => Some("reason"),
                Decision { until: None, .. } => Some("until"),
                Decision { by: None, .. } => Some("by"),
                _ => None,
            };
            let ends_before = decision.until.is_some_and(|until| until < decision.day);
            let doubt = match missing {
                _ if ends_before => Some(("until", Doubt::EndsBeforeDecision)),
                Some(column) => Some((column, Doubt::DecisionIncomplete)),
                None => None,
            };
            if let Some((column, doubt)) = doubt {
                gate.caution(decision.row, column, doubt, Some(decision.propeller), None);
            }
        }
        Decisions { list }
    }
}
