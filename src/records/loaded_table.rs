//! One table of a fleet, decoded into typed columns.

use std::collections::HashSet;
use std::sync::Arc;

use rayon::prelude::*;

use super::book::settings_stand_in;
use super::cells::{self, CellFault, Cells, Decoding, Slot};
use super::columns::{match_columns, refuse_look_alikes, require_columns, unknown_columns};
use super::load::{LoadError, ReadOptions};
use super::schema::{Schema, Table};
use super::words::{NO_WORD, Words};
use crate::tables::caps::{LONGEST_HEADING, MOST_HEADINGS};
use crate::tables::{Broken, Place, Source, TableError};

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

struct ChunkOutcome {
    words: Vec<(usize, Words)>,
    faults: Vec<CellFault>,
}

impl LoadedTable {
    pub(super) fn decode(
        schema: &'static Schema,
        source: Source,
        options: &ReadOptions,
    ) -> Result<LoadedTable, LoadError> {
        refuse_headings(&source)?;
        let matched = match_columns(schema, &source)?;
        refuse_look_alikes(schema, &source, &matched, &options.ignore_columns)?;
        require_columns(schema, &source, &matched)?;
        let from_1904 = source.counts_from_1904();
        let chunks = source.chunk_rows();
        let rows: usize = chunks.iter().sum();
        let known = schema.columns.iter().zip(&matched).filter(|(_, m)| m.is_some());
        let bytes = known.map(|(column, _)| Cells::bytes_a_row(column.kind)).sum::<u64>().saturating_mul(rows as u64);
        if bytes > options.caps.table_bytes {
            return Err(TableError::TooLarge { file: source.header_place().file, rows, bytes }.into());
        }

        // Wanted columns in file order, each with its place in the schema.
        let mut order: Vec<(usize, usize)> =
            matched.iter().enumerate().filter_map(|(place, m)| m.map(|(position, _)| (position, place))).collect();
        order.sort_unstable();
        let wanted: Vec<usize> = order.iter().map(|&(position, _)| position).collect();

        let mut columns: Vec<Option<Cells>> =
            schema.columns.iter().zip(&matched).map(|(c, m)| m.map(|_| Cells::empty(c.kind, rows))).collect();
        let outcomes = {
            let mut tasks: Vec<Vec<(usize, Slot<'_>)>> = chunks.iter().map(|_| Vec::new()).collect();
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
                            let Some((_, slot)) = slots.iter_mut().find(|(p, _)| *p == place) else {
                                continue;
                            };
                            let how = Decoding {
                                column: place as u8,
                                name: schema.columns[place].name,
                                kind: schema.columns[place].kind,
                                over: matched[place].map_or(1.0, |(_, over)| over),
                                writing: &options.writing,
                                from_1904,
                                largest: schema.columns[place].largest(),
                            };
                            cells::decode(batch.column(index), how, slot, at, first_rows[chunk], &mut faults);
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
        let heads = matched.iter().map(|m| m.map(|(position, _)| source.columns()[position].clone())).collect();
        let unknown_columns = unknown_columns(schema, &source, &options.ignore_columns).map(str::to_string).collect();
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

    /// Where the settings of its fleet stand.
    pub(super) fn settings_stand_in(&self) -> &'static str {
        settings_stand_in(matches!(*self.source, Source::Sheet(_)))
    }

    /// File and line of a row.
    pub fn place(&self, row: u32) -> Place {
        self.place_of(Some(row), "")
    }

    /// File and line of a row, or of the header; in a sheet the cell of the column too, named as the file or the schema names
    /// it.
    pub fn place_of(&self, row: Option<u32>, column: &str) -> Place {
        let names = self.source.columns();
        let position = names.iter().position(|name| name == column).or_else(|| {
            let head = self.head(column);
            names.iter().position(|name| name == head)
        });
        self.source.place_of(row.map(|row| self.row_of_file(row)), position)
    }

    /// Rows (from 0, ascending) as they are written in their file.
    ///
    /// # Errors
    /// [`TableError`] when the file cannot be read again.
    pub fn as_written(&self, rows: &[u32]) -> Result<Vec<String>, TableError> {
        let of_file: Vec<u32> = rows.iter().map(|&row| self.row_of_file(row)).collect();
        self.source.as_written(&of_file)
    }

    fn row_of_file(&self, row: u32) -> u32 {
        match &self.picked {
            Some(picked) => picked.rows[row as usize],
            None => row,
        }
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
    pub(super) fn of_propellers(&self, wanted: &HashSet<&str>) -> LoadedTable {
        let rows: Vec<u32> = match self.text("propeller") {
            None => (0..self.rows as u32).collect(),
            Some((codes, words)) => {
                // A row about an aircraft may be about any of its propellers.
                let of_aircraft = self.text("aircraft").is_some() && self.schema.table != Table::Propellers;
                let is_wanted: Vec<bool> = words.iter().map(|w| wanted.contains(w)).collect();
                let mut keep: Vec<bool> = codes
                    .iter()
                    .map(|&code| is_wanted.get(code as usize).copied().unwrap_or(of_aircraft && code == NO_WORD))
                    .collect();
                for broken in self.broken() {
                    keep[broken.row as usize] = broken.pieces.iter().any(|p| wanted.contains(p.as_str()));
                }
                (0..self.rows as u32).filter(|&row| keep[row as usize]).collect()
            }
        };
        let new_row = |row: u32| rows.binary_search(&row).ok().map(|at| at as u32);
        let broken = self
            .broken()
            .iter()
            .filter_map(|broken| Some(Broken { row: new_row(broken.row)?, ..broken.clone() }))
            .collect();
        let faults = self
            .faults
            .iter()
            .filter_map(|fault| Some(CellFault { row: new_row(fault.row)?, ..fault.clone() }))
            .collect();
        LoadedTable {
            schema: self.schema,
            source: Arc::clone(&self.source),
            rows: rows.len(),
            columns: self.columns.iter().map(|cells| cells.as_ref().map(|cells| cells.pick(&rows))).collect(),
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
        self.schema.position(name).and_then(|p| self.columns[p].as_ref())
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
        self.schema
            .position(column)
            .is_some_and(|p| self.faults.binary_search_by_key(&(row, p as u8), |f| (f.row, f.column)).is_ok())
    }

    /// The column's name as the file writes it; the schema's own name when the file has no such column.
    pub fn head<'s>(&'s self, name: &'s str) -> &'s str {
        self.schema.position(name).and_then(|p| self.heads[p].as_deref()).unwrap_or(name)
    }
}

/// Refuses a table with more headings than any table has, or longer ones: it is no table of records.
fn refuse_headings(source: &Source) -> Result<(), TableError> {
    let columns = source.columns();
    let refused = |problem: String| {
        let place = source.header_place().to_string();
        let hint = "keep the columns of the records only; a line break or a quotation mark may be missing".to_string();
        Err(TableError::Sheet { place, problem, hint })
    };
    if columns.len() > MOST_HEADINGS {
        return refused(format!("{} columns, more than any table has (at most {MOST_HEADINGS})", columns.len()));
    }
    match columns.iter().position(|name| name.len() > LONGEST_HEADING) {
        Some(at) => refused(format!("the heading of column {} is longer than {LONGEST_HEADING} bytes", at + 1)),
        None => Ok(()),
    }
}

/// Gives the words of all chunks one numbering.
fn join_words(codes: &mut [u32], words: &mut Words, parts: Vec<Words>, chunks: &[usize]) {
    let maps: Vec<Vec<u32>> = parts.iter().map(|part| part.iter().map(|text| words.code(text)).collect()).collect();
    let mut slices = Vec::with_capacity(chunks.len());
    let mut rest = codes;
    for &rows in chunks {
        let (slice, behind) = rest.split_at_mut(rows);
        slices.push(slice);
        rest = behind;
    }
    slices.into_par_iter().zip(maps.par_iter()).for_each(|(slice, map)| {
        for code in slice.iter_mut().filter(|c| **c != NO_WORD) {
            *code = map[*code as usize];
        }
    });
}
