//! `convert` as a user meets it: a shop's sheet added to a fleet folder, or refused with every byte as it was.
//!
//! Figures are invented; the losses are sums and differences worked out by hand beside each check.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use crate::program::{bladewane, text};
use proptest::prelude::*;

/// A fleet folder and a sheet beside it.
struct Place {
    dir: tempfile::TempDir,
}

const PROPELLERS: &str = "propeller,model,in_service_date,acquired\nA1,M76,2000-01-01,new\nA2,M76,2000-01-01,new\n";
const MODELS: &str = "model,diameter_in,blades,interval_hours,interval_months\nM76,76,2,2000,72\n";
const LIMITS: &str = "model,station_pct,width_new_in,width_min_in,thickness_new_in,thickness_min_in\n\
                      M76,30,5.410,5.170,0.975,0.903\n\
                      M76,60,5.440,5.230,0.476,0.413\n\
                      M76,90,3.750,3.560,0.249,0.189\n";

/// 11.4 in and 22.8 in are 30 % and 60 % of a 38 in radius.
const SHEET: &str = "\
Overhaul record of a propeller,,,,,,,,
Station (in),Blade 1 width before,blade 1 width after,Blade 1 thickness before (in),blade 1 thickness after,blade 2 width before,blade 2 width after,blade 2 thickness before,blade 2 thickness after
11.4,5.400,5.380,0.970,0.962,5.398,5.382,0.971,0.960
22.8,5 13/32,5.400,15/32,0.460,5.430,5.420,0.470,0.461
90 %,3.740,3.730,0.245,0.237,3.742,3.731,0.244,0.236
";

impl Place {
    fn with(files: &[(&str, &str)]) -> Place {
        let place = Place { dir: tempfile::tempdir().expect("a temporary folder") };
        fs::create_dir(place.fleet()).expect("a folder");
        for (name, content) in files {
            fs::write(place.fleet().join(name), content).expect("a file");
        }
        place
    }

    fn small() -> Place {
        Place::with(&[("propellers.csv", PROPELLERS), ("models.csv", MODELS), ("limits.csv", LIMITS)])
    }

    fn fleet(&self) -> PathBuf {
        self.dir.path().join("fleet")
    }

    fn sheet(&self, name: &str, content: &str) -> String {
        let path = self.dir.path().join(name);
        fs::write(&path, content).expect("a file");
        path.display().to_string()
    }

    fn convert(&self, sheet: &str, more: &[&str]) -> Output {
        let fleet = self.fleet().display().to_string();
        let mut args = vec!["convert", sheet, &fleet, "--propeller", "A1", "--date", "2010-05-05"];
        args.extend(more);
        bladewane(&args)
    }

    fn add(&self, sheet: &str, more: &[&str]) -> String {
        let output = self.convert(sheet, more);
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(0), "{said}");
        said
    }

    /// Refused with this exit code; every file of the fleet is as it was. Gives what was said.
    fn refused(&self, sheet: &str, more: &[&str], code: i32) -> String {
        let before = bytes_of(&self.fleet());
        let output = self.convert(sheet, more);
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(code), "{said}");
        assert_eq!(bytes_of(&self.fleet()), before, "{said}");
        said
    }

    fn table(&self, name: &str) -> String {
        fs::read_to_string(self.fleet().join(name)).expect("the table is there")
    }
}

fn bytes_of(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<(String, Vec<u8>)> = fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| {
            let path = entry.expect("an entry").path();
            let bytes = fs::read(&path).unwrap_or_default();
            (path.display().to_string(), bytes)
        })
        .collect();
    files.sort();
    files
}

