//! The fleet with the new rows, tried out in a folder of its own before anything of the fleet is touched.

use std::ffi::OsString;
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use super::Refusal;
use super::csv_table::CsvTable;
use crate::records::schema::TABLES;
use crate::tables::atomic_folder::{Part, clear, hold};
use crate::tables::find;

/// A hidden folder in the fleet's own, so that putting a table in its place is one renaming; removed when dropped.
pub struct Trial {
    folder: Part,
    /// Tables that are not in their place yet, the first to be put there first.
    waiting: Vec<Waiting>,
}

struct Waiting {
    made: PathBuf,
    target: PathBuf,
    /// What the target held; `None` when it was not there.
    before: Option<Vec<u8>>,
}

fn not_written(path: &Path, error: &io::Error) -> Refusal {
    Refusal::write(format!(
        "{}: cannot be written: {error}\nhint: see that the folder may be written to and has room",
        path.display()
    ))
}

impl Trial {
    /// Makes the folder with the tables that change, and every other table of the fleet as it is.
    ///
    /// # Errors
    /// What could not be written.
    pub fn begin(fleet: &Path, changed: &[(&CsvTable, Vec<u8>)]) -> Result<Trial, Refusal> {
        let stem = OsString::from(".convert");
        clear(fleet, &stem);
        let folder = Part::folder(fleet, &stem).map_err(|error| not_written(fleet, &error))?;
        let mut trial = Trial { folder, waiting: Vec::new() };
        for (table, bytes) in changed {
            let made = trial.folder.path().join(table.file());
            write_through(&made, bytes).map_err(|error| not_written(&table.path, &error))?;
            // A link stays a link: the file it leads to is the one that changes.
            let target = match &table.bytes {
                Some(_) => fs::canonicalize(&table.path).map_err(|error| not_written(&table.path, &error))?,
                None => table.path.clone(),
            };
            if let Ok(data) = fs::metadata(&target) {
                let _ = fs::set_permissions(&made, data.permissions());
            }
            trial.waiting.push(Waiting { made, target, before: table.bytes.clone() });
        }
        for schema in TABLES {
            if changed.iter().any(|(table, _)| table.table == schema.table) {
                continue;
            }
            let location = find::table(fleet, schema.name).map_err(Refusal::records)?;
            for file in location.iter().flat_map(find::Location::files) {
                let beside = file.strip_prefix(fleet).unwrap_or(file);
                let copy = trial.folder.path().join(beside);
                let linked = copy.parent().map_or(Ok(()), fs::create_dir_all).and_then(|()| link_or_copy(file, &copy));
                linked.map_err(|error| not_written(&copy, &error))?;
            }
        }
        Ok(trial)
    }

    /// The folder, to be read like a fleet.
    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// Puts every table in its place, or none.
    ///
    /// The order given is kept: should the power fail in between, measurements without their visit are there, which never
    /// restart a clock, and converting again adds the visit.
    ///
    /// # Errors
    /// A table that has changed meanwhile, or that could not be put in its place; the others are as they were.
    pub fn commit(mut self) -> Result<(), Refusal> {
        for table in &self.waiting {
            let now = match fs::read(&table.target) {
                Ok(bytes) => Some(bytes),
                Err(error) if error.kind() == io::ErrorKind::NotFound => None,
                Err(error) => return Err(not_written(&table.target, &error)),
            };
            if now != table.before {
                return Err(Refusal::write(format!(
                    "{}: the file has changed meanwhile\nhint: save and close it, then convert again",
                    table.target.display()
                )));
            }
        }
        // A signal that comes now waits until all tables are in their place.
        let parts = hold();
        let mut placed: Vec<&Waiting> = Vec::new();
        for table in &self.waiting {
            if let Err(error) = fs::rename(&table.made, &table.target) {
                for done in placed.iter().rev() {
                    put_back(done, self.folder.path());
                }
                return Err(not_written(&table.target, &error));
            }
            placed.push(table);
        }
        drop(parts);
        for table in &self.waiting {
            // Where a folder cannot be forced to the disk, the renaming is still done.
            let _ = table.target.parent().map(|folder| File::open(folder).and_then(|f| f.sync_all()));
        }
        self.waiting.clear();
        Ok(())
    }
}

/// Gives a table back what it held.
fn put_back(table: &Waiting, folder: &Path) {
    let result = match &table.before {
        None => fs::remove_file(&table.target),
        Some(bytes) => {
            let again = folder.join("put-back");
            write_through(&again, bytes).and_then(|()| fs::rename(&again, &table.target))
        }
    };
    // Told with the failure that led here; the rows themselves passed every check.
    let _ = result;
}

fn write_through(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = File::create(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

fn link_or_copy(from: &Path, to: &Path) -> io::Result<()> {
    match fs::hard_link(from, to) {
        Ok(()) => Ok(()),
        Err(_) => fs::copy(from, to).map(drop),
    }
}
