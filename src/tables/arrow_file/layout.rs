//! Whether the parts of an Arrow IPC file lie where it says, before any of them is decoded.

use std::io::{Read, Seek, SeekFrom};

use arrow::ipc::{Block, MessageHeader, RecordBatch, root_as_footer, root_as_message};

use crate::tables::caps::Caps;

/// `ARROW1` and two bytes of padding stand at the start; the footer's length (4 bytes) and `ARROW1` at the end.
const HEAD: u64 = 8;
const TAIL: u64 = 10;
/// An uncompressed length of -1 says that the bytes behind it are not compressed.
const NOT_COMPRESSED: i64 = -1;

/// A file of which parts are read.
pub(super) struct Parts<R> {
    pub file: R,
    pub length: u64,
}

impl<R: Read + Seek> Parts<R> {
    /// The bytes from `at` on, which must lie inside the file.
    fn bytes(&mut self, at: u64, length: u64) -> Result<Vec<u8>, String> {
        if at.checked_add(length).is_none_or(|end| end > self.length) {
            return Err("a part of it lies outside the file".to_string());
        }
        let mut bytes = vec![0; usize::try_from(length).map_err(|e| e.to_string())?];
        self.file.seek(SeekFrom::Start(at)).map_err(|e| e.to_string())?;
        self.file.read_exact(&mut bytes).map_err(|e| e.to_string())?;
        Ok(bytes)
    }

    /// Rows of each record batch of a file whose parts lie inside it and whose sizes can be.
    pub fn batch_rows(&mut self, caps: &Caps) -> Result<Vec<usize>, String> {
        let trailer = self.length.checked_sub(TAIL).filter(|&at| at >= HEAD).ok_or("it is cut short")?;
        let tail = self.bytes(trailer, TAIL)?;
        let length = tail.first_chunk::<4>().filter(|_| tail.ends_with(b"ARROW1"));
        let length = length.ok_or("its last bytes are not those of an Arrow file; it may be cut short")?;
        let length = u64::try_from(i32::from_le_bytes(*length)).map_err(|_| "its footer has a negative length")?;
        let start = trailer.checked_sub(length).filter(|&at| at >= HEAD).ok_or("its footer is longer than the file")?;
        let footer = self.bytes(start, length)?;
        let footer = root_as_footer(&footer).map_err(|e| format!("its footer: {e}"))?;
        for block in footer.dictionaries().into_iter().flatten() {
            let (message, body) = self.message(block)?;
            let message = root_as_message(after_length(&message)).map_err(|e| format!("a dictionary: {e}"))?;
            let batch = message.header_as_dictionary_batch().ok_or("a dictionary is none")?;
            self.rows(batch.data().ok_or("a dictionary is without data")?, body, caps)?;
        }
        let blocks = footer.recordBatches().ok_or("its footer lists no record batches")?;
        let mut rows = Vec::with_capacity(blocks.len());
        for block in blocks {
            let (message, body) = self.message(block)?;
            let message = root_as_message(after_length(&message)).map_err(|e| format!("a record batch: {e}"))?;
            rows.push(match message.header_type() {
                MessageHeader::NONE => 0,
                _ => self.rows(message.header_as_record_batch().ok_or("a record batch is none")?, body, caps)?,
            });
        }
        Ok(rows)
    }

    /// The message of a block, and where its body lies: start and length.
    fn message(&mut self, block: &Block) -> Result<(Vec<u8>, (u64, u64)), String> {
        let part = |length: i64| u64::try_from(length).ok();
        let outside = "a part of it lies outside the file";
        let from = part(block.offset()).ok_or(outside)?;
        let head = part(i64::from(block.metaDataLength())).filter(|&head| head >= HEAD).ok_or(outside)?;
        let body = part(block.bodyLength()).ok_or(outside)?;
        let message = self.bytes(from, head)?;
        let end = (from + head).checked_add(body).filter(|&end| end <= self.length);
        end.ok_or(outside)?;
        Ok((message, (from + head, body)))
    }

    /// Rows of a batch whose buffers lie in its body.
    fn rows(&mut self, batch: RecordBatch<'_>, (start, body): (u64, u64), caps: &Caps) -> Result<usize, String> {
        let is_packed = batch.compression().is_some();
        let mut bytes: u64 = 0;
        for buffer in batch.buffers().into_iter().flatten() {
            let outside = "a column's bytes lie outside its batch";
            let from = u64::try_from(buffer.offset()).map_err(|_| outside)?;
            let length = u64::try_from(buffer.length()).map_err(|_| outside)?;
            from.checked_add(length).filter(|&to| to <= body).ok_or(outside)?;
            bytes += match is_packed && length > 0 {
                false => length,
                true => {
                    let head = self.bytes(start + from, length.min(8))?;
                    let said = head.first_chunk::<8>().ok_or("a compressed column is cut short")?;
                    match i64::from_le_bytes(*said) {
                        NOT_COMPRESSED => length,
                        said => u64::try_from(said).ok().filter(|&said| said <= caps.page_bytes).ok_or_else(|| {
                            format!("a column unpacks to {said} bytes, more than reading.page_mib allows")
                        })?,
                    }
                }
            };
        }
        let rows = usize::try_from(batch.length()).map_err(|_| "a batch has a negative number of rows")?;
        let mut nodes = batch.nodes().into_iter().flatten();
        if nodes.any(|node| node.length() < 0 || node.null_count() < 0 || node.null_count() > node.length()) {
            return Err("a column has an impossible number of values".to_string());
        }
        // The narrowest column there is takes a bit a row.
        if rows as u64 > bytes.saturating_mul(8) {
            return Err(format!("a batch says that it holds {rows} rows, in {bytes} bytes"));
        }
        Ok(rows)
    }
}

/// A message without the length before it, and without what marks the newer form of that.
fn after_length(message: &[u8]) -> &[u8] {
    let from = if message.starts_with(&[0xFF; 4]) { 8 } else { 4 };
    message.get(from..).unwrap_or_default()
}
