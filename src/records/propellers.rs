//! The propellers and what is said of each.

use super::cells::{NO_DAY, NO_SMALL};
use super::choice::{Acquired, Force, Status, Use};
use super::gate::{FIRST_DAY, Gate};
use super::ledger::Fate;
use super::models::{Models, Stated, set_conflict_aside};
use super::rule::{Doubt, Rule};
use super::same_key::SameKey;
use super::words::{NO_WORD, Words};
use crate::settings::nearest_names;
use crate::trade::calendar::Day;

/// A propeller as `propellers` lists it, as of a date.
#[derive(Debug, Clone, PartialEq)]
pub struct Propeller {
    /// Row of the table, from 0.
    pub row: u32,
    /// Number of its model when it came on the record; `None` when not recorded or not defined.
    pub model: Option<u32>,
    /// What it flies for.
    pub usage: Option<Use>,
    /// A use stands there and could not be read: in the order of tiers it counts as rental.
    pub use_unreadable: bool,
    /// Home base, a code of [`Propellers::bases`].
    pub base: Option<u32>,
    /// Aircraft, a code of [`Propellers::aircraft`].
    pub aircraft: Option<u32>,
    /// First day on this fleet's record.
    pub in_service: Option<Day>,
    /// How it came.
    pub acquired: Acquired,
    /// Where it stands.
    pub status: Status,
    /// Day its status dates from, when scrapped or sold.
    pub end_date: Option<Day>,
    /// Day a spare, or one at a shop, came off its aircraft.
    pub removed: Option<Day>,
    /// Day one at a shop was sent there.
    pub sent: Option<Day>,
    /// Day it is expected back.
    pub expected_back: Option<Day>,
    /// The shop it is at, a code of [`Propellers::shops`].
    pub shop: Option<u32>,
    /// Index of the propeller that took its place.
    pub replaced_by: Option<u32>,
    /// Day from which damage reports were kept.
    pub reports_kept_since: Option<Day>,
    /// Interval in hours in place of the model's.
    pub interval_hours: Stated,
    /// Interval in months in place of the model's.
    pub interval_months: Stated,
    /// Force in place of the model's.
    pub force: Option<Force>,
    /// An override stands there and could not be read: the limit it meant is not known.
    pub override_unreadable: bool,
}

/// The fleet's propellers, in order of their serials.
#[derive(Debug, Clone, Default)]
pub struct Propellers {
    list: Vec<Propeller>,
    /// Code of each serial in `words`.
    codes: Vec<u32>,
    words: Words,
    /// Index of the propeller of each code; `NO_WORD` when its rows are all later or set aside.
    by_code: Vec<u32>,
    later: Vec<bool>,
    /// Names of home bases.
    pub bases: Words,
    /// Names of aircraft.
    pub aircraft: Words,
    /// Names of the shops they are at.
    pub shops: Words,
}

impl Propeller {
    /// What it flies for, as the order of tiers takes it.
    pub fn use_in_order(&self) -> Option<Use> {
        if self.use_unreadable { Some(Use::Rental) } else { self.usage }
    }
}

