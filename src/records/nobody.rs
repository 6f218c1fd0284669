//! Rows about a propeller that names none that is known: they may be about any that was in service.

use std::collections::HashMap;

use super::Fleet;
use super::choice::InspectionResult;
use super::gate::FIRST_DAY;
use super::ledger::SetAside;
use super::load::LoadedTable;
use super::rule::Rule;
use super::schema::Table;
use super::words::NO_WORD;
use crate::trade::calendar::Day;

/// Tables whose rows say what is wrong with a propeller, with the words for one such row and for several.
const TABLES: [(Table, &str, &str); 3] = [
    (Table::Defects, "a report", "damage reports"),
    (Table::Overhauls, "a shop visit", "shop visits"),
    (Table::Inspections, "an inspection", "inspections"),
];
/// Up to so many propellers each wait for a row that may be about them; of more, the row stands before all of them.
const MOST: usize = 5;

/// A row that may be about a propeller.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct MayBe {
    propeller: u32,
    table: Table,
    day: Option<Day>,
    row: u32,
}

/// Rows about nobody in particular.
#[derive(Debug, Clone, Default)]
pub struct Nobody {
    /// The rows that may be about one of a few propellers, by propeller.
    of_few: Vec<MayBe>,
    /// How many rows of each table may be about one of many.
    of_many: Vec<(Table, usize)>,
}

/// What decides whether a row of a day may be about a propeller.
struct Life {
    from: Option<Day>,
    to: Option<Day>,
    overhauled: Option<Day>,
}

impl Life {
    fn of(fleet: &Fleet<'_>, propeller: u32) -> Life {
        let of = fleet.propellers.get(propeller);
        let visits = fleet.visits.of(propeller);
        let first = visits.first().map(|v| v.day);
        Life {
            from: match (of.in_service, first) {
                (Some(a), Some(b)) => Some(a.min(b)),
                (a, _) => a,
            },
            to: fleet.end_of(propeller),
            overhauled: visits.iter().rfind(|v| v.restarts_clock()).map(|v| v.day),
        }
    }

    fn may_hold(&self, day: Option<Day>) -> bool {
        day.is_none_or(|day| {
            self.from.is_none_or(|from| from <= day)
                && self.to.is_none_or(|to| day <= to)
                && self.overhauled.is_none_or(|overhauled| overhauled < day)
        })
    }
}

impl Nobody {
    /// Of the rows that were set aside, those that name no known propeller or aircraft; `elsewhere` are serials and aircraft that
    /// other records answer for.
    pub(super) fn of(fleet: &Fleet<'_>, elsewhere: &[String]) -> Nobody {
        let mut nobody = Nobody::default();
        let mut lives: Option<Vec<Life>> = None;
        let mut whose: HashMap<Option<Day>, Vec<u32>> = HashMap::new();
        for (table, ..) in TABLES {
            let Some(loaded) = fleet.loaded.table(table) else {
                continue;
            };
            let mut many = 0;
            for aside in fleet.ledger.set_aside.iter().filter(|aside| aside.table == table) {
                if !is_about_nobody(fleet, loaded, aside, elsewhere) {
                    continue;
                }
                let day = day_of(loaded, aside.row);
                let lives = lives
                    .get_or_insert_with(|| (0..fleet.propellers.len() as u32).map(|p| Life::of(fleet, p)).collect());
                let candidates = whose.entry(day).or_insert_with(|| {
                    let all = (0u32..).zip(lives.iter()).filter(|(_, life)| life.may_hold(day));
                    all.map(|(propeller, _)| propeller).take(MOST + 1).collect()
                });
                if candidates.len() > MOST {
                    many += 1;
                } else {
                    let may_be = |&propeller: &u32| MayBe { propeller, table, day, row: aside.row };
                    nobody.of_few.extend(candidates.iter().map(may_be));
                }
            }
            nobody.of_many.extend((many > 0).then_some((table, many)));
        }
        nobody.of_few.sort_unstable();
        nobody
    }

