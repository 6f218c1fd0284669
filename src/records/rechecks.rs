//! Second looks at findings.

use super::cells::NO_SMALL;
use super::choice::RecheckResult;
use super::defects::{Defect, Defects, model_on};
use super::gate::Gate;
use super::models::Models;
use super::propellers::Propellers;
use super::rule::Rule;
use super::visits::{PropellerOfCode, Visits, named_by_broken, set_unknown_propellers_aside};
use super::words::NO_WORD;
use crate::trade::calendar::Day;

/// Places this near each other along the radius, in percent, are one place.
const SAME_PLACE_PCT: f64 = 1.0;

/// One second look at a finding.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Recheck {
    /// Number of the report in [`Defects::list`].
    pub report: u32,
    /// Its day.
    pub day: Day,
    /// Depth as measured again, in inches.
    pub depth_in: Option<f64>,
    /// What was seen; `None` when not recorded.
    pub result: Option<RecheckResult>,
    /// Whether a name stands beside it.
    pub signed: bool,
    /// Row of the table, from 0.
    pub row: u32,
}

/// Every second look.
#[derive(Debug, Clone, Default)]
pub struct Rechecks {
    /// By report and day.
    list: Vec<Recheck>,
    /// Propellers with one that could not be used and may say worse, with its row.
    pub spoiled: Vec<(u32, u32)>,
}

impl Rechecks {
    /// The second looks at one report in order of date.
    pub fn of(&self, report: u32) -> &[Recheck] {
        let from = self.list.partition_point(|r| r.report < report);
        let to = self.list.partition_point(|r| r.report <= report);
        &self.list[from..to]
    }

    /// The row of one of a propeller that could not be used and may say worse.
    pub fn spoiled_of(&self, propeller: u32) -> Option<u32> {
        self.spoiled.iter().find(|&&(p, _)| p == propeller).map(|&(_, row)| row)
    }

    /// Reads `rechecks` through its gate.
    pub(super) fn read(
        gate: Option<&mut Gate<'_>>,
        propellers: &Propellers,
        models: &Models,
        visits: &Visits,
        defects: &Defects,
    ) -> Rechecks {
        let Some(gate) = gate else {
            return Rechecks::default();
        };
        let table = gate.table;
        let (Some((codes, words)), Some(found), Some(days)) =
            (table.text("propeller"), table.days("found_date"), table.days("date"))
        else {
            return Rechecks::default();
        };
        let index = PropellerOfCode::new(words, propellers);
        set_unknown_propellers_aside(gate, codes, &index, propellers);
        let number = |name: &str, row: usize| table.numbers(name).map(|c| c[row]).filter(|v| !v.is_nan());
        let result = |row: usize| table.choices("result").and_then(|c| RecheckResult::of_cell(c[row]));
        let mut list = Vec::new();
        let used: Vec<usize> = gate.used_rows().collect();
        for row in used {
            let Some(propeller) = index.of(codes[row]) else {
                continue;
            };
            let of_day = Day::from_number(found[row]);
            let blade = table.small("blade").map(|c| c[row]).filter(|&b| b != NO_SMALL);
            let (mut pct, inches) = (number("station_pct", row), number("station", row));
            if let Some(model) = model_on(propellers, visits, propeller, of_day) {
                pct = models.get(model).place(pct, inches).0;
            }
            let fits = |report: &Defect| {
                report.found == of_day
                    && blade.zip(report.blade).is_none_or(|(a, b)| a == b)
                    && pct.zip(report.station_pct).is_none_or(|(a, b)| (a - b).abs() <= SAME_PLACE_PCT)
            };
            let first = defects.first_of(propeller);
            let matches: Vec<u32> =
                (first..).zip(defects.of(propeller)).filter(|(_, report)| fits(report)).map(|(at, _)| at).collect();
            let result = result(row);
            let makes_good = matches!(result, Some(RecheckResult::Unchanged | RecheckResult::Gone));
            // One that says worse stands against every finding it may be of; one that makes good must name its own.
            if matches.is_empty() || (makes_good && matches.len() > 1) {
                let of = defects.of(propeller).iter().map(|d| d.found.to_string());
                let mut of: Vec<String> = of.collect();
                of.dedup();
                gate.set_aside(row as u32, "found_date", Rule::NoSuchFinding { days: of.join(", ").into() });
                continue;
            }
            list.extend(matches.into_iter().map(|report| Recheck {
                report,
                day: Day::from_number(days[row]),
                depth_in: number("depth", row),
                result,
                signed: table.text("by").is_some_and(|(c, _)| c[row] != NO_WORD),
                row: row as u32,
            }));
        }
        list.sort_by_key(|r| (r.report, r.day, r.row));
        let broken = named_by_broken(gate, propellers);
        let is_good = |row: u32| {
            let pieces = table.broken().iter().find(|b| b.row == row).map(|b| &b.pieces);
            [RecheckResult::Unchanged, RecheckResult::Gone].into_iter().any(|good| match pieces {
                Some(pieces) => pieces.iter().any(|piece| piece == good.word()),
                None => result(row as usize) == Some(good),
            })
        };
        let mut spoiled: Vec<(u32, u32)> = gate
            .set_aside
            .iter()
            .filter_map(|s| Some((index.of(codes[s.row as usize])?, s.row)))
            .chain(broken.into_iter().map(|(row, propeller)| (propeller, row)))
            .filter(|&(_, row)| !is_good(row))
            .collect();
        spoiled.sort_unstable();
        spoiled.dedup();
        Rechecks { list, spoiled }
    }
}
