//! Files of every kind, mutated: whatever comes of it, the program does not end, every row is accounted for, and no page shows a
//! number that is none.
//!
//! `BLADEWANE_MUTATIONS` sets how many files of each kind are tried, `BLADEWANE_MUTATION_SECONDS` for how long instead, and
//! `BLADEWANE_MUTATION_SEED` where the random numbers start. What begins a kind lies in `corpus/`; a file that ends the program
//! is kept in the folder that the failure names.

use std::fs;
use std::io::{Cursor, Read as _, Write as _};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use bladewane::backtest;
use bladewane::onboard::template::{LengthUnit, Template};
use bladewane::questions;
use bladewane::records::reading::{self, Writing};
use bladewane::records::{Fleet, Loaded, ReadOptions};
use bladewane::report;
use bladewane::results::answers::{Answers, GIVEN, Shown};
use bladewane::settings::{Layer, Settings};
use bladewane::tables::csv::grid::grid;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

use super::large::{text_cell, workbook};
use super::mutated::{arrow_file, parquet_file};
use super::shown::not_numbers;
use super::typed::typed_fleet;
use crate::fleet_folder::{as_of, check_account};

/// Pieces that mean something in one of the formats, or that are at an edge of what a number, a date or a text may be.
const TOKENS: &[&str] = &[
    "\"",
    "\"\"",
    ",",
    ";",
    "\n",
    "\r\n",
    "\r",
    "\t",
    " ",
    "\u{feff}",
    "sep=;",
    "\u{0}",
    "\u{1b}[2J",
    "\u{202e}",
    "é",
    "\u{1f600}",
    "-",
    "?",
    "NA",
    "none",
    "0",
    "-0",
    "-1",
    "1e300",
    "-1e300",
    "1e-300",
    "1e400",
    "NaN",
    "inf",
    "9007199254740993",
    "0.1",
    "1/0",
    "1 16/16",
    "3/64",
    "999999/999999",
    "0,352",
    "1900-02-29",
    "2000-02-29",
    "9999-12-31",
    "0000-00-00",
    "1929-12-31",
    "2024-13-01",
    "45000",
    "EXAMPLE",
    "example",
    "=1+1",
    "@x",
    "propeller",
    "BW-0101",
    "overhaul",
    "released",
    "rejected",
    "crack",
    "blended",
    "[",
    "]",
    "[[",
    "{",
    "}",
    "=",
    "#",
    "'''",
    "\\u",
    "[due]",
    "[ranking]",
    "name = ",
    "true",
    "nan",
    "0x",
    "1_000",
    "<c/>",
    "<row>",
    "</row>",
    "<c r=\"XFD1048576\">",
    "t=\"s\"",
    "<v>",
    "</v>",
    "<!--",
    "<![CDATA[",
    "&lt;",
    "&#0;",
    "<f>",
    "t=\"e\"",
    "r=\"A0\"",
];

/// Changes some bytes of a file: single ones, ranges taken out, doubled or put elsewhere, the end cut off, tokens put in.
pub(super) fn mutate(bytes: &mut Vec<u8>, random: &mut ChaCha8Rng) {
    for _ in 0..random.random_range(1..=4) {
        if bytes.is_empty() {
            return;
        }
        let at = random.random_range(0..bytes.len());
        let end = (at + random.random_range(1..=64)).min(bytes.len());
        match random.random_range(0..8) {
            0 => bytes[at] = random.random(),
            1 => bytes[at] ^= 1 << random.random_range(0..8),
            2 => drop(bytes.drain(at..end)),
            3 => {
                let range = bytes[at..end].to_vec();
                let to = random.random_range(0..=bytes.len());
                bytes.splice(to..to, range);
            }
            4 if random.random_range(0..4) == 0 => bytes.truncate(at),
            _ => {
                let token = TOKENS[random.random_range(0..TOKENS.len())].as_bytes();
                let times = if random.random_range(0..40) == 0 { 5_000 } else { 1 };
                let until = if random.random() { end } else { at };
                bytes.splice(at..until, token.repeat(times));
            }
        }
    }
}

