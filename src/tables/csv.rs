//! CSV files read record by record, so that one bad record costs one record.
//!
//! A general CSV reader either stops at the first stray quote or swallows the rows behind it. Here every record keeps
//! its offset, length and line; a record that cannot be split is remembered as broken and reading goes on at the next
//! line. Quoting follows RFC 4180: a quoted field may hold separators, line breaks and doubled quotes.

pub mod grid;

use std::collections::HashSet;
use std::fs::File;
use std::io::{Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use arrow::array::{ArrayRef, StringBuilder};
use arrow::datatypes::{DataType, Field, Schema};
use arrow::record_batch::{RecordBatch, RecordBatchOptions};

use super::TableError;
use super::example::{EXAMPLE, is_example};
use super::source::{Broken, BrokenRecord, Place};

const CHUNK_ROWS: usize = 1 << 16;

/// How a CSV file is cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CsvOptions {
    /// The byte between fields.
    pub separator: u8,
}

impl Default for CsvOptions {
    fn default() -> Self {
        CsvOptions { separator: b',' }
    }
}

#[derive(Debug, Clone, Copy)]
struct Record {
    offset: u64,
    length: u32,
    line: u32,
}

/// A CSV file whose records have been found; their text stays on disk.
pub struct CsvFile {
    path: PathBuf,
    name: String,
    separator: u8,
    columns: Vec<String>,
    header_line: u32,
    records: Vec<Record>,
    broken: Vec<Broken>,
    examples: usize,
}

/// A field inside a record: the byte range of its content, and whether doubled quotes must be undone.
#[derive(Debug, Clone, Copy)]
struct FieldRange {
    start: usize,
    end: usize,
    doubled_quotes: bool,
}

struct Stray;

/// Cuts one record starting at `start`; returns where it ends (the line feed or the end of the text) and the number of
/// line breaks inside quoted fields.
fn cut_record(text: &[u8], start: usize, separator: u8, fields: &mut Vec<FieldRange>) -> Result<(usize, u32), Stray> {
    fields.clear();
    let mut at = start;
    let mut breaks = 0;
    loop {
        if text.get(at) == Some(&b'"') {
            let from = at + 1;
            let mut doubled_quotes = false;
            at = from;
            let close = loop {
                let Some(next) = memchr::memchr2(b'"', b'\n', &text[at..]) else {
                    return Err(Stray);
                };
                at += next;
                if text[at] == b'\n' {
                    breaks += 1;
                    at += 1;
                } else if text.get(at + 1) == Some(&b'"') {
                    doubled_quotes = true;
                    at += 2;
                } else {
                    break at;
                }
            };
            fields.push(FieldRange { start: from, end: close, doubled_quotes });
            at = close + 1;
            if text.get(at) == Some(&b'\r') && matches!(text.get(at + 1), None | Some(b'\n')) {
                at += 1;
            }
            match text.get(at) {
                None | Some(b'\n') => return Ok((at, breaks)),
                Some(&c) if c == separator => at += 1,
                Some(_) => return Err(Stray),
            }
        } else {
            let from = at;
            let end = from + memchr::memchr3(separator, b'\n', b'"', &text[from..]).unwrap_or(text.len() - from);
            match text.get(end) {
                Some(b'"') => return Err(Stray),
                Some(&c) if c == separator => {
                    fields.push(FieldRange { start: from, end, doubled_quotes: false });
                    at = end + 1;
                }
                _ => {
                    let cut = end - usize::from(end > from && text[end - 1] == b'\r');
                    fields.push(FieldRange { start: from, end: cut, doubled_quotes: false });
                    return Ok((end, breaks));
                }
            }
        }
    }
}

fn line_end(text: &[u8], start: usize) -> usize {
    start + memchr::memchr(b'\n', &text[start..]).unwrap_or(text.len() - start)
}

fn is_blank(record: &[u8], separator: u8) -> bool {
    record.iter().all(|&c| c == separator || c == b' ' || c == b'\t' || c == b'\r')
}

