//! Lines as people really write them and no reader can use: the CSV form of the demo fleet has a few, so that checking has
//! something to say.
//!
//! Each spoils an early row of a propeller that has better ones after it, or adds a line that never belonged, so that they
//! leave the fleet's picture as it is.

use arrow::array::{Array, AsArray};
use arrow::record_batch::RecordBatch;

use super::csv_text::{cell, line_with};
use super::telling::UNREADABLE_CRACK;
use super::{DemoTable, csv_text};

/// Where a bad line stands in its CSV file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BadRowPlace {
    /// Before the row of this number (from 0) of the table.
    Before(usize),
    /// In place of the row of this number (from 0) of the table.
    InsteadOf(usize),
}

/// A line of CSV that cannot be used as it is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadRow {
    /// Name of its table.
    pub table: &'static str,
    /// Where it stands.
    pub place: BadRowPlace,
    /// The line as written, without its end.
    pub line_text: String,
}

/// A table with what is needed to find rows in it.
struct Lines<'t> {
    table: &'t DemoTable,
}

impl<'t> Lines<'t> {
    fn of(tables: &'t [DemoTable], name: &str) -> Option<Lines<'t>> {
        tables.iter().find(|t| t.name == name).map(|table| Lines { table })
    }

    fn batch(&self) -> &'t RecordBatch {
        &self.table.batch
    }

    /// Text of a cell as the file has it; empty when there is no such column.
    fn text(&self, row: usize, column: &str) -> String {
        let schema = self.batch().schema();
        schema.index_of(column).map_or_else(|_| String::new(), |c| cell(self.batch(), c, row))
    }

    /// Rows of ordinary propellers (and of aircraft), in order: the telling cases keep their rows as they are.
    fn ordinary(&self) -> impl Iterator<Item = usize> + '_ {
        let names = self.batch().column(0).as_string::<i32>();
        (0..names.len()).filter(move |&row| {
            let name = names.value(row);
            !name.starts_with("BW-0") && !name.contains(" 90")
        })
    }

    /// The `nth` (from 0) ordinary row that fits and is followed by a row of the same propeller two visits on, counted in rows.
    fn early(&self, nth: usize, fits: impl Fn(&Self, usize) -> bool) -> Option<usize> {
        let names = self.batch().column(0).as_string::<i32>();
        let later = 2 * 14;
        self.ordinary()
            .filter(|&row| row + later < names.len() && names.value(row + later) == names.value(row))
            .filter(|&row| fits(self, row))
            .nth(nth)
    }

    fn instead(&self, row: usize, cells: &[(&str, &str)]) -> BadRow {
        BadRow {
            table: self.table.name,
            place: BadRowPlace::InsteadOf(row),
            line_text: line_with(self.batch(), row, cells),
        }
    }

    fn before(&self, row: usize, line_text: String) -> BadRow {
        BadRow { table: self.table.name, place: BadRowPlace::Before(row), line_text }
    }
}

/// The crack report of the telling case with its day as somebody wrote it.
pub(super) fn unreadable_crack_date(tables: &[DemoTable]) -> Option<BadRow> {
    let defects = Lines::of(tables, "defects")?;
    let rows = 0..defects.batch().num_rows();
    let row = rows.into_iter().find(|&r| defects.text(r, "propeller") == UNREADABLE_CRACK)?;
    Some(defects.instead(row, &[("found_date", "2026-02-30")]))
}

/// The bad rows of a fleet; a small fleet may have no row to spoil in some way and then has fewer.
pub(super) fn bad_rows(tables: &[DemoTable]) -> Vec<BadRow> {
    type Way = fn(&[DemoTable]) -> Option<BadRow>;
    let ways: [Way; 12] = [
        no_serial,
        day_before_month,
        decimal_comma,
        grew_in_the_shop,
        millimetres,
        inch_mark,
        mistyped_serial,
        thousands_comma,
        read_twice,
        cut_short,
        mistyped_base,
        month_thirteen,
    ];
    ways.iter().filter_map(|way| way(tables)).collect()
}

fn is_number(text: &str) -> bool {
    text.parse::<f64>().is_ok()
}

/// A propeller without its serial.
fn no_serial(tables: &[DemoTable]) -> Option<BadRow> {
    let propellers = Lines::of(tables, "propellers")?;
    let row = propellers.ordinary().nth(2)?;
    let line = line_with(propellers.batch(), row, &[("propeller", ""), ("replaced_by", "")]);
    Some(propellers.before(row + 1, line))
}

/// A second overhaul with its day written day, month, year.
fn day_before_month(tables: &[DemoTable]) -> Option<BadRow> {
    let overhauls = Lines::of(tables, "overhauls")?;
    let row = overhauls.ordinary().nth(3)?;
    let written = overhauls.text(row, "overhaul_date");
    let mut parts: Vec<&str> = written.split('-').collect();
    parts.reverse();
    let line = line_with(
        overhauls.batch(),
        row,
        &[("overhaul_date", &parts.join("/")), ("work", "repair"), ("reason", "other")],
    );
    Some(overhauls.before(row + 1, line))
}

/// A thickness with a decimal comma.
fn decimal_comma(tables: &[DemoTable]) -> Option<BadRow> {
    let sheets = Lines::of(tables, "measurements")?;
    let row = sheets.early(5, |s, r| is_number(&s.text(r, "thickness_after_in")))?;
    let comma = sheets.text(row, "thickness_after_in").replace('.', ",");
    Some(sheets.instead(row, &[("thickness_after_in", &format!("\"{comma}\""))]))
}

