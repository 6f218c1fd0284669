//! Reading a fleet folder: every table decoded into typed columns, nothing judged yet.

use std::collections::HashSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use rayon::prelude::*;

use super::cells::{self, CellFault, Cells, Decoding, Slot};
use super::columns::{match_columns, require_columns};
use super::reading::Writing;
use super::schema::{Schema, TABLES, Table};
use super::words::{NO_WORD, Words};
use crate::settings::nearest;
use crate::tables::csv::CsvOptions;
use crate::tables::{Broken, Place, Source, TableError, find};

/// How the fleet's files are written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadOptions {
    /// The byte between the fields of a CSV file.
    pub separator: u8,
    /// Decimals and dates.
    pub writing: Writing,
}

impl Default for ReadOptions {
    fn default() -> Self {
        ReadOptions {
            separator: b',',
            writing: Writing::PLAIN,
        }
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
    /// One quantity in two units.
    #[error(
        "{file}: columns `{first}` and `{second}` give one quantity in two units\nhint: keep one of them"
    )]
    TwoUnits {
        /// The file.
        file: String,
        /// One column.
        first: String,
        /// The other.
        second: String,
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

/// A table decoded into columns.
pub struct LoadedTable {
    /// Its schema.
    pub schema: &'static Schema,
    /// Its files.
    pub source: Arc<Source>,
    /// Rows, broken records included.
    pub rows: usize,
    /// Which rows of the files these are, and the broken records among them; `None` when they are all.
    picked: Option<Picked>,
    columns: Vec<Option<Cells>>,
    heads: Vec<Option<String>>,
    /// Cells that could not be read, by row and column.
    pub faults: Vec<CellFault>,
    /// Columns of the file that the schema does not know.
    pub unknown_columns: Vec<String>,
}

/// Some rows of a table.
struct Picked {
    rows: Vec<u32>,
    broken: Vec<Broken>,
}

/// A fleet folder, read.
pub struct Loaded {
    /// The folder.
    pub folder: PathBuf,
    /// Every file read, in table order.
    pub files: Vec<PathBuf>,
    tables: [Option<LoadedTable>; TABLES.len()],
    /// How it was read.
    pub options: ReadOptions,
}

impl Loaded {
    /// A table, when the fleet has it.
    pub fn table(&self, table: Table) -> Option<&LoadedTable> {
        self.tables[table as usize].as_ref()
    }

    /// Reads the tables of a fleet folder.
    ///
    /// `step` is told each table's name before it is read.
    ///
    /// # Errors
    /// [`LoadError`] when the folder, or one of its tables as a whole, cannot be used.
    pub fn read(
        folder: &Path,
        options: &ReadOptions,
        wanted: impl Fn(Table) -> bool,
        mut step: impl FnMut(&'static str),
    ) -> Result<Loaded, LoadError> {
        find::folder(folder)?;
        let mut loaded = Loaded {
            folder: folder.to_path_buf(),
            files: Vec::new(),
            tables: std::array::from_fn(|_| None),
            options: options.clone(),
        };
        for schema in TABLES {
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
            loaded
                .files
                .extend(location.files().into_iter().map(Path::to_path_buf));
            let source = Source::open(
                &location,
                CsvOptions {
                    separator: options.separator,
                },
            )?;
            let table = LoadedTable::decode(schema, source, options)?;
            if schema.table == Table::Propellers && table.rows == 0 {
                return Err(LoadError::NoRows {
                    file: table.source.header_place().file,
                });
            }
            loaded.tables[schema.table as usize] = Some(table);
        }
        Ok(loaded)
    }
}

impl Loaded {
    /// The records of some propellers only, with what belongs to no propeller.
    pub fn of_propellers(&self, wanted: &HashSet<&str>) -> Loaded {
        let picked = |table: &Option<LoadedTable>| table.as_ref().map(|t| t.of_propellers(wanted));
        Loaded {
            folder: self.folder.clone(),
            files: self.files.clone(),
            tables: self.tables.each_ref().map(picked),
            options: self.options.clone(),
        }
    }
}

fn no_propellers(folder: &Path) -> TableError {
    let names: Vec<String> = std::fs::read_dir(folder)
        .map(|entries| {
            entries
                .filter_map(|e| Some(e.ok()?.file_name().to_string_lossy().into_owned()))
                .collect()
        })
        .unwrap_or_default();
    let stems: Vec<&str> = names
        .iter()
        .map(|n| n.rsplit_once('.').map_or(n.as_str(), |(stem, _)| stem))
        .collect();
    let hint = match nearest("propellers", stems.iter().copied()) {
        Some(near) => format!("the nearest name there is `{near}`; rename it to `propellers`"),
        None if names.is_empty() => {
            "the folder is empty; `bladewane demo DIR` writes a fleet to look at".to_string()
        }
        None => "write one row a propeller there; a serial is enough to start".to_string(),
    };
    TableError::NoPropellers {
        folder: folder.to_path_buf(),
        hint,
    }
}

struct ChunkOutcome {
    words: Vec<(usize, Words)>,
    faults: Vec<CellFault>,
}

impl LoadedTable {
    fn decode(
        schema: &'static Schema,
        source: Source,
        options: &ReadOptions,
    ) -> Result<LoadedTable, LoadError> {
        let matched = match_columns(schema, &source)?;
        require_columns(schema, &source, &matched)?;
        let chunks = source.chunk_rows();
        let rows: usize = chunks.iter().sum();

        // Wanted columns in file order, each with its place in the schema.
        let mut order: Vec<(usize, usize)> = matched
            .iter()
            .enumerate()
            .filter_map(|(place, m)| m.map(|(position, _)| (position, place)))
            .collect();
        order.sort_unstable();
        let wanted: Vec<usize> = order.iter().map(|&(position, _)| position).collect();

        let mut columns: Vec<Option<Cells>> = schema
            .columns
            .iter()
            .zip(&matched)
            .map(|(c, m)| m.map(|_| Cells::empty(c.kind, rows)))
            .collect();
        let outcomes = {
            let mut tasks: Vec<Vec<(usize, Slot<'_>)>> =
                chunks.iter().map(|_| Vec::new()).collect();
            for (place, cells) in columns.iter_mut().enumerate() {
                if let Some(cells) = cells {
                    for (task, slot) in tasks.iter_mut().zip(cells.slots(&chunks)) {
                        task.push((place, slot));
                    }
                }
            }
            let first_rows: Vec<usize> = chunks
                .iter()
                .scan(0, |sum, &rows| {
                    let first = *sum;
                    *sum += rows;
                    Some(first)
                })
                .collect();
            tasks
                .into_par_iter()
                .enumerate()
                .map(|(chunk, mut slots)| {
                    let mut faults = Vec::new();
                    let mut at = 0;
                    for batch in source.read_chunk(chunk, &wanted)? {
                        for (index, &(_, place)) in order.iter().enumerate() {
                            let Some((_, slot)) = slots.iter_mut().find(|(p, _)| *p == place)
                            else {
                                continue;
                            };
                            let how = Decoding {
                                column: place as u8,
                                kind: schema.columns[place].kind,
                                over: matched[place].map_or(1.0, |(_, over)| over),
                                writing: &options.writing,
                            };
                            cells::decode(
                                batch.column(index),
                                how,
                                slot,
                                at,
                                first_rows[chunk],
                                &mut faults,
                            );
                        }
                        at += batch.num_rows();
                    }
                    let words = slots
                        .into_iter()
                        .filter_map(|(place, slot)| match slot {
                            Slot::Text(_, words) => Some((place, words)),
                            _ => None,
                        })
                        .collect();
                    Ok(ChunkOutcome { words, faults })
                })
                .collect::<Result<Vec<ChunkOutcome>, TableError>>()?
        };
        let mut faults = Vec::new();
        let mut chunk_words: Vec<Vec<Words>> = schema.columns.iter().map(|_| Vec::new()).collect();
        for outcome in outcomes {
            faults.extend(outcome.faults);
            for (place, words) in outcome.words {
                chunk_words[place].push(words);
            }
        }
        faults.sort_by_key(|f| (f.row, f.column));
        for (cells, parts) in columns.iter_mut().zip(chunk_words) {
            if let Some(Cells::Text { codes, words }) = cells {
                join_words(codes, words, parts, &chunks);
            }
        }
        let heads = matched
            .iter()
            .map(|m| m.map(|(position, _)| source.columns()[position].clone()))
            .collect();
        let unknown_columns = source
            .columns()
            .iter()
            .enumerate()
            .filter(|(position, name)| !wanted.contains(position) && !name.is_empty())
            .map(|(_, name)| name.clone())
            .collect();
        Ok(LoadedTable {
            schema,
            source: Arc::new(source),
            rows,
            picked: None,
            columns,
            heads,
            faults,
            unknown_columns,
        })
    }

    /// File and line of a row.
    pub fn place(&self, row: u32) -> Place {
        let of_file = self.picked.as_ref().map(|p| p.rows[row as usize]);
        self.source.place(of_file.unwrap_or(row))
    }

    /// Records that could not be cut into the header's fields.
    pub fn broken(&self) -> &[Broken] {
        match &self.picked {
            Some(picked) => &picked.broken,
            None => self.source.broken(),
        }
    }

    /// The rows that name one of the wanted propellers, broken records that may do so included; every row of a table
    /// that names none.
    fn of_propellers(&self, wanted: &HashSet<&str>) -> LoadedTable {
        let rows: Vec<u32> = match self.text("propeller") {
            None => (0..self.rows as u32).collect(),
            Some((codes, words)) => {
                let is_wanted: Vec<bool> = words.iter().map(|w| wanted.contains(w)).collect();
                let mut keep: Vec<bool> = codes
                    .iter()
                    .map(|&code| is_wanted.get(code as usize).copied().unwrap_or(false))
                    .collect();
                for broken in self.broken() {
                    keep[broken.row as usize] =
                        broken.pieces.iter().any(|p| wanted.contains(p.as_str()));
                }
                (0..self.rows as u32)
                    .filter(|&row| keep[row as usize])
                    .collect()
            }
        };
        let new_row = |row: u32| rows.binary_search(&row).ok().map(|at| at as u32);
        let broken = self
            .broken()
            .iter()
            .filter_map(|broken| {
                Some(Broken {
                    row: new_row(broken.row)?,
                    ..broken.clone()
                })
            })
            .collect();
        let faults = self
            .faults
            .iter()
            .filter_map(|fault| {
                Some(CellFault {
                    row: new_row(fault.row)?,
                    ..fault.clone()
                })
            })
            .collect();
        LoadedTable {
            schema: self.schema,
            source: Arc::clone(&self.source),
            rows: rows.len(),
            columns: self
                .columns
                .iter()
                .map(|cells| cells.as_ref().map(|cells| cells.pick(&rows)))
                .collect(),
            heads: self.heads.clone(),
            faults,
            unknown_columns: self.unknown_columns.clone(),
            picked: Some(Picked {
                rows: match &self.picked {
                    Some(earlier) => rows.iter().map(|&r| earlier.rows[r as usize]).collect(),
                    None => rows,
                },
                broken,
            }),
        }
    }

    /// A column's cells; `None` when the whole column is absent.
    pub fn cells(&self, name: &str) -> Option<&Cells> {
        self.schema
            .position(name)
            .and_then(|p| self.columns[p].as_ref())
    }

    /// A text column: its codes and their meaning.
    pub fn text(&self, name: &str) -> Option<(&[u32], &Words)> {
        match self.cells(name)? {
            Cells::Text { codes, words } => Some((codes, words)),
            _ => None,
        }
    }

    /// A column of numbers, `NaN` where nothing is recorded.
    pub fn numbers(&self, name: &str) -> Option<&[f64]> {
        match self.cells(name)? {
            Cells::Numbers(values) => Some(values),
            _ => None,
        }
    }

    /// A column of days.
    pub fn days(&self, name: &str) -> Option<&[i32]> {
        match self.cells(name)? {
            Cells::Days(values) => Some(values),
            _ => None,
        }
    }

    /// A column of closed words, as positions in their list.
    pub fn choices(&self, name: &str) -> Option<&[u8]> {
        match self.cells(name)? {
            Cells::Choices(values) => Some(values),
            _ => None,
        }
    }

    /// A column of small whole numbers.
    pub fn small(&self, name: &str) -> Option<&[u8]> {
        match self.cells(name)? {
            Cells::Small(values) => Some(values),
            _ => None,
        }
    }

    /// Whether a cell holds something that could not be read.
    pub fn is_faulty(&self, row: u32, column: &str) -> bool {
        self.schema.position(column).is_some_and(|p| {
            self.faults
                .binary_search_by_key(&(row, p as u8), |f| (f.row, f.column))
                .is_ok()
        })
    }

    /// The column's name as the file writes it; the schema's own name when the file has no such column.
    pub fn head<'s>(&'s self, name: &'s str) -> &'s str {
        self.schema
            .position(name)
            .and_then(|p| self.heads[p].as_deref())
            .unwrap_or(name)
    }
}

/// Gives the words of all chunks one numbering.
fn join_words(codes: &mut [u32], words: &mut Words, parts: Vec<Words>, chunks: &[usize]) {
    let maps: Vec<Vec<u32>> = parts
        .iter()
        .map(|part| part.iter().map(|text| words.code(text)).collect())
        .collect();
    let mut slices = Vec::with_capacity(chunks.len());
    let mut rest = codes;
    for &rows in chunks {
        let (slice, behind) = rest.split_at_mut(rows);
        slices.push(slice);
        rest = behind;
    }
    slices
        .into_par_iter()
        .zip(maps.par_iter())
        .for_each(|(slice, map)| {
            for code in slice.iter_mut().filter(|c| **c != NO_WORD) {
                *code = map[*code as usize];
            }
        });
}
