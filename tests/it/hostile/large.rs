//! Cells, headings, workbooks and tables that are larger than anything a fleet has: refused, or read in a time that grows with
//! the file.

use std::fmt::Write as _;
use std::io::{Cursor, Write as _};
use std::time::{Duration, Instant};

use zip::ZipWriter;
use zip::write::SimpleFileOptions;

use crate::fleet_folder::{FleetFolder, as_of};
use crate::program::{bladewane, text};

/// What no step of these may take, in a build without optimisation on a machine with other work to do. What grows with the
/// square of the rows takes many times that.
const LONG: Duration = Duration::from_secs(60);

/// Runs the program on a folder, with its path as FLEET in what it says.
fn run(folder: &FleetFolder, words: &[&str]) -> (Option<i32>, String, String) {
    let path = folder.path().display().to_string();
    let words: Vec<&str> = words.iter().map(|word| if *word == "FLEET" { path.as_str() } else { word }).collect();
    let output = bladewane(&words);
    let plain = |bytes: &[u8]| text(bytes).replace(&path, "FLEET");
    (output.status.code(), plain(&output.stdout), plain(&output.stderr))
}

#[test]
fn serials_of_thirty_thousand_characters_cost_their_rows_and_no_memory() {
    let (one, other) = ("A".repeat(30_000), "B".repeat(30_000));
    let folder = FleetFolder::small()
        .with("propellers", &format!("propeller,model\nA1,M76\n{one},M76\n{other},M76"))
        .with("hours", &format!("propeller,reading_date,hours_since_new\nA1,2024-01-01,100\n{one}B,2024-01-01,100"));
    let shown = format!("{}...", "A".repeat(60));
    let rule = "longer than anything this column holds (at most 128 characters) | shorten it";
    let expected = [
        format!("propellers.csv:3 propeller [{shown}] {rule}"),
        format!("propellers.csv:4 propeller [{}...] {rule}", "B".repeat(60)),
        format!("hours.csv:3 propeller [{shown}] {rule}"),
    ];
    assert_eq!(folder.set_aside(), expected);
}

#[test]
fn a_serial_of_128_characters_is_one_and_of_129_is_none() {
    let folder =
        FleetFolder::empty().with("propellers", &format!("propeller\n{}\n{}", "é".repeat(128), "é".repeat(129)));
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    assert!(fleet.propellers.find(&"é".repeat(128)).is_some());
    assert_eq!(fleet.propellers.len(), 1);
}

#[test]
fn a_cell_longer_than_4_kib_is_not_read_and_a_note_may_have_64() {
    let note = |letters: usize| "x".repeat(letters);
    let folder = FleetFolder::small().with(
        "overhauls",
        &format!(
            "propeller,overhaul_date,work,outcome,shop\nA1,2010-01-01,overhaul,released,{}\nA2,2010-01-01,overhaul,released,{}\nA1,2012-01-01,{},released,S",
            note(65_536),
            note(65_537),
            note(4_097),
        ),
    );
    let cautions = folder.cautions();
    let of = |line: &str| cautions.iter().filter(|c| c.starts_with(line)).cloned().collect::<Vec<_>>().join("\n");
    assert_eq!(of("overhauls.csv:2 shop"), "");
    let too_long = "is longer than anything this column holds (at most 65,536 bytes); it counts as not recorded";
    assert!(of("overhauls.csv:3 shop").contains(too_long), "{cautions:#?}");
    let told = of("overhauls.csv:4 work");
    assert!(told.contains("longer than anything this column holds (at most 4,096 bytes)"), "{cautions:#?}");
    assert!(cautions.iter().all(|caution| caution.len() < 1000), "what is too long is not told at length");
}

#[test]
fn a_hundred_thousand_headings_are_refused_at_once() {
    let headings: Vec<String> = (0..100_000).map(|n| format!("h{n}")).collect();
    let folder = FleetFolder::small().with("hours", &headings.join(","));
    let start = Instant::now();
    let expected = "hours.csv:1: 100000 columns, more than any table has (at most 16384)\n\
        hint: keep the columns of the records only; a line break or a quotation mark may be missing";
    assert_eq!(folder.error(), expected);
    assert!(start.elapsed() < LONG);
}

#[test]
fn as_many_headings_as_a_spreadsheet_has_are_read_and_those_not_known_told() {
    let headings: Vec<String> = (0..16_383).map(|n| format!("h{n}")).collect();
    let commas = ",".repeat(16_383);
    let folder = FleetFolder::empty().with("propellers", &format!("propeller,{}\nA1{commas}", headings.join(",")));
    let start = Instant::now();
    let (code, said, wrong) = run(&folder, &["check", "FLEET"]);
    assert_eq!(code, Some(0), "{wrong}");
    assert!(said.contains("h16382") || said.contains("16,383"), "{}", &said[..said.len().min(3000)]);
    assert!(start.elapsed() < LONG, "{:?}", start.elapsed());
}

