//! Parquet files, one or several, read by row group.

use std::fs::File;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use arrow::datatypes::{DataType, Field, Schema, SchemaRef};
use arrow::record_batch::RecordBatch;
use parquet::arrow::ProjectionMask;
use parquet::arrow::arrow_reader::{
    ArrowReaderMetadata, ArrowReaderOptions, ParquetRecordBatchReaderBuilder, RowSelection, RowSelector,
};
use parquet::file::metadata::RowGroupMetaData;

mod delta;
mod pages;
mod thrift;

use super::TableError;
use super::caps::Caps;
use super::guard::guarded;
use super::row_json::row_as_json;
use super::source::Place;

const BATCH_ROWS: usize = 1 << 16;

struct OneFile {
    path: PathBuf,
    shown: String,
    metadata: ArrowReaderMetadata,
    /// As the file itself says, for showing rows as written.
    plain: ArrowReaderMetadata,
    first_row: u32,
}

/// The Parquet files of one table, in order; their row groups are the chunks.
pub struct ParquetFiles {
    files: Vec<OneFile>,
    columns: Vec<String>,
    /// (file, row group, rows) of each chunk.
    groups: Vec<(usize, usize, usize)>,
    caps: Caps,
}

fn refused(path: &Path, problem: impl ToString) -> TableError {
    TableError::Broken { path: path.to_path_buf(), format: "Parquet", problem: problem.to_string() }
}

/// Text is asked for as dictionaries: an identifier is then looked up once per row group, not once per row.
fn with_dictionaries(schema: &Schema) -> SchemaRef {
    let fields: Vec<Field> = schema
        .fields()
        .iter()
        .map(|field| match field.data_type() {
            DataType::Utf8 | DataType::LargeUtf8 | DataType::Utf8View => field
                .as_ref()
                .clone()
                .with_data_type(DataType::Dictionary(Box::new(DataType::Int32), Box::new(DataType::Utf8))),
            _ => field.as_ref().clone(),
        })
        .collect();
    Arc::new(Schema::new(fields))
}

impl ParquetFiles {
    pub(super) fn open(paths: &[PathBuf], caps: &Caps) -> Result<ParquetFiles, TableError> {
        let mut files: Vec<OneFile> = Vec::with_capacity(paths.len());
        let mut groups = Vec::new();
        let mut rows: u64 = 0;
        for path in paths {
            let first_row = u32::try_from(rows).map_err(|_| TableError::TooManyRows(path.clone()))?;
            let (file, counts) = guarded(|problem| refused(path, problem), || one_file(path, first_row, paths.len()))?;
            if let Some(first) = files.first()
                && first.metadata.schema().fields() != file.metadata.schema().fields()
            {
                return Err(TableError::DifferentColumns { first: first.path.clone(), second: path.clone() });
            }
            for (index, count) in counts.into_iter().enumerate() {
                rows = rows.saturating_add(count as u64);
                groups.push((files.len(), index, count));
            }
            files.push(file);
        }
        if rows >= u64::from(u32::MAX) {
            return Err(TableError::TooManyRows(paths[0].clone()));
        }
        let columns = files
            .first()
            .map(|f| f.metadata.schema().fields().iter().map(|field| field.name().trim().to_string()).collect())
            .unwrap_or_default();
        Ok(ParquetFiles { files, columns, groups, caps: *caps })
    }

    pub(super) fn columns(&self) -> &[String] {
        &self.columns
    }

    pub(super) fn chunk_rows(&self) -> Vec<usize> {
        self.groups.iter().map(|&(_, _, rows)| rows).collect()
    }

    fn file_of(&self, row: u32) -> &OneFile {
        let at = self.files.partition_point(|f| f.first_row <= row);
        &self.files[at.saturating_sub(1)]
    }

    pub(super) fn place(&self, row: u32) -> Place {
        let file = self.file_of(row);
        Place { file: file.shown.clone(), line: u64::from(row - file.first_row) + 1, cell: None }
    }

