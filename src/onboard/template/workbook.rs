//! The template as a workbook: a page to begin with, a sheet for each table, and the settings.

use chrono::NaiveDate;
use rust_xlsxwriter::{
    ConditionalFormatFormula, DataValidation, DataValidationRule, DocProperties, Format, FormatAlign, FormatBorder,
    Formula, Note, Workbook, Worksheet, XlsxError,
};

use super::column::{LengthUnit, heading, note};
use super::example::example_row;
use super::fill_or_delete::FillOrDelete;
use super::guide::{Form, Line, page};
use super::settings_rows::{common, dotted, meaning};
use super::{Cell, Row, Template};
use crate::records::schema::{Column, Kind, Range, Schema, TABLES};
use crate::records::{GUIDE_SHEET, SETTINGS_SHEET};
use crate::tables::example::EXAMPLE;

/// The last row of a sheet, from 0.
const LAST_ROW: u32 = 1_048_575;
/// Rows in which what is missing is shown.
const SHOWN_ROWS: u32 = 20_000;

const YELLOW: u32 = 0xFF_F2_B3;
const GREY: u32 = 0x80_80_80;

/// The bytes; the day in the properties is fixed, so that the same template gives the same file.
pub(super) fn bytes(template: &Template) -> Result<Vec<u8>, XlsxError> {
    let mut workbook = Workbook::new();
    let made = NaiveDate::from_ymd_opt(2000, 1, 1).unwrap_or_default();
    let properties = DocProperties::new().set_title("The records of your propellers").set_creation_datetime(&made);
    workbook.set_properties(&properties);
    guide(workbook.add_worksheet(), template.unit)?;
    for schema in TABLES {
        table(workbook.add_worksheet(), schema, template)?;
    }
    settings(workbook.add_worksheet())?;
    workbook.save_to_buffer()
}

fn guide(sheet: &mut Worksheet, unit: LengthUnit) -> Result<(), XlsxError> {
    sheet.set_name(GUIDE_SHEET)?;
    sheet.set_column_width(0, 26)?;
    sheet.set_column_width(1, 90)?;
    let title = Format::new().set_bold().set_font_size(14);
    let bold = Format::new().set_bold();
    let wrapped = Format::new().set_text_wrap().set_align(FormatAlign::Top);
    let top = Format::new().set_align(FormatAlign::Top);
    let mut row = 0;
    for line in page(Form::Workbook, unit) {
        match line {
            Line::Title(text) => {
                sheet.write_string_with_format(row, 0, text, &title)?;
                row += 1;
            }
            Line::Heading(text) => {
                row += 1;
                sheet.write_string_with_format(row, 0, text, &bold)?;
            }
            Line::Text(text) => {
                sheet.merge_range(row, 0, row, 1, &text, &wrapped)?;
                let lines = text.chars().count().div_ceil(112).max(1);
                sheet.set_row_height(row, 15.0 * lines as f64)?;
            }
            Line::Pair(name, said) => {
                sheet.write_string_with_format(row, 0, name, &top)?;
                sheet.write_string_with_format(row, 1, said, &wrapped)?;
            }
        }
        row += 1;
    }
    sheet.set_print_fit_to_pages(1, 1);
    sheet.set_screen_gridlines(false);
    Ok(())
}

