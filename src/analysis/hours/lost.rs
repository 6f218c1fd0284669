//! Readings that stand in the records and could not be used: hours that may have been flown without being counted.

use crate::records::Fleet;
use crate::records::ledger::SetAside;
use crate::records::load::LoadedTable;
use crate::records::rule::Rule;
use crate::records::schema::Table;
use crate::trade::calendar::Day;

/// First day a record may carry, as the checks of the records have it (1930-01-01).
const FIRST_DAY: i32 = -14_610;

/// Lost readings, by whom they name.
#[derive(Debug, Clone, Default)]
pub(super) struct Lost {
    /// Readings of a propeller's hours, by propeller.
    hours: Vec<(u32, Option<Day>)>,
    /// Fittings, by propeller.
    fittings: Vec<(u32, Option<Day>)>,
    /// Readings of an aircraft's meters, by aircraft.
    meters: Vec<(u32, Option<Day>)>,
    /// Whether visits have a column for hours at all.
    visits_have_hours: bool,
}

impl Lost {
    pub(super) fn of(fleet: &Fleet<'_>) -> Lost {
        let propeller = |name: &str| fleet.propellers.find(name);
        let has = |name| fleet.loaded.table(Table::Overhauls).is_some_and(|t| t.cells(name).is_some());
        Lost {
            hours: named(fleet, Table::Hours, "propeller", "reading_date", propeller),
            fittings: named(fleet, Table::Fitted, "propeller", "from_date", propeller),
            meters: named(fleet, Table::AircraftHours, "aircraft", "reading_date", |name| {
                fleet.flying.aircraft.find(name)
            }),
            visits_have_hours: has("hours_since_new") || has("hours_since_overhaul"),
        }
    }

    /// Lost readings of a propeller's hours; `None` for one whose day is not known.
    pub(super) fn hours_of(&self, propeller: u32) -> impl Iterator<Item = Option<Day>> + '_ {
        of(&self.hours, propeller)
    }

    /// Whether a fitting of a propeller was lost.
    pub(super) fn any_fitting_of(&self, propeller: u32) -> bool {
        of(&self.fittings, propeller).next().is_some()
    }

    /// Lost readings of an aircraft's meters.
    pub(super) fn meters_of(&self, aircraft: u32) -> impl Iterator<Item = Option<Day>> + '_ {
        of(&self.meters, aircraft)
    }

    /// Days of a propeller's visits that have no hours although the table of visits has a column for them.
    pub(super) fn silent_visits<'f>(
        &self,
        fleet: &'f Fleet<'_>,
        propeller: u32,
    ) -> impl Iterator<Item = Option<Day>> + use<'f> {
        let has_hours = self.visits_have_hours;
        let visits = fleet.visits.of(propeller).iter();
        let silent = visits.filter(move |v| {
            has_hours && v.row.is_some() && v.hours_since_new.is_none() && v.hours_since_overhaul.is_none()
        });
        silent.map(|v| Some(v.day))
    }
}

/// Days of a propeller's visits that could not be used; `None` for one whose day is not known.
pub(super) fn lost_visits<'f>(fleet: &'f Fleet<'_>, propeller: u32) -> impl Iterator<Item = Option<Day>> + use<'f> {
    let spoiled = &fleet.visits.spoiled;
    let first = spoiled.partition_point(|s| s.propeller < propeller);
    spoiled[first..].iter().take_while(move |s| s.propeller == propeller).map(|s| s.day)
}

fn of(list: &[(u32, Option<Day>)], whom: u32) -> impl Iterator<Item = Option<Day>> + '_ {
    let first = list.partition_point(|(w, _)| *w < whom);
    list[first..].iter().take_while(move |(w, _)| *w == whom).map(|(_, day)| *day)
}

/// Rows of a table that were set aside, by the known name they carry.
fn named(
    fleet: &Fleet<'_>,
    table: Table,
    name_column: &str,
    day_column: &str,
    find: impl Fn(&str) -> Option<u32>,
) -> Vec<(u32, Option<Day>)> {
    let Some(loaded) = fleet.loaded.table(table) else {
        return Vec::new();
    };
    let mut list: Vec<(u32, Option<Day>)> = Vec::new();
    let mut cut: Vec<u32> = Vec::new();
    for aside in fleet.ledger.set_aside.iter().filter(|s| s.table == table) {
        if let Rule::Record(_) = aside.rule {
            cut.push(aside.row);
        } else if is_lost(aside, table)
            && let Some(whom) = name_in(loaded, name_column, aside.row).and_then(&find)
        {
            list.push((whom, day_in(loaded, day_column, aside.row)));
        }
    }
    cut.sort_unstable();
    let broken = loaded.broken().iter();
    for record in broken.filter(|b| cut.binary_search(&b.row).is_ok()) {
        list.extend(record.pieces.iter().filter_map(|p| Some((find(p)?, None))));
    }
    list.sort_unstable();
    list.dedup();
    list
}

/// Of two rows for one reading the larger hours are kept, so nothing of the other is lost; of two fittings the aircraft is.
/// A reading that cannot be is not missed between two that agree.
fn is_lost(aside: &SetAside, table: Table) -> bool {
    table == Table::Fitted || !matches!(aside.rule, Rule::ConflictingRow { .. } | Rule::HoursThatCannotBe)
}

fn name_in<'t>(table: &'t LoadedTable, column: &str, row: u32) -> Option<&'t str> {
    let (codes, words) = table.text(column)?;
    Some(words.get(*codes.get(row as usize)?)).filter(|name| !name.is_empty())
}

fn day_in(table: &LoadedTable, column: &str, row: u32) -> Option<Day> {
    let day = *table.days(column)?.get(row as usize)?;
    // An absurd year is a slip of the hand in a date that is not known.
    (day >= FIRST_DAY).then(|| Day::from_number(day))
}
