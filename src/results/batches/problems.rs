//! `set_aside` and `cautions`.

use arrow::record_batch::RecordBatch;

use super::arrays;
use crate::records::Fleet;
use crate::records::schema::TABLES;
use crate::results::{ResultsError, batch};
use crate::tables::{Place, TableError};

/// Why the problems could not be listed.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ProblemsError {
    /// A file could not be read again for its rows as written.
    #[error(transparent)]
    Table(#[from] TableError),
    /// The columns do not fit the list.
    #[error(transparent)]
    Results(#[from] ResultsError),
}

fn line(place: &Option<Place>) -> Option<i32> {
    place.as_ref().and_then(|p| i32::try_from(p.line).ok()).filter(|&line| line > 0)
}

/// Rows of `set_aside`, each with the row as it is written in its file.
///
/// # Errors
/// [`ProblemsError::Table`] when a file has gone since it was read.
pub fn set_aside(fleet: &Fleet<'_>) -> Result<RecordBatch, ProblemsError> {
    let rows = &fleet.ledger.set_aside;
    let mut written: Vec<String> = Vec::with_capacity(rows.len());
    let mut places: Vec<Option<Place>> = Vec::with_capacity(rows.len());
    // The list is ordered by table and row, as the files are read again.
    for schema in TABLES {
        let from = rows.partition_point(|r| r.table < schema.table);
        let to = rows.partition_point(|r| r.table <= schema.table);
        let Some(table) = fleet.loaded.table(schema.table).filter(|_| from < to) else {
            continue;
        };
        let numbers: Vec<u32> = rows[from..to].iter().map(|r| r.row).collect();
        written.extend(table.as_written(&numbers)?);
        places.extend(rows[from..to].iter().map(|r| Some(table.place_of(Some(r.row), &r.column))));
    }
    Ok(batch(
        "set_aside",
        vec![
            ("table", arrays::texts(rows.iter().map(|r| Some(r.table.name())))),
            ("file", arrays::texts(places.iter().map(|p| p.as_ref().map(Place::file_and_cell)))),
            ("line", arrays::integers(places.iter().map(line))),
            ("column", arrays::texts(rows.iter().map(|r| filled(&r.column)))),
            ("value", arrays::texts(rows.iter().map(|r| filled(&r.value)))),
            ("rule", arrays::texts(rows.iter().map(|r| Some(r.rule.text())))),
            ("remedy", arrays::texts(rows.iter().map(|r| Some(fleet.loaded.remedy(&r.rule))))),
            ("row_as_written", arrays::texts(written.iter().map(Some))),
        ],
    )?)
}

fn filled(text: &str) -> Option<&str> {
    Some(text).filter(|t| !t.is_empty())
}

/// Rows of `cautions`.
///
/// # Errors
/// [`ResultsError`] when the columns do not fit the list, which is an error of this program.
pub fn cautions(fleet: &Fleet<'_>) -> Result<RecordBatch, ResultsError> {
    let rows = &fleet.ledger.cautions;
    let places: Vec<Option<Place>> = rows.iter().map(|c| fleet.loaded.place_of(c.table, c.row, &c.column)).collect();
    batch(
        "cautions",
        vec![
            ("table", arrays::texts(rows.iter().map(|c| Some(c.table.name())))),
            ("file", arrays::texts(places.iter().map(|p| p.as_ref().map(Place::file_and_cell)))),
            ("line", arrays::integers(places.iter().map(line))),
            ("column", arrays::texts(rows.iter().map(|c| filled(&c.column)))),
            ("value", arrays::texts(rows.iter().map(|c| filled(&c.value)))),
            ("rule", arrays::texts(rows.iter().map(|c| Some(c.text())))),
            ("remedy", arrays::texts(rows.iter().map(|c| Some(fleet.loaded.in_its_settings(c.remedy()))))),
            ("propeller", arrays::texts(rows.iter().map(|c| c.propeller.map(|p| fleet.propellers.serial(p))))),
            ("visit", arrays::days(rows.iter().map(|c| c.visit))),
            ("count", arrays::integers(rows.iter().map(|c| i32::try_from(c.count).ok()))),
        ],
    )
}
