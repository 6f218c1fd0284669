//! The sheet that says what a workbook is, from what, as of when, and what its sheets hold.

use rust_xlsxwriter::{Format as CellFormat, FormatAlign, FormatBorder, Url, Worksheet, XlsxError};

/// The name of that sheet.
pub const ABOUT: &str = "about";

/// What a person is told about a workbook.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct About {
    /// The heading.
    pub title: String,
    /// Facts, each with what it is.
    pub facts: Vec<(String, String)>,
    /// Remarks, a paragraph each.
    pub remarks: Vec<String>,
    /// The other sheets.
    pub sheets: Vec<Holds>,
}

/// What one sheet holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Holds {
    /// The sheet.
    pub sheet: String,
    /// What a row of it is.
    pub a_row_is: String,
    /// How many rows it has.
    pub rows: u32,
}

const FIRST_WIDTH: f64 = 22.0;
const SECOND_WIDTH: f64 = 80.0;
/// Characters of a remark that fit across both columns.
const REMARK_WIDTH: usize = 100;

impl About {
    pub(super) fn sheet(&self) -> Result<Worksheet, XlsxError> {
        let mut sheet = Worksheet::new();
        sheet.set_name(ABOUT)?;
        sheet.set_column_width(0, FIRST_WIDTH)?;
        sheet.set_column_width(1, SECOND_WIDTH)?;
        sheet.set_column_width(2, 12)?;
        let top = CellFormat::new().set_align(FormatAlign::Top);
        let wrapped = top.clone().set_text_wrap();
        let title = CellFormat::new().set_bold().set_font_size(14);
        let head = CellFormat::new().set_bold().set_border_bottom(FormatBorder::Thin);
        let grouped = top.clone().set_num_format("#,##0");

        sheet.write_string_with_format(0, 0, self.title.as_str(), &title)?;
        let mut row = 2;
        for (what, said) in &self.facts {
            sheet.write_string_with_format(row, 0, what.as_str(), &top)?;
            sheet.write_string_with_format(row, 1, said.as_str(), &wrapped)?;
            row += 1;
        }
        row += 1;
        for remark in &self.remarks {
            sheet.merge_range(row, 0, row, 1, remark, &wrapped)?;
            let lines = remark.chars().count().div_ceil(REMARK_WIDTH).max(1);
            sheet.set_row_height(row, 15.0 * lines as f64)?;
            row += 1;
        }
        row += 1;
        for (column, text) in ["sheet", "a row is", "rows"].into_iter().enumerate() {
            sheet.write_string_with_format(row, column as u16, text, &head)?;
        }
        for holds in &self.sheets {
            row += 1;
            let to = Url::new(format!("internal:'{}'!A1", holds.sheet)).set_text(&holds.sheet);
            sheet.write_url(row, 0, to)?;
            sheet.write_string_with_format(row, 1, holds.a_row_is.as_str(), &wrapped)?;
            sheet.write_number_with_format(row, 2, holds.rows, &grouped)?;
        }
        sheet.set_portrait();
        sheet.set_print_fit_to_pages(1, 0);
        Ok(sheet)
    }
}
