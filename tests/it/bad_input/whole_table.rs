//! A folder or a table that cannot be used at all: one error that names it, what was found and what to do.

use crate::fleet_folder::{FleetFolder, PROPELLERS};
use bladewane::records::{Loaded, ReadOptions};

const NAME_THE_FOLDER: &str = "name the folder that holds propellers.csv, propellers.parquet or propellers.arrow, or an .xlsx file with a sheet `propellers`";
const NO_PROPELLERS: &str = "FLEET: found no table `propellers` (propellers.csv, propellers.parquet, propellers.arrow or a folder propellers/ of Parquet files)";

#[test]
fn a_missing_folder() {
    let folder = FleetFolder::empty();
    let path = folder.path().join("gone");
    let error = Loaded::read(&path, &ReadOptions::default(), |_| true, |_| {}).err();
    assert_eq!(
        error.map(|e| e.to_string()),
        Some(format!("{}: no such folder or workbook\nhint: {NAME_THE_FOLDER}", path.display()))
    );
}

#[test]
fn a_file_where_the_folder_should_be() {
    let folder = FleetFolder::empty().with("propellers", PROPELLERS);
    let path = folder.path().join("propellers.csv");
    let error = Loaded::read(&path, &ReadOptions::default(), |_| true, |_| {}).err();
    assert_eq!(
        error.map(|e| e.to_string()),
        Some(format!(
            "{}: expected a folder of tables or a workbook, found another file\nhint: {NAME_THE_FOLDER}",
            path.display()
        ))
    );
}

#[test]
fn an_empty_folder() {
    assert_eq!(
        FleetFolder::empty().error(),
        format!("{NO_PROPELLERS}\nhint: the folder is empty; `bladewane demo DIR` writes a fleet to look at")
    );
}

#[test]
fn a_folder_whose_propellers_have_another_name() {
    assert_eq!(
        FleetFolder::empty().with("propeller", PROPELLERS).error(),
        "FLEET/propeller.csv: the name looks like the table `propellers`, and it is not read\nhint: rename it to propellers.csv, or to a name that is not like a table's"
    );
    assert_eq!(
        FleetFolder::empty().file("propellers.txt", b"propeller").error(),
        format!("{NO_PROPELLERS}\nhint: the nearest name there is `propellers`; rename it to `propellers`")
    );
    assert_eq!(
        FleetFolder::empty().with("hours", "propeller").error(),
        format!("{NO_PROPELLERS}\nhint: write one row a propeller there; a serial is enough to start")
    );
}

#[test]
fn a_file_without_a_single_line() {
    let message = |name: &str| {
        format!(
            "FLEET/{name}.csv: the file is empty, expected a header row\nhint: write the column names in the first line, or remove the file"
        )
    };
    assert_eq!(FleetFolder::empty().file("propellers.csv", b"").error(), message("propellers"));
    assert_eq!(FleetFolder::small().file("hours.csv", b"\r\n  \r\n").error(), message("hours"));
    // A mark and nothing behind it.
    assert_eq!(FleetFolder::small().file("hours.csv", b"\xEF\xBB\xBF").error(), message("hours"));
}

#[test]
fn a_header_without_rows() {
    assert_eq!(
        FleetFolder::empty().with("propellers", "propeller,model").error(),
        "propellers.csv: the table has a header and no rows, expected one row a propeller\nhint: write the serial of each propeller; a serial is enough to start"
    );
    // Any other table may be empty: nothing was recorded.
    let folder = FleetFolder::small().with("overhauls", "propeller,overhaul_date");
    assert_eq!(folder.set_aside(), [""; 0]);
    assert_eq!(folder.cautions(), [""; 0]);
}

#[test]
fn a_directory_where_a_file_should_be() {
    let hint =
        "only a folder of Parquet files may stand for a table, and it is named like the table, without an ending";
    for name in ["hours.csv", "hours.parquet", "hours.arrow"] {
        assert_eq!(
            FleetFolder::small().folder(name).error(),
            format!("FLEET/{name}: expected a file, found a folder\nhint: {hint}")
        );
    }
    assert_eq!(
        FleetFolder::small().folder("hours").error(),
        "FLEET/hours: the folder holds no .parquet file\nhint: put the table's Parquet files there or remove the folder"
    );
}

#[test]
fn two_files_for_one_table() {
    assert_eq!(
        FleetFolder::small().with("hours", "propeller,reading_date,hours_since_new").file("hours.parquet", b"").error(),
        "two files for one table `hours`: FLEET/hours.csv and FLEET/hours.parquet\nhint: keep one of them in the folder"
    );
    assert_eq!(
        FleetFolder::small().file("hours.arrow", b"").file("hours/part.parquet", b"").error(),
        "two files for one table `hours`: FLEET/hours.arrow and FLEET/hours\nhint: keep one of them in the folder"
    );
}

