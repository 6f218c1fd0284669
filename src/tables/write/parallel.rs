//! A big table as one Parquet file, made and encoded on every core, written in order.

use std::collections::BTreeMap;
use std::io::Write;
use std::sync::{Mutex, MutexGuard, PoisonError};

use arrow::datatypes::SchemaRef;
use arrow::record_batch::RecordBatch;
use parquet::file::writer::SerializedFileWriter;
use rayon::ScopeFifo;

use super::parquet_groups::{EncodedGroup, GroupEncoder, open};
use super::watched::{FirstFailure, Watched};
use super::{WriteError, same_columns};
use crate::tables::formats::Format;

/// Writes `slices` slices of a table to one Parquet file; slice i becomes row group i (a slice without rows, none).
///
/// `make(i)` gives the rows of slice i. Slices are made and encoded by rayon's threads and appended in order, so the
/// bytes depend on the slices alone, never on the number of threads. No more than (threads + 2) slices are in memory
/// at once, made or encoded; no thread ever waits for another, so `make` may itself use rayon. Row groups of
/// 100,000 to 1,000,000 rows read and write well. Gives the number of rows.
///
/// # Errors
/// The error of the first slice, in slice order, that could not be made or encoded; or the file's.
pub fn write_parquet_in_parallel<W, E, M>(to: W, schema: &SchemaRef, slices: usize, make: M) -> Result<u64, E>
where
    W: Write + Send,
    E: From<WriteError> + Send,
    M: Fn(usize) -> Result<Vec<RecordBatch>, E> + Sync,
{
    let (to, failure) = Watched::new(to);
    let (file, encoder) = open(to, schema).map_err(|error| failure.explain(Format::Parquet, error))?;

    let work = Work {
        encoder,
        schema,
        slices,
        make,
        failure,
        state: Mutex::new(State {
            finished: BTreeMap::new(),
            next: 0,
            started: 0,
            file: Some(file),
            rows: 0,
            error: None,
        }),
    };
    let window = rayon::current_num_threads() + 2;
    rayon::scope_fifo(|scope| {
        for _ in 0..window.min(slices) {
            work.start_next(scope);
        }
    });

    let state = work.state.into_inner().unwrap_or_else(PoisonError::into_inner);
    if let Some((_, error)) = state.error {
        return Err(error);
    }
    if let Some(mut file) = state.file {
        file.finish().map_err(|error| work.failure.explain(Format::Parquet, error))?;
    }
    Ok(state.rows)
}

struct Work<'a, W: Write + Send, E, M> {
    encoder: GroupEncoder,
    schema: &'a SchemaRef,
    slices: usize,
    make: M,
    failure: FirstFailure,
    state: Mutex<State<W, E>>,
}

struct State<W: Write + Send, E> {
    /// Encoded groups that wait for an earlier one; `None` for a slice without rows.
    finished: BTreeMap<usize, Option<EncodedGroup>>,
    /// The slice the file waits for.
    next: usize,
    /// Slices handed out.
    started: usize,
    /// The file; taken out while a thread writes, so that no second one does.
    file: Option<SerializedFileWriter<Watched<W>>>,
    rows: u64,
    /// The failure of the earliest slice that failed.
    error: Option<(usize, E)>,
}

impl<W, E, M> Work<'_, W, E, M>
where
    W: Write + Send,
    E: From<WriteError> + Send,
    M: Fn(usize) -> Result<Vec<RecordBatch>, E> + Sync,
{
    fn state(&self) -> MutexGuard<'_, State<W, E>> {
        // A poisoned lock means that another thread panicked; rayon passes that panic on when the scope ends.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn start_next<'scope>(&'scope self, scope: &ScopeFifo<'scope>) {
        let mut state = self.state();
        if state.started < self.slices && state.error.is_none() {
            let slice = state.started;
            state.started += 1;
            drop(state);
            scope.spawn_fifo(move |scope| self.run(slice, scope));
        }
    }

    fn run<'scope>(&'scope self, slice: usize, scope: &ScopeFifo<'scope>) {
        // An earlier slice may still fail and must be the one reported, so only later ones are given up.
        if matches!(&self.state().error, Some((failed, _)) if *failed < slice) {
            return;
        }
        match self.encode(slice) {
            Err(error) => self.fail(slice, error),
            Ok(group) => {
                self.state().finished.insert(slice, group);
                self.write_what_is_due(scope);
            }
        }
    }

    fn encode(&self, slice: usize) -> Result<Option<EncodedGroup>, E> {
        let batches = (self.make)(slice)?;
        for batch in &batches {
            same_columns(self.schema, batch)?;
        }
        let group = self.encoder.encode(&batches).map_err(|error| WriteError::encode(Format::Parquet, error))?;
        Ok((group.rows() > 0).then_some(group))
    }

    /// Writes every group that is next in order, unless another thread is at it: that one will find ours too.
    fn write_what_is_due<'scope>(&'scope self, scope: &ScopeFifo<'scope>) {
        let mut state = self.state();
        let Some(mut file) = state.file.take() else {
            return;
        };
        loop {
            let slice = state.next;
            let Some(group) = state.finished.remove(&slice) else {
                break;
            };
            drop(state);
            let mut rows = 0;
            if let Some(group) = group {
                rows = group.rows();
                if let Err(error) = group.append(&mut file) {
                    let error = self.failure.explain(Format::Parquet, error);
                    self.fail(slice, error.into());
                    // The file stays taken: nothing more is written after a failure.
                    return;
                }
            }
            self.start_next(scope);
            state = self.state();
            state.next += 1;
            state.rows += rows;
        }
        state.file = Some(file);
    }

    fn fail(&self, slice: usize, error: E) {
        let mut state = self.state();
        if !matches!(&state.error, Some((failed, _)) if *failed <= slice) {
            state.error = Some((slice, error));
        }
    }
}