impl Propellers {
    /// Number of propellers.
    pub fn len(&self) -> usize {
        self.list.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// Every propeller, in order of serial.
    pub fn list(&self) -> &[Propeller] {
        &self.list
    }

    /// A propeller by its index.
    pub fn get(&self, index: u32) -> &Propeller {
        &self.list[index as usize]
    }

    /// The serial of a propeller.
    pub fn serial(&self, index: u32) -> &str {
        self.words.get(self.codes[index as usize])
    }

    /// The index of a serial.
    pub fn find(&self, serial: &str) -> Option<u32> {
        let code = self.words.find(serial)?;
        Some(self.by_code[code as usize]).filter(|&i| i != NO_WORD)
    }

    /// Whether a serial is listed, but from a day after the as-of date.
    pub fn is_later(&self, serial: &str) -> bool {
        self.words.find(serial).is_some_and(|code| self.later[code as usize])
    }

    /// The nearest serials that are listed.
    pub fn nearest(&self, serial: &str) -> Vec<&str> {
        // A fleet of hundreds of thousands is not searched for each misspelling.
        if self.list.len() > 20_000 {
            return Vec::new();
        }
        nearest_names(serial, (0..self.list.len()).map(|i| self.serial(i as u32)))
    }

    /// Reads `propellers` through its gate.
    pub(super) fn read(gate: &mut Gate<'_>, models: &Models, as_of: Day) -> Propellers {
        let table = gate.table;
        let Some((codes, words)) = table.text("propeller") else {
            return Propellers::default();
        };
        let mut later = vec![false; words.len()];
        for (row, fate) in gate.fates.iter().enumerate() {
            if *fate == Fate::Later && codes[row] != NO_WORD {
                later[codes[row] as usize] = true;
            }
        }
        let model_numbers: Option<Vec<Option<u32>>> =
            table.text("model").map(|(_, words)| words.iter().map(|name| models.find(name)).collect());
        let mut rows: Vec<usize> = gate.used_rows().collect();
        // Serial order; rows of one serial in file order.
        let ranks = ranks(words);
        rows.sort_by_key(|&row| (ranks[codes[row] as usize], row));

        let mut list: Vec<Propeller> = Vec::with_capacity(rows.len());
        let mut list_codes: Vec<u32> = Vec::with_capacity(rows.len());
        let replacements = Replacements::of(gate, as_of);
        let mut list_replacements: Vec<u32> = Vec::with_capacity(rows.len());
        let mut same_key = SameKey::new();
        for &row in &rows {
            let propeller = read_row(gate, row, models, model_numbers.as_deref(), as_of);
            if list_codes.last() == Some(&codes[row]) {
                let last = list.last_mut().zip(list_replacements.last_mut());
                let first = last.map(|(first, replaced_by)| {
                    let said = |of: &Propeller, by: u32| (Propeller { row: 0, ..of.clone() }, by);
                    let other = replacements.code(row);
                    let same = same_key.is_copy(codes[row], said(first, *replaced_by), said(&propeller, other));
                    if !same {
                        less_favourable(first, &propeller);
                        // Of two replacements neither is believed.
                        *replaced_by = match (*replaced_by, other) {
                            (NO_WORD, by) | (by, NO_WORD) => by,
                            (a, b) if a == b => a,
                            _ => NO_WORD,
                        };
                    }
                    (first.row, same)
                });
                match first {
                    Some((_, true)) | None => {
                        gate.caution(row as u32, "propeller", Doubt::IdenticalRows, None, None);
                    }
                    Some((first, false)) => {
                        set_conflict_aside(gate, row as u32, "propeller", first);
                    }
                }
                continue;
            }
            list.push(propeller);
            list_codes.push(codes[row]);
            list_replacements.push(replacements.code(row));
        }
        let mut by_code = vec![NO_WORD; words.len()];
        for (index, &code) in list_codes.iter().enumerate() {
            by_code[code as usize] = index as u32;
        }
        let mut propellers = Propellers {
            list,
            codes: list_codes,
            words: words.clone(),
            by_code,
            later,
            bases: table.text("base").map(|(_, w)| w.clone()).unwrap_or_default(),
            aircraft: table.text("aircraft").map(|(_, w)| w.clone()).unwrap_or_default(),
            shops: table.text("shop").map(|(_, w)| w.clone()).unwrap_or_default(),
        };
        propellers.link_replacements(gate, &replacements, &list_replacements);
        propellers
    }

    fn link_replacements(&mut self, gate: &mut Gate<'_>, names: &Replacements<'_>, codes: &[u32]) {
        for (index, &code) in codes.iter().enumerate() {
            if code == NO_WORD {
                continue;
            }
            match names.name(code).and_then(|name| self.find(name)) {
                Some(other) => self.list[index].replaced_by = Some(other),
                None => gate.caution(
                    self.list[index].row,
                    "replaced_by",
                    Doubt::UndefinedReplacement,
                    Some(index as u32),
                    None,
                ),
            }
        }
    }
}

/// The column `replaced_by`, as far as it was filled by the as-of date.
struct Replacements<'a> {
    column: Option<(&'a [u32], &'a Words)>,
    ends: Option<&'a [i32]>,
    as_of: Day,
}

