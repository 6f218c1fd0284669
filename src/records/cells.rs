//! A table's cells, decoded column by column into plain typed columns.

use arrow::array::{Array, ArrayRef, AsArray, StringArray};
use arrow::compute::{CastOptions, cast_with_options};
use arrow::datatypes::{DataType, Date32Type, Float64Type, Int32Type};

use super::reading::{self, Fault, Writing};
use super::schema::{Kind, is_free_text};
use super::sheet_cells::{SheetColumn, bare_number};
use super::words::{Code, NO_WORD, Words};
use crate::settings::LONGEST_NAME;
use crate::trade::calendar::no_calendar_has;

/// A date that is not recorded.
pub const NO_DAY: i32 = i32::MIN;
/// A small whole number that is not recorded.
pub const NO_SMALL: u8 = 255;
/// A word of a closed list that is not recorded, or that could not be read.
pub const NO_CHOICE: u8 = 255;
/// The number that stands for the word `none` in a column that allows it.
pub const NONE_STATED: f64 = f64::INFINITY;

/// One column of a table. Nothing recorded is [`NO_WORD`], [`NO_CHOICE`], [`NO_DAY`], `NaN` or [`NO_SMALL`].
#[derive(Debug, Clone)]
pub enum Cells {
    /// Identifiers and free text.
    Text {
        /// One code a row.
        codes: Vec<Code>,
        /// What the codes mean.
        words: Words,
    },
    /// Positions in a closed list of words.
    Choices(Vec<u8>),
    /// Days since 1970-01-01.
    Days(Vec<i32>),
    /// Numbers; lengths are in inches.
    Numbers(Vec<f64>),
    /// Whole numbers from 0 to 254.
    Small(Vec<u8>),
}

/// A cell that holds something that could not be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CellFault {
    /// Row of the table, from 0.
    pub row: u32,
    /// Position of the column in the table's schema.
    pub column: u8,
    /// What stands there.
    pub value: Box<str>,
    /// Why it could not be read.
    pub fault: Fault,
}

/// The part of a column that one chunk fills.
pub(super) enum Slot<'a> {
    Text(&'a mut [Code], Words),
    Choices(&'a mut [u8]),
    Days(&'a mut [i32]),
    Numbers(&'a mut [f64]),
    Small(&'a mut [u8]),
}

impl Cells {
    pub(super) fn empty(kind: Kind, rows: usize) -> Cells {
        match kind {
            Kind::Text => Cells::Text { codes: vec![NO_WORD; rows], words: Words::default() },
            Kind::Word(_) => Cells::Choices(vec![NO_CHOICE; rows]),
            Kind::Date => Cells::Days(vec![NO_DAY; rows]),
            Kind::Number | Kind::NumberOrNone | Kind::Length => Cells::Numbers(vec![f64::NAN; rows]),
            Kind::Small => Cells::Small(vec![NO_SMALL; rows]),
        }
    }

    /// Bytes that a row of a column of this kind takes.
    pub(super) fn bytes_a_row(kind: Kind) -> u64 {
        match kind {
            Kind::Text | Kind::Date => 4,
            Kind::Word(_) | Kind::Small => 1,
            Kind::Number | Kind::NumberOrNone | Kind::Length => 8,
        }
    }

    /// The cells of some rows.
    pub(super) fn pick(&self, rows: &[u32]) -> Cells {
        fn of<T: Copy>(values: &[T], rows: &[u32]) -> Vec<T> {
            rows.iter().map(|&row| values[row as usize]).collect()
        }
        match self {
            Cells::Text { codes, words } => {
                // Only the words still in use, so that a small part of a large fleet is small.
                let mut used = Words::default();
                let mut number = vec![NO_WORD; words.len()];
                let codes = of(codes, rows)
                    .into_iter()
                    .map(|code| match number.get_mut(code as usize) {
                        Some(new) => {
                            if *new == NO_WORD {
                                *new = used.code(words.get(code));
                            }
                            *new
                        }
                        None => NO_WORD,
                    })
                    .collect();
                Cells::Text { codes, words: used }
            }
            Cells::Choices(v) => Cells::Choices(of(v, rows)),
            Cells::Days(v) => Cells::Days(of(v, rows)),
            Cells::Numbers(v) => Cells::Numbers(of(v, rows)),
            Cells::Small(v) => Cells::Small(of(v, rows)),
        }
    }

    /// Cuts the column into one slot a chunk.
    pub(super) fn slots(&mut self, chunks: &[usize]) -> Vec<Slot<'_>> {
        fn cut<'a, T>(mut rest: &'a mut [T], chunks: &[usize]) -> Vec<&'a mut [T]> {
            let mut parts = Vec::with_capacity(chunks.len());
            for &rows in chunks {
                let (part, behind) = rest.split_at_mut(rows);
                parts.push(part);
                rest = behind;
            }
            parts
        }
        match self {
            Cells::Text { codes, .. } => {
                cut(codes, chunks).into_iter().map(|part| Slot::Text(part, Words::default())).collect()
            }
            Cells::Choices(v) => cut(v, chunks).into_iter().map(Slot::Choices).collect(),
            Cells::Days(v) => cut(v, chunks).into_iter().map(Slot::Days).collect(),
            Cells::Numbers(v) => cut(v, chunks).into_iter().map(Slot::Numbers).collect(),
            Cells::Small(v) => cut(v, chunks).into_iter().map(Slot::Small).collect(),
        }
    }
}

/// How one column is to be decoded.
#[derive(Debug, Clone, Copy)]
pub(super) struct Decoding<'a> {
    pub column: u8,
    pub name: &'static str,
    pub kind: Kind,
    /// What a written length is divided by to give inches.
    pub over: f64,
    pub writing: &'a Writing,
    /// Whether bare day numbers count from 1904.
    pub from_1904: bool,
    /// The largest number it may hold, and the unit.
    pub largest: Option<(u32, &'static str)>,
}

pub(super) struct Faults<'a> {
    column: u8,
    first_row: usize,
    list: &'a mut Vec<CellFault>,
}

