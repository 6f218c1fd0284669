//! The demo fleet as a folder: all of it, or nothing.

use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

use arrow::record_batch::RecordBatch;
use parquet::arrow::ArrowWriter;
use parquet::basic::{Compression, ZstdLevel};
use parquet::errors::ParquetError;
use parquet::file::properties::WriterProperties;

use super::bad_rows::{BadRow, BadRowPlace};
use super::{DemoFleet, csv_text};
use crate::tables::atomic_folder::{Part, clear, hold, stem};

/// File format of the tables.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum DemoFormat {
    /// `NAME.csv`, with the bad rows.
    #[default]
    Csv,
    /// `NAME.parquet`, zstd; typed columns cannot hold the bad rows.
    Parquet,
}

impl DemoFormat {
    /// Ending of the files.
    pub const fn ending(self) -> &'static str {
        match self {
            DemoFormat::Csv => "csv",
            DemoFormat::Parquet => "parquet",
        }
    }
}

/// Why the demo fleet was not written.
#[derive(Debug, thiserror::Error)]
pub enum DemoError {
    /// The folder holds something.
    #[error(
        "{}: this folder is not empty, and the demo fleet never writes over anything; name a new folder",
        .0.display()
    )]
    NotEmpty(PathBuf),
    /// The name belongs to something that is no folder.
    #[error("{}: there is a file of this name; name a new folder", .0.display())]
    NotAFolder(PathBuf),
    /// The folder it should stand in does not exist.
    #[error("{}: the folder {} does not exist; create it first", .folder.display(), .parent.display())]
    NoParent {
        /// The folder asked for.
        folder: PathBuf,
        /// Where it should stand.
        parent: PathBuf,
    },
    /// The path ends in nothing that could be a name.
    #[error("{}: this names no folder that could be made; end the path with a name", .0.display())]
    NoName(PathBuf),
    /// Something could not be written.
    #[error("{}: could not be written: {source}", .path.display())]
    Io {
        /// What was being written.
        path: PathBuf,
        /// Why not.
        source: io::Error,
    },
    /// A table could not be encoded.
    #[error("{}: could not be written as Parquet: {source}", .path.display())]
    Parquet {
        /// What was being written.
        path: PathBuf,
        /// Why not.
        source: ParquetError,
    },
}

fn io_at(path: &Path) -> impl Fn(io::Error) -> DemoError + '_ {
    move |source| DemoError::Io { path: path.to_owned(), source }
}

/// Writes the fleet into a new or empty folder, one file a table and `fleet.toml`.
///
/// Everything is written into a folder beside it that takes its name at the end, so a failure leaves nothing behind.
///
/// # Errors
/// [`DemoError::NotEmpty`], [`DemoError::NotAFolder`], [`DemoError::NoParent`], [`DemoError::NoName`] before anything is written;
/// [`DemoError::Io`], [`DemoError::Parquet`] when writing fails.
pub fn write(dir: &Path, fleet: &DemoFleet, format: DemoFormat) -> Result<(), DemoError> {
    let part = part_folder(dir)?;
    write_all(part.path(), fleet, format)?;
    let mut parts = hold();
    fs::rename(part.path(), dir).map_err(io_at(dir))?;
    part.placed(&mut parts);
    Ok(())
}

/// Checks that `dir` can take the fleet and makes the folder beside it that will become it.
fn part_folder(dir: &Path) -> Result<Part, DemoError> {
    match fs::metadata(dir) {
        Ok(there) if !there.is_dir() => return Err(DemoError::NotAFolder(dir.to_owned())),
        Ok(_) => {
            if fs::read_dir(dir).map_err(io_at(dir))?.next().is_some() {
                return Err(DemoError::NotEmpty(dir.to_owned()));
            }
        }
        Err(error) if error.kind() == io::ErrorKind::NotFound => {}
        Err(error) => return Err(io_at(dir)(error)),
    }
    dir.file_name().ok_or_else(|| DemoError::NoName(dir.to_owned()))?;
    let parent = match dir.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    if !parent.is_dir() {
        return Err(DemoError::NoParent { folder: dir.to_owned(), parent: parent.to_owned() });
    }
    let stem = stem(dir, "part");
    clear(parent, &stem);
    Part::folder(parent, &stem).map_err(io_at(dir))
}

fn write_all(part: &Path, fleet: &DemoFleet, format: DemoFormat) -> Result<(), DemoError> {
    for table in &fleet.tables {
        let path = part.join(format!("{}.{}", table.name, format.ending()));
        match format {
            DemoFormat::Csv => {
                let bad: Vec<&BadRow> = fleet.bad_rows.iter().filter(|b| b.table == table.name).collect();
                write_csv(&path, &table.batch, &bad).map_err(io_at(&path))?;
            }
            DemoFormat::Parquet => write_parquet(&path, &table.batch)?,
        }
    }
    let path = part.join("fleet.toml");
    fs::write(&path, &fleet.fleet_toml).map_err(io_at(&path))
}

fn write_csv(path: &Path, batch: &RecordBatch, bad: &[&BadRow]) -> io::Result<()> {
    let mut file = BufWriter::new(File::create(path)?);
    writeln!(file, "{}", csv_text::header(batch))?;
    for row in 0..batch.num_rows() {
        let here = |place| bad.iter().filter(move |b| b.place == place);
        for extra in here(BadRowPlace::Before(row)) {
            writeln!(file, "{}", extra.line_text)?;
        }
        match here(BadRowPlace::InsteadOf(row)).next() {
            Some(other) => writeln!(file, "{}", other.line_text)?,
            None => writeln!(file, "{}", csv_text::line(batch, row))?,
        }
    }
    file.flush()?;
    file.get_ref().sync_all()
}

fn write_parquet(path: &Path, batch: &RecordBatch) -> Result<(), DemoError> {
    let parquet = |source| DemoError::Parquet { path: path.to_owned(), source };
    let file = File::create(path).map_err(io_at(path))?;
    let properties = WriterProperties::builder().set_compression(Compression::ZSTD(ZstdLevel::default())).build();
    let mut writer = ArrowWriter::try_new(file, batch.schema(), Some(properties)).map_err(parquet)?;
    writer.write(batch).map_err(parquet)?;
    let file = writer.into_inner().map_err(parquet)?;
    file.sync_all().map_err(io_at(path))
}
