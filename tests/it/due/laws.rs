//! What holds for every fleet.

use bladewane::analysis::due::{DueRow, State};
use bladewane::trade::calendar::same_day;
use proptest::prelude::*;

use super::fleet::{Tables, day};
use super::generated::{AS_OF, Sheets, history};

fn row_of_p(tables: &Tables, as_of: &str) -> DueRow {
    tables.row(as_of)
}

/// The rows without the lines they name and the order in which names were first read.
fn without_places(mut rows: Vec<DueRow>) -> Vec<DueRow> {
    for row in &mut rows {
        if let Some(contradiction) = row.hours.as_mut().and_then(|hours| hours.contradiction.as_mut()) {
            (contradiction.whose, contradiction.from.row, contradiction.to.row) = (0, 0, 0);
        }
        if let Some(flight) = row.bare_flight.as_mut() {
            flight.aircraft = 0;
        }
    }
    rows
}

/// Cells of one table whose loss must never make a propeller look safer: table and column.
const CELLS: [(&str, usize); 12] = [
    ("hours", 1),
    ("hours", 2),
    ("hours", 3),
    ("aircraft_hours", 1),
    ("aircraft_hours", 2),
    ("aircraft_hours", 3),
    ("fitted", 1),
    ("fitted", 2),
    ("fitted", 3),
    ("overhauls", 1),
    ("overhauls", 3),
    ("overhauls", 4),
];

fn spoil(sheets: &Sheets, cell: (&str, usize), row: prop::sample::Index, with: &str) -> Option<Sheets> {
    let mut spoilt = sheets.clone();
    let rows = &mut spoilt.sheet(cell.0).rows;
    if rows.is_empty() {
        return None;
    }
    let at = row.index(rows.len());
    if rows[at][0] != "P" && cell.0 != "aircraft_hours" {
        return None;
    }
    rows[at][cell.1] = match cell {
        // Any other word is another name, and says something.
        ("aircraft_hours", 3) | ("fitted", 1) => "?",
        // An empty end is how a fitting that lasts is written.
        ("fitted", 3) => "2O23-05-01",
        _ => with,
    }
    .to_string();
    Some(spoilt)
}

proptest! {
    #[test]
    fn a_later_date_never_lowers_days_since_overhaul(history in history(), later in 0i32..2000) {
        let tables = history.sheets().tables();
        let now = row_of_p(&tables, AS_OF);
        let then = row_of_p(&tables, &(day(AS_OF) + later).to_string());
        prop_assert_eq!(now.clock_start, then.clock_start);
        prop_assert_eq!(then.days_since_overhaul, now.days_since_overhaul.map(|d| d + later));
        prop_assert_eq!(now.due_calendar, then.due_calendar);
        // A limit once passed stays passed, and hours are known no better for waiting.
        if now.state.is_past() {
            prop_assert!(then.state.is_past(), "{:?} {:?}", now.state, then.state);
            let binding = |s: State| matches!(s, State::PastBindingLimit | State::PastBindingByEstimate);
            prop_assert_eq!(binding(then.state), binding(now.state));
        }
    }

    #[test]
    fn a_lost_reading_never_makes_it_look_safer(
        history in history(),
        cell in prop::sample::select(CELLS.to_vec()),
        row in any::<prop::sample::Index>(),
        with in prop::sample::select(vec!["", "?", "x", "1O5"]),
    ) {
        let sheets = history.sheets();
        let Some(spoilt) = spoil(&sheets, cell, row, with) else { return Ok(()) };
        let before = row_of_p(&sheets.tables(), AS_OF);
        let after = row_of_p(&spoilt.tables(), AS_OF);
        let looks_safe = |state: State| matches!(state, State::WithinLimit | State::LimitWithin { .. });
        if before.state.is_past() || before.state == State::NoOverhaulOnRecord {
            prop_assert!(!looks_safe(after.state), "{cell:?} {before:#?} {after:#?}");
        }
        // An empty cell for hours of a visit is no lost reading: there may never have been one.
        if !looks_safe(before.state) && (cell.0 != "overhauls" || cell.1 == 1) {
            prop_assert!(after.state != State::WithinLimit, "{cell:?} {before:#?} {after:#?}");
        }
    }

    #[test]
    fn within_limit_needs_known_hours(history in history()) {
        let row = row_of_p(&history.sheets().tables(), AS_OF);
        if row.state == State::WithinLimit {
            let hours = row.hours.expect("a clock has started");
            prop_assert!(hours.known);
            prop_assert_eq!(hours.not_known(), None);
            prop_assert!(hours.recorded_to >= row.clock_start.expect("a clock has started"));
            prop_assert!(same_day(hours.recorded_to, 12) > day(AS_OF));
        }
    }

    #[test]
    fn the_order_of_rows_changes_nothing(history in history(), seed in any::<u64>()) {
        let sheets = history.sheets();
        let mut shuffled = sheets.clone();
        for sheet in &mut shuffled.0 {
            let count = sheet.rows.len();
            for at in 1..count {
                let other = (seed.wrapping_mul(at as u64 * 2 + 1).rotate_left(17) % (at as u64 + 1)) as usize;
                sheet.rows.swap(at, other);
            }
        }
        prop_assert_eq!(without_places(sheets.tables().rows(AS_OF)), without_places(shuffled.tables().rows(AS_OF)));
    }

    #[test]
    fn a_fitting_split_in_two_changes_nothing(
        history in history(),
        row in any::<prop::sample::Index>(),
        part in 0.0..1.0f64,
        next_day in any::<bool>(),
    ) {
        let sheets = history.sheets();
        let mut split = sheets.clone();
        let rows = &mut split.sheet("fitted").rows;
        if rows.is_empty() { return Ok(()) }
        let at = row.index(rows.len());
        let from = day(&rows[at][2]);
        let next = rows.get(at + 1).map(|r| day(&r[2]));
        let to = match rows[at][3].as_str() {
            "" => next.unwrap_or(day(AS_OF)),
            text => day(text),
        };
        let length = to - from;
        if length < 3 { return Ok(()) }
        let middle = from + 1 + (part * f64::from(length - 2)) as i32;
        let second = vec![
            rows[at][0].clone(),
            rows[at][1].clone(),
            (middle + i32::from(next_day)).to_string(),
            rows[at][3].clone(),
        ];
        rows[at][3] = middle.to_string();
        rows.insert(at + 1, second);
        prop_assert_eq!(without_places(sheets.tables().rows(AS_OF)), without_places(split.tables().rows(AS_OF)));
    }

    #[test]
    fn dates_are_in_order(history in history()) {
        let row = row_of_p(&history.sheets().tables(), AS_OF);
        if let (Some(p10), Some(due), Some(p90)) = (row.due_p10, row.due, row.due_p90) {
            prop_assert!(p10 <= due && due <= p90);
        }
        let mut dates = row.overhaul_dates(day(AS_OF)).take(20).collect::<Vec<_>>();
        prop_assert!(dates.iter().all(|&d| d >= day(AS_OF)));
        let count = dates.len();
        dates.dedup();
        prop_assert_eq!(dates.len(), count);
        prop_assert!(dates.is_sorted());
        // Passed and left agree with the dates.
        prop_assert_eq!(row.days_to_due.map(|d| day(AS_OF) + d), row.due);
        if let Some(hours) = row.hours_to_due && row.state == State::WithinLimit {
            prop_assert!(hours >= 0.0);
        }
    }
}