/// A width that came out of the shop larger than it went in: the columns were swapped and a digit with them.
fn grew_in_the_shop(tables: &[DemoTable]) -> Option<BadRow> {
    let sheets = Lines::of(tables, "measurements")?;
    let row = sheets.early(62, |s, r| {
        s.text(r, "painted") == "no"
            && is_number(&s.text(r, "width_before_in"))
            && is_number(&s.text(r, "width_after_in"))
    })?;
    let before = sheets.text(row, "width_before_in");
    let after = sheets.text(row, "width_after_in");
    let cells = [("width_before_in", after.as_str()), ("width_after_in", before.as_str())];
    Some(sheets.instead(row, &cells))
}

/// Millimetres in a column of inches.
fn millimetres(tables: &[DemoTable]) -> Option<BadRow> {
    let sheets = Lines::of(tables, "measurements")?;
    let row = sheets.early(131, |s, r| is_number(&s.text(r, "width_after_in")))?;
    let inches: f64 = sheets.text(row, "width_after_in").parse().ok()?;
    Some(sheets.instead(row, &[("width_after_in", &format!("{:.1}", inches * 25.4))]))
}

/// A depth with an inch mark, which is a stray quote; on a propeller that no longer flies, where there is one.
fn inch_mark(tables: &[DemoTable]) -> Option<BadRow> {
    let (propellers, defects) = (Lines::of(tables, "propellers")?, Lines::of(tables, "defects")?);
    let gone: Vec<String> = propellers
        .ordinary()
        .filter(|&r| matches!(propellers.text(r, "status").as_str(), "scrapped" | "sold"))
        .map(|r| propellers.text(r, "propeller"))
        .collect();
    let measured = |r: &usize| !defects.text(*r, "depth_in").is_empty();
    let row = defects
        .ordinary()
        .filter(measured)
        .find(|&r| gone.contains(&defects.text(r, "propeller")))
        .or_else(|| defects.ordinary().find(measured))?;
    let marked = format!("{}\"", defects.text(row, "depth_in"));
    Some(defects.instead(row, &[("depth_in", &marked)]))
}

/// A serial with the letter O for a zero.
fn mistyped_serial(tables: &[DemoTable]) -> Option<BadRow> {
    let hours = Lines::of(tables, "hours")?;
    let row = hours.early(9, |h, r| h.text(r, "propeller").contains('0'))?;
    let wrong = hours.text(row, "propeller").replacen('0', "O", 1);
    Some(hours.instead(row, &[("propeller", &wrong)]))
}

/// Hours with a comma between the thousands, in the last column: a field too many.
fn thousands_comma(tables: &[DemoTable]) -> Option<BadRow> {
    let hours = Lines::of(tables, "hours")?;
    let row = hours.early(3, |h, r| {
        let text = h.text(r, "hours_since_overhaul");
        text.len() > 5 && is_number(&text)
    })?;
    let mut written = hours.text(row, "hours_since_overhaul");
    // The text is a number with one decimal, so the thousands end five characters before the end.
    written.insert(written.len() - 5, ',');
    Some(hours.instead(row, &[("hours_since_overhaul", &written)]))
}

/// A meter reading entered a second time, a little higher.
fn read_twice(tables: &[DemoTable]) -> Option<BadRow> {
    let meters = Lines::of(tables, "aircraft_hours")?;
    let row = meters.early(7, |_, _| true)?;
    let hours: f64 = meters.text(row, "hours").parse().ok()?;
    let line = line_with(meters.batch(), row, &[("hours", &format!("{:.1}", hours + 0.4))]);
    Some(meters.before(row + 1, line))
}

/// An inspection whose line ends after the day.
fn cut_short(tables: &[DemoTable]) -> Option<BadRow> {
    let inspections = Lines::of(tables, "inspections")?;
    let row = inspections.ordinary().nth(6)?;
    let line = csv_text::line(inspections.batch(), row);
    let fields: Vec<&str> = line.split(',').take(2).collect();
    Some(BadRow { table: "inspections", place: BadRowPlace::InsteadOf(row), line_text: fields.join(",") })
}

/// A stay at a base with a letter missing, which a later stay of the same propeller ends.
fn mistyped_base(tables: &[DemoTable]) -> Option<BadRow> {
    let stays = Lines::of(tables, "kept_at")?;
    let names = stays.batch().column(0).as_string::<i32>();
    let row = stays.ordinary().find(|&r| r + 1 < names.len() && names.value(r + 1) == names.value(r))?;
    let mut base = stays.text(row, "base");
    base.remove(base.len() / 2);
    Some(stays.instead(row, &[("base", &base)]))
}

/// A fitting in the thirteenth month.
fn month_thirteen(tables: &[DemoTable]) -> Option<BadRow> {
    let fitted = Lines::of(tables, "fitted")?;
    let row = fitted.ordinary().find(|&r| !fitted.text(r, "to_date").is_empty())?;
    let from = fitted.text(row, "from_date");
    let line = line_with(fitted.batch(), row, &[("from_date", &format!("{}-13-{}", &from[..4], &from[8..]))]);
    Some(fitted.before(row, line))
}
