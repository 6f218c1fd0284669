//! Times the pieces of the loss table on an invented fleet: reading, checking, computing.

use bladewane::analysis::loss;
use bladewane::onboard::demo::{DemoFormat, DemoOptions, fleet, write};
use bladewane::records::{Fleet, Loaded, ReadOptions};
use bladewane::settings::Settings;
use bladewane::trade::calendar::Day;
use criterion::{Criterion, criterion_group, criterion_main};

fn benches(c: &mut Criterion) {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let folder = dir.path().join("fleet");
    let made = fleet(&DemoOptions { propellers: 2_000, seed: 1, telling_cases: true, bad_rows: true });
    write(&folder, &made, DemoFormat::Parquet).expect("the fleet is written");
    let options = ReadOptions::default();
    let settings = Settings::default();
    let as_of = Day::from_ymd(2026, 6, 30).expect("a day");
    let read = || Loaded::read(&folder, &options, |_| true, |_| {}).expect("the fleet is read");
    c.bench_function("read 2,000 propellers", |b| b.iter(read));
    let loaded = read();
    c.bench_function("check 2,000 propellers", |b| {
        b.iter(|| Fleet::as_of(&loaded, as_of, &settings));
    });
    let fleet = Fleet::as_of(&loaded, as_of, &settings);
    c.bench_function("loss of 2,000 propellers", |b| {
        b.iter(|| loss::of_propellers(&fleet, 0..fleet.propellers.len() as u32));
    });
}

criterion_group!(loss_table, benches);
criterion_main!(loss_table);