#[test]
fn a_heading_longer_than_4_kib_is_refused() {
    let folder = FleetFolder::small().with("hours", &format!("propeller,{}\nA1,1", "h".repeat(4097)));
    assert!(folder.error().starts_with("hours.csv:1: the heading of column 2 is longer than 4096 bytes\n"));
}

#[test]
fn a_missing_column_among_thousands_is_told_in_few_lines() {
    let headings: Vec<String> = (0..10_000).map(|n| format!("h{n}")).collect();
    let error = FleetFolder::empty().with("propellers", &headings.join(",")).error();
    assert!(
        error.contains("column `propeller` is missing; found `h0`, ") && error.contains(" and 9960 more\n"),
        "{error}"
    );
    assert!(error.len() < 1000);
}

#[test]
fn eight_thousand_unknown_serials_are_told_in_a_time_that_grows_with_them() {
    let mut propellers = String::from("propeller,model\n");
    let mut hours = String::from("propeller,reading_date,hours_since_new\n");
    for n in 0..8_000 {
        let _ = writeln!(propellers, "BW-{n:05}-A,M76");
        let _ = writeln!(hours, "BW-{n:05}-Z,2024-01-01,100");
    }
    let folder = FleetFolder::small().with("propellers", &propellers).with("hours", &hours);
    let start = Instant::now();
    let set_aside = folder.set_aside();
    assert!(start.elapsed() < LONG, "{:?}", start.elapsed());
    assert_eq!(set_aside.len(), 8_000);
    assert!(set_aside[0].contains("the nearest listed is BW-00000-A"), "{}", set_aside[0]);
}

/// Nicks all over the first propeller.
fn nicks(count: usize) -> FleetFolder {
    let mut defects = String::from("propeller,found_date,blade,station_pct,surface,kind,depth_in\n");
    for n in 0..count {
        let day = 1 + n % 28;
        let (year, month) = (2001 + n / 28 / 12 % 24, 1 + n / 28 % 12);
        let (blade, station, depth) = (1 + n % 2, 30 + n % 61, 1 + n % 9);
        let _ = writeln!(defects, "A1,{year}-{month:02}-{day:02},{blade},{station},leading_edge,nick,0.0{depth}");
    }
    FleetFolder::small().with("defects", &defects)
}

#[test]
fn a_hundred_thousand_findings_on_one_propeller_are_refused() {
    let expected = "defects.csv: 100000 rows about the propeller `A1`, more than any has in its life (at most 5000)\n\
        hint: correct the serials; reports that cannot be told apart may be one serial typed for many";
    assert_eq!(nicks(100_000).error(), expected);
}

#[test]
fn two_thousand_findings_on_one_propeller_are_judged() {
    let folder = nicks(2_000);
    let start = Instant::now();
    let (code, said, wrong) = run(&folder, &["rank", "FLEET", "--as-of", "2026-01-01", "--format", "csv"]);
    assert_eq!(code, Some(0), "{wrong}");
    assert!(said.contains("A1"), "{said}");
    assert!(start.elapsed() < LONG, "{:?}", start.elapsed());
}

#[test]
fn limits_of_in_a_circle_is_an_error() {
    let folder = FleetFolder::empty()
        .with("propellers", "propeller,model\nA1,M1")
        .with("models", "model,limits_of\nM1,M2\nM2,M3\nM3,M1");
    let expected = "models.csv:2: the models have their limits from one another in a circle: `M1`, `M2`, `M3`, `M1`\n\
        hint: name in limits_of the model that has the rows in `limits`, and leave it empty for that one";
    assert_eq!(folder.error(), expected);
    let of_itself = FleetFolder::empty().with("propellers", "propeller\nA1").with("models", "model,limits_of\nM1,M1");
    assert!(of_itself.error().contains("in a circle: `M1`, `M1`"));
}

#[test]
fn limits_of_through_more_than_eight_models_is_an_error() {
    let chain = |models: usize| {
        let rows: Vec<String> = (1..models).map(|n| format!("M{n},M{}", n + 1)).collect();
        let rows = format!("model,limits_of\n{}\nM{models},", rows.join("\n"));
        let limits = format!("model,station_pct,thickness_min_in\nM{models},60,0.4");
        FleetFolder::empty().with("propellers", "propeller,model\nA1,M1").with("models", &rows).with("limits", &limits)
    };
    let eight = chain(9);
    let loaded = eight.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let first = fleet.models.find("M1").expect("listed");
    assert!(fleet.models.get(first).has_limits, "eight steps are followed");
    let error = chain(10).error();
    assert!(error.starts_with("models.csv:2: more than 8 steps to the model that lists the limits: `M1`, "), "{error}");
    let start = Instant::now();
    assert!(chain(30_000).error().starts_with("models.csv:2: more than 8 steps"));
    assert!(start.elapsed() < LONG);
}

