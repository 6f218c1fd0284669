//! One table as one sheet.

use arrow::array::{Array, ArrayRef, AsArray, BooleanArray, Date32Array, Float64Array};
use arrow::datatypes::{DataType, Field, SchemaRef};
use arrow::error::ArrowError;
use arrow::record_batch::RecordBatch;
use arrow::temporal_conversions::date32_to_datetime;
use arrow::util::display::{ArrayFormatter, FormatOptions};
use rust_xlsxwriter::{Format as CellFormat, FormatAlign, FormatBorder, IgnoreError, Note, Worksheet, XlsxError};

use super::heading::{heading, note};
use super::refused;
use crate::tables::formats::Format;
use crate::tables::write::{WriteError, same_columns};

/// Rows that a sheet holds under its heading: the format has 1,048,576 in all.
pub const MOST_ROWS: u32 = 1_048_575;

/// A text that somebody's spreadsheet could take for a formula when the cell is opened and left again.
const LIKE_A_FORMULA: [char; 4] = ['=', '+', '-', '@'];

/// Characters that a cell holds.
const MOST_CHARACTERS: usize = 32_767;
const CUT: &str = " ... (cut: a cell holds no more)";

/// Widths of columns, in characters.
const NARROWEST: usize = 7;
const WIDEST: usize = 48;
/// Room for the button of the filter beside a heading.
const BUTTON: usize = 3;
/// Rows whose values decide how wide a column is.
const ROWS_FOR_WIDTH: u32 = 2_000;

/// 1970-01-01 as a spreadsheet counts days, and the first day it counts right.
const EPOCH: i32 = 25_569;
const FIRST_DAY: i32 = 61;

/// Points of one line of text.
const LINE: f64 = 15.0;

/// A sheet in the making.
pub struct TableSheet {
    sheet: Worksheet,
    schema: SchemaRef,
    columns: Vec<Layout>,
    rows: u32,
    name: String,
}

/// How the cells of one column are written.
struct Layout {
    heading: String,
    format: CellFormat,
    /// The same, for a text that must stay one even when somebody opens the cell and leaves it again.
    guarded: CellFormat,
    decimals: Option<usize>,
    grouped: bool,
    widest: usize,
    is_text: bool,
}

impl Layout {
    fn of(field: &Field) -> Layout {
        let about = |key: &str| field.metadata().get(key).map(String::as_str);
        let decimals = about("decimals").and_then(|text| text.parse::<usize>().ok());
        // Money is read with its thousands apart; no other unit is.
        let grouped = about("unit").is_some_and(|unit| unit.contains("currency"));
        let format = CellFormat::new().set_align(FormatAlign::Top);
        let is_text = !matches!(field.data_type(), DataType::Date32) && !field.data_type().is_numeric();
        let format = match field.data_type() {
            DataType::Date32 => format.set_num_format("yyyy-mm-dd"),
            DataType::Float64 => match decimals {
                Some(decimals) => format.set_num_format(number_format(decimals, grouped)),
                None => format,
            },
            other if other.is_integer() => format.set_num_format(number_format(0, grouped)),
            _ => format.set_text_wrap(),
        };
        Layout {
            heading: heading(field),
            guarded: format.clone().set_quote_prefix(),
            format,
            decimals,
            grouped,
            widest: 0,
            is_text,
        }
    }

    fn is_shown_as(&mut self, characters: usize) {
        self.widest = self.widest.max(characters);
    }
}

