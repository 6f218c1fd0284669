//! Whether a Parquet file's column chunks and pages can be what they say, before any memory is set apart for them.

use std::fs::File;
use std::path::Path;
use std::sync::Arc;

use parquet::column::page::PageReader;
use parquet::file::metadata::{ColumnChunkMetaData, RowGroupMetaData};
use parquet::file::reader::ChunkReader;
use parquet::file::serialized_reader::SerializedPageReader;

use super::delta::lengths_can_be;
use super::thrift::{DELTA, PageHead, page_head};
use crate::tables::caps::Caps;

/// A page's header is some twenty bytes and the smallest and largest value of the page.
const HEAD_BYTES: u64 = 1 << 10;
const LONGEST_HEAD: u64 = 1 << 24;

fn size(value: i64, what: &str) -> Result<u64, String> {
    u64::try_from(value).map_err(|_| format!("{what} is negative"))
}

/// Rows of a row group whose column chunks lie inside the file.
pub(super) fn group_rows(group: &RowGroupMetaData, file_bytes: u64) -> Result<usize, String> {
    let rows = size(group.num_rows(), "a number of rows")?;
    for column in group.columns() {
        let (start, length) = span(column)?;
        size(column.uncompressed_size(), "the size of a column")?;
        if start.checked_add(length).is_none_or(|end| end > file_bytes) {
            return Err(format!("column `{}` lies outside the file", column.column_path()));
        }
        let values = size(column.num_values(), "a number of values")?;
        if column.column_descr().max_rep_level() == 0 && values != rows {
            let column = column.column_path();
            return Err(format!("column `{column}` has {values} values in a group of {rows} rows"));
        }
    }
    usize::try_from(rows).map_err(|_| "too many rows".to_string())
}

/// Where a column chunk starts, and its bytes. The library's own way to ask panics at a negative one.
fn span(column: &ColumnChunkMetaData) -> Result<(u64, u64), String> {
    let start = column.dictionary_page_offset().unwrap_or(column.data_page_offset());
    size(column.data_page_offset(), "the place of a column")?;
    Ok((size(start, "the place of a column")?, size(column.compressed_size(), "the size of a column")?))
}

/// Looks at every page header of a column chunk: sizes within the chunk and the caps, and as many values as the chunk has.
pub(super) fn check(path: &Path, file: &File, column: &ColumnChunkMetaData, caps: &Caps) -> Result<(), String> {
    let (mut at, length) = span(column)?;
    let end = at + length;
    let name = column.column_path();
    let (mut values, mut delta) = (0u64, false);
    while at < end {
        let head = head_at(file, at, end).ok_or_else(|| format!("a page header of column `{name}` cannot be read"))?;
        let packed = size(i64::from(head.packed), "the size of a page")?;
        let bytes = size(i64::from(head.unpacked), "the size of a page")?;
        at += head.length as u64;
        if at.checked_add(packed).is_none_or(|next| next > end) {
            return Err(format!("a page of column `{name}` is longer than the column"));
        }
        at += packed;
        if bytes > caps.page_bytes {
            return Err(format!(
                "a page of column `{name}` unpacks to {bytes} bytes, more than reading.page_mib allows"
            ));
        }
        let held = size(i64::from(head.values.unwrap_or(0)), "a number of values")?;
        if head.is_data {
            values += held;
            delta |= head.encoding.is_some_and(|encoding| DELTA.contains(&encoding));
        } else if head.is_dictionary && held > bytes {
            return Err(format!("the dictionary of column `{name}` says {held} values in {bytes} bytes"));
        }
    }
    if values != size(column.num_values(), "a number of values")? {
        return Err(format!(
            "the pages of column `{name}` hold {values} values, not the {} it says",
            column.num_values()
        ));
    }
    if delta {
        let file = Arc::new(File::open(path).map_err(|e| e.to_string())?);
        let rows = usize::try_from(values).map_err(|_| "too many rows".to_string())?;
        let mut pages = SerializedPageReader::new(file, column, rows, None).map_err(|e| e.to_string())?;
        let levels = (column.column_descr().max_def_level(), column.column_descr().max_rep_level());
        while let Some(page) = pages.get_next_page().map_err(|e| e.to_string())? {
            if !lengths_can_be(&page, levels.0, levels.1) {
                return Err(format!("a page of column `{name}` says lengths that cannot be"));
            }
        }
    }
    Ok(())
}

fn head_at(file: &File, at: u64, end: u64) -> Option<PageHead> {
    for most in [HEAD_BYTES, LONGEST_HEAD] {
        let length = usize::try_from((end - at).min(most)).ok()?;
        let bytes = file.get_bytes(at, length).ok()?;
        match page_head(&bytes) {
            Ok(head) => return Some(head),
            // A longer look helps only where there is more to see.
            Err(_) if (length as u64) < end - at => {}
            Err(_) => return None,
        }
    }
    None
}