/// A table under a name that is not read would be lost without a word.
#[test]
fn a_file_that_looks_like_a_table_and_is_not_read() {
    for (name, meant, file) in [
        ("Defects.csv", "defects", "defects.csv"),
        ("defect.csv", "defects", "defects.csv"),
        ("defects.CSV", "defects", "defects.csv"),
        ("DEFECTS.Parquet", "defects", "defects.parquet"),
        ("aircraft-hours.arrow", "aircraft_hours", "aircraft_hours.arrow"),
        ("overhual.csv", "overhauls", "overhauls.csv"),
    ] {
        assert_eq!(
            FleetFolder::small().file(name, b"").error(),
            format!(
                "FLEET/{name}: the name looks like the table `{meant}`, and it is not read\nhint: rename it to {file}, or to a name that is not like a table's"
            )
        );
    }
    // Two spellings of one table.
    assert_eq!(
        FleetFolder::small().with("defects", "propeller,found_date,kind").file("Defects.parquet", b"").error(),
        "FLEET/Defects.parquet: the name looks like the table `defects`, and it is not read\nhint: bring its rows into defects.csv, or give it a name that is not like a table's"
    );
    // What nobody takes for a table, and what editors leave behind.
    let folder = ["notes.csv", "defects.csv.bak", "defects of 2019.csv", "defects.txt", ".defects.csv", "~$defect.csv"]
        .into_iter()
        .fold(FleetFolder::small(), |folder, name| folder.file(name, b"x"));
    assert_eq!(folder.set_aside(), [""; 0]);
}

/// Nobody waits for a pipe.
#[cfg(unix)]
#[test]
fn a_name_of_a_table_that_is_no_file() {
    use std::os::unix::fs::symlink;
    let folder = FleetFolder::small();
    symlink(folder.path().join("gone.csv"), folder.path().join("defects.csv")).expect("a link");
    assert_eq!(
        folder.error(),
        "FLEET/defects.csv: a link that leads nowhere\nhint: bring back the file it leads to, or remove the link"
    );
    let odd = "expected a file, found a pipe, a device or a socket\nhint: write what it gives into a file of this name";
    let folder = FleetFolder::small();
    symlink("/dev/null", folder.path().join("defects.csv")).expect("a link");
    assert_eq!(folder.error(), format!("FLEET/defects.csv: {odd}"));
    let folder = FleetFolder::small();
    let pipe = folder.path().join("defects.csv");
    let made = std::process::Command::new("mkfifo").arg(&pipe).status().expect("mkfifo");
    assert!(made.success());
    assert_eq!(folder.error(), format!("FLEET/defects.csv: {odd}"));
    // A link to a file is one.
    let folder = FleetFolder::small();
    let elsewhere = FleetFolder::empty().with("defects", "propeller,found_date,kind\nA1,2020-01-01,nick");
    symlink(elsewhere.path().join("defects.csv"), folder.path().join("defects.csv")).expect("a link");
    assert_eq!(folder.set_aside(), [""; 0]);
}

#[test]
fn what_lies_beside_the_parquet_files_of_a_table() {
    assert_eq!(
        FleetFolder::small().file("hours/2024.csv", b"").error(),
        "FLEET/hours/2024.csv: only the Parquet files of a table's folder are read\nhint: write its rows into a Parquet file there, or move it elsewhere"
    );
}

/// It may be any model's: no other reading of it is safe.
#[test]
fn a_limits_row_without_its_model() {
    let limits = "model,station_pct,width_new_in,width_min_in\nM76,60,5.44,5.23\n,30,5.41,5.17";
    assert_eq!(
        FleetFolder::small().with("limits", limits).error(),
        "limits.csv:3: a row of limits without its model, which may be any\nhint: write the designation from the manual, or remove the row"
    );
    // A row that says nothing is no one's.
    let blank = "model,station_pct,width_new_in,width_min_in\nM76,60,5.44,5.23\n,,,";
    assert_eq!(FleetFolder::small().with("limits", blank).set_aside(), [""; 0]);
}

#[test]
fn a_file_that_is_no_text_at_all() {
    let message = |found: &str, at: usize| {
        format!(
            "FLEET/propellers.csv:1: expected UTF-8 text, found {found} at byte {at}\nhint: save the table as CSV in UTF-8"
        )
    };
    let error = |bytes: &[u8]| FleetFolder::empty().file("propellers.csv", bytes).error();
    assert_eq!(error(b"propeller\nA\x001\n"), message("a zero byte", 11));
    let utf_16: Vec<u8> =
        [0xFF, 0xFE].into_iter().chain("propeller\nA1\n".encode_utf16().flat_map(u16::to_le_bytes)).collect();
    assert_eq!(error(&utf_16), message("UTF-16 text", 0));
    assert_eq!(error(&[0xFE, 0xFF, 0, b'p']), message("UTF-16 text", 0));
    assert_eq!(error(b"PK\x03\x04\x14\0\0\0"), message("a workbook or other zip file", 0));
}

#[test]
fn a_parquet_or_arrow_file_that_is_none() {
    let hint = "write the file again or take the last good copy; a half-written file reads like this";
    for (name, format) in [("hours.parquet", "Parquet"), ("hours.arrow", "Arrow IPC")] {
        let error = FleetFolder::small().file(name, b"propeller").error();
        let start = format!("FLEET/{name}: damaged, cannot be read as {format}: ");
        assert!(error.starts_with(&start), "{error}");
        assert!(error.ends_with(&format!("\nhint: {hint}")), "{error}");
    }
}