fn table(sheet: &mut Worksheet, schema: &Schema, template: &Template) -> Result<(), XlsxError> {
    let unit = template.unit;
    sheet.set_name(schema.name)?;
    for (at, column) in schema.columns.iter().enumerate() {
        let at = at as u16;
        let name = heading(column, unit);
        let format = Format::new().set_border_bottom(FormatBorder::Thin);
        let format = match column.required {
            true => format.set_bold(),
            false => format,
        };
        sheet.set_column_format(at, &cell_format(column))?;
        sheet.set_column_width(at, name.chars().count().max(11) as f64 + 2.0)?;
        sheet.write_string_with_format(0, at, name, &format)?;
        sheet.insert_note(0, at, &heading_note(schema, column, unit))?;
        if let Some(allowed) = allowed(schema, column, unit, at)? {
            sheet.add_data_validation(1, at, LAST_ROW, at, &allowed)?;
        }
        mark_missing(sheet, schema, column, at)?;
    }
    let last = schema.columns.len().saturating_sub(1) as u16;
    let is_example = format!("=LEFT($A2,{})=\"{EXAMPLE}\"", EXAMPLE.len());
    let grey = Format::new().set_font_color(GREY).set_italic();
    let shown = ConditionalFormatFormula::new().set_rule(is_example.as_str()).set_format(grey);
    sheet.add_conditional_format(1, 0, SHOWN_ROWS, last, &shown)?;
    write_row(sheet, 1, schema, &example_row(schema.table), unit)?;
    for (row, of) in (2..).zip(template.rows_of(schema.table)) {
        write_row(sheet, row, schema, of, unit)?;
    }
    sheet.set_freeze_panes(1, 1)?;
    sheet.set_landscape();
    sheet.set_repeat_rows(0, 0)?;
    Ok(())
}

fn heading_note(schema: &Schema, column: &Column, unit: LengthUnit) -> Note {
    let text = note(schema, column, unit);
    let lines: usize = text.lines().map(|line| line.chars().count() / 38 + 1).sum();
    Note::new(text)
        .add_author_prefix(false)
        .set_author(env!("CARGO_PKG_NAME"))
        .set_width(260)
        .set_height(20 + 18 * lines as u32)
}

/// How a column's cells are shown, and what the spreadsheet program makes of what is typed: a text column keeps 0017.
fn cell_format(column: &Column) -> Format {
    Format::new().set_num_format(match column.kind {
        Kind::Text => "@",
        Kind::Date => "yyyy-mm-dd",
        Kind::Length => "0.00##",
        Kind::Small => "0",
        Kind::Word(_) | Kind::Number | Kind::NumberOrNone => "General",
    })
}

/// What a column's cells take; text takes anything.
fn allowed(schema: &Schema, column: &Column, unit: LengthUnit, at: u16) -> Result<Option<DataValidation>, XlsxError> {
    let new = DataValidation::new();
    let between = |low, high| new.clone().allow_decimal_number(DataValidationRule::Between(low, high));
    let number = match column.range() {
        Range::Between(low, high) => between(low, high),
        Range::Positive => new.clone().allow_decimal_number(DataValidationRule::GreaterThan(0.0)),
        Range::NotNegative => new.clone().allow_decimal_number(DataValidationRule::GreaterThanOrEqualTo(0.0)),
        Range::Any => between(-1e9, 1e9),
    };
    let (rule, said) = match column.kind {
        Kind::Text => return Ok(None),
        Kind::Word(words) => (new.allow_list_strings(words)?, format!("Choose one of: {}.", words.join(", "))),
        Kind::Date => {
            let first = NaiveDate::from_ymd_opt(1930, 1, 1).unwrap_or_default();
            let last = NaiveDate::from_ymd_opt(2199, 12, 31).unwrap_or_default();
            (
                new.allow_date(DataValidationRule::Between(&first, &last)),
                "Write a day from 1930 on, as 2026-01-31.".to_string(),
            )
        }
        Kind::Length => {
            let least = if column.range() == Range::Any { -unit.longest() } else { 0.0 };
            (
                between(least, unit.longest()),
                format!(
                    "Write a length in {}, as a decimal. For a fraction type a zero and a space first: 0 3/64. A bare 3/64 becomes a day.",
                    unit.words()
                ),
            )
        }
        Kind::NumberOrNone => {
            let cell = format!("{}2", letters(at));
            let rule = format!("=OR(ISNUMBER({cell}),{cell}=\"none\")");
            (
                new.allow_custom(Formula::new(rule)),
                "Write a number, or the word none where the maker states no such limit.".to_string(),
            )
        }
        Kind::Small => {
            let (low, high) = if column.name == "blades" { (2, 3) } else { (1, 3) };
            (
                new.allow_whole_number(DataValidationRule::Between(low, high)),
                format!("Write a whole number from {low} to {high}."),
            )
        }
        Kind::Number => (number, "Write a number, with nothing between the thousands.".to_string()),
    };
    let of = FillOrDelete::of(schema.table, column.name);
    let said = match column.required || of.is_some() {
        true => said,
        false => format!("{said} Leave the cell empty when it is not recorded."),
    };
    let rule = rule.set_error_title("This cannot be read")?.set_error_message(said)?;
    Ok(Some(match of {
        None => rule,
        Some(of) => {
            rule.set_input_message(format!("Usually {}. Fill it in every row, or delete the whole column.", of.usual))?
        }
    }))
}