#[test]
fn an_as_of_date_that_no_record_comes_near_is_refused() {
    let folder = FleetFolder::small().with("hours", "propeller,reading_date,hours_since_new\nA1,2024-06-30,100");
    let (code, _, wrong) = run(&folder, &["due", "FLEET", "--as-of", "2074-07-01"]);
    let expected =
        "--as-of 2074-07-01: more than 50 years after the newest record, of 2024-06-30\nhint: correct the year\n";
    assert_eq!((code, wrong.as_str()), (Some(2), expected));
    let (code, _, wrong) = run(&folder, &["due", "FLEET", "--as-of", "2074-06-30"]);
    assert_eq!(code, Some(0), "{wrong}");
    let (code, _, wrong) = run(&folder, &["due", "FLEET", "--as-of", "9999-12-31"]);
    assert_eq!(code, Some(2), "{wrong}");
}

#[test]
fn deeply_nested_and_very_long_settings_are_refused() {
    let nested = |open: &str, close: &str| format!("name = {}{}", open.repeat(100_000), close.repeat(100_000));
    for text in [nested("[", "]"), nested("{a=", "}"), format!("{} = 1", "a.".repeat(100_000) + "a")] {
        let folder = FleetFolder::small().file("fleet.toml", text.as_bytes());
        let start = Instant::now();
        let (code, _, wrong) = run(&folder, &["due", "FLEET"]);
        assert_eq!(code, Some(3), "{}", &wrong[..wrong.len().min(500)]);
        assert!(wrong.starts_with("fleet.toml:1:"), "{}", &wrong[..wrong.len().min(500)]);
        assert!(wrong.len() < 2000 && start.elapsed() < LONG);
    }
    let many: String = (0..60_000).map(|n| format!("key{n} = 1\n")).collect();
    let folder = FleetFolder::small().file("fleet.toml", many.as_bytes());
    let start = Instant::now();
    let (code, _, wrong) = run(&folder, &["due", "FLEET"]);
    assert_eq!(code, Some(3));
    assert!(wrong.ends_with("\nand 59950 more\n") && start.elapsed() < LONG, "{:?}", start.elapsed());
    let long = FleetFolder::small().file("fleet.toml", "#".repeat((1 << 20) + 1).as_bytes());
    let (code, _, wrong) = run(&long, &["due", "FLEET"]);
    let expected = "FLEET/fleet.toml: cannot be read: larger than any file of settings (at most 1 MiB)\n";
    assert_eq!((code, wrong.as_str()), (Some(3), expected));
}

/// A workbook with one sheet, `propellers`, and these cells as its XML.
pub(super) fn workbook(cells: impl Iterator<Item = String>) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    let mut part = |name: &str, pieces: &mut dyn Iterator<Item = String>| {
        zip.start_file(name, SimpleFileOptions::default()).expect("begun");
        pieces.for_each(|piece| zip.write_all(piece.as_bytes()).expect("written"));
    };
    let of = "http://schemas.openxmlformats.org";
    let mut one = |name: &str, text: String| part(name, &mut std::iter::once(text));
    one(
        "[Content_Types].xml",
        format!(
            r#"<Types xmlns="{of}/package/2006/content-types"><Default Extension="xml" ContentType="application/xml"/></Types>"#
        ),
    );
    one(
        "_rels/.rels",
        format!(
            r#"<Relationships xmlns="{of}/package/2006/relationships"><Relationship Id="r1" Type="{of}/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>"#
        ),
    );
    one(
        "xl/workbook.xml",
        format!(
            r#"<workbook xmlns="{of}/spreadsheetml/2006/main" xmlns:r="{of}/officeDocument/2006/relationships"><sheets><sheet name="propellers" sheetId="1" r:id="r1"/></sheets></workbook>"#
        ),
    );
    one(
        "xl/_rels/workbook.xml.rels",
        format!(
            r#"<Relationships xmlns="{of}/package/2006/relationships"><Relationship Id="r1" Type="{of}/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/></Relationships>"#
        ),
    );
    let begin = format!(r#"<worksheet xmlns="{of}/spreadsheetml/2006/main"><sheetData>"#);
    let end = "</sheetData></worksheet>".to_string();
    let mut sheet = std::iter::once(begin).chain(cells).chain(std::iter::once(end));
    part("xl/worksheets/sheet1.xml", &mut sheet);
    zip.finish().expect("finished").into_inner()
}

