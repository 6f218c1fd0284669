//! Files that are no workbook to read, each with what to do.

use super::made::{Book, Saved};
use super::raw::{Raw, texts};

const DAMAGED: &str = "hint: open it in the spreadsheet program and save it again as .xlsx, or take the last good copy";
const SAVE_AS: &str = "hint: open it in the spreadsheet program, save it as .xlsx, and name that file";

/// The first bytes of a compound file (MS-CFB 2.2) and the directory entry of an encrypted workbook (MS-OFFCRYPTO 2.3.4.4).
fn compound_file(entry: &str) -> Vec<u8> {
    let mut bytes = vec![0xD0, 0xCF, 0x11, 0xE0, 0xA1, 0xB1, 0x1A, 0xE1];
    bytes.resize(1024, 0);
    bytes.extend(entry.encode_utf16().flat_map(u16::to_le_bytes));
    bytes.resize(2048, 0);
    bytes
}

#[test]
fn a_workbook_with_a_password() {
    // One that another program encrypted; see files/README.md.
    let locked = include_bytes!("files/locked.xlsx");
    assert_eq!(
        Saved::bytes("fleet.xlsx", locked).error(),
        "fleet.xlsx: the workbook is locked with a password\nhint: save a copy without a password and name that"
    );
    assert_eq!(
        Saved::bytes("fleet.xlsx", &compound_file("EncryptedPackage")).error(),
        "fleet.xlsx: the workbook is locked with a password\nhint: save a copy without a password and name that"
    );
}

#[test]
fn other_kinds_of_workbook() {
    let old = Saved::bytes("fleet.xls", &compound_file("Workbook")).error();
    assert_eq!(old, format!("fleet.xls: expected a workbook as .xlsx, found an old workbook (.xls)\n{SAVE_AS}"));
    // An old workbook stays one under another name.
    let named = Saved::bytes("fleet.xlsx", &compound_file("Workbook")).error();
    assert_eq!(named, format!("fleet.xlsx: expected a workbook as .xlsx, found an old workbook (.xls)\n{SAVE_AS}"));
    let open = b"PK\x03\x04....mimetypeapplication/vnd.oasis.opendocument.spreadsheet";
    assert_eq!(
        Saved::bytes("fleet.ods", open).error(),
        format!("fleet.ods: expected a workbook as .xlsx, found an OpenDocument file (.ods)\n{SAVE_AS}")
    );
    assert_eq!(
        Saved::bytes("fleet.xlsb", b"PK\x03\x04[Content_Types].xml xl/workbook.bin").error(),
        format!("fleet.xlsb: expected a workbook as .xlsx, found a binary workbook (.xlsb)\n{SAVE_AS}")
    );
    assert_eq!(
        Saved::bytes("fleet.xls", b"<html><table>").error(),
        format!("fleet.xls: the file is named like a workbook and is none\n{SAVE_AS}")
    );
}

#[test]
fn damaged_workbooks() {
    let whole = std::fs::read(Book::small().save().path).expect("bytes");
    // Cut short anywhere, it is refused, never half read.
    for part in [40, whole.len() / 3, whole.len() / 2, whole.len() - 30] {
        let error = Saved::bytes("fleet.xlsx", &whole[..part]).error();
        assert!(error.starts_with("fleet.xlsx: the workbook is damaged and cannot be read: "), "{error}");
        assert!(error.ends_with(DAMAGED), "{error}");
    }
    let empty = Saved::bytes("fleet.xlsx", b"").error();
    assert_eq!(empty, format!("fleet.xlsx: the file is empty\n{DAMAGED}"));
    // A sheet whose end is missing is named.
    let broken = Raw::new().sheet("propellers", &["<c r=\"A1\"><v>1</v></row></sheetData>"]).save().error();
    assert!(broken.starts_with("fleet.xlsx!propellers: the workbook is damaged"), "{broken}");
}

#[test]
fn files_that_are_nothing_like_a_workbook() {
    assert_eq!(
        Saved::bytes("propellers.csv", b"propeller\nA1\n").error(),
        "propellers.csv: expected a folder of tables or a workbook, found another file\nhint: name the folder that holds propellers.csv, propellers.parquet or propellers.arrow, or an .xlsx file with a sheet `propellers`"
    );
}

#[test]
fn two_sheets_of_one_name() {
    // A spreadsheet program refuses two names that differ in case only; other programs write them, and white space hides one.
    for (first, second) in [("Hours", "hours "), ("hours", "HOURS"), ("aircraft_hours", "Aircraft hours")] {
        let name = if first.len() > 6 { "aircraft_hours" } else { "hours" };
        let error = Raw::new()
            .sheet("propellers", &[&texts(1, &["propeller"]), &texts(2, &["A1"])])
            .sheet(first, &[])
            .sheet(second, &[])
            .save()
            .error();
        assert_eq!(
            error,
            format!(
                "fleet.xlsx: two sheets of one name, `{first}` and `{second}`\nhint: keep one of them, named `{name}`, and rename or hide the other"
            )
        );
    }
}

#[test]
fn without_the_sheet_that_is_needed() {
    let error = |book: Book| book.save().error();
    assert_eq!(
        error(Book::empty().csv("Propeller", "propeller\nA1")),
        "fleet.xlsx: found no sheet `propellers`; the sheets are `Propeller`\nhint: the nearest name there is `propeller`; rename it to `propellers`"
    );
    assert_eq!(
        error(Book::empty().csv("x", "propeller\nA1").csv("hours", "propeller\nA1")),
        "fleet.xlsx: found no sheet `propellers`; the sheets are `x`, `hours`\nhint: add the sheet with one row a propeller; a serial is enough to start"
    );
    let no_rows = "the table has a header and no rows, expected one row a propeller\nhint: write the serial of each propeller; a serial is enough to start";
    assert_eq!(error(Book::empty().csv("propellers", "propeller,model")), format!("fleet.xlsx!propellers: {no_rows}"));
    assert_eq!(
        error(Book::empty().csv("propellers", "propeller,model\nEXAMPLE 1,M76")),
        format!("fleet.xlsx!propellers: {no_rows}")
    );
}

#[test]
fn headings_that_cannot_be_used() {
    let error = |table| Book::empty().csv("propellers", table).save().error();
    assert_eq!(
        error("propeller,model,propeller\nA1,M76,A1"),
        "fleet.xlsx!propellers!C1: column `propeller` stands there twice\nhint: rename or remove one of the two columns"
    );
    assert_eq!(
        error("propeler,model\nA1,M76"),
        "fleet.xlsx!propellers: the column `propeler` is not known and looks like `propeller`\nhint: rename it, or list it under ignore_columns in the sheet `fleet`"
    );
}
