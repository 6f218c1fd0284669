//! The answer to a question: the tables it names worked out, handed to the engine, and its answer as a table.

use std::panic::{AssertUnwindSafe, catch_unwind};

use arrow::record_batch::RecordBatch;
use polars::error::set_warning_function;
use polars::prelude::{DataFrame, IntoLazy, PolarsError, PolarsResult, SortMultipleOptions};
use polars::sql::SQLContext;
use rayon::prelude::*;

use super::catalog::{Asked, is_column};
use super::sql::Question;
use super::{QuestionError, frame, records};
use crate::results::TableSpec;
use crate::results::answers::{AnswerError, Answers, Shown};
use crate::settings::nearest_there;

/// One slice of a result table, by its number.
pub type Slice<'s> = dyn Fn(usize) -> Result<RecordBatch, AnswerError> + Sync + 's;

/// Bytes of a GiB.
const GIB: f64 = (1u64 << 30) as f64;

/// The answer to a query over the result tables and the records, as a table of the name `answer`.
///
/// Only the tables it names are worked out, and only the columns it names are handed over.
///
/// # Errors
/// [`QuestionError`].
pub fn ask(answers: &Answers<'_, '_>, sql: &str) -> Result<RecordBatch, QuestionError> {
    let question = Question::read(sql, &is_column)?;
    let tables = Tables::of(answers, &question)?;
    let frame = tables.run(&question, &question.sql)?;
    let frame = match question.unordered {
        true => {
            let names = frame.get_column_names_owned();
            frame.sort(names, SortMultipleOptions::default()).map_err(|error| tables.explain(&error, &question))?
        }
        false => frame,
    };
    frame::to_batch(&frame, "answer")
}

/// The tables that a question names, as the engine holds them.
pub(super) struct Tables {
    context: SQLContext,
    asked: Vec<(String, Asked)>,
}

impl Tables {
    /// Works them out.
    pub(super) fn of(answers: &Answers<'_, '_>, question: &Question) -> Result<Tables, QuestionError> {
        // Every name is looked at before anything is worked out.
        let asked = question
            .tables
            .iter()
            .map(|name| Ok((name.clone(), Asked::named(name)?)))
            .collect::<Result<Vec<_>, QuestionError>>()?;
        let tables = Tables { context: SQLContext::new(), asked };
        for (name, asked) in &tables.asked {
            let wanted = wanted_columns(asked, question);
            let frame = match asked {
                Asked::Result(spec) => {
                    let slice = |at: usize| answers.slice(spec.name, at, &Shown::all());
                    result(answers, spec.name, &slice, &wanted)?
                }
                Asked::Records(schema) => {
                    if answers.fleet.loaded.table(schema.table).is_none() {
                        let (absent, file) = (schema.absent, schema.name);
                        return Err(QuestionError::NoRecords { name: name.clone(), absent, file });
                    }
                    let batch = records::table(answers.fleet, schema, &wanted)?;
                    frame::to_frame(&batch, |_| true).map_err(|error| engine(&error))?
                }
            };
            tables.add(name, frame);
        }
        Ok(tables)
    }

    /// Adds a table.
    pub(super) fn add(&self, name: &str, frame: DataFrame) {
        self.context.register(name, frame.lazy());
    }

    /// Knows the columns of one more table, when a name is looked for.
    pub(super) fn beside(mut self, spec: Option<&'static TableSpec>) -> Tables {
        self.asked.extend(spec.map(|spec| (spec.name.to_string(), Asked::Result(spec))));
        self
    }