/// Whether a line above the header is a spreadsheet's note to itself, as `sep=;`.
fn names_the_separator(line: &[u8]) -> bool {
    let line = line.trim_ascii();
    line.len() <= 5 && line.get(..4).is_some_and(|head| head.eq_ignore_ascii_case(b"sep="))
}

/// Whether the first filled field says that the record is an example.
fn marks_an_example(record: &[u8], separator: u8) -> bool {
    let is_filling = |c: u8| c == separator || c == b'"' || c.is_ascii_whitespace();
    let from = record.iter().position(|&c| !is_filling(c));
    let first = from.map_or(&[][..], |from| &record[from..]);
    // Cheap for the many that are none: only these few bytes are looked at as text.
    let head = &first[..first.len().min(EXAMPLE.len() + 4)];
    head.starts_with(EXAMPLE.as_bytes()) && is_example(&String::from_utf8_lossy(head))
}

/// Whether the text of these records is longer than a column of text can be (Arrow numbers its bytes in 32 bits).
fn spans_too_much(records: &[Record]) -> bool {
    let ends = records.first().zip(records.last());
    ends.is_some_and(|(head, tail)| tail.offset - head.offset + u64::from(tail.length) > i32::MAX as u64)
}

fn field_text<'a>(text: &'a str, field: FieldRange, buffer: &'a mut String) -> &'a str {
    let raw = &text[field.start..field.end];
    if !field.doubled_quotes {
        return raw;
    }
    buffer.clear();
    buffer.push_str(&raw.replace("\"\"", "\""));
    buffer
}

impl CsvFile {
    /// Finds the header and every record of the file.
    ///
    /// # Errors
    /// [`TableError::Empty`], [`TableError::NotText`], [`TableError::Header`], or the system's own error.
    pub fn open(path: &Path, options: CsvOptions) -> Result<CsvFile, TableError> {
        let text = std::fs::read(path).map_err(|e| TableError::read(path, e))?;
        let separator = options.separator;
        let mut at = if text.starts_with(&[0xEF, 0xBB, 0xBF]) { 3 } else { 0 };
        refuse_what_is_not_text(path, &text)?;
        let mut line: u32 = 1;
        let says_nothing = |line: &[u8]| is_blank(line, separator) || names_the_separator(line);
        while at < text.len() && says_nothing(&text[at..line_end(&text, at)]) {
            at = line_end(&text, at) + 1;
            line += 1;
        }
        if at >= text.len() {
            return Err(TableError::Empty(path.to_path_buf()));
        }
        let mut fields = Vec::new();
        let header_line = line;
        let header_error = |problem: String, hint: &str| TableError::Header {
            path: path.to_path_buf(),
            line: u64::from(header_line),
            problem,
            hint: hint.to_string(),
        };
        let (end, breaks) = cut_record(&text, at, separator, &mut fields).map_err(|Stray| {
            header_error(
                "a quotation mark inside a name, or one that never closes".to_string(),
                "write plain column names in the first line",
            )
        })?;
        let mut columns = Vec::with_capacity(fields.len());
        for field in &fields {
            let name = std::str::from_utf8(&text[field.start..field.end])
                .map_err(|_| header_error("it is not UTF-8".to_string(), "save the table as CSV in UTF-8"))?;
            columns.push(name.trim().to_string());
        }
        // Trailing empty names come from spreadsheets that once had more columns; they name nothing.
        let mut seen = HashSet::with_capacity(columns.len());
        for name in columns.iter().filter(|name| !name.is_empty()) {
            if !seen.insert(name) {
                return Err(header_error(
                    format!("column `{name}` stands there twice"),
                    "rename or remove one of the two columns",
                ));
            }
        }
        line += breaks + 1;
        at = end + 1;

        let all_utf8 = std::str::from_utf8(&text).is_ok();
        let mut file = CsvFile {
            path: path.to_path_buf(),
            name: path.file_name().unwrap_or_default().to_string_lossy().into_owned(),
            separator,
            columns,
            header_line,
            records: Vec::new(),
            broken: Vec::new(),
            examples: 0,
        };
        while at < text.len() {
            let (end, breaks) = file.next_record(&text, at, line, all_utf8, &mut fields)?;
            line += breaks + 1;
            at = end + 1;
        }
        if file.records.chunks(CHUNK_ROWS).any(spans_too_much) {
            return Err(TableError::Broken {
                path: path.to_path_buf(),
                format: "CSV",
                problem: format!("{CHUNK_ROWS} rows of it take more than 2 GiB"),
            });
        }
        Ok(file)
    }

