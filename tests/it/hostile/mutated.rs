//! Well-formed Arrow and Parquet files with bytes changed at random: whatever comes of it, the program does not end.
//!
//! `BLADEWANE_MUTATIONS` sets how many files of each kind are tried; the seed is fixed, so a failure comes again.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

use arrow::ipc::CompressionType;
use arrow::ipc::writer::{FileWriter, IpcWriteOptions};
use arrow::record_batch::RecordBatch;
use bladewane::records::{Loaded, ReadOptions};
use parquet::arrow::ArrowWriter;
use parquet::basic::{Compression, Encoding, ZstdLevel};
use parquet::file::properties::{WriterProperties, WriterVersion};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Forty propellers of the demonstration fleet, as text columns, and a column of numbers.
fn propellers() -> RecordBatch {
    use arrow::array::{ArrayRef, Float64Array, StringArray};
    use std::sync::Arc;
    let serials: Vec<String> = (0..40).map(|n| format!("BW-{n:04}")).collect();
    let models: Vec<Option<&str>> = (0..40).map(|n| (n % 7 != 0).then_some("M76")).collect();
    let months: Vec<Option<f64>> = (0..40).map(|n| (n % 3 == 0).then_some(f64::from(n) + 60.0)).collect();
    let columns: Vec<(&str, ArrayRef, bool)> = vec![
        ("propeller", Arc::new(StringArray::from(serials)), true),
        ("model", Arc::new(StringArray::from(models)), true),
        ("interval_months", Arc::new(Float64Array::from(months)), true),
    ];
    RecordBatch::try_from_iter_with_nullable(columns).expect("columns of one length")
}

pub(super) fn arrow_file(compression: Option<CompressionType>) -> Vec<u8> {
    let rows = propellers();
    let options = IpcWriteOptions::default().try_with_compression(compression).expect("a known compression");
    let mut file = Vec::new();
    let mut writer = FileWriter::try_new_with_options(&mut file, &rows.schema(), options).expect("begun");
    writer.write(&rows.slice(0, 25)).expect("written");
    writer.write(&rows.slice(25, 15)).expect("written");
    writer.finish().expect("finished");
    drop(writer);
    file
}

pub(super) fn parquet_file(compression: Compression, delta: bool) -> Vec<u8> {
    let rows = propellers();
    let mut properties = WriterProperties::builder().set_compression(compression);
    if delta {
        properties = properties
            .set_writer_version(WriterVersion::PARQUET_2_0)
            .set_dictionary_enabled(false)
            .set_column_encoding("propeller".into(), Encoding::DELTA_BYTE_ARRAY)
            .set_column_encoding("model".into(), Encoding::DELTA_LENGTH_BYTE_ARRAY);
    }
    let mut file = Vec::new();
    let mut writer = ArrowWriter::try_new(&mut file, rows.schema(), Some(properties.build())).expect("begun");
    writer.write(&rows).expect("written");
    writer.close().expect("closed");
    file
}

/// Reads a folder of one table; `true` when it was refused.
fn is_refused(folder: &Path) -> bool {
    Loaded::read(folder, &ReadOptions::default(), |_| true, |_| {}).is_err()
}

#[test]
fn changed_bytes_never_end_the_program() {
    let count: u32 = std::env::var("BLADEWANE_MUTATIONS").ok().and_then(|n| n.parse().ok()).unwrap_or(300);
    let kinds = [
        ("arrow", arrow_file(None)),
        ("arrow", arrow_file(Some(CompressionType::ZSTD))),
        ("arrow", arrow_file(Some(CompressionType::LZ4_FRAME))),
        ("parquet", parquet_file(Compression::UNCOMPRESSED, false)),
        ("parquet", parquet_file(Compression::SNAPPY, false)),
        ("parquet", parquet_file(Compression::ZSTD(ZstdLevel::default()), false)),
        ("parquet", parquet_file(Compression::UNCOMPRESSED, true)),
    ];
    for (kind, (ending, whole)) in kinds.iter().enumerate() {
        let dir = tempfile::tempdir().expect("a temporary folder");
        let path = dir.path().join(format!("propellers.{ending}"));
        std::fs::write(&path, whole).expect("written");
        assert!(!is_refused(dir.path()), "kind {kind}: the whole file is read");
        let mut random = ChaCha8Rng::seed_from_u64(15 + kind as u64);
        let mut refused = 0;
        for number in 0..count {
            let mut bytes = whole.clone();
            for _ in 0..random.random_range(1..=3) {
                let at = random.random_range(0..bytes.len());
                bytes[at] = random.random();
            }
            if number % 10 == 0 {
                bytes.truncate(random.random_range(0..bytes.len()));
            }
            std::fs::write(&path, &bytes).expect("written");
            match catch_unwind(AssertUnwindSafe(|| is_refused(dir.path()))) {
                Ok(was_refused) => refused += u32::from(was_refused),
                Err(_) => panic!("kind {kind}, file {number}: the program panicked"),
            }
        }
        eprintln!("kind {kind} ({ending}): {refused} of {count} refused, none ended the program");
        assert!(refused > 0, "kind {kind}: no change was noticed");
    }
}
