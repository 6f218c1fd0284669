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
}

impl Default for Caps {
    fn default() -> Caps {
        Caps { table_bytes: 8 * GIB, page_bytes: GIB / 4 }
    }
}