/// The values of one column of a batch, ready to be read one by one.
enum Values<'a> {
    Numbers(&'a Float64Array),
    Days(&'a Date32Array),
    YesNo(&'a BooleanArray),
    Others { texts: ArrayFormatter<'a>, array: &'a ArrayRef, are_numbers: bool },
}

/// What goes into a cell.
enum Value {
    NotKnown,
    Number(f64),
    /// A day as a spreadsheet counts it.
    Day(i32),
    Text(String),
}

impl<'a> Values<'a> {
    fn of(array: &'a ArrayRef) -> Result<Values<'a>, ArrowError> {
        const AS_USUAL: FormatOptions<'static> = FormatOptions::new();
        Ok(match array.data_type() {
            DataType::Float64 => Values::Numbers(array.as_primitive()),
            DataType::Date32 => Values::Days(array.as_primitive()),
            DataType::Boolean => Values::YesNo(array.as_boolean()),
            other => Values::Others {
                texts: ArrayFormatter::try_new(array, &AS_USUAL)?,
                array,
                are_numbers: other.is_integer(),
            },
        })
    }

    fn value(&self, row: usize) -> Result<Value, ArrowError> {
        Ok(match self {
            // What is no number is not known: a cell has no other word for it.
            Values::Numbers(array) if array.is_valid(row) && array.value(row).is_finite() => {
                Value::Number(array.value(row))
            }
            Values::Days(array) if array.is_valid(row) => day(array.value(row)),
            Values::YesNo(array) if array.is_valid(row) => {
                Value::Text(if array.value(row) { "yes" } else { "no" }.to_string())
            }
            Values::Others { texts, array, are_numbers } if array.is_valid(row) => {
                let text = texts.value(row).try_to_string()?;
                let number = are_numbers.then(|| text.parse().ok()).flatten();
                number.map_or(Value::Text(text), Value::Number)
            }
            _ => Value::NotKnown,
        })
    }
}

/// A day from 1970-01-01 on; one that spreadsheet programs count differently stays text.
fn day(number: i32) -> Value {
    match number.checked_add(EPOCH).filter(|&day| day >= FIRST_DAY) {
        Some(day) => Value::Day(day),
        None => date32_to_datetime(number).map_or(Value::NotKnown, |day| Value::Text(day.date().to_string())),
    }
}

fn unreadable(error: ArrowError) -> WriteError {
    WriteError::encode(Format::Workbook, error)
}

fn number_format(decimals: usize, grouped: bool) -> String {
    let whole = if grouped { "#,##0" } else { "0" };
    match decimals {
        0 => whole.to_string(),
        some => format!("{whole}.{}", "0".repeat(some)),
    }
}

impl TableSheet {
    /// A sheet with the headings of `schema`; the note on each heading says what the column means.
    ///
    /// # Errors
    /// [`WriteError::Encode`] when the name cannot be a sheet's.
    pub fn new(name: &str, schema: &SchemaRef) -> Result<TableSheet, WriteError> {
        let mut sheet = Worksheet::new();
        let columns: Vec<Layout> = schema.fields().iter().map(|f| Layout::of(f)).collect();
        start(&mut sheet, name, schema, &columns).map_err(refused)?;
        Ok(TableSheet { sheet, schema: schema.clone(), columns, rows: 0, name: name.to_string() })
    }

    /// Rows written so far.
    pub fn rows(&self) -> u32 {
        self.rows
    }

    /// Appends rows.
    ///
    /// # Errors
    /// [`WriteError::TooManyRows`], [`WriteError::Columns`], [`WriteError::Encode`].
    pub fn write(&mut self, batch: &RecordBatch) -> Result<(), WriteError> {
        same_columns(&self.schema, batch)?;
        let room = MOST_ROWS - self.rows;
        if batch.num_rows() > room as usize {
            return Err(WriteError::TooManyRows { table: self.name.clone(), most: MOST_ROWS });
        }
        let columns = batch.columns().iter().map(Values::of);
        let columns = columns.collect::<Result<Vec<_>, ArrowError>>().map_err(unreadable)?;
        // Row by row: the order in which the library first sees a text or a format decides bytes, and must not depend on
        // how the rows are cut into batches.
        for row in 0..batch.num_rows() {
            self.rows += 1;
            for (at, values) in columns.iter().enumerate() {
                self.cell(at, values, row)?;
            }
        }
        Ok(())
    }

    /// Writes one value into the row that is being written; what is not known leaves its cell empty.
    fn cell(&mut self, at: usize, values: &Values<'_>, row: usize) -> Result<(), WriteError> {
        let layout = &mut self.columns[at];
        let (to, column) = (self.rows, at as u16);
        let written = match values.value(row).map_err(unreadable)? {
            Value::NotKnown => return Ok(()),
            Value::Number(number) => {
                if to <= ROWS_FOR_WIDTH {
                    layout.is_shown_as(number_width(number, layout.decimals, layout.grouped));
                }
                self.sheet.write_number_with_format(to, column, number, &layout.format)
            }
            Value::Day(serial) => {
                layout.is_shown_as(10);
                self.sheet.write_number_with_format(to, column, serial, &layout.format)
            }
            Value::Text(text) => {
                if to <= ROWS_FOR_WIDTH {
                    layout.is_shown_as(widest_line(&text));
                }
                let format = match text.starts_with(LIKE_A_FORMULA) {
                    true => &layout.guarded,
                    false => &layout.format,
                };
                self.sheet.write_string_with_format(to, column, fitting(text), format)
            }
        };
        written.map(drop).map_err(refused)
    }

    /// The sheet, with its filter and the widths its values ask for.
    pub(super) fn close(mut self) -> Result<Worksheet, WriteError> {
        finish(&mut self.sheet, &self.columns, self.rows).map_err(refused)?;
        Ok(self.sheet)
    }
}

fn start(sheet: &mut Worksheet, name: &str, schema: &SchemaRef, columns: &[Layout]) -> Result<(), XlsxError> {
    sheet.set_name(name)?;
    let format =
        CellFormat::new().set_bold().set_text_wrap().set_align(FormatAlign::Top).set_border_bottom(FormatBorder::Thin);
    for (at, (layout, field)) in columns.iter().zip(schema.fields()).enumerate() {
        let column = at as u16;
        sheet.write_string_with_format(0, column, layout.heading.as_str(), &format)?;
        if let Some(text) = note(field) {
            let lines = text.lines().map(|line| line.chars().count() / 38 + 1).sum::<usize>();
            let note = Note::new(text)
                .add_author_prefix(false)
                .set_author(env!("CARGO_PKG_NAME"))
                .set_width(260)
                .set_height(20 + 18 * lines as u32);
            sheet.insert_note(0, column, &note)?;
        }
    }
    sheet.set_freeze_panes(1, 1)?;
    sheet.set_landscape();
    sheet.set_print_fit_to_pages(1, 0);
    sheet.set_repeat_rows(0, 0)?;
    sheet.set_footer("&L&A&RPage &P of &N");
    Ok(())
}

fn finish(sheet: &mut Worksheet, columns: &[Layout], rows: u32) -> Result<(), XlsxError> {
    let mut lines_of_headings = 1;
    for (at, layout) in columns.iter().enumerate() {
        let longest_word = layout.heading.split(' ').map(|word| word.chars().count()).max();
        let heading = longest_word.unwrap_or(0) + BUTTON;
        let width = layout.widest.max(heading).clamp(NARROWEST, WIDEST);
        sheet.set_column_width(at as u16, (width + 1) as f64)?;
        lines_of_headings = lines_of_headings.max(lines(&layout.heading, width - BUTTON));
        if layout.is_text && rows > 0 {
            // A serial such as 0017 is a text on purpose.
            sheet.ignore_error_range(1, at as u16, rows, at as u16, IgnoreError::NumberStoredAsText)?;
        }
    }
    sheet.set_row_height(0, LINE * lines_of_headings as f64)?;
    if let Some(last) = columns.len().checked_sub(1) {
        sheet.autofilter(0, 0, rows, last as u16)?;
    }
    Ok(())
}

/// Lines that a text takes when its words are wrapped to a width.
fn lines(text: &str, width: usize) -> usize {
    let mut lines = 1;
    let mut used = 0;
    for word in text.split(' ') {
        let length = word.chars().count();
        if used > 0 && used + 1 + length > width {
            lines += 1;
            used = length;
        } else {
            used += length + usize::from(used > 0);
        }
    }
    lines
}

fn widest_line(text: &str) -> usize {
    text.lines().map(|line| line.chars().count()).max().unwrap_or(0)
}

fn number_width(value: f64, decimals: Option<usize>, grouped: bool) -> usize {
    let text = match decimals {
        Some(decimals) => format!("{value:.decimals$}"),
        None => value.to_string(),
    };
    let thousands = if grouped { text.len() / 4 } else { 0 };
    text.len() + thousands
}

/// A text that a cell can hold: the format counts UTF-16 units.
fn fitting(text: String) -> String {
    let units = |text: &str| text.encode_utf16().count();
    if text.len() <= MOST_CHARACTERS || units(&text) <= MOST_CHARACTERS {
        return text;
    }
    let mut room = MOST_CHARACTERS - units(CUT);
    let mut cut = String::new();
    for letter in text.chars() {
        let takes = letter.len_utf16();
        if takes > room {
            break;
        }
        room -= takes;
        cut.push(letter);
    }
    cut.push_str(CUT);
    cut
}