/// Columns of `loss` as CSV, one line a row.
fn loss(place: &Place, columns: &str) -> Vec<String> {
    let fleet = place.fleet().display().to_string();
    let output = bladewane(&["loss", &fleet, "--format", "csv", "--columns", columns]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    text(&output.stdout).lines().skip(1).map(str::to_string).collect()
}

#[test]
fn a_sheet_is_added_and_read_back_as_it_was_measured() {
    let place = Place::small();
    let sheet = place.sheet("sheet.csv", SHEET);
    let said = place.add(&sheet, &["--reason", "scheduled"]);
    assert!(said.contains("6 rows added to measurements.csv (lines 2 to 7)"), "{said}");
    assert!(said.contains("1 row added to overhauls.csv (line 2)"), "{said}");
    assert!(said.contains("next: bladewane explain"), "{said}");
    assert_eq!(
        place.table("overhauls.csv"),
        "propeller,overhaul_date,work,outcome,reject_reason,reason\nA1,2010-05-05,overhaul,released,,scheduled\n"
    );
    // By hand, from the new dimension: 0.975 - 0.962 = 0.013, 0.476 - 0.460 = 0.016, 0.249 - 0.237 = 0.012, and
    // 0.975 - 0.960, 0.476 - 0.461, 0.249 - 0.236; removed at the visit 0.970 - 0.962, 15/32 - 0.460 = 0.00875, ...
    let rows = loss(&place, "blade,station_pct,thickness_loss_in,thickness_removed_in,width_removed_in");
    let near = |row: &str, expected: [f64; 5]| {
        let cells: Vec<f64> = row.split(',').map(|c| c.parse().expect("a number")).collect();
        assert_eq!(cells.len(), 5, "{row}");
        for (found, expected) in cells.iter().zip(expected) {
            assert!((found - expected).abs() < 1e-9, "{row}: {expected}");
        }
    };
    assert_eq!(rows.len(), 6);
    near(&rows[0], [1.0, 30.0, 0.013, 0.008, 0.020]);
    near(&rows[1], [1.0, 60.0, 0.016, 0.00875, 0.00625]);
    near(&rows[2], [1.0, 90.0, 0.012, 0.008, 0.010]);
    near(&rows[3], [2.0, 30.0, 0.015, 0.011, 0.016]);
    near(&rows[4], [2.0, 60.0, 0.015, 0.009, 0.010]);
    near(&rows[5], [2.0, 90.0, 0.013, 0.008, 0.011]);
    assert!(!place.fleet().join(".convert").exists());
    assert_eq!(bytes_of(&place.fleet()).len(), 5, "nothing else is left in the folder");
}

#[test]
fn the_same_sheet_again_adds_nothing_and_another_reading_is_refused() {
    let place = Place::small();
    let sheet = place.sheet("sheet.csv", SHEET);
    place.add(&sheet, &[]);
    let before = bytes_of(&place.fleet());
    let said = place.add(&sheet, &[]);
    assert!(said.contains("on record already"), "{said}");
    assert_eq!(bytes_of(&place.fleet()), before);

    let other = place.sheet("other.csv", &SHEET.replace("0.237", "0.236"));
    let said = place.refused(&other, &[], 3);
    assert!(said.contains("other.csv:5 (column E)"), "{said}");
    assert!(said.contains("0.2360 in here, 0.2370 in on record at measurements.csv:4"), "{said}");

    let said = place.refused(&sheet, &["--outcome", "rejected"], 3);
    assert!(said.contains("overhauls.csv:2"), "{said}");
    assert!(said.contains("outcome `released`, not `rejected`"), "{said}");

    // A visit two days away is this one or another; that is not guessed.
    let output = place.convert(&sheet, &["--date", "2010-05-07"]);
    assert_ne!(output.status.code(), Some(0), "the date is given twice");
    let fleet = place.fleet().display().to_string();
    let output = bladewane(&["convert", &sheet, &fleet, "--propeller", "A1", "--date", "2010-05-07"]);
    assert_eq!(output.status.code(), Some(3));
    assert!(text(&output.stderr).contains("give --date 2010-05-05"));
    assert_eq!(bytes_of(&place.fleet()), before);
}

#[test]
fn what_a_broken_run_left_is_completed() {
    let place = Place::small();
    let sheet = place.sheet("sheet.csv", SHEET);
    place.add(&sheet, &[]);
    fs::remove_file(place.fleet().join("overhauls.csv")).expect("removed");
    let measurements = place.table("measurements.csv");
    let said = place.add(&sheet, &[]);
    assert!(said.contains("1 row added to overhauls.csv"), "{said}");
    assert!(said.contains("6 rows of the sheet are on record already"), "{said}");
    assert_eq!(place.table("measurements.csv"), measurements);
}

#[test]
fn a_workbook_gives_the_same_rows_as_a_csv_file() {
    let of_csv = Place::small();
    of_csv.add(&of_csv.sheet("sheet.csv", SHEET), &[]);

    let of_book = Place::small();
    let path = of_book.dir.path().join("sheet.xlsx");
    let mut book = rust_xlsxwriter::Workbook::new();
    let page = book.add_worksheet();
    page.set_name("Page 1").expect("a name");
    for (row, line) in SHEET.lines().enumerate() {
        for (column, cell) in line.split(',').enumerate() {
            let (row, column) = (row as u32 + 2, column as u16 + 1);
            match cell.parse::<f64>() {
                Ok(number) => page.write_number(row, column, number),
                Err(_) => page.write_string(row, column, cell),
            }
            .expect("written");
        }
    }
    let hidden = book.add_worksheet();
    hidden.set_name("Old").expect("a name").set_hidden(true);
    hidden.write_string(0, 0, "station").expect("written");
    hidden.write_string(0, 1, "blade 1 width before").expect("written");
    book.save(&path).expect("saved");
    let path = path.display().to_string();
    let said = of_book.add(&path, &[]);
    assert!(said.contains("6 rows added"), "{said}");
    let columns = "blade,station_pct,thickness_before_in,thickness_after_in,width_before_in,width_after_in";
    assert_eq!(loss(&of_book, columns), loss(&of_csv, columns));

    // A fraction that the spreadsheet turned into a date is never used as a length.
    let mut book = rust_xlsxwriter::Workbook::new();
    let page = book.add_worksheet();
    page.write_string(0, 0, "Station").expect("written");
    page.write_string(0, 1, "Blade 1 thickness after").expect("written");
    page.write_number(1, 0, 22.8).expect("written");
    let date = rust_xlsxwriter::ExcelDateTime::from_ymd(2026, 1, 16).expect("a date");
    let format = rust_xlsxwriter::Format::new().set_num_format("d-mmm");
    page.write_with_format(1, 1, &date, &format).expect("written");
    book.save(&path).expect("saved");
    let said = of_book.refused(&path, &[], 3);
    assert!(said.contains("sheet.xlsx!Sheet1!B2"), "{said}");
    assert!(said.contains("a fraction such as 1/16"), "{said}");
}

#[test]
fn one_blade_over_several_columns_is_understood() {
    let place = Place::small();
    let sheet = place.sheet(
        "sheet.csv",
        "Shop sheet;;;;\n\
         ;Blade 1;;Blade 2;\n\
         Sta.;thickness before;thickness after;thickness before;thickness after\n\
         60 %;0.470;0.460;0.471;0.461\n\
         Gauge 12, checked in May;;;;\n",
    );
    let said = place.add(&sheet, &[]);
    assert!(said.contains("2 rows added to measurements.csv"), "{said}");
    assert!(said.contains("has no readings beside it"), "{said}");
    assert_eq!(loss(&place, "blade,thickness_after_in"), ["1,0.46", "2,0.461"]);
}

#[test]
fn an_edited_map_reads_a_shop_s_own_words() {
    let place = Place::small();
    let sheet = place.sheet(
        "sheet.csv",
        "Pos;A W rein;A W raus;A D rein;A D raus;B D raus;B D soll\n579,12;137,16;136,9;11,9;11,7;11,72;10,5\n",
    );
    let said = place.refused(&sheet, &[], 3);
    assert!(said.contains("convert --show-map"), "{said}");
    let map = place.sheet(
        "shop.toml",
        "unit = \"mm\"\nstation_unit = \"mm\"\ndecimal_comma = true\nignore = [\"B D soll\"]\n\
         [blades]\nA = 1\nB = 2\n\
         [headings]\nstation = [\"Pos\"]\nwidth_before = [\"{blade} W rein\"]\nwidth_after = [\"{blade} W raus\"]\n\
         thickness_before = [\"{blade} D rein\"]\nthickness_after = [\"{blade} D raus\"]\n",
    );
    place.add(&sheet, &["--map", &map]);
    // 579.12 mm = 22.8 in = 60 %; 11.7 mm / 25.4 = 0.460630 in, 11.72 mm / 25.4 = 0.461417 in.
    let rows = loss(&place, "blade,station_pct,thickness_after_in");
    assert_eq!(rows.len(), 2);
    assert!(rows[0].starts_with("1,60.0,0.46062"), "{rows:?}");
    assert!(rows[1].starts_with("2,60.0,0.46141"), "{rows:?}");
    assert!(place.table("measurements.csv").contains(",thickness_after_mm\n"));

    let output = bladewane(&["convert", "--show-map"]);
    assert_eq!(output.status.code(), Some(0));
    assert!(text(&output.stdout).contains("blade {blade} width before"));
    let broken = place.sheet("broken.toml", "units = \"mm\"\n");
    let said = place.refused(&sheet, &["--map", &broken], 2);
    assert!(said.contains("broken.toml") && said.contains("unknown field `units`"), "{said}");
}

#[test]
fn the_table_keeps_its_columns_units_separator_and_line_ends() {
    let place = Place::with(&[
        ("propellers.csv", &PROPELLERS.replace(',', ";")),
        ("models.csv", &MODELS.replace(',', ";")),
        ("limits.csv", &LIMITS.replace(',', ";").replace('.', ",")),
        ("fleet.toml", "csv_separator = \";\"\ndecimal_comma = true\ndate_format = \"DD.MM.YYYY\"\n"),
        (
            "measurements.csv",
            "\u{feff}note;thickness_after_mm;station_pct;blade;overhaul_date;propeller;thickness_before_mm;width_before_mm;width_after_mm\r\n\
             seen;24,4;30;1;02.03.2004;A1;24,6;137;136,8",
        ),
        ("overhauls.csv", "overhaul_date;propeller\r\n02.03.2004;A1\r\n"),
    ]);
    let sheet = place.sheet(
        "sheet.csv",
        "station,blade 1 thickness before (mm),blade 1 thickness after (in),blade 1 width before,blade 1 width after\n22.8,11.9,0.46,5.4,5.38\n",
    );
    place.add(&sheet, &[]);
    // 0.46 in x 25.4 = 11.684 mm, 5.4 in = 137.16 mm, 5.38 in = 136.652 mm; 22.8 in is the listed 60 %.
    assert_eq!(
        place.table("measurements.csv"),
        "\u{feff}note;thickness_after_mm;station_pct;blade;overhaul_date;propeller;thickness_before_mm;width_before_mm;width_after_mm\r\n\
         seen;24,4;30;1;02.03.2004;A1;24,6;137;136,8\r\n\
         ;11,684;60;1;05.05.2010;A1;11,9;137,16;136,652\r\n"
    );
    assert_eq!(place.table("overhauls.csv"), "overhaul_date;propeller\r\n02.03.2004;A1\r\n05.05.2010;A1\r\n");

    // The table has no column for the outcome, so every visit in it counts as released.
    let fleet = place.fleet().display().to_string();
    let before = bytes_of(&place.fleet());
    let output =
        bladewane(&["convert", &sheet, &fleet, "--propeller", "A2", "--date", "2011-05-05", "--outcome", "rejected"]);
    assert_eq!(output.status.code(), Some(3));
    let said = text(&output.stderr);
    assert!(said.contains("no column `outcome`"), "{said}");
    assert!(said.contains("fill it for the rows that are there"), "{said}");
    assert_eq!(bytes_of(&place.fleet()), before);
}

#[test]
fn a_reading_without_a_column_is_refused() {
    let place = Place::small();
    fs::write(place.fleet().join("measurements.csv"), "propeller,overhaul_date,blade,station_in,thickness_after_in\n")
        .expect("a file");
    let sheet = place.sheet("sheet.csv", SHEET);
    let said = place.refused(&sheet, &[], 3);
    assert!(said.contains("no column `width_before_in`"), "{said}");
}

#[test]
fn other_kinds_of_fleet_are_refused_with_the_reason() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let fleet = dir.path().join("parquet-fleet").display().to_string();
    let made = bladewane(&["demo", &fleet, "--propellers", "3", "--format", "parquet"]);
    assert_eq!(made.status.code(), Some(0));
    let sheet = dir.path().join("sheet.csv");
    fs::write(&sheet, SHEET).expect("a file");
    let sheet = sheet.display().to_string();
    let convert = |fleet: &str| {
        let output = bladewane(&["convert", &sheet, fleet, "--propeller", "A1", "--date", "2010-05-05"]);
        (output.status.code(), text(&output.stderr))
    };
    let (code, said) = convert(&fleet);
    assert_eq!(code, Some(2));
    assert!(said.contains("`measurements` is a Parquet file"), "{said}");

    let place = Place::small();
    for (name, is_folder, reason) in
        [("overhauls.arrow", false, "an Arrow file"), ("measurements", true, "a folder of Parquet files")]
    {
        let path = place.fleet().join(name);
        match is_folder {
            true => {
                fs::create_dir(&path).expect("a folder");
                fs::write(path.join("one.parquet"), b"PAR1").expect("a file");
            }
            false => fs::write(&path, b"ARROW1").expect("a file"),
        }
        let (code, said) = convert(&place.fleet().display().to_string());
        assert_eq!(code, Some(2), "{said}");
        assert!(said.contains(reason), "{said}");
    }
    let book = dir.path().join("fleet.xlsx");
    fs::write(&book, b"PK\x03\x04").expect("a file");
    let (code, said) = convert(&book.display().to_string());
    assert_eq!(code, Some(2));
    assert!(said.contains("type the readings into the workbook"), "{said}");
    let (code, said) = convert("/no/such/fleet");
    assert_eq!(code, Some(3));
    assert!(said.contains("no such folder"), "{said}");
}

