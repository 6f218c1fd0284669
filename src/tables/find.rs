//! A fleet's folder or workbook, and which file of a folder holds which table.

use std::path::{Path, PathBuf};

use super::TableError;
use super::caps::Caps;
use super::workbook::Workbook;

/// Where one table's rows lie.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Location {
    /// `NAME.csv`
    Csv(PathBuf),
    /// `NAME.parquet`, or the Parquet files of a folder `NAME/` in name order.
    Parquet(Vec<PathBuf>),
    /// `NAME.arrow`
    Arrow(PathBuf),
}

impl Location {
    /// Every file of the table.
    pub fn files(&self) -> Vec<&Path> {
        match self {
            Location::Csv(path) | Location::Arrow(path) => vec![path],
            Location::Parquet(paths) => paths.iter().map(PathBuf::as_path).collect(),
        }
    }
}

/// What a fleet's tables lie in.
pub enum Container {
    /// A folder with a file a table.
    Folder(PathBuf),
    /// A workbook with a sheet a table.
    Workbook(Box<Workbook>),
}

impl Container {
    /// Opens the folder or the workbook at `path`.
    ///
    /// # Errors
    /// [`TableError::NoFolder`], [`TableError::NotAFolder`], and what [`Workbook::open`] refuses.
    pub fn open(path: &Path, caps: &Caps) -> Result<Container, TableError> {
        match std::fs::metadata(path) {
            Ok(data) if data.is_dir() => Ok(Container::Folder(path.to_path_buf())),
            Ok(_) => match Workbook::open(path, caps)? {
                Some(workbook) => Ok(Container::Workbook(Box::new(workbook))),
                None => Err(TableError::NotAFolder(path.to_path_buf())),
            },
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => Err(TableError::NoFolder(path.to_path_buf())),
            Err(error) => Err(TableError::read(path, error)),
        }
    }

    /// The path it was opened at.
    pub fn path(&self) -> &Path {
        match self {
            Container::Folder(path) => path,
            Container::Workbook(workbook) => workbook.path(),
        }
    }
}

/// Endings of files that hold a table.
const ENDINGS: [&str; 3] = ["csv", "parquet", "arrow"];

/// Refuses a folder with a file that looks like one of the tables `names` and is not read: what stands in it would be lost
/// without a word, and a fleet without it looks safer.
///
/// A file looks like a table when it has a table's ending, in capitals or not, and nothing but letter case and what is neither
/// letter nor digit stands between their names, or one slip where the table's name has up to seven letters, two where it has
/// more. One with a table's own name is refused where it is no file.
///
/// # Errors
/// [`TableError::NotRead`], and [`TableError::Read`] where the folder cannot be listed.
pub fn refuse_unread_files(folder: &Path, names: &[&str]) -> Result<(), TableError> {
    let entries = std::fs::read_dir(folder).map_err(|e| TableError::read(folder, e))?;
    let mut found: Vec<PathBuf> = Vec::new();
    for entry in entries {
        found.push(entry.map_err(|e| TableError::read(folder, e))?.path());
    }
    found.sort();
    for path in &found {
        let Some((stem, ending)) = path.file_name().and_then(|n| n.to_str()).and_then(|n| n.rsplit_once('.')) else {
            continue;
        };
        // Hidden files and what editors leave behind are nobody's records.
        if stem.is_empty() || stem.starts_with(['.', '~']) || !ENDINGS.contains(&ending.to_lowercase().as_str()) {
            continue;
        }
        if names.contains(&stem) && ENDINGS.contains(&ending) {
            must_be_a_file(path)?;
            continue;
        }
        let typed = bare(stem);
        let meant = names
            .iter()
            .map(|name| (strsim::damerau_levenshtein(&typed, &bare(name)), *name))
            .filter(|(slips, name)| *slips <= if name.len() <= 7 { 1 } else { 2 })
            .min();
        let Some((_, name)) = meant else {
            continue;
        };
        let file = format!("{name}.{}", ending.to_lowercase());
        let there = found.iter().find(|other| other.file_stem().is_some_and(|s| s == name) && *other != path);
        return Err(TableError::NotRead {
            path: path.clone(),
            problem: format!("the name looks like the table `{name}`, and it is not read"),
            hint: match there.and_then(|there| there.file_name()) {
                None => format!("rename it to {file}, or to a name that is not like a table's"),
                Some(there) => format!(
                    "bring its rows into {}, or give it a name that is not like a table's",
                    there.to_string_lossy()
                ),
            },
        });
    }
    Ok(())
}

