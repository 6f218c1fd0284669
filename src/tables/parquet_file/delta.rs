//! Whether the lengths inside a delta-encoded page can be, before a decoder sets memory apart for them.
//!
//! Source: Apache Parquet format, `Encodings.md`: delta encoding (5), delta-length byte array (6), delta strings (7).

use parquet::basic::Encoding;
use parquet::column::page::Page;

struct Bits<'b> {
    bytes: &'b [u8],
    at: usize,
}

impl Bits<'_> {
    fn unsigned(&mut self) -> Option<u64> {
        let mut value = 0u64;
        for shift in (0..64).step_by(7) {
            let byte = *self.bytes.get(self.at)?;
            self.at += 1;
            value |= u64::from(byte & 0x7F) << shift;
            if byte & 0x80 == 0 {
                return Some(value);
            }
        }
        None
    }

    /// Passes over one delta-packed run of at most `most` values.
    fn run(&mut self, most: u64) -> Option<()> {
        let block = self.unsigned()?;
        let parts = self.unsigned()?;
        let values = self.unsigned()?;
        self.unsigned()?;
        let fits = block > 0 && parts > 0 && block <= 1 << 24 && block % 128 == 0 && block % parts == 0;
        if !fits || values > most {
            return None;
        }
        let in_part = usize::try_from(block / parts).ok()?;
        let mut left = values.saturating_sub(1);
        while left > 0 {
            self.unsigned()?;
            let widths = self.bytes.get(self.at..self.at.checked_add(usize::try_from(parts).ok()?)?)?;
            self.at += widths.len();
            for &width in widths {
                if left == 0 {
                    break;
                }
                self.at = self.at.checked_add(in_part.checked_mul(usize::from(width))? / 8)?;
                // The last part may be cut where its values end.
                left = left.saturating_sub(in_part as u64);
            }
        }
        Some(())
    }
}

/// Whether the page is not delta-encoded, or no run in it has more values than the page.
pub(super) fn lengths_can_be(page: &Page, max_def_level: i16, max_rep_level: i16) -> bool {
    let (buffer, values, encoding, levels) = match page {
        Page::DataPage { buf, num_values, encoding, .. } => {
            let mut from = 0usize;
            for level in [max_rep_level, max_def_level] {
                if level > 0 {
                    let Some(length) = buf.get(from..).and_then(<[u8]>::first_chunk::<4>) else {
                        return false;
                    };
                    from = from.saturating_add(4).saturating_add(u32::from_le_bytes(*length) as usize);
                }
            }
            (buf, *num_values, *encoding, from)
        }
        Page::DataPageV2 { buf, num_values, encoding, def_levels_byte_len, rep_levels_byte_len, .. } => {
            (buf, *num_values, *encoding, *def_levels_byte_len as usize + *rep_levels_byte_len as usize)
        }
        Page::DictionaryPage { .. } => return true,
    };
    let runs = match encoding {
        Encoding::DELTA_BINARY_PACKED | Encoding::DELTA_LENGTH_BYTE_ARRAY => 1,
        Encoding::DELTA_BYTE_ARRAY => 2,
        _ => return true,
    };
    let Some(rest) = buffer.get(levels..) else {
        return false;
    };
    // A page of nulls only holds no values at all.
    if rest.is_empty() {
        return true;
    }
    let mut bits = Bits { bytes: rest, at: 0 };
    (0..runs).all(|_| bits.run(u64::from(values)).is_some())
}