pub(super) fn text_cell(at: &str, text: &str) -> String {
    format!(r#"<row><c r="{at}" t="inlineStr"><is><t>{text}</t></is></c></row>"#)
}

#[test]
fn a_workbook_that_unpacks_to_two_hundred_times_its_size_is_refused() {
    let blanks = std::iter::repeat_n(" ".repeat(1 << 20), 100);
    let bytes = workbook([text_cell("A1", "propeller")].into_iter().chain(blanks));
    assert!(bytes.len() < 1 << 20);
    let folder = FleetFolder::empty().file("fleet.xlsx", &bytes);
    let path = folder.path().join("fleet.xlsx").display().to_string();
    let output = bladewane(&["check", &path]);
    let said = text(&output.stderr).replace(&path, "fleet.xlsx");
    let expected = "fleet.xlsx: the workbook unpacks to more than 64 MiB, more than `reading.workbook_gib` and \
        `reading.workbook_times` allow\nhint: if it really holds that much, set the two larger in the section [reading] of a \
        file given with --settings, or save the tables as CSV\n";
    assert_eq!((output.status.code(), said.as_str()), (Some(3), expected));
    // As a shop's sheet it is refused for the same reason.
    let fleet = FleetFolder::small();
    let to = fleet.path().display().to_string();
    let output = bladewane(&["convert", &path, &to, "--propeller", "A1", "--date", "2025-01-01"]);
    assert_eq!(output.status.code(), Some(3));
    assert!(text(&output.stderr).contains("the workbook unpacks to more than 64 MiB"));
    // And with settings that allow it, it is read.
    let folder = folder.file("large.toml", b"[reading]\nworkbook_times = 2000\n");
    let settings = folder.path().join("large.toml").display().to_string();
    let output = bladewane(&["check", &path, "--settings", &settings]);
    assert!(text(&output.stderr).contains("a header and no rows"), "{}", text(&output.stderr));
}

#[test]
fn cells_of_a_workbook_are_counted_while_they_are_read() {
    let rows = (2..200_000).map(|row| format!(r#"<row><c r="A{row}"><v>{row}</v></c></row>"#));
    let bytes = workbook([text_cell("A1", "propeller")].into_iter().chain(rows));
    let folder = FleetFolder::empty().file("fleet.xlsx", &bytes);
    let path = folder.path().join("fleet.xlsx");
    let caps = bladewane::tables::caps::Caps { workbook_bytes: 4 << 20, ..Default::default() };
    let options = bladewane::records::ReadOptions { caps, ..Default::default() };
    // What it unpacks to is measured first; here 8 MiB of it pass.
    let error = bladewane::records::Loaded::read(&path, &options, |_| true, |_| {}).err().expect("refused");
    assert!(error.to_string().contains("unpacks to more than"), "{error}");
    let caps = bladewane::tables::caps::Caps { workbook_bytes: 9 << 20, ..caps };
    let options = bladewane::records::ReadOptions { caps, ..Default::default() };
    let read = bladewane::records::Loaded::read(&path, &options, |_| true, |_| {});
    assert!(read.is_ok(), "{:?}", read.err().map(|e| e.to_string()));
    let empty = (0..2_000).map(|_| "<row>".to_string() + &"<c/>".repeat(500) + "</row>");
    let bytes = workbook([text_cell("A1", "propeller")].into_iter().chain(empty));
    let folder = FleetFolder::empty().file("fleet.xlsx", &bytes);
    let error = bladewane::records::Loaded::read(&folder.path().join("fleet.xlsx"), &options, |_| true, |_| {});
    let error = error.err().expect("refused").to_string();
    assert!(error.contains("fleet.xlsx!propellers: its cells would take more memory than"), "{error}");
}

#[test]
fn a_shop_s_sheet_with_two_cells_in_far_corners_is_refused() {
    let cells = [text_cell("A1", "station"), text_cell("XFD1048576", "1")];
    let folder = FleetFolder::small().file("sheet.xlsx", &workbook(cells.into_iter()));
    let sheet = folder.path().join("sheet.xlsx").display().to_string();
    let fleet = folder.path().display().to_string();
    let output = bladewane(&["convert", &sheet, &fleet, "--propeller", "A1", "--date", "2025-01-01"]);
    let said = text(&output.stderr);
    assert_eq!(output.status.code(), Some(3), "{said}");
    assert!(
        said.contains("sheet.xlsx!propellers: the sheet spans more cells than a shop's sheet has (at most 1000000)"),
        "{said}"
    );
}
