//! Reading a fleet folder or workbook: every table decoded into typed columns, nothing judged yet.

use std::collections::HashSet;
use std::path::{Path, PathBuf};

use super::book;
use super::cells::NO_DAY;
use super::gate::is_recorded;
use super::limits_of;
pub use super::loaded_table::LoadedTable;
use super::reading::Writing;
use super::schema::{TABLES, Table};
use super::words::NO_WORD;
use crate::settings::nearest;
use crate::tables::caps::Caps;
use crate::tables::csv::CsvOptions;
use crate::tables::find::{self, Container};
use crate::tables::stamp::InputPath;
use crate::tables::{Place, Source, TableError};
use crate::trade::calendar::Day;

/// How the fleet's files are written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadOptions {
    /// The byte between the fields of a CSV file.
    pub separator: u8,
    /// Decimals and dates.
    pub writing: Writing,
    /// What a file may ask for.
    pub caps: Caps,
    /// Headings that are left alone although they look like a column: `HEADING`, or `TABLE.HEADING`.
    pub ignore_columns: Vec<String>,
}

impl Default for ReadOptions {
    fn default() -> Self {
        ReadOptions { separator: b',', writing: Writing::PLAIN, caps: Caps::default(), ignore_columns: Vec::new() }
    }
}

/// A table that cannot be used as it stands.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum LoadError {
    /// Its files cannot be read.
    #[error(transparent)]
    Table(#[from] TableError),
    /// Required columns are missing.
    #[error("{file}: column {} is missing; found {found}\nhint: {hint}", .missing.join(" and "))]
    MissingColumns {
        /// The file.
        file: String,
        /// The columns, in words.
        missing: Vec<String>,
        /// The columns that are there.
        found: String,
        /// What to do.
        hint: String,
    },
    /// Headings that look like columns and are none.
    #[error("{}\nhint: rename {}, or list {} under ignore_columns in {settings}", .told.join("\n"), it_or_them(.told), it_or_them(.told))]
    LooksLike {
        /// Each heading, with its file and the column it looks like.
        told: Vec<String>,
        /// Where this fleet's settings lie.
        settings: &'static str,
    },
    /// A file that was written to meanwhile.
    #[error("{file}: changed while read\nhint: run again when nobody writes to it, or on a copy")]
    Changed {
        /// The file.
        file: String,
    },
    /// More reports on one propeller than any has.
    #[error(
        "{file}: {count} rows about the propeller `{propeller}`, more than any has in its life (at most {MOST_REPORTS})\nhint: correct the serials; reports that cannot be told apart may be one serial typed for many"
    )]
    TooManyReports {
        /// The file.
        file: String,
        /// The propeller.
        propeller: String,
        /// Its rows.
        count: usize,
    },
    /// Models that name each other for their limits, or a chain of them without an end.
    #[error("{place}: {problem}\nhint: {hint}")]
    LimitsOf {
        /// File and line of the first of them.
        place: String,
        /// What was found.
        problem: String,
        /// What to do.
        hint: &'static str,
    },
    /// One quantity in two units.
    #[error("{file}: columns `{first}` and `{second}` give one quantity in two units\nhint: keep one of them")]
    TwoUnits {
        /// The file.
        file: String,
        /// One column.
        first: String,
        /// The other.
        second: String,
    },
    /// A row of `limits` without its model.
    #[error(
        "{place}: a row of limits without its model, which may be any\nhint: write the designation from the manual, or remove the row"
    )]
    LimitsOfNobody {
        /// Where the first such row stands.
        place: Place,
    },
    /// `propellers` has a header and no rows.
    #[error(
        "{file}: the table has a header and no rows, expected one row a propeller\nhint: write the serial of each propeller; a serial is enough to start"
    )]
    NoRows {
        /// The file.
        file: String,
    },
}

fn it_or_them(told: &[String]) -> &'static str {
    if told.len() == 1 { "it" } else { "them" }
}

/// A fleet folder or workbook, read.
pub struct Loaded {
    /// The folder, or the workbook.
    pub folder: PathBuf,
    /// Whether it is a workbook.
    pub is_workbook: bool,
    /// Every file read, in table order, as it was before.
    pub files: Vec<InputPath>,
    tables: [Option<LoadedTable>; TABLES.len()],
    /// How it was read.
    pub options: ReadOptions,
    /// What was left out without being a problem: hidden sheets, example rows, sheets that are no table.
    pub notes: Vec<String>,
    /// Tables that are there without any row, and count as absent.
    pub without_rows: Vec<(Table, Place)>,
}