impl Faults<'_> {
    pub(super) fn add(&mut self, at: usize, value: &str, fault: Fault) {
        self.list.push(CellFault {
            row: (self.first_row + at) as u32,
            column: self.column,
            value: beginning(value).into(),
            fault,
        });
    }

    /// Whether a text is longer than anything its column holds, which is then noted.
    pub(super) fn is_too_long(&mut self, at: usize, value: &str, name: &str) -> bool {
        let fault = too_long(value, name);
        if let Some(fault) = fault {
            self.add(at, value, fault);
        }
        fault.is_some()
    }
}

/// Bytes of the longest cell.
const LONGEST_CELL: u32 = 4 << 10;
/// Bytes of the longest note.
const LONGEST_NOTE: u32 = 64 << 10;
/// Letters of a longer cell that are kept to show it.
const LETTERS_KEPT: usize = 60;

/// What is wrong with a text that is longer than anything a column of this name holds.
fn too_long(value: &str, name: &str) -> Option<Fault> {
    // Most cells are short of every limit.
    if value.len() <= LONGEST_NAME as usize {
        return None;
    }
    let is_serial = matches!(name, "propeller" | "replaced_by");
    let most = if is_free_text(name) { LONGEST_NOTE } else { LONGEST_CELL };
    if is_serial && value.chars().count() > LONGEST_NAME as usize {
        Some(Fault::TooLong(LONGEST_NAME, "characters"))
    } else if value.len() > most as usize {
        Some(Fault::TooLong(most, "bytes"))
    } else {
        None
    }
}

/// A text, cut to its first letters when it is longer than any cell.
fn beginning(value: &str) -> String {
    match value.char_indices().nth(LETTERS_KEPT) {
        Some((end, _)) if value.len() > LONGEST_CELL as usize => format!("{}...", &value[..end]),
        _ => value.to_string(),
    }
}

/// Decodes one array into rows `at..` of the slot; `first_row` is the table's row of the slot's first one.
pub(super) fn decode(
    array: &ArrayRef,
    how: Decoding<'_>,
    slot: &mut Slot<'_>,
    at: usize,
    first_row: usize,
    list: &mut Vec<CellFault>,
) {
    let mut faults = Faults { column: how.column, first_row: first_row + at, list };
    let rows = at..at + array.len();
    decode_cells(array, how, slot, rows.clone(), &mut faults);
    if let (Slot::Numbers(out), Some((most, unit))) = (slot, how.largest) {
        for (row, out) in out[rows].iter_mut().enumerate() {
            if *out > f64::from(most) && *out != NONE_STATED {
                faults.add(row, &plain_number(*out), Fault::TooLarge(most, unit));
                *out = f64::NAN;
            }
        }
    }
}

/// A number as a person would write it; one of more than sixteen digits with an exponent.
pub(super) fn plain_number(value: f64) -> String {
    if value.is_infinite() {
        return "infinite".to_string();
    }
    if value.abs() < 1e16 { value.to_string() } else { format!("{value:e}") }
}

