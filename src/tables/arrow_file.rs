//! An Arrow IPC file; its record batches are the chunks.

use std::fs::File;
use std::io::BufReader;
use std::path::{Path, PathBuf};

use arrow::array::UInt32Array;
use arrow::compute::take_record_batch;
use arrow::ipc::reader::FileReader;
use arrow::record_batch::RecordBatch;

mod layout;

use super::TableError;
use super::caps::Caps;
use super::guard::guarded;
use super::row_json::row_as_json;
use super::source::Place;

/// An opened Arrow IPC file.
pub struct ArrowFile {
    path: PathBuf,
    shown: String,
    columns: Vec<String>,
    chunk_rows: Vec<usize>,
}

fn refused(path: &Path, problem: impl ToString) -> TableError {
    TableError::Broken { path: path.to_path_buf(), format: "Arrow IPC", problem: problem.to_string() }
}

impl ArrowFile {
    pub(super) fn open(path: &Path, caps: &Caps) -> Result<ArrowFile, TableError> {
        let refuse = |problem: String| refused(path, problem);
        guarded(refuse, || {
            let file = File::open(path).map_err(|e| TableError::read(path, e))?;
            let length = file.metadata().map_err(|e| TableError::read(path, e))?.len();
            let mut parts = layout::Parts { file: BufReader::new(file), length };
            let chunk_rows = parts.batch_rows(caps).map_err(refuse)?;
            if chunk_rows.iter().fold(0usize, |sum, &rows| sum.saturating_add(rows)) >= u32::MAX as usize {
                return Err(TableError::TooManyRows(path.to_path_buf()));
            }
            let reader = ArrowFile::reader(path, None)?;
            let columns = reader.schema().fields().iter().map(|f| f.name().trim().to_string()).collect();
            Ok(ArrowFile {
                path: path.to_path_buf(),
                shown: path.file_name().unwrap_or_default().to_string_lossy().into_owned(),
                columns,
                chunk_rows,
            })
        })
    }

    fn reader(path: &Path, columns: Option<Vec<usize>>) -> Result<FileReader<BufReader<File>>, TableError> {
        let file = File::open(path).map_err(|e| TableError::read(path, e))?;
        FileReader::try_new(BufReader::new(file), columns).map_err(|e| refused(path, e))
    }

    pub(super) fn columns(&self) -> &[String] {
        &self.columns
    }

    pub(super) fn chunk_rows(&self) -> Vec<usize> {
        self.chunk_rows.clone()
    }

    pub(super) fn place(&self, row: u32) -> Place {
        Place { file: self.shown.clone(), line: u64::from(row) + 1, cell: None }
    }

    fn batch(&self, chunk: usize, columns: Option<Vec<usize>>) -> Result<Option<RecordBatch>, TableError> {
        guarded(
            |problem| refused(&self.path, problem),
            || {
                let mut reader = ArrowFile::reader(&self.path, columns)?;
                reader.set_index(chunk).map_err(|e| refused(&self.path, e))?;
                let batch = reader.next().transpose().map_err(|e| refused(&self.path, e))?;
                let rows = batch.as_ref().map_or(0, RecordBatch::num_rows);
                match rows == self.chunk_rows[chunk] {
                    true => Ok(batch),
                    false => Err(refused(&self.path, "a batch holds other rows than it says")),
                }
            },
        )
    }

    pub(super) fn read_chunk(&self, chunk: usize, wanted: &[usize]) -> Result<Vec<RecordBatch>, TableError> {
        Ok(self.batch(chunk, Some(wanted.to_vec()))?.into_iter().collect())
    }

    pub(super) fn as_written(&self, rows: &[u32]) -> Result<Vec<String>, TableError> {
        let mut written = Vec::with_capacity(rows.len());
        let mut first = 0u32;
        for (chunk, &count) in self.chunk_rows.iter().enumerate() {
            let end = first + count as u32;
            let here: Vec<u32> = rows.iter().filter(|&&r| r >= first && r < end).map(|&r| r - first).collect();
            if !here.is_empty()
                && let Some(batch) = self.batch(chunk, None)?
            {
                let taken = take_record_batch(&batch, &UInt32Array::from(here)).map_err(|e| refused(&self.path, e))?;
                let refuse = |problem| refused(&self.path, problem);
                written.extend(guarded(refuse, || row_as_json(&taken).map_err(|e| refused(&self.path, e)))?);
            }
            first = end;
        }
        Ok(written)
    }
}