impl Loaded {
    /// A table, when the fleet has it.
    pub fn table(&self, table: Table) -> Option<&LoadedTable> {
        self.tables[table as usize].as_ref()
    }

    /// Where a cell stands: a row of a table (`None` for its header) and a column, by the file's or the schema's name.
    pub fn place_of(&self, table: Table, row: Option<u32>, column: &str) -> Option<Place> {
        match self.table(table) {
            Some(loaded) => Some(loaded.place_of(row, column)),
            None => {
                let mut empty = self.without_rows.iter();
                empty.find(|(which, _)| *which == table).map(|(_, place)| place.clone())
            }
        }
    }

    /// Where a cell stands, in brackets behind a space, as ` (hours.csv:17)`; nothing when there is no row.
    pub fn in_brackets(&self, table: Table, row: Option<u32>, column: &str) -> String {
        row.and_then(|row| self.place_of(table, Some(row), column))
            .map_or_else(String::new, |place| format!(" ({place})"))
    }

    /// Where this fleet's settings stand.
    pub fn settings_stand_in(&self) -> &'static str {
        book::settings_stand_in(self.is_workbook)
    }

    /// Reads the tables of a fleet folder or workbook.
    ///
    /// `step` is told each table's name before it is read.
    ///
    /// # Errors
    /// [`LoadError`] when the folder, or one of its tables as a whole, cannot be used.
    pub fn read(
        fleet: &Path,
        options: &ReadOptions,
        wanted: impl Fn(Table) -> bool,
        step: impl FnMut(&'static str),
    ) -> Result<Loaded, LoadError> {
        Loaded::read_from(&mut Container::open(fleet, &options.caps)?, options, wanted, step)
    }

    /// As [`Loaded::read`], of a folder or workbook that is open already.
    ///
    /// # Errors
    /// As [`Loaded::read`].
    pub fn read_from(
        container: &mut Container,
        options: &ReadOptions,
        wanted: impl Fn(Table) -> bool,
        mut step: impl FnMut(&'static str),
    ) -> Result<Loaded, LoadError> {
        let mut loaded = Loaded {
            folder: container.path().to_path_buf(),
            is_workbook: matches!(container, Container::Workbook(_)),
            files: Vec::new(),
            tables: std::array::from_fn(|_| None),
            options: options.clone(),
            notes: Vec::new(),
            without_rows: Vec::new(),
        };
        let csv = CsvOptions { separator: options.separator };
        if let Container::Folder(folder) = container {
            find::refuse_unread_files(folder, &TABLES.map(|schema| schema.name))?;
        }
        if let Container::Workbook(workbook) = container {
            loaded.files.push(workbook.input().clone());
            loaded.notes = book::notes(workbook);
        }
        for schema in TABLES {
            let source = match container {
                Container::Folder(folder) => {
                    let Some(location) = find::table(folder, schema.name)? else {
                        if schema.table == Table::Propellers {
                            return Err(no_propellers(folder).into());
                        }
                        continue;
                    };
                    if !wanted(schema.table) {
                        continue;
                    }
                    step(schema.name);
                    let files = location.files().into_iter().map(InputPath::seen);
                    loaded.files.extend(files);
                    Source::open(&location, csv, &options.caps)?
                }
                Container::Workbook(workbook) => {
                    let Some(sheet) = workbook.sheet(schema.name)? else {
                        if schema.table == Table::Propellers {
                            return Err(book::no_propellers(workbook).into());
                        }
                        continue;
                    };
                    if !wanted(schema.table) {
                        continue;
                    }
                    step(schema.name);
                    match book::table(workbook, &sheet, schema, &mut loaded.notes)? {
                        Ok(source) => source,
                        Err(empty) => {
                            loaded.without_rows.push((schema.table, empty));
                            continue;
                        }
                    }
                }
            };
            let file = source.header_place().file;
            match source.examples() {
                0 => {}
                1 => loaded.notes.push(format!("{file}: 1 example row is ignored")),
                count => loaded.notes.push(format!("{file}: {count} example rows are ignored")),
            }
            let table = LoadedTable::decode(schema, source, options)?;
            refuse_too_many_reports(&table)?;
            if schema.table == Table::Propellers && table.rows == 0 {
                return Err(LoadError::NoRows { file });
            }
            if let Some(row) = limits_of_nobody(&table) {
                return Err(LoadError::LimitsOfNobody { place: table.place_of(Some(row), "model") });
            }
            // A table that was never filled in: a template's, or a sheet with headings only.
            let is_sheet = matches!(*table.source, Source::Sheet(_));
            if table.rows == 0 && (is_sheet || table.source.examples() > 0) {
                loaded.notes.push(format!("{file}: headings and no rows, so it counts as no table"));
                loaded.without_rows.push((schema.table, table.place_of(None, "")));
                continue;
            }
            loaded.tables[schema.table as usize] = Some(table);
        }
        loaded.refuse_changed()?;
        if let Some(models) = loaded.table(Table::Models) {
            limits_of::refuse_circles(models)?;
        }
        Ok(loaded)
    }

    /// Refuses what was read when a file of it is another now: its parts may be of two states.
    ///
    /// # Errors
    /// [`LoadError::Changed`].
    pub fn refuse_changed(&self) -> Result<(), LoadError> {
        match self.files.iter().find(|file| file.has_changed()) {
            Some(file) => Err(LoadError::Changed { file: file.path.display().to_string() }),
            None => Ok(()),
        }
    }

    /// The newest day that a row of any table carries as its own.
    pub fn newest_day(&self) -> Option<Day> {
        let own = |table: &LoadedTable| {
            let days = table.days(table.schema.own_date?)?;
            days.iter().copied().filter(|&day| day != NO_DAY).max()
        };
        self.tables.iter().flatten().filter_map(own).max().map(Day::from_number)
    }

    /// The records of some propellers only, with what belongs to no propeller.
    pub fn of_propellers(&self, wanted: &HashSet<&str>) -> Loaded {
        let picked = |table: &Option<LoadedTable>| table.as_ref().map(|t| t.of_propellers(wanted));
        Loaded {
            folder: self.folder.clone(),
            is_workbook: self.is_workbook,
            files: self.files.clone(),
            tables: self.tables.each_ref().map(picked),
            options: self.options.clone(),
            notes: self.notes.clone(),
            without_rows: self.without_rows.clone(),
        }
    }
}

/// Damage reports on one propeller that are judged: each is looked at beside all others of its blade. One a week for a
/// hundred years.
const MOST_REPORTS: usize = 5_000;

fn refuse_too_many_reports(table: &LoadedTable) -> Result<(), LoadError> {
    let Some((codes, words)) = table.text("propeller") else {
        return Ok(());
    };
    if !matches!(table.schema.table, Table::Defects | Table::Rechecks) {
        return Ok(());
    }
    let mut counts = vec![0usize; words.len()];
    codes.iter().filter(|&&code| code != NO_WORD).for_each(|&code| counts[code as usize] += 1);
    match counts.iter().zip(words.iter()).max_by_key(|(count, _)| **count) {
        Some((&count, propeller)) if count > MOST_REPORTS => {
            let file = table.place_of(None, "").file;
            Err(LoadError::TooManyReports { file, propeller: propeller.to_string(), count })
        }
        _ => Ok(()),
    }
}

/// The first row of `limits` that says something of no model, of those that were cut.
fn limits_of_nobody(table: &LoadedTable) -> Option<u32> {
    let (codes, _) = table.text("model").filter(|_| table.schema.table == Table::Limits)?;
    let is_broken = |row: usize| table.broken().binary_search_by_key(&(row as u32), |b| b.row).is_ok();
    let says = |row: usize| {
        let recorded = |name: &str| table.cells(name).is_some_and(|cells| is_recorded(cells, row));
        table.schema.columns.iter().any(|c| recorded(c.name) || table.is_faulty(row as u32, c.name))
    };
    (0..table.rows).find(|&row| codes[row] == NO_WORD && !is_broken(row) && says(row)).map(|row| row as u32)
}

fn no_propellers(folder: &Path) -> TableError {
    let names: Vec<String> = std::fs::read_dir(folder)
        .map(|entries| entries.filter_map(|e| Some(e.ok()?.file_name().to_string_lossy().into_owned())).collect())
        .unwrap_or_default();
    let stems: Vec<&str> = names.iter().map(|n| n.rsplit_once('.').map_or(n.as_str(), |(stem, _)| stem)).collect();
    let hint = match nearest("propellers", stems.iter().copied()) {
        Some(near) => format!("the nearest name there is `{near}`; rename it to `propellers`"),
        None if names.is_empty() => "the folder is empty; `bladewane demo DIR` writes a fleet to look at".to_string(),
        None => "write one row a propeller there; a serial is enough to start".to_string(),
    };
    TableError::NoPropellers { folder: folder.to_path_buf(), hint }
}