fn corpus(ending: &str) -> Vec<Vec<u8>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/it/hostile/corpus");
    let mut paths: Vec<PathBuf> =
        fs::read_dir(folder).expect("the corpus").map(|e| e.expect("an entry").path()).collect();
    paths.retain(|path| path.extension().is_some_and(|e| e == ending));
    paths.sort();
    paths.iter().map(|path| fs::read(path).expect("read")).collect()
}

/// The first rows of each table of the demonstration fleet, with some of its bad rows.
fn demo_tables() -> Vec<(String, Vec<u8>)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("datasets/demo-fleet");
    let mut tables: Vec<(String, Vec<u8>)> = fs::read_dir(folder)
        .expect("the demonstration fleet")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == "csv"))
        .map(|path| {
            let text = fs::read_to_string(&path).expect("text");
            let rows: Vec<&str> = text.split_inclusive('\n').take(14).collect();
            (path.file_name().expect("a name").to_string_lossy().into_owned(), rows.concat().into_bytes())
        })
        .collect();
    tables.sort();
    tables
}

/// Reads a fleet, as of a day, with an account of its rows, and now and then its page and every result. `true` when it was refused.
pub(super) fn is_refused(folder: &Path, settings: &Settings, with_page: bool) -> bool {
    let Ok(loaded) = Loaded::read(folder, &ReadOptions::default(), |_| true, |_| {}) else {
        return true;
    };
    let fleet = as_of(&loaded, "2026-06-30");
    check_account(&fleet);
    if with_page {
        page(&fleet, settings);
    }
    false
}

fn page(fleet: &Fleet<'_>, settings: &Settings) {
    let answers = Answers::new(fleet, settings).with_backtester(backtest::of).with_across(questions::across);
    let page = report::page(&answers, &Shown::all(), "Fleet").expect("a page");
    if !not_numbers(&page).is_empty() {
        let kept = Path::new(env!("CARGO_TARGET_TMPDIR")).join("page.html");
        fs::write(&kept, &page).expect("kept");
        panic!("{:?} on the page kept as {}", not_numbers(&page), kept.display());
    }
    for table in GIVEN {
        (0..answers.slices(table)).for_each(|slice| drop(answers.slice(table, slice, &Shown::all()).expect("rows")));
    }
}

type Make = dyn Fn(&mut ChaCha8Rng) -> Vec<u8>;
type Read = dyn Fn(&[u8], &Path, bool) -> bool;

/// What is tried: a name, and one attempt in a folder. An attempt gives the bytes it tried first, then whether they were refused.
pub(super) struct Kind {
    pub name: &'static str,
    pub ending: &'static str,
    pub make: Box<Make>,
    pub read: Box<Read>,
}

fn kind(
    name: &'static str,
    ending: &'static str,
    whole: Vec<Vec<u8>>,
    read: impl Fn(&[u8], &Path, bool) -> bool + 'static,
) -> Kind {
    let make = move |random: &mut ChaCha8Rng| {
        let mut bytes = whole[random.random_range(0..whole.len())].clone();
        mutate(&mut bytes, random);
        bytes
    };
    Kind { name, ending, make: Box::new(make), read: Box::new(read) }
}

/// One attempt in so many makes the page too.
const PAGE_IN: u32 = 40;

fn table_kind(name: &'static str, ending: &'static str, whole: Vec<Vec<u8>>) -> Kind {
    kind(name, ending, whole, move |bytes, dir, with_page| {
        fs::write(dir.join(format!("propellers.{ending}")), bytes).expect("written");
        is_refused(dir, &Settings::default(), with_page)
    })
}

fn csv_kinds() -> Vec<Kind> {
    demo_tables()
        .into_iter()
        .map(|(changed, bytes)| {
            let ending = changed.clone();
            kind("a CSV table", "csv", vec![bytes], move |bytes, dir, with_page| {
                for (name, whole) in demo_tables() {
                    let bytes = if name == ending { bytes } else { &whole };
                    fs::write(dir.join(name), bytes).expect("written");
                }
                is_refused(dir, &Settings::default(), with_page)
            })
        })
        .chain([
            table_kind("a CSV table alone", "csv", corpus("csv")),
            kind("a shop's sheet", "csv", corpus("csv"), |bytes, _, _| {
                let text = String::from_utf8_lossy(bytes);
                [b',', b';', b'\t'].into_iter().all(|separator| grid(&text, separator).is_err())
            }),
        ])
        .collect()
}