impl<'a> Replacements<'a> {
    fn of(gate: &Gate<'a>, as_of: Day) -> Replacements<'a> {
        Replacements { column: gate.table.text("replaced_by"), ends: gate.table.days("end_date"), as_of }
    }

    /// The code a row names. What comes with an end after the as-of date has not come yet.
    fn code(&self, row: usize) -> u32 {
        let end = self.ends.map_or(NO_DAY, |ends| ends[row]);
        match self.column {
            Some((codes, _)) if end <= self.as_of.number() => codes[row],
            _ => NO_WORD,
        }
    }

    fn name(&self, code: u32) -> Option<&'a str> {
        self.column.map(|(_, words)| words.get(code))
    }
}

/// Position of each text in byte order.
fn ranks(words: &Words) -> Vec<u32> {
    let mut order: Vec<u32> = (0..words.len() as u32).collect();
    order.sort_unstable_by(|&a, &b| words.get(a).cmp(words.get(b)));
    let mut ranks = vec![0; order.len()];
    for (rank, code) in order.into_iter().enumerate() {
        ranks[code as usize] = rank as u32;
    }
    ranks
}

fn read_row(
    gate: &mut Gate<'_>,
    row: usize,
    models: &Models,
    model_numbers: Option<&[Option<u32>]>,
    as_of: Day,
) -> Propeller {
    let table = gate.table;
    let code = |name: &str| table.text(name).map(|(codes, _)| codes[row]).filter(|&c| c != NO_WORD);
    let model_code = code("model");
    let model = model_code.and_then(|c| model_numbers.and_then(|m| m[c as usize]));
    if model_code.is_some() && model.is_none_or(|model| models.get(model).borrowed) {
        gate.caution(row as u32, "model", Doubt::UndefinedModel, None, None);
    }
    let mut day = |name: &str| {
        let day = table.days(name).map(|c| c[row]).filter(|&d| d != NO_DAY).map(Day::from_number)?;
        if day < Day::from_number(FIRST_DAY) {
            let value = day.to_string().into();
            gate.cell_not_read(row as u32, name, value, "a date before 1930", &Rule::Before1930);
            return None;
        }
        Some(day)
    };
    let in_service = day("in_service_date");
    let end_date = day("end_date");
    let reports_kept_since = day("reports_kept_since").filter(|&d| d <= as_of);
    let removed = day("removed_date").filter(|&d| d <= as_of);
    let sent = day("sent_date");
    let expected_back = day("expected_back_date");
    let choice = |name: &str| table.choices(name).map_or(NO_SMALL, |c| c[row]);
    let ended_later = end_date.is_some_and(|d| d > as_of);
    // A status dated after the as-of date has not come yet.
    let status = if ended_later { Status::Flying } else { Status::of_cell(choice("status")).unwrap_or(Status::Flying) };
    // Nor has one that is sent to a shop after it left yet.
    let sent_later = status == Status::AtShop && sent.is_some_and(|d| d > as_of);
    let status = if sent_later { Status::Flying } else { status };
    let back_before_sent = expected_back.zip(sent).is_some_and(|(back, sent)| back < sent);
    if back_before_sent {
        gate.caution(row as u32, "expected_back_date", Doubt::BackBeforeSent, None, None);
    }
    if removed.zip(sent).is_some_and(|(removed, sent)| sent < removed) {
        gate.caution(row as u32, "sent_date", Doubt::SentBeforeRemoved, None, None);
    }
    let mut override_unreadable = false;
    let mut stated = |name: &'static str, gate: &mut Gate<'_>| {
        let cell = table.numbers(name).map_or(f64::NAN, |c| c[row]);
        if cell <= 0.0 {
            let value = cell.to_string().into();
            gate.cell_not_read(row as u32, name, value, "zero or negative", &Rule::NotPositive);
            override_unreadable = true;
            return Stated::NotRecorded;
        }
        if cell.is_nan() && table.is_faulty(row as u32, name) {
            override_unreadable = true;
        }
        Stated::of_cell(cell)
    };
    let interval_hours = stated("interval_hours", gate);
    let interval_months = stated("interval_months", gate);
    let force = match Force::of_cell(choice("interval_force")) {
        // A force that stands there and cannot be read binds.
        None if table.is_faulty(row as u32, "interval_force") => Some(Force::Binding),
        force => force,
    };
    Propeller {
        row: row as u32,
        model,
        usage: Use::of_cell(choice("use")),
        use_unreadable: table.is_faulty(row as u32, "use"),
        base: code("base"),
        aircraft: code("aircraft"),
        in_service,
        acquired: Acquired::of_cell(choice("acquired")).unwrap_or(Acquired::Unknown),
        status,
        end_date: end_date.filter(|_| !ended_later),
        removed,
        sent: sent.filter(|_| !sent_later),
        expected_back: expected_back.filter(|_| !back_before_sent),
        shop: code("shop"),
        replaced_by: None,
        reports_kept_since,
        interval_hours,
        interval_months,
        force,
        override_unreadable,
    }
}