    fn next_record(
        &mut self,
        text: &[u8],
        at: usize,
        line: u32,
        all_utf8: bool,
        fields: &mut Vec<FieldRange>,
    ) -> Result<(usize, u32), TableError> {
        let first_line_end = line_end(text, at);
        if is_blank(&text[at..first_line_end], self.separator) {
            return Ok((first_line_end, 0));
        }
        let expected = self.columns.len();
        let cut = cut_record(text, at, self.separator, fields);
        let (end, breaks, problem) = match cut {
            // A quote that swallowed lines and still gave the wrong number of fields was never meant to span them.
            Ok((_, breaks)) if breaks > 0 && fields.len() != expected => {
                (first_line_end, 0, Some(BrokenRecord::StrayQuote))
            }
            Ok((end, breaks)) if fields.len() < expected => {
                (end, breaks, Some(BrokenRecord::TooFewFields { found: fields.len(), expected }))
            }
            // Even an empty one too many: a value may have slipped one field to the left.
            Ok((end, breaks)) if fields.len() > expected => {
                (end, breaks, Some(BrokenRecord::TooManyFields { found: fields.len(), expected }))
            }
            Ok((end, breaks)) => (end, breaks, None),
            Err(Stray) => (first_line_end, 0, Some(BrokenRecord::StrayQuote)),
        };
        let record = &text[at..end];
        if marks_an_example(record, self.separator) {
            self.examples += 1;
            return Ok((end, breaks));
        }
        let problem = if all_utf8 {
            problem
        } else {
            match std::str::from_utf8(record) {
                Ok(_) => problem,
                Err(error) => Some(BrokenRecord::NotUtf8 { offset: (at + error.valid_up_to()) as u64 }),
            }
        };
        let row = u32::try_from(self.records.len())
            .ok()
            .filter(|&row| row < u32::MAX - 1)
            .ok_or_else(|| TableError::TooManyRows(self.path.clone()))?;
        if let Some(problem) = problem {
            let pieces = String::from_utf8_lossy(record)
                .split(self.separator as char)
                .map(|piece| piece.trim().trim_matches('"').trim().to_string())
                .collect();
            self.broken.push(Broken { row, problem, pieces });
        }
        let length = record.len() - usize::from(record.last() == Some(&b'\r'));
        self.records.push(Record { offset: at as u64, length: u32::try_from(length).unwrap_or(u32::MAX), line });
        Ok((end, breaks))
    }

    /// Records marked as examples, which are not among the rows.
    pub(super) fn examples(&self) -> usize {
        self.examples
    }

    pub(super) fn columns(&self) -> &[String] {
        &self.columns
    }

    pub(super) fn broken(&self) -> &[Broken] {
        &self.broken
    }

    pub(super) fn chunk_rows(&self) -> Vec<usize> {
        self.records.chunks(CHUNK_ROWS).map(<[Record]>::len).collect()
    }

    pub(super) fn place(&self, row: u32) -> Place {
        Place {
            file: self.name.clone(),
            line: self.records.get(row as usize).map_or(0, |r| u64::from(r.line)),
            cell: None,
        }
    }

    pub(super) fn header_place(&self) -> Place {
        Place { file: self.name.clone(), line: u64::from(self.header_line), cell: None }
    }