    /// What the engine answers.
    pub(super) fn run(&self, question: &Question, sql: &str) -> Result<DataFrame, QuestionError> {
        // What the engine means to change some day is nothing to tell the person who asked.
        set_warning_function(|_, _| {});
        let mut context = self.context.clone();
        // The engine stops on some queries that it cannot do; the fleet's tables are copies, so nothing is harmed by that.
        let answer: Result<PolarsResult<DataFrame>, _> =
            catch_unwind(AssertUnwindSafe(|| context.execute(sql)?.collect()));
        match answer {
            Ok(Ok(frame)) => Ok(frame),
            Ok(Err(error)) => Err(self.explain(&error, question)),
            Err(_) => Err(QuestionError::Engine {
                said: "the query engine stopped on this query".to_string(),
                hint: "ask it in simpler steps, WITH a AS (SELECT ...) SELECT ... FROM a".to_string(),
            }),
        }
    }

    fn explain(&self, error: &PolarsError, question: &Question) -> QuestionError {
        let columns: Vec<String> =
            self.asked.iter().flat_map(|(_, asked)| asked.columns()).map(|[name, ..]| name).collect();
        let known = |name: &str| columns.iter().any(|c| c == name) || self.asked.iter().any(|(table, _)| table == name);
        let unknown = question.unknown_columns(known).next();
        let hint = match unknown {
            Some(name) => nearest_there(name, columns.iter().map(String::as_str))
                .unwrap_or_else(|| format!("no table named here has a column `{name}`; --tables lists them")),
            None => "`bladewane query FLEET --tables` lists tables and columns; a name in several tables needs its table before it"
                .to_string(),
        };
        QuestionError::Engine { said: said(error), hint }
    }
}

/// What the engine says, without its plan of the query and without the columns that it was handed.
fn said(error: &PolarsError) -> String {
    let text = error.to_string();
    let first = text.lines().next().unwrap_or_default();
    first.split("; valid columns:").next().unwrap_or(first).to_string()
}

pub(super) fn engine(error: &PolarsError) -> QuestionError {
    QuestionError::Engine { said: said(error), hint: "please report it with the command".to_string() }
}

/// Which columns of a table cross: those that are named, and one at least, so that its rows can be counted.
fn wanted_columns(asked: &Asked, question: &Question) -> impl Fn(&str) -> bool + use<> {
    let columns: Vec<String> = asked.columns().into_iter().map(|[name, ..]| name).collect();
    let mut wanted: Vec<String> = columns.iter().filter(|name| question.wants(name)).cloned().collect();
    if wanted.is_empty() {
        wanted.extend(columns.into_iter().next());
    }
    move |name: &str| wanted.iter().any(|w| w == name)
}

/// A result table in the engine's form, slice by slice in parallel, joined in their order.
pub(super) fn result(
    answers: &Answers<'_, '_>,
    name: &str,
    slice: &Slice<'_>,
    wanted: &(impl Fn(&str) -> bool + Sync),
) -> Result<DataFrame, QuestionError> {
    answers.work_out_for(name);
    let slices = answers.slices(name);
    let crossed = |at: usize| -> Result<DataFrame, QuestionError> {
        frame::to_frame(&slice(at)?, wanted).map_err(|error| engine(&error))
    };
    let mut whole = crossed(0)?;
    let gib = whole.estimated_size() as f64 * slices as f64 / GIB;
    let most = most_gib(answers.settings.reading.table_gib);
    if gib > most {
        return Err(QuestionError::TooLarge { table: name.to_string(), gib, most });
    }
    let rest: Vec<DataFrame> = (1..slices).into_par_iter().map(crossed).collect::<Result<_, _>>()?;
    for frame in rest {
        whole.vstack_mut_owned(frame).map_err(|error| engine(&error))?;
    }
    Ok(whole)
}

/// What a table may take: what the settings allow a table that is read, and half of the memory that is free, where the
/// system tells.
fn most_gib(allowed: f64) -> f64 {
    let free = std::fs::read_to_string("/proc/meminfo").ok().and_then(|text| {
        let line = text.lines().find_map(|line| line.strip_prefix("MemAvailable:"))?;
        line.trim().trim_end_matches("kB").trim().parse::<f64>().ok()
    });
    free.map_or(allowed, |kib| allowed.min(kib * 1024.0 / GIB / 2.0))
}