/// A needed cell turns yellow while its row holds something and it does not.
fn mark_missing(sheet: &mut Worksheet, schema: &Schema, column: &Column, at: u16) -> Result<(), XlsxError> {
    if !column.required && FillOrDelete::of(schema.table, column.name).is_none() {
        return Ok(());
    }
    let last = letters(schema.columns.len().saturating_sub(1) as u16);
    let rule = format!("=AND(COUNTA($A2:${last}2)>0,LEFT($A2,{})<>\"{EXAMPLE}\",{}2=\"\")", EXAMPLE.len(), letters(at));
    let yellow = Format::new().set_background_color(YELLOW);
    let missing = ConditionalFormatFormula::new().set_rule(rule.as_str()).set_format(yellow);
    sheet.add_conditional_format(1, at, SHOWN_ROWS, at, &missing)?;
    Ok(())
}

/// The letter of a column; no table has more than 26.
fn letters(column: u16) -> String {
    let letter = |at: u16| char::from(b'A' + (at % 26) as u8);
    match column / 26 {
        0 => letter(column).to_string(),
        more => format!("{}{}", letter(more - 1), letter(column)),
    }
}

fn write_row(sheet: &mut Worksheet, to: u32, schema: &Schema, row: &Row, unit: LengthUnit) -> Result<(), XlsxError> {
    for (name, cell) in row {
        let Some(position) = schema.position(name) else {
            return Err(XlsxError::ParameterError(format!("{} has no column {name}", schema.name)));
        };
        let (at, format) = (position as u16, cell_format(&schema.columns[position]));
        match cell {
            Cell::Text(text) => sheet.write_string_with_format(to, at, text.as_str(), &format),
            Cell::Day(day) => sheet.write_datetime_with_format(to, at, day.date(), &format),
            Cell::Number(number) => sheet.write_number_with_format(to, at, *number, &format),
            Cell::Inches(inches) => sheet.write_number_with_format(to, at, unit.of_inches(*inches), &format),
        }?;
    }
    Ok(())
}

fn settings(sheet: &mut Worksheet) -> Result<(), XlsxError> {
    sheet.set_name(SETTINGS_SHEET)?;
    let bold = Format::new().set_bold().set_border_bottom(FormatBorder::Thin);
    let top = Format::new().set_align(FormatAlign::Top);
    let wrapped = top.clone().set_text_wrap();
    for (at, (name, width)) in [("key", 26.0), ("value", 24.0), ("meaning", 80.0)].into_iter().enumerate() {
        sheet.write_string_with_format(0, at as u16, name, &bold)?;
        sheet.set_column_width(at as u16, width)?;
    }
    for (row, setting) in (1..).zip(common(true)) {
        sheet.write_string_with_format(row, 0, dotted(&setting), &top)?;
        sheet.write_string_with_format(row, 2, meaning(&setting), &wrapped)?;
    }
    sheet.set_freeze_panes(1, 0)?;
    Ok(())
}