fn decode_cells(
    array: &ArrayRef,
    how: Decoding<'_>,
    slot: &mut Slot<'_>,
    rows: std::ops::Range<usize>,
    faults: &mut Faults<'_>,
) {
    if let Some(sheet) = array.as_struct_opt().and_then(SheetColumn::of) {
        match slot {
            Slot::Text(codes, words) => sheet.text(how, &mut codes[rows], words, faults),
            Slot::Choices(out) => sheet.choices(how, &mut out[rows], faults),
            Slot::Days(out) => sheet.days(how, &mut out[rows], faults),
            Slot::Numbers(out) => sheet.numbers(how, &mut out[rows], faults),
            Slot::Small(out) => sheet.small(how, &mut out[rows], faults),
        }
        return;
    }
    match slot {
        Slot::Text(codes, words) => text(array, how, &mut codes[rows], words, faults),
        Slot::Choices(out) => choices(array, how, &mut out[rows], faults),
        Slot::Days(out) => days(array, how, &mut out[rows], faults),
        Slot::Numbers(out) => numbers(array, how, &mut out[rows], faults),
        Slot::Small(out) => small(array, how, &mut out[rows], faults),
    }
}

/// Text of any Arrow string type, or any other type written out.
fn as_text(array: &ArrayRef) -> StringArray {
    let cast = cast_with_options(array, &DataType::Utf8, &CastOptions { safe: true, ..CastOptions::default() });
    match cast {
        Ok(cast) => cast.as_string::<i32>().clone(),
        Err(_) => StringArray::new_null(array.len()),
    }
}

fn is_textual(data_type: &DataType) -> bool {
    match data_type {
        DataType::Utf8 | DataType::LargeUtf8 | DataType::Utf8View => true,
        DataType::Dictionary(_, values) => is_textual(values),
        _ => false,
    }
}

