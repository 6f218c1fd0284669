//! The header of a Parquet page, as far as sizes go: Thrift's compact protocol, read without setting memory apart.
//!
//! Source: Apache Parquet format, `parquet.thrift` (PageHeader), and Apache Thrift, "Thrift Compact protocol encoding".

/// What a page says of itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct PageHead {
    /// Bytes of the header itself.
    pub length: usize,
    pub is_data: bool,
    pub is_dictionary: bool,
    pub unpacked: i32,
    pub packed: i32,
    /// Values of a data page or a dictionary.
    pub values: Option<i32>,
    pub encoding: Option<i32>,
}

/// Encodings that hold lengths of their own: DELTA_BINARY_PACKED, DELTA_LENGTH_BYTE_ARRAY, DELTA_BYTE_ARRAY.
pub(super) const DELTA: std::ops::RangeInclusive<i32> = 5..=7;

const DATA_PAGE: i32 = 0;
const DICTIONARY_PAGE: i32 = 2;
const DATA_PAGE_V2: i32 = 3;
const MOST_NESTED: u32 = 16;

/// Bytes ran out: the header may be longer than what was looked at, or it is damaged.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Unreadable;

struct Compact<'b> {
    bytes: &'b [u8],
    at: usize,
}

impl Compact<'_> {
    fn byte(&mut self) -> Result<u8, Unreadable> {
        let byte = self.bytes.get(self.at).copied().ok_or(Unreadable)?;
        self.at += 1;
        Ok(byte)
    }

    fn unsigned(&mut self) -> Result<u64, Unreadable> {
        let mut value = 0u64;
        for shift in (0..64).step_by(7) {
            let byte = self.byte()?;
            value |= u64::from(byte & 0x7F) << shift;
            if byte & 0x80 == 0 {
                return Ok(value);
            }
        }
        Err(Unreadable)
    }

    fn signed(&mut self) -> Result<i32, Unreadable> {
        let value = self.unsigned()?;
        let value = (value >> 1) as i64 ^ -((value & 1) as i64);
        i32::try_from(value).map_err(|_| Unreadable)
    }

    fn over(&mut self, count: u64) -> Result<(), Unreadable> {
        let to = usize::try_from(count).ok().and_then(|count| self.at.checked_add(count));
        self.at = to.filter(|&to| to <= self.bytes.len()).ok_or(Unreadable)?;
        Ok(())
    }

    /// Number and type of the next field of a structure; `None` at its end.
    fn field(&mut self, last: i32) -> Result<Option<(i32, u8)>, Unreadable> {
        let head = self.byte()?;
        match (head >> 4, head & 0x0F) {
            (_, 0) => Ok(None),
            (0, kind) => Ok(Some((self.signed()?, kind))),
            (step, kind) => Ok(Some((last + i32::from(step), kind))),
        }
    }

    fn skip(&mut self, kind: u8, nested: u32) -> Result<(), Unreadable> {
        if nested > MOST_NESTED {
            return Err(Unreadable);
        }
        match kind {
            // Yes and no stand in the field's own head.
            1 | 2 => Ok(()),
            3 => self.over(1),
            4..=6 => self.unsigned().map(drop),
            7 => self.over(8),
            8 => {
                let count = self.unsigned()?;
                self.over(count)
            }
            9 | 10 => {
                let head = self.byte()?;
                let count = if head >> 4 == 15 { self.unsigned()? } else { u64::from(head >> 4) };
                for _ in 0..count {
                    self.skip((head & 0x0F).max(3), nested + 1)?;
                }
                Ok(())
            }
            12 => {
                let mut last = 0;
                while let Some((field, kind)) = self.field(last)? {
                    self.skip(kind, nested + 1)?;
                    last = field;
                }
                Ok(())
            }
            _ => Err(Unreadable),
        }
    }
}

/// Reads the header at the start of `bytes`.
pub(super) fn page_head(bytes: &[u8]) -> Result<PageHead, Unreadable> {
    let mut at = Compact { bytes, at: 0 };
    let (mut page, mut unpacked, mut packed) = (None, None, None);
    let (mut values, mut encoding) = (None, None);
    let mut last = 0;
    while let Some((field, kind)) = at.field(last)? {
        match (field, kind) {
            (1, 5) => page = Some(at.signed()?),
            (2, 5) => unpacked = Some(at.signed()?),
            (3, 5) => packed = Some(at.signed()?),
            // The headers of data page, dictionary page and data page of version 2: values first; the encoding second,
            // and fourth in version 2.
            (5 | 7 | 8, 12) => {
                let wanted = if field == 8 { 4 } else { 2 };
                let mut inner = 0;
                while let Some((number, kind)) = at.field(inner)? {
                    match (number, kind) {
                        (1, 5) => values = Some(at.signed()?),
                        (number, 5) if number == wanted => encoding = Some(at.signed()?),
                        (_, kind) => at.skip(kind, 1)?,
                    }
                    inner = number;
                }
            }
            (_, kind) => at.skip(kind, 0)?,
        }
        last = field;
    }
    let page = page.ok_or(Unreadable)?;
    Ok(PageHead {
        length: at.at,
        is_data: page == DATA_PAGE || page == DATA_PAGE_V2,
        is_dictionary: page == DICTIONARY_PAGE,
        unpacked: unpacked.ok_or(Unreadable)?,
        packed: packed.ok_or(Unreadable)?,
        values,
        encoding,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand from the two specifications: type 0, 40 bytes unpacked, 30 packed, 12 values, encoding 8, then levels.
    const HEADER: [u8; 17] =
        [0x15, 0x00, 0x15, 0x50, 0x15, 0x3C, 0x2C, 0x15, 0x18, 0x15, 0x10, 0x15, 0x06, 0x15, 0x06, 0x00, 0x00];

    #[test]
    fn a_header_by_hand() {
        let head = page_head(&HEADER).unwrap();
        let expected = PageHead {
            length: 17,
            is_data: true,
            is_dictionary: false,
            unpacked: 40,
            packed: 30,
            values: Some(12),
            encoding: Some(8),
        };
        assert_eq!(head, expected);
    }

    #[test]
    fn every_cut_and_every_changed_byte_ends() {
        for length in 0..HEADER.len() {
            assert_eq!(page_head(&HEADER[..length]), Err(Unreadable), "{length}");
        }
        for at in 0..HEADER.len() {
            for byte in 0..=255 {
                let mut bytes = HEADER;
                bytes[at] = byte;
                let _ = page_head(&bytes);
            }
        }
        // A list that says it holds 2^63 structures.
        let nested = [0x19, 0xFC, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0x7F];
        assert_eq!(page_head(&nested), Err(Unreadable));
    }
}
