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
        if path.extension().is_some_and(|e| e == "parquet") && path.is_file() {
            files.push(path);
        }
    }
    files.sort();
    if files.is_empty() {
        return Err(TableError::EmptyFolder(folder.to_path_buf()));
    }
    Ok(files)
}