fn cells() -> Kind {
    kind("cells", "txt", corpus("txt"), |bytes, _, _| {
        let text = String::from_utf8_lossy(bytes);
        let mut refused = 0;
        let writings = [
            Writing::PLAIN,
            Writing { decimal_comma: true, date_pattern: Some("%d.%m.%Y".to_string()) },
            Writing { decimal_comma: false, date_pattern: Some("%B %d, %Y".to_string()) },
        ];
        for writing in &writings {
            for cell in text.lines() {
                let numbers = [reading::number(cell, writing), reading::length(cell, writing)];
                assert!(numbers.iter().flatten().all(|number| number.is_finite()), "{cell:?}");
                refused += usize::from(numbers[1].is_err() && reading::day(cell, writing).is_err());
                reading::same_word(cell, "leading_edge");
            }
        }
        refused > 0
    })
}

/// Text of settings, mutated; what is accepted judges a fleet now and then.
fn settings() -> Kind {
    let mut whole = corpus("toml");
    whole.push(Settings::default().to_toml().into_bytes());
    kind("settings", "toml", whole, |bytes, dir, with_page| {
        let text = String::from_utf8_lossy(bytes).into_owned();
        let Ok(settings) = Settings::default().with_layers(&[Layer { name: "fleet.toml".to_string(), text }]) else {
            return true;
        };
        if with_page {
            demo_tables().iter().for_each(|(name, whole)| fs::write(dir.join(name), whole).expect("written"));
            is_refused(dir, &settings, true);
        }
        false
    })
}

/// One setting, any value that its list takes, and the page.
fn one_setting() -> Kind {
    let values = [
        "0",
        "0.01",
        "1e-9",
        "1e-300",
        "1",
        "2",
        "5",
        "30",
        "50",
        "100",
        "1000",
        "3650",
        "100000",
        "4294967295",
        "-50",
        "none",
    ];
    let make = move |random: &mut ChaCha8Rng| {
        let rows = Settings::default().rows();
        let row = &rows[random.random_range(0..rows.len())];
        let key = if row.section.is_empty() { row.key.to_string() } else { format!("{}.{}", row.section, row.key) };
        format!("{key} = {}", values[random.random_range(0..values.len())]).into_bytes()
    };
    let read = |bytes: &[u8], dir: &Path, _: bool| {
        let text = String::from_utf8_lossy(bytes);
        let pair = text.split_once(" = ").expect("a key and a value");
        let Ok(settings) = Settings::default().with_pairs("one", [pair]) else {
            return true;
        };
        demo_tables().iter().for_each(|(name, whole)| fs::write(dir.join(name), whole).expect("written"));
        is_refused(dir, &settings, true)
    };
    Kind { name: "one setting", ending: "txt", make: Box::new(make), read: Box::new(read) }
}

fn plain_workbook() -> Vec<u8> {
    let head = [text_cell("A1", "propeller"), text_cell("B1", "model"), text_cell("C1", "interval_hours")].concat();
    let rows = (2..12).map(|row| {
        let (serial, model) =
            (text_cell(&format!("A{row}"), &format!("BW-{row}")), text_cell(&format!("B{row}"), "M76"));
        format!(r#"{serial}{model}<row><c r="C{row}"><v>{row}00</v></c></row>"#)
    });
    workbook(std::iter::once(head).chain(rows))
}

#[test]
fn the_workbooks_that_are_mutated_are_read_whole() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let path = dir.path().join("fleet.xlsx");
    fs::write(&path, plain_workbook()).expect("written");
    let loaded = Loaded::read(&path, &ReadOptions::default(), |_| true, |_| {}).expect("read");
    assert_eq!(as_of(&loaded, "2026-06-30").propellers.len(), 10);
}