    fn read_range(&self, offset: u64, length: usize) -> std::io::Result<Vec<u8>> {
        let mut file = File::open(&self.path)?;
        file.seek(SeekFrom::Start(offset))?;
        let mut bytes = vec![0; length];
        file.read_exact(&mut bytes)?;
        Ok(bytes)
    }

    pub(super) fn as_written(&self, row: u32) -> Result<String, TableError> {
        let Some(record) = self.records.get(row as usize) else {
            return Ok(String::new());
        };
        let bytes =
            self.read_range(record.offset, record.length as usize).map_err(|e| TableError::read(&self.path, e))?;
        Ok(String::from_utf8_lossy(&bytes).into_owned())
    }

    pub(super) fn read_chunk(&self, chunk: usize, wanted: &[usize]) -> Result<RecordBatch, TableError> {
        let first = chunk * CHUNK_ROWS;
        let records = &self.records[first..(first + CHUNK_ROWS).min(self.records.len())];
        let schema = Arc::new(Schema::new(
            wanted.iter().map(|&c| Field::new(self.columns[c].as_str(), DataType::Utf8, true)).collect::<Vec<_>>(),
        ));
        let mut builders: Vec<StringBuilder> = wanted.iter().map(|_| StringBuilder::new()).collect();
        if let (Some(head), Some(tail)) = (records.first(), records.last()) {
            let length = tail.offset - head.offset + u64::from(tail.length);
            let text = self.read_range(head.offset, length as usize).map_err(|e| TableError::read(&self.path, e))?;
            self.fill(records, head.offset, &text, first, wanted, &mut builders);
        }
        let arrays: Vec<ArrayRef> = builders.iter_mut().map(|b| Arc::new(b.finish()) as ArrayRef).collect();
        RecordBatch::try_new_with_options(
            schema,
            arrays,
            &RecordBatchOptions::new().with_row_count(Some(records.len())),
        )
        .map_err(|e| TableError::Broken { path: self.path.clone(), format: "CSV", problem: e.to_string() })
    }

    fn fill(
        &self,
        records: &[Record],
        base: u64,
        text: &[u8],
        first: usize,
        wanted: &[usize],
        builders: &mut [StringBuilder],
    ) {
        let mut fields = Vec::new();
        let mut buffer = String::new();
        let mut broken = self.broken.partition_point(|b| (b.row as usize) < first);
        for (index, record) in records.iter().enumerate() {
            let start = (record.offset - base) as usize;
            let bytes = &text[start..start + record.length as usize];
            let is_broken = self.broken.get(broken).is_some_and(|b| b.row as usize == first + index);
            broken += usize::from(is_broken);
            let record_text = match std::str::from_utf8(bytes) {
                Ok(record_text) if !is_broken && cut_record(bytes, 0, self.separator, &mut fields).is_ok() => {
                    record_text
                }
                _ => {
                    builders.iter_mut().for_each(StringBuilder::append_null);
                    continue;
                }
            };
            for (builder, &column) in builders.iter_mut().zip(wanted) {
                match fields.get(column) {
                    Some(&field) => {
                        builder.append_value(field_text(record_text, field, &mut buffer));
                    }
                    None => builder.append_null(),
                }
            }
        }
    }
}

fn refuse_what_is_not_text(path: &Path, text: &[u8]) -> Result<(), TableError> {
    let refuse = |found, offset| Err(TableError::NotText { path: path.to_path_buf(), found, offset });
    if text.starts_with(&[0xFF, 0xFE]) || text.starts_with(&[0xFE, 0xFF]) {
        return refuse("UTF-16 text", 0);
    }
    if text.starts_with(b"PK\x03\x04") {
        return refuse("a workbook or other zip file", 0);
    }
    if let Some(offset) = memchr::memchr(0, text) {
        return refuse("a zero byte", offset);
    }
    Ok(())
}

#[cfg(test)]
mod tests;
