//! How much memory a file may ask for by what it says of itself, before any of it is set apart.
//!
//! A damaged or hostile file of a few kilobytes can say that it holds terabytes, and an allocation that fails ends the
//! program on the spot. So what is said is compared with these before it is believed.

const GIB: u64 = 1 << 30;

/// The largest sizes that are believed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Caps {
    /// Bytes that the rows of one table may take in memory.
    pub table_bytes: u64,
    /// Bytes of one unpacked page of a Parquet file, or one unpacked buffer of an Arrow file.
    pub page_bytes: u64,
    /// Bytes to which a workbook may unpack; the cells of one sheet may take twice that in memory.
    pub workbook_bytes: u64,
    /// How many times its own size a workbook may unpack to.
    pub workbook_times: u32,
    /// Bytes to which any workbook may unpack: a small one of many equal cells is nothing to worry about.
    pub least_unpacked_bytes: u64,
}

impl Caps {
    /// Bytes to which a workbook of this size may unpack.
    pub fn unpacked_bytes(&self, file_bytes: u64) -> u64 {
        let times = file_bytes.saturating_mul(u64::from(self.workbook_times)).max(self.least_unpacked_bytes);
        times.min(self.workbook_bytes)
    }
}

/// The most headings that a table may have; a spreadsheet has no more columns than these (ECMA-376, 18.3.1.73: XFD).
pub const MOST_HEADINGS: usize = 16_384;

/// Bytes of the longest heading.
pub const LONGEST_HEADING: usize = 4 << 10;

impl Default for Caps {
    fn default() -> Caps {
        Caps {
            table_bytes: 8 * GIB,
            page_bytes: GIB / 4,
            workbook_bytes: GIB,
            workbook_times: 200,
            least_unpacked_bytes: GIB / 16,
        }
    }
}