/// A workbook with bytes changed inside one of its parts, zipped again.
fn repacked(whole: &[u8], random: &mut ChaCha8Rng) -> Vec<u8> {
    let mut archive = ZipArchive::new(Cursor::new(whole)).expect("a workbook");
    let changed = random.random_range(0..archive.len());
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for index in 0..archive.len() {
        let mut part = archive.by_index(index).expect("a part");
        let mut bytes = Vec::new();
        part.read_to_end(&mut bytes).expect("read");
        if index == changed {
            mutate(&mut bytes, random);
        }
        let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
        zip.start_file(part.name().expect("a name").into_owned(), stored).expect("begun");
        zip.write_all(&bytes).expect("written");
    }
    zip.finish().expect("finished").into_inner()
}

fn workbooks() -> [Kind; 2] {
    let template = Template::new(LengthUnit::Inches).workbook().expect("a template");
    let whole = [plain_workbook(), template];
    let read = |bytes: &[u8], dir: &Path, with_page: bool| {
        let path = dir.join("fleet.xlsx");
        fs::write(&path, bytes).expect("written");
        is_refused(&path, &Settings::default(), with_page)
    };
    let parts = whole.clone();
    let make = move |random: &mut ChaCha8Rng| repacked(&parts[random.random_range(0..parts.len())], random);
    [
        kind("a workbook's bytes", "xlsx", whole.to_vec(), read),
        Kind { name: "a workbook's parts", ending: "xlsx", make: Box::new(make), read: Box::new(read) },
    ]
}

fn kinds() -> Vec<Kind> {
    use arrow::ipc::CompressionType;
    use parquet::basic::{Compression, ZstdLevel};
    let arrow = [None, Some(CompressionType::ZSTD), Some(CompressionType::LZ4_FRAME)].map(arrow_file).to_vec();
    let zstd = Compression::ZSTD(ZstdLevel::default());
    let packed = [Compression::UNCOMPRESSED, Compression::SNAPPY, zstd].map(|packed| parquet_file(packed, false));
    let parquet = [packed.to_vec(), vec![parquet_file(Compression::UNCOMPRESSED, true)]].concat();
    let mut kinds = csv_kinds();
    kinds.extend([cells(), settings(), one_setting(), typed_fleet()]);
    kinds.extend([table_kind("Arrow", "arrow", arrow), table_kind("Parquet", "parquet", parquet)]);
    kinds.extend(workbooks());
    kinds
}

/// What no attempt may take, in a build without optimisation on a machine with other work to do.
const LONG: Duration = Duration::from_secs(600);

fn setting(name: &str) -> Option<u64> {
    std::env::var(name).ok().and_then(|value| value.parse().ok())
}

#[test]
fn mutated_files_of_every_kind_never_end_the_program() {
    let seconds = setting("BLADEWANE_MUTATION_SECONDS").map(Duration::from_secs);
    let count = setting("BLADEWANE_MUTATIONS").unwrap_or(6) as u32;
    let mut random = ChaCha8Rng::seed_from_u64(setting("BLADEWANE_MUTATION_SEED").unwrap_or(15));
    let kinds = kinds();
    let mut refused = vec![0u32; kinds.len()];
    let begun = Instant::now();
    let mut round = 0;
    while seconds.map_or(round < count, |seconds| begun.elapsed() < seconds) {
        for (kind, refused) in kinds.iter().zip(&mut refused) {
            let bytes = (kind.make)(&mut random);
            let dir = tempfile::tempdir().expect("a temporary folder");
            let with_page = random.random_range(0..PAGE_IN) == 0;
            let start = Instant::now();
            let read = catch_unwind(AssertUnwindSafe(|| (kind.read)(&bytes, dir.path(), with_page)));
            let took = start.elapsed();
            if read.is_err() || took > LONG {
                let kept = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("mutated-{round}.{}", kind.ending));
                fs::write(&kept, &bytes).expect("kept");
                panic!("{}, round {round}: {took:?}; the file is kept as {}", kind.name, kept.display());
            }
            *refused += u32::from(read.unwrap_or(true));
        }
        round += 1;
    }
    for (kind, refused) in kinds.iter().zip(refused) {
        eprintln!("{}: {round} tried, {refused} refused", kind.name);
    }
}