/// Two different rows for one serial: cell by cell the one that makes it look less safe.
fn less_favourable(first: &mut Propeller, other: &Propeller) {
    let shorter = |a: Stated, b: Stated| match (a, b) {
        (Stated::Value(a), Stated::Value(b)) => Stated::Value(a.min(b)),
        (Stated::Value(_), _) => a,
        (_, Stated::Value(_)) => b,
        (Stated::NoLimit, Stated::NotRecorded) | (Stated::NotRecorded, _) => Stated::NotRecorded,
        (Stated::NoLimit, Stated::NoLimit) => Stated::NoLimit,
    };
    first.interval_hours = shorter(first.interval_hours, other.interval_hours);
    first.interval_months = shorter(first.interval_months, other.interval_months);
    first.force = match (first.force, other.force) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    };
    if first.model != other.model {
        first.model = None;
    }
    if first.acquired != other.acquired {
        first.acquired = Acquired::Unknown;
    }
    first.in_service = match (first.in_service, other.in_service) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    };
    first.reports_kept_since = first.reports_kept_since.max(other.reports_kept_since);
    // Flying is looked at first, so it is the less favourable.
    first.status = first.status.min(other.status);
    first.usage = match (first.usage, other.usage) {
        (Some(a), Some(b)) if a != Use::Rental && b != Use::Rental => Some(a.min(b)),
        (Some(_), Some(_)) => Some(Use::Rental),
        (a, b) => a.or(b),
    };
    if first.base != other.base {
        first.base = None;
    }
    if first.aircraft != other.aircraft {
        first.aircraft = None;
    }
    first.end_date = match (first.end_date, other.end_date) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    };
    // It flew until the later of two days.
    first.removed = first.removed.max(other.removed).filter(|_| first.removed.is_some() && other.removed.is_some());
    first.sent = first.sent.max(other.sent).filter(|_| first.sent.is_some() && other.sent.is_some());
    if first.expected_back != other.expected_back {
        first.expected_back = None;
    }
    if first.shop != other.shop {
        first.shop = None;
    }
    first.use_unreadable |= other.use_unreadable;
    first.override_unreadable |= other.override_unreadable;
}