#[test]
fn a_row_that_would_be_set_aside_stops_everything() {
    let place = Place::small();
    place.add(&place.sheet("first.csv", SHEET), &["--dry-run"]);
    assert_eq!(bytes_of(&place.fleet()).len(), 3, "a dry run changes nothing");
    place.add(&place.sheet("first.csv", SHEET), &[]);
    let fleet = place.fleet().display().to_string();
    let refused = |change: (&str, &str), expected: &[&str]| {
        let before = bytes_of(&place.fleet());
        assert!(SHEET.contains(change.0));
        let sheet = place.sheet("second.csv", &SHEET.replacen(change.0, change.1, 1));
        let output = bladewane(&["convert", &sheet, &fleet, "--propeller", "A2", "--date", "2012-05-05"]);
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(3), "{change:?}: {said}");
        for words in expected {
            assert!(said.contains(words), "{words}: {said}");
        }
        assert!(said.ends_with("nothing was added\n"), "{said}");
        assert_eq!(bytes_of(&place.fleet()), before, "{change:?}");
    };
    refused(("0.962", "0.0962"), &["second.csv:3 (column E)", "under half of a new blade", "slipped decimal"]);
    refused(("0.962", "24.43"), &["second.csv:3 (column E)", "looks like millimetres"]);
    refused(("0.962", "0.980"), &["second.csv:3 (column E)"]);
    // A station that `limits` does not list is held against a new blade between its neighbours: 0.931 in at 12.4 in.
    refused(("\n11.4", "\n12.4"), &["second.csv:3 (column D)", "larger than a new blade there (0.931 in)"]);
    refused(("\n11.4", "\n43.9"), &["second.csv:3 (column A)", "the station lies beyond the blade"]);
    refused(("0.962", "0.962 in"), &["second.csv:3 (column E)", "no reading"]);
    refused(("0.962", "16-Jan"), &["a fraction such as 1/16"]);
    refused(("0.962", "\"0,962\""), &["decimal_comma = true in the map"]);
    refused(("\n11.4", "\n"), &["the readings beside it have no station"]);
    refused(("\n90 %", "\n0.9"), &["`60 %` as text"]);
    refused(("\n90 %", "\n22.8,5.400,5.390,0.470,0.459,,,,\n90 %"), &["another row has the same key"]);
    refused(("blade 2 width before", "blade 2 widht before"), &["second.csv:2 (column F)", "looks like a reading"]);
    refused(("blade 2 width before", "blade 1 width before"), &["say the same"]);
    refused(("blade 2 thickness after", "blade 3 thickness after"), &["the model has 2 blades"]);
}