    pub(super) fn read_chunk(&self, chunk: usize, wanted: &[usize]) -> Result<Vec<RecordBatch>, TableError> {
        let (file, group, rows) = self.groups[chunk];
        let file = &self.files[file];
        let refuse = |problem: String| refused(&file.path, problem);
        guarded(refuse, || {
            let handle = File::open(&file.path).map_err(|e| TableError::read(&file.path, e))?;
            let looked_at = handle.try_clone().map_err(|e| TableError::read(&file.path, e))?;
            let builder = ParquetRecordBatchReaderBuilder::new_with_metadata(handle, file.metadata.clone());
            let mask = ProjectionMask::roots(builder.parquet_schema(), wanted.iter().copied());
            for (leaf, column) in builder.metadata().row_group(group).columns().iter().enumerate() {
                if mask.leaf_included(leaf) {
                    pages::check(&file.path, &looked_at, column, &self.caps).map_err(refuse)?;
                }
            }
            let reader = builder
                .with_projection(mask)
                .with_row_groups(vec![group])
                .with_batch_size(BATCH_ROWS)
                .build()
                .map_err(|e| refused(&file.path, e))?;
            let batches = reader.collect::<Result<Vec<_>, _>>().map_err(|e| refused(&file.path, e))?;
            match batches.iter().map(RecordBatch::num_rows).sum::<usize>() == rows {
                true => Ok(batches),
                false => Err(refuse("a row group holds other rows than it says".to_string())),
            }
        })
    }

    pub(super) fn as_written(&self, rows: &[u32]) -> Result<Vec<String>, TableError> {
        let mut written = Vec::with_capacity(rows.len());
        for (index, file) in self.files.iter().enumerate() {
            let end = self.files.get(index + 1).map_or(u32::MAX, |f| f.first_row);
            let from = rows.partition_point(|&r| r < file.first_row);
            let to = rows.partition_point(|&r| r < end);
            if from == to {
                continue;
            }
            let mut selectors = Vec::new();
            let mut at = file.first_row;
            for &row in &rows[from..to] {
                if row > at {
                    selectors.push(RowSelector::skip((row - at) as usize));
                }
                selectors.push(RowSelector::select(1));
                at = row + 1;
            }
            written.extend(guarded(
                |problem| refused(&file.path, problem),
                || rows_as_json(file, RowSelection::from(selectors), &self.caps),
            )?);
        }
        Ok(written)
    }
}

/// A file's own description, and the rows of each of its row groups.
fn one_file(path: &Path, first_row: u32, files: usize) -> Result<(OneFile, Vec<usize>), TableError> {
    let file = File::open(path).map_err(|e| TableError::read(path, e))?;
    let bytes = file.metadata().map_err(|e| TableError::read(path, e))?.len();
    let plain = ArrowReaderMetadata::load(&file, ArrowReaderOptions::new()).map_err(|e| refused(path, e))?;
    let groups = plain.metadata().row_groups().iter();
    let counts: Vec<usize> =
        groups.map(|group| pages::group_rows(group, bytes)).collect::<Result<_, _>>().map_err(|e| refused(path, e))?;
    let asked = with_dictionaries(plain.schema());
    let metadata =
        ArrowReaderMetadata::try_new(Arc::clone(plain.metadata()), ArrowReaderOptions::new().with_schema(asked))
            .map_err(|e| refused(path, e))?;
    let file_name = path.file_name().unwrap_or_default().to_string_lossy();
    let shown = match path.parent().and_then(Path::file_name) {
        Some(folder) if files > 1 => format!("{}/{file_name}", folder.to_string_lossy()),
        _ => file_name.into_owned(),
    };
    Ok((OneFile { path: path.to_path_buf(), shown, metadata, plain, first_row }, counts))
}

/// Some rows of a file, every column of it.
fn rows_as_json(file: &OneFile, rows: RowSelection, caps: &Caps) -> Result<Vec<String>, TableError> {
    let handle = File::open(&file.path).map_err(|e| TableError::read(&file.path, e))?;
    for column in file.plain.metadata().row_groups().iter().flat_map(RowGroupMetaData::columns) {
        pages::check(&file.path, &handle, column, caps).map_err(|e| refused(&file.path, e))?;
    }
    let reader = ParquetRecordBatchReaderBuilder::new_with_metadata(handle, file.plain.clone())
        .with_row_selection(rows)
        .with_batch_size(BATCH_ROWS)
        .build()
        .map_err(|e| refused(&file.path, e))?;
    let mut written = Vec::new();
    for batch in reader {
        let batch = batch.map_err(|e| refused(&file.path, e))?;
        written.extend(row_as_json(&batch).map_err(|e| refused(&file.path, e))?);
    }
    Ok(written)
}