/// Calls `each(row, trimmed text)` for every recorded cell of a text column that is not too long.
fn each_text(
    array: &ArrayRef,
    how: Decoding<'_>,
    faults: &mut Faults<'_>,
    mut each: impl FnMut(usize, &str, &mut Faults<'_>),
) {
    let mut visit = |row: usize, value: &str| {
        let value = value.trim();
        if !reading::is_not_recorded(value) && !faults.is_too_long(row, value, how.name) {
            each(row, value, faults);
        }
    };
    match array.data_type() {
        DataType::Utf8 => {
            let array = array.as_string::<i32>();
            for row in 0..array.len() {
                if array.is_valid(row) {
                    visit(row, array.value(row));
                }
            }
        }
        _ => {
            let array = as_text(array);
            for row in 0..array.len() {
                if array.is_valid(row) {
                    visit(row, array.value(row));
                }
            }
        }
    }
}

/// The dictionary's keys and values, when the array is one with `Int32` keys and text values.
fn dictionary(array: &ArrayRef) -> Option<(&arrow::array::Int32Array, StringArray)> {
    let DataType::Dictionary(key, value) = array.data_type() else {
        return None;
    };
    if **key != DataType::Int32 || !is_textual(value) {
        return None;
    }
    let dictionary = array.as_dictionary::<Int32Type>();
    Some((dictionary.keys(), as_text(dictionary.values())))
}

fn text(array: &ArrayRef, how: Decoding<'_>, out: &mut [Code], words: &mut Words, faults: &mut Faults<'_>) {
    if let Some((keys, values)) = dictionary(array) {
        let value = |at: usize| if values.is_valid(at) { values.value(at).trim() } else { "" };
        let mut any_too_long = false;
        let codes: Vec<Code> = (0..values.len())
            .map(|at| {
                let is_too_long = too_long(value(at), how.name).is_some();
                any_too_long |= is_too_long;
                if is_too_long || reading::is_not_recorded(value(at)) { NO_WORD } else { words.code(value(at)) }
            })
            .collect();
        for (row, out) in out.iter_mut().enumerate() {
            if keys.is_valid(row) {
                let at = keys.value(row) as usize;
                *out = codes[at];
                if any_too_long && *out == NO_WORD {
                    faults.is_too_long(row, value(at), how.name);
                }
            }
        }
        return;
    }
    let mut last: Option<Code> = None;
    let whole_floats = matches!(array.data_type(), DataType::Float64 | DataType::Float32);
    each_text(array, how, faults, |row, value, _| {
        // A number column that a library turned into floats: serial 1043.0 is 1043.
        let value = match value.strip_suffix(".0") {
            Some(whole) if whole_floats => whole,
            _ => value,
        };
        let code = match last {
            Some(code) if words.get(code) == value => code,
            _ => words.code(value),
        };
        last = Some(code);
        out[row] = code;
    });
}

fn choices(array: &ArrayRef, how: Decoding<'_>, out: &mut [u8], faults: &mut Faults<'_>) {
    let Kind::Word(list) = how.kind else { return };
    let position = |value: &str| list.iter().position(|word| reading::same_word(value, word)).map(|at| at as u8);
    if *array.data_type() == DataType::Boolean && list == super::schema::YES_NO {
        let array = array.as_boolean();
        for (row, out) in out.iter_mut().enumerate() {
            if array.is_valid(row) {
                *out = u8::from(!array.value(row));
            }
        }
        return;
    }
    each_text(array, how, faults, |row, value, faults| match position(value) {
        Some(choice) => out[row] = choice,
        None => faults.add(row, value, Fault::Word),
    });
}

fn days(array: &ArrayRef, how: Decoding<'_>, out: &mut [i32], faults: &mut Faults<'_>) {
    if is_textual(array.data_type()) {
        each_text(array, how, faults, |row, value, faults| match reading::day(value, how.writing) {
            Ok(day) => out[row] = day.number(),
            Err(_) => faults.add(row, value, no_date(value, how.writing)),
        });
        return;
    }
    let dated = matches!(array.data_type(), DataType::Date32 | DataType::Date64 | DataType::Timestamp(_, _));
    let cast = dated.then(|| cast_with_options(array, &DataType::Date32, &CastOptions::default()).ok()).flatten();
    match cast {
        Some(cast) => {
            let cast = cast.as_primitive::<Date32Type>();
            for (row, out) in out.iter_mut().enumerate() {
                if cast.is_valid(row) {
                    *out = cast.value(row);
                }
            }
        }
        // A bare number in a date column is not a date; whose calendar it counts in is never guessed.
        None => each_text(array, how, faults, |row, value, faults| {
            faults.add(row, value, no_date(value, how.writing));
        }),
    }
}

/// What is wrong with a text that is no date in the format in force. Five digits in a column of dates are most often the
/// number that a spreadsheet has for a day.
pub(super) fn no_date(value: &str, writing: &Writing) -> Fault {
    if no_calendar_has(value, writing.date_pattern.as_deref()) {
        return Fault::NoSuchDay;
    }
    let whole = value.strip_suffix(".0").unwrap_or(value);
    let five_digits = whole.len() == 5 && whole.bytes().all(|b| b.is_ascii_digit());
    let number = five_digits.then(|| whole.parse::<f64>().ok()).flatten();
    number.map_or(Fault::Date, |number| bare_number(number, false))
}

fn numbers(array: &ArrayRef, how: Decoding<'_>, out: &mut [f64], faults: &mut Faults<'_>) {
    let length = how.kind == Kind::Length;
    let textual = is_textual(array.data_type());
    if !textual
        && !matches!(array.data_type(), DataType::Boolean)
        && let Ok(cast) = cast_with_options(array, &DataType::Float64, &CastOptions::default())
    {
        let cast = cast.as_primitive::<Float64Type>();
        if cast.null_count() == 0 {
            out.copy_from_slice(cast.values());
        } else {
            for (row, out) in out.iter_mut().enumerate() {
                if cast.is_valid(row) {
                    *out = cast.value(row);
                }
            }
        }
        if length {
            for (row, out) in out.iter_mut().enumerate() {
                match how.length_of_number(*out) {
                    Ok(inches) => *out = inches,
                    Err(fault) => {
                        faults.add(row, &plain_number(*out), fault);
                        *out = f64::NAN;
                    }
                }
            }
        }
        for (row, out) in out.iter_mut().enumerate() {
            if out.is_infinite() {
                faults.add(row, &plain_number(*out), Fault::Number);
                *out = f64::NAN;
            }
        }
        return;
    }
    each_text(array, how, faults, |row, value, faults| {
        if how.kind == Kind::NumberOrNone && value.eq_ignore_ascii_case("none") {
            out[row] = NONE_STATED;
            return;
        }
        let read = if length { how.length_of_text(value) } else { reading::number(value, how.writing) };
        match read {
            Ok(value) => out[row] = value,
            Err(fault) => faults.add(row, value, fault),
        }
    });
}

fn small(array: &ArrayRef, how: Decoding<'_>, out: &mut [u8], faults: &mut Faults<'_>) {
    let mut read = vec![f64::NAN; out.len()];
    let before = faults.list.len();
    numbers(array, how, &mut read, faults);
    for fault in &mut faults.list[before..] {
        fault.fault = Fault::Small;
    }
    for (row, (&value, out)) in read.iter().zip(out.iter_mut()).enumerate() {
        if value.is_nan() {
            continue;
        }
        if value.fract() == 0.0 && (0.0..f64::from(NO_SMALL)).contains(&value) {
            *out = value as u8;
        } else {
            faults.add(row, &value.to_string(), Fault::Small);
        }
    }
}
