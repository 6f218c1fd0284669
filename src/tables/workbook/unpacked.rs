//! How large the parts of a workbook are once they are unpacked, found out before any of it is kept.
//!
//! A workbook is a zip file, and a zip file of two megabytes can hold ten thousand million equal bytes.

use std::io::{self, Cursor, Read as _};

use zip::ZipArchive;

use crate::tables::caps::Caps;

/// Whether the parts unpack to more than is allowed. What the file says of their sizes is looked at first, then they are
/// unpacked and counted, for a file may say anything.
pub(super) fn is_too_large(bytes: &[u8], caps: &Caps) -> bool {
    let most = caps.unpacked_bytes(bytes.len() as u64);
    // What is no zip file is refused with its own reason elsewhere.
    let Ok(mut archive) = ZipArchive::new(Cursor::new(bytes)) else {
        return false;
    };
    if archive.decompressed_size().is_some_and(|size| size > u128::from(most)) {
        return true;
    }
    let mut left = most;
    for index in 0..archive.len() {
        let Ok(part) = archive.by_index(index) else {
            continue;
        };
        let mut counted = part.take(left + 1);
        // A part that is damaged is told when it is read; what came of it until then counts.
        let _ = io::copy(&mut counted, &mut io::sink());
        let unpacked = left + 1 - counted.limit();
        if unpacked > left {
            return true;
        }
        left -= unpacked;
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Write as _;
    use zip::write::SimpleFileOptions;

    #[test]
    fn what_unpacks_to_more_than_is_allowed_is_found_whatever_the_file_says() {
        let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
        zip.start_file("xl/worksheets/sheet1.xml", SimpleFileOptions::default()).unwrap();
        zip.write_all(&vec![b' '; 1 << 20]).unwrap();
        let mut bytes = zip.finish().unwrap().into_inner();
        let caps = |workbook_bytes| Caps { workbook_bytes, least_unpacked_bytes: 0, ..Caps::default() };
        assert!(is_too_large(&bytes, &caps(1 << 19)));
        assert!(!is_too_large(&bytes, &Caps { workbook_times: 2000, ..caps(1 << 21) }));
        // 1 MiB of blanks takes about a thousandth of it.
        assert!(is_too_large(&bytes, &Caps { workbook_times: 200, ..caps(1 << 21) }));
        assert!(!is_too_large(b"no zip file", &caps(0)));
        // Where the size stands behind the part (APPNOTE 4.4.4, bit 3), it is counted.
        let mut streamed = zip::ZipWriter::new_stream(Vec::new());
        streamed.start_file("xl/worksheets/sheet1.xml", SimpleFileOptions::default()).unwrap();
        streamed.write_all(&vec![b' '; 1 << 20]).unwrap();
        let streamed = streamed.finish().unwrap().into_inner();
        assert_eq!(ZipArchive::new(Cursor::new(&streamed)).unwrap().decompressed_size(), None);
        assert!(is_too_large(&streamed, &caps(1 << 19)));
        // The central directory says 1 byte instead of 1 MiB, at offset 24 of its record (APPNOTE 4.3.12): no more is unpacked.
        let record = bytes.windows(4).position(|w| w == b"PK\x01\x02").unwrap();
        bytes[record + 24..record + 28].copy_from_slice(&1u32.to_le_bytes());
        let mut lying = ZipArchive::new(Cursor::new(&bytes)).unwrap();
        let unpacked = lying.by_index(0).map_or(0, |mut part| io::copy(&mut part, &mut io::sink()).unwrap_or(0));
        assert!(unpacked <= 1 || is_too_large(&bytes, &caps(1 << 19)), "{unpacked}");
    }
}