#[test]
fn what_was_asked_for_is_checked_before_anything_is_read() {
    let place = Place::small();
    let sheet = place.sheet("sheet.csv", SHEET);
    let fleet = place.fleet().display().to_string();
    let said = |propeller: &str, date: &str| {
        let output = bladewane(&["convert", &sheet, &fleet, "--propeller", propeller, "--date", date]);
        assert_eq!(output.status.code(), Some(2), "{}", text(&output.stderr));
        text(&output.stderr)
    };
    assert!(said("a-01", "2010-05-05").contains("the nearest there is `A1`"));
    assert!(said("A1", "2999-01-01").contains("ahead of today"));
    assert!(said("A1", "5.5.2010").contains("YYYY-MM-DD"));
    let output = bladewane(&["convert", &sheet, &fleet]);
    assert_eq!(output.status.code(), Some(2));
    let said = place.refused("/no/sheet.csv", &[], 2);
    assert!(said.contains("cannot be read"), "{said}");
    let xls = place.sheet("sheet.xls", "x");
    assert!(place.refused(&xls, &[], 2).contains("save it as .xlsx"));
    let broken = place.sheet("sheet.xlsx", "x");
    assert!(place.refused(&broken, &[], 3).contains("save it again as .xlsx"));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, ..ProptestConfig::default() })]

    /// The order in which a shop lists its columns and rows says nothing.
    #[test]
    fn the_order_of_columns_and_rows_does_not_matter(
        columns in Just((0..9usize).collect::<Vec<_>>()).prop_shuffle(),
        rows in Just((0..3usize).collect::<Vec<_>>()).prop_shuffle(),
    ) {
        let lines: Vec<Vec<&str>> = SHEET.lines().skip(1).map(|l| l.split(',').collect()).collect();
        let picked = |line: &Vec<&str>| {
            columns.iter().map(|&c| line[c]).collect::<Vec<_>>().join(",")
        };
        let mut shuffled = vec![picked(&lines[0])];
        shuffled.extend(rows.iter().map(|&row| picked(&lines[row + 1])));
        let usual = Place::small();
        usual.add(&usual.sheet("sheet.csv", SHEET), &[]);
        let other = Place::small();
        other.add(&other.sheet("sheet.csv", &shuffled.join("\n")), &[]);
        let as_added = |place: &Place| {
            let table = place.table("measurements.csv");
            (table, place.table("overhauls.csv"))
        };
        prop_assert_eq!(as_added(&usual), as_added(&other));
    }
}

#[cfg(target_os = "linux")]
#[test]
fn what_a_conversion_that_was_killed_left_behind_is_removed_by_the_next() {
    let mut child = std::process::Command::new("true").spawn().expect("it starts");
    child.wait().expect("it ends");
    let place = Place::small();
    let left = place.fleet().join(format!(".convert-{}-1", child.id()));
    fs::create_dir(&left).expect("a folder");
    fs::write(left.join("measurements.csv"), "half").expect("a file");
    place.add(&place.sheet("sheet.csv", SHEET), &[]);
    assert!(!left.exists());
}