    /// Whether rows may be about one of many propellers.
    pub fn is_of_many(&self) -> bool {
        !self.of_many.is_empty()
    }

    /// The lines that stand first: `3 damage reports name no known propeller`.
    pub fn lines(&self) -> Vec<String> {
        let line = |&(table, rows): &(Table, usize)| {
            let (_, one, several) = TABLES[TABLES.iter().position(|(of, ..)| *of == table)?];
            let one = one.split_once(' ').map_or(one, |(_, noun)| noun);
            Some(match rows {
                1 if table == Table::Defects => "1 damage report names no known propeller".to_string(),
                1 => format!("1 {one} names no known propeller"),
                rows => format!("{rows} {several} name no known propeller"),
            })
        };
        self.of_many.iter().filter_map(line).collect()
    }

    /// What may be about a propeller: the words for it, and what to do; the newest of each table, the tables in their order.
    pub fn of_propeller(&self, fleet: &Fleet<'_>, propeller: u32) -> Vec<(String, String)> {
        let from = self.of_few.partition_point(|of| of.propeller < propeller);
        let own = self.of_few[from..].iter().take_while(|of| of.propeller == propeller);
        let mut newest: Vec<MayBe> = Vec::new();
        for of in own {
            match newest.last_mut().filter(|last| last.table == of.table) {
                Some(last) => *last = *of,
                None => newest.push(*of),
            }
        }
        newest
            .into_iter()
            .filter_map(|of| {
                let (_, noun, _) = TABLES.into_iter().find(|(table, ..)| *table == of.table)?;
                let dated = of.day.map_or_else(|| " without a date".to_string(), |day| format!(" of {day}"));
                let place = fleet.loaded.in_brackets(of.table, Some(of.row), "propeller");
                let step = format!("find out whose it is and correct its serial in `{}`{place}", of.table.name());
                Some((format!("{noun}{dated} names no known propeller"), step))
            })
            .collect()
    }
}

/// Whether a row that was set aside names neither a known propeller, nor a known aircraft, nor one that is known elsewhere. An
/// inspection that was satisfactory only loses what it made good.
fn is_about_nobody(fleet: &Fleet<'_>, table: &LoadedTable, aside: &SetAside, elsewhere: &[String]) -> bool {
    let row = aside.row as usize;
    let is_known = |name: &str| {
        fleet.propellers.find(name).is_some()
            || fleet.propellers.is_later(name)
            || elsewhere.iter().any(|known| known == name)
    };
    let is_aircraft =
        |name: &str| fleet.flying.aircraft.find(name).is_some() || fleet.propellers.aircraft.find(name).is_some();
    match aside.rule {
        Rule::ConflictingRow { .. } => return false,
        Rule::Record(_) => {
            let pieces = table.broken().iter().filter(|broken| broken.row == aside.row).flat_map(|b| &b.pieces);
            return !pieces.clone().any(|piece| is_known(piece) || is_aircraft(piece));
        }
        _ => {}
    }
    let names = |column: &str, known: &dyn Fn(&str) -> bool| {
        let cell = table.text(column).map(|(codes, words)| (codes[row], words));
        cell.is_some_and(|(code, words)| code != NO_WORD && known(words.get(code)))
    };
    let satisfactory = InspectionResult::Satisfactory as u8;
    let is_good = aside.table == Table::Inspections && table.choices("result").is_none_or(|c| c[row] == satisfactory);
    !is_good
        && !names("propeller", &is_known)
        && !names("aircraft", &|name| is_aircraft(name) || elsewhere.iter().any(|known| known == name))
}

/// The row's own day, where it can be read.
fn day_of(table: &LoadedTable, row: u32) -> Option<Day> {
    let days = table.days(table.schema.own_date?)?;
    Some(days[row as usize]).filter(|&day| day >= FIRST_DAY).map(Day::from_number)
}