/// What is left of a name without letter case and what is neither letter nor digit.
fn bare(name: &str) -> String {
    name.to_lowercase().chars().filter(|c| c.is_alphanumeric()).collect()
}

/// Refuses a path with a table's name that leads to no file or folder: nobody waits for a pipe or a device.
fn must_be_a_file(path: &Path) -> Result<(), TableError> {
    let not_read = |problem: &str, hint: &str| TableError::NotRead {
        path: path.to_path_buf(),
        problem: problem.to_string(),
        hint: hint.to_string(),
    };
    match std::fs::metadata(path) {
        Ok(data) if data.is_file() || data.is_dir() => Ok(()),
        Ok(_) => Err(not_read(
            "expected a file, found a pipe, a device or a socket",
            "write what it gives into a file of this name",
        )),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
            Err(not_read("a link that leads nowhere", "bring back the file it leads to, or remove the link"))
        }
        Err(error) => Err(TableError::read(path, error)),
    }
}

/// Finds the one file, or folder of Parquet files, that holds table `name`; `None` when there is none.
///
/// # Errors
/// [`TableError::TwoFiles`] when two could, [`TableError::DirectoryForFile`], [`TableError::EmptyFolder`].
pub fn table(folder: &Path, name: &str) -> Result<Option<Location>, TableError> {
    let mut found: Option<(PathBuf, Location)> = None;
    for ending in ["csv", "parquet", "arrow", ""] {
        let path = match ending {
            "" => folder.join(name),
            _ => folder.join(format!("{name}.{ending}")),
        };
        let Ok(data) = std::fs::metadata(&path) else {
            continue;
        };
        let location = match (ending, data.is_dir()) {
            ("", true) => Location::Parquet(parquet_files(&path)?),
            ("", false) => continue,
            (_, true) => return Err(TableError::DirectoryForFile(path)),
            ("csv", false) => Location::Csv(path.clone()),
            ("parquet", false) => Location::Parquet(vec![path.clone()]),
            (_, false) => Location::Arrow(path.clone()),
        };
        if let Some((first, _)) = found {
            return Err(TableError::TwoFiles { table: name.to_string(), first, second: path });
        }
        found = Some((path, location));
    }
    Ok(found.map(|(_, location)| location))
}

fn parquet_files(folder: &Path) -> Result<Vec<PathBuf>, TableError> {
    let entries = std::fs::read_dir(folder).map_err(|e| TableError::read(folder, e))?;
    let mut files = Vec::new();
    for entry in entries {
        let path = entry.map_err(|e| TableError::read(folder, e))?.path();
        let ending = path.extension().and_then(|e| e.to_str()).map(str::to_lowercase);
        let is_hidden = path.file_name().is_some_and(|n| n.to_string_lossy().starts_with(['.', '~', '_']));
        match ending.as_deref() {
            _ if is_hidden => {}
            Some("parquet") => {
                must_be_a_file(&path)?;
                files.extend(path.is_file().then_some(path));
            }
            Some(other) if ENDINGS.contains(&other) => {
                return Err(TableError::NotRead {
                    path,
                    problem: "only the Parquet files of a table's folder are read".to_string(),
                    hint: "write its rows into a Parquet file there, or move it elsewhere".to_string(),
                });
            }
            _ => {}
        }
    }
    files.sort();
    if files.is_empty() {
        return Err(TableError::EmptyFolder(folder.to_path_buf()));
    }
    Ok(files)
}
