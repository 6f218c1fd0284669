//! What a file is by its content, whatever its name says.

use memchr::memmem;

/// What a file that should be a workbook turns out to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Found {
    /// A zip file with the parts of an `.xlsx` workbook.
    Workbook,
    /// A workbook locked with a password.
    Locked,
    /// A workbook in a form that is not read; the words name it.
    OtherForm(&'static str),
    /// A zip file without the parts of a workbook, or cut short.
    Zip,
    /// No bytes at all.
    Nothing,
    /// Something else.
    Else,
}

/// The first bytes of a compound file: an old workbook, or a new one that is encrypted.
const COMPOUND_FILE: &[u8] = &[0xD0, 0xCF, 0x11, 0xE0, 0xA1, 0xB1, 0x1A, 0xE1];

/// The name of the stream that holds an encrypted workbook (MS-OFFCRYPTO 2.3.4.4), as the compound file writes it: UTF-16.
fn encrypted_package() -> Vec<u8> {
    "EncryptedPackage".encode_utf16().flat_map(u16::to_le_bytes).collect()
}

/// Names of parts stand uncompressed in a zip file, so they are simply looked for.
pub(super) fn what_it_is(bytes: &[u8]) -> Found {
    let has = |part: &[u8]| memmem::find(bytes, part).is_some();
    if bytes.is_empty() {
        Found::Nothing
    } else if bytes.starts_with(COMPOUND_FILE) {
        if has(&encrypted_package()) { Found::Locked } else { Found::OtherForm("an old workbook (.xls)") }
    } else if bytes.starts_with(b"PK") {
        if has(b"application/vnd.oasis.opendocument") {
            Found::OtherForm("an OpenDocument file (.ods)")
        } else if has(b"xl/workbook.bin") {
            Found::OtherForm("a binary workbook (.xlsb)")
        } else if has(b"[Content_Types].xml") {
            Found::Workbook
        } else {
            Found::Zip
        }
    } else {
        Found::Else
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_are_told_by_their_content() {
        assert_eq!(what_it_is(b""), Found::Nothing);
        assert_eq!(what_it_is(b"propeller,model\n"), Found::Else);
        assert_eq!(what_it_is(b"PK\x03\x04 something"), Found::Zip);
        assert_eq!(what_it_is(b"PK\x03\x04 [Content_Types].xml"), Found::Workbook);
        let mut old = COMPOUND_FILE.to_vec();
        assert_eq!(what_it_is(&old), Found::OtherForm("an old workbook (.xls)"));
        old.extend(encrypted_package());
        assert_eq!(what_it_is(&old), Found::Locked);
    }
}
