//! Fleets in typed columns whose values are at the edges of their types.

use std::fs;
use std::path::Path;
use std::sync::Arc;

use arrow::array::{ArrayRef, Date32Array, Float64Array, Int64Array, StringArray};
use arrow::ipc::writer::FileWriter;
use arrow::record_batch::RecordBatch;
use bladewane::records::schema::{Column, Kind as Holds, Schema, TABLES, Table};
use bladewane::settings::Settings;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::fuzzed::{Kind, is_refused};

fn pick<T: Copy>(from: &[T], random: &mut ChaCha8Rng) -> T {
    from[random.random_range(0..from.len())]
}

/// A whole fleet in columns of numbers, days and text whose values are at the edges of their types, each table an Arrow file;
/// the seed of its values is what is tried.
pub(super) fn typed_fleet() -> Kind {
    let make = |random: &mut ChaCha8Rng| random.random::<u64>().to_le_bytes().to_vec();
    let read = |bytes: &[u8], dir: &Path, with_page: bool| {
        let mut random = ChaCha8Rng::seed_from_u64(u64::from_le_bytes(bytes.try_into().expect("eight bytes")));
        for schema in TABLES {
            let file = fs::File::create(dir.join(format!("{}.arrow", schema.name))).expect("made");
            let rows = typed_rows(schema, &mut random);
            let mut writer = FileWriter::try_new(file, &rows.schema()).expect("begun");
            writer.write(&rows).expect("written");
            writer.finish().expect("finished");
        }
        is_refused(dir, &Settings::default(), with_page)
    };
    Kind { name: "typed extremes", ending: "seed", make: Box::new(make), read: Box::new(read) }
}

fn typed_rows(schema: &Schema, random: &mut ChaCha8Rng) -> RecordBatch {
    const ROWS: usize = 8;
    let numbers = [
        f64::NAN,
        f64::INFINITY,
        f64::NEG_INFINITY,
        f64::MAX,
        1e-300,
        -0.0,
        -1.0,
        0.0,
        0.4,
        1.0,
        5.2,
        30.0,
        60.0,
        76.0,
    ];
    let days = [i32::MIN, i32::MIN + 1, -719_163, -14_610, 0, 16_000, 18_000, 20_000, 20_500, 2_932_897, i32::MAX];
    let names = ["A1", "A2", "A3", "M76", "M77", "Inland", "N-1", ""];
    let columns = schema.columns.iter().filter(|_| random.random_range(0..6) > 0 || schema.table == Table::Propellers);
    let columns: Vec<&Column> = columns.collect();
    let all = schema.columns.iter().filter(|c| c.required || columns.iter().any(|kept| kept.name == c.name));
    let columns = all.map(|column| {
        let mut cells =
            |make: &mut dyn FnMut(&mut ChaCha8Rng) -> usize| (0..ROWS).map(|_| make(random)).collect::<Vec<_>>();
        let array: ArrayRef = match column.kind {
            Holds::Date => {
                let at = cells(&mut |random| random.random_range(0..days.len()));
                Arc::new(Date32Array::from_iter_values(at.into_iter().map(|at| days[at])))
            }
            Holds::Word(words) => {
                let at = cells(&mut |random| random.random_range(0..=words.len()));
                Arc::new(StringArray::from_iter_values(at.into_iter().map(|at| words.get(at).copied().unwrap_or("?"))))
            }
            Holds::Text => {
                let at = cells(&mut |random| random.random_range(0..names.len()));
                let own = matches!(column.name, "model");
                Arc::new(StringArray::from_iter_values(at.into_iter().map(|at| names[if own { 3 } else { at }])))
            }
            Holds::Small => {
                let at = cells(&mut |random| pick(&[0, 1, 2, 3, 4, 254, 255, 256, 1 << 40], random));
                Arc::new(Int64Array::from_iter_values(at.into_iter().map(|at| at as i64)))
            }
            Holds::Number | Holds::NumberOrNone | Holds::Length => {
                let at = cells(&mut |random| random.random_range(0..numbers.len()));
                Arc::new(Float64Array::from_iter_values(at.into_iter().map(|at| numbers[at])))
            }
        };
        let unit = if column.kind == Holds::Length { "_in" } else { "" };
        (format!("{}{unit}", column.name), array)
    });
    RecordBatch::try_from_iter(columns).expect("columns of one length")
}
